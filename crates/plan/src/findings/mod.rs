//! Findings: what to know before cutting, where, how much, against what limit,
//! and what would mend it.
//!
//! Each check looks at one matter of a [`Study`] and writes its findings with
//! mends already worked out. A mend that changes the plan has been tried: the
//! changed plan was read and expanded again and the same check no longer finds
//! the same thing.

pub mod kind;
mod mending;

mod bits;
mod coves;
pub(crate) mod finials;
mod fits;
pub mod hold;
pub(crate) mod markers;
mod seats;
mod speeds;
mod stock;
mod whole;
mod wood;

pub use seats::centre;
pub(crate) use stock::MOST_OVERHANG;

use rayon::prelude::*;

use crate::report::Finding;
use crate::study::Study;

/// A check: what it finds on a study.
pub(crate) type Check = fn(&Study<'_>) -> Vec<Finding>;

const CHECKS: &[Check] = &[
    stock::check,
    stock::index,
    bits::check,
    speeds::check,
    seats::check,
    markers::check,
    coves::check,
    whole::check,
    finials::check,
    fits::check,
    wood::check,
];

/// The checks that ask no solid.
const BY_NUMBERS: &[Check] = &[
    stock::check,
    stock::index,
    bits::check,
    speeds::check,
    coves::check,
    finials::check,
];

/// The findings that follow from the numbers alone, in no order of weight: quick to ask before a
/// solid is.
pub(crate) fn find_by_numbers(study: &Study<'_>) -> Vec<Finding> {
    BY_NUMBERS.iter().flat_map(|check| check(study)).collect()
}

/// All findings, the gravest first, then in the order of the job.
pub fn find(study: &Study<'_>) -> Vec<Finding> {
    let checked: Vec<Vec<Finding>> = CHECKS.par_iter().map(|check| check(study)).collect();
    let mut found: Vec<Finding> = checked.into_iter().flatten().collect();
    let process = &study.expanded.process;
    let place = |finding: &Finding| {
        finding
            .setup
            .as_deref()
            .and_then(|id| process.setup(id))
            .unwrap_or(usize::MAX)
    };
    found.sort_by_key(|finding| (finding.weight, place(finding)));
    found
}
