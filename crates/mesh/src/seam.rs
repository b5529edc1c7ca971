//! Sharp edges and corners: the first surface cut along them.
//!
//! In the first surface every vertex lies on one patch. An edge of a triangle
//! between two patches is split by a vertex on both of them, a triangle between
//! three gets one on all three, and the pieces stand for one patch each. Splitting
//! keeps the surface closed and manifold. Where no such point of the surface is
//! near (a third patch lies between, or the cell is too coarse), a point on the
//! surface is taken instead; the audit finds its triangles and asks for smaller cells.

use glam::DVec3;
use rayon::prelude::*;

use crate::draft::{Draft, Marks, Triangle, Vertex, depth_near, patch_at};
use crate::lattice::{Lattice, Map};
use crate::newton::{Plane, settle};
use crate::patch::PatchId;
use crate::tree::Tree;

/// A vertex is on the surface when the depth there is within this of 0, mm.
pub(crate) const ON_SURFACE: f64 = 1e-7;

/// The draft with its sharp edges.
pub(crate) fn seam<'a>(tree: &'a Tree<'a>, lattice: &Lattice) -> Draft<'a> {
    let patch = |v: u32| lattice.vertices[v as usize].patch;
    let first = lattice.vertices.len() as u32;
    let mut seams: Map<(u32, u32), u32> = Map::default();
    let mut edges = Vec::new();
    let mut corners = Vec::new();
    for (index, triangle) in lattice.triangles.iter().enumerate() {
        let mixed = (0..3)
            .filter(|&k| {
                let (a, b) = (triangle[k], triangle[(k + 1) % 3]);
                if patch(a) == patch(b) {
                    return false;
                }
                seams.entry((a.min(b), a.max(b))).or_insert_with(|| {
                    edges.push((a.min(b), a.max(b)));
                    first + edges.len() as u32 - 1
                });
                true
            })
            .count();
        if mixed == 3 {
            corners.push(index);
        }
    }
    let mut vertices: Vec<Vertex> = lattice
        .vertices
        .iter()
        .map(|crossing| Vertex {
            position: crossing.position,
            marks: Marks::new(&[crossing.patch]),
            home: crossing.home,
            size: crossing.size,
        })
        .collect();
    let on_edges: Vec<_> = edges
        .par_iter()
        .map(|&(a, b)| edge_vertex(tree, &vertices[a as usize], &vertices[b as usize]))
        .collect();
    let on_corners: Vec<_> = corners
        .par_iter()
        .map(|&index| {
            corner_vertex(
                tree,
                lattice.triangles[index].map(|v| &vertices[v as usize]),
            )
        })
        .collect();
    vertices.extend(on_edges);
    let mut next_corner = vertices.len() as u32;
    vertices.extend(on_corners);

    let mut triangles = Vec::with_capacity(lattice.triangles.len() * 2);
    for (&corners, &ring) in lattice.triangles.iter().zip(&lattice.rings) {
        let mut push = |corners: [u32; 3], patch: PatchId| {
            triangles.push(Triangle {
                corners,
                patch,
                ring,
                alive: true,
            });
        };
        let seam_of = |a: u32, b: u32| seams.get(&(a.min(b), a.max(b))).copied();
        let seam = [0, 1, 2].map(|k| seam_of(corners[k], corners[(k + 1) % 3]));
        match seam {
            [Some(ab), Some(bc), Some(ca)] => {
                let [a, b, c] = corners;
                let middle = next_corner;
                next_corner += 1;
                for (corner, before, after) in [(a, ca, ab), (b, ab, bc), (c, bc, ca)] {
                    push([before, corner, middle], patch(corner));
                    push([corner, after, middle], patch(corner));
                }
            }
            [None, None, None] => push(corners, patch(corners[0])),
            _ => {
                // One corner stands alone; turn it to the front.
                let lone = (0..3)
                    .find(|&k| seam[k].is_some() && seam[(k + 2) % 3].is_some())
                    .unwrap_or(0);
                let [a, b, c] = [0, 1, 2].map(|k| corners[(lone + k) % 3]);
                let ab = seam[lone].unwrap_or(a);
                let ca = seam[(lone + 2) % 3].unwrap_or(a);
                push([a, ab, ca], patch(a));
                let at = |v: u32| vertices[v as usize].position;
                if at(ab).distance(at(c)) <= at(b).distance(at(ca)) {
                    push([ab, b, c], patch(b));
                    push([ab, c, ca], patch(b));
                } else {
                    push([ab, b, ca], patch(b));
                    push([b, c, ca], patch(b));
                }
            }
        }
    }
    Draft::new(tree, vertices, triangles)
}

