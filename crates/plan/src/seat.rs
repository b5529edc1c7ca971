//! Seats: what a centre bears on, from the true solid at that moment.
//!
//! Down the mounting's axis, rings of growing radius are laid on the wood. The
//! seat reaches as far as whole rings meet one and the same surface; beyond
//! lies an edge, another cut or air. Marker holes are passed over: the centre's
//! point goes into them. Rings are tried at sixteen places each and their
//! radius is closed in on to a tenth of a millimetre, so an edge that only
//! pokes in between two places can be missed by a little.

use rondure_solid::{DVec3, Face, Solid};

use crate::process::{CutKind, State};

/// What a centre bears on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bearing {
    /// The ball's own surface.
    Ball,
    /// The bottom of a cove.
    Cove,
    /// A crest too narrow for any centre.
    Ridge,
    /// Some other cut.
    Other,
    /// No wood on the axis.
    Air,
}

impl Bearing {
    /// In a turner's words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Ball => "the ball's surface",
            Self::Cove => "the bottom of a cove",
            Self::Ridge => "a ridge",
            Self::Other => "another cut",
            Self::Air => "air",
        }
    }
}

/// The seat of one centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seat {
    /// What it bears on.
    pub bearing: Bearing,
    /// Where the axis meets the wood, mm.
    pub at: DVec3,
    /// Distance of that point from the piece's centre, mm.
    pub out: f64,
    /// Largest radius at which a whole ring still bears on that surface, mm.
    pub radius: f64,
    /// Wood behind the seat along the axis, mm.
    pub behind: f64,
}

/// A crest narrower than this on the radius carries no centre, mm: half the smallest ring
/// centres in use. Common practice, no source.
pub const NARROWEST: f64 = 2.0;
/// Places tried on each ring.
const PLACES: u32 = 16;
/// How closely the seat's radius is found, mm.
const CLOSE: f64 = 0.1;

/// The seat of a centre that comes from outside along −`direction` to the piece's centre.
/// `reach` is the radius, mm, from which wood may begin; `widest` the largest ring of interest.
pub fn seat(state: &State, direction: DVec3, reach: f64, widest: f64) -> Seat {
    let unmarked = state.without(&[CutKind::Marker]);
    let solid = &unmarked.solid;
    let meets =
        |offset: DVec3| solid.first_wood(direction * reach + offset, -direction, 0.0, reach);
    let Some(middle) = meets(DVec3::ZERO) else {
        return Seat {
            bearing: Bearing::Air,
            at: DVec3::ZERO,
            out: 0.0,
            radius: 0.0,
            behind: 0.0,
        };
    };
    let at = direction * (reach - middle.enter);
    let face = middle.enter_face.unwrap_or(Face::BLANK);
    let right = direction.any_orthonormal_vector();
    let up = direction.cross(right);
    let whole_ring = |radius: f64| {
        (0..PLACES).all(|place| {
            let angle = std::f64::consts::TAU * f64::from(place) / f64::from(PLACES);
            let offset = radius * (right * angle.cos() + up * angle.sin());
            on_face(solid, face, at + offset, direction, radius)
        })
    };
    let mut holds = 0.0;
    let mut fails = widest;
    // Rings grow until one fails, then the border is halved down to.
    let mut radius = 1.0;
    while radius < widest {
        if whole_ring(radius) {
            holds = radius;
            radius *= 1.4;
        } else {
            fails = radius;
            break;
        }
    }
    while fails - holds > CLOSE {
        let between = 0.5 * (holds + fails);
        if whole_ring(between) {
            holds = between;
        } else {
            fails = between;
        }
    }
    let bearing = if holds < NARROWEST {
        Bearing::Ridge
    } else {
        match unmarked.cut_of(face).map(|cut| cut.kind) {
            Some(CutKind::Ball) => Bearing::Ball,
            Some(CutKind::Cove) => Bearing::Cove,
            _ => Bearing::Other,
        }
    };
    Seat {
        bearing,
        at,
        out: at.dot(direction),
        radius: holds,
        behind: middle.leave - middle.enter,
    }
}

/// Whether the wood under a point beside the axis begins at `face`, within a ring's radius of the
/// height of the seat's middle (a ring that has farther to go finds no seat there).
fn on_face(solid: &Solid, face: Face, beside: DVec3, direction: DVec3, radius: f64) -> bool {
    let from = beside + direction * radius;
    solid
        .first_wood(from, -direction, 0.0, 2.0 * radius)
        .is_some_and(|span| span.enter_face == Some(face))
}
