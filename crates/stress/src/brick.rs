//! The stiffness of one cube of wood: the eight-node brick with incompatible modes.
//!
//! Method: E. L. Wilson, R. L. Taylor, W. P. Doherty and J. Ghaboussi, "Incompatible
//! displacement models" (1973): to the eight corner functions come three bubbles
//! 1 − ξ², 1 − η², 1 − ζ² for each direction, which let the cube bend; they are
//! local and condensed out. On cubes the element passes the patch test as it is.
//! Integration is Gauss' with 2 × 2 × 2 points, exact for every product here.
//!
//! Corners are numbered by bits: 1 for x, 2 for y, 4 for z; degree of freedom
//! 3 · corner + direction.

use crate::stiffness::Law;

/// Degrees of freedom of a cube.
pub const DEGREES: usize = 24;

/// A symmetric matrix over the degrees of freedom of a cube.
pub type Matrix = [[f64; DEGREES]; DEGREES];

/// Strain from motion at one point: six rows.
type Strain = [[f64; DEGREES]; 6];

/// The sign of a corner's local coordinate in one direction.
fn sign(corner: usize, direction: usize) -> f64 {
    if corner >> direction & 1 == 1 {
        1.0
    } else {
        -1.0
    }
}

/// Adds the columns of one function with the given slopes, 1/mm.
fn columns<const N: usize>(b: &mut [[f64; N]; 6], first: usize, slope: [f64; 3]) {
    let [x, y, z] = slope;
    let parts = [
        [x, 0.0, 0.0],
        [0.0, y, 0.0],
        [0.0, 0.0, z],
        [y, x, 0.0],
        [0.0, z, y],
        [z, 0.0, x],
    ];
    for (row, part) in b.iter_mut().zip(parts) {
        row[first..first + 3].copy_from_slice(&part);
    }
}

/// Strain from the motion of the corners at local coordinates −1 to 1 of a cube of edge `edge`, mm.
pub fn strain_at(local: [f64; 3], edge: f64) -> Strain {
    let mut b = [[0.0; DEGREES]; 6];
    for corner in 0..8 {
        let factor = |direction: usize| 1.0 + sign(corner, direction) * local[direction];
        let slope = std::array::from_fn(|direction| {
            let others: f64 = (0..3)
                .filter(|&other| other != direction)
                .map(factor)
                .product();
            // d/dx = 2/edge d/dξ
            0.125 * sign(corner, direction) * others * 2.0 / edge
        });
        columns(&mut b, 3 * corner, slope);
    }
    b
}

fn bubbles_at(local: [f64; 3], edge: f64) -> [[f64; 9]; 6] {
    let mut b = [[0.0; 9]; 6];
    for mode in 0..3 {
        let mut slope = [0.0; 3];
        slope[mode] = -2.0 * local[mode] * 2.0 / edge;
        columns(&mut b, 3 * mode, slope);
    }
    b
}

/// Stiffness of a cube of full wood of edge `edge`, mm, in N/mm.
pub fn stiffness(law: &Law, edge: f64) -> Matrix {
    let mut k = [[0.0; DEGREES]; DEGREES];
    let mut mixed = [[0.0; 9]; DEGREES];
    let mut inner = [[0.0; 9]; 9];
    let volume = edge.powi(3) / 8.0;
    let gauss = 1.0 / 3.0_f64.sqrt();
    for point in 0..8 {
        let local = std::array::from_fn(|direction| gauss * sign(point, direction));
        let (b, a) = (strain_at(local, edge), bubbles_at(local, edge));
        let law_b = product(law, &b);
        let law_a = product(law, &a);
        accumulate(&mut k, &b, &law_b, volume);
        accumulate(&mut mixed, &b, &law_a, volume);
        accumulate(&mut inner, &a, &law_a, volume);
    }
    // K − M A⁻¹ Mᵀ: with A = C Cᵀ and N = M C⁻ᵀ this is K − N Nᵀ.
    let lower = cholesky(inner);
    for row in &mut mixed {
        for i in 0..9 {
            let under: f64 = (0..i).map(|j| lower[i][j] * row[j]).sum();
            row[i] = (row[i] - under) / lower[i][i];
        }
    }
    for i in 0..DEGREES {
        for j in 0..DEGREES {
            let gone: f64 = mixed[i].iter().zip(&mixed[j]).map(|(x, y)| x * y).sum();
            k[i][j] -= gone;
        }
    }
    // Rounding leaves the two halves apart in the last place; the solver wants them equal.
    for i in 0..DEGREES {
        for j in 0..i {
            let middle = 0.5 * (k[i][j] + k[j][i]);
            (k[i][j], k[j][i]) = (middle, middle);
        }
    }
    k
}

/// Forces at the corners of a cube of full wood that wants to strain by `free` but is held, N.
pub fn held_strain(law: &Law, free: &[f64; 6], edge: f64) -> [f64; DEGREES] {
    // The bubbles do no work with a constant stress: their slopes vanish in the mean.
    let stress = crate::stiffness::apply(law, free);
    let b = strain_at([0.0; 3], edge);
    std::array::from_fn(|degree| {
        edge.powi(3)
            * (0..6)
                .map(|part| b[part][degree] * stress[part])
                .sum::<f64>()
    })
}

