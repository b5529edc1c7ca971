//! The faces' places that a wall or a passage stands on.

use glam::DVec3;

use crate::solid::{Face, Solid};
use crate::towards;

/// A place of a face that is held apart from others of the same face.
#[derive(Debug, Clone, Copy)]
pub(super) struct Foot {
    pub face: Face,
    pub at: DVec3,
    /// Whether the same face has another foot in the set, so that this one must be looked towards.
    pub shared: bool,
}

/// Signed distance to a foot's face, its gradient, and the foot moved along.
pub(super) fn measure(solid: &Solid, foot: &Foot, p: DVec3) -> (f64, DVec3, DVec3) {
    if foot.shared {
        return towards::measure(solid, foot.face, foot.at, p);
    }
    let touch = solid.touch(foot.face, p);
    (touch.depth, touch.inward, touch.foot)
}
