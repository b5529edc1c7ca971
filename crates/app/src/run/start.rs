//! `rondure` alone, and `rondure new`.

use rondure_plan::form::coved_ball::template::{Wish, plan_text};
use rondure_plan::plan::Plan;
use rondure_plan::units::LengthUnit;

use crate::cli;
use crate::failure::Failure;
use crate::run::{Verdict, length, worked_out};
use crate::words::{Screen, tell};

const DEMO: &str = include_str!("../../../../examples/lavender-ball-60.toml");

/// Runs the demo plan and says what to do next.
pub fn demo(screen: &mut Screen) -> Result<Verdict, Failure> {
    let no_files = |path: &str| Err(format!("the demo names no file, yet asks for {path}"));
    let plan = Plan::read(DEMO, "the demo plan", &no_files).map_err(Failure::Problems)?;
    let report = worked_out(&plan)?.report;
    tell::report(&report, screen)?;
    screen.heading("What to do next")?;
    screen.paragraph("This was the demo, examples/lavender-ball-60.toml: a ball of 60 mm for dried lavender, from an order of a small museum shop. For your own:")?;
    for (command, does) in [
        (
            "rondure new \"coved ball\" --diameter 60mm > my.toml",
            "write a plan of your size; change it with any text editor",
        ),
        (
            "rondure report my.toml",
            "see every number, and what stops the job",
        ),
        (
            "rondure packet my.toml -o my.pdf",
            "print the sheets and templates for the bench",
        ),
        (
            "rondure rack --toml > my-rack.toml",
            "write down your own jaws, bits and lathe, and name the file in the plan",
        ),
        ("rondure --help", "everything else"),
    ] {
        screen.pair(command, does)?;
    }
    Ok(if report.stops() {
        Verdict::Stopped
    } else {
        Verdict::Sound
    })
}

/// Writes a new plan.
pub fn new(wanted: &cli::New, screen: &mut Screen) -> Result<Verdict, Failure> {
    if wanted.form != "coved ball" {
        return Err(Failure::Asked(format!(
            "There is no form \"{}\". There is: \"coved ball\".",
            wanted.form
        )));
    }
    let asked = wanted.units.map(|units| match units {
        cli::Units::Mm => LengthUnit::Millimetre,
        cli::Units::In => LengthUnit::Inch,
    });
    let diameter_mm = length(
        "--diameter",
        &wanted.diameter,
        asked.unwrap_or(LengthUnit::Millimetre),
    )?;
    let unit = asked.unwrap_or(if is_in_inches(&wanted.diameter) {
        LengthUnit::Inch
    } else {
        LengthUnit::Millimetre
    });
    let wood =
        rondure_wood::find(&wanted.wood).map_err(|error| Failure::Asked(error.to_string()))?;
    let wish = Wish {
        diameter_mm,
        marks: wanted.marks,
        wood: wood.name.clone(),
        unit,
        title: None,
    };
    let text = plan_text(&wish).map_err(|error| Failure::Asked(error.to_string()))?;
    screen.text(&text)?;
    Ok(Verdict::Sound)
}

/// Whether a length that can be read was written in inches. A fraction alone was not: it is of the
/// unit that is asked for.
fn is_in_inches(written: &str) -> bool {
    written.contains("in") || written.contains(['"', '″', '”'])
}
