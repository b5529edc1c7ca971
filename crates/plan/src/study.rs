//! A study: an expanded plan with what is known of its solids, worked out once.
//!
//! Seats and broken cuts of every mounting, and the finished wood of every
//! piece: volume, mass, parts, webs, necks, edges. Each is worked out when it is
//! first asked for, so that a check that needs only numbers costs only numbers, and
//! kept in a [`Memory`] by the content of its solid, so that a later study of a plan
//! with one number changed works out again only what that number reaches.

mod steps;

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

use rayon::prelude::*;
use rondure_solid::necks::Neck;
use rondure_solid::pieces::{Fineness, Pieces, pieces, pieces_knowing};
use rondure_solid::webs::Web;
use rondure_solid::{
    Accuracy, DVec3, Digest, Digester, Edge, Moments, Plane, Section, Settled, Solid, moments,
};

use crate::broken_cut::{BrokenCut, broken_cut};
use crate::form::coved_ball::{BALL, Expanded, expand};
use crate::memory::Memory;
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
    /// Whether this is the trial of a mend: then no further mends are looked for, and steps on the
    /// way are of no interest.
    pub trial: bool,
    /// Whether findings alone are asked for, and mends are left out.
    pub quick: bool,
    memory: Memory,
    untried: AtomicBool,
    /// What is known of each set-up's wood after it.
    settled: OnceLock<Vec<Option<Arc<Settled>>>>,
    mountings: OnceLock<Vec<Mounted>>,
    broken_cuts: OnceLock<Vec<[BrokenCut; 2]>>,
    edges: OnceLock<Arc<Vec<Edge>>>,
    finished: Vec<Finished>,
}

/// What is known of the finished wood of one piece.
#[derive(Debug, Default)]
struct Finished {
    state: OnceLock<(State, Digest)>,
    webs: OnceLock<Arc<Vec<Web>>>,
    necks: OnceLock<Arc<Vec<Neck>>>,
    parts: OnceLock<Arc<Pieces>>,
}

/// Webs and necks of one piece.
type Walls = (Arc<Vec<Web>>, Arc<Vec<Neck>>);

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

/// As [`once`], of a thing that a memory shares.
fn shared<T>(cell: &OnceLock<Arc<T>>, make: impl FnOnce() -> Arc<T>) -> &Arc<T> {
    once(cell, make)
}

/// Bytes of a list.
fn bytes<T>(list: &Vec<T>) -> usize {
    std::mem::size_of_val(list.as_slice())
}

/// The webs that stand by themselves: between cuts that meet, only those thinnest of their own.
fn standing(webs: Vec<Web>) -> Vec<Web> {
    webs.into_iter()
        .filter(|web| !web.meets || web.ends_at.is_none())
        .collect()
}

impl<'a> Study<'a> {
    /// A study of an expanded plan that knows nothing yet.
    pub fn new(plan: &'a Plan, expanded: Expanded) -> Self {
        Self::with_memory(plan, expanded, &Memory::default())
    }

    /// A study that finds again what a memory knows, and adds to it.
    pub fn with_memory(plan: &'a Plan, expanded: Expanded, memory: &Memory) -> Self {
        let pieces = expanded.process.pieces.len();
        Self {
            plan,
            expanded,
            trial: false,
            quick: false,
            memory: memory.clone(),
            untried: AtomicBool::new(false),
            settled: OnceLock::new(),
            mountings: OnceLock::new(),
            broken_cuts: OnceLock::new(),
            edges: OnceLock::new(),
            finished: (0..pieces).map(|_| Finished::default()).collect(),
        }
    }

