//! Wood thinner than the cells: sharp edges and webs between the samples.
//!
//! A lattice of samples sees a wedge or a web only where it is as thick as a cell.
//! Therefore a sample in the air counts as wood when wood is within its own cell of
//! the lattice (the Voronoi cell of the body-centred lattice), and its vertices are
//! put at the nearest point of the wood, edges and corners favoured. The cells that
//! wood passes through are neighbours in the lattice, so neither a web nor the tip of
//! an edge falls apart between samples, and no vertices crowd near a sample. Air
//! narrower than a cell is closed by this; the tree splits cells between walls of
//! one cut, and the audit those in which a triangle spans air.

use glam::DVec3;
use rondure_solid::Face;

use crate::newton::settle;
use crate::patch::{PatchId, Patches, Sense};

/// The farthest a sample's Voronoi cell reaches, in spacings: √5 / 4.
const REACH: f64 = 0.56;
/// Wood thinner than this is none, mm.
const SKIN: f64 = 1e-4;

/// The nearest wood to a sample in the air, where it is in the sample's own cell of spacing `size`.
pub(crate) fn wood_in_reach(
    patches: &Patches<'_>,
    faces: &[Face],
    p: DVec3,
    size: f64,
) -> Option<DVec3> {
    let reach = REACH * size;
    if patches.depth(faces, p) < -reach {
        return None;
    }
    let mut near: Vec<(PatchId, Sense)> = Vec::new();
    for &face in faces {
        if patches.solid().depth_to(face, p).abs() > 2.0 * size {
            continue;
        }
        for patch in patches.of_face(face) {
            if patches.distance(patch, p) < 2.0 * size {
                near.push((patch, patches.sense(patch, p)));
            }
        }
    }
    let real = |on: &[PatchId]| {
        settle(patches, on, None, p, reach).filter(|&q| {
            let inward: DVec3 = on.iter().map(|&patch| patches.sense(patch, q).inward).sum();
            within_own(q - p, size)
                && patches.depth(faces, q).abs() < 1e-7
                && on.iter().all(|&patch| patches.distance(patch, q) < 1e-7)
                // Two cuts that share a flat leave a skin of no thickness: no wood.
                && patches.depth(faces, q + inward.normalize_or_zero() * SKIN) > 0.0
        })
    };
    let mut best: Option<(f64, DVec3)> = None;
    let mut offer = |found: Option<DVec3>, favour: f64| {
        if let Some(q) = found {
            let distance = q.distance(p) * favour;
            if best.is_none_or(|(least, _)| distance < least) {
                best = Some((distance, q));
            }
        }
    };
    for (index, (one, _)) in near.iter().enumerate() {
        offer(real(&[*one]), 1.0);
        for (next, (other, _)) in near.iter().enumerate().skip(index + 1) {
            offer(real(&[*one, *other]), 0.8);
            for (third, _) in &near[next + 1..] {
                offer(real(&[*one, *other, *third]), 0.6);
            }
        }
    }
    best.map(|(_, q)| q)
}

/// Whether wood whose nearest point is at `offset` from a sample can enter its Voronoi cell.
/// That cell's corners are the permutations of (±1/2, ±1/4, 0) spacings; it reaches the
/// plane through the nearest point square to the offset when one of them does.
fn within_own(offset: DVec3, size: f64) -> bool {
    let mut along = offset.abs().to_array();
    along.sort_by(f64::total_cmp);
    offset.length_squared() <= 1.01 * size * (0.5 * along[2] + 0.25 * along[1])
}
