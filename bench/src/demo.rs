//! The 60 mm demo's surface: made afresh, and made again after one number of its plan changed.

use std::time::Instant;

use rondure_mesh::{Quality, surface};
use rondure_plan::form::coved_ball::expand;
use rondure_plan::plan::Plan;
use rondure_solid::Solid;
use serde::{Deserialize, Serialize};

use crate::run::median;

/// The plan, as it is shipped.
const PLAN: &str = include_str!("../../examples/lavender-ball-60.toml");

/// The number changed: cove depth, from and to.
const CHANGE: (&str, &str) = ("depth = \"5 mm\"", "depth = \"5.2 mm\"");

/// Chord error, mm.
const CHORD: f64 = 0.1;

/// Times, ms.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Demo {
    pub surface: f64,
    pub triangles: usize,
    /// The surface of the changed plan.
    pub again: f64,
    /// Reading and expanding the changed plan.
    pub plan: f64,
}

/// Measures it in this process.
pub fn measure() -> Result<Demo, String> {
    if !PLAN.contains(CHANGE.0) {
        return Err(format!("the demo has no `{}` any more", CHANGE.0));
    }
    let changed = PLAN.replacen(CHANGE.0, CHANGE.1, 1);
    let (first, second) = (ball(PLAN)?, ball(&changed)?);
    let make = |solid: &Solid| surface(solid, Quality::chord(CHORD)).map_err(|e| e.to_string());
    let triangles = make(&first)?.triangles.len();
    let (mut afresh, mut again, mut plan) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..15 {
        afresh.push(timed(|| make(&first))?);
        again.push(timed(|| make(&second))?);
        plan.push(timed(|| ball(&changed))?);
    }
    let middle = |times| median::<f64>(times).ok_or("nothing was timed".to_owned());
    Ok(Demo {
        surface: middle(afresh)?,
        triangles,
        again: middle(again)?,
        plan: middle(plan)?,
    })
}

/// The finished ball of a plan.
fn ball(text: &str) -> Result<Solid, String> {
    let no_rack = |name: &str| Err(format!("no rack `{name}`"));
    let plan =
        Plan::read(text, "the demo", &no_rack).map_err(|problems| format!("{problems:?}"))?;
    let expanded = expand(&plan).map_err(|problems| format!("{problems:?}"))?;
    Ok(expanded.process.finished(0).solid)
}

fn timed<T>(run: impl Fn() -> Result<T, String>) -> Result<f64, String> {
    let begun = Instant::now();
    let made = run()?;
    let milliseconds = begun.elapsed().as_secs_f64() * 1e3;
    drop(made);
    Ok(milliseconds)
}