    /// What `look` sees on trial in the plan with one value changed; none where that is no valid
    /// plan, or where mends are left out.
    pub fn changed<T>(
        &self,
        key: &str,
        write: &str,
        look: impl FnOnce(&Study<'_>) -> T,
    ) -> Option<T> {
        if !self.tries_mends() {
            self.untried.store(true, Ordering::Relaxed);
            return None;
        }
        let plan = self.plan.with(key, write)?;
        let expanded = expand(&plan).ok()?;
        Some(look(&Study {
            trial: true,
            ..Study::with_memory(&plan, expanded, &self.memory)
        }))
    }

    /// Whether mends are looked for.
    pub fn tries_mends(&self) -> bool {
        !self.trial && !self.quick
    }

    /// Whether a mend was left out that would have been tried.
    pub fn left_mends_out(&self) -> bool {
        self.untried.load(Ordering::Relaxed)
    }

    /// The finished wood of a piece.
    pub fn finished(&self, piece: usize) -> &State {
        &self.known(piece).0
    }

    /// The finished wood of a piece, with its solid's digest.
    fn known(&self, piece: usize) -> &(State, Digest) {
        once(&self.finished[piece].state, || {
            let state = self.expanded.process.finished(piece);
            let digest = state.solid.digest();
            (state, digest)
        })
    }

    /// Works out all that is known of a finished piece.
    pub fn measure(&self, piece: usize) {
        self.finished(piece);
        rayon::join(|| self.parts(piece), || self.walls(piece));
    }

    /// Works out webs and necks of a piece together, which costs less than one after the other.
    pub fn walls(&self, piece: usize) -> (&[Web], &[Neck]) {
        let cells = &self.finished[piece];
        if cells.webs.get().is_none() && cells.necks.get().is_none() {
            let (state, digest) = self.known(piece);
            let solid = &state.solid;
            let both = self.memory.know(
                Digester::new("walls").digest(*digest).done(),
                |both: &Walls| bytes(&both.0) + bytes(&both.1),
                || {
                    let (webs, necks) = solid.walls(solid.default_spacing());
                    (Arc::new(standing(webs)), Arc::new(necks))
                },
            );
            shared(&cells.webs, || Arc::clone(&both.0));
            shared(&cells.necks, || Arc::clone(&both.1));
        }
        (self.webs(piece), self.necks(piece))
    }

    /// Walls between cuts of the finished wood of a piece, thinnest first. Cuts that meet leave an
    /// edge; between them only a place that is thinnest by itself counts, not the way down to the
    /// edge.
    pub fn webs(&self, piece: usize) -> &[Web] {
        shared(&self.finished[piece].webs, || {
            let (state, digest) = self.known(piece);
            let solid = &state.solid;
            let digest = Digester::new("webs").digest(*digest).done();
            self.memory.know(digest, bytes, || {
                standing(solid.webs(solid.default_spacing()))
            })
        })
    }

    /// Passages between bulks of the finished wood of a piece, narrowest first.
    pub fn necks(&self, piece: usize) -> &[Neck] {
        shared(&self.finished[piece].necks, || {
            let (state, digest) = self.known(piece);
            let solid = &state.solid;
            let digest = Digester::new("necks").digest(*digest).done();
            self.memory
                .know(digest, bytes, || solid.necks(solid.default_spacing()))
        })
    }

    /// Connected parts of the finished wood of a piece, largest first, each with its volume.
    pub fn parts(&self, piece: usize) -> &Pieces {
        shared(&self.finished[piece].parts, || {
            let (state, digest) = self.known(piece);
            let solid = &state.solid;
            let weigh = |parts: &Pieces| {
                std::mem::size_of::<Pieces>() + bytes(&parts.pieces) + bytes(&parts.doubtful)
            };
            if self.trial {
                let digest = Digester::new("parts").digest(*digest).done();
                return self.memory.know(digest, weigh, || {
                    pieces(solid, Fineness::default(), FINISHED)
                });
            }
            // Moments known step by step differ in their last digits by the way they came.
            let digest = Digester::new("parts by steps").digest(*digest);
            let digest = digest.digest(self.way_to(piece)).done();
            self.memory.know(digest, weigh, || {
                pieces_knowing(solid, Fineness::default(), FINISHED, &|| {
                    self.last_settled(piece).map(|settled| settled.moments())
                })
            })
        })
    }

    /// Volume and centre of a finished piece: those of its one part, or of all its parts together.
    pub fn whole(&self, piece: usize) -> Moments {
        let parts = self.parts(piece);
        match parts.pieces.as_slice() {
            [only] if parts.certain && parts.crumbs == 0 => only.moments,
            _ => self.last_settled(piece).map_or_else(
                || moments(&self.finished(piece).solid, FINISHED),
                |settled| settled.moments(),
            ),
        }
    }

    /// Volume and centre of the wood of a set-up's piece after that set-up.
    pub fn after(&self, setup: usize) -> Moments {
        let piece = self.expanded.process.setups[setup].piece;
        match &self.settled()[setup] {
            Some(settled) => settled.moments(),
            None => self.whole(piece),
        }
    }

    /// The sharpest place of every edge of the finished ball.
    pub fn edges(&self) -> &[Edge] {
        shared(&self.edges, || {
            let (state, digest) = self.known(BALL);
            let spacing = self.expanded.layout.radius * EDGE_SPACING;
            let digest = Digester::new("edges").digest(*digest).numbers(&[spacing]);
            self.memory
                .know(digest.done(), bytes, || state.solid.edges(spacing))
        })
    }

    /// A section of a solid, to a tolerance in mm.
    pub fn section(&self, solid: &Solid, plane: &Plane, tolerance: f64) -> Arc<Section> {
        let digest = Digester::new("section").digest(solid.digest());
        let digest = digest.vector(plane.origin).vector(plane.right);
        let digest = digest.vector(plane.up).numbers(&[tolerance]).done();
        let weigh = |section: &Section| section.loops.iter().map(|each| bytes(&each.points)).sum();
        self.memory
            .know(digest, weigh, || solid.section(plane, tolerance))
    }

    /// Seats of every mounting, in order, before its first cut.
    pub fn mountings(&self) -> &[Mounted] {
        once::<Vec<Mounted>>(&self.mountings, || {
            let layout = &self.expanded.layout;
            let (reach, widest) = (layout.radius + 5.0, WIDEST * layout.radius);
            self.each_mounting(|setup, axis, state| {
                let digest = Digester::new("seats").digest(state.digest());
                let digest = digest.vector(axis).numbers(&[reach, widest]).done();
                let weigh = |_: &[Seat; 2]| std::mem::size_of::<[Seat; 2]>();
                let [drive, tail] = *self.memory.know(digest, weigh, || {
                    [axis, -axis].map(|direction| seat(state, direction, reach, widest))
                });
                Mounted { setup, drive, tail }
            })
        })
    }

    /// The broken cut of every mounting, in order: just under the flat, and at the cove's bottom.
    pub fn broken_cuts(&self) -> &[[BrokenCut; 2]] {
        once::<Vec<[BrokenCut; 2]>>(&self.broken_cuts, || {
            let layout = &self.expanded.layout;
            let radii = [layout.flat_radius, layout.bottom_radius];
            self.each_mounting(|_, axis, state| {
                let digest = Digester::new("broken cut").digest(state.solid.digest());
                let digest = digest.vector(axis).numbers(&radii).done();
                let weigh = |_: &[BrokenCut; 2]| std::mem::size_of::<[BrokenCut; 2]>();
                *self.memory.know(digest, weigh, || {
                    radii.map(|radius| broken_cut(&state.solid, axis, 0.0, radius))
                })
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
