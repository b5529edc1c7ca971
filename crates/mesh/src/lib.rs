//! Surfaces out of solids, and the files that carry them.

mod audit;
mod draft;
mod lattice;
pub mod mesh;
mod newton;
mod patch;
mod reach;
mod seam;
pub mod stl;
pub mod surface;
mod tidy;
mod tree;

pub use mesh::{Flaw, Mesh, Reached};
pub use surface::{MeshError, Quality, surface};
