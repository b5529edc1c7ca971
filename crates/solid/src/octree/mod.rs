//! Boxes over a solid, halved until each is settled, with the faces that still matter in each.
//!
//! Depth changes by at most the way one goes, so a box whose centre is farther
//! below (or above) every surface than the box's half-diagonal is wholly wood
//! (or wholly air). A box hands its children only the faces that can still matter
//! in it; far from the surface that is none, near it one, two or three, however
//! many cuts the piece has.
//!
//! [`walk`] visits boxes from coarse to fine and asks a closure what to do with
//! each. Subtrees run in parallel; their results are joined in the order of the
//! boxes, so that the answer is the same on any number of cores. Settled boxes are
//! certain up to rounding in the distance, which is some 1e-13 mm here and covered
//! by a slack far above it ([`SLACK`]).

use glam::DVec3;
use rayon::prelude::*;

use crate::solid::{Bounds, Face, Solid};

/// Depths nearer than this to a decision are left undecided, mm. Rounding in a distance
/// is below 1e-12 mm for pieces up to a metre; no tool sets less than 1e-3 mm.
pub const SLACK: f64 = 1e-10;

/// Levels whose children run in parallel: 8³ tasks for each root box are enough for
/// many cores, and the tasks stay long against the cost of starting one.
const PARALLEL_LEVELS: u32 = 3;

/// A box along the axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Its middle, mm.
    pub centre: DVec3,
    /// Half its edges, mm.
    pub half: DVec3,
    /// How often the root box was halved to get it.
    pub level: u32,
}

/// A face that matters in a box, with the depth below it at the box's centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// The face.
    pub face: Face,
    /// Distance from the centre to the air behind it, mm; positive on the wood's side.
    pub depth: f64,
}

/// Which faces a box keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keep {
    /// Those whose surface may pass through the box.
    Surface,
    /// Those that may be the nearest to some point of the box: the least of their depths
    /// is the exact depth everywhere in the box.
    Depth,
}

/// What is known of a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Wood throughout.
    Wood,
    /// Air throughout.
    Air,
    /// A surface may pass through it.
    Open,
}

/// A box under decision.
#[derive(Debug, Clone, Copy)]
pub struct Node<'a> {
    /// The box.
    pub cell: Cell,
    /// What is known of it.
    pub state: State,
    /// Depth at its centre, mm. Exact in an open box and, under [`Keep::Depth`], in a wooden
    /// one; under [`Keep::Surface`] a wooden box is at least this deep. In air the centre is at
    /// least as far outside as this says.
    pub depth: f64,
    /// The faces kept, in order. In air: the one face that settled it.
    pub near: &'a [Near],
}

/// What to do with a box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step<T> {
    /// Halve it along all three axes and decide about its children.
    Split,
    /// Stop here with a result.
    Leaf(T),
    /// Stop here without one.
    Drop,
}

impl Near {
    fn unknown(face: Face) -> Self {
        Self { face, depth: 0.0 }
    }
}

impl Cell {
    /// Distance from the centre to a corner, mm.
    pub fn half_diagonal(&self) -> f64 {
        self.half.length()
    }

    /// Its volume, mm³.
    pub fn volume(&self) -> f64 {
        8.0 * self.half.element_product()
    }

    /// Its extent.
    pub fn bounds(&self) -> Bounds {
        Bounds {
            low: self.centre - self.half,
            high: self.centre + self.half,
        }
    }

    /// One of its eight corners: bit 0 of `number` chooses x, bit 1 y, bit 2 z.
    pub fn corner(&self, number: usize) -> DVec3 {
        self.centre + self.half * signs(number)
    }

    /// One of its eight halves along all axes, numbered as the corners.
    pub fn child(&self, number: usize) -> Self {
        let half = 0.5 * self.half;
        Self {
            centre: self.centre + half * signs(number),
            half,
            level: self.level + 1,
        }
    }
}

fn signs(number: usize) -> DVec3 {
    let sign = |bit: usize| if number >> bit & 1 == 1 { 1.0 } else { -1.0 };
    DVec3::new(sign(0), sign(1), sign(2))
}

/// Boxes that together fill `bounds`, as nearly cubes as whole counts allow, in order of
/// x, then y, then z. A long finial gets a row of them, a ball one.
pub fn roots(bounds: &Bounds) -> Vec<Cell> {
    // A whisker larger, so that a surface touching the bounds lies inside.
    let size = bounds.size() + DVec3::splat(2.0 * SLACK);
    let edge = size.min_element().max(size.max_element() / 64.0);
    let count = (size / edge).map(|n| n.round().max(1.0));
    let half = 0.5 * size / count;
    let low = bounds.low - DVec3::splat(SLACK);
    let mut cells = Vec::new();
    for z in 0..count.z as u32 {
        for y in 0..count.y as u32 {
            for x in 0..count.x as u32 {
                let place = DVec3::new(f64::from(x), f64::from(y), f64::from(z));
                cells.push(Cell {
                    centre: low + half * (2.0 * place + DVec3::ONE),
                    half,
                    level: 0,
                });
            }
        }
    }
    cells
}

