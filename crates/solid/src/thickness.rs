//! How thick the wood is behind a place on its surface.
//!
//! The thickness is the diameter of the largest ball that fits in the wood and
//! touches the surface at that place. Its centre slides in along the inward
//! normal; a ball of radius r about foot + r·inward fits exactly while the depth
//! at its centre is r. When another air point y lies nearer, the ball through y
//! that still touches the foot has radius |y − foot|² / (2 inward · (y − foot)),
//! and the search goes on from there: the shrinking-ball iteration, here on the
//! exact distance. It falls towards the answer from above and stops at 1e-9 mm.
//!
//! At an edge of the wood, where no way leads straight in, the thickness is 0. In
//! convex wood, as in a ball, the ball can grow no further than the centre of
//! curvature, and is stopped there.

use glam::DVec3;

use crate::ray::STEP;
use crate::solid::{Face, Solid};

/// The largest ball in the wood that touches one place of its surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thickness {
    /// Diameter of the ball, mm.
    pub thickness: f64,
    /// The place touched, on the surface.
    pub foot: DVec3,
    /// Centre of the ball.
    pub centre: DVec3,
    /// The place that stopped the ball, on the other side of the wall.
    pub opposite: DVec3,
    /// The faces of `foot` and `opposite`.
    pub faces: [Face; 2],
}

impl Solid {
    /// The thickness at the place of the surface nearest to `p`.
    pub fn thickness(&self, p: DVec3) -> Thickness {
        let touch = self.nearest(p);
        let (foot, inward) = (touch.foot, touch.inward);
        let mut found = Thickness {
            thickness: 0.0,
            foot,
            centre: foot,
            opposite: foot,
            faces: [touch.face; 2],
        };
        // The ball holds the way straight in, so it is no wider than that way is long.
        // Starting there, every centre lies in wood.
        let far = self.bounds().size().length();
        let Some(span) = self.first_wood(foot, inward, 0.0, far) else {
            return found;
        };
        if span.enter > STEP {
            return found;
        }
        let mut radius = 0.5 * span.leave;
        found.opposite = foot + inward * span.leave;
        found.faces[1] = span.leave_face.unwrap_or(touch.face);
        // Each turn ends the search or shrinks the ball; the count is a stop for rounding.
        for _ in 0..200 {
            found.centre = foot + inward * radius;
            found.thickness = 2.0 * radius;
            let near = self.nearest(found.centre);
            let gap = near.foot - foot;
            let along = inward.dot(gap);
            if near.depth >= radius - 1e-10 || along <= 0.0 {
                break;
            }
            found.opposite = near.foot;
            found.faces[1] = near.face;
            radius = (gap.length_squared() / (2.0 * along)).min(radius);
        }
        found
    }
}
