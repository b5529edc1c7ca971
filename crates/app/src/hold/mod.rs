//! Whether a plan's wood holds: the solver asked at every look of the plan.
//!
//! [`rondure_plan::hold`] says what pushes and holds the wood; here each look becomes a model of cubes, each push a
//! load on it, and the stresses a verdict. Every look is asked twice: first with large cubes, over every place the tool
//! passes; then with cubes fine enough for the weakest place, for the worst pushes that were found. The difference
//! between the two is told as the cubes' error, which it bounds where the answer is settling.
//!
//! What is touched (the wood under a centre's ring, a jaw, the tool's edge) is left out of the verdict: there the
//! stress is that of a dent, and depends on the edge's sharpness, which nobody knows.
//!
//! Guaranteed: the same plan gives the same answer on any number of cores; a look known already, by the content of its
//! wood and its loads, is not asked again ([`Memory`]).

mod fine;
mod memory;
mod model;
mod sweep;
mod words;

use std::sync::Arc;

use rondure_plan::form::coved_ball::Expanded;
use rondure_plan::hold::{Held, HeldLook, Look, looks};
use rondure_plan::plan::Plan;
use rondure_plan::study::FINISHED;
use rondure_solid::moments;

pub use memory::Memory;
pub use model::Stuff;

/// Standard gravity, mm/s².
pub(crate) const GRAVITY: f64 = 9_806.65;

/// How much is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted<'a> {
    /// Only the looks of this set-up.
    pub setup: Option<&'a str>,
    /// Only a first look with large cubes: an answer within seconds.
    pub first_look: bool,
}

impl Wanted<'_> {
    /// Everything, as fine as it is worth.
    pub const ALL: Self = Self {
        setup: None,
        first_look: false,
    };
    /// Everything, at a first look.
    pub const QUICK: Self = Self {
        setup: None,
        first_look: true,
    };
}

/// What whoever asked hears on the way.
#[derive(Debug, Clone, Copy)]
pub enum Heard<'a> {
    /// How far it has come.
    Progress {
        /// Looks done, the first and the fine counted apart.
        done: usize,
        /// Of so many.
        of: usize,
    },
    /// A look that was worked out, or worked out finer.
    Look(&'a HeldLook),
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotHeld {
    /// Whoever asked does not want to know any more.
    #[error("stopped when asked")]
    Stopped,
    /// The wood's stiffness or strength is not known.
    #[error(
        "nothing is known of the strength of {wood}; choose a wood with a bending strength and stiffness in `rondure woods`"
    )]
    UnknownWood {
        /// The wood as the plan names it.
        wood: String,
    },
}

/// Asks whether a plan's wood holds. `watch` hears of every look and says whether to go on; `memory` keeps what was
/// worked out.
///
/// # Errors
/// Where nothing is known of the wood's strength, or `watch` says stop.
pub fn hold(
    plan: &Plan,
    expanded: &Expanded,
    wanted: Wanted<'_>,
    memory: &Memory,
    watch: &(dyn Fn(Heard<'_>) -> bool + Sync),
) -> Result<Held, NotHeld> {
    let stuff = Stuff::of(plan)?;
    let weight = weight(plan, expanded, &stuff);
    let all: Vec<Look> = looks(plan, expanded, weight)
        .into_iter()
        .filter(|look| wanted.setup.is_none_or(|setup| look.setup == setup))
        .collect();
    let passes = if wanted.first_look { 1 } else { 2 };
    let of = passes * all.len();
    let mut done = 0;
    let mut left_out = Vec::new();
    let mut known: Vec<Option<Arc<sweep::Swept>>> = Vec::new();
    for look in &all {
        let goes_on = || watch(Heard::Progress { done, of });
        if !goes_on() {
            return Err(NotHeld::Stopped);
        }
        let swept = memory.swept(look, &stuff, || {
            sweep::sweep(plan, expanded, look, &stuff, weight, &goes_on)
        })?;
        match &*swept {
            Ok(swept) => {
                if !watch(Heard::Look(&swept.held)) {
                    return Err(NotHeld::Stopped);
                }
                known.push(Some(Arc::clone(swept)));
            }
            Err(why) => {
                left_out.push(format!("{}: {why}", look.title));
                known.push(None);
            }
        }
        done += 1;
    }
    let mut held: Vec<Option<HeldLook>> = known
        .iter()
        .map(|known| known.as_ref().map(|swept| swept.held.clone()))
        .collect();
    if !wanted.first_look {
        // What comes nearest to breaking is looked at first.
        let mut order: Vec<usize> = (0..all.len()).collect();
        order.sort_by(|&a, &b| used(&held[b]).total_cmp(&used(&held[a])).then(a.cmp(&b)));
        for index in order {
            let goes_on = || watch(Heard::Progress { done, of });
            if !goes_on() {
                return Err(NotHeld::Stopped);
            }
            if let Some(swept) = &known[index] {
                let look = &all[index];
                let fine = memory.fine(look, &stuff, &swept.held, || {
                    fine::fine(plan, expanded, look, swept, &stuff, weight, &goes_on)
                })?;
                if !watch(Heard::Look(&fine)) {
                    return Err(NotHeld::Stopped);
                }
                held[index] = Some((*fine).clone());
            }
            done += 1;
        }
    }
    let looks: Vec<HeldLook> = held.into_iter().flatten().collect();
    let mut ranked: Vec<usize> = (0..looks.len()).collect();
    let worst = |look: &HeldLook| look.worst().map_or(0.0, |case| case.used[1]);
    ranked.sort_by(|&a, &b| {
        worst(&looks[b])
            .total_cmp(&worst(&looks[a]))
            .then(a.cmp(&b))
    });
    watch(Heard::Progress { done: of, of });
    Ok(Held {
        looks,
        ranked,
        rests_on: words::rests_on(plan, &stuff),
        left_out,
    })
}

/// Asks changed plans for the share of weak wood's strength that one load of one look uses, at a first look: what
/// findings try their mends by.
pub fn tried(memory: &Memory) -> impl Fn(&Plan, &str, &str) -> Option<f64> {
    move |plan, look, case| {
        let expanded = rondure_plan::form::coved_ball::expand(plan).ok()?;
        let setup = looks(plan, &expanded, None)
            .into_iter()
            .find(|each| each.id == look)?
            .setup;
        let wanted = Wanted {
            setup: Some(&setup),
            first_look: true,
        };
        let held = hold(plan, &expanded, wanted, memory, &|_| true).ok()?;
        let look = held.looks.iter().find(|each| each.id == look)?;
        Some(look.cases.iter().find(|each| each.id == case)?.used[0])
    }
}

fn used(held: &Option<HeldLook>) -> f64 {
    held.as_ref()
        .and_then(HeldLook::worst)
        .map_or(0.0, |case| case.used[0])
}

/// Weight of all finished pieces, N.
fn weight(plan: &Plan, expanded: &Expanded, stuff: &Stuff) -> Option<f64> {
    let density = stuff.wood.density(plan.wood.moisture).ok()?;
    let process = &expanded.process;
    let kg: f64 = (0..process.pieces.len())
        .map(|piece| moments(&process.finished(piece).solid, FINISHED).volume)
        .map(|volume| density.mass(volume).kg)
        .sum();
    Some(kg * GRAVITY * 1e-3)
}
