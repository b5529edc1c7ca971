//! Coarser lattices of the same piece: stiffness in rows of three by three blocks.
//!
//! Method: Galerkin. Eight cubes become one; a fine node's motion is the trilinear mean of its
//! coarse cube's corners, and the coarse cube's matrix is Σ Pᵀ K P over its children, so that the
//! coarse lattice stores exactly the work that the fine one would under the same motion. From the
//! fine lattice to the first coarse one the products are worked out once for each of eight
//! places and each orientation and summed with the shares of wood. The cubes of that lattice are
//! the most: they are made a few layers at a time, put into the rows and into the cubes of the
//! next lattice, and forgotten. Products are double, the rows single: they only precondition.

use rayon::prelude::*;

use crate::brick::{DEGREES, Matrix};
use crate::fine::{Nodes, corners};
use crate::grid::Cells;
use crate::vectors::{thirds, thirds_mut};

/// Layers of the first coarse lattice that are made together; even, so that families stay whole.
const LAYERS: u32 = 8;
/// Nodes that one thread takes at a time.
const PART: usize = 512;

/// Matrices of the cubes of one lattice.
pub(crate) struct Cubes {
    /// Where each stands, by z, then y, then x.
    pub at: Vec<[u32; 3]>,
    /// Its matrix.
    pub matrix: Vec<Box<Matrix>>,
}

/// Weight of coarse corner `to` at corner `corner` of the child in `place`.
fn weight(place: usize, corner: usize, to: usize) -> f64 {
    (0..3)
        .map(|axis| {
            // 0, 1 or 2 halves along the coarse edge.
            let along = (place >> axis & 1) + (corner >> axis & 1);
            let share = along as f64 / 2.0;
            if to >> axis & 1 == 1 {
                share
            } else {
                1.0 - share
            }
        })
        .product()
}

/// Adds `by` · Pᵀ K P for a child in `place`.
pub(crate) fn add_product(to: &mut Matrix, child: &Matrix, place: usize, by: f64) {
    let mut half = [[0.0; DEGREES]; DEGREES];
    for corner in 0..8 {
        for coarse in 0..8 {
            let weight = by * weight(place, corner, coarse);
            if weight != 0.0 {
                for direction in 0..3 {
                    let (from, to) = (
                        &child[3 * corner + direction],
                        &mut half[3 * coarse + direction],
                    );
                    for (to, from) in to.iter_mut().zip(from) {
                        *to += weight * from;
                    }
                }
            }
        }
    }
    for corner in 0..8 {
        for coarse in 0..8 {
            let weight = weight(place, corner, coarse);
            if weight != 0.0 {
                for (to, half) in to.iter_mut().zip(&half) {
                    for direction in 0..3 {
                        to[3 * coarse + direction] += weight * half[3 * corner + direction];
                    }
                }
            }
        }
    }
}

/// The coarse cube of a cube, and the cube's place in it.
pub(crate) fn parent(at: [u32; 3]) -> ([u32; 3], usize) {
    let place = (at[0] & 1) | (at[1] & 1) << 1 | (at[2] & 1) << 2;
    (at.map(|place| place / 2), place as usize)
}

/// Groups cubes by their coarse cube, these by z, then y, then x; each with the numbers of its cubes.
pub(crate) fn families(at: &[[u32; 3]]) -> Vec<([u32; 3], Vec<u32>)> {
    let mut order: Vec<u32> = (0..at.len() as u32).collect();
    let key = |index: u32| {
        let [x, y, z] = parent(at[index as usize]).0;
        (z, y, x)
    };
    order.par_sort_by_key(|&index| key(index));
    order
        .chunk_by(|&a, &b| key(a) == key(b))
        .map(|family| (parent(at[family[0] as usize]).0, family.to_vec()))
        .collect()
}

impl Cubes {
    /// The next coarser lattice.
    pub fn coarser(&self) -> Self {
        let families = families(&self.at);
        let matrix = families
            .par_iter()
            .map(|(_, children)| joined(children, &self.at, |child| &self.matrix[child as usize]))
            .collect();
        Self {
            at: families.into_iter().map(|(at, _)| at).collect(),
            matrix,
        }
    }
}

/// Stiffness in rows of three by three blocks.
#[derive(Debug)]
pub(crate) struct Rows {
    /// Where each node's row begins, and the end.
    begin: Vec<u32>,
    column: Vec<u32>,
    block: Vec<[f32; 9]>,
}

