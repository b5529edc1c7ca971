//! Five whole plans, told as a turner reads them, against what was read line by line before.
//!
//! Each snapshot holds findings, steps and numbers in their order. After a wanted change look at what
//! differs, read it as a turner would, and renew it with `INSTA_UPDATE=always`.

use std::fmt::Write;

use rondure_plan::evaluate;
use rondure_plan::plan::Plan;
use rondure_plan::report::Report;

fn told(text: &str) -> String {
    let plan = Plan::read(text, "plan.toml", &|_| Err("no files here".to_owned()))
        .unwrap_or_else(|wrong| panic!("{wrong}"));
    let report = evaluate(&plan)
        .unwrap_or_else(|wrong| panic!("{wrong}"))
        .report;
    in_words(&report)
}

fn in_words(report: &Report) -> String {
    let mut out = String::new();
    let mut line = |text: String| {
        // A string takes all that is written.
        let _ = writeln!(out, "{}", text.trim_end());
    };
    line(report.title.clone());
    for finding in &report.findings {
        line(format!(
            "{:?} {} [{}]: {}",
            finding.weight,
            finding.id,
            finding
                .step
                .as_deref()
                .or(finding.setup.as_deref())
                .unwrap_or("whole"),
            finding.says
        ));
        for mend in &finding.mend {
            let change = mend.key.as_ref().zip(mend.write.as_ref());
            let change =
                change.map_or_else(String::new, |(key, write)| format!(" ({key} = {write})"));
            line(format!("    mend: {}{change}", mend.says));
        }
    }
    for piece in &report.pieces {
        line(format!(
            "{}: {} | {}",
            piece.name,
            piece.blank,
            piece.solid.says.join("; ")
        ));
    }
    for need in &report.needs {
        line(format!("need: {} ({})", need.what, need.purpose));
    }
    for setup in &report.setups {
        line(String::new());
        line(format!(
            "{}. {} [{}] {}",
            setup.number, setup.title, setup.id, setup.holding
        ));
        for step in &setup.steps {
            let speed = step.speed_rpm.map_or_else(String::new, |speed| {
                format!(" | {} to {} rpm", speed.from, speed.to)
            });
            let tool = step
                .tool
                .as_deref()
                .map_or_else(String::new, |tool| format!(" | {tool}"));
            line(format!("  {}: {}{tool}{speed}", step.id, step.says));
            for measure in report.measures_of(&step.id) {
                line(format!(
                    "      {} {} ({})",
                    measure.shown, measure.label, measure.tool
                ));
            }
        }
    }
    out
}

#[test]
fn the_middle_lavender_ball() {
    insta::assert_snapshot!(told(include_str!(
        "../../../examples/lavender-ball-60.toml"
    )));
}

#[test]
fn the_large_lavender_ball_as_first_sketched() {
    insta::assert_snapshot!(told(include_str!(
        "../../../examples/lavender-ball-84.toml"
    )));
}

#[test]
fn the_small_ornament_in_inches() {
    insta::assert_snapshot!(told(include_str!(
        "../../../examples/ornament-1-7-8-in.toml"
    )));
}

#[test]
fn a_green_log_with_its_pith() {
    insta::assert_snapshot!(told(include_str!("plans/green-log.toml")));
}

#[test]
fn six_marks_and_no_holes() {
    insta::assert_snapshot!(told(include_str!("plans/six-marks.toml")));
}
