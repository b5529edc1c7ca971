//! How thick the wood is behind every vertex.

use rayon::prelude::*;
use rondure_solid::{DVec3, Face, Solid};

use crate::mesh::Mesh;

/// The thickness of the wood at every vertex of a mesh of the solid, mm: the diameter of the
/// largest ball in the wood that touches the surface there, on the exact solid to 1e-9 mm
/// ([`Solid::thickness`]); 0 on edges from which no way leads straight in.
///
/// Faces on which the mesh has no triangle are left out: the wood behind a vertex ends at
/// others before it comes to theirs.
pub fn thickness_at_vertices(solid: &Solid, mesh: &Mesh) -> Vec<f64> {
    let mut met = vec![false; solid.cuts().len() + 1];
    for face in &mesh.face_of {
        if let Some(met) = met.get_mut(face.0) {
            *met = true;
        }
    }
    let bare = solid
        .faces()
        .filter(|face| *face != Face::BLANK && met[face.0])
        .fold(Solid::new(solid.blank().clone()), |bare, face| {
            bare.cut(solid.region(face).clone())
        });
    mesh.positions
        .par_iter()
        .with_min_len(64)
        .map(|position| bare.thickness(DVec3::from(*position)).thickness)
        .collect()
}
