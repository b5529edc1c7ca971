//! Long vectors of motions or forces: all parts along x, then all along y, then all along z.
//!
//! Parts of one direction lie side by side, so that a row of nodes along x is read in one go. Sums run in one order on
//! any number of cores. Inside the preconditioner numbers are single, outside double.

use std::fmt::Debug;
use std::ops::{Add, AddAssign, Mul, Sub};

use rayon::prelude::*;

const PART: usize = 1 << 13;

/// A floating-point number.
pub(crate) trait Real:
    Copy
    + Debug
    + Default
    + Send
    + Sync
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + AddAssign
    + 'static
{
    /// The nearest to a double one.
    fn of(value: f64) -> Self;
}

impl Real for f32 {
    fn of(value: f64) -> Self {
        value as Self
    }
}

impl Real for f64 {
    fn of(value: f64) -> Self {
        value
    }
}

/// Σ a b.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    summed(a, b, |a, b| a * b)
}

/// Σ a b, a in single numbers.
pub(crate) fn dot_single(a: &[f32], b: &[f64]) -> f64 {
    summed(a, b, |a, b| f64::from(a) * b)
}

fn summed<A: Real, B: Real>(a: &[A], b: &[B], product: impl Fn(A, B) -> f64 + Sync) -> f64 {
    let parts: Vec<f64> = a
        .par_chunks(PART)
        .zip(b.par_chunks(PART))
        .map(|(a, b)| {
            // Eight sums side by side, in a fixed order.
            let mut sums = [0.0; 8];
            let (a8, b8) = (a.chunks_exact(8), b.chunks_exact(8));
            let rest: f64 = a8
                .remainder()
                .iter()
                .zip(b8.remainder())
                .map(|(&a, &b)| product(a, b))
                .sum();
            for (a, b) in a8.zip(b8) {
                for lane in 0..8 {
                    sums[lane] += product(a[lane], b[lane]);
                }
            }
            sums.iter().sum::<f64>() + rest
        })
        .collect();
    parts.iter().sum()
}

/// y += s x.
pub(crate) fn add(y: &mut [f64], s: f64, x: &[f64]) {
    y.par_chunks_mut(PART)
        .zip(x.par_chunks(PART))
        .for_each(|(y, x)| {
            for (y, x) in y.iter_mut().zip(x) {
                *y += s * x;
            }
        });
}

/// x += s p, r −= s q, and Σ r² after it.
pub(crate) fn step(x: &mut [f64], r: &mut [f64], s: f64, p: &[f64], q: &[f64]) -> f64 {
    let parts: Vec<f64> = x
        .par_chunks_mut(PART)
        .zip(r.par_chunks_mut(PART))
        .zip(p.par_chunks(PART).zip(q.par_chunks(PART)))
        .map(|((x, r), (p, q))| {
            for (x, p) in x.iter_mut().zip(p) {
                *x += s * p;
            }
            for (r, q) in r.iter_mut().zip(q) {
                *r -= s * q;
            }
            let mut sums = [0.0; 8];
            let eights = r.chunks_exact(8);
            let rest: f64 = eights.remainder().iter().map(|r| r * r).sum();
            for r in eights {
                for lane in 0..8 {
                    sums[lane] += r[lane] * r[lane];
                }
            }
            sums.iter().sum::<f64>() + rest
        })
        .collect();
    parts.iter().sum()
}

/// p = z + s p.
pub(crate) fn turn(p: &mut [f64], s: f64, z: &[f32]) {
    p.par_chunks_mut(PART)
        .zip(z.par_chunks(PART))
        .for_each(|(p, z)| {
            for (p, z) in p.iter_mut().zip(z) {
                *p = f64::from(*z) + s * *p;
            }
        });
}

/// In single numbers, times `by`.
pub(crate) fn single(from: &[f64], by: f64, to: &mut [f32]) {
    to.par_chunks_mut(PART)
        .zip(from.par_chunks(PART))
        .for_each(|(to, from)| {
            for (to, from) in to.iter_mut().zip(from) {
                *to = (by * from) as f32;
            }
        });
}

/// The three directions of a vector.
pub(crate) fn thirds<T>(vector: &[T]) -> [&[T]; 3] {
    let (x, rest) = vector.split_at(vector.len() / 3);
    let (y, z) = rest.split_at(x.len());
    [x, y, z]
}

/// The three directions of a vector, to be written.
pub(crate) fn thirds_mut<T>(vector: &mut [T]) -> [&mut [T]; 3] {
    let count = vector.len() / 3;
    let (x, rest) = vector.split_at_mut(count);
    let (y, z) = rest.split_at_mut(count);
    [x, y, z]
}
