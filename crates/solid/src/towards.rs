//! The distance to one of several feet that a point has on the same face.
//!
//! On the crease between two feet the face's own distance belongs to neither. Measured a little way towards a
//! foot it belongs to that one, and so do its gradient and the foot as it moves along.

use glam::DVec3;

use crate::solid::{Face, Solid};

/// Share of the way to the foot at which the distance is measured.
const TOWARDS: f64 = 0.1;

/// Signed distance, its gradient at `p`, and the foot that was at `foot`.
pub(crate) fn measure(solid: &Solid, face: Face, foot: DVec3, p: DVec3) -> (f64, DVec3, DVec3) {
    let nearer = p.lerp(foot, TOWARDS);
    let touch = solid.touch(face, nearer);
    let straight = (p - foot).normalize_or_zero();
    let gradient = touch.inward * (1.0 - TOWARDS) + straight * TOWARDS;
    (touch.depth + p.distance(nearer), gradient, touch.foot)
}
