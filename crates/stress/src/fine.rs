//! The stiffness of all cubes together, never written out: each cube's matrix is the same up to
//! its share of wood and the direction of its grain.
//!
//! Cubes go eight at a time through one matrix ([`Modes`]), which the processor's wide registers
//! take at once: eight in a row along x, whose nodes lie side by side, and what such rows leave
//! over in eights picked from anywhere in the slab. They lie in slabs of layers; slabs of even
//! number are done together, then those of odd number, so that no two that touch are done at one
//! time. The sums run in one fixed order whatever the number of cores: same input, same bytes out.

use rayon::prelude::*;

use crate::brick::Matrix;
use crate::grid::{Cell, Cells};
use crate::modes::{LANES, Modes};
use crate::vectors::{Real, thirds, thirds_mut};

/// Cubes in a row below which the row is not worth a pass of its own.
const ROW: usize = 4;
/// Layers of cubes in a slab, at least two: then slabs of one colour share no node.
const LAYERS: u32 = 4;

/// Nodes of the cubes: numbered by z, then y, then x.
#[derive(Debug)]
pub(crate) struct Nodes {
    /// Place of each node on the lattice.
    pub at: Vec<[u32; 3]>,
    /// The eight nodes of each cell.
    pub of_cell: Vec<[u32; 8]>,
    /// The first node of each layer, and the count at the end.
    pub layers: Vec<u32>,
}

/// The eight corners of a cell.
pub(crate) fn corners(at: [u32; 3]) -> [[u32; 3]; 8] {
    std::array::from_fn(|corner| std::array::from_fn(|axis| at[axis] + (corner as u32 >> axis & 1)))
}

impl Nodes {
    /// Numbers the corners of cells on a lattice of `count` cells, given by z, then y, then x.
    pub fn of(cells: impl Iterator<Item = [u32; 3]> + Clone, count: [usize; 3]) -> Self {
        let lattice = count.map(|cells| cells + 1);
        let place = |at: [u32; 3]| {
            (at[2] as usize * lattice[1] + at[1] as usize) * lattice[0] + at[0] as usize
        };
        let mut number = vec![u32::MAX; lattice.iter().product()];
        for cell in cells.clone() {
            for corner in corners(cell) {
                number[place(corner)] = 0;
            }
        }
        let mut at = Vec::new();
        let mut layers = Vec::with_capacity(lattice[2] + 1);
        let mut next = number.iter_mut();
        for z in 0..lattice[2] as u32 {
            layers.push(at.len() as u32);
            for y in 0..lattice[1] as u32 {
                for (x, slot) in (0..lattice[0] as u32).zip(&mut next) {
                    if *slot == 0 {
                        *slot = at.len() as u32;
                        at.push([x, y, z]);
                    }
                }
            }
        }
        layers.push(at.len() as u32);
        let of_cell = cells
            .map(|cell| corners(cell).map(|corner| number[place(corner)]))
            .collect();
        Self {
            at,
            of_cell,
            layers,
        }
    }
}

/// Up to eight cubes in a row along x, of one orientation.
#[derive(Debug)]
struct Row {
    kind: u16,
    /// First node of the rows at the corners 0, 2, 4 and 6; those at x + 1 follow by one.
    nodes: [u32; 4],
    /// Share of wood of each cube; nought for a place that is not taken.
    share: [f32; LANES],
}

/// Eight cubes of one orientation from anywhere in a slab.
#[derive(Debug)]
struct Picked {
    kind: u16,
    /// Node of each corner of each cube.
    nodes: [[u32; LANES]; 8],
    /// Share of wood of each cube; nought for a place that is not taken.
    share: [f32; LANES],
}

#[derive(Debug)]
struct Slab {
    rows: Vec<Row>,
    picked: Vec<Picked>,
    /// Its nodes: from this one to before that one.
    first: usize,
    past: usize,
}

