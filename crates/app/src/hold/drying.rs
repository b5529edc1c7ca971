//! The shape after drying, and the risk of a check.

use rondure_plan::form::coved_ball::Expanded;
use rondure_plan::hold::Dried;
use rondure_plan::plan::Plan;

use super::model::Stuff;
use super::{Memory, NotHeld};

/// The finished ball after drying.
///
/// # Errors
/// Where whoever asked says stop.
pub(super) fn dried(
    _plan: &Plan,
    _expanded: &Expanded,
    _stuff: &Stuff,
    _memory: &Memory,
    _goes_on: &(dyn Fn() -> bool + Sync),
) -> Result<Option<Dried>, NotHeld> {
    Ok(None)
}
