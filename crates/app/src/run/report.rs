//! `rondure report`.

use std::path::Path;

use rondure_plan::Outcome;
use rondure_plan::explain::{explain, identifiers, picture};
use rondure_plan::hold::Held;
use serde::Serialize;

use crate::cli;
use crate::failure::Failure;
use crate::plan_file;
use crate::run::{Verdict, held, no_setup, worked_out};
use crate::words::{Screen, held as tell_held, tell};

/// The report, with the answer whether it holds where that was asked.
#[derive(Debug, Serialize)]
struct Whole<'a> {
    #[serde(flatten)]
    report: &'a rondure_plan::report::Report,
    #[serde(skip_serializing_if = "Option::is_none")]
    held: Option<&'a Held>,
}

/// Tells a plan's report in words or as JSON.
pub fn report(wanted: &cli::Report, screen: &mut Screen) -> Result<Verdict, Failure> {
    let plan = plan_file::plan(&wanted.plan)?;
    let mut outcome = worked_out(&plan)?;
    let held = if wanted.stress {
        Some(held(&plan, &mut outcome)?)
    } else {
        None
    };
    if let Some(id) = &wanted.explain {
        return why(id, &outcome, wanted.output.as_deref(), screen);
    }
    let report = outcome.report;
    if wanted.json {
        let text = serde_json::to_string_pretty(&Whole {
            report: &report,
            held: held.as_ref(),
        })
        .map_err(|error| Failure::Output(error.into()))?;
        screen.line(&text)?;
    } else if let Some(setup) = &wanted.setup {
        let Some(index) = report.setups.iter().position(|other| &other.id == setup) else {
            let setups = report.setups.iter();
            return Err(no_setup(setup, setups.map(|other| other.id.as_str())));
        };
        tell::setup(&report, index, screen)?;
    } else {
        if let Some((look, case)) = held.as_ref().and_then(Held::weakest) {
            tell_held::weakest(look, case, screen)?;
            screen.line("")?;
        }
        tell::report(&report, screen)?;
    }
    Ok(if report.stops() {
        Verdict::Stopped
    } else {
        Verdict::Sound
    })
}

/// Tells why a finding is made or a number is set, and draws it where asked.
fn why(
    id: &str,
    outcome: &Outcome,
    output: Option<&Path>,
    screen: &mut Screen,
) -> Result<Verdict, Failure> {
    let report = &outcome.report;
    let Some(explanation) = explain(id) else {
        let near = nearest(id);
        return Err(Failure::Asked(format!(
            "There is no finding or measure \"{id}\".{near} The report names each in brackets; docs/findings.md and docs/measures.md list them."
        )));
    };
    screen.title(id)?;
    screen.paragraph(explanation.why)?;
    let found: Vec<_> = report
        .findings
        .iter()
        .filter(|finding| finding.id == id)
        .collect();
    let measures: Vec<_> = report
        .measures
        .iter()
        .filter(|measure| measure.id == id)
        .collect();
    screen.heading("In this plan")?;
    for finding in &found {
        screen.paragraph(&finding.says)?;
        if let Some(place) = place(finding.at) {
            screen.indented(&place, "    ", "    ")?;
        }
        screen.indented(
            &format!("limit from {}", finding.limit_from),
            "    ",
            "    ",
        )?;
        for mend in &finding.mend {
            let set = mend.key.as_ref().zip(mend.write.as_ref());
            let key = set.map_or_else(String::new, |(key, write)| format!(" ({key} = {write})"));
            screen.indented(&format!("mend: {}{key}", mend.says), "    ", "          ")?;
        }
    }
    for measure in &measures {
        screen.pair(
            &measure.shown,
            &format!("{}; {}", measure.label, measure.tool),
        )?;
    }
    if found.is_empty() && measures.is_empty() {
        screen.paragraph("Nothing of this here.")?;
    }
    let drawing = picture(explanation, id, found.first().copied(), &outcome.figures);
    match (&drawing, output) {
        (Some(figure), Some(path)) => {
            let svg = rondure_sheet::figure_svg(figure)
                .map_err(|error| Failure::Asked(error.to_string()))?;
            std::fs::write(path, svg).map_err(|error| {
                Failure::Asked(format!("{} cannot be written: {error}", path.display()))
            })?;
            screen.heading("Drawing")?;
            screen.paragraph(&format!("{}. Written to {}.", figure.title, path.display()))?;
        }
        (Some(figure), None) => {
            screen.heading("Drawing")?;
            screen.paragraph(&format!("{}. {}", figure.title, figure.note))?;
            screen.paragraph(&format!("To see it: --explain {id} -o why.svg"))?;
        }
        (None, Some(_)) => {
            return Err(Failure::Asked(format!("No drawing goes with \"{id}\".")));
        }
        (None, None) => {}
    }
    Ok(Verdict::Sound)
}

/// Where a point of the piece is, in words: from its middle, along its axis and away from it.
fn place(at: Option<[f64; 3]>) -> Option<String> {
    let [x, y, z] = at?;
    let out = x.hypot(y);
    Some(format!(
        "at {out:.1} mm from the piece's axis and {:.1} mm {} its middle (of a finial: its shoulder)",
        z.abs(),
        if z < 0.0 { "below" } else { "above" }
    ))
}

/// Identifiers that begin alike, as a hint.
fn nearest(id: &str) -> String {
    let group = id.split('.').next().unwrap_or(id);
    let alike: Vec<&str> = identifiers()
        .filter(|known| known.split('.').next() == Some(group))
        .take(8)
        .collect();
    if alike.is_empty() {
        String::new()
    } else {
        format!(" There are: {}.", alike.join(", "))
    }
}
