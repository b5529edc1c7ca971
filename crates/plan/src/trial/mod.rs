//! The trial: thousands of makings with human error, each judged on its true solid.
//!
//! Every action's error is drawn ([`accuracy`], [`sample`]), the ball is turned with it
//! (`making`), and what is left is followed from the plan's own ball
//! ([`rondure_solid::nearby`]) and held against the plan's limits. The same seed gives the same
//! answer on any number of cores.
//!
//! Beside the share that comes out: what fails first; what one action done perfectly would
//! gain; how accurate all must be, or one alone, for nine of ten to come out; and which change of
//! the plan gains most. All these use the same errors over again, so that their differences
//! are not drowned in chance.
//!
//! **Not judged.** The finials, how the work is held, and whether a tool catches. Errors are
//! taken as normal and independent from action to action.

pub mod accuracy;
pub mod interval;
mod making;
pub mod report;
pub mod sample;

use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;
use rondure_solid::ProfileError;
use rondure_solid::nearby::{Changed, Known};

pub use accuracy::{ACCURACIES, Accuracies, Hand};
pub use making::{Fault, Faults, Made};

use crate::form::coved_ball::{Layout, sizes};
use crate::plan::{Limits, Plan};
use crate::quick::wood;
use crate::reader::Problems;
use accuracy::COUNT;
use interval::Share;
use sample::Spread;

/// Replicates of a trial: enough that their scatter is known to a fifth.
const REPLICATES: usize = 16;
/// Standard deviations in a ± figure that holds nineteen of twenty.
const NINETEEN_OF_TWENTY: f64 = 1.959_964;

/// What a trial is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked {
    /// Makings, at least; whole replicates are made.
    pub makings: usize,
    /// The seed of the errors.
    pub seed: u64,
    /// The hand, over the plan's own choice.
    pub hand: Option<Hand>,
}

impl Default for Asked {
    fn default() -> Self {
        Self {
            makings: 10_000,
            seed: 1,
            hand: None,
        }
    }
}

/// Told how far a trial has come, of how much; says whether to go on.
pub type Watch<'a> = &'a (dyn Fn(usize, usize) -> bool + Sync);

/// Why a trial gave no answer.
#[derive(Debug)]
pub enum NoTrial {
    /// The plan cannot be laid out.
    Problems(Problems),
    /// A cut of the layout cannot be drawn.
    Undrawable(ProfileError),
    /// It was not wanted any more.
    Stopped,
}

/// A layout ready to be made many times.
#[derive(Debug)]
pub struct Bench {
    layout: Layout,
    limits: Limits,
    known: Known,
    spread: Spread,
}

/// Many makings of one layout with one set of accuracies.
#[derive(Debug, Clone)]
pub struct Makings {
    /// Each making, replicate by replicate.
    pub made: Vec<Made>,
    /// Makings of one replicate.
    pub points: usize,
}

impl Makings {
    /// The share of makings of which something holds.
    pub fn share(&self, holds: impl Fn(&Made) -> bool) -> Share {
        let good: Vec<usize> = (self.made.chunks(self.points))
            .map(|replicate| replicate.iter().filter(|made| holds(made)).count())
            .collect();
        Share::of(&good, self.points)
    }

    /// The share that comes out.
    pub fn come_out(&self) -> Share {
        self.share(|made| made.faults.comes_out())
    }
}

/// Standard deviations of ± figures, mm and radians.
pub fn deviations(within: &[f64; COUNT]) -> [f64; COUNT] {
    std::array::from_fn(|k| {
        let figure = within[k] / NINETEEN_OF_TWENTY;
        if ACCURACIES[k].angle {
            figure.to_radians()
        } else {
            figure
        }
    })
}

impl Bench {
    /// Searches the layout's ball once. `makings` are spread over 16 replicates.
    ///
    /// # Errors
    /// If a size of the layout is not a number that can be drawn.
    pub fn new(
        layout: &Layout,
        limits: Limits,
        makings: usize,
        seed: u64,
    ) -> Result<Self, ProfileError> {
        let solid = wood(layout)?;
        Ok(Self {
            known: Known::of(&solid, solid.default_spacing()),
            spread: Spread::new(seed, makings.div_ceil(REPLICATES), making::unknowns(layout)),
            layout: layout.clone(),
            limits,
        })
    }

    /// How many makings it makes.
    pub fn makings(&self) -> usize {
        REPLICATES * self.spread.points
    }

    /// The making without errors.
    ///
    /// # Errors
    /// As [`Bench::new`].
    pub fn perfect(&self) -> Result<Made, ProfileError> {
        let turned = making::turn(&self.layout, &[], &[0.0; COUNT])?;
        let mut changed = Changed::default();
        Ok(making::judge(
            &turned,
            &self.layout,
            &self.known,
            &self.limits,
            &mut changed,
        ))
    }

