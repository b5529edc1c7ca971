//! `rondure report`.

use crate::cli;
use crate::failure::Failure;
use crate::plan_file;
use crate::run::{Verdict, worked_out};
use crate::words::{Screen, tell};

/// Tells a plan's report in words or as JSON.
pub fn report(wanted: &cli::Report, screen: &mut Screen) -> Result<Verdict, Failure> {
    let plan = plan_file::plan(&wanted.plan)?;
    let report = worked_out(&plan)?.report;
    if wanted.json {
        let text =
            serde_json::to_string_pretty(&report).map_err(|error| Failure::Output(error.into()))?;
        screen.line(&text)?;
    } else if let Some(setup) = &wanted.setup {
        let Some(index) = report.setups.iter().position(|other| &other.id == setup) else {
            let ids: Vec<&str> = report
                .setups
                .iter()
                .map(|setup| setup.id.as_str())
                .collect();
            return Err(Failure::Asked(format!(
                "There is no set-up \"{setup}\" in this plan. There are: {}.",
                ids.join(", ")
            )));
        };
        tell::setup(&report, index, screen)?;
    } else {
        tell::report(&report, screen)?;
    }
    Ok(if report.stops() {
        Verdict::Stopped
    } else {
        Verdict::Sound
    })
}
