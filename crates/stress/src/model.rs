//! A piece in one set-up, ready to be loaded.
//!
//! Method: conjugate gradients on the cubes' stiffness with one multigrid sweep
//! for each round. A piece that nothing holds is solved too, if its loads are in
//! balance: the six rigid motions are taken out of every residual.

use glam::DVec3;
use rondure_solid::Solid;
use rondure_wood::Elastic;

use crate::StressError;
use crate::answer::Answer;
use crate::brick::{Matrix, stiffness};
use crate::fine::Nodes;
use crate::grain::Grain;
use crate::grid::Cells;
use crate::load::{Laws, Load, Support, forces, springs};
use crate::multigrid::Multigrid;
use crate::rigid::Rigid;
use crate::stiffness::{Law, law_of, strain_turn, turned};
use crate::vectors::{dot, dot_single, single, step, thirds, turn};

/// How far the forces may be out of balance at the end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// As a share of the load.
    pub relative: f64,
    /// Rounds at most.
    pub rounds: usize,
}

impl Tolerance {
    /// At a ten-thousandth nothing that is printed changes any more.
    pub const USUAL: Self = Self {
        relative: 1e-4,
        rounds: 300,
    };
}

/// What the filling of a solid with cubes gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filled {
    /// Edge of a cube, mm.
    pub edge: f64,
    /// Number of cubes.
    pub cubes: usize,
    /// Number of unknown motions.
    pub unknowns: usize,
    /// Lattices of the multigrid.
    pub lattices: usize,
    /// Volume of wood in the cubes, mm³.
    pub volume: f64,
    /// Volume of wood left out, mm³: crumbs and parts that do not hang together with the largest.
    pub dropped: f64,
}

/// One cube of a lattice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cube {
    /// Its nodes; corners are numbered by bits, 1 for x, 2 for y, 4 for z.
    pub corners: [u32; 8],
    /// How much of it is wood, 0 to 1: its stiffness is that share of the law's.
    pub share: f64,
    /// Its law, a number in [`Lattice::laws`].
    pub law: usize,
}

/// All cubes of a model, for another solver. The springs of supports are not in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Lattice {
    /// Places of the nodes, mm.
    pub nodes: Vec<DVec3>,
    /// The cubes.
    pub cubes: Vec<Cube>,
    /// Stress from strain in the axes of space, MPa.
    pub laws: Vec<Law>,
}

/// A piece in one set-up.
pub struct Model {
    pub(crate) cells: Cells,
    pub(crate) nodes: Nodes,
    pub(crate) laws: Laws,
    multigrid: Multigrid,
    /// Rigid motions of a piece that nothing holds.
    rigid: Rigid,
}

impl Model {
    /// Fills a solid with cubes of edge `edge`, mm, and holds it.
    ///
    /// # Errors
    /// Where the cubes have no size or are too many, there is no wood, or a support meets none.
    pub fn new(
        solid: &Solid,
        grain: &Grain,
        elastic: &Elastic,
        edge: f64,
        supports: &[Support],
    ) -> Result<Self, StressError> {
        Self::with(solid, grain, law_of(elastic), edge, supports, DVec3::ZERO)
    }

    /// As [`Model::new`], with a material law of any kind, along L, R and T, and the grid moved by a
    /// part of a cube: the answer's change under a shift is a measure of the cubes' own error.
    ///
    /// # Errors
    /// As [`Model::new`].
    pub fn with(
        solid: &Solid,
        grain: &Grain,
        law: Law,
        edge: f64,
        supports: &[Support],
        shift: DVec3,
    ) -> Result<Self, StressError> {
        let cells = Cells::fill(solid, grain, edge, shift)?;
        let nodes = Nodes::of(cells.list.iter().map(|cell| cell.at), cells.grid.count);
        let turns: Vec<Law> = (0..grain.kinds())
            .map(|kind| strain_turn(grain.wood_from_space(kind)))
            .collect();
        let in_space: Vec<Law> = turns.iter().map(|turn| turned(&law, turn)).collect();
        let laws = Laws {
            own: law,
            in_space,
            turns,
        };
        let matrices: Vec<Matrix> = laws
            .in_space
            .iter()
            .map(|law| stiffness(law, edge))
            .collect();
        let held = springs(&cells, supports)?;
        let rigid = if supports.is_empty() {
            Rigid::of(&nodes)
        } else {
            Rigid::default()
        };
        let multigrid = Multigrid::new(&cells, &nodes, &matrices, &held, rigid.any());
        Ok(Self {
            cells,
            nodes,
            laws,
            multigrid,
            rigid,
        })
    }

