//! The stiffness of all cubes together, never written out: each cube's matrix is the same up to
//! its share of wood and the direction of its grain.
//!
//! Cubes go eight at a time through one matrix, which the processor's wide registers take at
//! once. They lie in slabs of layers; slabs of even number are done together, then those of odd
//! number, so that no two that touch are done at one time. The sums run in one fixed order
//! whatever the number of cores: same input, same bytes out.

use rayon::prelude::*;

use crate::brick::{DEGREES, Matrix};
use crate::grid::{Cell, Cells};

/// Cubes that go through a matrix together.
const LANES: usize = 8;
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

/// Eight cubes of one orientation.
#[derive(Debug)]
struct Batch {
    kind: u16,
    /// Node of each corner of each cube.
    nodes: [[u32; LANES]; 8],
    /// Share of wood of each cube; nought for a place that is not taken.
    share: [f64; LANES],
}

#[derive(Debug)]
struct Slab {
    batches: Vec<Batch>,
    /// Its nodes: from this one to before that one.
    first: usize,
    past: usize,
}

/// The stiffness of all cubes together.
#[derive(Debug)]
pub(crate) struct Fine {
    matrices: Vec<Matrix>,
    slabs: Vec<Slab>,
    /// Springs of the supports at each node, N/mm, alike in all directions.
    pub springs: Vec<f64>,
}

impl Fine {
    pub fn new(cells: &Cells, nodes: &Nodes, matrices: Vec<Matrix>, springs: Vec<f64>) -> Self {
        let mut slabs = Vec::new();
        let mut from = 0;
        let mut layer = 0;
        while from < cells.list.len() {
            let past_layer = layer + LAYERS;
            let count = cells.list[from..].partition_point(|cell| cell.at[2] < past_layer);
            let last_node_layer = (past_layer as usize).min(nodes.layers.len() - 2);
            slabs.push(Slab {
                batches: batches(
                    &cells.list[from..from + count],
                    &nodes.of_cell[from..from + count],
                ),
                first: nodes.layers[layer as usize] as usize,
                past: nodes.layers[last_node_layer + 1] as usize,
            });
            from += count;
            layer = past_layer;
        }
        Self {
            matrices,
            slabs,
            springs,
        }
    }

    /// y = K x. Both have three numbers for each node.
    pub fn times(&self, x: &[f64], y: &mut [f64]) {
        y.par_chunks_mut(3 * 4096)
            .zip(x.par_chunks(3 * 4096))
            .zip(self.springs.par_chunks(4096))
            .for_each(|((y, x), springs)| {
                for ((y, x), spring) in y.chunks_exact_mut(3).zip(x.chunks_exact(3)).zip(springs) {
                    for (y, x) in y.iter_mut().zip(x) {
                        *y = spring * x;
                    }
                }
            });
        for colour in 0..2 {
            let mut rest = &mut *y;
            let mut begun = 0;
            let mut work = Vec::new();
            for slab in self.slabs.iter().skip(colour).step_by(2) {
                let (_, tail) = rest.split_at_mut(3 * slab.first - begun);
                let (own, tail) = tail.split_at_mut(3 * (slab.past - slab.first));
                begun = 3 * slab.past;
                rest = tail;
                work.push((slab, own));
            }
            work.into_par_iter().for_each(|(slab, own)| {
                pulp::Arch::new().dispatch(|| slab.add(&self.matrices, x, own));
            });
        }
    }

    /// The three by three blocks on the diagonal, as they are.
    pub fn diagonal(&self) -> Vec<[f64; 9]> {
        let mut blocks: Vec<[f64; 9]> = self
            .springs
            .iter()
            .map(|&spring| [spring, 0.0, 0.0, 0.0, spring, 0.0, 0.0, 0.0, spring])
            .collect();
        for slab in &self.slabs {
            for batch in &slab.batches {
                let matrix = &self.matrices[usize::from(batch.kind)];
                for corner in 0..8 {
                    for lane in 0..LANES {
                        let block = &mut blocks[batch.nodes[corner][lane] as usize];
                        for row in 0..3 {
                            for column in 0..3 {
                                block[3 * row + column] += batch.share[lane]
                                    * matrix[3 * corner + row][3 * corner + column];
                            }
                        }
                    }
                }
            }
        }
        blocks
    }
}

/// Cells of one slab in eights of one orientation.
fn batches(cells: &[Cell], nodes: &[[u32; 8]]) -> Vec<Batch> {
    let mut order: Vec<usize> = (0..cells.len()).collect();
    order.sort_by_key(|&index| cells[index].kind);
    let mut batches: Vec<Batch> = Vec::new();
    for run in order.chunk_by(|&a, &b| cells[a].kind == cells[b].kind) {
        for eight in run.chunks(LANES) {
            let mut batch = Batch {
                kind: cells[eight[0]].kind,
                // A place that is not taken repeats a cube and adds nothing.
                nodes: std::array::from_fn(|corner| [nodes[eight[0]][corner]; LANES]),
                share: [0.0; LANES],
            };
            for (lane, &index) in eight.iter().enumerate() {
                batch.share[lane] = cells[index].share;
                for corner in 0..8 {
                    batch.nodes[corner][lane] = nodes[index][corner];
                }
            }
            batches.push(batch);
        }
    }
    batches
}

/// Rows worked out together, so that the processor has sums to go on with while others wait.
const ROWS: usize = 4;

impl Slab {
    /// Adds this slab's forces; `own` begins at its first node.
    #[inline(always)]
    fn add(&self, matrices: &[Matrix], x: &[f64], own: &mut [f64]) {
        for batch in &self.batches {
            let matrix = &matrices[usize::from(batch.kind)];
            let mut u = [[0.0; LANES]; DEGREES];
            for corner in 0..8 {
                for lane in 0..LANES {
                    let at = 3 * batch.nodes[corner][lane] as usize;
                    let share = batch.share[lane];
                    u[3 * corner][lane] = share * x[at];
                    u[3 * corner + 1][lane] = share * x[at + 1];
                    u[3 * corner + 2][lane] = share * x[at + 2];
                }
            }
            let mut force = [[0.0; LANES]; DEGREES];
            for rows in 0..DEGREES / ROWS {
                let mut sums = [[0.0; LANES]; ROWS];
                for (j, u) in u.iter().enumerate() {
                    for (row, sum) in sums.iter_mut().enumerate() {
                        // The matrix is symmetric: reading along j keeps the four side by side.
                        let by = matrix[j][ROWS * rows + row];
                        for lane in 0..LANES {
                            sum[lane] += by * u[lane];
                        }
                    }
                }
                force[ROWS * rows..][..ROWS].copy_from_slice(&sums);
            }
            for corner in 0..8 {
                for lane in 0..LANES {
                    let at = 3 * (batch.nodes[corner][lane] as usize - self.first);
                    own[at] += force[3 * corner][lane];
                    own[at + 1] += force[3 * corner + 1][lane];
                    own[at + 2] += force[3 * corner + 2][lane];
                }
            }
        }
    }
}
