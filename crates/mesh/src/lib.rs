//! Surfaces out of solids, and the files that carry them.
//!
//! [`surface()`] makes a closed triangle [`Mesh`] of a solid from its exact distances,
//! asked for by chord error in mm. The way there: an octree splits down to the bends
//! of the faces (`tree`); marching tetrahedra over it give a first surface (`lattice`;
//! the method is of 1991, its body-centred lattice that of isosurface stuffing, 2007,
//! both from memory); its triangles are cut along the exact edges faces share (`seam`),
//! faired (`tidy`, `unfold`) and looked over (`audit`), and cells are split where the
//! audit asks for it; the surface is made eight times at most.
//!
//! **Guaranteed.** The mesh is closed, 2-manifold and faces the air: by construction,
//! and checked before it is given away ([`Mesh::check`]); otherwise there is an error.
//! The same input gives the same mesh on any number of cores.
//!
//! **Reached, and told where not** ([`Reached`]). Every vertex lies on the solid's
//! surface and on the face of each of its triangles to 1e-6 mm, so a vertex on an edge
//! is on both faces and a corner on all three. Every triangle stays within the chord
//! error of its face, measured at its middle and the middles of its edges with a tenth
//! in hand, and faces the way its face does. Wood down to 1e-4 mm thick is kept whatever
//! the size of the cells.
//!
//! **Not guaranteed.** Triangles may cross each other, most likely where wood is
//! thinner than the chord error. Strips of a face, and grooves sharper than about 60°,
//! narrower than `least_wall_mm` may be blunt: their vertices then stand off by less
//! than that, and the triangles are counted. A window narrower than a cell may be closed
//! where its edges are nearer than the chord error. Pieces smaller than three least
//! cells are left out. The tip of a cone is no vertex of its own; it keeps the chord
//! error. Bores that are one surface may each carry the other's name near their joint.
//! The mesh is not smoothed for shape; some triangles are thin.
//!
//! **Files** ([`Format`]): 3MF in millimetres, coloured and named by cut ([`threemf`]);
//! binary glTF with exact normals and numbers along the surface ([`gltf`]); binary STL
//! ([`stl`]). All are streamed, carry no date, and refuse what they cannot hold before the
//! first byte ([`Unfit`]).
//!
//! ```
//! use rondure_mesh::{Format, Labels, Quality, surface};
//! use rondure_solid::{DVec3, Profile, Region, Solid};
//!
//! let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(30.0)?);
//! let bore = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::cylinder(-40.0, 40.0, 9.5)?);
//! let mesh = surface(&Solid::new(ball).cut(bore), Quality::chord(0.1))?;
//! assert_eq!(mesh.euler_characteristic(), 0); // one hole through it
//! let labels = Labels::new("Napkin ring", ["ball", "bore"]);
//! let mut file = Vec::new();
//! Format::ThreeMf.write(&mesh, &labels, &mut file)?;
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod archive;
mod audit;
pub mod colour;
mod crossings;
mod draft;
mod exact;
pub mod format;
pub mod gltf;
pub mod labels;
mod lattice;
pub mod mesh;
mod newton;
mod patch;
mod reach;
mod rings;
mod seam;
pub mod stl;
pub mod surface;
pub mod threemf;
mod tidy;
mod tree;
mod unfold;
pub mod wall;

pub use colour::Colour;
pub use format::Format;
pub use labels::{Labels, Unfit, Value};
pub use mesh::{Flaw, Mesh, Reached};
pub use surface::{MeshError, Quality, surface};
pub use wall::thickness_at_vertices;
