//! Surfaces out of solids, and the files that carry them.
//!
//! [`surface()`] makes a closed triangle [`Mesh`] of a solid from its exact distances,
//! asked for by chord error in mm or by the error of the volume ([`Quality`]).
//!
//! **By edges** (`exact`). Every face is a sheet of revolution or a plane. The circles where
//! outlines have corners and the curves where faces cross are followed by Newton's method
//! from corner to corner (`exact/way`); windows of the sheets, halved by the exact distance,
//! give the places to begin (`exact/windows`). Each sheet is laid flat so that even triangles
//! in the plane are as fine on the sheet as its bends ask, long along a bore and short about
//! it (`exact/chart`), and filled between its edges by a constrained Delaunay triangulation
//! (`exact/fill`; the library is spade). Nothing is sampled on a grid, so thin webs, narrow
//! strips and sharp grooves cost nothing.
//!
//! **By lattice**, where the edges cannot be told: faces that touch along a line, coincide in
//! part, or meet on a pole. An octree splits down to the bends of the faces (`tree`); marching
//! tetrahedra over it give a first surface (`lattice`; the method is of 1991, its body-centred
//! lattice that of isosurface stuffing, 2007, both from memory); its triangles are cut along
//! the exact edges faces share (`seam`), faired (`tidy`, `unfold`) and looked over (`audit`),
//! and cells are split where the audit asks for it; eight times at most.
//!
//! **Guaranteed.** The mesh is closed, 2-manifold and faces the air: checked before it is
//! given away ([`Mesh::check`]); otherwise there is an error. The same input gives the same
//! mesh on any number of cores.
//!
//! **Reached, and told where not** ([`Reached`]). Every vertex lies on the solid's
//! surface and on the face of each of its triangles to 1e-6 mm, so a vertex on an edge
//! is on both faces and a corner on all three; where a volume was asked for, only those on
//! edges do, and the others are off by what is told. Every triangle stays within the chord
//! error of its face, measured at its middle and the middles of its edges with a tenth
//! in hand, and faces the way its face does. Triangles that cross each other are looked for
//! ([`Mesh::crossings`]) wherever the wood behind them may be thinner than twice the chord
//! error, and the surface made finer, five times at most, until there are none; walls with both
//! sides in one outline are not looked at. By edges the areas of all sheets are checked
//! against those of their windows, to a tenth.
//!
//! **Not guaranteed.** By edges: a loop smaller than a window that hides beside another
//! edge of the same two sheets may be passed over, and a share of a joint's circle shorter
//! than 0.1 mm; where that leaves the surface open the lattice is asked. By lattice: triangles
//! may cross, strips of a face, and grooves sharper than about 60°, narrower than
//! `least_wall_mm` may be blunt (counted), a window narrower than a cell may be closed where
//! its edges are nearer than the chord error, pieces smaller than three least cells and wood
//! thinner than 1e-4 mm are left out, and bores that are one surface may each carry the
//! other's name near their joint. Some triangles are thin.
//!
//! **Coarse to fine.** A surface at ten times the chord error takes milliseconds, is as
//! closed and shows every web; the finer one is made anew.
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
