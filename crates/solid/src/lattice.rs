//! A lattice of boxes over the wood, each with the deepest place found near its centre.
//!
//! All boxes that may hold wood (depth at the centre above minus the half-diagonal)
//! are kept. From the centre, in wood or a little outside, the place climbs to
//! where the air is equally far on two sides and then along that middle sheet, by
//! at most the half-diagonal in all. So a wall much thinner than the box still has
//! a place in its middle. The depth at each place is exact.

use glam::{DVec3, IVec3};
use rayon::prelude::*;

use crate::around::Around;
use crate::octree::{Cell, Keep, SLACK, State, Step, walk_below};
use crate::solid::{Bounds, Face, Solid, Touch};

/// A box of the lattice and the place found in it.
pub(crate) struct Site {
    /// Number of the box along each axis.
    pub index: IVec3,
    /// Its centre, with the faces that may be the nearest in the box.
    pub around: Around,
    /// The place climbed to, and the depth there, mm.
    pub place: DVec3,
    pub depth: f64,
}

/// The lattice over a solid.
pub(crate) struct Lattice {
    pub sites: Vec<Site>,
    /// Site by box, row by row; [`NONE`] where there is none.
    grid: Vec<u32>,
    /// Boxes along each axis.
    counts: IVec3,
    /// Half-diagonal of a box, mm.
    pub reach: f64,
    /// Volume of a box, mm³.
    pub volume: f64,
}

impl Lattice {
    /// Boxes with edges of at most `spacing` mm.
    pub fn over(solid: &Solid, spacing: f64) -> Self {
        let starts = starts(&solid.bounds(), spacing, LEVELS);
        let low = starts
            .first()
            .map_or(DVec3::ZERO, |cell| cell.centre - cell.half);
        let faces: Vec<Face> = solid.faces().collect();
        let starts: Vec<(Cell, &[Face])> = starts
            .into_iter()
            .map(|cell| (cell, faces.as_slice()))
            .collect();
        let found: Vec<(Cell, Around)> = walk_below(solid, Keep::Depth, &starts, |node| {
            if node.state == State::Air {
                Step::Drop
            } else if node.cell.level < LEVELS {
                Step::Split
            } else {
                Step::Leaf((node.cell, Around::of(node.cell.centre, node.near.to_vec())))
            }
        });
        let shape = found.first().map(|(cell, _)| *cell);
        let (reach, volume) = shape.map_or((0.0, 0.0), |c| (c.half_diagonal(), c.volume()));
        let sites: Vec<Site> = found
            .into_par_iter()
            .map(|(cell, around)| {
                // The list holds for the whole ball about the box, and the climb stays within it.
                let (mut place, mut depth) = climb(solid, &around, cell.centre, reach, None, 2);
                if depth < around.depth_here() {
                    (place, depth) = (cell.centre, around.depth_here());
                }
                Site {
                    index: ((cell.centre - low) / (2.0 * cell.half)).floor().as_ivec3(),
                    around,
                    place,
                    depth,
                }
            })
            .collect();
        let counts = sites
            .iter()
            .fold(IVec3::ZERO, |most, site| most.max(site.index + IVec3::ONE));
        let mut grid = vec![NONE; (counts.x * counts.y * counts.z) as usize];
        for (number, site) in sites.iter().enumerate() {
            grid[place_in(counts, site.index)] = number as u32;
        }
        Self {
            sites,
            grid,
            counts,
            reach,
            volume,
        }
    }

    /// The site of a box, where it may hold wood.
    pub fn at(&self, index: IVec3) -> Option<usize> {
        if index.cmplt(IVec3::ZERO).any() || index.cmpge(self.counts).any() {
            return None;
        }
        let number = self.grid[place_in(self.counts, index)];
        (number != NONE).then_some(number as usize)
    }

    /// The thirteen directions that name every pair of neighbours once.
    pub fn directions() -> impl Iterator<Item = IVec3> {
        (1..14).map(|k| {
            let k = k + 13;
            IVec3::new(k % 3 - 1, k / 3 % 3 - 1, k / 9 - 1)
        })
    }
}

