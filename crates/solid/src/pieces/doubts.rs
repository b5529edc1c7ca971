//! Which boxes are halved: those that leave it in doubt how the wood hangs together.

use super::Bridge;
use super::search::{NONE, Search};
use crate::octree::{Cell, Node};
use crate::slant::no_summit;
use crate::solid::{Face, Solid};

impl Search<'_> {
    /// Boxes to halve because two parts come near each other in them, and the doubts that
    /// are too small for that.
    pub(super) fn between(&self) -> (Vec<bool>, Vec<Bridge>) {
        let all = &self.leaves.all;
        let mut marked = vec![false; all.len()];
        // The widest doubt between each two parts.
        let mut doubts: Vec<((usize, usize), Bridge)> = Vec::new();
        for (number, other) in self.pairs.iter().copied() {
            let (a, b) = (self.label[number], self.label[other]);
            if a == b || a == NONE || b == NONE {
                continue;
            }
            // The way from one part to the other: through boxes whose centre is air, handed
            // on from box to box, between two that surely have wood.
            let way = || {
                self.back(number)
                    .chain(self.back(other))
                    .filter(|n| !all[*n].wood)
            };
            let Some(largest) = way().map(|n| all[n].cell.level).min() else {
                continue;
            };
            let mut small = true;
            for n in way() {
                let wide = 2.0 * all[n].cell.half_diagonal() > self.fineness.bridge;
                if wide && all[n].cell.level == largest {
                    marked[n] = true;
                    small = false;
                }
            }
            if small {
                // What passes from part to part passes through every box of the way.
                let most = way().map(|n| self.most(n)).fold(f64::INFINITY, f64::min);
                let n = if all[number].wood { other } else { number };
                let bridge = Bridge {
                    at: all[n].cell.centre,
                    width: 2.0 * most,
                };
                let pair = (a.min(b), a.max(b));
                match doubts.iter_mut().find(|doubt| doubt.0 == pair) {
                    Some(doubt) if doubt.1.width < bridge.width => doubt.1 = bridge,
                    Some(_) => {}
                    None => doubts.push((pair, bridge)),
                }
            }
        }
        // Boxes that touch no wood may hold a speck of it; those that touch none but by way of
        // others without, a crumb.
        let crumb = 0.5 * self.fineness.crumb;
        for (number, marked) in marked.iter_mut().enumerate() {
            let leaf = &all[number];
            *marked |= match self.from[number] {
                NONE => {
                    self.label[number] == NONE && 2.0 * self.most(number) > self.fineness.bridge
                }
                from => {
                    let faces = leaf.faces.iter().copied();
                    self.from[from] != NONE
                        && !no_middle(self.solid, crumb, &leaf.cell, leaf.depth, faces)
                }
            };
        }
        (marked, doubts.into_iter().map(|doubt| doubt.1).collect())
    }

    /// A box and those its label was handed on from, up to the last whose centre is air, or to
    /// the one that handed it to wood it could not be joined to.
    fn back(&self, number: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(Some(number), |n| {
            let from = self.from[*n];
            let wood = self.balls[*n].1 > 0.0;
            (from != NONE && (wood || self.from[from] != NONE)).then_some(from)
        })
    }

    /// The depth is nowhere in the box more than this.
    fn most(&self, number: usize) -> f64 {
        let leaf = &self.leaves.all[number];
        leaf.depth + leaf.cell.half_diagonal()
    }
}

/// Whether a box needs no halving for the middle of a part of its own: a ball of this radius.
pub(super) fn no_middle(
    solid: &Solid,
    radius: f64,
    cell: &Cell,
    depth: f64,
    faces: impl Iterator<Item = Face>,
) -> bool {
    let reach = cell.half_diagonal();
    // A ball of that radius about any point of the box would overlap the one about its
    // centre, or cannot be.
    reach < depth.max(0.0) + radius
        || depth + reach < radius
        || no_summit(solid, faces, cell.centre, reach)
}

/// As [`no_middle`], of a box under decision.
pub(super) fn settled(solid: &Solid, radius: f64, node: &Node<'_>) -> bool {
    let faces = node.near.iter().map(|near| near.face);
    no_middle(solid, radius, &node.cell, node.depth, faces)
}
