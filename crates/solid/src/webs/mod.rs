//! The webs of wood between cuts.
//!
//! A web is where two faces, or two places of one face, come nearest to each
//! other through the wood: the least of the sum of the two distances. It is found
//! as a pair of feet, each the other's nearest, with the wood between them
//! unbroken. The blank's outside counts as a face. Where the sum would go on
//! falling past a third face that ends the wall (a tapering wall at its rim, a
//! rib between two holes at the bore), the least over the wood lies on that third
//! face, and [`Web::ends_at`] names it; the feet of the two distances may then
//! lie a little outside the wood, in the air of that face.
//!
//! Seeds come from the boxes of a lattice: for every two faces the boxes where
//! the sum is less than in all six neighbours, and for one face the neighbours
//! between which its inward direction turns round. Each seed is settled by a
//! Newton search on the sum (gradient exact, its changes by differences), to
//! 1e-9 in the slope, which puts the thickness well below 1e-6 mm.
//!
//! **Not promised.** A web whose neighbourhood, over which the sum is falling
//! towards it, is narrower than two boxes can be missed. It is the width of the
//! cuts that matters, not how thin the web is.

mod rim;
mod search;
mod seeds;

use glam::DVec3;

use crate::lattice::Lattice;
use crate::necks::Neck;
use crate::needed::Needed;
use crate::solid::{Face, Solid};

/// The thinnest wood between two faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Web {
    /// Least sum of the distances to the two faces, mm.
    pub thickness: f64,
    /// The nearest point of each face.
    pub feet: [DVec3; 2],
    /// The faces, in order; the same twice where a face comes near itself.
    pub faces: [Face; 2],
    /// The third face at which the wall is thinnest, where it ends there.
    pub ends_at: Option<Face>,
    /// Whether the two faces also meet in an edge somewhere on the wood.
    pub meets: bool,
}

impl Web {
    /// The middle between the feet.
    pub fn middle(&self) -> DVec3 {
        self.feet[0].midpoint(self.feet[1])
    }
}

impl Solid {
    /// The thinnest web of every pair of faces that has one, thinnest first, sought on a
    /// lattice of at most `spacing` mm ([`Solid::default_spacing`] serves most pieces).
    pub fn webs(&self, spacing: f64) -> Vec<Web> {
        let needed = Needed::of(self);
        let lattice = Lattice::over(&needed.solid, spacing);
        webs_on(&needed, &lattice)
    }

    /// Webs and necks together, on one lattice: [`Solid::webs`] and [`Solid::necks`] for less.
    pub fn walls(&self, spacing: f64) -> (Vec<Web>, Vec<Neck>) {
        let needed = Needed::of(self);
        let lattice = Lattice::over(&needed.solid, spacing);
        rayon::join(
            || webs_on(&needed, &lattice),
            || needed.solid.necks_on(&lattice),
        )
    }

    /// A lattice spacing for [`Solid::webs`] and [`Solid::necks`]: a thirtieth of the blank's
    /// geometric mean size, mm. The boxes' edges are the spacing or, so that whole boxes fill
    /// the bounds, somewhat less.
    pub fn default_spacing(&self) -> f64 {
        self.bounds().size().element_product().cbrt() / 30.0
    }
}

/// The webs of the wood that is left, with faces as in the whole solid.
pub(crate) fn webs_on(needed: &Needed, lattice: &Lattice) -> Vec<Web> {
    let mut webs = search::thinnest(&needed.solid, lattice);
    for web in &mut webs {
        web.faces = web.faces.map(|face| needed.face(face));
        web.ends_at = web.ends_at.map(|face| needed.face(face));
    }
    webs
}
