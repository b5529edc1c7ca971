//! Connected parts of the wood: what holds together and what falls off.
//!
//! Boxes of an octree that are wholly wood and touch are surely joined. From a box that
//! the surface passes through, a walk inwards of balls that overlap, each as large as the
//! depth allows, joins it to the wood it belongs to. Where two parts come near each other
//! through boxes not settled, those boxes are halved until the parts are joined, apart,
//! or the wood between them can only be thinner than a given bridge; then they count as
//! two pieces and the answer says that this is in doubt.
//!
//! A part that holds no ball of a given radius is a crumb, not a piece. To miss none
//! larger, boxes where the depth may have a summit (`slant.rs`) are halved to that size. All
//! starts from coarse boxes; in a sound piece few are ever halved.

mod answer;
mod climb;
mod doubts;
mod search;

use glam::DVec3;

use crate::moments::{Accuracy, Moments};
use crate::solid::{Bounds, Solid};
use search::Search;

/// How finely pieces are told apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fineness {
    /// Wood between two parts that is thinner than this may be taken for none, mm.
    pub bridge: f64,
    /// A part without a ball of this radius is a crumb, mm.
    pub crumb: f64,
}

impl Default for Fineness {
    /// A bridge of 0.05 mm holds nothing; a part of less than a millimetre is swept away.
    fn default() -> Self {
        Self {
            bridge: 0.05,
            crumb: 0.5,
        }
    }
}

/// The connected parts of the wood.
#[derive(Debug, Clone, PartialEq)]
pub struct Pieces {
    /// The pieces, the largest first.
    pub pieces: Vec<Piece>,
    /// Parts found that hold no ball of the crumb's radius.
    pub crumbs: usize,
    /// Their volume together is at most this, mm³.
    pub crumb_volume: f64,
    /// Where it is in doubt that two of the pieces are apart, and how thin the wood there is.
    pub doubtful: Vec<Bridge>,
    /// Whether the number of pieces is certain.
    pub certain: bool,
}

/// One piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Volume, centre of mass and the rest. Where a doubtful bridge touches the piece, its
    /// errors leave out what may belong to the other side of the bridge.
    pub moments: Moments,
    /// A point deep inside, mm.
    pub point: DVec3,
    /// Depth there, mm.
    pub depth: f64,
    /// A box around it, no tighter than the boxes it was found with, mm.
    pub bounds: Bounds,
}

/// A place where wood may or may not join two pieces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bridge {
    /// About here, mm.
    pub at: DVec3,
    /// No ball wider than this passes, mm.
    pub width: f64,
}

/// The connected parts of a solid's wood, with volumes to the accuracy asked for (as a share of
/// all the wood).
pub fn pieces(solid: &Solid, fineness: Fineness, accuracy: Accuracy) -> Pieces {
    pieces_knowing(solid, fineness, accuracy, &|| None)
}

/// As [`pieces`], where the moments of all the wood together may be known already: they are asked
/// for, once, where the wood is all in one piece, which then has them.
pub fn pieces_knowing(
    solid: &Solid,
    fineness: Fineness,
    accuracy: Accuracy,
    whole: &(dyn Fn() -> Option<Moments> + Sync),
) -> Pieces {
    let mut search = Search::new(solid, fineness);
    let (doubtful, complete) = search.refine();
    search.answer(doubtful, complete, accuracy, whole)
}
