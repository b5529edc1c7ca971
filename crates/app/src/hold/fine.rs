//! The second look: cubes fine enough for the weakest place, and the worst pushes only.

use rondure_plan::form::coved_ball::Expanded;
use rondure_plan::hold::{HeldLook, Look};
use rondure_plan::plan::Plan;
use rondure_stress::{StressError, Tolerance};

use super::model::{self, Stuff};
use super::sweep::{Asked, Judged, Swept};
use super::{NotHeld, words};

/// Cubes through the weakest place that are asked for.
const THROUGH: f64 = 6.0;
/// Smallest cubes, mm: what is averaged over is twice as long.
const SMALLEST: f64 = 0.5;
/// Most cubes of one model.
const MOST: f64 = 260_000.0;
/// A look that uses less of the wood's strength than this is only asked with cubes half as large: whatever its error,
/// it is not the one that breaks.
const IDLE: f64 = 0.2;

/// The edge of the cubes that a look deserves, mm.
pub(super) fn edge(swept: &Swept) -> f64 {
    let first = swept.held.cube_mm;
    let worst = swept.held.worst();
    let thin = worst.map_or(f64::INFINITY, |case| case.thickness_mm);
    let floor = (swept.volume / MOST).cbrt().max(SMALLEST);
    let used = worst.map_or(0.0, |case| case.used[0]);
    if used < IDLE {
        return (0.5 * first).max(floor);
    }
    (thin / THROUGH).min(0.5 * first).max(floor)
}

/// Looks again.
///
/// # Errors
/// Where whoever asked says stop.
pub(super) fn fine(
    plan: &Plan,
    expanded: &Expanded,
    look: &Look,
    swept: &Swept,
    stuff: &Stuff,
    weight: Option<f64>,
    goes_on: &(dyn Fn() -> bool + Sync),
) -> Result<HeldLook, NotHeld> {
    let edge = edge(swept);
    let model = match model::model(plan, look, stuff, edge) {
        Ok(model) => model,
        Err(StressError::Cancelled) => return Err(NotHeld::Stopped),
        // What could be asked with large cubes stays told.
        Err(_) => return Ok(swept.held.clone()),
    };
    let asked = Asked {
        look,
        stuff,
        model: &model,
        weight,
        tolerance: Tolerance::USUAL,
        goes_on,
    };
    let judged = asked.judge(&swept.worst)?;
    let verdicts: Vec<Option<Judged>> = judged
        .into_iter()
        .map(|case| {
            case.ok()?.into_iter().max_by(|a, b| {
                a.verdict.utilisation[1]
                    .total_cmp(&b.verdict.utilisation[1])
                    .then(b.way.cmp(&a.way))
            })
        })
        .collect();
    Ok(words::held(&words::Told {
        plan,
        expanded,
        look,
        edge,
        verdicts: &verdicts,
        before: Some(swept),
        weight,
    }))
}
