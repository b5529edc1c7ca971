//! The six rigid motions of a piece that nothing holds, and how they are taken out.
//!
//! They meet no force, so no solver can find them; forces that would push along them are in no balance. Both are kept out:
//! of loads, of what is left out of balance, and of every correction, on the finest and on the coarsest lattice.

use glam::DVec3;
use rayon::prelude::*;

use crate::fine::Nodes;
use crate::vectors::{add, dot, dot_single};

/// Rigid motions of length one, at right angles to each other; none for a piece that is held.
#[derive(Debug, Default)]
pub(crate) struct Rigid {
    motions: Vec<Vec<f64>>,
}

impl Rigid {
    /// Three ways to move and three to turn.
    pub fn of(nodes: &Nodes) -> Self {
        let place = |at: [u32; 3]| DVec3::new(f64::from(at[0]), f64::from(at[1]), f64::from(at[2]));
        let middle = nodes.at.iter().map(|&at| place(at)).sum::<DVec3>() / nodes.at.len() as f64;
        let axes = [DVec3::X, DVec3::Y, DVec3::Z];
        let ways = axes
            .map(|axis| (axis, DVec3::ZERO))
            .into_iter()
            .chain(axes.map(|axis| (DVec3::ZERO, axis)));
        let mut motions: Vec<Vec<f64>> = Vec::new();
        for (shift, turn) in ways {
            let of = |at: [u32; 3]| shift + turn.cross(place(at) - middle);
            let mut motion: Vec<f64> = (0..3)
                .flat_map(|direction| nodes.at.iter().map(move |&at| of(at)[direction]))
                .collect();
            // Twice, for what rounding leaves.
            for _ in 0..2 {
                for other in &motions {
                    let part = dot(&motion, other);
                    add(&mut motion, -part, other);
                }
            }
            let length = dot(&motion, &motion).sqrt();
            if length > 0.0 {
                motion.iter_mut().for_each(|x| *x /= length);
                motions.push(motion);
            }
        }
        Self { motions }
    }

    /// Whether there are any.
    pub fn any(&self) -> bool {
        !self.motions.is_empty()
    }

    /// Takes them out.
    pub fn take_out(&self, x: &mut [f64]) {
        for motion in &self.motions {
            let part = dot(x, motion);
            add(x, -part, motion);
        }
    }

    /// Takes them out of single numbers.
    pub fn take_out_single(&self, x: &mut [f32]) {
        for motion in &self.motions {
            let part = dot_single(x, motion);
            x.par_iter_mut()
                .zip(motion)
                .for_each(|(x, motion)| *x -= (part * motion) as f32);
        }
    }

    /// Makes a matrix, row after row, as stiff along them as `stiffness`, so that it can be inverted.
    pub fn stiffen(&self, matrix: &mut [f64], stiffness: f64) {
        for motion in &self.motions {
            for (row, by) in matrix.chunks_exact_mut(motion.len()).zip(motion) {
                for (entry, other) in row.iter_mut().zip(motion) {
                    *entry += stiffness * by * other;
                }
            }
        }
    }
}