fn product<const N: usize>(law: &Law, b: &[[f64; N]; 6]) -> [[f64; N]; 6] {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..6).map(|k| law[i][k] * b[k][j]).sum()))
}

fn accumulate<const M: usize, const N: usize>(
    to: &mut [[f64; N]; M],
    left: &[[f64; M]; 6],
    right: &[[f64; N]; 6],
    by: f64,
) {
    for i in 0..M {
        for j in 0..N {
            to[i][j] += by * (0..6).map(|k| left[k][i] * right[k][j]).sum::<f64>();
        }
    }
}

/// The lower triangle of a positive definite matrix.
fn cholesky<const N: usize>(mut a: [[f64; N]; N]) -> [[f64; N]; N] {
    for i in 0..N {
        for j in 0..=i {
            let gone: f64 = (0..j).map(|k| a[i][k] * a[j][k]).sum();
            let left = a[i][j] - gone;
            a[i][j] = if i == j {
                left.max(f64::MIN_POSITIVE).sqrt()
            } else {
                left / a[j][j]
            };
        }
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stiffness::{isotropic, law_of, strain_turn, turned};
    use glam::{DMat3, DVec3};

    fn maple() -> Law {
        let law = law_of(
            &rondure_wood::find("sugar maple")
                .unwrap()
                .elastic()
                .unwrap(),
        );
        turned(
            &law,
            &strain_turn(DMat3::from_axis_angle(
                DVec3::new(3.0, 1.0, 2.0).normalize(),
                0.7,
            )),
        )
    }

    fn moved(motion: impl Fn(DVec3) -> DVec3, edge: f64) -> [f64; DEGREES] {
        std::array::from_fn(|degree| {
            let corner = degree / 3;
            let at = DVec3::new(sign(corner, 0), sign(corner, 1), sign(corner, 2)) * 0.5 * edge;
            motion(at)[degree % 3]
        })
    }

    fn times(k: &Matrix, u: &[f64; DEGREES]) -> [f64; DEGREES] {
        std::array::from_fn(|i| (0..DEGREES).map(|j| k[i][j] * u[j]).sum())
    }

    #[test]
    fn a_rigid_motion_meets_no_force() {
        let k = stiffness(&maple(), 0.7);
        let turn = DVec3::new(0.3, -0.2, 0.9);
        for motion in [
            moved(|_| DVec3::new(1.0, -2.0, 0.5), 0.7),
            moved(|p| turn.cross(p), 0.7),
        ] {
            assert!(times(&k, &motion).iter().all(|force| force.abs() < 1e-8));
        }
    }

    /// The patch test: a constant strain gives exactly the work of a constant stress.
    #[test]
    fn a_constant_strain_does_the_work_of_a_constant_stress() {
        let (law, edge) = (maple(), 0.7);
        let k = stiffness(&law, edge);
        let slopes = DMat3::from_cols_array(&[0.1, 0.3, -0.2, 0.05, -0.4, 0.6, 0.2, 0.1, 0.25]);
        let u = moved(|p| slopes * p, edge);
        let work: f64 = times(&k, &u).iter().zip(u).map(|(f, u)| f * u).sum();
        let e = |i: usize, j: usize| slopes.col(j)[i];
        let strain = [
            e(0, 0),
            e(1, 1),
            e(2, 2),
            e(0, 1) + e(1, 0),
            e(1, 2) + e(2, 1),
            e(2, 0) + e(0, 2),
        ];
        let stress = crate::stiffness::apply(&law, &strain);
        let exact: f64 = stress.iter().zip(strain).map(|(s, e)| s * e).sum::<f64>() * edge.powi(3);
        assert!((work / exact - 1.0).abs() < 1e-12, "{work} {exact}");
    }

    /// Pure bending of a cube with ν = 0 is met exactly by the bubbles: work E I κ² L with I = h⁴/12.
    #[test]
    fn pure_bending_is_exact() {
        let (young, edge, bend) = (9_000.0, 2.0, 1e-3);
        let k = stiffness(&isotropic(young, 0.0), edge);
        let u = moved(|p| DVec3::new(bend * p.x * p.y, 0.0, 0.0), edge);
        let work: f64 = times(&k, &u).iter().zip(u).map(|(f, u)| f * u).sum();
        let exact = young * edge.powi(4) / 12.0 * bend * bend * edge;
        assert!((work / exact - 1.0).abs() < 1e-12, "{}", work / exact);
    }

    #[test]
    fn a_cube_that_strains_as_it_wants_needs_no_force() {
        let (law, edge) = (maple(), 1.3);
        let free = [1e-3, -2e-3, 5e-4, 3e-4, 0.0, -1e-4];
        let u = moved(
            |p| {
                DVec3::new(
                    free[0] * p.x + 0.5 * free[3] * p.y + 0.5 * free[5] * p.z,
                    0.5 * free[3] * p.x + free[1] * p.y + 0.5 * free[4] * p.z,
                    0.5 * free[5] * p.x + 0.5 * free[4] * p.y + free[2] * p.z,
                )
            },
            edge,
        );
        let needed = times(&stiffness(&law, edge), &u);
        for (needed, held) in needed.iter().zip(held_strain(&law, &free, edge)) {
            assert!((needed - held).abs() < 1e-9);
        }
    }
}
