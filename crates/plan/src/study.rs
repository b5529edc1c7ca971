//! A study: an expanded plan with what is known of its solids, worked out once.
//!
//! Seats and broken cuts of every mounting, and the finished wood of every
//! piece: volume, mass, parts, webs, necks, edges. Each is worked out when it is
//! first asked for, so that a check that needs only numbers costs only numbers.

use std::sync::OnceLock;

use rayon::prelude::*;
use rondure_solid::necks::Neck;
use rondure_solid::pieces::{Fineness, Pieces, pieces};
use rondure_solid::webs::Web;
use rondure_solid::{Accuracy, DVec3, Edge};

use crate::broken_cut::{BrokenCut, broken_cut};
use crate::form::coved_ball::{BALL, Expanded, expand};
use crate::plan::Plan;
use crate::process::State;
use crate::seat::{Seat, seat};

/// An expanded plan under study.
#[derive(Debug)]
pub struct Study<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its pieces, set-ups and steps.
    pub expanded: Expanded,
    /// Whether this is the trial of a mend: then no further mends are looked for.
    pub trial: bool,
    mountings: OnceLock<Vec<Mounted>>,
    broken_cuts: OnceLock<Vec<[BrokenCut; 2]>>,
    edges: OnceLock<Vec<Edge>>,
    finished: Vec<Finished>,
}

/// What is known of the finished wood of one piece.
#[derive(Debug, Default)]
struct Finished {
    state: OnceLock<State>,
    webs: OnceLock<Vec<Web>>,
    necks: OnceLock<Vec<Neck>>,
    parts: OnceLock<Pieces>,
}

/// What is known of one mounting before its first cut.
#[derive(Debug, Clone, Copy)]
pub struct Mounted {
    /// Index of its set-up.
    pub setup: usize,
    /// The drive centre's seat.
    pub drive: Seat,
    /// The tail centre's seat.
    pub tail: Seat,
}

/// How well finished volumes are known: far below what wood varies from tree to tree.
pub const FINISHED: Accuracy = Accuracy { relative: 1e-3 };

/// Widest ring of a seat that is of interest, as a share of the ball's radius.
const WIDEST: f64 = 0.7;
/// How closely edges are looked for, as a share of the ball's radius.
const EDGE_SPACING: f64 = 1.0 / 24.0;

/// What a cell holds, made where it is empty.
///
/// Making works on all cores, and a core that waits for its share may take up another task that
/// asks for the same; a lock held meanwhile would wait for itself. So nothing is held: two tasks
/// may make the same thing twice, alike to the last bit, and the first one stays.
fn once<T>(cell: &OnceLock<T>, make: impl FnOnce() -> T) -> &T {
    match cell.get() {
        Some(known) => known,
        None => {
            let made = make();
            cell.get_or_init(|| made)
        }
    }
}

/// The webs that stand by themselves: between cuts that meet, only those thinnest of their own.
fn standing(webs: Vec<Web>) -> Vec<Web> {
    webs.into_iter()
        .filter(|web| !web.meets || web.ends_at.is_none())
        .collect()
}

impl<'a> Study<'a> {
    /// A study of an expanded plan.
    pub fn new(plan: &'a Plan, expanded: Expanded) -> Self {
        let pieces = expanded.process.pieces.len();
        Self {
            plan,
            expanded,
            trial: false,
            mountings: OnceLock::new(),
            broken_cuts: OnceLock::new(),
            edges: OnceLock::new(),
            finished: (0..pieces).map(|_| Finished::default()).collect(),
        }
    }

