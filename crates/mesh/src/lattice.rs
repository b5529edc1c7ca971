//! A first closed surface: marching tetrahedra over an octree.
//!
//! The tetrahedra join every smallest edge of the tree to each pair of
//! neighbouring cell middles around it (in a uniform grid the body-centred
//! lattice). They fill space without gaps whatever the sizes of neighbouring
//! cells, so the surface between the samples in wood and those in air is closed,
//! manifold and outward-facing by construction; nothing after this step may break
//! that. Every vertex is the exact crossing of a lattice edge and the surface,
//! and knows the patch it lies on.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use glam::DVec3;
use rayon::prelude::*;
use rondure_solid::Face;

use crate::patch::{PatchId, Patches};
use crate::reach::wood_in_reach;
use crate::rings::{Ring, smallest_edges};
use crate::tree::{CellId, Tree};

/// Mixes the words of small keys; the maps are only looked up, never walked.
#[derive(Debug, Default)]
pub(crate) struct Mix(u64);

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0
    }
    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.write_u64(u64::from(byte));
        }
    }
    fn write_u32(&mut self, word: u32) {
        self.write_u64(u64::from(word));
    }
    fn write_u64(&mut self, word: u64) {
        let mixed = (self.0.rotate_left(5) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ (mixed >> 29);
    }
}

pub(crate) type Map<K, V> = HashMap<K, V, BuildHasherDefault<Mix>>;

/// A vertex of the first surface.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Crossing {
    pub(crate) position: DVec3,
    /// The patch it lies on.
    pub(crate) patch: PatchId,
    /// A cell whose faces are all that matter here.
    pub(crate) home: CellId,
    /// Edge of the smallest cell around, mm.
    pub(crate) size: f64,
}

/// The first surface.
#[derive(Debug, Default)]
pub(crate) struct Lattice {
    pub(crate) vertices: Vec<Crossing>,
    pub(crate) triangles: Vec<[u32; 3]>,
    /// For each triangle the ring it came from.
    pub(crate) rings: Vec<Ring>,
}

/// A sample of the lattice: the middle of a cell or a corner.
struct Sample {
    place: DVec3,
    /// Depth, mm.
    depth: f64,
    /// The nearest wood, for a sample in the air that counts as wood.
    near: Option<DVec3>,
}

impl Sample {
    fn is_wood(&self) -> bool {
        self.depth > 0.0 || self.near.is_some()
    }
}

/// Even permutations of a tetrahedron's corners that bring one of them first.
const ONE_FIRST: [[usize; 4]; 4] = [[0, 1, 2, 3], [1, 0, 3, 2], [2, 3, 0, 1], [3, 2, 1, 0]];

