//! Which faces may reach a patch at all, told by boxes.
//!
//! A cut whose box does not meet a patch's box hides nothing of it. So of hundreds of small cuts only the
//! neighbours are looked at closely; the boxes themselves are compared each with each. The blank and
//! half-spaces, which have no box or have the patch inside them, always count.

use glam::{DVec2, DVec3};

use crate::patch::{Curve, Patch};
use crate::side::SAME_SURFACE;
use crate::solid::{Bounds, Face, Solid};

/// The boxes of a solid's cuts.
pub(crate) struct Reaching {
    boxes: Vec<Option<Bounds>>,
}

impl Reaching {
    pub(crate) fn of(solid: &Solid) -> Self {
        // Surfaces that touch count as meeting.
        let apart = DVec3::splat(10.0 * SAME_SURFACE);
        let grown = |bounds: Bounds| Bounds {
            low: bounds.low - apart,
            high: bounds.high + apart,
        };
        let cuts = solid.cuts().iter();
        Self {
            boxes: cuts.map(|cut| cut.bounds().map(grown)).collect(),
        }
    }

    /// The faces that may hide some of a patch of another face, in order.
    pub(crate) fn faces(&self, patch: &Patch) -> impl Iterator<Item = Face> {
        let own = around(patch);
        let blank = std::iter::once(Face::BLANK);
        let cuts = self
            .boxes
            .iter()
            .enumerate()
            .filter_map(move |(index, cut)| {
                let meets = cut.is_none_or(|cut| {
                    own.low.cmple(cut.high).all() && cut.low.cmple(own.high).all()
                });
                meets.then_some(Face(index + 1))
            });
        let not = patch.face;
        blank.chain(cuts).filter(move |face| *face != not)
    }
}

/// A box around a patch.
fn around(patch: &Patch) -> Bounds {
    let (from, to) = (patch.curve.at(patch.from).0, patch.curve.at(patch.to).0);
    // An arc bulges from its chord by no more than its rise; a part is at most half a turn.
    let rise = match patch.curve {
        Curve::Line { .. } => 0.0,
        Curve::Arc { radius, .. } => {
            radius * (1.0 - (0.5 * (patch.to - patch.from) / radius).cos())
        }
    };
    let (low, high) = (from.min(to) - rise, from.max(to) + DVec2::splat(rise));
    let (a, b) = (
        patch.origin + patch.axis * low.x,
        patch.origin + patch.axis * high.x,
    );
    let across = (DVec3::ONE - patch.axis * patch.axis)
        .max(DVec3::ZERO)
        .map(f64::sqrt)
        * high.y;
    Bounds {
        low: a.min(b) - across,
        high: a.max(b) + across,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::patch::patches;
    use crate::{Profile, Region};

    /// Every point of a patch lies in its box, and a far cut is left out where a near one is not.
    #[test]
    fn boxes_hold_their_patches_and_tell_far_from_near() {
        let axis = DVec3::new(0.3, -0.5, 0.8);
        let profile = Profile::ball(20.0).unwrap();
        let hole = |x: f64| {
            let hole = Profile::cylinder(-3.0, 5.0, 2.0).unwrap();
            Region::revolved(DVec3::new(x, 1.0, 0.0), axis, hole)
        };
        let solid = Solid::new(Region::revolved(DVec3::ONE, axis, profile))
            .cut(hole(-10.0))
            .cut(hole(-8.0))
            .cut(hole(10.0));
        let reaching = Reaching::of(&solid);
        for patch in patches(&solid) {
            let own = around(&patch);
            for step in 0..=20 {
                let s = patch.from + (patch.to - patch.from) * f64::from(step) / 20.0;
                for turn in 0..12 {
                    let point = patch.at(DVec2::new(s, f64::from(turn) * 0.53)).0;
                    assert!((own.low - 1e-9).cmple(point).all());
                    assert!(point.cmple(own.high + 1e-9).all());
                }
            }
            if patch.face != Face::BLANK {
                let seen: Vec<Face> = reaching.faces(&patch).collect();
                let other = match patch.face.0 {
                    1 => vec![Face(0), Face(2)],
                    2 => vec![Face(0), Face(1)],
                    _ => vec![Face(0)],
                };
                assert_eq!(seen, other);
            }
        }
    }
}
