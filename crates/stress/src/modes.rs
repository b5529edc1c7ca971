//! The matrix of a cube in the modes of a cube, where most of it is nought.
//!
//! Method: the eight corner values of one direction are sums of 1, ξ, η, ζ, ξη, ξζ, ηζ and ξηζ; signs alone take corners
//! to modes and back (a Hadamard transform), K = H G Hᵀ with G = Hᵀ K H / 64. In G only three blocks are left, whatever
//! the material: the slopes ξ, η, ζ act through the six strains; the products of two form a block of nine, into which
//! the bubbles are condensed; that of three a block of three; a shift meets no force. That is 126 products for each
//! cube instead of 576, and no approximation: a test holds it to the full matrix.

use crate::brick::Matrix;
use crate::vectors::Real;

/// Cubes that go through a matrix together.
pub(crate) const LANES: usize = 8;

/// Modes that are products of two, by bits: 1 for ξ, 2 for η, 4 for ζ.
const PAIRS: [usize; 3] = [3, 5, 6];

/// Degrees of freedom, direction and mode, of each strain: xx, yy, zz, xy, yz, zx.
const STRAINS: [[(usize, usize); 2]; 6] = [
    [(0, 1), (0, 1)],
    [(1, 2), (1, 2)],
    [(2, 4), (2, 4)],
    [(1, 1), (0, 2)],
    [(2, 2), (1, 4)],
    [(0, 4), (2, 1)],
];

/// The blocks of one cube's matrix.
#[derive(Debug, Clone)]
pub(crate) struct Modes<T> {
    strain: [[T; 6]; 6],
    pairs: [[T; 9]; 9],
    triple: [[T; 3]; 3],
}

/// The sign of a mode at a corner.
fn sign(mode: usize, corner: usize) -> f64 {
    if (mode & !corner).count_ones().is_multiple_of(2) {
        1.0
    } else {
        -1.0
    }
}

impl<T: Real> Modes<T> {
    /// The blocks of a cube's matrix.
    pub fn of(matrix: &Matrix) -> Self {
        let entry = |(direction, mode): (usize, usize), (other, to): (usize, usize)| -> T {
            let mut sum = 0.0;
            for a in 0..8 {
                for b in 0..8 {
                    sum += sign(mode, a) * sign(to, b) * matrix[3 * a + direction][3 * b + other];
                }
            }
            T::of(sum / 64.0)
        };
        let pair = |index: usize| (index % 3, PAIRS[index / 3]);
        Self {
            strain: std::array::from_fn(|i| {
                std::array::from_fn(|j| entry(STRAINS[i][0], STRAINS[j][0]))
            }),
            pairs: std::array::from_fn(|i| std::array::from_fn(|j| entry(pair(i), pair(j)))),
            triple: std::array::from_fn(|i| std::array::from_fn(|j| entry((i, 7), (j, 7)))),
        }
    }

    /// Forces from motions of eight cubes, in place: direction, corner, cube.
    #[inline(always)]
    pub fn apply(&self, share: &[f32; LANES], u: &mut [[[T; LANES]; 8]; 3]) {
        let share: [T; LANES] = share.map(|share| T::of(f64::from(share)));
        for u in u.iter_mut() {
            to_modes(u);
        }
        let mut strain = [[T::default(); LANES]; 6];
        for (part, strain) in strain.iter_mut().enumerate() {
            let [(a, m), (b, n)] = STRAINS[part];
            for lane in 0..LANES {
                strain[lane] = if part < 3 {
                    share[lane] * u[a][m][lane]
                } else {
                    share[lane] * (u[a][m][lane] + u[b][n][lane])
                };
            }
        }
        let stress = product(&self.strain, &strain);
        for (part, stress) in stress.into_iter().enumerate() {
            for (direction, mode) in STRAINS[part] {
                u[direction][mode] = stress;
            }
        }
        let mut pairs = [[T::default(); LANES]; 9];
        for (index, pairs) in pairs.iter_mut().enumerate() {
            for lane in 0..LANES {
                pairs[lane] = share[lane] * u[index % 3][PAIRS[index / 3]][lane];
            }
        }
        for (index, force) in product(&self.pairs, &pairs).into_iter().enumerate() {
            u[index % 3][PAIRS[index / 3]] = force;
        }
        let mut triple = [[T::default(); LANES]; 3];
        for (triple, u) in triple.iter_mut().zip(u.iter()) {
            for lane in 0..LANES {
                triple[lane] = share[lane] * u[7][lane];
            }
        }
        for (force, u) in product(&self.triple, &triple).into_iter().zip(u.iter_mut()) {
            u[7] = force;
            u[0] = [T::default(); LANES];
        }
        for u in u.iter_mut() {
            to_corners(u);
        }
    }
}