/// For each node the cube of which it is the corner 0, 1 and so on; [`u32::MAX`] where there is none.
fn meeting(nodes: &Nodes) -> Vec<[u32; 8]> {
    let mut meeting = vec![[u32::MAX; 8]; nodes.at.len()];
    for (cube, corners) in nodes.of_cell.iter().enumerate() {
        for (corner, &node) in corners.iter().enumerate() {
            meeting[node as usize][corner] = cube as u32;
        }
    }
    meeting
}

impl Rows {
    fn empty() -> Self {
        Self {
            begin: vec![0],
            column: Vec::new(),
            block: Vec::new(),
        }
    }

    /// Puts the cubes' matrices together.
    pub fn of(cubes: &Cubes, nodes: &Nodes) -> Self {
        let meeting = meeting(nodes);
        let parts: Vec<Self> = (0..nodes.at.len().div_ceil(PART))
            .into_par_iter()
            .map(|part| {
                let mut rows = Self::empty();
                for node in part * PART..((part + 1) * PART).min(meeting.len()) {
                    rows.push(&meeting[node], nodes, &cubes.matrix, 0);
                }
                rows
            })
            .collect();
        Self::joined(parts)
    }

    /// The row of one node; `matrix` begins at the cube `first`.
    fn push(&mut self, meeting: &[u32; 8], nodes: &Nodes, matrix: &[Box<Matrix>], first: usize) {
        // One slot for each of the 27 nodes around, in the order of their numbers.
        let mut column = [u32::MAX; 27];
        let mut block = [[0.0; 9]; 27];
        for (corner, &cube) in meeting.iter().enumerate() {
            if cube == u32::MAX {
                continue;
            }
            let matrix = &matrix[cube as usize - first];
            for (other, &node) in nodes.of_cell[cube as usize].iter().enumerate() {
                let slot: usize = (0..3)
                    .map(|axis| (1 + (other >> axis & 1) - (corner >> axis & 1)) * [1, 3, 9][axis])
                    .sum();
                column[slot] = node;
                for row in 0..3 {
                    for part in 0..3 {
                        block[slot][3 * row + part] += matrix[3 * corner + row][3 * other + part];
                    }
                }
            }
        }
        for (column, block) in column.into_iter().zip(block) {
            if column != u32::MAX {
                self.column.push(column);
                self.block.push(block.map(|x| x as f32));
            }
        }
        self.begin.push(self.column.len() as u32);
    }

    fn joined(parts: Vec<Self>) -> Self {
        let mut whole = Self::empty();
        let length = parts.iter().map(|part| part.column.len()).sum();
        whole.column.reserve_exact(length);
        whole.block.reserve_exact(length);
        for part in parts {
            let before = whole.column.len() as u32;
            whole
                .begin
                .extend(part.begin[1..].iter().map(|end| end + before));
            whole.column.extend(part.column);
            whole.block.extend(part.block);
        }
        whole
    }

    /// y = K x.
    pub fn times(&self, x: &[f32], y: &mut [f32]) {
        let x = thirds(x);
        let [a, b, c] = thirds_mut(y);
        a.par_chunks_mut(PART)
            .zip(b.par_chunks_mut(PART))
            .zip(c.par_chunks_mut(PART))
            .enumerate()
            .for_each(|(part, ((a, b), c))| {
                pulp::Arch::new().dispatch(|| self.part(PART * part, x, [a, b, c]));
            });
    }

    #[inline(always)]
    fn part(&self, first: usize, x: [&[f32]; 3], y: [&mut [f32]; 3]) {
        for row in 0..y[0].len() {
            let range = self.begin[first + row] as usize..self.begin[first + row + 1] as usize;
            let mut sum = [0.0_f32; 9];
            for (block, &column) in self.block[range.clone()].iter().zip(&self.column[range]) {
                let at = column as usize;
                let x = [x[0][at], x[1][at], x[2][at]];
                for row in 0..3 {
                    for part in 0..3 {
                        sum[3 * row + part] += block[3 * row + part] * x[part];
                    }
                }
            }
            for direction in 0..3 {
                y[direction][row] =
                    sum[3 * direction] + sum[3 * direction + 1] + sum[3 * direction + 2];
            }
        }
    }

