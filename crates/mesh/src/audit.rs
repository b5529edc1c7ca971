//! Looks the draft over: which triangles are not yet what they should be.
//!
//! A triangle is sound when its three corners lie on its patch, it faces the way
//! the patch does, its samples leave the patch by no more than the chord error,
//! and no other face passes through the wood behind it by more than that. Flakes,
//! small loose components, are looked for too: at a thin edge they may be no more
//! than the grid's view of it. What is not sound names the cells to split.

use rayon::prelude::*;

use crate::draft::{Draft, samples};
use crate::seam::ON_SURFACE;
use crate::tidy::FACING;
use crate::tree::CellId;

/// What the audit found.
#[derive(Debug, Default)]
pub(crate) struct Audit {
    /// Cells to split, each once, in rising order.
    pub(crate) coarse: Vec<CellId>,
    /// For each triangle whether it is part of a flake.
    pub(crate) flake: Vec<bool>,
    /// Triangles that face away from their patch.
    pub(crate) folded: usize,
    /// Triangles with a corner off their patch.
    pub(crate) blunt: usize,
    /// The largest sampled distance of a triangle from its patch, mm.
    pub(crate) chord: f64,
}

/// Looks over the whole draft.
pub(crate) fn audit(draft: &Draft<'_>, chord: f64) -> Audit {
    let seen: Vec<(bool, bool, f64, bool)> = draft
        .triangles
        .par_iter()
        .map(|triangle| {
            if !triangle.alive {
                return (false, false, 0.0, false);
            }
            let points = draft.points(triangle.corners);
            let folded = draft.facing(points, triangle.patch) < FACING;
            let blunt = points
                .iter()
                .any(|p| draft.patches().sense(triangle.patch, *p).depth.abs() > 10.0 * ON_SURFACE);
            let home = draft.vertices[triangle.corners[0] as usize].home;
            let off = draft.chord(points, triangle.patch);
            let pierced = samples(points)
                .into_iter()
                .any(|p| draft.depth(home, p) < -chord.max(off));
            (folded, blunt, off, pierced)
        })
        .collect();
    let flake = flakes(draft);
    let mut found = Audit::default();
    for (index, &(folded, blunt, off, pierced)) in seen.iter().enumerate() {
        found.folded += usize::from(folded);
        found.blunt += usize::from(blunt);
        found.chord = found.chord.max(off);
        if folded || blunt || pierced || off > chord || flake[index] {
            let ring = draft.triangles[index].ring;
            found
                .coarse
                .extend(ring.into_iter().filter(|&cell| draft.tree.divisible(cell)));
        }
    }
    found.coarse.sort_unstable();
    found.coarse.dedup();
    found.flake = flake;
    found
}

/// Triangles of components no larger than three of the cells they stand in.
fn flakes(draft: &Draft<'_>) -> Vec<bool> {
    let component = components(
        draft.vertices.len(),
        draft
            .triangles
            .iter()
            .filter(|t| t.alive)
            .map(|t| t.corners),
    );
    let count = draft.vertices.len();
    let mut low = vec![glam::DVec3::INFINITY; count];
    let mut high = vec![glam::DVec3::NEG_INFINITY; count];
    let mut size = vec![0.0f64; count];
    for triangle in draft.triangles.iter().filter(|t| t.alive) {
        for corner in triangle.corners {
            let vertex = &draft.vertices[corner as usize];
            let root = component[corner as usize] as usize;
            low[root] = low[root].min(vertex.position);
            high[root] = high[root].max(vertex.position);
            size[root] = size[root].max(vertex.size);
        }
    }
    draft
        .triangles
        .iter()
        .map(|triangle| {
            let root = component[triangle.corners[0] as usize] as usize;
            triangle.alive && (high[root] - low[root]).max_element() < 3.0 * size[root]
        })
        .collect()
}

/// For each vertex the lowest vertex of its component.
pub(crate) fn components(count: usize, triangles: impl Iterator<Item = [u32; 3]>) -> Vec<u32> {
    fn root(parent: &mut [u32], mut v: u32) -> u32 {
        while parent[v as usize] != v {
            parent[v as usize] = parent[parent[v as usize] as usize];
            v = parent[v as usize];
        }
        v
    }
    let mut parent: Vec<u32> = (0..count as u32).collect();
    for [a, b, c] in triangles {
        for (one, other) in [(a, b), (b, c)] {
            let (one, other) = (root(&mut parent, one), root(&mut parent, other));
            parent[one.max(other) as usize] = one.min(other);
        }
    }
    (0..count as u32).map(|v| root(&mut parent, v)).collect()
}
