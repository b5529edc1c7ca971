//! What stands in the way of a candidate, on the true solid.
//!
//! The findings themselves judge: whatever stops the job stands in the way, and so does whatever
//! is to be watched and was not to be watched in the old plan. Mends are not looked for. Before
//! a solid is asked at all, a few of the same limits are tried in closed form (DESIGN section 4);
//! that only saves work, and a test holds that it never refuses what the findings let pass.

use std::collections::BTreeSet;

use serde::Serialize;
use ts_rs::TS;

use crate::findings::{self, kind};
use crate::form::coved_ball::piercing::{self, PIERCE_KINDS};
use crate::form::coved_ball::{Layout, expand};
use crate::memory::Memory;
use crate::plan::Plan;
use crate::rack::Rack;
use crate::report::{Finding, Weight};
use crate::study::Study;

/// Something that stands in the way.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Hindrance {
    /// Its finding.
    pub id: String,
    /// In words, with numbers and units.
    pub says: String,
}

/// Findings to be watched that the old plan has too, and that do not stand in the way of a new one.
pub type Tolerated = BTreeSet<&'static str>;

/// What is to be watched in a plan as it is.
pub fn tolerated(plan: &Plan, memory: &Memory) -> Tolerated {
    look(plan, memory)
        .unwrap_or_default()
        .into_iter()
        .filter(|finding| finding.weight == Weight::Watch)
        .map(|finding| finding.id)
        .collect()
}

/// Everything that is only to be watched: what may be taken into the bargain where nothing else
/// works.
pub fn anything_to_watch() -> Tolerated {
    kind::ALL
        .iter()
        .filter(|kind| kind.weight == Weight::Watch)
        .map(|kind| kind.id)
        .collect()
}

/// All that stands in the way of a plan.
pub fn hindrances(plan: &Plan, memory: &Memory, tolerated: &Tolerated) -> Vec<Hindrance> {
    look(plan, memory).map_or_else(unplanned, |found| hinders(found, tolerated))
}

/// What stands in the way of a candidate, and whether a solid had to be asked: where the numbers
/// alone already stand in the way, none is.
pub fn judge(plan: &Plan, memory: &Memory, tolerated: &Tolerated) -> (Vec<Hindrance>, bool) {
    let study = match study(plan, memory) {
        Ok(study) => study,
        Err(says) => return (unplanned(says), false),
    };
    let by_numbers = hinders(findings::find_by_numbers(&study), tolerated);
    if by_numbers.is_empty() {
        (hinders(findings::find(&study), tolerated), true)
    } else {
        (by_numbers, false)
    }
}

fn unplanned(says: String) -> Vec<Hindrance> {
    vec![Hindrance {
        id: "plan".to_owned(),
        says,
    }]
}

fn hinders(found: Vec<Finding>, tolerated: &Tolerated) -> Vec<Hindrance> {
    found
        .into_iter()
        .filter(|finding| match finding.weight {
            Weight::Stops => true,
            Weight::Watch => !tolerated.contains(finding.id),
            Weight::Note => false,
        })
        .map(|finding| Hindrance {
            id: finding.id.to_owned(),
            says: finding.says,
        })
        .collect()
}

fn study<'p>(plan: &'p Plan, memory: &Memory) -> Result<Study<'p>, String> {
    let expanded = expand(plan).map_err(|problems| {
        problems
            .list
            .first()
            .map_or_else(String::new, ToString::to_string)
    })?;
    let mut study = Study::with_memory(plan, expanded, memory);
    study.trial = true;
    Ok(study)
}

fn look(plan: &Plan, memory: &Memory) -> Result<Vec<Finding>, String> {
    study(plan, memory).map(|study| findings::find(&study))
}

/// Whether a finding follows from the ball, the bore and the stock, whatever the coves and the
/// pierced holes.
pub fn of_the_stock(id: &str) -> bool {
    [
        "blank.",
        "lathe.",
        "jaws.",
        "spigot.",
        "holding.",
        "index.",
        "neck.shows",
        "finial.jaws",
        "finial.whip",
        "finial.rings",
        "finial.tip",
        "fit.",
        "ball.oval",
        "wood.",
    ]
    .iter()
    .any(|start| id.starts_with(start))
}

/// The first limit that is broken in closed form.
pub fn at_sight(plan: &Plan, layout: &Layout, tolerated: &Tolerated) -> Option<&'static str> {
    if layout.bottom_radius <= layout.bore_radius {
        return Some(kind::COVE_BORE.id);
    }
    if layout.rim_gap().is_some_and(|gap| gap < plan.limits.web) {
        return Some(kind::RIM_GAP.id);
    }
    if !tolerated.contains(kind::COVE_GOUGE.id)
        && plan.rack.gouge_for_cove(layout.arc_radius()).is_none()
    {
        return Some(kind::COVE_GOUGE.id);
    }
    let radius = layout.pierce_radius?;
    let reaches = plan.rack.bits.iter().any(|bit| {
        PIERCE_KINDS.contains(&bit.kind)
            && (bit.diameter - 2.0 * radius).abs() <= Rack::BIT_TOLERANCE
            && bit.reach >= piercing::depth(layout)
    });
    (!reaches).then_some(kind::BIT_REACH.id)
}
