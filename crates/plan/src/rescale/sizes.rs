//! Which sizes a form can have with a rack: the nearest that works, the smallest, the largest.
//!
//! Whether a size works is found by the search itself. Works and does not work may alternate, as
//! bits come in steps; so sizes are tried on a ladder, and between a rung that works and the next
//! one out that does not the border is halved down to a whole step. A size between two rungs that
//! do not work goes unseen.

use rayon::prelude::*;

use super::search::{Found, Nothing, Task, search};
use crate::bench::settable;
use crate::plan::Plan;
use crate::units::{LengthStyle, MILLIMETRES_PER_INCH};

/// The diameters that a plan may ask for, mm.
pub const DIAMETERS: std::ops::RangeInclusive<f64> = 10.0..=300.0;
/// From rung to rung.
const RUNG: f64 = 1.04;
/// Rungs away from a size that does not work.
const NEAR: i32 = 18;

/// What sizes are asked in, mm: whole millimetres or sixteenths of an inch.
pub fn grid(plan: &Plan) -> f64 {
    match plan.style {
        LengthStyle::Millimetres => 1.0,
        LengthStyle::Inches { .. } => MILLIMETRES_PER_INCH / 16.0,
    }
}

fn on_grid(plan: &Plan, diameter: f64) -> f64 {
    settable(plan, diameter, grid(plan))
}

/// The smallest and the largest size that work, with what stands in the way of the next beyond.
pub fn ends(task: &Task<'_>, marks: u32) -> Option<[(f64, Option<Nothing>); 2]> {
    let mut rungs = Vec::new();
    let mut size = *DIAMETERS.start();
    while size <= *DIAMETERS.end() {
        let rung = on_grid(task.old, size);
        if rungs.last().is_none_or(|last| rung > last + 1e-9) && DIAMETERS.contains(&rung) {
            rungs.push(rung);
        }
        size *= RUNG;
    }
    let tried: Vec<Result<Found, Nothing>> = rungs
        .par_iter()
        .map(|size| search(task, *size, marks))
        .collect();
    let first = tried.iter().position(Result::is_ok)?;
    let last = tried.iter().rposition(Result::is_ok)?;
    let end = |good: usize, beyond: Option<usize>| {
        beyond.map_or((rungs[good], None), |bad| {
            let (size, why) = border(task, marks, rungs[good], rungs[bad]);
            (size, why.or_else(|| tried[bad].as_ref().err().cloned()))
        })
    };
    Some([
        end(first, first.checked_sub(1)),
        end(last, (last + 1 < rungs.len()).then_some(last + 1)),
    ])
}

/// The nearest sizes below and above one that does not work; none where the ladder finds none.
pub fn nearest(task: &Task<'_>, marks: u32, wished: f64) -> [Option<f64>; 2] {
    [-1, 1].map(|way| {
        let rungs: Vec<f64> = (1..=NEAR)
            .map(|rung| on_grid(task.old, wished * RUNG.powi(way * rung)))
            .filter(|size| DIAMETERS.contains(size) && (size - wished).abs() > 1e-9)
            .collect();
        // By twos and more, so that no size far out is tried for nothing.
        for (number, some) in rungs.chunks(4).enumerate() {
            let works: Vec<bool> = some
                .par_iter()
                .map(|size| search(task, *size, marks).is_ok())
                .collect();
            if let Some(at) = works.iter().position(|works| *works) {
                let before = (4 * number + at)
                    .checked_sub(1)
                    .map_or(wished, |i| rungs[i]);
                return Some(border(task, marks, some[at], before).0);
            }
        }
        None
    })
}

/// The last size on the grid that works on the way from one that does to one that does not, and
/// why the next does not.
fn border(task: &Task<'_>, marks: u32, good: f64, bad: f64) -> (f64, Option<Nothing>) {
    let step = grid(task.old);
    let (mut good, mut bad, mut why) = (good, bad, None);
    while (good - bad).abs() > 1.5 * step {
        let middle = on_grid(task.old, 0.5 * (good + bad));
        if (middle - good).abs() < 1e-9 || (middle - bad).abs() < 1e-9 {
            break;
        }
        match search(task, middle, marks) {
            Ok(_) => good = middle,
            Err(nothing) => {
                bad = middle;
                why = Some(nothing);
            }
        }
    }
    (good, why)
}
