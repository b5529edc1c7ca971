//! Coarser lattices of the same piece: stiffness in rows of three by three blocks.
//!
//! Method: Galerkin. Eight cubes become one; a fine node's motion is the trilinear mean of its
//! coarse cube's corners, and the coarse cube's matrix is Σ Pᵀ K P over its children, so that the
//! coarse lattice stores exactly the work that the fine one would under the same motion. From the
//! fine lattice to the first coarse one the products are worked out once for each of eight
//! places and each orientation and summed with the shares of wood.

use rayon::prelude::*;

use crate::brick::{DEGREES, Matrix};
use crate::fine::{Nodes, corners};

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
            .map(|(_, children)| {
                let mut sum = Box::new([[0.0; DEGREES]; DEGREES]);
                for &child in children {
                    let place = parent(self.at[child as usize]).1;
                    add_product(&mut sum, &self.matrix[child as usize], place, 1.0);
                }
                sum
            })
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
    block: Vec<[f64; 9]>,
}

impl Rows {
    /// Puts the cubes' matrices together.
    pub fn of(cubes: &Cubes, nodes: &Nodes) -> Self {
        // Up to eight cubes meet in a node: (cube, corner).
        let mut meeting: Vec<Vec<(u32, u8)>> = vec![Vec::new(); nodes.at.len()];
        for (cube, corners) in nodes.of_cell.iter().enumerate() {
            for (corner, &node) in corners.iter().enumerate() {
                meeting[node as usize].push((cube as u32, corner as u8));
            }
        }
        let rows: Vec<(Vec<u32>, Vec<[f64; 9]>)> = meeting
            .par_iter()
            .map(|meeting| {
                let mut columns: Vec<u32> = meeting
                    .iter()
                    .flat_map(|(cube, _)| nodes.of_cell[*cube as usize])
                    .collect();
                columns.sort_unstable();
                columns.dedup();
                let mut blocks = vec![[0.0; 9]; columns.len()];
                for &(cube, corner) in meeting {
                    let matrix = &cubes.matrix[cube as usize];
                    for (other, node) in nodes.of_cell[cube as usize].iter().enumerate() {
                        let Ok(place) = columns.binary_search(node) else {
                            continue;
                        };
                        for row in 0..3 {
                            for column in 0..3 {
                                blocks[place][3 * row + column] +=
                                    matrix[3 * usize::from(corner) + row][3 * other + column];
                            }
                        }
                    }
                }
                (columns, blocks)
            })
            .collect();
        let mut begin = vec![0];
        let (mut column, mut block) = (Vec::new(), Vec::new());
        for (columns, blocks) in rows {
            column.extend(columns);
            block.extend(blocks);
            begin.push(column.len() as u32);
        }
        Self {
            begin,
            column,
            block,
        }
    }

    /// y = K x.
    pub fn times(&self, x: &[f64], y: &mut [f64]) {
        y.par_chunks_mut(3 * 512).enumerate().for_each(|(part, y)| {
            for (row, y) in y.chunks_exact_mut(3).enumerate() {
                let node = 512 * part + row;
                let mut sum = [0.0; 3];
                for place in self.begin[node] as usize..self.begin[node + 1] as usize {
                    let (block, at) = (&self.block[place], 3 * self.column[place] as usize);
                    let x = [x[at], x[at + 1], x[at + 2]];
                    for row in 0..3 {
                        sum[row] += block[3 * row] * x[0]
                            + block[3 * row + 1] * x[1]
                            + block[3 * row + 2] * x[2];
                    }
                }
                y.copy_from_slice(&sum);
            }
        });
    }

    /// The blocks on the diagonal.
    pub fn diagonal(&self) -> Vec<[f64; 9]> {
        (0..self.begin.len() - 1)
            .map(|node| {
                let row = self.begin[node] as usize..self.begin[node + 1] as usize;
                let place = row
                    .clone()
                    .find(|&place| self.column[place] as usize == node);
                place.map_or([0.0; 9], |place| self.block[place])
            })
            .collect()
    }

    /// The whole matrix, row after row.
    pub fn dense(&self) -> Vec<f64> {
        let nodes = self.begin.len() - 1;
        let size = 3 * nodes;
        let mut whole = vec![0.0; size * size];
        for node in 0..nodes {
            for place in self.begin[node] as usize..self.begin[node + 1] as usize {
                let other = self.column[place] as usize;
                for row in 0..3 {
                    for column in 0..3 {
                        whole[(3 * node + row) * size + 3 * other + column] =
                            self.block[place][3 * row + column];
                    }
                }
            }
        }
        whole
    }
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
    fn apply(&self, x: &[f64], y: &mut [f64], add: bool) {
        y.par_chunks_mut(3 * 1024)
            .enumerate()
            .for_each(|(part, y)| {
                for (row, y) in y.chunks_exact_mut(3).enumerate() {
                    let node = 1024 * part + row;
                    let mut sum = if add { [y[0], y[1], y[2]] } else { [0.0; 3] };
                    for &(other, weight) in
                        &self.entries[self.begin[node] as usize..self.begin[node + 1] as usize]
                    {
                        let (at, weight) = (3 * other as usize, f64::from(weight));
                        for direction in 0..3 {
                            sum[direction] += weight * x[at + direction];
                        }
                    }
                    y.copy_from_slice(&sum);
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
    pub fn gather(&self, fine: &[f64], coarse: &mut [f64]) {
        self.up.apply(fine, coarse, false);
    }

    /// Motions of the coarse nodes, added to the fine ones.
    pub fn spread(&self, coarse: &[f64], fine: &mut [f64]) {
        self.down.apply(coarse, fine, true);
    }
}
