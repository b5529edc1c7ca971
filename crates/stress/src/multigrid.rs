//! The preconditioner: one sweep through all lattices.
//!
//! Method: a V-cycle with Chebyshev smoothing over three by three block Jacobi
//! (M. Adams, M. Brezina, J. Hu and R. Tuminaro, "Parallel multigrid smoothing:
//! polynomial versus Gauss-Seidel", 2003): degree 2 on the part of the spectrum
//! from λ/32 to λ, the largest eigenvalue: on the fine lattice a bound from the
//! cubes' own matrices, on the others power iteration from a fixed start, raised. Before and after it is the same polynomial, so the whole is
//! symmetric and may serve conjugate gradients. The coarsest lattice is solved
//! directly by Cholesky, with the rigid motions of a free body made stiff and taken out.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::brick::{DEGREES, Matrix};
use crate::coarse::{self, Rows, Transfer};
use crate::fine::{Fine, Nodes};
use crate::grid::Cells;
use crate::rigid::Rigid;
use crate::vectors::{dot, single, thirds, thirds_mut};

/// Nodes below which a lattice is solved directly.
const DIRECT: usize = 330;
/// Rounds of power iteration on a coarse lattice.
const ROUNDS: usize = 20;
/// What power iteration is raised by: it comes from below, and a smoother that misses the top of the spectrum is none.
const ABOVE: f64 = 1.2;
/// The smoothed part of the spectrum: from this share of its top.
const SPAN: f64 = 32.0;
/// Steps of the polynomial.
const DEGREE: usize = 2;

/// The stiffness of one lattice.
#[derive(Debug)]
enum Stiffness {
    Fine(Fine),
    Rows(Rows),
}

impl Stiffness {
    fn times(&self, x: &[f32], y: &mut [f32]) {
        match self {
            Self::Fine(fine) => fine.times_single(x, y),
            Self::Rows(rows) => rows.times(x, y),
        }
    }
}

#[derive(Debug)]
struct Level {
    stiffness: Stiffness,
    /// Inverses of the blocks on the diagonal: xx, yy, zz, xy, yz, zx of every node.
    inverse: Vec<[f32; 6]>,
    /// Largest eigenvalue of inverse · stiffness.
    largest: f64,
    /// To the next coarser lattice.
    transfer: Transfer,
}

/// All lattices, ready.
#[derive(Debug)]
pub(crate) struct Multigrid {
    levels: Vec<Level>,
    coarsest: Factor,
}

impl Multigrid {
    /// Builds all lattices under that of the cells.
    pub fn new(
        cells: &Cells,
        nodes: &Nodes,
        matrices: &[Matrix],
        held: &[(usize, f64)],
        free: bool,
    ) -> Self {
        let (first, rows, cubes) = coarse::first(cells, matrices, held);
        let mut count = cells.grid.count.map(|cells| cells.div_ceil(2));
        let mut springs = BTreeMap::new();
        for &(cell, spring) in held {
            for node in nodes.of_cell[cell] {
                *springs.entry(node).or_insert(0.0) += spring;
            }
        }
        let fine = Fine::new(cells, nodes, matrices, springs.into_iter().collect());
        let diagonal = fine.diagonal(cells, nodes, matrices);
        let transfer = Transfer::between(nodes, &first, count);
        let mut levels = vec![Level::new(
            Stiffness::Fine(fine),
            &diagonal,
            transfer,
            Some(largest_of_any(matrices)),
        )];
        let (mut rows, mut nodes, mut cubes) = (rows, first, cubes);
        loop {
            count = count.map(|cells| cells.div_ceil(2));
            let coarse = Nodes::of(cubes.at.iter().copied(), count);
            let transfer = Transfer::between(&nodes, &coarse, count);
            let diagonal = rows.diagonal();
            levels.push(Level::new(Stiffness::Rows(rows), &diagonal, transfer, None));
            if coarse.at.len() <= DIRECT || count.iter().all(|&cells| cells <= 1) {
                let whole = coarse::dense(&cubes, &coarse);
                let rigid = if free {
                    Rigid::of(&coarse)
                } else {
                    Rigid::default()
                };
                let coarsest = Factor::of(whole, 3 * coarse.at.len(), rigid);
                return Self { levels, coarsest };
            }
            rows = Rows::of(&cubes, &coarse);
            cubes = cubes.coarser();
            nodes = coarse;
        }
    }

    /// y = K x on the fine lattice.
    pub fn times(&self, x: &[f64], y: &mut [f64]) {
        if let Some(Level {
            stiffness: Stiffness::Fine(fine),
            ..
        }) = self.levels.first()
        {
            fine.times(x, y);
        }
    }

    /// Number of lattices.
    pub fn lattices(&self) -> usize {
        self.levels.len() + 1
    }

    /// An approximate solution of K x = b.
    pub fn sweep(&self, b: &[f32]) -> Vec<f32> {
        self.descend(0, b)
    }

