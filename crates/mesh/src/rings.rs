//! The smallest edges of an octree, each with the four cells around it.
//!
//! Walks cells, the faces two cells share and the edges four cells share, from the
//! root down, so every edge that no finer cell divides is met exactly once and no
//! neighbour is ever searched for. A large cell may stand at two of the four places.

use crate::tree::{CellId, DEEPEST, Tree};

/// The four cells around a smallest edge: low and high side along the two other axes.
pub(crate) type Ring = [CellId; 4];

/// A smallest edge with what surrounds it.
pub(crate) struct Edge {
    pub(crate) ends: [[u32; 3]; 2],
    pub(crate) ring: Ring,
    /// Whether a surface may pass through one of the cells.
    pub(crate) live: bool,
}

/// All smallest edges inside the root cube, in the tree's order.
pub(crate) fn smallest_edges(tree: &Tree<'_>) -> Vec<Edge> {
    let mut edges = Vec::new();
    cell_edges(tree, 0, &mut edges);
    edges
}

/// All smallest edges inside a cell.
fn cell_edges(tree: &Tree<'_>, cell: CellId, edges: &mut Vec<Edge>) {
    let here = &tree.cells[cell as usize];
    if here.is_leaf() {
        return;
    }
    for child in 0..8 {
        let sides = [child & 1, (child >> 1) & 1, (child >> 2) & 1];
        cell_edges(tree, here.child(cell, sides), edges);
    }
    for axis in 0..3 {
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        for [i, j] in [[0, 0], [1, 0], [0, 1], [1, 1]] {
            let pair = [0, 1].map(|side| here.child(cell, along([(axis, side), (u, i), (v, j)])));
            face_edges(tree, pair, axis, edges);
        }
        for side in [0, 1] {
            let ring = [[0, 0], [1, 0], [0, 1], [1, 1]]
                .map(|[i, j]| here.child(cell, along([(axis, side), (u, i), (v, j)])));
            ring_edges(tree, ring, axis, edges);
        }
    }
}

/// All smallest edges inside the face two cells share; the first is on the low side of `axis`.
fn face_edges(tree: &Tree<'_>, pair: [CellId; 2], axis: usize, edges: &mut Vec<Edge>) {
    let cells = pair.map(|id| &tree.cells[id as usize]);
    if cells.iter().all(|cell| cell.is_leaf()) {
        return;
    }
    let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
    for [i, j] in [[0, 0], [1, 0], [0, 1], [1, 1]] {
        let next = [0, 1].map(|side| {
            cells[side].child(pair[side], along([(axis, 1 - side as u32), (u, i), (v, j)]))
        });
        face_edges(tree, next, axis, edges);
    }
    for (way, across) in [(u, v), (v, u)] {
        for side in [0, 1] {
            // The ring's own order: the axis after the way first, then the one after that.
            let first = (way + 1) % 3;
            let ring = [[0, 0], [1, 0], [0, 1], [1, 1]].map(|[i, j]| {
                let (over, beside) = if first == axis { (i, j) } else { (j, i) };
                cells[over as usize].child(
                    pair[over as usize],
                    along([(way, side), (axis, 1 - over), (across, beside)]),
                )
            });
            ring_edges(tree, ring, way, edges);
        }
    }
}

/// All smallest edges along the edge four cells share.
fn ring_edges(tree: &Tree<'_>, ring: Ring, axis: usize, edges: &mut Vec<Edge>) {
    let cells = ring.map(|id| &tree.cells[id as usize]);
    let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
    if cells.iter().all(|cell| cell.is_leaf()) {
        let mut least = 0;
        for quarter in 1..4 {
            if cells[quarter].level > cells[least].level {
                least = quarter;
            }
        }
        let length = 1 << (DEEPEST - cells[least].level);
        let mut low = cells[least].corner;
        low[u] += if least & 1 == 0 { length } else { 0 };
        low[v] += if least & 2 == 0 { length } else { 0 };
        let mut high = low;
        high[axis] += length;
        edges.push(Edge {
            ends: [low, high],
            ring,
            // Settled cells hold no surface, and their corners agree with their middles.
            live: !cells.iter().all(|cell| cell.settled),
        });
        return;
    }
    for side in [0, 1] {
        let next = [0, 1, 2, 3].map(|quarter| {
            let (i, j) = (1 - (quarter & 1), 1 - (quarter >> 1));
            cells[quarter as usize].child(
                ring[quarter as usize],
                along([(axis, side), (u, i), (v, j)]),
            )
        });
        ring_edges(tree, next, axis, edges);
    }
}

fn along(sides: [(usize, u32); 3]) -> [u32; 3] {
    let mut result = [0; 3];
    for (axis, side) in sides {
        result[axis] = side;
    }
    result
}
