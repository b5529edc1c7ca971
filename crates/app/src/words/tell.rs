//! A report told in words: the verdict first, then what to know, then the work in order.

use std::io;

use rondure_plan::report::{Finding, Measure, Report, SetupReport, StepReport, Weight};

use super::Screen;

/// Tells a whole report.
pub fn report(report: &Report, screen: &mut Screen) -> io::Result<()> {
    screen.title(&report.title)?;
    verdict(report, screen)?;
    if !report.findings.is_empty() {
        screen.heading("What to know before cutting")?;
        for found in &report.findings {
            finding(found, screen)?;
        }
    }
    screen.heading("What is left")?;
    for piece in &report.pieces {
        let name = format!("{}, {}", piece.name, piece.wood);
        screen.indented(&name, "", "  ")?;
        screen.indented(&format!("from {}", piece.blank), "  ", "    ")?;
        screen.indented(&piece.solid.says.join("; "), "  ", "    ")?;
    }
    screen.heading("What is needed")?;
    for need in &report.needs {
        screen.pair(&need.what, &need.purpose)?;
    }
    screen.heading("Before you begin")?;
    for caution in &report.cautions {
        screen.indented(caution, "* ", "  ")?;
    }
    for index in 0..report.setups.len() {
        setup(report, index, screen)?;
    }
    Ok(())
}

fn verdict(report: &Report, screen: &mut Screen) -> io::Result<()> {
    let count = |weight: Weight| {
        report
            .findings
            .iter()
            .filter(|finding| finding.weight == weight)
            .count()
    };
    let things = |number: usize| {
        if number == 1 {
            "1 thing".to_owned()
        } else {
            format!("{number} things")
        }
    };
    let (stops, watch) = (count(Weight::Stops), count(Weight::Watch));
    let mut words = match stops {
        0 => "Nothing stops this job.".to_owned(),
        1 => "1 thing stops this job.".to_owned(),
        number => format!("{number} things stop this job."),
    };
    if watch > 0 {
        words.push_str(&format!(" {} to watch.", things(watch)));
    }
    let words = screen.strong(&words);
    screen.line(&words)
}

fn finding(finding: &Finding, screen: &mut Screen) -> io::Result<()> {
    let weight = match finding.weight {
        Weight::Stops => "STOPS",
        Weight::Watch => "WATCH",
        Weight::Note => "note ",
    };
    let place = finding
        .setup
        .as_ref()
        .map_or(String::new(), |setup| format!(", {setup}"));
    screen.line("")?;
    screen.indented(&finding.says, &format!("{weight}  "), "       ")?;
    for mend in &finding.mend {
        let how = match (&mend.key, &mend.write) {
            (Some(key), Some(write)) => format!("{}  [{key} = \"{write}\"]", mend.says),
            _ => mend.says.clone(),
        };
        screen.indented(&how, "       mend: ", "             ")?;
    }
    screen.indented(
        &format!("({}{place}; limit from {})", finding.id, finding.limit_from),
        "       ",
        "       ",
    )
}

/// Tells one set-up.
pub fn setup(report: &Report, index: usize, screen: &mut Screen) -> io::Result<()> {
    let setup = &report.setups[index];
    screen.heading(&format!("{}. {}", setup.number, setup.title))?;
    screen.indented(&setup.holding, "Held: ", "      ")?;
    for found in report
        .findings_of(&setup.id)
        .filter(|found| found.weight != Weight::Note)
    {
        let weight = if found.weight == Weight::Stops {
            "STOPS"
        } else {
            "WATCH"
        };
        screen.indented(&found.says, &format!("{weight}: "), "       ")?;
    }
    for (number, each) in setup.steps.iter().enumerate() {
        step(report, number + 1, each, screen)?;
    }
    cautions(setup, screen)?;
    left(setup, screen)
}

fn step(report: &Report, number: usize, step: &StepReport, screen: &mut Screen) -> io::Result<()> {
    screen.line("")?;
    screen.indented(&step.says, &format!(" {number:>2}  "), "     ")?;
    let mut how = Vec::new();
    how.extend(step.tool.clone());
    how.extend(step.speed_rpm.map(|speed| {
        if speed.from < speed.to {
            format!(
                "{:.0} to {:.0} rpm, begin at the low end",
                speed.from, speed.to
            )
        } else {
            format!("{:.0} rpm", speed.to)
        }
    }));
    if !how.is_empty() {
        screen.indented(&how.join("; "), "     with ", "          ")?;
    }
    let measures: Vec<&Measure> = report.measures_of(&step.id).collect();
    let widest = measures
        .iter()
        .map(|measure| measure.shown.chars().count())
        .max()
        .unwrap_or(0)
        .max(8);
    for measure in measures {
        let room = " ".repeat(widest - measure.shown.chars().count());
        let value = screen.strong(&measure.shown);
        let others = " ".repeat(widest + 9);
        // The value goes before the wrapped words, so that bold marks do not count as width.
        let words = format!("{} ({})", measure.label, measure.tool);
        let options =
            textwrap::Options::new(screen.width().saturating_sub(widest + 9)).break_words(false);
        let lines = textwrap::wrap(&words, options);
        for (index, line) in lines.iter().enumerate() {
            if index == 0 {
                screen.line(&format!("       {room}{value}  {line}"))?;
            } else {
                screen.line(&format!("{others}{line}"))?;
            }
        }
    }
    Ok(())
}

/// Each caution once, however many steps it holds for.
fn cautions(setup: &SetupReport, screen: &mut Screen) -> io::Result<()> {
    let mut told: Vec<&str> = Vec::new();
    for caution in setup.steps.iter().flat_map(|step| &step.cautions) {
        if !told.contains(&caution.as_str()) {
            told.push(caution);
        }
    }
    if !told.is_empty() {
        screen.line("")?;
    }
    for caution in told {
        screen.indented(caution, "  !  ", "     ")?;
    }
    Ok(())
}

fn left(setup: &SetupReport, screen: &mut Screen) -> io::Result<()> {
    let weight = setup
        .after
        .mass_g
        .map_or(String::new(), |grams| format!(", about {grams:.0} g"));
    screen.line("")?;
    screen.indented(
        &format!(
            "{:.1} cm³ of wood{weight}.",
            setup.after.volume_mm3 / 1000.0
        ),
        "Left: ",
        "      ",
    )
}
