//! What a load does: motion, and stress along the wood's own directions.

use std::borrow::Cow;

use glam::DVec3;
use rayon::prelude::*;

use crate::brick::strain_at;
use crate::grid::Cells;
use crate::load::{Load, free_strain};
use crate::model::Model;
use crate::stiffness::apply;
use crate::vectors::thirds;

/// The answer to loads that act together.
pub struct Answer<'a> {
    model: &'a Model,
    /// All along x, then all along y, then all along z; mm.
    motion: Cow<'a, [f64]>,
    /// Twice the work that the loads did, N mm: force times motion, summed.
    pub work: f64,
    /// Rounds of the solver.
    pub rounds: usize,
    /// What is left out of balance, as a share of the load.
    pub residual: f64,
    loads: Vec<Load>,
}

/// One cube of the answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Its middle, mm.
    pub at: DVec3,
    /// Volume of wood in it, mm³.
    pub volume: f64,
    /// Stress at its middle, MPa: LL, RR, TT, LR, RT, TL; pull is above nought.
    pub stress: [f64; 6],
}

impl<'a> Answer<'a> {
    pub(crate) fn new(
        model: &'a Model,
        motion: Vec<f64>,
        work: f64,
        rounds: usize,
        residual: f64,
        loads: &[Load],
    ) -> Self {
        Self {
            model,
            motion: Cow::Owned(motion),
            work,
            rounds,
            residual,
            loads: loads.to_vec(),
        }
    }

    /// An answer that was worked out before.
    pub(crate) fn kept(
        model: &'a Model,
        motion: &'a [f64],
        work: f64,
        rounds: usize,
        loads: &[Load],
    ) -> Self {
        Self {
            model,
            motion: Cow::Borrowed(motion),
            work,
            rounds,
            residual: 0.0,
            loads: loads.to_vec(),
        }
    }

    pub(crate) fn into_motion(self) -> Vec<f64> {
        self.motion.into_owned()
    }

    /// Nodes of the eight corners of a cube.
    pub(crate) fn corners(&self, cube: usize) -> &[u32; 8] {
        &self.model.nodes.of_cell[cube]
    }

    /// The motion of every node, mm, in the order of [`crate::Lattice::nodes`].
    pub fn motions(&self) -> Vec<DVec3> {
        (0..self.model.nodes.at.len() as u32)
            .map(|node| self.motion_of(node))
            .collect()
    }

    /// The motion of a node, mm.
    pub(crate) fn motion_of(&self, node: u32) -> DVec3 {
        let [x, y, z] = thirds(&self.motion);
        let node = node as usize;
        DVec3::new(x[node], y[node], z[node])
    }

    pub(crate) fn cells(&self) -> &Cells {
        &self.model.cells
    }

    /// The stress in every cube, by z, then y, then x.
    pub fn places(&self) -> Vec<Place> {
        let (cells, nodes, laws) = (&self.model.cells, &self.model.nodes, &self.model.laws);
        let b = strain_at([0.0; 3], cells.grid.edge);
        let full = cells.grid.edge.powi(3);
        let count = nodes.at.len();
        cells
            .list
            .par_iter()
            .zip(&nodes.of_cell)
            .map(|(cell, corners)| {
                let strain: [f64; 6] = std::array::from_fn(|part| {
                    let of = |degree: usize| {
                        self.motion[degree % 3 * count + corners[degree / 3] as usize]
                    };
                    b[part]
                        .iter()
                        .enumerate()
                        .map(|(degree, b)| b * of(degree))
                        .sum()
                });
                let mut own = apply(&laws.turns[usize::from(cell.kind)], &strain);
                let middle = cells.grid.middle(cell.at);
                for (own, free) in own.iter_mut().zip(free_strain(&self.loads, middle)) {
                    *own -= free;
                }
                Place {
                    at: middle,
                    volume: cell.share * full,
                    stress: apply(&laws.own, &own),
                }
            })
            .collect()
    }

    /// The mean motion of the wood within `radius` mm of a place, mm; none where there is no wood.
    pub fn motion_near(&self, at: DVec3, radius: f64) -> Option<DVec3> {
        let (cells, nodes) = (&self.model.cells, &self.model.nodes);
        let mut sum = DVec3::ZERO;
        let mut wood = 0.0;
        for (cell, corners) in cells.list.iter().zip(&nodes.of_cell) {
            if cells.grid.middle(cell.at).distance(at) <= radius {
                let node = |corner: u32| self.motion_of(corner);
                sum += cell.share * corners.map(node).into_iter().sum::<DVec3>() / 8.0;
                wood += cell.share;
            }
        }
        (wood > 0.0).then(|| sum / wood)
    }

    /// The value that `share` of the wood, by volume, does not exceed; `measure` gives one for each cube.
    /// None of it is NaN: a place without a number counts as nought.
    pub fn percentile(&self, share: f64, measure: impl Fn(&Place) -> f64) -> f64 {
        let list = self.places();
        let list = list.iter().map(|place| (measure(place), place.volume));
        crate::judge::percentile(list.collect(), share)
    }
}