/// The vertex of the edge two patches share, in the plane square to the surface through `a` and `b`.
fn edge_vertex(tree: &Tree<'_>, a: &Vertex, b: &Vertex) -> Vertex {
    let patches = tree.patches;
    let (one, other) = (a.marks.ids()[0], b.marks.ids()[0]);
    // The chord meets the sheet of equal distance once at least: bisect for it.
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..24 {
        let share = 0.5 * (low + high);
        let p = a.position.lerp(b.position, share);
        if patches.sense(one, p).depth < patches.sense(other, p).depth {
            low = share;
        } else {
            high = share;
        }
    }
    let start = a.position.lerp(b.position, 0.5 * (low + high));
    let inward = patches.sense(one, start).inward + patches.sense(other, start).inward;
    let normal = (b.position - a.position).cross(inward).try_normalize();
    let plane = normal.map(|normal| Plane {
        through: start,
        normal,
    });
    let size = a.size.min(b.size);
    let home = larger_home(tree, &[a, b]);
    let reach = 3.0 * size.max(a.position.distance(b.position));
    let found = on_solid(tree, home, &[one, other], plane, start, reach)
        .or_else(|| on_solid(tree, home, &[one, other], None, start, reach));
    found.map_or_else(
        || blunt(tree, home, start, &[one, other], size),
        |position| Vertex {
            position,
            marks: Marks::new(&[one, other]),
            home,
            size,
        },
    )
}

fn corner_vertex(tree: &Tree<'_>, around: [&Vertex; 3]) -> Vertex {
    let ids = around.map(|vertex| vertex.marks.ids()[0]);
    let start = (around[0].position + around[1].position + around[2].position) / 3.0;
    let size = around.iter().map(|v| v.size).fold(f64::INFINITY, f64::min);
    let home = larger_home(tree, &around);
    let longest = around[0]
        .position
        .distance(around[1].position)
        .max(around[1].position.distance(around[2].position));
    let reach = 3.0 * size.max(longest);
    on_solid(tree, home, &ids, None, start, reach).map_or_else(
        || blunt(tree, home, start, &ids, size),
        |position| Vertex {
            position,
            marks: Marks::new(&ids),
            home,
            size,
        },
    )
}

fn larger_home(tree: &Tree<'_>, of: &[&Vertex]) -> u32 {
    let mut best = of[0].home;
    for vertex in &of[1..] {
        if tree.cells[vertex.home as usize].level < tree.cells[best as usize].level {
            best = vertex.home;
        }
    }
    best
}

/// The point on the patches near `start` that is on the solid and on each patch's own extent.
pub(crate) fn on_solid(
    tree: &Tree<'_>,
    home: u32,
    on: &[PatchId],
    plane: Option<Plane>,
    start: DVec3,
    reach: f64,
) -> Option<DVec3> {
    let found = settle(tree.patches, on, plane, start, reach)?;
    // Two faces may be one surface, such as bores that meet end to end: one's extent will do.
    let here = |patch: PatchId| tree.patches.distance(patch, found) < ON_SURFACE;
    let one_surface = |a: PatchId, b: PatchId| {
        let (a, b) = (tree.patches.sense(a, found), tree.patches.sense(b, found));
        a.inward.dot(b.inward) > 1.0 - 1e-12
    };
    let real = depth_near(tree, home, found).abs() < ON_SURFACE
        && on.iter().all(|&patch| {
            here(patch)
                || on
                    .iter()
                    .any(|&other| here(other) && one_surface(patch, other))
        });
    real.then_some(found)
}

/// A vertex on the surface near `start`, on whichever of the patches is there; the foot of
/// the nearest air, or `start` itself, where none of them is.
fn blunt(tree: &Tree<'_>, home: u32, start: DVec3, on: &[PatchId], size: f64) -> Vertex {
    let mut position = tree.patches.solid().nearest(start).foot;
    let mut least = if depth_near(tree, home, position).abs() < ON_SURFACE {
        position.distance(start)
    } else {
        position = start;
        f64::INFINITY
    };
    for &patch in on {
        if let Some(found) = on_solid(tree, home, &[patch], None, start, 3.0 * size)
            && found.distance(start) < least
        {
            (position, least) = (found, found.distance(start));
        }
    }
    Vertex {
        position,
        marks: Marks::new(&[patch_at(tree, position)]),
        home,
        size,
    }
}