    /// The lattice as it stands, for other solvers: every node's place, every cube and the laws of its wood.
    pub fn lattice(&self) -> Lattice {
        let grid = &self.cells.grid;
        let place = |at: [u32; 3]| DVec3::new(f64::from(at[0]), f64::from(at[1]), f64::from(at[2]));
        Lattice {
            nodes: self
                .nodes
                .at
                .iter()
                .map(|&at| grid.origin + place(at) * grid.edge)
                .collect(),
            cubes: self
                .cells
                .list
                .iter()
                .zip(&self.nodes.of_cell)
                .map(|(cell, corners)| Cube {
                    corners: *corners,
                    share: cell.share,
                    law: usize::from(cell.kind),
                })
                .collect(),
            laws: self.laws.in_space.clone(),
        }
    }

    /// The forces of loads at the nodes, N, in the order of [`Lattice::nodes`], free of rigid pushes where nothing holds
    /// the piece.
    ///
    /// # Errors
    /// Where a load meets no wood.
    pub fn forces(&self, loads: &[Load]) -> Result<Vec<DVec3>, StressError> {
        let mut load = forces(&self.cells, &self.nodes, &self.laws, loads)?;
        self.rigid.take_out(&mut load);
        let [x, y, z] = thirds(&load);
        let parts = x.iter().zip(y).zip(z);
        Ok(parts.map(|((&x, &y), &z)| DVec3::new(x, y, z)).collect())
    }

    /// What the filling gave.
    pub fn filled(&self) -> Filled {
        Filled {
            edge: self.cells.grid.edge,
            cubes: self.cells.list.len(),
            unknowns: 3 * self.nodes.at.len(),
            lattices: self.multigrid.lattices(),
            volume: self.cells.volume,
            dropped: self.cells.dropped,
        }
    }

    /// The motion and stress under loads that act together. `watch` hears after every round what is still out of
    /// balance, as a share of the load, and says whether to go on.
    ///
    /// # Errors
    /// Where a load meets no wood, `watch` says stop, or the tolerance is not reached.
    pub fn solve(
        &self,
        loads: &[Load],
        tolerance: Tolerance,
        watch: &dyn Fn(f64) -> bool,
    ) -> Result<Answer<'_>, StressError> {
        let mut load = forces(&self.cells, &self.nodes, &self.laws, loads)?;
        self.rigid.take_out(&mut load);
        let (motion, iterations, residual) = self.iterate(&load, tolerance, watch)?;
        let work = dot(&load, &motion);
        Ok(Answer::new(self, motion, work, iterations, residual, loads))
    }

    fn iterate(
        &self,
        load: &[f64],
        tolerance: Tolerance,
        watch: &dyn Fn(f64) -> bool,
    ) -> Result<(Vec<f64>, usize, f64), StressError> {
        let size = load.len();
        let whole = dot(load, load).sqrt();
        let mut x = vec![0.0; size];
        if whole == 0.0 {
            return Ok((x, 0, 0.0));
        }
        // The sweep's numbers are single: forces are brought near one first, so that none is lost.
        let scale = (size as f64).sqrt() / whole;
        let mut r = load.to_vec();
        let mut small = vec![0.0; size];
        let mut p = vec![0.0; size];
        let mut q = vec![0.0; size];
        let (mut energy, mut residual) = (1.0, 1.0);
        for round in 1..=tolerance.rounds {
            single(&r, scale / residual, &mut small);
            let mut z = self.multigrid.sweep(&small);
            self.rigid.take_out_single(&mut z);
            // The sweep is only nearly symmetric in single numbers: the new direction is made conjugate to the last by
            // its own product, and the length of the step taken from the residual itself.
            let back = -dot_single(&z, &q) / energy;
            turn(&mut p, back, &z);
            self.multigrid.times(&p, &mut q);
            energy = dot(&p, &q);
            // A number that is none, or a direction without stiffness, would run on for ever.
            if !(energy.is_finite() && energy > 0.0) {
                return Err(StressError::NotReached {
                    iterations: round,
                    residual,
                    asked: tolerance.relative,
                });
            }
            let length = dot(&p, &r) / energy;
            let mut square = step(&mut x, &mut r, length, &p, &q);
            if self.rigid.any() {
                self.rigid.take_out(&mut r);
                square = dot(&r, &r);
            }
            residual = square.sqrt() / whole;
            if residual <= tolerance.relative {
                self.rigid.take_out(&mut x);
                return Ok((x, round, residual));
            }
            if !watch(residual) {
                return Err(StressError::Cancelled);
            }
        }
        Err(StressError::NotReached {
            iterations: tolerance.rounds,
            residual,
            asked: tolerance.relative,
        })
    }
}