    fn descend(&self, number: usize, b: &[f32]) -> Vec<f32> {
        let Some(level) = self.levels.get(number) else {
            return self.coarsest.solve(b);
        };
        let mut x = vec![0.0; b.len()];
        let mut work = vec![0.0; b.len()];
        let mut step = vec![0.0; b.len()];
        level.smooth(b, &mut x, &mut work, &mut step, true);
        level.stiffness.times(&x, &mut work);
        zipped(&mut work, b, |work, b| *work = b - *work);
        let mut coarse = vec![0.0; self.size_below(number)];
        level.transfer.gather(&work, &mut coarse);
        let better = self.descend(number + 1, &coarse);
        level.transfer.spread(&better, &mut x);
        level.smooth(b, &mut x, &mut work, &mut step, false);
        x
    }

    fn size_below(&self, number: usize) -> usize {
        self.levels
            .get(number + 1)
            .map_or(self.coarsest.size, |level| 3 * level.inverse.len())
    }
}

const PART: usize = 1 << 13;

fn zipped(y: &mut [f32], x: &[f32], act: impl Fn(&mut f32, f32) + Sync) {
    y.par_chunks_mut(PART)
        .zip(x.par_chunks(PART))
        .for_each(|(y, x)| {
            for (y, &x) in y.iter_mut().zip(x) {
                act(y, x);
            }
        });
}

impl Level {
    fn new(
        stiffness: Stiffness,
        diagonal: &[[f64; 6]],
        transfer: Transfer,
        largest: Option<f64>,
    ) -> Self {
        let inverse: Vec<[f32; 6]> = diagonal.par_iter().map(inverted).collect();
        let mut level = Self {
            stiffness,
            inverse,
            largest: 1.0,
            transfer,
        };
        level.largest = largest.unwrap_or_else(|| ABOVE * level.power());
        level
    }

