//! The new plan's text, and the table of old, proportional and chosen numbers with their reasons.

use serde::Serialize;
use ts_rs::TS;

use super::hinder::hindrances;
use super::role::{Role, role};
use super::search::{Found, Task};
use crate::bench::{settable, trimmed, written};
use crate::field::{Field, FieldKind, fields};
use crate::form::coved_ball::ball::BORE_KINDS;
use crate::form::coved_ball::piercing::PIERCE_KINDS;
use crate::plan::{ChangeError, Pierce, Plan};
use crate::rack::BitKind;
use crate::units::{LengthStyle, LengthUnit, MILLIMETRES_PER_INCH};

/// One number at its old, its proportional and its chosen value.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Number {
    /// Its dotted key.
    pub key: String,
    /// The heading it stands under.
    pub section: &'static str,
    /// What a turner calls it.
    pub label: String,
    /// What it does when the size changes.
    pub role: Role,
    /// Whether the turner asked to keep it.
    pub kept: bool,
    /// As it was.
    pub old: String,
    /// In proportion to the diameter, whether it can be set or not; of a number that is held, as it was.
    pub proportional: String,
    /// As it is chosen.
    pub chosen: String,
    /// Chosen over proportional, less one; none for words and for noughts.
    pub difference: Option<f64>,
    /// Why it is not the proportional one; none where it is.
    pub reason: Option<String>,
}

/// The text of the new plan: the old one with the new numbers in their places.
pub(super) fn text(old: &Plan, new: &Plan, title: &str) -> Result<String, ChangeError> {
    let mut changes = vec![("title".to_owned(), title.to_owned())];
    let (before, after) = (fields(old), fields(new));
    for (was, is) in before.iter().zip(&after) {
        let differs = match (was.value, is.value) {
            (Some(a), Some(b)) => (a - b).abs() > 1e-9,
            (None, Some(_)) => true,
            _ => word(old, was) != word(new, is),
        };
        if !differs || role(is).is_none() {
            continue;
        }
        let writing = match (is.kind, is.value) {
            (FieldKind::Length, Some(value)) => as_before(old, was, mm(old, value)),
            (FieldKind::Count, Some(value)) => trimmed(value, 0),
            (_, Some(value)) => trimmed(value, 3),
            (_, None) => word(new, is).unwrap_or_default().to_owned(),
        };
        changes.push((was.key.clone(), writing));
    }
    if old.holding.order.is_some() && new.ball.marks != old.ball.marks {
        // The old order names mountings that are no more, or too few.
        let order: Vec<u32> = (1..=new.ball.marks / 2).collect();
        changes.push(("holding.order".to_owned(), crate::order::written(&order)));
    }
    let changed = old.set_all(&changes)?;
    Ok(format!(
        "# {} at another size: {} instead of {}, found by `rondure rescale`.\n# Remarks below are those of the old plan.\n\n{changed}",
        old.title,
        written(new, new.ball.diameter),
        written(old, old.ball.diameter)
    ))
}

/// The word a plan gives for a choice that the size has a part in.
fn word<'p>(plan: &'p Plan, field: &Field) -> Option<&'p str> {
    match field.key.as_str() {
        "holding.jaws" => plan.holding.jaws.as_deref(),
        "holding.drive" => plan.holding.drive.as_deref(),
        "holding.tail" => plan.holding.tail.as_deref(),
        _ => None,
    }
}

fn mm(plan: &Plan, value: f64) -> f64 {
    match plan.style {
        LengthStyle::Millimetres => value,
        LengthStyle::Inches { .. } => value * MILLIMETRES_PER_INCH,
    }
}

/// A length written as the file wrote the old one: bare where that was bare.
fn as_before(plan: &Plan, was: &Field, mm: f64) -> String {
    let writing = written(plan, mm);
    let bare = was
        .written
        .as_ref()
        .is_some_and(|old| !old.contains(|c: char| c.is_alphabetic() || "\"″”'".contains(c)));
    let same_unit = !matches!(plan.unit, LengthUnit::Centimetre);
    match writing.rsplit_once(' ') {
        Some((number, _)) if bare && same_unit => number.to_owned(),
        _ => writing,
    }
}

/// A length with a digit more than can be set, for what is only a wish.
fn finely(plan: &Plan, mm: f64) -> String {
    match plan.style {
        LengthStyle::Millimetres => format!("{} mm", trimmed(mm, 2)),
        LengthStyle::Inches { .. } => format!("{} in", trimmed(mm / MILLIMETRES_PER_INCH, 3)),
    }
}

/// The table, in the order of the plan's fields.
pub(super) fn rows(task: &Task<'_>, found: &Found) -> Vec<Number> {
    let (old, new) = (task.old, &found.plan);
    fields(old)
        .into_iter()
        .zip(fields(new))
        .filter_map(|(was, is)| {
            let role = role(&was).or_else(|| role(&is))?;
            Some(row(task, found, &was, &is, role))
        })
        .collect()
}