#[inline(always)]
fn product<T: Real, const N: usize>(matrix: &[[T; N]; N], by: &[[T; LANES]; N]) -> [[T; LANES]; N] {
    let mut out = [[T::default(); LANES]; N];
    for (j, by) in by.iter().enumerate() {
        for (i, out) in out.iter_mut().enumerate() {
            // The matrix is symmetric: reading along j keeps the row side by side.
            let factor = matrix[j][i];
            for lane in 0..LANES {
                out[lane] += factor * by[lane];
            }
        }
    }
    out
}

#[inline(always)]
fn to_modes<T: Real>(u: &mut [[T; LANES]; 8]) {
    for bit in [1, 2, 4] {
        for low in 0..8 {
            if low & bit == 0 {
                for lane in 0..LANES {
                    let (a, b) = (u[low][lane], u[low | bit][lane]);
                    u[low][lane] = a + b;
                    u[low | bit][lane] = b - a;
                }
            }
        }
    }
}

#[inline(always)]
fn to_corners<T: Real>(u: &mut [[T; LANES]; 8]) {
    for bit in [1, 2, 4] {
        for low in 0..8 {
            if low & bit == 0 {
                for lane in 0..LANES {
                    let (a, b) = (u[low][lane], u[low | bit][lane]);
                    u[low][lane] = a - b;
                    u[low | bit][lane] = a + b;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brick::stiffness;
    use crate::stiffness::{law_of, strain_turn, turned};
    use glam::{DMat3, DVec3};

    /// The blocks against the full matrix, wood with its grain askew.
    #[test]
    fn the_blocks_are_the_matrix() {
        let law = law_of(
            &rondure_wood::find("sugar maple")
                .unwrap()
                .elastic()
                .unwrap(),
        );
        let turn = DMat3::from_axis_angle(DVec3::new(3.0, 1.0, 2.0).normalize(), 0.7);
        let matrix = stiffness(&turned(&law, &strain_turn(turn)), 0.7);
        let motion = |direction: usize, corner: usize, lane: usize| {
            ((7 * direction + 3 * corner + 11 * lane) as f64).sin()
        };
        let mut u = [[[0.0; LANES]; 8]; 3];
        for direction in 0..3 {
            for corner in 0..8 {
                for lane in 0..LANES {
                    u[direction][corner][lane] = motion(direction, corner, lane);
                }
            }
        }
        let share: [f32; LANES] = std::array::from_fn(|lane| lane as f32 / 8.0);
        let largest = matrix[0][0];
        Modes::<f64>::of(&matrix).apply(&share, &mut u);
        for lane in 0..LANES {
            for corner in 0..8 {
                for direction in 0..3 {
                    let exact: f64 = (0..24)
                        .map(|j| matrix[3 * corner + direction][j] * motion(j % 3, j / 3, lane))
                        .sum();
                    let off = u[direction][corner][lane] - f64::from(share[lane]) * exact;
                    assert!(off.abs() < 1e-12 * largest, "{off}");
                }
            }
        }
    }
}
