//! The solid: a blank minus its cuts.
//!
//! Its depth at a point is the least of the distances to the outside of the
//! blank and to each cut: exact inside the wood, 1-Lipschitz everywhere, so a
//! ball about a point that is smaller than the depth's size is settled.
//! Cutting gives a new solid and leaves the old one as it was; regions share
//! their profiles, so a state after every step costs little.

use glam::DVec3;

use crate::region::Region;

/// Which surface bounds the wood at a place: 0 is the blank, k the k-th cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Face(pub usize);

impl Face {
    /// The outside of the blank.
    pub const BLANK: Self = Self(0);
}

/// A blank and the regions removed from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Solid {
    blank: Region,
    cuts: Vec<Region>,
}

/// The nearest air to a point, or the nearest wood's edge from the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// Depth below the surface, mm; positive inside the wood.
    pub depth: f64,
    /// The surface it is measured to.
    pub face: Face,
    /// The nearest point of that surface.
    pub foot: DVec3,
    /// Unit vector into the wood: along it the depth grows fastest.
    pub inward: DVec3,
}

/// A box along the axes, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least coordinates.
    pub low: DVec3,
    /// Greatest coordinates.
    pub high: DVec3,
}

impl Solid {
    /// A blank with nothing cut yet.
    pub fn new(blank: Region) -> Self {
        Self {
            blank,
            cuts: Vec::new(),
        }
    }

    /// A blank with all its cuts, in order.
    pub fn with_cuts(blank: Region, cuts: Vec<Region>) -> Self {
        Self { blank, cuts }
    }

    /// The solid after one more cut.
    #[must_use]
    pub fn cut(&self, region: Region) -> Self {
        let mut next = self.clone();
        next.cuts.push(region);
        next
    }

    /// The blank.
    pub fn blank(&self) -> &Region {
        &self.blank
    }

    /// The cuts, in order; cut k is face k + 1.
    pub fn cuts(&self) -> &[Region] {
        &self.cuts
    }

    /// All faces: the blank, then the cuts.
    pub fn faces(&self) -> impl Iterator<Item = Face> + use<> {
        (0..=self.cuts.len()).map(Face)
    }

    /// The region of a face.
    pub fn region(&self, face: Face) -> &Region {
        if face == Face::BLANK {
            &self.blank
        } else {
            &self.cuts[face.0 - 1]
        }
    }

    /// Distance from `p` to the air behind one face, mm; positive on the wood's side.
    pub fn depth_to(&self, face: Face, p: DVec3) -> f64 {
        let distance = self.region(face).signed_distance(p);
        if face == Face::BLANK {
            -distance
        } else {
            distance
        }
    }

    /// Distance from `p` to the air behind one face, with foot and inward direction.
    pub fn touch(&self, face: Face, p: DVec3) -> Touch {
        let near = self.region(face).nearest(p);
        let side = if face == Face::BLANK { -1.0 } else { 1.0 };
        Touch {
            depth: side * near.distance,
            face,
            foot: near.foot,
            inward: side * near.gradient,
        }
    }

    /// Depth below the surface, mm: positive inside the wood, where it is the exact
    /// distance to the nearest air.
    pub fn depth(&self, p: DVec3) -> f64 {
        let blank = -self.blank.signed_distance(p);
        self.cuts
            .iter()
            .map(|cut| cut.signed_distance(p))
            .fold(blank, f64::min)
    }

    /// The nearest air, with its face, foot and inward direction. Of equally near
    /// faces the earliest is named.
    pub fn nearest(&self, p: DVec3) -> Touch {
        let mut best = (f64::INFINITY, Face::BLANK);
        for face in self.faces() {
            let depth = self.depth_to(face, p);
            if depth < best.0 {
                best = (depth, face);
            }
        }
        self.touch(best.1, p)
    }

    /// A bound on the curvature (1/mm) of one face's distance within `reach` mm of `p`,
    /// or none where it may have a crease.
    pub fn bend(&self, face: Face, p: DVec3, reach: f64) -> Option<f64> {
        self.region(face).bend(p, reach)
    }

    /// A box around the wood.
    ///
    /// # Panics
    /// If the blank is a half-space, which no billet is.
    pub fn bounds(&self) -> Bounds {
        self.blank.bounds().expect("a blank is bounded")
    }
}

impl Bounds {
    /// Edges of the box, mm.
    pub fn size(&self) -> DVec3 {
        self.high - self.low
    }

    /// Middle of the box.
    pub fn centre(&self) -> DVec3 {
        0.5 * (self.low + self.high)
    }
}