    /// Makes all, with errors of given standard deviations (mm and radians). `tick` is called
    /// after each making and says whether to go on; none where it said no.
    ///
    /// # Errors
    /// As [`Bench::new`].
    pub fn make(
        &self,
        deviation: &[f64; COUNT],
        tick: &(dyn Fn() -> bool + Sync),
    ) -> Result<Option<Makings>, ProfileError> {
        let points = self.spread.points;
        let made: Result<Vec<Option<Made>>, ProfileError> = (0..self.makings())
            .into_par_iter()
            .with_min_len(16)
            .map_init(
                || (Changed::default(), Vec::new()),
                |(changed, normal), number| {
                    if !tick() {
                        return Ok(None);
                    }
                    self.spread.errors(number / points, number % points, normal);
                    let turned = making::turn(&self.layout, normal, deviation)?;
                    Ok(Some(making::judge(
                        &turned,
                        &self.layout,
                        &self.known,
                        &self.limits,
                        changed,
                    )))
                },
            )
            .collect();
        let made: Option<Vec<Made>> = made?.into_iter().collect();
        Ok(made.map(|made| Makings { made, points }))
    }
}

/// A trial of a plan under way.
struct Trial<'a> {
    plan: &'a Plan,
    asked: Asked,
    within: [f64; COUNT],
    done: AtomicUsize,
    of: usize,
    watch: Watch<'a>,
}

/// Makings for each question beside the share itself, as a share of all and at least.
const ASIDE: (usize, usize) = (8, 1024);
/// Halvings of a scale; from 0 to 4 to a fortieth.
const HALVINGS: usize = 7;
/// The widest scale that is looked for.
const WIDEST: f64 = 4.0;
/// What one wants to come out.
const WANTED: f64 = 0.9;
/// Accuracies for which it is worked out how good each alone must be.
const SOUGHT: usize = 4;

impl Trial<'_> {
    fn tick(&self) -> bool {
        let done = self.done.fetch_add(1, Ordering::Relaxed);
        // Telling costs more than a making where it is done for each.
        !done.is_multiple_of(256) || (self.watch)(done.min(self.of), self.of)
    }

    fn make(&self, bench: &Bench, within: &[f64; COUNT]) -> Result<Makings, NoTrial> {
        bench
            .make(&deviations(within), &|| self.tick())
            .map_err(NoTrial::Undrawable)?
            .ok_or(NoTrial::Stopped)
    }

    fn share(&self, bench: &Bench, within: &[f64; COUNT]) -> Result<f64, NoTrial> {
        Ok(self.make(bench, within)?.come_out().share)
    }

    /// The scale, from 0 to `most`, up to which `scaled` figures let nine of ten come out; none where
    /// not even 0 does.
    fn scale(
        &self,
        bench: &Bench,
        most: f64,
        scaled: impl Fn(f64) -> [f64; COUNT],
    ) -> Result<Option<f64>, NoTrial> {
        if self.share(bench, &scaled(0.0))? < WANTED {
            return Ok(None);
        }
        if self.share(bench, &scaled(most))? >= WANTED {
            return Ok(Some(most));
        }
        let (mut good, mut bad) = (0.0, most);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (good + bad);
            if self.share(bench, &scaled(middle))? >= WANTED {
                good = middle;
            } else {
                bad = middle;
            }
        }
        Ok(Some(good))
    }
}

/// How many makings the questions beside the share take each.
fn aside(makings: usize) -> usize {
    (makings / ASIDE.0).max(ASIDE.1).min(makings.max(1))
}

/// Tries a plan out.
///
/// # Errors
/// Where the plan cannot be laid out, or `watch` said to stop.
pub fn trial(plan: &Plan, asked: Asked, watch: Watch<'_>) -> Result<report::TrialReport, NoTrial> {
    let layout = lay_out(plan)?;
    let accuracies = Accuracies {
        hand: asked.hand.unwrap_or(plan.trial.hand),
        ..plan.trial
    };
    let within = accuracies.within();
    let small = aside(asked.makings);
    let changes = report::changes(plan);
    // The share, one question for each accuracy, the scales, and the changes of the plan.
    let questions = COUNT + (1 + SOUGHT) * (HALVINGS + 2) + changes.len();
    let trial = Trial {
        plan,
        asked,
        within,
        done: AtomicUsize::new(0),
        of: asked.makings + questions * small,
        watch,
    };
    let bench =
        Bench::new(&layout, plan.limits, asked.makings, asked.seed).map_err(NoTrial::Undrawable)?;
    let all = trial.make(&bench, &within)?;
    let perfect = bench.perfect().map_err(NoTrial::Undrawable)?;
    report::write(&trial, &layout, accuracies.hand, &all, perfect, changes)
}

fn lay_out(plan: &Plan) -> Result<Layout, NoTrial> {
    sizes::lay_out(plan).map_err(|list| {
        NoTrial::Problems(Problems {
            file: plan.source.file.clone(),
            source: plan.source.text.clone(),
            list,
            others: Vec::new(),
        })
    })
}
