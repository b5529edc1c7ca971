//! A student's sheet of a set-up: the picture, the steps with their reasons, few numbers, room to write.

use super::Class;
use super::front::{across, lines_to_write};
use crate::drawing::Role;
use crate::flow::{Cell, Flow, Row, columns};
use crate::packet::parts::{BODY, BOX, SMALL, cautions, heading, led, text, tick_box};
use crate::packet::setup::{drawings, speed_words};
use crate::text::Style;
use rondure_plan::bench::TO_KNOW;
use rondure_plan::report::{Measure, Report, SetupReport, StepReport};

/// The numbers, points.
const NUMBER: Style = Style::bold(15.0);
/// Numbers of a step that a student's sheet shows at most.
const MOST: usize = 2;
/// Height of the drawings, mm, and where that saves a page.
const DRAWING: (f64, f64) = (52.0, 36.0);
/// Where the columns of numbers begin, as a share of the width.
const COLUMNS: f64 = 0.42;
/// Where a step's text begins, mm.
const INDENT: f64 = 18.0;

/// The sheet of one set-up; where little runs over onto a last page, with smaller drawings.
pub(super) fn sheet(flow: &mut Flow<'_>, class: &Class<'_>, setup: &SetupReport) {
    let mut laid = flow.aside();
    lay(&mut laid, class, setup, DRAWING.0);
    let pages = laid.pages();
    let full = laid.finish();
    let mut laid = flow.aside();
    lay(&mut laid, class, setup, DRAWING.1);
    let fewer = laid.pages() < pages;
    let small = laid.finish();
    flow.append(if fewer { small } else { full });
}