/// The surface between wood and air over the tree's lattice.
pub(crate) fn lattice(tree: &Tree<'_>) -> Lattice {
    let edges = smallest_edges(tree);

    // Corners of edges near a surface, each once, in the order they are met.
    let middles = tree.cells.len() as u32;
    let mut corners: Map<u64, u32> = Map::default();
    let mut asked = Vec::new();
    let mut numbered = Vec::with_capacity(edges.len());
    for edge in edges.iter().filter(|edge| edge.live) {
        let home = largest(tree, &edge.ring);
        let size = smallest(tree, &edge.ring);
        let ends = edge.ends.map(|corner| {
            let number = *corners.entry(key(corner)).or_insert_with(|| {
                asked.push((corner, home, size));
                middles + asked.len() as u32 - 1
            });
            let known = &mut asked[(number - middles) as usize].2;
            *known = known.min(size);
            number
        });
        numbered.push((ends, edge.ring));
    }
    let place = |sample: u32| {
        if sample < middles {
            tree.centre(sample)
        } else {
            tree.point(asked[(sample - middles) as usize].0)
        }
    };
    let mut samples: Vec<Sample> = (0..middles + asked.len() as u32)
        .into_par_iter()
        .map(|sample| {
            let (home, size) = if sample < middles {
                let cell = &tree.cells[sample as usize];
                if cell.settled || !cell.is_leaf() {
                    return Sample {
                        place: place(sample),
                        depth: cell.depth,
                        near: None,
                    };
                }
                (sample, tree.size(sample))
            } else {
                let (_, home, size) = asked[(sample - middles) as usize];
                (home, size)
            };
            let faces = &tree.cells[home as usize].faces;
            let p = place(sample);
            let depth = tree.patches.depth(faces, p);
            let near = (depth <= 0.0)
                .then(|| wood_in_reach(tree.patches, faces, p, size))
                .flatten();
            Sample {
                place: p,
                depth,
                near,
            }
        })
        .collect();

    // Edges among settled cells matter where a corner in the air came to count as wood.
    for edge in edges.iter().filter(|edge| !edge.live) {
        let known = edge.ends.map(|corner| corners.get(&key(corner)).copied());
        let grown = |end: &Option<u32>| end.is_some_and(|end| samples[end as usize].near.is_some());
        if known.iter().any(grown) {
            let ends = [0, 1].map(|end| {
                known[end].unwrap_or_else(|| {
                    *corners.entry(key(edge.ends[end])).or_insert_with(|| {
                        // A corner of settled cells only has the sign of their middles.
                        samples.push(Sample {
                            place: tree.point(edge.ends[end]),
                            depth: tree.cells[edge.ring[0] as usize].depth,
                            near: None,
                        });
                        samples.len() as u32 - 1
                    })
                })
            });
            numbered.push((ends, edge.ring));
        }
    }

    let mut met: Map<(u32, u32), u32> = Map::default();
    let mut crossed: Vec<(u32, u32, Ring)> = Vec::new();
    let mut polygons: Vec<([u32; 4], Ring)> = Vec::new();
    for &(ends, ring) in &numbered {
        // Around the edge, counter-clockwise.
        for [one, other] in [[0, 1], [1, 3], [3, 2], [2, 0]] {
            let (one, other) = (ring[one], ring[other]);
            if one == other {
                continue;
            }
            let corners = [ends[0], ends[1], one, other];
            let wood = corners.map(|sample| samples[sample as usize].is_wood());
            let mut cut = |inside: u32, outside: u32| {
                *met.entry((inside, outside)).or_insert_with(|| {
                    crossed.push((inside, outside, ring));
                    crossed.len() as u32 - 1
                })
            };
            if let Some(polygon) = section(corners, wood, &mut cut) {
                polygons.push((polygon, ring));
            }
        }
    }

    let vertices: Vec<Crossing> = crossed
        .par_iter()
        .map(|&(inside, outside, ring)| {
            let home = largest(tree, &ring);
            let faces = &tree.cells[home as usize].faces;
            let (wood, air) = (&samples[inside as usize], &samples[outside as usize]);
            let in_reach = wood.near.and_then(|near| {
                let patch = tree.patches.at_toward(faces, near, air.place)?;
                Some((near, patch))
            });
            let (position, patch) = in_reach.unwrap_or_else(|| {
                let position = match wood.near {
                    Some(near) => first_wood(tree.patches, faces, air.place, near),
                    None => crossing(
                        tree.patches,
                        faces,
                        (wood.place, wood.depth),
                        (air.place, air.depth),
                    ),
                };
                (position, tree.patches.at(faces, position))
            });
            Crossing {
                position,
                patch,
                home,
                size: smallest(tree, &ring),
            }
        })
        .collect();

    let mut made = Lattice {
        vertices,
        ..Lattice::default()
    };
    for ([a, b, c, d], ring) in polygons {
        if d == u32::MAX {
            made.push([a, b, c], ring);
            continue;
        }
        let at = |v: u32| &made.vertices[v as usize];
        let (alike_ac, alike_bd) = (at(a).patch == at(c).patch, at(b).patch == at(d).patch);
        let shorter =
            at(a).position.distance(at(c).position) <= at(b).position.distance(at(d).position);
        if alike_ac && (shorter || !alike_bd) || !alike_bd && shorter {
            made.push([a, b, c], ring);
            made.push([a, c, d], ring);
        } else {
            made.push([b, c, d], ring);
            made.push([b, d, a], ring);
        }
    }
    made
}

