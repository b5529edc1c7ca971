//! The true solid of a turned piece.
//!
//! A piece is its blank minus what each step removes. Every removed region is
//! a body of revolution about its own axis or a half-space, so its distance is
//! a plane problem in (station, radius), solved exactly for outlines of straight
//! lines and circular arcs. From that one function come volumes, walls, necks,
//! sections and surfaces.
//!
//! **Signs.** A [`Region`]'s signed distance is *negative inside the region*.
//! A [`Solid`]'s depth is *positive inside the wood*: the distance to the
//! nearest air. Depth is exact inside the wood (the distance to a union is the
//! least of the distances) and 1-Lipschitz everywhere; outside the wood it is
//! only a lower bound of the distance to it.
//!
//! **Units.** Lengths are millimetres, angles radians, double precision
//! throughout. The crate knows no wood and no lathe.
//!
//! ```
//! use rondure_solid::{DVec3, Profile, Region, Solid};
//!
//! // A ball of radius 30 mm, bored 19 mm along z.
//! let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(30.0)?);
//! let bore = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::cylinder(-40.0, 40.0, 9.5)?);
//! let solid = Solid::new(ball).cut(bore);
//! let midway = DVec3::new(19.75, 0.0, 0.0);
//! assert!((solid.depth(midway) - 10.25).abs() < 1e-12);
//! # Ok::<(), rondure_solid::ProfileError>(())
//! ```

mod around;
pub mod bend;
mod coaxial;
mod crossing;
pub mod digest;
pub mod distance;
pub mod edges;
mod elimination;
mod flux;
mod lattice;
mod leaves;
pub mod lines;
mod meetings;
pub mod moments;
pub mod nearby;
pub mod necks;
mod needed;
pub mod octree;
pub mod part;
mod patch;
pub mod pieces;
mod polygon;
pub mod profile;
pub mod ray;
mod reaching;
pub mod region;
pub mod section;
mod side;
mod slant;
pub mod solid;
pub mod states;
mod tally;
pub mod thickness;
mod towards;
mod trace;
pub mod webs;

pub use digest::{Digest, Digester};
pub use edges::Edge;
pub use glam::{DMat4, DVec2, DVec3};
pub use lines::{Drawing, DrawnLine, EdgeLine, LineKind, View};
pub use moments::{Accuracy, Moments, moments};
pub use necks::{Bulk, Neck};
pub use pieces::{Bridge, Fineness, Piece, Pieces, pieces, pieces_knowing};
pub use profile::{Path, Profile, ProfileError, Turn};
pub use ray::Span;
pub use region::{Feature, Region};
pub use section::{Loop, Plane, Section};
pub use solid::{Bounds, Face, Solid, Touch};
pub use states::Settled;
pub use thickness::Thickness;
pub use webs::Web;