fn row(task: &Task<'_>, found: &Found, was: &Field, is: &Field, role: Role) -> Number {
    let (old, new) = (task.old, &found.plan);
    let kept = task.keeps.holds(&was.key);
    let mut number = Number {
        key: was.key.clone(),
        section: was.section,
        label: was.label.clone(),
        role,
        kept,
        old: was.shown.clone(),
        proportional: was.shown.clone(),
        chosen: is.shown.clone(),
        difference: None,
        reason: None,
    };
    if let (Some(before), Some(after)) = (word(old, was), word(new, is)) {
        (number.old, number.proportional) = (before.to_owned(), before.to_owned());
        number.chosen = after.to_owned();
    }
    let given = found.reasons.get(&was.key).cloned();
    let lengths = was
        .value
        .zip(is.value)
        .filter(|_| was.kind == FieldKind::Length);
    let Some((before, after)) = lengths.map(|(a, b)| (mm(old, a), mm(new, b))) else {
        number.reason = given.or_else(|| {
            (was.key == "ball.marks" && was.value != is.value).then(|| "as asked for".to_owned())
        });
        return number;
    };
    let wished = match was.key.as_str() {
        "cove.depth" => found.wished.depth,
        "cove.land" => found.wished.land,
        "pierce.diameter" => found.wished.hole.unwrap_or(before),
        _ => found.wished.scale * before,
    };
    number.proportional = finely(old, wished);
    number.difference = (wished > 0.0).then(|| after / wished - 1.0);
    let tool = if by_callipers(&was.key) {
        old.rack.calliper_step
    } else {
        old.rack.rule_step
    };
    let half_a_step = 0.5 * tool.max(old.style.step_mm()) + 1e-6;
    let off = (after - wished).abs();
    number.reason = if was.key == "ball.diameter" {
        None
    } else if kept {
        Some("kept, as asked for".to_owned())
    } else if let Some(test) = primary(&was.key) {
        (off > 1e-6).then(|| of_choice(task, found, test, wished, after, half_a_step))
    } else if off < 1e-6 {
        None
    } else if let Some(given) = given {
        Some(given)
    } else if role == Role::Held || was.key == "markers.diameter" {
        Some(why_held(&was.key).to_owned())
    } else if role == Role::Fitted {
        Some("rounded to what is set".to_owned())
    } else if off <= half_a_step {
        Some(on_the_tool(&was.key).to_owned())
    } else {
        Some("keeps its proportion to its neighbour, which a limit moved".to_owned())
    };
    number
}

fn by_callipers(key: &str) -> bool {
    [".diameter", ".to", ".ball"]
        .iter()
        .any(|end| key.ends_with(end))
        || key.starts_with("cove.")
}

fn on_the_tool(key: &str) -> &'static str {
    if by_callipers(key) {
        "to what the callipers hold"
    } else {
        "to what the rule holds"
    }
}

/// Why a number is held.
fn why_held(key: &str) -> &'static str {
    if key.starts_with("limits.") {
        "held: wood and hands are no stronger at another size"
    } else if key.starts_with("speeds.") {
        "held: never faster than you chose"
    } else if key.contains(".hanger.") {
        "held: the hanger is the same"
    } else if key == "finials.glue_gap" {
        "held: a line of glue knows no scale"
    } else if key.starts_with("markers.") {
        "held: hand and awl are the same"
    } else if key == "holding.spigot_length" {
        "held: the jaws are as deep as before"
    } else {
        "held"
    }
}

/// A number that the search chose.
#[derive(Clone, Copy)]
enum Chosen {
    Depth,
    Land,
    Bore,
    Hole,
}

fn primary(key: &str) -> Option<Chosen> {
    Some(match key {
        "cove.depth" => Chosen::Depth,
        "cove.land" => Chosen::Land,
        "bore.diameter" => Chosen::Bore,
        "pierce.diameter" => Chosen::Hole,
        _ => return None,
    })
}

impl Chosen {
    fn bits(self) -> Option<&'static [BitKind]> {
        match self {
            Self::Bore => Some(&BORE_KINDS),
            Self::Hole => Some(&PIERCE_KINDS),
            _ => None,
        }
    }

    fn put(self, plan: &mut Plan, value: f64) {
        match self {
            Self::Depth => plan.cove.depth = value,
            Self::Land => plan.cove.land = value,
            Self::Bore => plan.bore.diameter = value,
            Self::Hole => plan.pierce = Some(Pierce { diameter: value }),
        }
    }
}

/// Why a number that the search chose is not the proportional one: what the tool holds, or the
/// finding that the nearest setting would raise, tried with the other numbers as chosen.
fn of_choice(
    task: &Task<'_>,
    found: &Found,
    which: Chosen,
    wished: f64,
    chosen: f64,
    half_a_step: f64,
) -> String {
    let plan = &found.plan;
    let nearest = match which.bits() {
        Some(kinds) => plan
            .rack
            .bit_sizes(kinds)
            .into_iter()
            .min_by(|a, b| (a / wished).ln().abs().total_cmp(&(b / wished).ln().abs()))
            .unwrap_or(chosen),
        None => settable(plan, wished, plan.rack.calliper_step),
    };
    if (nearest - chosen).abs() < 1e-6
        || (which.bits().is_none() && (chosen - wished).abs() <= half_a_step)
    {
        return match which.bits() {
            Some(kinds) => format!(
                "the nearest bit in the rack: {}",
                crate::bench::bit_name(plan, chosen, kinds)
            ),
            None => "to what the callipers hold".to_owned(),
        };
    }
    let mut tried = plan.clone();
    which.put(&mut tried, nearest);
    let alone = hindrances(&tried, task.memory, task.tolerated);
    match alone.first() {
        Some(first) => format!(
            "with {}: {} ({})",
            written(plan, nearest),
            first.says,
            first.id
        ),
        None => "moved with the others, so that together they look most alike".to_owned(),
    }
}
