//! Cubes of wood: which cells of a regular grid hold wood, and how much of each.
//!
//! Method: a box whose centre is deeper in the wood, or farther in the air, than
//! its half-diagonal is settled at once, since the depth changes by at most one
//! millimetre for each millimetre of way. A cell that one surface cuts has its
//! share of wood from the plane that touches the surface there, in closed form;
//! one that several cut, from 128 points of a low-discrepancy sequence, which
//! unlike a regular grid has no bias on planes at 45°. Either way it is kept in 128ths.
//!
//! Guaranteed: only the largest part that hangs together by faces of cells is
//! kept, since a part joined by an edge alone would be a hinge; cells with less
//! wood than [`LEAST_SHARE`] are left out. How much wood that drops is told.
//! Not guaranteed: a wall thinner than a cell is there as soft cells, not as a wall.

use glam::DVec3;
use rayon::prelude::*;
use rondure_solid::{Face, Solid};

use crate::StressError;
use crate::grain::Grain;

/// Cells with less wood than this are left out.
pub const LEAST_SHARE: f64 = 0.05;
/// Points in a cell that several surfaces cut.
const POINTS: usize = 128;
/// Cells along a block that is tried whole first.
const BLOCK: usize = 8;
/// More cells than this do not fit the memory of a small machine.
const MOST_CELLS: usize = 60_000_000;

/// One cube with wood in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cell {
    /// Its place along x, y and z.
    pub at: [u32; 3],
    /// How much of it is wood, 0 to 1.
    pub share: f64,
    /// Its orientation of the grain.
    pub kind: u16,
}

/// A regular grid of cubes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Grid {
    /// Corner of the first cell, mm.
    pub origin: DVec3,
    /// Edge of a cell, mm.
    pub edge: f64,
    /// Cells along x, y and z.
    pub count: [usize; 3],
}

impl Grid {
    /// The middle of a cell.
    pub fn middle(&self, at: [u32; 3]) -> DVec3 {
        self.origin
            + (DVec3::new(f64::from(at[0]), f64::from(at[1]), f64::from(at[2])) + 0.5) * self.edge
    }

    /// The number of a cell in a full grid.
    pub fn number(&self, at: [u32; 3]) -> usize {
        (at[2] as usize * self.count[1] + at[1] as usize) * self.count[0] + at[0] as usize
    }
}

/// The wood as cubes.
#[derive(Debug, Clone)]
pub(crate) struct Cells {
    pub grid: Grid,
    /// The cells that are kept, by z, then y, then x.
    pub list: Vec<Cell>,
    /// Volume of wood in them, mm³.
    pub volume: f64,
    /// Volume of wood in cells left out, mm³.
    pub dropped: f64,
}

impl Cells {
    /// Fills the solid with cubes of edge `edge`, mm; `shift` moves the grid by a part of a cell.
    pub fn fill(
        solid: &Solid,
        grain: &Grain,
        edge: f64,
        shift: DVec3,
    ) -> Result<Self, StressError> {
        if !(edge.is_finite() && edge > 0.0) {
            return Err(StressError::Cell { edge });
        }
        let bounds = solid.bounds();
        let origin = bounds.low - (DVec3::splat(0.5) + shift).fract() * edge;
        let size = (bounds.high - origin) / edge;
        let count = [size.x, size.y, size.z].map(|cells| cells.ceil().max(1.0) as usize);
        let all = count
            .iter()
            .try_fold(1_usize, |all, cells| all.checked_mul(*cells));
        if all.is_none_or(|all| all > MOST_CELLS) {
            return Err(StressError::TooFine {
                edge,
                most: MOST_CELLS,
            });
        }
        let grid = Grid {
            origin,
            edge,
            count,
        };
        let (found, crumbs) = found(solid, grain, &grid);
        let whole = (found.iter().map(|cell| cell.share).sum::<f64>() + crumbs) * edge.powi(3);
        let list = largest_part(&grid, found);
        if list.is_empty() {
            return Err(StressError::NoWood);
        }
        let volume = list.iter().map(|cell| cell.share).sum::<f64>() * edge.powi(3);
        Ok(Self {
            grid,
            list,
            volume,
            dropped: whole - volume,
        })
    }
}

/// Every cell with wood, by z, then y, then x, and the wood in cells with too little, in cells.
fn found(solid: &Solid, grain: &Grain, grid: &Grid) -> (Vec<Cell>, f64) {
    let blocks = grid.count.map(|cells| cells.div_ceil(BLOCK));
    let points = points();
    // A layer of blocks at a time: its cells come out in order after one sort.
    let layers: Vec<(Vec<Cell>, f64)> = (0..blocks[2])
        .into_par_iter()
        .map(|z| {
            let mut cells = Vec::new();
            let mut crumbs = 0.0;
            for y in 0..blocks[1] {
                for x in 0..blocks[0] {
                    crumbs += block(solid, grain, grid, [x, y, z], &points, &mut cells);
                }
            }
            cells.sort_unstable_by_key(|cell| grid.number(cell.at));
            (cells, crumbs)
        })
        .collect();
    let (cells, crumbs): (Vec<Vec<Cell>>, Vec<f64>) = layers.into_iter().unzip();
    (cells.concat(), crumbs.iter().sum())
}

