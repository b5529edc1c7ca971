//! Whether the wood holds, as findings: from the answer of the solver, which is plain data here.
//!
//! Each finding names the look and load, what the wood stands against what is taken, and mends. A mend that changes the
//! plan is tried: `used` gives what share of weak wood's strength the same load uses in the changed plan, and only a
//! mend that brings it to a sound verdict, or else well down, is told, with that share.

use super::kind::{self, Kind, advice, change};
use crate::bench::{settable, written};
use crate::hold::{Band, Failing, Held, HeldCase, HeldLook, Load};
use crate::plan::{GrainWay, Plan};
use crate::report::{Finding, Mend};
use crate::units::show_force;

/// Asks a changed plan anew: the identifiers of look and load, and what share of weak wood's strength they then use.
pub type Tried<'a> = dyn Fn(&Plan, &str, &str) -> Option<f64> + 'a;

/// A split nearer than this to weak wood's strength is worth a word, share.
const WORTH: f64 = 0.5;
/// Wood thinner than this is a feather edge, mm. Common practice, no source.
const FEATHER: f64 = 1.0;
/// A mend that does not clear a finding has to take off at least this share of what is used.
const HELPS: f64 = 0.15;

/// What the answer has to say, in the order of danger.
pub fn find(plan: &Plan, held: &Held, tried: &Tried<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for look in held
        .ranked
        .iter()
        .filter_map(|index| held.looks.get(*index))
    {
        for case in &look.cases {
            if let Some(kind) = kind_of(case) {
                found.push(one(plan, look, case, kind, tried));
            }
        }
    }
    found
}

/// What sort of finding a case is; none where it is sound and no edge or hole begins to split.
fn kind_of(case: &HeldCase) -> Option<&'static Kind> {
    let beside = case.thickness_mm < FEATHER || case.place.contains("hole");
    match (case.load, case.band) {
        (Load::Drop, Band::Sound) => None,
        (Load::Drop, _) => Some(&kind::HOLD_FALL),
        (_, Band::Over) => Some(&kind::HOLD_OVER),
        (_, Band::Near) => Some(&kind::HOLD_NEAR),
        _ if case.failing == Failing::Splitting && beside && case.used[0] > WORTH => {
            Some(&kind::HOLD_SPLIT)
        }
        _ => None,
    }
}

fn one(
    plan: &Plan,
    look: &HeldLook,
    case: &HeldCase,
    kind: &'static Kind,
    tried: &Tried<'_>,
) -> Finding {
    let (stands, taken, unit) = match case.load {
        Load::Drop => (case.stands[0], case.taken, "mm"),
        _ => (case.stands[0], case.taken, "N"),
    };
    kind.says(format!("{}: {}", capital(&look.title), case.in_words()))
        .against(stands.unwrap_or(taken), taken, unit)
        .in_setup(look.setup.clone())
        .in_step(look.step.clone())
        .at(rondure_solid::DVec3::from_array(case.at))
        .mended_by(mends(plan, look, case, tried))
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Ways out, each tried.
fn mends(plan: &Plan, look: &HeldLook, case: &HeldCase, tried: &Tried<'_>) -> Vec<Mend> {
    let mut mends = Vec::new();
    // Less push: what the wood stands is known, so this needs no new answer.
    if let (Some(stands), Some(key)) = (case.stands[0], case.load.key())
        && matches!(case.load, Load::Squeeze | Load::Grip)
        && stands < case.taken
    {
        let less = 0.9 * stands;
        mends.push(change(
            key,
            format!("{less:.0} N"),
            format!(
                "Push no harder than {}; then weak wood stands it.",
                show_force(less, plan.style)
            ),
        ));
    }
    for (key, write, says) in changes(plan) {
        let Some(other) = plan.with(&key, &write) else {
            continue;
        };
        let Some(used) = tried(&other, &look.id, &case.id) else {
            continue;
        };
        if used < 1.0 && case.used[0] >= 1.0 || used < (1.0 - HELPS) * case.used[0] {
            mends.push(change(
                &key,
                &write,
                format!(
                    "{says} Then weak wood is used to {:.0} %, not {:.0} %.",
                    100.0 * used,
                    100.0 * case.used[0]
                ),
            ));
        }
    }
    if look.setup.starts_with("mounting.") || look.setup == "pierce" {
        mends.push(advice("Plug the holes and the bore with waste wood before the next cut, or wind the ball with tape; pierce last."));
    }
    if case.load == Load::Drop {
        mends.push(advice("A soft floor mat under the bench; the figure leaves out dent and bounce, so it is on the low side."));
    }
    mends
}

/// Changes of the plan that give more wood, or turn the grain: key, new value, words.
fn changes(plan: &Plan) -> Vec<(String, String, String)> {
    let mut changes = Vec::new();
    let step = plan.rack.calliper_step.max(plan.style.step_mm());
    let shallower = settable(plan, 0.8 * plan.cove.depth, step);
    changes.push((
        "cove.depth".to_owned(),
        written(plan, shallower),
        format!("Cut the coves only {} deep.", written(plan, shallower)),
    ));
    if let Some(pierce) = plan.pierce {
        let kinds = crate::form::coved_ball::piercing::PIERCE_KINDS;
        let smaller = plan
            .rack
            .bit_sizes(&kinds)
            .into_iter()
            .rfind(|size| *size < pierce.diameter - 0.1);
        if let Some(smaller) = smaller {
            let write = written(plan, smaller);
            changes.push((
                "pierce.diameter".to_owned(),
                write.clone(),
                format!("Pierce with a bit of {write}."),
            ));
        }
    }
    let other = match plan.wood.grain {
        GrainWay::Along => GrainWay::Across,
        GrainWay::Across => GrainWay::Along,
    };
    changes.push((
        "wood.grain".to_owned(),
        other.word().to_owned(),
        format!("Turn the grain: {} the blank.", other.word()),
    ));
    changes
}
