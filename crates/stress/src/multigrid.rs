//! The preconditioner: one sweep through all lattices.
//!
//! Method: a V-cycle with Chebyshev smoothing over three by three block Jacobi
//! (M. Adams, M. Brezina, J. Hu and R. Tuminaro, "Parallel multigrid smoothing:
//! polynomial versus Gauss-Seidel", 2003): degree 2 on the part of the spectrum
//! from λ/32 to 1.1 λ, λ the largest eigenvalue found by power iteration from a
//! fixed start. Before and after it is the same polynomial, so the whole is
//! symmetric and may serve conjugate gradients. The coarsest lattice is solved
//! directly by Cholesky; a pivot lost to rounding (a free body has six) stands still.

use rayon::prelude::*;

use crate::coarse::{Cubes, Rows, Transfer};
use crate::fine::{Fine, Nodes};
use crate::vectors::dot;

/// Nodes below which a lattice is solved directly.
const DIRECT: usize = 330;
/// Rounds of power iteration.
const ROUNDS: usize = 10;
/// The smoothed part of the spectrum.
const SPAN: f64 = 32.0;
const ABOVE: f64 = 1.1;

/// The stiffness of one lattice.
#[derive(Debug)]
enum Stiffness {
    Fine(Fine),
    Rows(Rows),
}

impl Stiffness {
    fn times(&self, x: &[f64], y: &mut [f64]) {
        match self {
            Self::Fine(fine) => fine.times(x, y),
            Self::Rows(rows) => rows.times(x, y),
        }
    }
}

#[derive(Debug)]
struct Level {
    stiffness: Stiffness,
    /// Inverses of the blocks on the diagonal.
    inverse: Vec<[f64; 9]>,
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
    /// Builds all lattices. `cubes` are those of the first coarse lattice, with its nodes.
    pub fn new(fine: Fine, nodes: &Nodes, cubes: Cubes, count: [usize; 3]) -> Self {
        let mut count = count.map(|cells| cells.div_ceil(2));
        let first = Nodes::of(cubes.at.iter().copied(), count);
        let transfer = Transfer::between(nodes, &first, count);
        let diagonal = fine.diagonal();
        let mut levels = vec![Level::new(Stiffness::Fine(fine), diagonal, transfer)];
        let (mut cubes, mut nodes) = (cubes, first);
        while nodes.at.len() > DIRECT && count.iter().any(|&cells| cells > 1) {
            let rows = Rows::of(&cubes, &nodes);
            count = count.map(|cells| cells.div_ceil(2));
            cubes = cubes.coarser();
            let coarse = Nodes::of(cubes.at.iter().copied(), count);
            let transfer = Transfer::between(&nodes, &coarse, count);
            let diagonal = rows.diagonal();
            levels.push(Level::new(Stiffness::Rows(rows), diagonal, transfer));
            nodes = coarse;
        }
        let coarsest = Factor::of(Rows::of(&cubes, &nodes).dense(), 3 * nodes.at.len());
        Self { levels, coarsest }
    }

    /// y = K x on the fine lattice.
    pub fn times(&self, x: &[f64], y: &mut [f64]) {
        self.levels[0].stiffness.times(x, y);
    }

    /// Number of lattices.
    pub fn lattices(&self) -> usize {
        self.levels.len() + 1
    }

    /// An approximate solution of K x = b.
    pub fn sweep(&self, b: &[f64]) -> Vec<f64> {
        self.descend(0, b)
    }

    fn descend(&self, number: usize, b: &[f64]) -> Vec<f64> {
        let Some(level) = self.levels.get(number) else {
            return self.coarsest.solve(b);
        };
        let mut x = vec![0.0; b.len()];
        let mut work = vec![0.0; b.len()];
        level.smooth(b, &mut x, &mut work, true);
        level.stiffness.times(&x, &mut work);
        work.par_iter_mut()
            .zip(b)
            .for_each(|(work, b)| *work = b - *work);
        let mut coarse = vec![0.0; self.size_below(number)];
        level.transfer.gather(&work, &mut coarse);
        let better = self.descend(number + 1, &coarse);
        level.transfer.spread(&better, &mut x);
        level.smooth(b, &mut x, &mut work, false);
        x
    }