/// The stiffness of all cubes together.
#[derive(Debug)]
pub(crate) struct Fine {
    double: Vec<Modes<f64>>,
    single: Vec<Modes<f32>>,
    slabs: Vec<Slab>,
    nodes: usize,
    /// Springs of the supports, N/mm, alike in all directions: node and stiffness.
    springs: Vec<(u32, f64)>,
}

impl Fine {
    pub fn new(
        cells: &Cells,
        nodes: &Nodes,
        matrices: &[Matrix],
        springs: Vec<(u32, f64)>,
    ) -> Self {
        let mut slabs = Vec::new();
        let mut from = 0;
        let mut layer = 0;
        while from < cells.list.len() {
            let past_layer = layer + LAYERS;
            let count = cells.list[from..].partition_point(|cell| cell.at[2] < past_layer);
            let last_node_layer = (past_layer as usize).min(nodes.layers.len() - 2);
            slabs.push((
                from..from + count,
                nodes.layers[layer as usize] as usize,
                nodes.layers[last_node_layer + 1] as usize,
            ));
            from += count;
            layer = past_layer;
        }
        let slabs = slabs
            .into_par_iter()
            .map(|(range, first, past)| {
                let corners = &nodes.of_cell[range.clone()];
                Slab::of(&cells.list[range], corners, first, past)
            })
            .collect();
        Self {
            double: matrices.iter().map(Modes::of).collect(),
            single: matrices.iter().map(Modes::of).collect(),
            slabs,
            nodes: nodes.at.len(),
            springs,
        }
    }

    /// y = K x.
    pub fn times(&self, x: &[f64], y: &mut [f64]) {
        self.apply(&self.double, x, y);
    }

    /// y = K x in single numbers.
    pub fn times_single(&self, x: &[f32], y: &mut [f32]) {
        self.apply(&self.single, x, y);
    }

    fn apply<T: Real>(&self, modes: &[Modes<T>], x: &[T], y: &mut [T]) {
        y.par_chunks_mut(1 << 14).for_each(|y| y.fill(T::default()));
        for &(node, spring) in &self.springs {
            for direction in 0..3 {
                let at = direction * self.nodes + node as usize;
                y[at] += T::of(spring) * x[at];
            }
        }
        let x = thirds(x);
        for colour in 0..2 {
            let mut rest = thirds_mut(y);
            let mut begun = 0;
            let mut work = Vec::with_capacity(self.slabs.len());
            for slab in self.slabs.iter().skip(colour).step_by(2) {
                let mut own = [&mut [][..], &mut [][..], &mut [][..]];
                for (rest, own) in rest.iter_mut().zip(&mut own) {
                    let (_, tail) = std::mem::take(rest).split_at_mut(slab.first - begun);
                    (*own, *rest) = tail.split_at_mut(slab.past - slab.first);
                }
                begun = slab.past;
                work.push((slab, own));
            }
            work.into_par_iter().for_each(|(slab, mut own)| {
                pulp::Arch::new().dispatch(|| slab.add(modes, x, &mut own));
            });
        }
    }

    /// The three by three blocks on the diagonal, as they are: xx, yy, zz, xy, yz, zx.
    pub fn diagonal(&self, cells: &Cells, nodes: &Nodes, matrices: &[Matrix]) -> Vec<[f64; 6]> {
        let mut blocks = vec![[0.0; 6]; nodes.at.len()];
        for &(node, spring) in &self.springs {
            for part in &mut blocks[node as usize][..3] {
                *part += spring;
            }
        }
        for (cell, corners) in cells.list.iter().zip(&nodes.of_cell) {
            let matrix = &matrices[usize::from(cell.kind)];
            for (corner, &node) in corners.iter().enumerate() {
                let at = |i: usize, j: usize| matrix[3 * corner + i][3 * corner + j];
                let block = &mut blocks[node as usize];
                let own = [at(0, 0), at(1, 1), at(2, 2), at(0, 1), at(1, 2), at(2, 0)];
                for (to, from) in block.iter_mut().zip(own) {
                    *to += cell.share * from;
                }
            }
        }
        blocks
    }
}