    /// What `look` sees on trial in the plan with one value changed; none where that is no valid plan.
    pub fn changed<T>(
        &self,
        key: &str,
        write: &str,
        look: impl FnOnce(&Study<'_>) -> T,
    ) -> Option<T> {
        let plan = self.plan.with(key, write)?;
        let expanded = expand(&plan).ok()?;
        Some(look(&Study {
            trial: true,
            ..Study::new(&plan, expanded)
        }))
    }

    /// The finished wood of a piece.
    pub fn finished(&self, piece: usize) -> &State {
        once(&self.finished[piece].state, || {
            self.expanded.process.finished(piece)
        })
    }

    /// Works out all that is known of a finished piece.
    pub fn measure(&self, piece: usize) {
        self.finished(piece);
        rayon::join(|| self.parts(piece), || self.walls(piece));
    }

    /// Works out webs and necks of a piece together, which costs less than one after the other.
    pub fn walls(&self, piece: usize) -> (&[Web], &[Neck]) {
        let known = &self.finished[piece];
        if known.webs.get().is_none() && known.necks.get().is_none() {
            let solid = &self.finished(piece).solid;
            let (webs, necks) = solid.walls(solid.default_spacing());
            once(&known.webs, || standing(webs));
            once(&known.necks, || necks);
        }
        (self.webs(piece), self.necks(piece))
    }

    /// Walls between cuts of the finished wood of a piece, thinnest first. Cuts that meet leave an
    /// edge; between them only a place that is thinnest by itself counts, not the way down to the
    /// edge.
    pub fn webs(&self, piece: usize) -> &[Web] {
        once::<Vec<Web>>(&self.finished[piece].webs, || {
            let solid = &self.finished(piece).solid;
            standing(solid.webs(solid.default_spacing()))
        })
    }

    /// Passages between bulks of the finished wood of a piece, narrowest first.
    pub fn necks(&self, piece: usize) -> &[Neck] {
        once::<Vec<Neck>>(&self.finished[piece].necks, || {
            let solid = &self.finished(piece).solid;
            solid.necks(solid.default_spacing())
        })
    }

    /// Connected parts of the finished wood of a piece, largest first, each with its volume.
    pub fn parts(&self, piece: usize) -> &Pieces {
        once(&self.finished[piece].parts, || {
            pieces(&self.finished(piece).solid, Fineness::default(), FINISHED)
        })
    }

    /// The sharpest place of every edge of the finished ball.
    pub fn edges(&self) -> &[Edge] {
        once::<Vec<Edge>>(&self.edges, || {
            self.finished(BALL)
                .solid
                .edges(self.expanded.layout.radius * EDGE_SPACING)
        })
    }

    /// Seats of every mounting, in order, before its first cut.
    pub fn mountings(&self) -> &[Mounted] {
        once::<Vec<Mounted>>(&self.mountings, || {
            let layout = &self.expanded.layout;
            self.each_mounting(|setup, axis, state| {
                let look = |direction: DVec3| {
                    seat(
                        state,
                        direction,
                        layout.radius + 5.0,
                        WIDEST * layout.radius,
                    )
                };
                Mounted {
                    setup,
                    drive: look(axis),
                    tail: look(-axis),
                }
            })
        })
    }

    /// The broken cut of every mounting, in order: just under the flat, and at the cove's bottom.
    pub fn broken_cuts(&self) -> &[[BrokenCut; 2]] {
        once::<Vec<[BrokenCut; 2]>>(&self.broken_cuts, || {
            let layout = &self.expanded.layout;
            self.each_mounting(|_, axis, state| {
                [layout.flat_radius, layout.bottom_radius]
                    .map(|radius| broken_cut(&state.solid, axis, 0.0, radius))
            })
        })
    }

    fn each_mounting<T: Send>(&self, look: impl Fn(usize, DVec3, &State) -> T + Sync) -> Vec<T> {
        let (layout, process) = (&self.expanded.layout, &self.expanded.process);
        (0..layout.mountings())
            .into_par_iter()
            .filter_map(|j| {
                let setup = process.setup(&format!("mounting.{}", j + 1))?;
                Some(look(
                    setup,
                    layout.towards(j),
                    &process.state_before(BALL, setup, 0),
                ))
            })
            .collect()
    }
}
