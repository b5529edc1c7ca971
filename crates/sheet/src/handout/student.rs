//! A student's sheet of a set-up: the picture, the steps with their reasons, few numbers, room to write.

use super::Class;
use super::front::{lines_to_write, side_by_side};
use crate::drawing::Role;
use crate::flow::{Cell, Flow, Row, columns};
use crate::packet::parts::{BODY, BOX, cautions, heading, led, text, tick_box};
use crate::packet::setup::drawings;
use crate::text::Style;
use rondure_plan::report::{Measure, Report, SetupReport, StepReport};

/// Numbers of a step that a student's sheet shows at most.
const MOST: usize = 2;
/// Height of the drawings, mm.
const DRAWING: f64 = 52.0;
/// Where the columns of numbers begin, as a share of the width.
const COLUMNS: f64 = 0.42;
/// Where a step's text begins, mm.
const INDENT: f64 = 18.0;

/// The sheet of one set-up.
pub(super) fn sheet(flow: &mut Flow<'_>, class: &Class<'_>, setup: &SetupReport) {
    begin(flow, class, setup);
    let texts = class.texts;
    let width = flow.width();
    if let Some(pictures) = class.first().pictures.of(&setup.id) {
        let row = drawings(flow, pictures, texts.of("setup.afterwards"), DRAWING);
        flow.block(row);
    }
    let mut said: Vec<String> = Vec::new();
    for (place, step) in setup.steps.iter().enumerate() {
        let fresh: Vec<String> = step
            .cautions
            .iter()
            .filter(|caution| !said.contains(caution))
            .cloned()
            .collect();
        let rows = step_rows(flow, class, step, place + 1, &fresh);
        said.extend(fresh);
        flow.block(rows);
    }
    let mut rows = vec![Row::space(2.0)];
    if let Some(see) = texts.about("see", &setup.id) {
        rows.extend(led(
            flow.setter,
            &setup.id,
            texts.of("handout.see"),
            see,
            0.0,
            width,
        ));
        rows.push(Row::space(2.0));
    }
    flow.block(rows);
    room_to_write(flow, class, setup);
}

/// The number, the title, and how it is held.
fn begin(flow: &mut Flow<'_>, class: &Class<'_>, setup: &SetupReport) {
    let texts = class.texts;
    let (number, count) = (
        setup.number.to_string(),
        class.first().report.setups.len().to_string(),
    );
    let places = [("number", number.as_str()), ("title", &setup.title)];
    flow.part(&texts.filled("setup.carried", &places));
    let width = flow.width();
    let over = texts.filled("handout.setup", &[("number", &number), ("count", &count)]);
    let mut rows = text(flow.setter, &setup.id, &over, BODY, 0.0, width);
    let style = Style::bold(20.0);
    let lines = flow.setter.paragraph(&setup.title, style, width);
    rows.extend(columns(vec![Cell {
        role: Role::Heading(1),
        ..Cell::text(&setup.id, 0.0, style, lines)
    }]));
    rows.push(Row::rule(0.0, width, 5.0));
    rows.extend(led(
        flow.setter,
        &setup.id,
        texts.of("setup.held"),
        &setup.holding,
        0.0,
        width,
    ));
    rows.push(Row::space(3.0));
    flow.block(rows);
}

fn step_rows(
    flow: &mut Flow<'_>,
    class: &Class<'_>,
    step: &StepReport,
    number: usize,
    warned: &[String],
) -> Vec<Row> {
    let width = flow.width();
    let texts = class.texts;
    let style = Style::bold(15.0);
    let number = flow.setter.line(&number.to_string(), style);
    let says = flow.setter.paragraph(&step.says, BODY, width - INDENT);
    let mut rows = columns(vec![
        Cell::text(&step.id, BOX + 3.0, style, vec![number]),
        Cell::text(&step.id, INDENT, BODY, says),
    ]);
    if let Some(first) = rows.first_mut() {
        first.items.insert(0, tick_box(0.0, 0.3));
    }
    if let Some(why) = texts.about("why", &step.id) {
        let lead = texts.of("handout.why");
        rows.extend(led(
            flow.setter,
            &step.id,
            lead,
            why,
            INDENT,
            width - INDENT,
        ));
    }
    rows.push(Row::space(1.0));
    rows.extend(cautions(
        flow.setter,
        texts,
        &step.id,
        warned,
        INDENT,
        width - INDENT,
    ));
    for measure in chosen(class.first().report, &step.id) {
        rows.extend(numbers(flow, class, measure));
    }
    rows.push(Row::space(3.0));
    rows
}

