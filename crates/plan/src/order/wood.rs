//! What a mounting meets after some coves, on the true solid.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::broken_cut::broken_cut;
use crate::form::coved_ball::{BALL, Expanded};
use crate::plan::Plan;
use crate::seat::{Bearing, seat};

/// What a mounting meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Met {
    /// Whether both centres come to a surface that can bear them.
    pub bears: bool,
    /// Radius of the narrower seat, mm.
    pub seat: f64,
    /// The lesser wood behind a seat, mm.
    pub behind: f64,
    /// Share of a turn in wood just under the flat.
    pub in_wood: f64,
    /// Entries into wood in a turn there.
    pub entries: u32,
}

/// The woods between the first mounting and the last.
pub(super) struct Woods<'a> {
    expanded: &'a Expanded,
    first: usize,
}

/// Widest ring of a seat that is of interest, as a share of the ball's radius (as in a study).
const WIDEST: f64 = 0.7;

impl<'a> Woods<'a> {
    pub fn new(plan: &Plan, expanded: &'a Expanded) -> Self {
        let first = super::planned(plan)
            .first()
            .and_then(|mounting| expanded.process.setup(&format!("mounting.{mounting}")))
            .unwrap_or(0);
        Self { expanded, first }
    }

    /// What mounting 0 meets after each of some sets of others (bits from 0).
    pub fn look(&self, sets: &[u64]) -> BTreeMap<u64, Met> {
        let met: Vec<(u64, Met)> = sets
            .par_iter()
            .map(|set| (*set, self.after(*set)))
            .collect();
        met.into_iter().collect()
    }

    fn after(&self, set: u64) -> Met {
        let (layout, process) = (&self.expanded.layout, &self.expanded.process);
        let earlier: Vec<usize> = (0..layout.mountings())
            .filter(|other| set & (1 << other) != 0)
            .filter_map(|other| process.setup(&format!("mounting.{}", other + 1)))
            .collect();
        let state = process.state_with(BALL, self.first, &earlier);
        let axis = layout.towards(0);
        let reach = layout.radius + 5.0;
        let seats = [axis, -axis].map(|way| seat(&state, way, reach, WIDEST * layout.radius));
        let cut = broken_cut(&state.solid, axis, 0.0, layout.flat_radius);
        Met {
            bears: seats
                .iter()
                .all(|seat| !matches!(seat.bearing, Bearing::Air | Bearing::Ridge)),
            seat: seats[0].radius.min(seats[1].radius),
            behind: seats[0].behind.min(seats[1].behind),
            in_wood: cut.share,
            entries: cut.entries,
        }
    }
}
