//! The sheet of one set-up: how it is held, then the steps in order.
//!
//! Made to be read at arm's length: instructions 12.5 points, the numbers to
//! set 18 points and bold. Every step has a box to tick. A measure or a finding
//! whose step is not among the set-up's steps still appears, above the steps.

use super::parts::{BODY, BOX, cautions, finding, heading, led, text, tick_box};
use crate::drawing::{Group, Role, Shape, line};
use crate::flow::{Cell, Flow, Row, columns};
use crate::pens::{RULE, THIN};
use crate::text::{Anchor, Setter, Style};
use kurbo::Point;
use rondure_plan::report::{Measure, Report, SetupReport, Speed, StepReport};

/// The number of the set-up, points.
const NUMBER: Style = Style::bold(44.0);
/// Its title, points.
const TITLE: Style = Style::bold(20.0);
/// The numbers to set, points.
pub const VALUE: Style = Style::bold(18.0);
/// Where a step's text begins, mm from the margin: after the box and the number.
const INDENT: f64 = 19.0;
/// The tool that sets a number, points.
const WITH: Style = Style::regular(12.0);
/// Shares of the width at which values, and the tools that set them, begin.
const VALUES: (f64, f64) = (0.5, 0.75);

/// Lays out the set-up on pages of its own.
pub fn setup(flow: &mut Flow<'_>, report: &Report, setup: &SetupReport) {
    flow.part(&format!("Set-up {}: {}", setup.number, setup.title));
    let width = flow.width();
    head(flow, report, setup);

    let mut rows = led(flow.setter, &setup.id, "Held:", &setup.holding, 0.0, width);
    rows.push(Row::space(2.0));
    flow.block(rows);

    let is_step = |id: &Option<String>| {
        id.as_ref()
            .is_some_and(|id| setup.steps.iter().any(|step| step.id == *id))
    };
    for found in report.findings_of(&setup.id) {
        if !is_step(&found.step) {
            let rows = finding(flow.setter, found, None, 0.0, width);
            flow.block(rows);
        }
    }
    let loose: Vec<&Measure> = report
        .measures
        .iter()
        .filter(|measure| measure.setup == setup.id && !is_step(&Some(measure.step.clone())))
        .collect();
    if !loose.is_empty() {
        let mut rows = heading(flow.setter, "For the whole set-up", width);
        rows.extend(measures(flow.setter, &loose, 0.0, width));
        rows.push(Row::space(3.0));
        flow.block(rows);
    }
    let mut end = vec![Row::rule(0.0, width, 4.0)];
    let volume = setup.after.volume_mm3 / 1000.0;
    let words = match setup.after.mass_g {
        Some(mass) => format!("Left after this set-up: {mass:.0} g of wood ({volume:.1} cm³)."),
        None => format!("Left after this set-up: {volume:.1} cm³ of wood."),
    };
    end.extend(text(flow.setter, &setup.id, &words, BODY, 0.0, width));
    let mut said: Vec<String> = Vec::new();
    for (index, step) in setup.steps.iter().enumerate() {
        // A caution stands at the first step it holds for; ten times over nobody reads it.
        let fresh: Vec<String> = step
            .cautions
            .iter()
            .filter(|caution| !said.contains(caution))
            .cloned()
            .collect();
        let mut rows = step_rows(flow.setter, report, step, &fresh, index + 1, width);
        said.extend(fresh);
        if index + 1 == setup.steps.len() {
            rows.append(&mut end);
        }
        flow.block(rows);
    }
    if !end.is_empty() {
        flow.block(end);
    }
}

/// The number and the title, with the piece's name.
fn head(flow: &mut Flow<'_>, report: &Report, setup: &SetupReport) {
    let number = flow.setter.line(&setup.number.to_string(), NUMBER);
    let x = (number.width + 6.0).max(19.0);
    let room = flow.width() - x;
    let piece = report
        .pieces
        .iter()
        .find(|piece| piece.id == setup.piece)
        .map_or(setup.piece.as_str(), |piece| piece.name.as_str());
    let piece = format!(
        "Set-up {} of {}: {piece}",
        setup.number,
        report.setups.len()
    );
    let mut rows = text(flow.setter, &setup.id, &piece, BODY, x, room);
    let lines = flow.setter.paragraph(&setup.title, TITLE, room);
    rows.extend(columns(vec![Cell {
        role: Role::Heading(1),
        ..Cell::text(&setup.id, x, TITLE, lines)
    }]));
    let numeral = number.placed(Point::new(0.0, 13.0), Anchor::Start);
    if let Some(first) = rows.first_mut() {
        first
            .items
            .push(Group::item("number", Role::Decoration, vec![numeral]));
    }
    let height: f64 = rows.iter().map(|row| row.height).sum();
    rows.push(Row::space((15.0 - height).max(0.0)));
    rows.push(Row::rule(0.0, flow.width(), 5.0));
    flow.block(rows);
}

