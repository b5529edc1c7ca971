//! The law of the material: stress from strain, in the axes of space.
//!
//! Order of parts everywhere: xx, yy, zz, xy, yz, zx; shear strains are engineering strains
//! γ = 2ε. In the wood's own axes read L, R, T for x, y, z: LL, RR, TT, LR, RT, TL.

use glam::DMat3;
use rondure_wood::Elastic;

/// A symmetric relation of six parts of stress to six of strain.
pub type Law = [[f64; 6]; 6];

/// Stress, MPa, from strain, in the wood's own axes: the inverse of the symmetric compliance.
pub fn law_of(elastic: &Elastic) -> Law {
    let s = elastic.compliance();
    // Columns or rows, the compliance is symmetric.
    let inverse = DMat3::from_cols_array_2d(&s).inverse().to_cols_array_2d();
    let mut law = [[0.0; 6]; 6];
    for i in 0..3 {
        law[i][..3].copy_from_slice(&inverse[i]);
    }
    law[3][3] = elastic.shear_lr;
    law[4][4] = elastic.shear_rt;
    law[5][5] = elastic.shear_lt;
    law
}

/// Stress from strain of a material that is alike in all directions.
pub fn isotropic(young: f64, poisson: f64) -> Law {
    let lame = young * poisson / ((1.0 + poisson) * (1.0 - 2.0 * poisson));
    let shear = young / (2.0 * (1.0 + poisson));
    let mut law = [[0.0; 6]; 6];
    for i in 0..3 {
        for j in 0..3 {
            law[i][j] = lame + if i == j { 2.0 * shear } else { 0.0 };
        }
        law[i + 3][i + 3] = shear;
    }
    law
}

const PAIRS: [(usize, usize); 6] = [(0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0)];

/// Takes strains of space to strains along L, R, T; `rows` takes a vector to its parts along L, R, T.
///
/// ε' = A ε Aᵀ, written for six parts with γ = 2ε (Bond's matrix).
pub fn strain_turn(rows: DMat3) -> Law {
    let a = |i: usize, j: usize| rows.col(j)[i];
    std::array::from_fn(|row| {
        let (i, j) = PAIRS[row];
        std::array::from_fn(|column| {
            let (k, l) = PAIRS[column];
            let both = a(i, k) * a(j, l) + a(i, l) * a(j, k);
            match (row < 3, column < 3) {
                (true, true) => a(i, k) * a(i, k),
                (true, false) => a(i, k) * a(i, l),
                (false, true) => 2.0 * a(i, k) * a(j, k),
                (false, false) => both,
            }
        })
    })
}

/// The law in the axes of space: Tᵀ C T.
pub fn turned(law: &Law, turn: &Law) -> Law {
    let mut half = [[0.0; 6]; 6];
    for i in 0..6 {
        for j in 0..6 {
            half[i][j] = (0..6).map(|k| law[i][k] * turn[k][j]).sum();
        }
    }
    let mut out = [[0.0; 6]; 6];
    for i in 0..6 {
        for j in 0..6 {
            out[i][j] = (0..6).map(|k| turn[k][i] * half[k][j]).sum();
        }
    }
    out
}

/// A law or a turn applied.
pub fn apply(law: &Law, to: &[f64; 6]) -> [f64; 6] {
    std::array::from_fn(|i| (0..6).map(|j| law[i][j] * to[j]).sum())
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec3;

    fn close(a: &Law, b: &Law, by: f64) {
        for (x, y) in a.iter().flatten().zip(b.iter().flatten()) {
            assert!((x - y).abs() <= by, "{x} {y}");
        }
    }

    fn some_turn() -> DMat3 {
        DMat3::from_axis_angle(DVec3::new(1.0, 2.0, -0.5).normalize(), 0.83)
    }

    #[test]
    fn a_material_alike_in_all_directions_is_alike_after_a_turn() {
        let law = isotropic(12_000.0, 0.31);
        close(&turned(&law, &strain_turn(some_turn())), &law, 1e-8);
    }

    #[test]
    fn turning_there_and_back_changes_nothing() {
        let maple = law_of(
            &rondure_wood::find("sugar maple")
                .unwrap()
                .elastic()
                .unwrap(),
        );
        let there = turned(&maple, &strain_turn(some_turn()));
        close(
            &turned(&there, &strain_turn(some_turn().transpose())),
            &maple,
            1e-8,
        );
    }

    /// A quarter turn about L swaps R and T.
    #[test]
    fn a_quarter_turn_swaps_the_ring_directions() {
        let law = law_of(
            &rondure_wood::find("sugar maple")
                .unwrap()
                .elastic()
                .unwrap(),
        );
        let quarter = DMat3::from_rotation_x(std::f64::consts::FRAC_PI_2);
        let turned = turned(&law, &strain_turn(quarter));
        assert!((turned[1][1] - law[2][2]).abs() < 1e-9);
        assert!((turned[2][2] - law[1][1]).abs() < 1e-9);
        assert!((turned[3][3] - law[5][5]).abs() < 1e-9);
        assert!((turned[4][4] - law[4][4]).abs() < 1e-9);
    }

    /// Pulling along L alone gives Young's modulus: 1 / (inverse of the law).
    #[test]
    fn a_pull_along_the_grain_meets_youngs_modulus() {
        let elastic = rondure_wood::find("black walnut")
            .unwrap()
            .elastic()
            .unwrap();
        let law = law_of(&elastic);
        let s = elastic.compliance();
        let strain = [s[0][0], s[1][0], s[2][0], 0.0, 0.0, 0.0].map(|x| 10.0 * x);
        let stress = apply(&law, &strain);
        assert!((stress[0] - 10.0).abs() < 1e-9 && stress[1..].iter().all(|x| x.abs() < 1e-9));
        assert!((10.0 / strain[0] - elastic.along).abs() < 1e-6);
    }
}
