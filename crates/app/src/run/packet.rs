//! `rondure packet`.

use std::io::Write;
use std::path::Path;

use rondure_sheet::{PacketOptions, Paper, Texts, packet as sheets, pictures};

use crate::cli;
use crate::failure::Failure;
use crate::run::template::{check_print, how_to_print};
use crate::run::{Verdict, held, worked_out};
use crate::words::Screen;
use crate::{keep, plan_file};

/// Writes the packet as a PDF.
pub fn packet(wanted: &cli::Packet, screen: &mut Screen) -> Result<Verdict, Failure> {
    if let Some(file) = &wanted.write_texts {
        keep::whole(file, |to| to.write_all(Texts::file().as_bytes()))?;
        screen.paragraph(&format!(
            "Wrote {0}. Change its words and times, and give it with --texts {0} to rondure packet or rondure handout.",
            file.display()
        ))?;
        return Ok(Verdict::Sound);
    }
    let (Some(plan), Some(output)) = (&wanted.plan, &wanted.output) else {
        return Err(Failure::Asked(
            "A packet needs a plan and a file to write: rondure packet my.toml -o my.pdf."
                .to_owned(),
        ));
    };
    let texts = texts(wanted.texts.as_deref(), screen)?;
    let check_print = check_print(wanted.check_print.as_deref())?;
    let plan = plan_file::plan(plan)?;
    let mut outcome = worked_out(&plan)?;
    let held = if wanted.stress {
        Some(held(&plan, &mut outcome)?)
    } else {
        None
    };
    let options = PacketOptions {
        paper: paper(wanted.paper),
        check_print,
        pictures: pictures(&plan, &outcome),
        texts,
        held,
        ..PacketOptions::default()
    };
    let pdf = sheets(&outcome.report, &outcome.figures, &options)
        .map_err(|error| Failure::Asked(error.to_string()))?;
    keep::whole(output, |to| to.write_all(&pdf))?;
    screen.paragraph(&format!("Wrote {}.", output.display()))?;
    screen.paragraph(&how_to_print(check_print))?;
    if outcome.report.stops() {
        screen.paragraph("Something stops this job as planned; the first sheet says what, and what would mend it.")?;
    }
    // Whether the job is sound is for the report to say; the file was written.
    Ok(Verdict::Sound)
}

/// The words for sheets: the built-in ones, or those of a file over them.
pub fn texts(file: Option<&Path>, screen: &mut Screen) -> Result<Texts, Failure> {
    let Some(file) = file else {
        return Ok(Texts::default());
    };
    let text = plan_file::text(file)?;
    let read = Texts::read(&text, &plan_file::name(file)).map_err(Failure::Problems)?;
    if let Some(first) = read.left_out.first() {
        screen.paragraph(&format!(
            "{} texts are not in {} and stay as built in, from {first} on.",
            read.left_out.len(),
            file.display()
        ))?;
    }
    Ok(read.texts)
}

/// The paper of the command line.
pub fn paper(named: cli::Paper) -> Paper {
    match named {
        cli::Paper::A4 => Paper::A4,
        cli::Paper::Letter => Paper::Letter,
    }
}
