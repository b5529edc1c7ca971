//! A study: an expanded plan with what is known of its solids, worked out once.
//!
//! Seats and broken cuts of every mounting, and the finished wood of every
//! piece: volume, mass, parts, webs, necks, edges. Each is worked out when it is
//! first asked for, so that a check that needs only numbers costs only numbers.

use std::sync::OnceLock;

use rayon::prelude::*;
use rondure_solid::{DVec3, Edge};

use crate::broken_cut::{BrokenCut, broken_cut};
use crate::form::coved_ball::{BALL, Expanded, expand};
use crate::plan::Plan;
use crate::process::State;
use crate::seat::{Seat, seat};
use crate::walls::Walls;

/// An expanded plan under study.
#[derive(Debug)]
pub struct Study<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its pieces, set-ups and steps.
    pub expanded: Expanded,
    mountings: OnceLock<Vec<Mounted>>,
    walls: Vec<OnceLock<Walls>>,
    edges: OnceLock<Vec<Edge>>,
    finished: Vec<OnceLock<State>>,
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
    /// The broken cut just under the ball's surface, at the flat's radius.
    pub at_flat: BrokenCut,
    /// The broken cut at the cove's bottom.
    pub at_bottom: BrokenCut,
}

/// How closely edges are looked for, as a share of the ball's radius.
const EDGE_SPACING: f64 = 1.0 / 24.0;

impl<'a> Study<'a> {
    /// A study of an expanded plan.
    pub fn new(plan: &'a Plan, expanded: Expanded) -> Self {
        let pieces = expanded.process.pieces.len();
        Self {
            plan,
            expanded,
            mountings: OnceLock::new(),
            walls: (0..pieces).map(|_| OnceLock::new()).collect(),
            edges: OnceLock::new(),
            finished: (0..pieces).map(|_| OnceLock::new()).collect(),
        }
    }

    /// What `look` sees in the plan with one value changed; none where that is no valid plan.
    pub fn changed<T>(&self, key: &str, write: &str, look: impl FnOnce(&Study<'_>) -> T) -> Option<T> {
        let plan = self.plan.with(key, write)?;
        let expanded = expand(&plan).ok()?;
        Some(look(&Study::new(&plan, expanded)))
    }

    /// The finished wood of a piece.
    pub fn finished(&self, piece: usize) -> &State {
        self.finished[piece].get_or_init(|| self.expanded.process.finished(piece))
    }

    /// Webs, necks and parts of the finished wood of a piece.
    pub fn walls(&self, piece: usize) -> &Walls {
        self.walls[piece].get_or_init(|| Walls::of(&self.finished(piece).solid))
    }

    /// The sharpest place of every edge of the finished ball.
    pub fn edges(&self) -> &[Edge] {
        self.edges.get_or_init(|| self.finished(BALL).solid.edges(self.expanded.layout.radius * EDGE_SPACING))
    }

    /// Seats and broken cuts of every mounting, in order.
    pub fn mountings(&self) -> &[Mounted] {
        self.mountings.get_or_init(|| {
            let layout = &self.expanded.layout;
            let process = &self.expanded.process;
            (0..layout.mountings())
                .into_par_iter()
                .filter_map(|j| {
                    let setup = process.setup(&format!("mounting.{}", j + 1))?;
                    let state = process.state_before(BALL, setup, 0);
                    let axis = layout.towards(j);
                    let reach = layout.radius + 5.0;
                    let widest = 0.7 * layout.radius;
                    let look = |direction: DVec3| seat(&state, direction, reach, widest);
                    Some(Mounted {
                        setup,
                        drive: look(axis),
                        tail: look(-axis),
                        at_flat: broken_cut(&state.solid, axis, 0.0, layout.flat_radius),
                        at_bottom: broken_cut(&state.solid, axis, 0.0, layout.bottom_radius),
                    })
                })
                .collect()
        })
    }
}
