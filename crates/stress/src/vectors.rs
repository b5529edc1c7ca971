//! Sums over long vectors, in one order on any number of cores.

use rayon::prelude::*;

const PART: usize = 1 << 13;

/// Σ a b.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let parts: Vec<f64> = a
        .par_chunks(PART)
        .zip(b.par_chunks(PART))
        .map(|(a, b)| a.iter().zip(b).map(|(a, b)| a * b).sum())
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

/// y = x + s y.
pub(crate) fn add_to_scaled(y: &mut [f64], s: f64, x: &[f64]) {
    y.par_chunks_mut(PART)
        .zip(x.par_chunks(PART))
        .for_each(|(y, x)| {
            for (y, x) in y.iter_mut().zip(x) {
                *y = x + s * *y;
            }
        });
}