fn lay(flow: &mut Flow<'_>, class: &Class<'_>, setup: &SetupReport, tall: f64) {
    let title = begin(flow, class, setup.number, &setup.id, &setup.title);
    flow.block(title);
    let holding = each_size(class, |report| {
        let own = report.setups.iter().find(|own| own.id == setup.id)?;
        Some(own.holding.clone())
    });
    let mut rows = Vec::new();
    for words in holding {
        let lead = class.texts.of("setup.held");
        rows.extend(led(flow.setter, &setup.id, lead, &words, 0.0, flow.width()));
    }
    rows.push(Row::space(3.0));
    flow.block(rows);
    let texts = class.texts;
    let width = flow.width();
    if let Some(pictures) = class.first().pictures.of(&setup.id) {
        let row = drawings(flow, pictures, texts.of("setup.afterwards"), tall);
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
        // A reason is told once on a sheet.
        let why = texts
            .about("why", &step.id)
            .filter(|why| !said.iter().any(|words| words == why));
        let rows = step_rows(flow, class, step, place + 1, &fresh, why);
        said.extend(fresh);
        said.extend(why.map(str::to_owned));
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

/// The number and the title; begins a page.
fn begin(flow: &mut Flow<'_>, class: &Class<'_>, number: usize, id: &str, title: &str) -> Vec<Row> {
    let texts = class.texts;
    let number = number.to_string();
    let count = class.first().report.setups.len().to_string();
    flow.part(&texts.filled("setup.carried", &[("number", &number), ("title", title)]));
    let width = flow.width();
    let over = texts.filled("handout.setup", &[("number", &number), ("count", &count)]);
    let mut rows = text(flow.setter, id, &over, BODY, 0.0, width);
    let style = Style::bold(20.0);
    let lines = flow.setter.paragraph(title, style, width);
    rows.extend(columns(vec![Cell {
        role: Role::Heading(1),
        ..Cell::text(id, 0.0, style, lines)
    }]));
    rows.push(Row::rule(0.0, width, 5.0));
    rows
}

/// The letter of a size, where there are several.
pub(super) fn letter(place: usize) -> char {
    char::from(b'A' + (place as u8).min(25))
}

/// What the reports say of one thing: once where all say the same, else each with its letter.
fn each_size(class: &Class<'_>, of: impl Fn(&Report) -> Option<String>) -> Vec<String> {
    let said: Vec<(char, String)> = class
        .sizes
        .iter()
        .enumerate()
        .filter_map(|(place, size)| Some((letter(place), of(size.report)?)))
        .collect();
    match said.split_first() {
        Some(((_, first), others)) if others.iter().all(|(_, words)| words == first) => {
            vec![first.clone()]
        }
        _ => said
            .iter()
            .map(|(letter, words)| format!("{letter}: {words}"))
            .collect(),
    }
}

/// What to do in a step. Sentences whose numbers differ from size to size give way to one without.
fn says(class: &Class<'_>, step: &StepReport) -> Vec<String> {
    let said = each_size(class, |report| {
        let steps = report.setups.iter().flat_map(|setup| &setup.steps);
        Some(
            steps
                .into_iter()
                .find(|own| own.id == step.id)?
                .says
                .clone(),
        )
    });
    match class.texts.about("do", &step.id) {
        Some(words) if said.len() > 1 => vec![words.to_owned()],
        _ => said,
    }
}

fn step_rows(
    flow: &mut Flow<'_>,
    class: &Class<'_>,
    step: &StepReport,
    number: usize,
    warned: &[String],
    why: Option<&str>,
) -> Vec<Row> {
    let width = flow.width();
    let texts = class.texts;
    let style = Style::bold(15.0);
    let number = flow.setter.line(&number.to_string(), style);
    let says: Vec<_> = says(class, step)
        .iter()
        .flat_map(|words| flow.setter.paragraph(words, BODY, width - INDENT))
        .collect();
    let mut rows = columns(vec![
        Cell::text(&step.id, BOX + 3.0, style, vec![number]),
        Cell::text(&step.id, INDENT, BODY, says),
    ]);
    if let Some(first) = rows.first_mut() {
        first.items.insert(0, tick_box(0.0, 0.3));
    }
    let own = |report: &Report| {
        let steps = report.setups.iter().flat_map(|setup| &setup.steps);
        steps.into_iter().find(|own| own.id == step.id).cloned()
    };
    let tools = each_size(class, |report| own(report)?.tool);
    let speeds = each_size(class, |report| {
        Some(speed_words(texts, own(report)?.speed_rpm?))
    });
    for (lead, words) in [("setup.tool", tools), ("setup.speed", speeds)] {
        if !words.is_empty() {
            let (lead, words) = (texts.of(lead), words.join("; "));
            let room = width - INDENT;
            rows.extend(led(flow.setter, &step.id, lead, &words, INDENT, room));
        }
    }
    if let Some(why) = why {
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
        .filter(|measure| measure.unit != "share" && measure.tool != TO_KNOW)
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

/// A number in all sizes, each with its letter.
fn numbers(flow: &mut Flow<'_>, class: &Class<'_>, measure: &Measure) -> Vec<Row> {
    let width = flow.width();
    let from = INDENT + (width - INDENT) * COLUMNS;
    let share = (width - from) / class.sizes.len() as f64;
    // What a label says in brackets may be a number of the first size only.
    let same = class.sizes.iter().all(|size| {
        let mut all = size.report.measures.iter();
        all.all(|other| other.id != measure.id || other.label == measure.label)
    });
    let bare = measure.label.split(" (").next().unwrap_or_default();
    let label = if same { &measure.label } else { bare };
    let label = flow.setter.paragraph(label, BODY, from - INDENT - 3.0);
    let mut cells = vec![Cell::text(&measure.id, INDENT, BODY, label)];
    for (place, size) in class.sizes.iter().enumerate() {
        let x = from + share * place as f64;
        let all = &size.report.measures;
        let shown = all
            .iter()
            .find(|other| other.id == measure.id)
            .map_or("–", |other| &other.shown);
        let mut left = x;
        if class.sizes.len() > 1 {
            let name = flow.setter.line(&letter(place).to_string(), SMALL);
            left += 5.0;
            cells.push(Cell::text(&measure.id, x, NUMBER, vec![name]));
        }
        let value = flow.setter.paragraph(shown, NUMBER, x + share - left - 1.0);
        cells.push(Cell::text(&measure.id, left, NUMBER, value));
    }
    let mut rows = vec![across(INDENT, width)];
    rows.extend(columns(cells));
    rows.push(Row::space(0.6));
    rows
}

/// The set-ups that repeat the one before, on one sheet: what differs from it, and boxes to tick.
pub(super) fn again(flow: &mut Flow<'_>, class: &Class<'_>, setups: &[&SetupReport]) {
    let Some(first) = setups.first() else {
        return;
    };
    let texts = class.texts;
    let count = setups.len().to_string();
    let title = texts.filled("handout.again", &[("count", &count)]);
    let mut rows = begin(flow, class, first.number, &first.id, &title);
    let width = flow.width();
    let how = texts.of("handout.again_says");
    rows.extend(text(flow.setter, &first.id, how, BODY, 0.0, width));
    rows.push(Row::space(3.0));
    flow.block(rows);
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
            let room = width - INDENT;
            let says: Vec<_> = says(class, step)
                .iter()
                .flat_map(|words| flow.setter.paragraph(words, BODY, room))
                .collect();
            let mut lines = columns(vec![Cell::text(&step.id, INDENT, BODY, says)]);
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
    let count = if fits >= 2.0 {
        fits.min(6.0) as usize
    } else {
        // They go onto a page of their own.
        8
    };
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
