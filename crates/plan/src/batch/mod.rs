//! A run of pieces: several sizes and numbers of each from the stock at hand.
//!
//! Every plan is expanded as for its report. Its blanks, with holding and waste, are cut from the
//! clear wood between defects (`pack`); its set-ups become batches, ordered so that jaws and bits
//! change as seldom as can be (`work`); and figures the turner can change, corrected by noted
//! times, say how long it takes (`times`). Nothing here judges a plan: what stops one is said
//! beside it, and its findings stand in its own report.

mod cutting;
mod file;
mod pack;
mod sheets;
mod times;
mod work;

use serde::Serialize;
use ts_rs::TS;

use crate::form::coved_ball::expand;
use crate::memory::Memory;
use crate::reader::Problems;

pub use file::{Asked, Load, Stick, Wanted, read};
pub use times::Figure;

/// A run, planned.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Batch {
    /// What it is called.
    pub title: String,
    /// The pieces, with what stops each.
    pub pieces: Vec<Piece>,
    /// Where every stick is cut.
    pub cutting: Cutting,
    /// The batches in their order.
    pub work: Work,
    /// How long it takes.
    pub time: Time,
}

/// Pieces of one plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Piece {
    /// The plan's title.
    pub title: String,
    /// How many.
    pub count: u32,
    /// Findings that stop it, in words.
    pub stops: Vec<String>,
}

/// The cutting list.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Cutting {
    /// Every stick that is begun.
    pub sticks: Vec<CutStick>,
    /// Blanks the stock does not give.
    pub left_over: Vec<String>,
    /// Sticks that stay whole.
    pub whole: usize,
    /// Volume of the sticks begun, mm³.
    pub begun_mm3: f64,
    /// No cutting that gives every blank begins less, mm³.
    pub least_begun_mm3: f64,
    /// Whether this is proven to be the best.
    pub proven: bool,
    /// The same in words.
    pub says: String,
}

/// One stick and its cuts.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CutStick {
    /// What it is.
    pub name: String,
    /// Its cuts from the end that is measured from.
    pub cuts: Vec<Cut>,
}

/// One blank out of a stick.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Cut {
    /// From the stick's end, mm.
    pub from_mm: f64,
    /// To, mm.
    pub to_mm: f64,
    /// The same in the plan's units.
    pub shown: String,
    /// What it is for.
    pub what: String,
}

/// The order of work.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Work {
    /// Batches in their order.
    pub sheets: Vec<Sheet>,
    /// Changes of what holds the work, the first included.
    pub holdings: usize,
    /// Changes of bits, the first included.
    pub bits: usize,
    /// The same if every piece of a size were finished before the next size.
    pub one_by_one: (usize, usize),
    /// Whether no order changes less.
    pub proven: bool,
}

/// One batch: a set-up for all pieces of a size.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Sheet {
    /// What is done.
    pub title: String,
    /// The pieces.
    pub piece: String,
    /// How many.
    pub count: u32,
    /// What holds the work.
    pub holding: String,
    /// Whether it must be changed to.
    pub change_holding: bool,
    /// Bits, in the order they are used.
    pub bits: Vec<String>,
    /// What is set, as label and number with its tool.
    pub settings: Vec<Setting>,
    /// Minutes for all, changes included.
    pub minutes: f64,
}

/// A number to set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Setting {
    /// What it is.
    pub label: String,
    /// With its unit.
    pub shown: String,
    /// The tool that sets it.
    pub tool: String,
}

/// How long it takes.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Time {
    /// Minutes in all.
    pub minutes: f64,
    /// Likely no less than this.
    pub from: f64,
    /// Likely no more than this.
    pub to: f64,
    /// The figures it was reckoned with.
    pub figures: Vec<Figure>,
    /// The same in words.
    pub says: String,
}

/// Plans a run.
///
/// # Errors
/// Where numbers of a plan cannot be laid out.
pub fn plan_batch(asked: &Asked, memory: &Memory) -> Result<Batch, Problems> {
    let mut pieces = Vec::new();
    let mut expanded = Vec::new();
    for wanted in &asked.pieces {
        let outcome = crate::evaluate_quick(&wanted.plan, memory)?;
        pieces.push(Piece {
            title: wanted.plan.title.clone(),
            count: wanted.count,
            stops: outcome
                .report
                .findings
                .iter()
                .filter(|finding| finding.weight == crate::report::Weight::Stops)
                .map(|finding| finding.says.clone())
                .collect(),
        });
        expanded.push(expand(&wanted.plan)?);
    }
    let figures: Vec<Figure> = asked
        .minutes
        .iter()
        .map(|(kind, given)| times::figure(kind, *given, &asked.noted))
        .collect();
    let work = sheets::work(asked, &expanded, &figures);
    let time = time(asked, &work, figures);
    Ok(Batch {
        title: asked.title.clone(),
        pieces,
        cutting: cutting::cutting(asked, &expanded),
        work,
        time,
    })
}

/// How long the batches take, with the spread of the least known figure.
fn time(asked: &Asked, work: &Work, figures: Vec<Figure>) -> Time {
    let minutes: f64 = work.sheets.iter().map(|sheet| sheet.minutes).sum();
    // What one does slower than reckoned one does slower every time: spreads do not even out.
    let widest = figures
        .iter()
        .map(|figure| figure.spread)
        .fold(0.0, f64::max);
    let (from, to) = (minutes * (1.0 - widest).max(0.3), minutes * (1.0 + widest));
    let hours = |minutes: f64| format!("{:.1} h", minutes / 60.0);
    let notes = asked.noted.len();
    Time {
        says: format!(
            "About {}, likely {} to {}; {}. Drying, finish and rests are not in it.",
            hours(minutes),
            hours(from),
            hours(to),
            match notes {
                0 => "figures are common practice until you note times of your own".to_owned(),
                1 => "corrected by one noted time".to_owned(),
                _ => format!("corrected by {notes} noted times"),
            }
        ),
        minutes,
        from,
        to,
        figures,
    }
}

#[cfg(test)]
mod tests;
