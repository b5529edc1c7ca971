//! `rondure packet`.

use std::io::Write;

use rondure_sheet::{PacketOptions, Paper, packet as sheets};

use crate::cli;
use crate::failure::Failure;
use crate::run::{Verdict, worked_out};
use crate::words::Screen;
use crate::{keep, plan_file};

/// Writes the packet as a PDF.
pub fn packet(wanted: &cli::Packet, screen: &mut Screen) -> Result<Verdict, Failure> {
    let plan = plan_file::plan(&wanted.plan)?;
    let outcome = worked_out(&plan)?;
    let paper = match wanted.paper {
        cli::Paper::A4 => Paper::A4,
        cli::Paper::Letter => Paper::Letter,
    };
    let options = PacketOptions {
        paper,
        ..PacketOptions::default()
    };
    let pdf = sheets(&outcome.report, &outcome.figures, &options)
        .map_err(|error| Failure::Asked(error.to_string()))?;
    keep::whole(&wanted.output, |to| to.write_all(&pdf))?;
    screen.paragraph(&format!("Wrote {}.", wanted.output.display()))?;
    screen.paragraph(
        "Print it at 100 % (actual size) and measure the check ruler before you trust a template.",
    )?;
    if outcome.report.stops() {
        screen.paragraph("Something stops this job as planned; the first sheet says what, and what would mend it.")?;
    }
    // Whether the job is sound is for the report to say; the file was written.
    Ok(Verdict::Sound)
}
