//! Does it hold: what pushes and holds the wood at every set-up and step, and what the stress makes of it.
//!
//! Plain data both ways, and no solver. [`looks`] gives, for a plan, the wood of each moment that matters, where it is
//! held ([`Grip`]), and the ways it is pushed ([`Case`]): the squeeze of the centres, the grip of the jaws, the tool
//! sideways and round over its whole path, the bit, a drop, the hanger. Whoever has a solver answers with [`Held`],
//! which the findings, the report, the sheets and the page show.
//!
//! A step whose cut is followed in the same set-up by another of its kind that takes all it took and more (the facets by
//! the ball, the flat by the cove, the shapes of a finial by its tenon) is looked at where the least wood is left: at
//! the last of them.
//!
//! Not here: whether the wood holds. Forces at the lathe are guessed ([`Loads`]); what the wood
//! *stands* is not, since the answer to a force grows with it.

mod between;
mod chuck;
mod contact;
mod finished;
mod held;
mod path;
mod pin;

pub use contact::{Contact, Grip, Push};
pub use held::{Band, Failing, Held, HeldCase, HeldLook, percent};

use rondure_solid::DVec3;

use crate::form::coved_ball::{BALL, Expanded};
use crate::plan::{GrainWay, Loads, Magnitude, Plan};
use crate::process::State;

/// The wood of one moment, how it is held, and what pushes it.
#[derive(Debug, Clone)]
pub struct Look {
    /// Stable identifier: the step's.
    pub id: String,
    /// Index of the piece.
    pub piece: usize,
    /// Identifier of the set-up.
    pub setup: String,
    /// Identifier of the step.
    pub step: String,
    /// What it is, in a turner's words.
    pub title: String,
    /// The wood.
    pub state: State,
    /// How it is held.
    pub grip: Grip,
    /// What pushes it.
    pub cases: Vec<Case>,
}

/// One way of being pushed, at the strength of one newton.
#[derive(Debug, Clone)]
pub struct Case {
    /// What sort of load it is.
    pub load: Load,
    /// In a turner's words, as part of a sentence: `the tail centre's push`.
    pub says: String,
    /// How strong it is on the bench, N; for a drop the height, mm.
    pub magnitude: Magnitude,
    /// The places and directions it may come from, each of one newton in all. The worst counts.
    pub ways: Vec<Way>,
    /// Whether it acts on top of the squeeze or grip of the holding.
    pub while_held: bool,
}

/// One place and direction of a push.
#[derive(Debug, Clone)]
pub struct Way {
    /// Where, in a turner's words; empty where there is but one.
    pub says: String,
    /// What pushes; the holding balances it.
    pub pushes: Vec<Push>,
}

/// Sorts of load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, ts_rs::TS)]
#[serde(rename_all = "lowercase")]
pub enum Load {
    /// The squeeze between centres.
    Squeeze,
    /// The grip of the jaws.
    Grip,
    /// The tool pressing in and along.
    Side,
    /// The tool dragging round.
    Round,
    /// The bit's thrust and twist.
    Drill,
    /// The squeeze of a hand.
    Hand,
    /// A fall on to a hard floor.
    Drop,
    /// Hanging from its eye.
    Hang,
}

impl Load {
    /// The word in identifiers.
    pub fn word(self) -> &'static str {
        match self {
            Self::Squeeze => "squeeze",
            Self::Grip => "grip",
            Self::Side => "side",
            Self::Round => "round",
            Self::Drill => "drill",
            Self::Hand => "hand",
            Self::Drop => "drop",
            Self::Hang => "hang",
        }
    }

    /// The key of the plan that sets its strength.
    pub fn key(self) -> Option<&'static str> {
        match self {
            Self::Squeeze => Some("loads.tail"),
            Self::Grip => Some("loads.grip"),
            Self::Side | Self::Round => Some("loads.cut"),
            Self::Drill => Some("loads.drill"),
            Self::Hand => Some("loads.hand"),
            Self::Drop => Some("loads.drop"),
            Self::Hang => None,
        }
    }
}

/// How the grain runs through a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grain {
    /// Along the fibres, a unit vector.
    pub along: DVec3,
    /// Square to the growth rings where they are flat, a unit vector; the pith lies along it.
    pub radial: DVec3,
    /// A point of the pith; none where it is far away and the rings are flat.
    pub pith: Option<DVec3>,
}

/// How the grain runs through a piece: as the plan says in the ball, along the axis of a finial.
pub fn grain(plan: &Plan, piece: usize) -> Grain {
    let (along, radial) = match (piece, plan.wood.grain) {
        (BALL, GrainWay::Across) => (DVec3::X, DVec3::Y),
        _ => (DVec3::Z, DVec3::X),
    };
    Grain {
        along,
        radial,
        pith: (piece == BALL)
            .then(|| plan.blank.pith.map(|off| -radial * off))
            .flatten(),
    }
}

/// Every moment of a plan that stress is looked at, in the order of the job.
///
/// `weight` is that of all finished pieces together, N; without it nothing is said of hanging.
pub fn looks(plan: &Plan, expanded: &Expanded, weight: Option<f64>) -> Vec<Look> {
    let loads = Loads::of(&plan.loads, &plan.rack.loads);
    let job = Job {
        plan,
        expanded,
        loads,
        weight,
    };
    let mut looks: Vec<Look> = expanded
        .process
        .setups
        .iter()
        .enumerate()
        .flat_map(|(index, setup)| match setup.id.as_str() {
            "rough" => between::rough(&job, index),
            "ball" => chuck::ball(&job, index),
            "second-end" => pin::second_end(&job, index),
            "pierce" => pin::pierce(&job, index),
            id if id.starts_with("mounting.") => between::mounting(&job, index),
            id if id.starts_with("finial.") => chuck::finial(&job, index),
            _ => Vec::new(),
        })
        .collect();
    looks.extend(finished::looks(&job));
    for look in &mut looks {
        look.cases.retain(|case| !case.ways.is_empty());
    }
    looks.retain(|look| !look.cases.is_empty());
    looks
}

/// A plan under way to its looks.
struct Job<'a> {
    plan: &'a Plan,
    expanded: &'a Expanded,
    loads: Loads,
    weight: Option<f64>,
}

impl Job<'_> {
    /// The wood of a set-up's piece after its step of that name's ending.
    fn after(&self, setup: usize, ending: &str) -> Option<(String, State)> {
        let process = &self.expanded.process;
        let each = &process.setups[setup];
        let step = each.steps.iter().position(|step| {
            step.id
                .strip_prefix(&*each.id)
                .is_some_and(|rest| rest == ending)
        })?;
        Some((
            each.steps[step].id.clone(),
            process.state_before(each.piece, setup, step + 1),
        ))
    }

    /// A look at the wood after a step.
    fn look(
        &self,
        setup: usize,
        ending: &str,
        title: String,
        hold: impl FnOnce(&State) -> Option<(Grip, Vec<Case>)>,
    ) -> Option<Look> {
        let each = &self.expanded.process.setups[setup];
        let (step, state) = self.after(setup, ending)?;
        let (grip, cases) = hold(&state)?;
        Some(Look {
            id: step.clone(),
            piece: each.piece,
            setup: each.id.clone(),
            step,
            title,
            state,
            grip,
            cases,
        })
    }

    /// Thrust of a bit, N.
    fn thrust(&self, diameter: f64) -> Magnitude {
        Magnitude {
            value: self.loads.drill.value * diameter / 10.0,
            from: self.loads.drill.from,
        }
    }
}

#[cfg(test)]
mod tests;
