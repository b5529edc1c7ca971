//! Stress in a turned piece: voxel elements on the exact solid, solved by multigrid.
//!
//! The solid is filled with cubes, each as stiff as its share of wood and as the grain runs there
//! ([`Grain`], [`stiffness`]); eight-node bricks with incompatible modes ([`brick`]) carry the load; conjugate gradients
//! with a multigrid preconditioner find the motion. A [`Model`] is built once for a set-up and answers several
//! [`Load`]s.
//!
//! [`settle`] does the same from coarse to fine until the load the wood stands is settled, with its error told.
//! [`Answer::verdict`] says how near the wood comes to breaking, where and how; [`Answer::at`] asks any places, such as the corners
//! of a surface; [`Answer::round`] what becomes of a bore; [`Load::drying`] shrinks the wood between two moistures.
//!
//! **Frame and units**: the solid's own frame, mm; forces in N, stress in MPa. Stress is given along the wood's own
//! directions in the order LL, RR, TT, LR, RT, TL.
//!
//! **Guaranteed**: the equations are solved to the tolerance asked, or the answer is an error; the same input gives
//! the same bytes on any number of cores.
//!
//! **Not guaranteed**: the cubes' own error. A rib should have six cubes through its thickness; with three it is
//! 6 to 25 % too stiff. A stress at one cube beside a sharp edge grows without end as cubes shrink: judge by a
//! mean over a stated length or a percentile, never by the greatest ([`Answer::verdict`]). Linear, small strains, no
//! cracks, no damping.
//!
//! ```
//! use rondure_solid::{DVec3, Profile, Region, Solid};
//! use rondure_stress::{Grain, Load, Model, Patch, Support, Tolerance};
//!
//! // A rod 60 mm long and 10 mm thick, held at one end and pushed sideways at the other.
//! let rod = Solid::new(Region::revolved(DVec3::ZERO, DVec3::X, Profile::cylinder(0.0, 60.0, 5.0)?));
//! let grain = Grain::Straight { along: DVec3::X, radial: DVec3::Y };
//! let maple = rondure_wood::find("sugar maple")?.elastic().ok_or("no stiffness known")?;
//! let held = [Support::over(Patch::ball(DVec3::ZERO, 6.0))];
//! let model = Model::new(&rod, &grain, &maple, 1.0, &held)?;
//! let push = Load::force(Patch::ball(DVec3::new(60.0, 0.0, 0.0), 6.0), DVec3::Z * 10.0);
//! let answer = model.solve(&[push], Tolerance::USUAL, &|_| true)?;
//! // How many times that push the wood stands: weak, mean and strong wood.
//! let verdict = answer.verdict(&rondure_wood::find("sugar maple")?.strength().ok_or("no strength known")?);
//! assert!(verdict.stands[0] < verdict.stands[1] && verdict.stands[1] < verdict.stands[2]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![expect(
    clippy::needless_range_loop,
    reason = "matrices are written with the indices of their formulas"
)]

mod answer;
pub mod brick;
mod coarse;
mod fine;
mod grain;
mod grid;
mod judge;
mod load;
mod model;
mod modes;
mod multigrid;
mod rigid;
mod sample;
mod settle;
pub mod stiffness;
mod strength;
mod vectors;

use thiserror::Error;

pub use answer::{Answer, Place};
pub use grain::Grain;
pub use grid::LEAST_SHARE;
pub use judge::{Band, Field, LENGTH, SHARE, Verdict, Weak};
pub use load::{Load, Patch, Support};
pub use model::{Cube, Filled, Lattice, Model, Tolerance};
pub use sample::{Round, Sample};
pub use settle::{Aim, ENOUGH_CUBES, Heard, Level, Reached, Reckoned, SetUp, Thin, settle};
pub use strength::{Kind, Surface};

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StressError {
    /// The cube has no size.
    #[error("cubes of {edge} mm; an edge above 0 mm is allowed")]
    Cell {
        /// The edge asked for, mm.
        edge: f64,
    },
    /// The grid would not fit the memory.
    #[error("cubes of {edge} mm make more than {most} of them; use larger ones")]
    TooFine {
        /// The edge asked for, mm.
        edge: f64,
        /// Cells that are allowed.
        most: usize,
    },
    /// Nothing to load.
    #[error("there is no wood to load")]
    NoWood,
    /// A patch meets no wood.
    #[error("the {what} at {at:?} mm meets no wood within {radius} mm; put it where the wood is")]
    OffWood {
        /// What was put there.
        what: &'static str,
        /// Middle of the patch, mm.
        at: [f64; 3],
        /// Its radius, mm.
        radius: f64,
    },
    /// Whoever asked does not want to know any more.
    #[error("stopped when asked")]
    Cancelled,
    /// The iteration did not come to an end.
    #[error(
        "after {iterations} rounds the forces are still {residual:e} of the load out of balance; {asked:e} was asked"
    )]
    NotReached {
        /// Rounds done.
        iterations: usize,
        /// What is out of balance, as a share of the load.
        residual: f64,
        /// What was asked.
        asked: f64,
    },
}
