//! The numbers and words of a plan as fields to fill in.
//!
//! One field for each value of the plan, in the order a turner decides them:
//! how the file writes it, what it means, what the rack offers for it, and the
//! range over which a slider makes sense. Setting one is
//! [`Plan::set`](crate::plan::Plan::set) with its key; nothing here changes a plan.
//!
//! The range of a slider never depends on the value it sets, so that it stands
//! still while it is moved. It is a help, not a limit: what may be written is
//! for the reader of plans to say, and what holds is for the findings.

mod list;
mod offers;
mod rows;

use serde::Serialize;
use ts_rs::TS;

use crate::plan::Plan;

/// One value of a plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Field {
    /// Its dotted key, such as `cove.depth`.
    pub key: String,
    /// The heading it stands under.
    pub section: &'static str,
    /// What a turner calls it.
    pub label: String,
    /// As the file writes it; none where it is left out and the usual value holds.
    pub written: Option<String>,
    /// In the plan's units, as a turner reads it; of a value left out, what is used.
    pub shown: String,
    /// The number, in `unit`; none where it is a word or is left to be chosen.
    pub value: Option<f64>,
    /// What sort of value it is.
    pub kind: FieldKind,
    /// What it does, in a sentence.
    pub says: &'static str,
    /// What the rack and the tables offer for it, as it would be written.
    pub offers: Vec<Offer>,
    /// Where a slider makes sense.
    pub range: Option<FieldRange>,
    /// The unit of `value` and `range`: `mm`, `in`, `deg`, `%`, `rpm`, `N` or empty.
    pub unit: &'static str,
}

/// Sorts of value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "lowercase")]
pub enum FieldKind {
    /// A length.
    Length,
    /// A whole number.
    Count,
    /// A share in percent.
    Percent,
    /// An angle in degrees.
    Angle,
    /// A speed in revolutions a minute.
    Speed,
    /// A force in newtons.
    Force,
    /// One of the offers.
    Choice,
    /// Any line of text.
    Text,
}

/// Something the rack or a table offers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Offer {
    /// As it would be written in the plan.
    pub written: String,
    /// What a turner calls it.
    pub label: String,
}

/// The range of a slider, in the field's unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, TS)]
pub struct FieldRange {
    /// Its lower end.
    pub from: f64,
    /// Its upper end.
    pub to: f64,
    /// The least change.
    pub step: f64,
}

/// The fields of a plan.
pub fn fields(plan: &Plan) -> Vec<Field> {
    let mut list = list::List::new(plan);
    rows::write(&mut list);
    list.done()
}

#[cfg(test)]
mod tests;