/// How often the boxes that the lattice starts from are halved.
const LEVELS: u32 = 3;

/// More boxes than this along the longest side no piece needs, and they would not fit in memory.
const MOST: f64 = 256.0;

/// Boxes over `bounds` that, halved `levels` times, have edges of at most `spacing`, in order
/// of x, y, z: as few as will do, where halving the bounds themselves may give eight times as many.
pub(crate) fn starts(bounds: &Bounds, spacing: f64, levels: u32) -> Vec<Cell> {
    // A whisker larger, so that a surface touching the bounds lies inside.
    let size = bounds.size() + DVec3::splat(2.0 * SLACK);
    let spacing = spacing.max(size.max_element() / MOST);
    let count = (size / (spacing * f64::from(1_u32 << levels)))
        .map(|n| n.ceil().max(1.0))
        .as_ivec3();
    let half = 0.5 * size / count.as_dvec3();
    let low = bounds.low - DVec3::splat(SLACK);
    let mut cells = Vec::new();
    for z in 0..count.z {
        for y in 0..count.y {
            for x in 0..count.x {
                let place = IVec3::new(x, y, z).as_dvec3();
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

/// No site.
const NONE: u32 = u32::MAX;

fn place_in(counts: IVec3, index: IVec3) -> usize {
    (index.x + counts.x * (index.y + counts.y * index.z)) as usize
}

/// Climbs from `p` to greater depth among the faces of `around`, by at most `reach`, within the plane
/// square to `across` where one is given. Each of the `legs` runs along the direction in
/// which all air met so far recedes equally, to the top of that line.
pub(crate) fn climb(
    solid: &Solid,
    around: &Around,
    p: DVec3,
    reach: f64,
    across: Option<DVec3>,
    legs: usize,
) -> (DVec3, f64) {
    let flat = |v: DVec3| across.map_or(v, |n| v - n * n.dot(v));
    let mut at = p;
    let mut touch = if p == around.place {
        around.touch_here(solid)
    } else {
        around.nearest(solid, p)
    };
    let mut active = vec![flat(touch.inward)];
    let mut left = reach;
    for _ in 0..legs {
        let Some(way) = receding(&active, across) else {
            break;
        };
        let slope = way.dot(touch.inward);
        if slope <= 1e-6 || left <= 1e-9 * reach {
            break;
        }
        // Tangents from both ends meet at the top of a line between straight flanks;
        // for bent ones a few turns come close, and no more is asked here.
        let (mut low, mut high) = ((0.0, touch, slope), None::<(f64, Touch, f64)>);
        let mut next = left;
        for _ in 0..4 {
            let there = around.nearest(solid, at + way * next);
            let rise = way.dot(there.inward);
            let done = (next - low.0).abs() < 1e-4 * reach;
            if rise > 0.0 && there.depth >= low.1.depth {
                low = (next, there, rise);
            } else {
                high = Some((next, there, rise));
            }
            let Some(top) = high else { break };
            if done {
                break;
            }
            let meet =
                (top.1.depth - low.1.depth + low.2 * low.0 - top.2 * top.0) / (low.2 - top.2);
            next = if meet > low.0 && meet < top.0 {
                meet
            } else {
                0.5 * (low.0 + top.0)
            };
        }
        if let Some(top) = high {
            active.push(flat(top.1.inward));
            if top.1.depth > low.1.depth {
                low = top;
            }
        }
        at += way * low.0;
        touch = low.1;
        left -= low.0;
        if high.is_none() {
            break;
        }
    }
    (at, touch.depth)
}

/// The unit direction in which the last few gradients all have the same slope.
fn receding(active: &[DVec3], across: Option<DVec3>) -> Option<DVec3> {
    let way = match active {
        [a] => *a,
        [a, b] => {
            let sum = a.normalize_or_zero() + b.normalize_or_zero();
            if sum.length() < 0.02 {
                return None;
            }
            sum
        }
        [.., a, b, c] if across.is_none() => {
            let normal = (b - a).cross(c - a);
            normal * normal.dot(*a).signum()
        }
        _ => return None,
    };
    way.try_normalize()
}
