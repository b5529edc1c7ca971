//! Volume, surface, centre of mass and inertia of a solid, each with an honest bound.
//!
//! Summed over the surface (see `flux.rs` and `tally.rs` in this crate): exact on all that
//! is surely bare, doubtful only along edges. The true value lies within the stated error
//! of the stated value; the asked relative error of the volume is met, or the answer says
//! it was not (where faces touch without crossing along a whole line about different
//! axes, or come within micrometres of each other over an area).

use glam::{DMat3, DVec3};

use crate::flux::{Doubt, Sums};
use crate::side::SAME_SURFACE;
use crate::solid::Solid;
use crate::tally::{Tally, tally};

/// How well a volume is to be known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Largest error of the volume, as a share of it.
    pub relative: f64,
}

impl Default for Accuracy {
    /// One part in ten thousand: far below what a scale shows for wood.
    fn default() -> Self {
        Self { relative: 1e-4 }
    }
}

/// Volume and its moments, for density 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moments {
    /// Volume, mm³.
    pub volume: f64,
    /// The true volume is no farther away, mm³.
    pub volume_error: f64,
    /// Surface, mm².
    pub area: f64,
    /// The true surface is no farther away, mm².
    pub area_error: f64,
    /// Centre of mass, mm. The middle of the blank where there may be no wood at all.
    pub centre_of_mass: DVec3,
    /// The true centre of mass is no farther away, mm.
    pub centre_error: f64,
    /// Inertia about the centre of mass, axes x, y, z, mm⁵.
    pub inertia: DMat3,
    /// No entry of the true inertia is farther away, mm⁵.
    pub inertia_error: f64,
    /// Whether the accuracy asked for was reached.
    pub reached: bool,
}

/// Volume, surface, centre of mass and inertia of the wood.
pub fn moments(solid: &Solid, accuracy: Accuracy) -> Moments {
    let centre = solid.bounds().centre();
    let tallies = tally(solid, centre, accuracy.relative, 1, &|_, _| 0);
    Moments::from_tally(solid, &tallies[0], accuracy.relative)
}

impl Moments {
    pub(crate) fn from_tally(solid: &Solid, tally: &Tally, relative: f64) -> Self {
        let bounds = solid.bounds();
        let far = 0.5 * bounds.size().length();
        let Tally { sums, mut doubt } = *tally;
        doubt.add(&rounding(&sums, far));
        let Sums {
            area,
            volume,
            first,
            square,
            mixed,
        } = sums;
        let least = volume - doubt.volume;
        let known = least > 0.0;
        let shift = if known { first / volume } else { DVec3::ZERO };
        let centre_error = if known {
            ((doubt.first + shift.length() * doubt.volume) / least).min(2.0 * far)
        } else {
            far
        };
        // Second moments about the centre of mass: P - V c cᵀ = P - M Mᵀ / V.
        let about = |a: usize, b: usize, p: f64| p - volume * shift[a] * shift[b];
        let (xx, yy, zz) = (
            about(0, 0, square.x),
            about(1, 1, square.y),
            about(2, 2, square.z),
        );
        let (yz, zx, xy) = (
            about(1, 2, mixed.x),
            about(2, 0, mixed.y),
            about(0, 1, mixed.z),
        );
        let inertia = DMat3::from_cols(
            DVec3::new(yy + zz, -xy, -zx),
            DVec3::new(-xy, zz + xx, -yz),
            DVec3::new(-zx, -yz, xx + yy),
        );
        let inertia_error = if known {
            let m = first.length();
            let of_product = (2.0 * m * doubt.first + doubt.first * doubt.first) / least
                + m * m * doubt.volume / (volume * least);
            2.0 * (doubt.second + of_product)
        } else {
            2.0 * (volume.abs() + doubt.volume) * far * far
        };
        Self {
            volume,
            volume_error: doubt.volume,
            area,
            area_error: doubt.area,
            centre_of_mass: bounds.centre() + shift,
            centre_error,
            inertia,
            inertia_error,
            reached: doubt.volume <= relative * volume,
        }
    }
}

/// Rounding in sums and integrals, and surfaces taken for one that are a nanometre apart.
fn rounding(sums: &Sums, far: f64) -> Doubt {
    let gap = 2.0 * SAME_SURFACE * (sums.area.abs() + far * far);
    let volume = gap + 1e-12 * sums.area.abs() * far;
    Doubt {
        area: 1e-9 * (sums.area.abs() + far * far),
        volume,
        first: volume * far,
        second: volume * far * far,
    }
}
