//! `rondure trial`.

use std::io::{self, IsTerminal, Write};

use rondure_plan::trial::report::TrialReport;
use rondure_plan::trial::{Asked, Hand, NoTrial, trial as try_out};

use crate::cli;
use crate::failure::Failure;
use crate::plan_file;
use crate::run::Verdict;
use crate::words::Screen;

/// Tries a plan out, and tells what came of it.
pub fn trial(wanted: &cli::Trial, screen: &mut Screen) -> Result<Verdict, Failure> {
    let plan = plan_file::plan(&wanted.plan)?;
    let asked = Asked {
        makings: wanted.makings as usize,
        seed: wanted.seed,
        hand: wanted.hand.map(|hand| match hand {
            cli::Hand::Careful => Hand::Careful,
            cli::Hand::Usual => Hand::Usual,
            cli::Hand::FirstTime => Hand::FirstTime,
        }),
    };
    let watched = io::stderr().is_terminal();
    let watch = |done: usize, of: usize| {
        if watched {
            // A progress line that cannot be written is no reason to stop.
            let _ = write!(io::stderr(), "\r{:3} %", 100 * done / of.max(1));
        }
        true
    };
    let report = try_out(&plan, asked, &watch);
    if watched {
        let _ = write!(io::stderr(), "\r     \r");
    }
    let report = report.map_err(|none| match none {
        NoTrial::Problems(problems) => Failure::Problems(problems),
        NoTrial::Undrawable(error) => {
            Failure::Asked(format!("One cut of the plan cannot be drawn: {error}"))
        }
        NoTrial::Stopped => Failure::Asked("The trial was stopped.".to_owned()),
    })?;
    if wanted.json {
        let text =
            serde_json::to_string_pretty(&report).map_err(|error| Failure::Output(error.into()))?;
        screen.line(&text)?;
    } else {
        tell(&plan.title, &report, screen)?;
    }
    Ok(if report.planned.is_empty() {
        Verdict::Sound
    } else {
        Verdict::Stopped
    })
}

fn percent(share: f64) -> String {
    let places = if share < 0.01 { 1 } else { 0 };
    format!("{:.places$} %", 100.0 * share)
}

fn tell(title: &str, report: &TrialReport, screen: &mut Screen) -> io::Result<()> {
    screen.title(&format!("Trial: {title}"))?;
    for says in &report.says {
        screen.paragraph(says)?;
    }
    if !report.faults.is_empty() {
        screen.heading("What goes wrong")?;
        screen.line(&format!("{:>8} {:>8}", "at all", "first"))?;
        for fault in &report.faults {
            let first = if fault.spoils {
                percent(fault.first)
            } else {
                "-".to_owned()
            };
            let only = if fault.spoils {
                ""
            } else {
                " (the piece still comes out)"
            };
            screen.line(&format!(
                "{:>8} {first:>8}  {}{only}",
                percent(fault.share),
                fault.says
            ))?;
        }
    }
    screen.heading("Your accuracies, the one that matters most first")?;
    screen.line(&format!(
        "{:>12} {:>13} {:>12}",
        "within", "if perfect", "for 9 of 10"
    ))?;
    for accuracy in &report.accuracies {
        let gain = if accuracy.gain < 0.0005 {
            "-".to_owned()
        } else {
            format!("{} more", percent(accuracy.gain))
        };
        let needed = accuracy.needed_shown.as_deref().unwrap_or("-");
        screen.line(&format!(
            "{:>12} {gain:>13} {needed:>12}  {}",
            accuracy.shown, accuracy.label
        ))?;
    }
    screen.heading("Changes of the plan")?;
    for change in &report.changes {
        screen.line(&format!(
            "{:>8} would come out: {}",
            percent(change.share),
            change.says
        ))?;
    }
    screen.paragraph("")?;
    screen.paragraph("Figures hold nineteen times of twenty. Those of the three hands are common practice, no source: put your own into the plan's section [trial]. Finials, holding and catches are not judged. Seed and plan alike give the same answer.")?;
    Ok(())
}
