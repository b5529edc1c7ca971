//! Line drawings of the exact solid: edges, silhouettes, and which of them are hidden.
//!
//! Lines are worked out on the true surfaces, not on a mesh. Edges between faces
//! turned about one axis and corners of one outline are circles; other edges are
//! followed by Newton's steps with both depths within 1e-9 mm. Silhouettes of
//! turned faces are known in closed form. All are kept where they bound the wood;
//! rays through the exact depth towards the eye find the hidden stretches. Lines
//! that fall on each other in the view are drawn once, what is seen before what
//! is hidden; then points are thinned out to the tolerance.
//!
//! **Promised.** Every point lies on the wood's surface to 1e-7 mm (within the tolerance
//! where a line was cut off beside another it falls on), and every chord within the
//! tolerance of its line; a face that goes on into another without a
//! corner gives no line. The same bytes come out on any number of cores.
//! **Not promised.** A bite out of a line narrower than √tolerance (0.22 mm at
//! 0.05 mm), an edge all of which lies inside one box of a 48th of the piece and
//! meets no other edge, and wood that hides a line by less than a quarter of the
//! tolerance along the view can be missed. Joints flatter than 0.06° count as smooth.

mod boxes;
mod circles;
mod crossings;
mod edges;
mod follow;
mod hidden;
mod overlap;
mod run;
mod scene;
mod sheet;
mod silhouettes;
mod tidy;

use glam::{DVec2, DVec3};

pub use edges::EdgeLine;

use crate::lines::scene::Scene;
use crate::solid::{Face, Solid};

/// Where the eye looks from infinitely far away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// The way the eye looks, from the eye towards the piece; any length but 0.
    pub direction: DVec3,
    /// What is up on paper; made square to the direction.
    pub up: DVec3,
}

/// What a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineKind {
    /// Where two faces meet.
    Edge,
    /// A corner of one cut's own outline.
    Crease,
    /// Where a face turns away from the eye.
    Silhouette,
}

/// A line of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnLine {
    /// Its points in the view, mm: right and up of the origin's place.
    pub points: Vec<DVec2>,
    /// The same points in space, on the wood's surface.
    pub places: Vec<DVec3>,
    /// Included angle of the wood at each point, radians; π along a silhouette.
    pub angles: Vec<f64>,
    /// What it is.
    pub kind: LineKind,
    /// Whether the eye sees it, or wood stands before it.
    pub visible: bool,
    /// The faces it lies on; one twice for a silhouette or a crease.
    pub faces: [Face; 2],
    /// Whether the last point joins the first.
    pub closed: bool,
}

/// A drawing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// All lines: hidden ones first, so that what is seen is drawn over them.
    pub lines: Vec<DrawnLine>,
}

/// The view's own axes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Frame {
    right: DVec3,
    up: DVec3,
    ahead: DVec3,
}

impl View {
    /// Unit vectors to the right, up and ahead. A direction of no length looks down (against
    /// z); an up along the direction is replaced by one square to it.
    pub fn axes(&self) -> (DVec3, DVec3, DVec3) {
        let ahead = self.direction.try_normalize().unwrap_or(DVec3::NEG_Z);
        let right = ahead.cross(self.up.normalize_or_zero());
        let right = if right.length() > 1e-9 {
            right.normalize()
        } else {
            ahead.any_orthonormal_vector()
        };
        (right, right.cross(ahead), ahead)
    }

    /// A point of space in the view, mm.
    pub fn view_from_space(&self, p: DVec3) -> DVec2 {
        let (right, up, _) = self.axes();
        DVec2::new(p.dot(right), p.dot(up))
    }
}

impl Frame {
    fn flat(&self, p: DVec3) -> DVec2 {
        DVec2::new(p.dot(self.right), p.dot(self.up))
    }
}

impl Solid {
    /// The lines of the solid as seen in a view, within `tolerance` mm (at least 1e-4).
    pub fn drawing(&self, view: &View, tolerance: f64) -> Drawing {
        let tolerance = tolerance.max(1e-4);
        let (right, up, ahead) = view.axes();
        let frame = Frame { right, up, ahead };
        let scene = Scene::new(self, tolerance);
        let mut runs = edges::edges(&scene);
        runs.extend(silhouettes::silhouettes(&scene, ahead));
        let pieces = hidden::pieces(&scene, &runs, &frame, tolerance);
        let pieces = overlap::drawn_once(pieces, &frame, tolerance);
        Drawing {
            lines: tidy::lines(&scene, pieces, &frame, 0.75 * tolerance),
        }
    }
}
