//! `rondure template`.

use std::io::Write;

use rondure_plan::Outcome;
use rondure_plan::units::LengthUnit;
use rondure_sheet::{
    CheckPrint, Paper, TemplateFormat, TemplateOptions, template as drawn, template_names,
};

use crate::cli;
use crate::failure::Failure;
use crate::run::{Verdict, length, worked_out};
use crate::words::Screen;
use crate::{keep, plan_file};

/// Writes one template, or lists those of a plan.
pub fn template(wanted: &cli::Template, screen: &mut Screen) -> Result<Verdict, Failure> {
    let check_print = check_print(wanted.check_print.as_deref())?;
    let (Some(name), Some(output)) = (&wanted.name, &wanted.output) else {
        let outcome = worked_out(&plan_file::plan(&wanted.plan)?)?;
        return list(&outcome, screen);
    };
    let Some(format) = TemplateFormat::of(output) else {
        return Err(Failure::Asked(format!(
            "{} does not end in {}: the ending says which kind of file to write.",
            output.display(),
            TemplateFormat::ALL
                .map(|format| format!(".{}", format.ending()))
                .join(" or ")
        )));
    };
    let outcome = worked_out(&plan_file::plan(&wanted.plan)?)?;
    let options = TemplateOptions {
        paper: wanted.paper.into(),
        check_print,
    };
    let bytes = drawn(&outcome, name, format, &options)
        .map_err(|error| Failure::Asked(error.to_string()))?;
    keep::whole(output, |to| to.write_all(&bytes))?;
    screen.paragraph(&format!("Wrote {}.", output.display()))?;
    let says = match format {
        TemplateFormat::Pdf => how_to_print(check_print),
        TemplateFormat::Svg | TemplateFormat::Dxf => {
            "One unit of the drawing is 1 mm. Measure its check ruler after cutting or printing."
                .to_owned()
        }
    };
    screen.paragraph(&says)?;
    Ok(Verdict::Sound)
}

fn list(outcome: &Outcome, screen: &mut Screen) -> Result<Verdict, Failure> {
    let names = template_names(outcome);
    let widest = names
        .iter()
        .map(|each| each.name.chars().count())
        .max()
        .unwrap_or(0);
    for each in names {
        screen.line(&format!("{:widest$}  {}", each.name, each.title))?;
    }
    Ok(Verdict::Sound)
}

/// The correction that is asked for on the command line.
pub fn check_print(written: Option<&str>) -> Result<CheckPrint, Failure> {
    let Some(written) = written else {
        return Ok(CheckPrint::default());
    };
    let measured = length("--check-print", written, LengthUnit::Millimetre)?;
    CheckPrint::new(measured).map_err(|error| Failure::Asked(format!("--check-print: {error}.")))
}

/// What to do with a printed sheet before it is used.
pub fn how_to_print(check: CheckPrint) -> String {
    check.words(&rondure_sheet::Texts::default()).map_or_else(
        || "Print it at 100 % (actual size) and measure the check ruler before you trust a template.".to_owned(),
        |corrected| format!("{corrected} Measure the check ruler again before you trust a template."),
    )
}

impl From<cli::Paper> for Paper {
    fn from(paper: cli::Paper) -> Self {
        match paper {
            cli::Paper::A4 => Self::A4,
            cli::Paper::Letter => Self::Letter,
        }
    }
}