fn step_rows(
    setter: &mut Setter,
    report: &Report,
    step: &StepReport,
    warned: &[String],
    number: usize,
    width: f64,
) -> Vec<Row> {
    let room = width - INDENT;
    let numeral = Style::bold(16.0);
    let number = setter.line(&number.to_string(), numeral);
    let says = setter.paragraph(&step.says, BODY, room);
    let mut rows = vec![Row::space(2.0)];
    rows.extend(columns(vec![
        Cell::text(&step.id, BOX + 3.0, numeral, vec![number]),
        Cell::text(&step.id, INDENT, BODY, says),
    ]));
    if let Some(first) = rows.get_mut(1) {
        first.items.insert(0, tick_box(0.0, 0.5));
    }
    if let Some(row) = tool_row(setter, step, room) {
        rows.extend(row);
    }
    rows.push(Row::space(1.5));
    // The caution is read before the cut is set.
    rows.extend(cautions(setter, &step.id, warned, INDENT, room));
    if !warned.is_empty() {
        rows.push(Row::space(1.5));
    }
    let own: Vec<&Measure> = report.measures_of(&step.id).collect();
    rows.extend(measures(setter, &own, INDENT, width));
    let found = report
        .findings
        .iter()
        .filter(|found| found.step.as_deref() == Some(&step.id));
    for found in found {
        rows.push(Row::space(1.5));
        rows.extend(finding(setter, found, None, INDENT, room));
    }
    rows.push(Row::space(1.0));
    rows
}

/// The tool and the speed, side by side where both fit.
fn tool_row(setter: &mut Setter, step: &StepReport, room: f64) -> Option<Vec<Row>> {
    let tool = step.tool.as_deref().map(|tool| ("Tool:", tool.to_owned()));
    let speed = step.speed_rpm.map(|speed| ("Speed:", speed_words(speed)));
    let parts: Vec<(&str, String)> = tool.into_iter().chain(speed).collect();
    if parts.is_empty() {
        return None;
    }
    let mut cells = Vec::new();
    let share = room / 2.0;
    for (index, (lead, words)) in parts.iter().enumerate() {
        let width = if parts.len() == 1 { room } else { share - 3.0 };
        let lines = setter.led(lead, words, BODY, width);
        let x = INDENT + share * index as f64;
        cells.push(Cell::text(&step.id, x, BODY, lines));
    }
    Some(columns(cells))
}

fn speed_words(speed: Speed) -> String {
    if (speed.to - speed.from).abs() < 0.5 {
        format!("{:.0} rpm", speed.from)
    } else {
        format!("{:.0} to {:.0} rpm", speed.from, speed.to)
    }
}

/// A table of numbers to set: what, the value large, and the tool that sets it.
pub fn measures(setter: &mut Setter, measures: &[&Measure], x: f64, width: f64) -> Vec<Row> {
    let (values, tools) = (width * VALUES.0, width * VALUES.1);
    let mut rows = Vec::new();
    for measure in measures {
        let label = setter.paragraph(&measure.label, BODY, values - x - 4.0);
        let value = setter.paragraph(&measure.shown, VALUE, tools - values - 2.0);
        let tool = setter.paragraph(&measure.tool, WITH, width - tools);
        let top = Row {
            height: 1.0,
            items: vec![Group::item(
                "rule",
                Role::Decoration,
                vec![Shape::stroked(
                    line(Point::new(x, 0.5), Point::new(width, 0.5)),
                    THIN,
                )],
            )],
        };
        rows.push(top);
        rows.extend(columns(vec![
            Cell::text(&measure.id, x, BODY, label),
            Cell::text(&measure.id, values, VALUE, value),
            Cell::text(&measure.id, tools, WITH, tool),
        ]));
        rows.push(Row::space(0.8));
    }
    if !measures.is_empty() {
        let last = Shape::stroked(line(Point::new(x, 0.5), Point::new(width, 0.5)), RULE);
        rows.push(Row {
            height: 2.0,
            items: vec![Group::item("rule", Role::Decoration, vec![last])],
        });
    }
    rows
}