    /// The blocks on the diagonal: xx, yy, zz, xy, yz, zx.
    pub fn diagonal(&self) -> Vec<[f64; 6]> {
        (0..self.begin.len() - 1)
            .map(|node| {
                let row = self.begin[node] as usize..self.begin[node + 1] as usize;
                let place = row
                    .clone()
                    .find(|&place| self.column[place] as usize == node);
                place.map_or([0.0; 6], |place| {
                    let b = self.block[place].map(f64::from);
                    [b[0], b[4], b[8], b[1], b[5], b[2]]
                })
            })
            .collect()
    }
}

/// The whole matrix of the coarsest lattice, row after row; directions one after the other, as vectors have them.
pub(crate) fn dense(cubes: &Cubes, nodes: &Nodes) -> Vec<f64> {
    let count = nodes.at.len();
    let size = 3 * count;
    let mut whole = vec![0.0; size * size];
    for (matrix, corners) in cubes.matrix.iter().zip(&nodes.of_cell) {
        for i in 0..DEGREES {
            let row = (i % 3) * count + corners[i / 3] as usize;
            for j in 0..DEGREES {
                let column = (j % 3) * count + corners[j / 3] as usize;
                whole[row * size + column] += matrix[i][j];
            }
        }
    }
    whole
}

/// The rows of the first coarse lattice, with its nodes, and the cubes of the second.
pub(crate) fn first(
    cells: &Cells,
    matrices: &[Matrix],
    held: &[(usize, f64)],
) -> (Nodes, Rows, Cubes) {
    let products: Vec<Box<[Matrix; 8]>> = matrices
        .par_iter()
        .map(|matrix| {
            let mut products = Box::new([[[0.0; DEGREES]; DEGREES]; 8]);
            for (place, product) in products.iter_mut().enumerate() {
                add_product(product, matrix, place, 1.0);
            }
            products
        })
        .collect();
    let mut spring = vec![0.0; if held.is_empty() { 0 } else { cells.list.len() }];
    for &(cell, stiffness) in held {
        spring[cell] += stiffness;
    }
    let mut unit = [[0.0; DEGREES]; DEGREES];
    for (degree, row) in unit.iter_mut().enumerate() {
        row[degree] = 1.0;
    }
    let at: Vec<[u32; 3]> = cells.list.iter().map(|cell| cell.at).collect();
    let small = families(&at);
    let at: Vec<[u32; 3]> = small.iter().map(|(at, _)| *at).collect();
    let large = families(&at);
    let nodes = Nodes::of(at.iter().copied(), cells.grid.count.map(|n| n.div_ceil(2)));
    let meeting = meeting(&nodes);
    let cube = |children: &[u32]| -> Box<Matrix> {
        let mut sum = Box::new([[0.0; DEGREES]; DEGREES]);
        for &child in children {
            let cell = &cells.list[child as usize];
            let place = parent(cell.at).1;
            let product = &products[usize::from(cell.kind)][place];
            for (sum, product) in sum
                .as_flattened_mut()
                .iter_mut()
                .zip(product.as_flattened())
            {
                *sum += cell.share * product;
            }
            let stiffness = spring.get(child as usize).copied().unwrap_or(0.0);
            if stiffness > 0.0 {
                add_product(&mut sum, &unit, place, stiffness);
            }
        }
        sum
    };
    let node_layers = nodes.layers.len() as u32 - 1;
    let parts: Vec<(Rows, Vec<Box<Matrix>>)> = (0..node_layers.div_ceil(LAYERS))
        .into_par_iter()
        .map(|part| {
            let (low, past) = (part * LAYERS, ((part + 1) * LAYERS).min(node_layers));
            let first = at.partition_point(|at| at[2] + 1 < low);
            let end = at.partition_point(|at| at[2] < past);
            let cubes: Vec<Box<Matrix>> = small[first..end]
                .iter()
                .map(|(_, children)| cube(children))
                .collect();
            let mut rows = Rows::empty();
            for node in nodes.layers[low as usize]..nodes.layers[past as usize] {
                rows.push(&meeting[node as usize], &nodes, &cubes, first);
            }
            let own = |z: u32| large.partition_point(|(at, _)| at[2] < z / 2);
            let next = large[own(low)..own(low + LAYERS)]
                .iter()
                .map(|(_, children)| joined(children, &at, |child| &cubes[child as usize - first]))
                .collect();
            (rows, next)
        })
        .collect();
    let (rows, next): (Vec<Rows>, Vec<Vec<Box<Matrix>>>) = parts.into_iter().unzip();
    let cubes = Cubes {
        at: large.into_iter().map(|(at, _)| at).collect(),
        matrix: next.into_iter().flatten().collect(),
    };
    (nodes, Rows::joined(rows), cubes)
}

