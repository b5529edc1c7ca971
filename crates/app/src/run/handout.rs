//! `rondure handout`.

use std::io::Write;

use rondure_sheet::handout::Size;
use rondure_sheet::{HandoutOptions, handout as sheets, pictures};

use crate::cli;
use crate::failure::Failure;
use crate::run::packet::{paper, texts};
use crate::run::{Verdict, worked_out};
use crate::words::Screen;
use crate::{keep, plan_file};

/// Writes the handout as a PDF.
pub fn handout(wanted: &cli::Handout, screen: &mut Screen) -> Result<Verdict, Failure> {
    let texts = texts(wanted.texts.as_deref(), screen)?;
    let mut worked = Vec::new();
    for path in &wanted.plans {
        let plan = plan_file::plan(path)?;
        let outcome = worked_out(&plan)?;
        let drawn = pictures(&plan, &outcome);
        worked.push((outcome, drawn));
    }
    let sizes: Vec<Size<'_>> = worked
        .iter()
        .map(|(outcome, pictures)| Size {
            report: &outcome.report,
            pictures,
        })
        .collect();
    let options = HandoutOptions {
        paper: paper(wanted.paper),
        students: wanted.students,
        texts,
        ..HandoutOptions::default()
    };
    let pdf = sheets(&sizes, &options).map_err(|error| Failure::Asked(format!("{error}.")))?;
    keep::whole(&wanted.output, |to| to.write_all(&pdf))?;
    screen.paragraph(&format!("Wrote {}.", wanted.output.display()))?;
    if worked.iter().any(|(outcome, _)| outcome.report.stops()) {
        screen.paragraph(
            "Something stops one of these jobs as planned; the teacher's sheets say what, and what would mend it.",
        )?;
    }
    Ok(Verdict::Sound)
}
