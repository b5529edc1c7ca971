//! Boxes over the solid, found by place, for looking towards the eye.
//!
//! The octree's boxes are kept with the faces that may pass through each. A ray
//! crosses air in strides of whole boxes and feels its way, by the depth, only
//! through boxes that a surface may cross, where few faces have to be asked.

use glam::DVec3;

use crate::octree::{Cell, Keep, State, Step, roots, walk};
use crate::solid::{Face, Solid};

/// Wood less deep than this does not hide what lies behind it, mm: far above rounding, far
/// below what a pen draws.
const VEIL: f64 = 1e-7;

/// How far a ray steps past the side of a box, mm.
const NUDGE: f64 = 1e-8;

/// A box that is not halved any more.
#[derive(Debug, Clone)]
pub(super) struct Leaf {
    pub cell: Cell,
    pub state: State,
    /// The faces that may pass through it; in air the one that settled it.
    pub faces: Vec<Face>,
}

enum Node {
    /// Number of the first of eight nodes.
    Split(u32),
    Leaf(u32),
}

/// All boxes over a solid.
pub(super) struct Boxes<'a> {
    solid: &'a Solid,
    pub leaves: Vec<Leaf>,
    nodes: Vec<Node>,
    roots: Vec<Cell>,
}

impl<'a> Boxes<'a> {
    /// Boxes halved until settled or no longer than `edge` mm where several faces pass, four
    /// times that where one does.
    pub fn new(solid: &'a Solid, edge: f64) -> Self {
        let leaves = walk(solid, Keep::Surface, |node| {
            let limit = if node.near.len() > 1 {
                edge
            } else {
                4.0 * edge
            };
            if node.state == State::Open && 2.0 * node.cell.half.max_element() > limit {
                return Step::Split;
            }
            Step::Leaf(Leaf {
                cell: node.cell,
                state: node.state,
                faces: node.near.iter().map(|near| near.face).collect(),
            })
        });
        let mut boxes = Self {
            solid,
            leaves,
            nodes: Vec::new(),
            roots: roots(&solid.bounds()),
        };
        boxes.number();
        boxes
    }

    /// Builds the tree back from its leaves, which come depth first.
    fn number(&mut self) {
        let mut next = 0;
        self.nodes
            .extend((0..self.roots.len()).map(|_| Node::Leaf(0)));
        for root in 0..self.roots.len() {
            self.fill(root, 0, &mut next);
        }
    }

    fn fill(&mut self, node: usize, level: u32, next: &mut u32) {
        let here = self.leaves.get(*next as usize);
        if here.is_none_or(|leaf| leaf.cell.level == level) {
            self.nodes[node] = Node::Leaf(*next);
            *next += 1;
            return;
        }
        let first = self.nodes.len();
        self.nodes.extend((0..8).map(|_| Node::Leaf(0)));
        self.nodes[node] = Node::Split(first as u32);
        for number in 0..8 {
            self.fill(first + number, level + 1, next);
        }
    }

    /// The box that holds a point; none outside of all.
    pub fn at(&self, p: DVec3) -> Option<&Leaf> {
        let within = |cell: &Cell| (p - cell.centre).abs().cmple(cell.half).all();
        let root = self.roots.iter().position(within)?;
        let mut cell = self.roots[root];
        let mut node = root;
        loop {
            match self.nodes[node] {
                Node::Leaf(number) => return self.leaves.get(number as usize),
                Node::Split(first) => {
                    let above = p.cmpge(cell.centre);
                    let number = usize::from(above.x)
                        | usize::from(above.y) << 1
                        | usize::from(above.z) << 2;
                    cell = cell.child(number);
                    node = first as usize + number;
                }
            }
        }
    }

    /// The box that holds a point, or, in settled air, how far around there is no wood, mm.
    pub fn near_wood(&self, p: DVec3) -> Result<&Leaf, f64> {
        let Some(leaf) = self.at(p) else {
            let gap = |cell: &Cell| {
                ((p - cell.centre).abs() - cell.half)
                    .max(DVec3::ZERO)
                    .length()
            };
            return Err(self.roots.iter().map(gap).fold(f64::INFINITY, f64::min));
        };
        match (leaf.state, leaf.faces.first()) {
            (State::Air, Some(face)) => Err(-self.solid.depth_to(*face, p)),
            _ => Ok(leaf),
        }
    }

    /// Whether wood stands on the way from `p` along the unit vector `way`. A stay in wood
    /// shorter than `least` mm may be missed. `glide` tells how far on from a point the way
    /// keeps to a surface of the given faces, where feeling for it would take tiny steps.
    pub fn blocked(
        &self,
        p: DVec3,
        way: DVec3,
        least: f64,
        glide: impl Fn(DVec3, &[Face]) -> f64,
    ) -> bool {
        let mut at = 0.0;
        loop {
            let point = p + way * at;
            let Some(leaf) = self.at(point) else {
                // A point of the surface may lie a rounding error outside of the boxes.
                if at > 0.0 {
                    return false;
                }
                at = least;
                continue;
            };
            match leaf.state {
                State::Wood => return true,
                State::Air => at += exit(&leaf.cell, point, way) + NUDGE,
                State::Open => {
                    let depth = leaf
                        .faces
                        .iter()
                        .map(|face| self.solid.depth_to(*face, point))
                        .fold(f64::INFINITY, f64::min);
                    if depth > VEIL {
                        return true;
                    }
                    let mut step = depth.abs().max(least);
                    if depth.abs() < VEIL {
                        step = step.max(glide(point, &leaf.faces));
                    }
                    at += step.min(exit(&leaf.cell, point, way) + NUDGE);
                }
            }
        }
    }
}

/// The way from a point of a box to where a line leaves it, mm.
fn exit(cell: &Cell, p: DVec3, way: DVec3) -> f64 {
    let gap = cell.half - (p - cell.centre) * way.signum();
    let ways = gap.max(DVec3::ZERO) / way.abs();
    // Along a side there is no way out through it: 0 / 0 counts as endless.
    [ways.x, ways.y, ways.z]
        .into_iter()
        .fold(f64::INFINITY, f64::min)
}