/// One coarse cube out of up to eight.
fn joined<'a>(
    children: &[u32],
    at: &[[u32; 3]],
    matrix: impl Fn(u32) -> &'a Matrix,
) -> Box<Matrix> {
    let mut sum = Box::new([[0.0; DEGREES]; DEGREES]);
    for &child in children {
        let place = parent(at[child as usize]).1;
        add_product(&mut sum, matrix(child), place, 1.0);
    }
    sum
}

/// Between a lattice and the next coarser one.
#[derive(Debug)]
pub(crate) struct Transfer {
    /// Of each fine node: coarse nodes and their weights.
    down: Lists,
    /// Of each coarse node: fine nodes and their weights.
    up: Lists,
}

#[derive(Debug)]
struct Lists {
    begin: Vec<u32>,
    entries: Vec<(u32, f32)>,
}

impl Lists {
    fn apply(&self, x: &[f32], y: &mut [f32], add: bool) {
        let x = thirds(x);
        let [a, b, c] = thirds_mut(y);
        a.par_chunks_mut(2 * PART)
            .zip(b.par_chunks_mut(2 * PART))
            .zip(c.par_chunks_mut(2 * PART))
            .enumerate()
            .for_each(|(part, ((a, b), c))| {
                for row in 0..a.len() {
                    let node = 2 * PART * part + row;
                    let mut sum = if add {
                        [a[row], b[row], c[row]]
                    } else {
                        [0.0; 3]
                    };
                    for &(other, weight) in
                        &self.entries[self.begin[node] as usize..self.begin[node + 1] as usize]
                    {
                        for direction in 0..3 {
                            sum[direction] += weight * x[direction][other as usize];
                        }
                    }
                    [a[row], b[row], c[row]] = sum;
                }
            });
    }
}
impl Transfer {
    pub fn between(fine: &Nodes, coarse: &Nodes, coarse_count: [usize; 3]) -> Self {
        let lattice = coarse_count.map(|cells| cells + 1);
        let place = |at: [u32; 3]| {
            (at[2] as usize * lattice[1] + at[1] as usize) * lattice[0] + at[0] as usize
        };
        let mut number = vec![u32::MAX; lattice.iter().product()];
        for (index, at) in coarse.at.iter().enumerate() {
            number[place(*at)] = index as u32;
        }
        let mut down = Lists {
            begin: vec![0],
            entries: Vec::new(),
        };
        let mut up: Vec<Vec<(u32, f32)>> = vec![Vec::new(); coarse.at.len()];
        for (index, at) in fine.at.iter().enumerate() {
            let low = at.map(|place| place / 2);
            for (corner, coarse) in corners(low).into_iter().enumerate() {
                let weight: f32 = (0..3)
                    .map(|axis| match (at[axis] % 2, corner >> axis & 1) {
                        (0, 0) => 1.0,
                        (0, _) => 0.0,
                        _ => 0.5,
                    })
                    .product();
                if weight > 0.0 {
                    let coarse = number[place(coarse)];
                    down.entries.push((coarse, weight));
                    up[coarse as usize].push((index as u32, weight));
                }
            }
            down.begin.push(down.entries.len() as u32);
        }
        let mut begin = vec![0];
        let mut entries = Vec::with_capacity(down.entries.len());
        for list in up {
            entries.extend(list);
            begin.push(entries.len() as u32);
        }
        Self {
            down,
            up: Lists { begin, entries },
        }
    }

    /// Forces of the fine nodes, gathered on the coarse ones.
    pub fn gather(&self, fine: &[f32], coarse: &mut [f32]) {
        self.up.apply(fine, coarse, false);
    }

    /// Motions of the coarse nodes, added to the fine ones.
    pub fn spread(&self, coarse: &[f32], fine: &mut [f32]) {
        self.down.apply(coarse, fine, true);
    }
}
