//! Two lists to keep at hand: one page to hang on the lathe's head, and every calliper setting in order.

use super::parts::{BODY, SMALL, heading, text, tick_box};
use super::setup::Shared;
use crate::drawing::{Group, Role, Shape, line};
use crate::flow::{Cell, Flow, Row, columns, height};
use crate::pens::THIN;
use crate::text::{Anchor, Setter, Style};
use kurbo::Point;
use rondure_plan::report::{Measure, Report, SetupReport};

/// Sizes of letters that are tried for the page on the lathe's head, points.
const SIZES: [f64; 7] = [14.0, 13.0, 12.0, 11.0, 10.0, 9.0, 8.0];
/// Numbers of one step on the page for the lathe's head at most.
const MOST: usize = 3;
/// What callipers are called among the tools of a measure.
const CALLIPERS: &str = "callipers";

/// The page for the lathe's head: every set-up on a line or two, in the largest letters that
/// leave it on one page.
pub fn head(flow: &mut Flow<'_>, shared: &Shared<'_>) {
    let title = shared.texts.of("head.title");
    flow.part(title);
    let width = flow.width();
    let mut rows = heading(flow.setter, title, width);
    let says = shared.texts.of("head.says");
    rows.extend(text(flow.setter, "head", says, SMALL, 0.0, width));
    rows.push(Row::space(3.0));
    let room = flow.height() - height(&rows);
    let mut lines = Vec::new();
    for size in SIZES {
        lines = grouped(shared.report)
            .iter()
            .flat_map(|(setups, numbers)| summary(flow.setter, setups, numbers, size, width))
            .collect();
        if height(&lines) <= room {
            break;
        }
    }
    rows.extend(lines);
    flow.block(rows);
}

/// Set-ups with what callipers, bits and stops are set to there; neighbours with the same numbers
/// go together.
fn grouped(report: &Report) -> Vec<(Vec<&SetupReport>, Vec<String>)> {
    let mut groups: Vec<(Vec<&SetupReport>, Vec<String>)> = Vec::new();
    for setup in &report.setups {
        let mut numbers: Vec<String> = Vec::new();
        for step in &setup.steps {
            let own = report.measures_of(&step.id).filter(|measure| {
                let tool = measure.tool.as_str();
                tool.contains(CALLIPERS) || tool.contains("bit") || tool == "depth stop"
            });
            for measure in own.take(MOST) {
                let number = format!("{} {}", measure.label, measure.shown);
                if !numbers.contains(&number) {
                    numbers.push(number);
                }
            }
        }
        match groups.last_mut() {
            Some((setups, same)) if !numbers.is_empty() && *same == numbers => setups.push(setup),
            _ => groups.push((vec![setup], numbers)),
        }
    }
    groups
}

/// Set-ups on the lathe's head: number and title of each, and what is set there.
fn summary(
    setter: &mut Setter,
    setups: &[&SetupReport],
    numbers: &[String],
    size: f64,
    width: f64,
) -> Vec<Row> {
    let indent = 14.0;
    let (large, style) = (Style::bold(size * 1.25), Style::regular(size));
    let mut rows = vec![thin(width)];
    for setup in setups {
        let number = setter.line(&setup.number.to_string(), large);
        let title = setter.paragraph(&setup.title, Style::bold(size), width - indent);
        rows.extend(columns(vec![
            Cell::text(&setup.id, 0.0, large, vec![number]),
            Cell::text(&setup.id, indent, Style::bold(size), title),
        ]));
    }
    if let (Some(first), false) = (setups.first(), numbers.is_empty()) {
        let words = format!("{}.", numbers.join("; "));
        let room = width - indent;
        rows.extend(text(setter, &first.id, &words, style, indent, room));
    }
    rows.push(Row::space(1.5));
    rows
}

fn thin(width: f64) -> Row {
    let across = Shape::stroked(line(Point::new(0.0, 0.5), Point::new(width, 0.5)), THIN);
    Row {
        height: 1.5,
        items: vec![Group::item("rule", Role::Decoration, vec![across])],
    }
}

/// The measures that callipers are set to, in order.
pub fn settings(measures: &[Measure]) -> impl Iterator<Item = &Measure> {
    measures
        .iter()
        .filter(|measure| measure.tool.contains(CALLIPERS))
}

/// Every calliper setting in order.
pub fn list(flow: &mut Flow<'_>, shared: &Shared<'_>) {
    let title = shared.texts.of("settings.title");
    flow.part(title);
    let width = flow.width();
    let mut rows = heading(flow.setter, title, width);
    let says = shared.texts.of("settings.says");
    rows.extend(text(flow.setter, "settings", says, BODY, 0.0, width));
    rows.push(Row::space(3.0));
    flow.block(rows);
    let (values, names) = (width - 34.0, 52.0);
    for setup in &shared.report.setups {
        let own: Vec<&Measure> = settings(&shared.report.measures)
            .filter(|measure| measure.setup == setup.id)
            .collect();
        let mut rows = Vec::new();
        for (place, measure) in own.iter().enumerate() {
            // Where several steps have a number of this name, the step is told.
            let step = setup.steps.iter().position(|step| step.id == measure.step);
            let twin = |other: &&&Measure| other.label == measure.label;
            let label = match step {
                Some(step) if own.iter().filter(twin).count() > 1 => {
                    let step = (step + 1).to_string();
                    let places = [("step", step.as_str()), ("label", &measure.label)];
                    shared.texts.filled("settings.of_step", &places)
                }
                _ => measure.label.clone(),
            };
            let style = Style::bold(14.0);
            let mut cells = vec![
                Cell::text(
                    &measure.id,
                    names,
                    BODY,
                    flow.setter.paragraph(&label, BODY, values - names - 3.0),
                ),
                Cell {
                    anchor: Anchor::End,
                    ..Cell::text(
                        &measure.id,
                        width - 9.0,
                        style,
                        vec![flow.setter.line(&measure.shown, style)],
                    )
                },
            ];
            if place == 0 {
                let name = format!("{}. {}", setup.number, setup.title);
                let bold = Style::bold(11.0);
                let name = flow.setter.paragraph(&name, bold, names - 4.0);
                cells.push(Cell::text(&setup.id, 0.0, bold, name));
            }
            let mut lines = columns(cells);
            if let Some(first) = lines.first_mut() {
                first.items.push(tick_box(width - 6.0, 0.4));
            }
            if place == 0 {
                lines.insert(0, thin(width));
            }
            rows.extend(lines);
            rows.push(Row::space(0.8));
        }
        if !rows.is_empty() {
            flow.block(rows);
        }
    }
}