    /// Largest eigenvalue of inverse · stiffness, from below.
    fn power(&self) -> f64 {
        let size = 3 * self.inverse.len();
        // A start that is rough and the same every time.
        let mut x: Vec<f64> = (0..size)
            .map(|i| (i as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 40)
            .map(|bits| bits as f64 / (1_u64 << 23) as f64 - 1.0)
            .collect();
        let mut from = vec![0.0_f32; size];
        let mut y = vec![0.0_f32; size];
        let mut step = vec![0.0_f32; size];
        let mut largest = 1.0;
        for _ in 0..ROUNDS {
            let length = dot(&x, &x).sqrt();
            if !(length > 0.0 && length.is_finite()) {
                return largest;
            }
            single(&x, 1.0 / length, &mut from);
            self.stiffness.times(&from, &mut y);
            self.precondition(&y, &mut step, |step, z| *step = z);
            x.par_iter_mut()
                .zip(&step)
                .for_each(|(x, z)| *x = f64::from(*z));
            let next = dot(&x, &x).sqrt();
            if !(next > 0.0 && next.is_finite()) {
                return largest;
            }
            largest = next;
        }
        largest
    }

    /// Hands the inverse of the blocks times `r` to `act`, beside what stands in `to`.
    fn precondition(&self, r: &[f32], to: &mut [f32], act: impl Fn(&mut f32, f32) + Sync) {
        let [rx, ry, rz] = thirds(r);
        let [x, y, z] = thirds_mut(to);
        let parts = (
            x.par_chunks_mut(2048),
            y.par_chunks_mut(2048),
            z.par_chunks_mut(2048),
        );
        let from = (
            rx.par_chunks(2048),
            ry.par_chunks(2048),
            rz.par_chunks(2048),
        );
        (
            parts.into_par_iter(),
            from.into_par_iter(),
            self.inverse.par_chunks(2048),
        )
            .into_par_iter()
            .for_each(|((x, y, z), (rx, ry, rz), inverse)| {
                for (node, m) in inverse.iter().enumerate() {
                    let (a, b, c) = (rx[node], ry[node], rz[node]);
                    act(&mut x[node], m[0] * a + m[3] * b + m[5] * c);
                    act(&mut y[node], m[3] * a + m[1] * b + m[4] * c);
                    act(&mut z[node], m[5] * a + m[4] * b + m[2] * c);
                }
            });
    }

    /// Chebyshev steps towards K x = b; with `fresh` x is nought.
    fn smooth(&self, b: &[f32], x: &mut [f32], work: &mut [f32], step: &mut [f32], fresh: bool) {
        let high = self.largest;
        let low = high / SPAN;
        let (middle, half) = (0.5 * (high + low), 0.5 * (high - low));
        let by = (1.0 / middle) as f32;
        if fresh {
            self.precondition(b, step, |step, z| *step = by * z);
        } else {
            self.stiffness.times(x, work);
            zipped(work, b, |work, b| *work = b - *work);
            self.precondition(work, step, |step, z| *step = by * z);
        }
        zipped(x, step, |x, step| *x += step);
        let mut old = half / middle;
        for _ in 1..DEGREE {
            let new = 1.0 / (2.0 * middle / half - old);
            self.stiffness.times(x, work);
            zipped(work, b, |work, b| *work = b - *work);
            let (keep, take) = ((new * old) as f32, (2.0 * new / half) as f32);
            self.precondition(work, step, |step, z| *step = keep * *step + take * z);
            zipped(x, step, |x, step| *x += step);
            old = new;
        }
    }
}

/// A bound on the largest eigenvalue over the whole lattice: that of one cube alone, the largest of all orientations. With K
/// the sum of cubes and D of their diagonal blocks, xᵀ K x = Σ xᵀ Kₑ x ≤ Σ λₑ xᵀ Dₑ x, whatever their shares.
fn largest_of_any(matrices: &[Matrix]) -> f64 {
    let one = |matrix: &Matrix| {
        let inverse: [[f32; 6]; 8] = std::array::from_fn(|corner| {
            let at = |i: usize, j: usize| matrix[3 * corner + i][3 * corner + j];
            inverted(&[at(0, 0), at(1, 1), at(2, 2), at(0, 1), at(1, 2), at(2, 0)])
        });
        let mut x: [f64; DEGREES] = std::array::from_fn(|i| ((7 * i + 3) as f64).sin());
        let mut largest = 1.0;
        for _ in 0..200 {
            let length = x.iter().map(|x| x * x).sum::<f64>().sqrt();
            let y: [f64; DEGREES] =
                std::array::from_fn(|i| (0..DEGREES).map(|j| matrix[i][j] * x[j] / length).sum());
            for (corner, m) in inverse.iter().enumerate() {
                let m = m.map(f64::from);
                let [a, b, c] = [y[3 * corner], y[3 * corner + 1], y[3 * corner + 2]];
                x[3 * corner] = m[0] * a + m[3] * b + m[5] * c;
                x[3 * corner + 1] = m[3] * a + m[1] * b + m[4] * c;
                x[3 * corner + 2] = m[5] * a + m[4] * b + m[2] * c;
            }
            largest = x.iter().map(|x| x * x).sum::<f64>().sqrt();
        }
        1.01 * largest
    };
    matrices.par_iter().map(one).reduce(|| 1.0, f64::max)
}

/// The inverse of a symmetric three by three block; a direction without stiffness stands still.
fn inverted(m: &[f64; 6]) -> [f32; 6] {
    let [xx, yy, zz, xy, yz, zx] = *m;
    let matrix = glam::DMat3::from_cols_array(&[xx, xy, zx, xy, yy, yz, zx, yz, zz]);
    let scale = xx.abs().max(yy.abs()).max(zz.abs());
    if scale > 0.0 && matrix.determinant() > 1e-12 * scale.powi(3) {
        let inverse = matrix.inverse().to_cols_array();
        return [0, 4, 8, 1, 5, 2].map(|i| inverse[i] as f32);
    }
    let one = |x: f64| {
        if x > 1e-9 * scale {
            (1.0 / x) as f32
        } else {
            0.0
        }
    };
    [one(xx), one(yy), one(zz), 0.0, 0.0, 0.0]
}

/// The lower triangle of the coarsest stiffness.
#[derive(Debug)]
struct Factor {
    size: usize,
    lower: Vec<f64>,
    /// Rigid motions, which are kept out.
    rigid: Rigid,
}

impl Factor {
    fn of(mut a: Vec<f64>, size: usize, rigid: Rigid) -> Self {
        let largest = (0..size).map(|i| a[i * size + i]).fold(0.0, f64::max);
        rigid.stiffen(&mut a, largest);
        for i in 0..size {
            let (above, row) = a.split_at_mut(i * size);
            let row = &mut row[..size];
            for j in 0..i {
                let other = &above[j * size..j * size + j + 1];
                let gone: f64 = row[..j].iter().zip(other).map(|(x, y)| x * y).sum();
                row[j] = (row[j] - gone) / other[j];
            }
            let gone: f64 = row[..i].iter().map(|x| x * x).sum();
            let left = row[i] - gone;
            // A node that hangs on by next to nothing stands still.
            row[i] = if left > 1e-13 * largest {
                left.sqrt()
            } else {
                1e150
            };
        }
        Self {
            size,
            lower: a,
            rigid,
        }
    }

    fn solve(&self, b: &[f32]) -> Vec<f32> {
        let (n, l) = (self.size, &self.lower);
        let mut x: Vec<f64> = b.iter().map(|b| f64::from(*b)).collect();
        self.rigid.take_out(&mut x);
        for i in 0..n {
            let gone: f64 = l[i * n..i * n + i].iter().zip(&x).map(|(l, x)| l * x).sum();
            x[i] = (x[i] - gone) / l[i * n + i];
        }
        for i in (0..n).rev() {
            x[i] /= l[i * n + i];
            let by = x[i];
            for (x, l) in x[..i].iter_mut().zip(&l[i * n..i * n + i]) {
                *x -= l * by;
            }
        }
        self.rigid.take_out(&mut x);
        x.into_iter().map(|x| x as f32).collect()
    }
}