    fn size_below(&self, number: usize) -> usize {
        self.levels
            .get(number + 1)
            .map_or(self.coarsest.size, |level| 3 * level.inverse.len())
    }
}

impl Level {
    fn new(stiffness: Stiffness, diagonal: Vec<[f64; 9]>, transfer: Transfer) -> Self {
        let inverse: Vec<[f64; 9]> = diagonal.par_iter().map(inverted).collect();
        let mut level = Self {
            stiffness,
            inverse,
            largest: 1.0,
            transfer,
        };
        level.largest = level.power();
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
        let mut y = vec![0.0; size];
        let mut largest = 1.0;
        for _ in 0..ROUNDS {
            self.stiffness.times(&x, &mut y);
            let energy = dot(&x, &y);
            self.precondition(&mut y);
            let length = dot(&y, &y).sqrt();
            let old = dot(&x, &x).sqrt();
            if !(length > 0.0 && length.is_finite() && old > 0.0) || energy <= 0.0 {
                return largest;
            }
            largest = length / old;
            x.par_iter_mut().zip(&y).for_each(|(x, y)| *x = y / length);
        }
        largest
    }

    fn precondition(&self, r: &mut [f64]) {
        r.par_chunks_mut(3 * 2048)
            .zip(self.inverse.par_chunks(2048))
            .for_each(|(r, inverse)| {
                for (r, m) in r.chunks_exact_mut(3).zip(inverse) {
                    let [a, b, c] = [r[0], r[1], r[2]];
                    r[0] = m[0] * a + m[1] * b + m[2] * c;
                    r[1] = m[3] * a + m[4] * b + m[5] * c;
                    r[2] = m[6] * a + m[7] * b + m[8] * c;
                }
            });
    }

    /// Two Chebyshev steps towards K x = b; with `fresh` x is nought and not looked at.
    fn smooth(&self, b: &[f64], x: &mut [f64], work: &mut [f64], fresh: bool) {
        let high = ABOVE * self.largest;
        let low = high / SPAN;
        let (middle, half) = (0.5 * (high + low), 0.5 * (high - low));
        let mut step = if fresh {
            b.to_vec()
        } else {
            self.stiffness.times(x, work);
            b.par_iter().zip(&*work).map(|(b, w)| b - w).collect()
        };
        self.precondition(&mut step);
        step.par_iter_mut().for_each(|d| *d /= middle);
        x.par_iter_mut().zip(&step).for_each(|(x, d)| *x += d);
        let old = half / middle;
        let new = 1.0 / (2.0 * middle / half - old);
        self.stiffness.times(x, work);
        work.par_iter_mut().zip(b).for_each(|(w, b)| *w = b - *w);
        self.precondition(work);
        x.par_iter_mut()
            .zip(&step)
            .zip(&*work)
            .for_each(|((x, d), r)| {
                *x += new * old * d + 2.0 * new / half * r;
            });
    }
}

/// The inverse of a symmetric three by three block; a direction without stiffness stands still.
fn inverted(m: &[f64; 9]) -> [f64; 9] {
    let matrix = glam::DMat3::from_cols_array(m);
    let scale = m[0].abs().max(m[4].abs()).max(m[8].abs());
    if scale > 0.0 && matrix.determinant() > 1e-12 * scale.powi(3) {
        return matrix.inverse().to_cols_array();
    }
    let one = |x: f64| if x > 1e-9 * scale { 1.0 / x } else { 0.0 };
    [
        one(m[0]),
        0.0,
        0.0,
        0.0,
        one(m[4]),
        0.0,
        0.0,
        0.0,
        one(m[8]),
    ]
}

/// The lower triangle of the coarsest stiffness.
#[derive(Debug)]
struct Factor {
    size: usize,
    lower: Vec<f64>,
}

impl Factor {
    fn of(mut a: Vec<f64>, size: usize) -> Self {
        let largest = (0..size).map(|i| a[i * size + i]).fold(0.0, f64::max);
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
            // A free body has six directions without stiffness: there nothing moves.
            row[i] = if left > 1e-10 * largest {
                left.sqrt()
            } else {
                1e150
            };
        }
        Self { size, lower: a }
    }

    fn solve(&self, b: &[f64]) -> Vec<f64> {
        let (n, l) = (self.size, &self.lower);
        let mut x = b.to_vec();
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
        x
    }
}
