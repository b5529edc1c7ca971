//! The directions of the wood at each point: along the grain (L), across the rings (R), along them (T).

use glam::{DMat3, DVec3};

/// How the grain runs through a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Grain {
    /// Straight, as in a blank cut well away from the pith: the rings are flat.
    Straight {
        /// Along the grain; any length but zero.
        along: DVec3,
        /// Across the rings; need not be quite square to `along`.
        radial: DVec3,
    },
    /// Straight along the grain, with rings about the pith.
    RoundPith {
        /// A point of the pith, mm.
        pith: DVec3,
        /// Along the grain and the pith; any length but zero.
        along: DVec3,
    },
}

/// How many directions of the radius are told apart about a pith, over half a turn: stiffness is the
/// same for a radius and its opposite.
pub(crate) const BINS: usize = 64;

impl Grain {
    /// Number of different orientations.
    pub(crate) fn kinds(&self) -> usize {
        match self {
            Self::Straight { .. } => 1,
            Self::RoundPith { .. } => BINS,
        }
    }

    /// The orientation at a point.
    pub(crate) fn kind_at(&self, p: DVec3) -> usize {
        match *self {
            Self::Straight { .. } => 0,
            Self::RoundPith { pith, along } => {
                let [_, right, up] = base(along, along.any_orthogonal_vector());
                let from = p - pith;
                let angle = from
                    .dot(up)
                    .atan2(from.dot(right))
                    .rem_euclid(std::f64::consts::PI);
                let share = angle / std::f64::consts::PI * BINS as f64;
                // At the pith itself every radius is as good as another.
                (share.round() as usize) % BINS
            }
        }
    }

    /// The unit vectors L, R and T of an orientation, as the rows of a matrix: it takes a vector of
    /// space to its parts along L, R and T.
    pub(crate) fn wood_from_space(&self, kind: usize) -> DMat3 {
        let [along, radial, tangential] = match *self {
            Self::Straight { along, radial } => base(along, radial),
            Self::RoundPith { along, .. } => {
                let [along, right, up] = base(along, along.any_orthogonal_vector());
                let (sin, cos) = (std::f64::consts::PI * kind as f64 / BINS as f64).sin_cos();
                let radial = right * cos + up * sin;
                [along, radial, along.cross(radial)]
            }
        };
        DMat3::from_cols(along, radial, tangential).transpose()
    }
}

fn base(along: DVec3, radial: DVec3) -> [DVec3; 3] {
    let along = along.normalize_or(DVec3::Z);
    let across = (radial - along * radial.dot(along)).normalize_or(along.any_orthonormal_vector());
    [along, across, along.cross(across)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_are_square_to_each_other_and_the_radius_points_from_the_pith() {
        let grain = Grain::RoundPith {
            pith: DVec3::new(3.0, -1.0, 7.0),
            along: DVec3::new(0.0, 0.3, 2.0),
        };
        for step in 0..97 {
            let p = DVec3::new(
                (step as f64).sin() * 20.0,
                (1.7 * step as f64).cos() * 30.0,
                step as f64,
            );
            let turn = grain.wood_from_space(grain.kind_at(p));
            assert!((turn.determinant() - 1.0).abs() < 1e-12);
            assert!((turn * turn.transpose()).abs_diff_eq(DMat3::IDENTITY, 1e-12));
            let along = DVec3::new(0.0, 0.3, 2.0).normalize();
            let out = p - DVec3::new(3.0, -1.0, 7.0);
            let out = (out - along * out.dot(along)).normalize();
            // Half a bin is 180° / 128.
            assert!((turn.row(1).dot(out)).abs() > (std::f64::consts::PI / 127.0).cos());
        }
    }

    #[test]
    fn a_crooked_radius_is_squared_up() {
        let grain = Grain::Straight {
            along: DVec3::Z * 4.0,
            radial: DVec3::new(1.0, 0.0, 5.0),
        };
        let turn = grain.wood_from_space(0);
        assert!(
            turn.abs_diff_eq(DMat3::from_cols(DVec3::Y, DVec3::Z, DVec3::X), 1e-12)
                || turn.row(0).distance(DVec3::Z) < 1e-12
        );
        assert!(turn.row(1).distance(DVec3::X) < 1e-12);
    }
}
