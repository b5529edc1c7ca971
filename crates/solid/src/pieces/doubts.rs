//! Which boxes are halved: those that leave it in doubt how the wood hangs together.

use rayon::prelude::*;

use super::Bridge;
use super::search::{NONE, Search};
use crate::slant::no_summit;

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
        // Boxes that touch no wood may hold a speck of it.
        for (number, marked) in marked.iter_mut().enumerate() {
            let wide = 2.0 * self.most(number) > self.fineness.bridge;
            *marked |= self.label[number] == NONE && wide;
        }
        (marked, doubts.into_iter().map(|doubt| doubt.1).collect())
    }

    /// A box and those its label was handed on from, up to the last whose centre is air.
    fn back(&self, number: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(Some(number), |n| {
            let from = self.from[*n];
            (from != NONE && self.from[from] != NONE).then_some(from)
        })
    }

    /// The depth is nowhere in the box more than this.
    fn most(&self, number: usize) -> f64 {
        let leaf = &self.leaves.all[number];
        leaf.depth + leaf.cell.half_diagonal()
    }

    /// Marks boxes that may hold the middle of a part of their own.
    pub(super) fn summits(&mut self, marked: &mut [bool]) {
        let radius = self.fineness.crumb;
        let solid = self.solid;
        self.slants.resize(self.leaves.all.len(), None);
        self.leaves
            .all
            .par_iter()
            .zip(&mut self.slants)
            .zip(marked)
            .with_min_len(64)
            .for_each(|((leaf, slants), marked)| {
                let reach = leaf.cell.half_diagonal();
                // About a centre in air half as large a ball is looked for, lest a box that
                // goes to a neighbour's part take a crumb along.
                let radius = if leaf.depth > 0.0 {
                    radius
                } else {
                    0.5 * radius
                };
                // A ball of that radius about any point of the box would overlap the one about
                // its centre, or cannot be.
                let overlaps = reach < leaf.depth.max(0.0) + radius;
                if leaf.wood || *marked || overlaps || leaf.depth + reach < radius {
                    return;
                }
                *marked = !*slants
                    .get_or_insert_with(|| no_summit(solid, &leaf.faces, leaf.cell.centre, reach));
            });
    }
}