/// Visits boxes over the whole solid from coarse to fine; see [`walk_below`].
pub fn walk<T: Send>(
    solid: &Solid,
    keep: Keep,
    decide: impl Fn(&Node<'_>) -> Step<T> + Sync,
) -> Vec<T> {
    let faces: Vec<Face> = solid.faces().collect();
    let starts: Vec<(Cell, &[Face])> = roots(&solid.bounds())
        .into_iter()
        .map(|cell| (cell, faces.as_slice()))
        .collect();
    walk_below(solid, keep, &starts, decide)
}

/// Visits the given boxes and their children as `decide` tells, each start with the faces
/// that matter in it, and returns the results in the order of the boxes (starts in order,
/// children by number, depth first). `decide` must stop splitting at some size of its own.
pub fn walk_below<T: Send>(
    solid: &Solid,
    keep: Keep,
    starts: &[(Cell, &[Face])],
    decide: impl Fn(&Node<'_>) -> Step<T> + Sync,
) -> Vec<T> {
    let walker = Walker {
        solid,
        keep,
        decide: &decide,
    };
    let parts: Vec<Vec<T>> = starts
        .par_iter()
        .with_min_len(if starts.len() > 512 { 32 } else { 1 })
        .map(|(cell, faces)| {
            let mut found = Vec::new();
            let mut stack: Vec<Near> = faces.iter().map(|face| Near::unknown(*face)).collect();
            let node = walker.look(*cell, 0, &mut stack);
            // Where there are many starts they are the tasks themselves.
            let parallel = if starts.len() > 512 {
                0
            } else {
                PARALLEL_LEVELS
            };
            walker.descend(*cell, node, 0, &mut stack, parallel, &mut found);
            found
        })
        .collect();
    parts.into_iter().flatten().collect()
}

struct Walker<'a, F> {
    solid: &'a Solid,
    keep: Keep,
    decide: &'a F,
}

impl<F> Walker<'_, F> {
    /// Looks at a box: of the faces on the stack from `begin` on, leaves those kept, with
    /// their depths; gives state and depth.
    fn look(&self, cell: Cell, begin: usize, stack: &mut Vec<Near>) -> (State, f64) {
        let reach = cell.half_diagonal() + SLACK;
        let mut least = f64::INFINITY;
        let mut end = begin;
        for index in begin..stack.len() {
            let face = stack[index].face;
            let depth = self.solid.depth_to(face, cell.centre);
            if depth < -reach {
                stack[begin] = Near { face, depth };
                stack.truncate(begin + 1);
                return (State::Air, depth);
            }
            least = least.min(depth);
            if self.keep == Keep::Depth || depth <= reach {
                stack[end] = Near { face, depth };
                end += 1;
            }
        }
        stack.truncate(end);
        if self.keep == Keep::Depth {
            // A face farther than this at the centre is nowhere in the box the nearest.
            let limit = least + 2.0 * reach;
            let mut kept = begin;
            for index in begin..end {
                if stack[index].depth <= limit {
                    stack[kept] = stack[index];
                    kept += 1;
                }
            }
            stack.truncate(kept);
        }
        match self.keep {
            _ if least <= reach => (State::Open, least),
            Keep::Depth => (State::Wood, least),
            Keep::Surface => (State::Wood, reach),
        }
    }

    /// Decides about a box whose faces are on the stack from `begin` on, and goes down from it.
    fn descend<T: Send>(
        &self,
        cell: Cell,
        (state, depth): (State, f64),
        begin: usize,
        stack: &mut Vec<Near>,
        parallel: u32,
        found: &mut Vec<T>,
    ) where
        F: Fn(&Node<'_>) -> Step<T> + Sync,
    {
        let node = Node {
            cell,
            state,
            depth,
            near: &stack[begin..],
        };
        match (self.decide)(&node) {
            Step::Drop => {}
            Step::Leaf(result) => found.push(result),
            Step::Split if parallel > 0 => {
                let near = &stack[begin..];
                let parts: Vec<Vec<T>> = (0..8)
                    .into_par_iter()
                    .map(|number| {
                        let child = cell.child(number);
                        let mut found = Vec::new();
                        let mut stack = near.to_vec();
                        let seen = self.look(child, 0, &mut stack);
                        self.descend(child, seen, 0, &mut stack, parallel - 1, &mut found);
                        found
                    })
                    .collect();
                found.extend(parts.into_iter().flatten());
            }
            Step::Split => {
                let end = stack.len();
                for number in 0..8 {
                    let child = cell.child(number);
                    stack.extend_from_within(begin..end);
                    let seen = self.look(child, end, stack);
                    self.descend(child, seen, end, stack, 0, found);
                    stack.truncate(end);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests;