impl Slab {
    /// Cells of one slab in eights of one orientation.
    fn of(cells: &[Cell], corners: &[[u32; 8]], first: usize, past: usize) -> Self {
        let (mut rows, mut left) = (Vec::new(), Vec::new());
        let mut from = 0;
        while from < cells.len() {
            let begin = cells[from];
            let mut count = 1;
            while count < LANES
                && cells.get(from + count).is_some_and(|next| {
                    next.at == [begin.at[0] + count as u32, begin.at[1], begin.at[2]]
                        && next.kind == begin.kind
                })
            {
                count += 1;
            }
            let nodes = [0, 2, 4, 6].map(|corner| corners[from][corner]);
            // The whole width is read and written, nought beyond the row's end.
            let fits = nodes.iter().all(|&node| node as usize + LANES < past);
            if count >= ROW && fits {
                let mut share = [0.0; LANES];
                for (share, cell) in share.iter_mut().zip(&cells[from..from + count]) {
                    *share = cell.share as f32;
                }
                rows.push(Row {
                    kind: begin.kind,
                    nodes,
                    share,
                });
            } else {
                left.extend(from..from + count);
            }
            from += count;
        }
        left.sort_by_key(|&index| cells[index].kind);
        let mut picked = Vec::new();
        for run in left.chunk_by(|&a, &b| cells[a].kind == cells[b].kind) {
            for eight in run.chunks(LANES) {
                let mut batch = Picked {
                    kind: cells[eight[0]].kind,
                    // A place that is not taken repeats a cube and adds nothing.
                    nodes: corners[eight[0]].map(|node| [node; LANES]),
                    share: [0.0; LANES],
                };
                for (lane, &index) in eight.iter().enumerate() {
                    batch.share[lane] = cells[index].share as f32;
                    for corner in 0..8 {
                        batch.nodes[corner][lane] = corners[index][corner];
                    }
                }
                picked.push(batch);
            }
        }
        Self {
            rows,
            picked,
            first,
            past,
        }
    }

    /// Adds this slab's forces; `own` begins at its first node.
    #[inline(always)]
    fn add<T: Real>(&self, modes: &[Modes<T>], x: [&[T]; 3], own: &mut [&mut [T]; 3]) {
        for row in &self.rows {
            let mut u = [[[T::default(); LANES]; 8]; 3];
            for (u, x) in u.iter_mut().zip(x) {
                for (pair, &node) in row.nodes.iter().enumerate() {
                    let node = node as usize;
                    let nine = &x[node..node + LANES + 1];
                    u[2 * pair].copy_from_slice(&nine[..LANES]);
                    u[2 * pair + 1].copy_from_slice(&nine[1..]);
                }
            }
            modes[usize::from(row.kind)].apply(&row.share, &mut u);
            for (u, own) in u.iter().zip(own.iter_mut()) {
                for (pair, &node) in row.nodes.iter().enumerate() {
                    let node = node as usize - self.first;
                    let nine = &mut own[node..node + LANES + 1];
                    for lane in 0..LANES {
                        nine[lane] += u[2 * pair][lane];
                    }
                    for lane in 0..LANES {
                        nine[lane + 1] += u[2 * pair + 1][lane];
                    }
                }
            }
        }
        for batch in &self.picked {
            let mut u = [[[T::default(); LANES]; 8]; 3];
            for (u, x) in u.iter_mut().zip(x) {
                for (u, nodes) in u.iter_mut().zip(&batch.nodes) {
                    for (u, &node) in u.iter_mut().zip(nodes) {
                        *u = x[node as usize];
                    }
                }
            }
            modes[usize::from(batch.kind)].apply(&batch.share, &mut u);
            for (u, own) in u.iter().zip(own.iter_mut()) {
                for (u, nodes) in u.iter().zip(&batch.nodes) {
                    for (&u, &node) in u.iter().zip(nodes) {
                        own[node as usize - self.first] += u;
                    }
                }
            }
        }
    }
}
