//! One function for each command.

mod batch;
mod handout;
mod new;
mod order;
mod packet;
mod rack;
mod report;
mod rescale;
mod round;
mod serve;
mod solid;
mod stress;
mod template;
mod trial;
mod woods;

pub use batch::batch;
pub use handout::handout;
pub use new::new;
pub use order::order;
pub use packet::packet;
pub use rack::rack;
pub use report::report;
pub use rescale::rescale;
pub use round::round;
pub use serve::{demo, serve};
pub use solid::solid;
pub use stress::stress;
pub use template::template;
pub use trial::trial;
pub use woods::woods;

use rondure_plan::hold::Held;
use rondure_plan::plan::Plan;
use rondure_plan::units::{LengthUnit, read_length};
use rondure_plan::{Outcome, evaluate};

use crate::failure::Failure;
use crate::hold::{Memory, Wanted, hold};

/// How a command that was done ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing stops the job.
    Sound,
    /// Something stops it.
    Stopped,
}

fn worked_out(plan: &Plan) -> Result<Outcome, Failure> {
    evaluate(plan).map_err(Failure::Problems)
}

/// A length written on the command line, mm; a bare number is of `unit`.
fn length(option: &str, written: &str, unit: LengthUnit) -> Result<f64, Failure> {
    read_length(written, unit).map_err(|error| {
        let mend = error.mend.map_or(String::new(), |mend| format!(" {mend}"));
        Failure::Asked(format!(
            "{option}: found {}; allowed is {}.{mend}",
            error.found, error.allowed
        ))
    })
}

/// Whether the wood holds, with its findings added to the report's.
fn held(plan: &Plan, outcome: &mut Outcome) -> Result<Held, Failure> {
    let memory = Memory::default();
    let held = hold(plan, &outcome.expanded, Wanted::ALL, &memory, &|_| true)
        .map_err(|why| Failure::Asked(format!("{why}.")))?;
    let tried = crate::hold::tried(&memory);
    let findings = &mut outcome.report.findings;
    findings.extend(rondure_plan::findings::hold::find(plan, &held, &tried));
    // Stable: those of one weight stay in their order.
    findings.sort_by_key(|finding| finding.weight);
    Ok(held)
}

/// What is said where a plan has no set-up of the name asked for.
fn no_setup<'a>(asked: &str, known: impl Iterator<Item = &'a str>) -> Failure {
    let known: Vec<&str> = known.collect();
    Failure::Asked(format!(
        "There is no set-up \"{asked}\" in this plan. There are: {}.",
        known.join(", ")
    ))
}
