//! The plan: what a turner wants to make, and everything that follows from it.
//!
//! plan file → plan (validated once, millimetres inside) → the form expands
//! to pieces, set-ups and steps → the solid after each step → measures and
//! findings → [`Report`](report::Report).

pub mod balance;
pub mod batch;
pub mod beam;
pub mod bench;
pub mod broken_cut;
pub mod caution;
pub mod convex;
pub mod evaluate;
pub mod explain;
pub mod facets;
pub mod field;
pub mod figure;
mod figures;
pub mod findings;
pub mod fits;
pub mod form;
pub mod hold;
pub mod memory;
pub mod order;
pub mod outline;
pub mod plan;
pub mod process;
pub mod quick;
pub mod rack;
pub mod reader;
pub mod report;
pub mod rescale;
pub mod scene;
pub mod seat;
pub mod speed;
pub mod study;
pub mod trial;
pub mod units;

pub use evaluate::{Outcome, evaluate, evaluate_quick, evaluate_with};
pub use memory::Memory;