/// The numbers of a step that matter most: the first, and the first that callipers are set to.
fn chosen<'a>(report: &'a Report, step: &'a str) -> Vec<&'a Measure> {
    let own: Vec<&Measure> = report
        .measures_of(step)
        .filter(|measure| measure.unit != "share")
        .collect();
    let callipers = own
        .iter()
        .position(|measure| measure.tool.contains("callipers"));
    let mut chosen: Vec<usize> = [Some(0), callipers].into_iter().flatten().collect();
    chosen.extend(1..own.len());
    let mut kept: Vec<usize> = Vec::new();
    for place in chosen {
        if kept.len() < MOST && !kept.contains(&place) {
            kept.push(place);
        }
    }
    kept.sort_unstable();
    kept.into_iter()
        .filter_map(|place| own.get(place).copied())
        .collect()
}

/// A number in all sizes.
fn numbers(flow: &mut Flow<'_>, class: &Class<'_>, measure: &Measure) -> Vec<Row> {
    let width = flow.width();
    let shown: Vec<String> = class
        .sizes
        .iter()
        .map(|size| {
            let all = &size.report.measures;
            all.iter()
                .find(|other| other.id == measure.id)
                .map_or_else(|| "–".to_owned(), |other| other.shown.clone())
        })
        .collect();
    side_by_side(
        flow.setter,
        (&measure.label, Style::bold(15.0)),
        &shown,
        width * COLUMNS,
        width,
    )
}

/// The set-ups that repeat the one before, on one sheet: what differs from it, and boxes to tick.
pub(super) fn again(flow: &mut Flow<'_>, class: &Class<'_>, setups: &[&SetupReport]) {
    let Some(first) = setups.first() else {
        return;
    };
    begin(flow, class, first);
    let report = class.first().report;
    let before = report
        .setups
        .iter()
        .position(|setup| setup.id == first.id)
        .and_then(|place| report.setups.get(place.wrapping_sub(1)));
    for setup in setups {
        let width = flow.width();
        let mut rows = heading(
            flow.setter,
            &format!("{}. {}", setup.number, setup.title),
            width,
        );
        for (place, step) in setup.steps.iter().enumerate() {
            let twin = before.and_then(|before| before.steps.get(place));
            let new = twin.is_none_or(|twin| twin.says != step.says);
            let mut numbers_of_step = Vec::new();
            for measure in chosen(report, &step.id) {
                let same = twin.is_some_and(|twin| {
                    report
                        .measures_of(&twin.id)
                        .any(|other| other.label == measure.label && other.shown == measure.shown)
                });
                if !same {
                    numbers_of_step.extend(numbers(flow, class, measure));
                }
            }
            if !new && numbers_of_step.is_empty() {
                continue;
            }
            let says = flow.setter.paragraph(&step.says, BODY, width - INDENT);
            let mut lines = columns(vec![Cell::text(&step.id, BOX + 4.0, BODY, says)]);
            if let Some(first) = lines.first_mut() {
                first.items.insert(0, tick_box(0.0, 0.0));
            }
            rows.extend(lines);
            rows.extend(numbers_of_step);
            rows.push(Row::space(2.0));
        }
        flow.block(rows);
    }
    room_to_write(flow, class, first);
}

/// Lines to write on, as many as the page has room for, but some.
fn room_to_write(flow: &mut Flow<'_>, class: &Class<'_>, setup: &SetupReport) {
    let width = flow.width();
    let texts = class.texts;
    let words = [texts.of("handout.mine"), texts.of("handout.learned")];
    let each = 7.0;
    let left = flow.left() - 2.0 * each;
    let fits = (left / 9.0 / 2.0).floor();
    let count = if fits >= 2.0 { fits.min(5.0) as usize } else { 3 };
    let mut rows = Vec::new();
    for words in words {
        rows.extend(text(
            flow.setter,
            &setup.id,
            words,
            Style::bold(12.0),
            0.0,
            width,
        ));
        rows.extend(lines_to_write(count, width));
    }
    flow.block(rows);
}
