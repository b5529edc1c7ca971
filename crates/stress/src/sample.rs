//! The answer at any places: for the corners of a surface, and for the change of a round bore or spigot.
//!
//! Method: a place takes the cube it lies in, or else the nearest of those within two cubes, since the true surface runs
//! through cubes that were too empty to keep; the motion inside a cube is the trilinear one of its corners, carried on
//! for at most half a cube beyond it.

use glam::DVec3;

use crate::answer::Answer;

/// What the answer says about one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// The cube that speaks for it: its number in [`Answer::places`] and in every list of a [`crate::Field`].
    pub cube: usize,
    /// How far it moves, mm.
    pub motion: DVec3,
}

/// A circle after the piece has moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    /// Mean diameter, mm.
    pub mean: f64,
    /// Least diameter, mm.
    pub least: f64,
    /// Greatest diameter, mm.
    pub greatest: f64,
    /// Direction of the greatest diameter, a unit vector.
    pub toward: DVec3,
}

/// Places around a circle that are asked.
const AROUND: usize = 96;

impl Answer<'_> {
    /// What the answer says about places; none where no wood of the model is within two cubes.
    pub fn at(&self, points: &[DVec3]) -> Vec<Option<Sample>> {
        let cells = self.cells();
        let grid = &cells.grid;
        let mut number = vec![u32::MAX; grid.count.iter().product()];
        for (index, cell) in cells.list.iter().enumerate() {
            number[grid.number(cell.at)] = index as u32;
        }
        points
            .iter()
            .map(|&point| {
                let inside = ((point - grid.origin) / grid.edge).floor();
                let first = inside.to_array().map(|x| x as i64);
                let cube = nearest(first, point, grid, &number)?;
                Some(Sample {
                    cube,
                    motion: self.motion_in(cube, point),
                })
            })
            .collect()
    }

    /// The trilinear motion of a cube at a place.
    fn motion_in(&self, cube: usize, point: DVec3) -> DVec3 {
        let cells = self.cells();
        let middle = cells.grid.middle(cells.list[cube].at);
        // 0 to 1 from corner to corner, at most half a cube beyond.
        let share = ((point - middle) / cells.grid.edge + 0.5)
            .clamp(DVec3::splat(-0.5), DVec3::splat(1.5))
            .to_array();
        let mut motion = DVec3::ZERO;
        for (corner, &node) in self.corners(cube).iter().enumerate() {
            let weight: f64 = (0..3)
                .map(|axis| {
                    if corner >> axis & 1 == 1 {
                        share[axis]
                    } else {
                        1.0 - share[axis]
                    }
                })
                .product();
            motion += weight * self.motion_of(node);
        }
        motion
    }

    /// What becomes of a circle of `radius` mm about `axis` through `at`: its mean, least and greatest diameter. None where
    /// less than a quarter of the circle meets wood.
    ///
    /// The outward motion around the circle is fitted by its mean, a shift of the whole, and an oval: what is left
    /// over, such as the waves of a rim with many holes, does not count as oval.
    pub fn round(&self, at: DVec3, axis: DVec3, radius: f64) -> Option<Round> {
        let axis = axis.try_normalize()?;
        let right = axis.any_orthonormal_vector();
        let up = axis.cross(right);
        let turn = |index: usize| std::f64::consts::TAU * index as f64 / AROUND as f64;
        let out = |angle: f64| right * angle.cos() + up * angle.sin();
        let points: Vec<DVec3> = (0..AROUND)
            .map(|index| at + out(turn(index)) * radius)
            .collect();
        let mut normal = [[0.0; 5]; 5];
        let mut right_side = [0.0; 5];
        let mut met = 0;
        for (index, sample) in self.at(&points).into_iter().enumerate() {
            let Some(sample) = sample else { continue };
            met += 1;
            let angle = turn(index);
            let outward = sample.motion.dot(out(angle));
            let parts = [
                1.0,
                angle.cos(),
                angle.sin(),
                (2.0 * angle).cos(),
                (2.0 * angle).sin(),
            ];
            for i in 0..5 {
                right_side[i] += parts[i] * outward;
                for j in 0..5 {
                    normal[i][j] += parts[i] * parts[j];
                }
            }
        }
        if met < AROUND / 4 {
            return None;
        }
        let fit = solved(normal, right_side)?;
        let oval = fit[3].hypot(fit[4]);
        let mean = 2.0 * (radius + fit[0]);
        Some(Round {
            mean,
            least: mean - 2.0 * oval,
            greatest: mean + 2.0 * oval,
            toward: out(0.5 * fit[4].atan2(fit[3])),
        })
    }
}

/// The kept cube nearest to a place, out of those within two of the cube it lies in.
fn nearest(
    first: [i64; 3],
    point: DVec3,
    grid: &crate::grid::Grid,
    number: &[u32],
) -> Option<usize> {
    for reach in 0..=2_i64 {
        let mut best: Option<(f64, usize)> = None;
        for z in -reach..=reach {
            for y in -reach..=reach {
                for x in -reach..=reach {
                    let at = [first[0] + x, first[1] + y, first[2] + z];
                    if (0..3).any(|axis| at[axis] < 0 || at[axis] >= grid.count[axis] as i64) {
                        continue;
                    }
                    let at = at.map(|place| place as u32);
                    let cube = number[grid.number(at)];
                    if cube == u32::MAX {
                        continue;
                    }
                    let distance = grid.middle(at).distance_squared(point);
                    if best.is_none_or(|(least, _)| distance < least) {
                        best = Some((distance, cube as usize));
                    }
                }
            }
        }
        if let Some((_, cube)) = best {
            return Some(cube);
        }
    }
    None
}

/// Five equations by elimination; none where they leave a part open.
fn solved(mut a: [[f64; 5]; 5], mut b: [f64; 5]) -> Option<[f64; 5]> {
    for i in 0..5 {
        let best = (i..5).max_by(|&p, &q| a[p][i].abs().total_cmp(&a[q][i].abs()))?;
        a.swap(i, best);
        b.swap(i, best);
        if a[i][i].abs() < 1e-6 {
            return None;
        }
        for row in i + 1..5 {
            let by = a[row][i] / a[i][i];
            for column in i..5 {
                a[row][column] -= by * a[i][column];
            }
            b[row] -= by * b[i];
        }
    }
    for i in (0..5).rev() {
        let known: f64 = (i + 1..5).map(|j| a[i][j] * b[j]).sum();
        b[i] = (b[i] - known) / a[i][i];
    }
    Some(b)
}