impl Lattice {
    fn push(&mut self, triangle: [u32; 3], ring: Ring) {
        self.triangles.push(triangle);
        self.rings.push(ring);
    }
}

/// The polygon between wood and air in a positively oriented tetrahedron, facing the air.
fn section(
    corners: [u32; 4],
    wood: [bool; 4],
    cut: &mut impl FnMut(u32, u32) -> u32,
) -> Option<[u32; 4]> {
    let count = wood.iter().filter(|w| **w).count();
    let lone = |kind: bool| {
        let index = wood.iter().position(|&w| w == kind).unwrap_or(0);
        ONE_FIRST[index].map(|index| corners[index])
    };
    match count {
        1 => {
            let [a, b, c, d] = lone(true);
            Some([cut(a, b), cut(a, c), cut(a, d), u32::MAX])
        }
        3 => {
            let [a, b, c, d] = lone(false);
            Some([cut(b, a), cut(d, a), cut(c, a), u32::MAX])
        }
        2 => {
            let order = match wood {
                [true, true, _, _] => [0, 1, 2, 3],
                [true, _, true, _] => [0, 2, 3, 1],
                [true, _, _, true] => [0, 3, 1, 2],
                [_, true, true, _] => [1, 2, 0, 3],
                [_, true, _, true] => [1, 3, 2, 0],
                _ => [2, 3, 0, 1],
            };
            let [a, b, c, d] = order.map(|index| corners[index]);
            Some([cut(a, c), cut(a, d), cut(b, d), cut(b, c)])
        }
        _ => None,
    }
}

/// The crossing of a segment from wood to air with the surface, by false position kept in
/// its bracket (the Illinois rule).
fn crossing(patches: &Patches<'_>, faces: &[Face], wood: (DVec3, f64), air: (DVec3, f64)) -> DVec3 {
    let at = |share: f64| wood.0.lerp(air.0, share);
    let (mut low, mut low_depth) = (0.0, wood.1);
    let (mut high, mut high_depth) = (1.0, air.1);
    if high_depth == 0.0 {
        return air.0;
    }
    let mut share = 0.5;
    let mut last = 0.0;
    for _ in 0..100 {
        share = low + (high - low) * low_depth / (low_depth - high_depth);
        let depth = patches.depth(faces, at(share));
        if depth.abs() < 1e-11 || high - low < 1e-15 {
            break;
        }
        if depth > 0.0 {
            (low, low_depth) = (share, depth);
            if last > 0.0 {
                high_depth *= 0.5;
            }
        } else {
            (high, high_depth) = (share, depth);
            if last < 0.0 {
                low_depth *= 0.5;
            }
        }
        last = depth;
    }
    at(share)
}

/// The first point of the wood on the way from the air to a point of the surface.
fn first_wood(patches: &Patches<'_>, faces: &[Face], air: DVec3, surface: DVec3) -> DVec3 {
    let length = air.distance(surface);
    let way = (surface - air) / length;
    let mut gone = 0.0;
    for _ in 0..200 {
        // The depth never changes faster than the way: a step of its size stays in the air.
        let step = -patches.depth(faces, air + way * gone);
        if step < 1e-11 {
            return air + way * gone;
        }
        gone += step;
        if gone >= length {
            break;
        }
    }
    surface
}

fn key(corner: [u32; 3]) -> u64 {
    corner.iter().fold(0, |key, &c| (key << 21) | u64::from(c))
}

fn smallest(tree: &Tree<'_>, ring: &Ring) -> f64 {
    ring.iter()
        .map(|&cell| tree.size(cell))
        .fold(f64::INFINITY, f64::min)
}

fn largest(tree: &Tree<'_>, ring: &Ring) -> CellId {
    let mut best = ring[0];
    for &cell in &ring[1..] {
        if tree.cells[cell as usize].level < tree.cells[best as usize].level {
            best = cell;
        }
    }
    best
}