/// Adds the cells of a block; the wood in those with too little, in cells.
fn block(
    solid: &Solid,
    grain: &Grain,
    grid: &Grid,
    at: [usize; 3],
    points: &[DVec3],
    cells: &mut Vec<Cell>,
) -> f64 {
    let reach = 0.5 * 3.0_f64.sqrt() * grid.edge;
    let first = at.map(|block| block * BLOCK);
    let past: [usize; 3] = std::array::from_fn(|axis| (first[axis] + BLOCK).min(grid.count[axis]));
    let low = DVec3::new(first[0] as f64, first[1] as f64, first[2] as f64);
    let middle = grid.origin + (low + 0.5 * BLOCK as f64) * grid.edge;
    let depth = solid.depth(middle);
    if depth < -reach * BLOCK as f64 {
        return 0.0;
    }
    let mut crumbs = 0.0;
    let full = depth > reach * BLOCK as f64;
    for z in first[2]..past[2] {
        for y in first[1]..past[1] {
            for x in first[0]..past[0] {
                let at = [x as u32, y as u32, z as u32];
                let middle = grid.middle(at);
                let share = if full {
                    1.0
                } else {
                    share(solid, middle, grid.edge, reach, points)
                };
                if share >= LEAST_SHARE {
                    cells.push(Cell {
                        at,
                        share,
                        kind: grain.kind_at(middle) as u16,
                    });
                } else {
                    crumbs += share;
                }
            }
        }
    }
    crumbs
}

/// How much of a cell is wood.
fn share(solid: &Solid, middle: DVec3, edge: f64, reach: f64, points: &[DVec3]) -> f64 {
    let depth = solid.depth(middle);
    if depth >= reach {
        return 1.0;
    }
    if depth <= -reach {
        return 0.0;
    }
    let near: Vec<Face> = solid
        .faces()
        .filter(|&face| solid.depth_to(face, middle) < reach)
        .collect();
    if let [face] = near[..] {
        let touch = solid.touch(face, middle);
        let wood = beyond_plane(touch.inward, touch.depth / edge);
        return (wood * POINTS as f64).round() / POINTS as f64;
    }
    let wood = points
        .iter()
        .filter(|&&point| {
            near.iter()
                .all(|&face| solid.depth_to(face, middle + point * edge) > 0.0)
        })
        .count();
    wood as f64 / points.len() as f64
}

/// Share of the unit cube about the origin where n · p + d > 0, n a unit vector.
///
/// The volume of a box cut by a plane is a sum of cubes over the corners on one
/// side, alternating in sign: V = Σ ± (n · corner + d)₊³ / (6 n₁ n₂ n₃). A part of n
/// near zero would lose it all to rounding and is kept off zero, which moves the
/// plane by less than 1e-4 of the cell.
fn beyond_plane(normal: DVec3, d: f64) -> f64 {
    let n = normal.abs().max(DVec3::splat(1e-4));
    let mut sum = 0.0;
    for corner in 0..8_u32 {
        let sign = |axis: u32| if corner >> axis & 1 == 1 { 0.5 } else { -0.5 };
        let height = n.x * sign(0) + n.y * sign(1) + n.z * sign(2) + d;
        let odd = (3 - corner.count_ones()) % 2 == 1;
        sum += if odd { -1.0 } else { 1.0 } * height.max(0.0).powi(3);
    }
    (sum / (6.0 * n.x * n.y * n.z)).clamp(0.0, 1.0)
}

/// Points of the unit cube about the origin: multiples of the powers of the root of
/// x⁴ = x + 1, whose fractions fill space evenly (M. Roberts, "The unreasonable
/// effectiveness of quasirandom sequences", 2018; from memory).
fn points() -> Vec<DVec3> {
    const ROOT: f64 = 1.220_744_084_605_759_5;
    let step = DVec3::new(ROOT.powi(-1), ROOT.powi(-2), ROOT.powi(-3));
    (0..POINTS)
        .map(|k| (DVec3::splat(0.5) + step * (k as f64 + 1.0)).fract() - 0.5)
        .collect()
}

