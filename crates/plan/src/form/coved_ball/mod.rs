//! The form "coved ball": a ball bored from pole to pole, coved on n/2 axes
//! across its equator, pierced at the bottoms of the coves, with finials.
//!
//! Order of work: rough the blank between centres; round and bore the ball in
//! a chuck; reverse it and bore through; mount it on each pair of opposite
//! marks in turn, drilling the marker holes before the cove that would swallow
//! their marks; pierce last, when no centre needs the wood any more; then the
//! finials and the assembly.

pub mod finial_outline;
pub mod layout;
pub mod sizes;

pub mod ball;
pub mod clearance;
mod expand;
pub mod finials;
pub mod mountings;
pub mod piercing;
pub mod rough;
pub mod stock;
pub mod template;
pub mod whip;

pub use expand::{Expanded, expand};
pub use layout::Layout;
pub use stock::Stock;

/// Index of the ball among the pieces.
pub const BALL: usize = 0;
