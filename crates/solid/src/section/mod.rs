//! Plane sections of the solid as closed loops.
//!
//! A square of the plane is quartered until the depth settles each cell as wood
//! or air, or proves that a single smooth face crosses it with a chord error
//! below the tolerance ([`crate::bend`]), or the cell is smaller than half the
//! tolerance. A cell is never taken for empty on the word of its corners alone.
//! Marching round each leaf, past the corners of smaller neighbours, joins the
//! crossings on its rim; every crossing is left once and reached once, so loops
//! are closed always. Crossings lie on the surface to 1e-9 mm. Where the two ends
//! of a step lie on two faces, the corner between is placed where both depths
//! vanish (Newton within the plane, 1e-9 mm).
//!
//! **Promised.** The loops lie within the tolerance of the true outline, and
//! wood or air wider than the tolerance everywhere is not lost. **Not promised.**
//! Wood or air thinner than half the tolerance may come out broken or not at all;
//! its area is inside [`Section::area_error`]. Where three faces meet within one
//! smallest cell the corner may be cut off, within the tolerance.

mod cells;
mod march;

use glam::{DVec2, DVec3};

use crate::solid::{Face, Solid};

/// A plane with its own frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// The point of the plane that is (0, 0) in its frame.
    pub origin: DVec3,
    /// Unit vector to the right.
    pub right: DVec3,
    /// Unit vector up, square to `right`.
    pub up: DVec3,
}

impl Plane {
    /// The plane through `origin` with the given right and, made square to it, up.
    ///
    /// # Panics
    /// If the two directions are parallel or zero: a broken invariant of the caller, never of a plan.
    pub fn new(origin: DVec3, right: DVec3, up: DVec3) -> Self {
        let right = right
            .try_normalize()
            .expect("a plane's right has a direction");
        let up = (up - right * up.dot(right))
            .try_normalize()
            .expect("a plane's up is not along its right");
        Self { origin, right, up }
    }

    /// The point in space of a point of the plane.
    pub fn space_from_plane(&self, q: DVec2) -> DVec3 {
        self.origin + self.right * q.x + self.up * q.y
    }

    /// A vector's share within the plane.
    pub fn within(&self, v: DVec3) -> DVec2 {
        DVec2::new(v.dot(self.right), v.dot(self.up))
    }
}

/// One closed outline of a section.
#[derive(Debug, Clone, PartialEq)]
pub struct Loop {
    /// The corners in the plane's frame, mm; the last joins the first. Wood lies to the left.
    pub points: Vec<DVec2>,
    /// The face of each segment: entry k is the face between points k and k + 1.
    pub faces: Vec<Face>,
    /// Area enclosed, mm²: positive for an outline of wood, negative for a hole.
    pub area: f64,
}

/// A plane section of the wood.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Outer outlines counter-clockwise, holes clockwise.
    pub loops: Vec<Loop>,
    /// Area of wood in the plane, mm².
    pub area: f64,
    /// Bound on the error of `area`, mm².
    pub area_error: f64,
}

impl Solid {
    /// The section of the wood with a plane, within `tolerance` mm of the true outline.
    /// A tolerance below a millionth of the solid's size is raised to that.
    pub fn section(&self, plane: &Plane, tolerance: f64) -> Section {
        let cells = cells::Cells::settle(self, plane, tolerance);
        march::loops(&cells)
    }
}