/// The largest part that hangs together by faces, in the same order.
fn largest_part(grid: &Grid, cells: Vec<Cell>) -> Vec<Cell> {
    let mut number = vec![u32::MAX; grid.count.iter().product()];
    for (index, cell) in cells.iter().enumerate() {
        number[grid.number(cell.at)] = index as u32;
    }
    let mut part = vec![u32::MAX; cells.len()];
    let (mut best, mut most) = (0, 0);
    let mut waiting = Vec::new();
    for seed in 0..cells.len() {
        if part[seed] != u32::MAX {
            continue;
        }
        let mut count = 0;
        part[seed] = seed as u32;
        waiting.push(seed);
        while let Some(index) = waiting.pop() {
            count += 1;
            let at = cells[index].at;
            for axis in 0..3 {
                for step in [-1_i64, 1] {
                    let moved = i64::from(at[axis]) + step;
                    if moved < 0 || moved >= grid.count[axis] as i64 {
                        continue;
                    }
                    let mut beside = at;
                    beside[axis] = moved as u32;
                    let other = number[grid.number(beside)];
                    if other != u32::MAX && part[other as usize] == u32::MAX {
                        part[other as usize] = seed as u32;
                        waiting.push(other as usize);
                    }
                }
            }
        }
        if count > most {
            (best, most) = (seed as u32, count);
        }
    }
    let kept = cells
        .into_iter()
        .zip(part)
        .filter(|(_, part)| *part == best);
    kept.map(|(cell, _)| cell).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rondure_solid::{Profile, Region};

    fn straight() -> Grain {
        Grain::Straight {
            along: DVec3::Z,
            radial: DVec3::X,
        }
    }

    #[test]
    fn a_plane_cuts_a_cube_as_it_should() {
        assert!((beyond_plane(DVec3::X, 0.25) - 0.75).abs() < 1e-3);
        assert!((beyond_plane(DVec3::NEG_Z, -0.5)).abs() < 1e-3);
        assert!((beyond_plane(DVec3::ONE.normalize(), 0.0) - 0.5).abs() < 1e-12);
        // A corner cut off: the tetrahedron of edge a at a corner holds a³/6.
        let n = DVec3::ONE.normalize();
        let a = 0.3;
        let d = -n.x * (1.5 - a);
        assert!((beyond_plane(n, d) - a.powi(3) / 6.0).abs() < 1e-12);
        assert!((beyond_plane(n, 2.0) - 1.0).abs() < 1e-12);
    }

    /// A ball and a tilted bore: the cubes hold its volume to far better than a cell's share.
    #[test]
    fn volume_is_that_of_the_solid() {
        let ball = Solid::new(Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::ball(20.0).unwrap(),
        ));
        let cells = Cells::fill(&ball, &straight(), 1.0, DVec3::ZERO).unwrap();
        let exact = 4.0 / 3.0 * std::f64::consts::PI * 20.0_f64.powi(3);
        assert!(((cells.volume + cells.dropped) / exact - 1.0).abs() < 1e-3);
        let bore = Region::revolved(
            DVec3::ZERO,
            DVec3::new(1.0, 2.0, 3.0),
            Profile::cylinder(-50.0, 50.0, 6.0).unwrap(),
        );
        let cells = Cells::fill(&ball.cut(bore), &straight(), 1.0, DVec3::ZERO).unwrap();
        // Napkin ring: π h³ / 6 with h the height of the bore's wall (trade facts 9.4).
        let exact = std::f64::consts::PI * (2.0 * (400.0_f64 - 36.0).sqrt()).powi(3) / 6.0;
        assert!(((cells.volume + cells.dropped) / exact - 1.0).abs() < 2e-3);
        assert!(cells.dropped >= 0.0 && cells.dropped / exact < 2e-3);
        assert!(
            cells
                .list
                .is_sorted_by_key(|cell| cells.grid.number(cell.at))
        );
    }

    /// A saw kerf through a ball leaves two parts, of which one is kept and the other told of.
    #[test]
    fn what_does_not_hang_together_is_dropped_and_told() {
        let ball = Solid::new(Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::ball(10.0).unwrap(),
        ));
        let kerf = Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::cylinder(2.0, 4.5, 30.0).unwrap(),
        );
        let cells = Cells::fill(&ball.cut(kerf), &straight(), 0.5, DVec3::ZERO).unwrap();
        // The cap above 4.5 mm: π h² (3R − h) / 3 with h = 5.5 (trade facts 9.3).
        let cap = std::f64::consts::PI * 5.5_f64.powi(2) * (30.0 - 5.5) / 3.0;
        assert!(
            (cells.dropped / cap - 1.0).abs() < 0.02,
            "{} {cap}",
            cells.dropped
        );
    }

    #[test]
    fn no_wood_and_no_size_are_errors() {
        let ball = Solid::new(Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::ball(10.0).unwrap(),
        ));
        let gone = ball.cut(Region::beyond(DVec3::X, -20.0));
        assert_eq!(
            Cells::fill(&gone, &straight(), 1.0, DVec3::ZERO).unwrap_err(),
            StressError::NoWood
        );
        assert!(matches!(
            Cells::fill(&ball, &straight(), 0.0, DVec3::ZERO),
            Err(StressError::Cell { .. })
        ));
        assert!(matches!(
            Cells::fill(&ball, &straight(), 1e-4, DVec3::ZERO),
            Err(StressError::TooFine { .. })
        ));
    }
}
