//! How thick the wood is behind every vertex: the largest ball in the wood that touches the
//! surface there.
//!
//! The ball's centre lies on the inward normal. Any point y of the air, seen from the vertex
//! p along the normal n, allows no radius above |y − p|² / (2 n · (y − p)); the foot of every
//! face gives a first bound, the nearest air to the ball's centre ever better ones (the
//! shrinking ball). A centre in the air allows half its radius. Faces farther from p than the
//! ball is wide are no longer looked at.

use rayon::prelude::*;
use rondure_solid::{DVec3, Face, Solid};

use crate::mesh::Mesh;

/// A ball is in the wood when no air enters it by more than this, mm.
const CLOSE: f64 = 1e-7;
/// Balls tried at most; each is smaller than the last.
const ROUNDS: usize = 200;

/// The thickness of the wood at every vertex of a mesh of the solid, mm: the diameter of the
/// largest ball in the wood that touches the surface there, to 1e-6 mm; 0 on sharp edges.
///
/// Vertices lie on the surface, as those of [`Quality::chord`](crate::Quality::chord) do;
/// the normal is that of one of the triangles around. Faces on which the mesh has no
/// triangle are left out: the wood behind a vertex ends at others before it comes to theirs.
pub fn thickness_at_vertices(solid: &Solid, mesh: &Mesh) -> Vec<f64> {
    let mut met = vec![false; solid.cuts().len() + 1];
    let mut inward = vec![DVec3::ZERO; mesh.positions.len()];
    for (index, corners) in mesh.triangles.iter().enumerate() {
        if let Some(met) = met.get_mut(mesh.face_of[index].0) {
            *met = true;
        }
        for (k, &corner) in corners.iter().enumerate() {
            inward[corner as usize] = -DVec3::from(mesh.normals[index][k]);
        }
    }
    let faces: Vec<Face> = solid.faces().filter(|face| met[face.0]).collect();
    let largest = 0.5 * solid.bounds().size().length();
    mesh.positions
        .par_iter()
        .zip(&inward)
        .with_min_len(64)
        .map_init(Vec::new, |near, (position, &inward)| {
            2.0 * radius(solid, &faces, DVec3::from(*position), inward, largest, near)
        })
        .collect()
}

/// The radius of the largest ball in the wood that touches `p`, its centre along `inward`.
fn radius(
    solid: &Solid,
    faces: &[Face],
    p: DVec3,
    inward: DVec3,
    largest: f64,
    near: &mut Vec<(f64, Face)>,
) -> f64 {
    let allowed = |y: DVec3| {
        let gap = y - p;
        let along = inward.dot(gap);
        // A point beside or behind p, or p itself, says nothing.
        if along > 1e-9 * gap.length() && gap.length() > CLOSE {
            gap.length_squared() / (2.0 * along)
        } else {
            f64::INFINITY
        }
    };
    let mut radius = largest;
    near.clear();
    for &face in faces {
        let touch = solid.touch(face, p);
        near.push((touch.depth, face));
        radius = radius.min(allowed(touch.foot));
    }
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    for _ in 0..ROUNDS {
        if radius < CLOSE {
            return 0.0;
        }
        let centre = p + inward * radius;
        let mut least = (f64::INFINITY, Face::BLANK);
        for &(away, face) in near.iter() {
            if away > 2.0 * radius {
                break;
            }
            let depth = solid.depth_to(face, centre);
            if depth < least.0 {
                least = (depth, face);
            }
        }
        if least.0 >= radius - CLOSE {
            return radius;
        }
        let mut next = allowed(solid.touch(least.1, centre).foot);
        if least.0 < 0.0 {
            next = next.min(0.5 * radius);
        }
        if next >= radius {
            // The nearest air is p's own neighbourhood: the surface bends as the ball does.
            return radius;
        }
        radius = next;
    }
    radius
}
