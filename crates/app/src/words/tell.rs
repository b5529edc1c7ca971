//! A report told in words: the verdict first, then what to know, then the work in order.

use std::io;

use rondure_plan::report::{Finding, Measure, Report, SetupReport, StepReport, Weight};
use rondure_plan::units::MILLIMETRES_PER_INCH;

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
        screen.paragraph("")?;
        screen.paragraph("Why, with a drawing: rondure report PLAN --explain with the name in brackets. The same for any number to set, by its name in docs/measures.md.")?;
    }
    screen.heading("What is left")?;
    for piece in &report.pieces {
        let name = format!("{}, {}", piece.name, piece.wood);
        screen.indented(&name, "", "  ")?;
        screen.indented(&format!("from {}", piece.blank), "  ", "    ")?;
        screen.indented(&piece.solid.says.join("; "), "  ", "    ")?;
    }
    screen.heading("What is needed, in the order of the work")?;
    for (purpose, what) in by_purpose(report) {
        screen.pair(purpose, &what)?;
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

/// Tells how a plan fares: the verdict, and what stops it or is to be watched.
pub fn in_short(report: &Report, screen: &mut Screen) -> io::Result<()> {
    verdict(report, screen)?;
    for found in &report.findings {
        let weight = match found.weight {
            Weight::Stops => "STOPS  ",
            Weight::Watch => "WATCH  ",
            Weight::Note => continue,
        };
        screen.indented(&found.says, weight, "       ")?;
    }
    for piece in &report.pieces {
        let words = format!("{}: {}", piece.name, piece.solid.says.join("; "));
        screen.indented(&words, "", "  ")?;
    }
    Ok(())
}

/// The needs of one purpose together, in the order they are first asked for.
fn by_purpose(report: &Report) -> Vec<(&str, String)> {
    let mut groups: Vec<(&str, String)> = Vec::new();
    for need in &report.needs {
        match groups
            .iter_mut()
            .find(|(purpose, _)| *purpose == need.purpose)
        {
            Some((_, what)) => {
                what.push_str(", ");
                what.push_str(&need.what);
            }
            None => groups.push((&need.purpose, need.what.clone())),
        }
    }
    groups
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
    screen.line("")?;
    screen.indented(&finding.says, &format!("{weight}  "), "       ")?;
    for mend in &finding.mend {
        let how = match (&mend.key, &mend.write) {
            (Some(key), Some(write)) => format!("{}  [{key} = {}]", mend.says, in_plan(write)),
            _ => mend.says.clone(),
        };
        screen.indented(&how, "       mend: ", "             ")?;
    }
    let mut about = vec![finding.id.to_owned()];
    about.extend(
        finding
            .setup
            .as_ref()
            .map(|setup| format!("set-up {setup}")),
    );
    about.push(if finding.limit_from.starts_with("see ") {
        finding.limit_from.clone()
    } else {
        format!("limit from {}", finding.limit_from)
    });
    screen.indented(&format!("({})", about.join("; ")), "       ", "       ")
}

/// A value as the plan file takes it: numbers bare, all else in quotes.
fn in_plan(write: &str) -> String {
    if write.parse::<f64>().is_ok() {
        write.to_owned()
    } else {
        format!("\"{write}\"")
    }
}

/// Tells one set-up.
pub fn setup(report: &Report, index: usize, screen: &mut Screen) -> io::Result<()> {
    let setup = &report.setups[index];
    screen.heading(&format!(
        "{}. {}  [{}]",
        setup.number, setup.title, setup.id
    ))?;
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
    let columns = Columns::of(report, &setup.id, screen.width());
    for (number, each) in setup.steps.iter().enumerate() {
        step(report, number + 1, each, &columns, screen)?;
    }
    cautions(setup, screen)?;
    let before = report.setups[..index]
        .iter()
        .rev()
        .find(|other| other.piece == setup.piece);
    // Where nothing was taken off there is nothing new to say.
    if before.is_none_or(|before| before.after != setup.after) {
        left(report, setup, screen)?;
    }
    Ok(())
}

/// Room before the values of a step's measures, characters.
const INDENT: usize = 7;
/// Room between columns, characters.
const GAP: usize = 2;
/// Widest column of tools, characters; longer names are wrapped.
const WIDEST_TOOL: usize = 24;
/// Narrowest column of labels that still reads, characters; below it the tool follows the label.
const NARROWEST_LABEL: usize = 30;

/// The columns in which the measures of one set-up stand: value, what it is, tool.
#[derive(Debug)]
struct Columns {
    value: usize,
    label: usize,
    /// None where the tool follows the label.
    tool: Option<usize>,
}

impl Columns {
    fn of(report: &Report, setup: &str, width: usize) -> Self {
        let widest = |field: fn(&Measure) -> &str| {
            report
                .measures
                .iter()
                .filter(|measure| measure.setup == setup)
                .map(|measure| field(measure).chars().count())
                .max()
                .unwrap_or(0)
        };
        let value = widest(|measure| &measure.shown).max(8);
        let tool = widest(|measure| &measure.tool).min(WIDEST_TOOL);
        let room = width.saturating_sub(INDENT + value + GAP);
        let label = room.saturating_sub(GAP + tool);
        if label >= NARROWEST_LABEL {
            Self {
                value,
                label,
                tool: Some(tool),
            }
        } else {
            Self {
                value,
                label: room.max(10),
                tool: None,
            }
        }
    }
}

fn step(
    report: &Report,
    number: usize,
    step: &StepReport,
    columns: &Columns,
    screen: &mut Screen,
) -> io::Result<()> {
    screen.line("")?;
    screen.indented(&step.says, &format!(" {number:>2}  "), "     ")?;
    let mut how = Vec::new();
    how.extend(step.tool.as_ref().map(|tool| format!("with {tool}")));
    how.extend(step.speed_rpm.map(|speed| {
        if speed.from < speed.to {
            format!("{:.0} to {:.0} rpm", speed.from, speed.to)
        } else {
            format!("{:.0} rpm", speed.to)
        }
    }));
    if !how.is_empty() {
        screen.indented(&how.join("; "), "     ", "     ")?;
    }
    report
        .measures_of(&step.id)
        .try_for_each(|each| measure(each, columns, screen))
}

fn measure(measure: &Measure, columns: &Columns, screen: &mut Screen) -> io::Result<()> {
    let wrap = |words: &str, width: usize| -> Vec<String> {
        let options = textwrap::Options::new(width).break_words(false);
        let lines = textwrap::wrap(words, options);
        lines.into_iter().map(|line| line.into_owned()).collect()
    };
    let (labels, tools) = match columns.tool {
        Some(tool) => (
            wrap(&measure.label, columns.label),
            wrap(&measure.tool, tool),
        ),
        None => (
            wrap(
                &format!("{} ({})", measure.label, measure.tool),
                columns.label,
            ),
            Vec::new(),
        ),
    };
    for index in 0..labels.len().max(tools.len()) {
        // The room is set beside the value, so that bold marks do not count as width.
        let shown = if index == 0 {
            measure.shown.as_str()
        } else {
            ""
        };
        let room = " ".repeat(INDENT + columns.value.saturating_sub(shown.chars().count()));
        let value = if shown.is_empty() {
            String::new()
        } else {
            screen.strong(shown)
        };
        let label = labels.get(index).map_or("", String::as_str);
        let tool = tools.get(index).map_or("", String::as_str);
        let words = format!("{label:<width$}  {tool}", width = columns.label);
        screen.line(format!("{room}{value}  {words}").trim_end())?;
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

fn left(report: &Report, setup: &SetupReport, screen: &mut Screen) -> io::Result<()> {
    let volume = setup.after.volume_mm3;
    let wood = if report.units == "in" {
        format!("{:.2} in³", volume / MILLIMETRES_PER_INCH.powi(3))
    } else {
        format!("{:.1} cm³", volume / 1000.0)
    };
    let weight = setup
        .after
        .mass_g
        .map_or(String::new(), |grams| format!(", about {grams:.0} g"));
    screen.line("")?;
    screen.indented(&format!("{wood} of wood{weight}."), "Left: ", "      ")
}
