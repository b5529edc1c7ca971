//! The sheet of one set-up: how it is held, then the steps in order.
//!
//! Made to be read at arm's length: instructions 12 points, the numbers to
//! set 18 points and bold. Every step has a box to tick. A measure or a finding
//! whose step is not among the set-up's steps still appears, above the steps.

use super::measures::measures;
use super::parts::{BODY, BOX, SMALL, cautions, finding, heading, led, listed, text, tick_box};
use crate::drawing::{Group, Page, Role, moved};
use crate::flow::{Cell, Flow, Row, columns, height};
use crate::pictures::{Pictures, SetupPictures};
use crate::text::{Anchor, Setter, Style};
use crate::texts::Texts;
use kurbo::{Point, Vec2};
use rondure_plan::bench::TO_KNOW;
use rondure_plan::report::{Measure, Report, SetupReport, Speed, StepReport};

/// The number of the set-up, points.
const NUMBER: Style = Style::bold(44.0);
/// Its title, points.
const TITLE: Style = Style::bold(20.0);
/// Where a step's text begins, mm from the margin: after the box and the number.
const INDENT: f64 = 19.0;
/// Greatest heights of the drawings that are tried, mm: smaller where that saves a page.
const DRAWING: [f64; 3] = [62.0, 50.0, 40.0];
/// Height of the words under a drawing, mm.
const CAPTION: f64 = 6.0;

/// What the sheets of the set-ups share.
pub struct Shared<'a> {
    /// The report.
    pub report: &'a Report,
    /// The words.
    pub texts: &'a Texts,
    /// The drawings.
    pub pictures: &'a Pictures,
}

/// Lays out the set-up on pages of its own; `told` are the kinds of set-ups whose faults have been told.
pub fn setup(
    flow: &mut Flow<'_>,
    shared: &Shared<'_>,
    setup: &SetupReport,
    told: &mut Vec<String>,
) {
    // What goes wrong is told at the first set-up of a kind always, later where there is room.
    let kind = shared.texts.list("goes_wrong", &setup.id).first();
    let known = kind.is_some_and(|kind| told.contains(kind));
    told.extend(kind.filter(|_| !known).cloned());
    let mut best: Option<Vec<Page>> = None;
    for tall in DRAWING {
        let mut laid = flow.aside();
        lay(&mut laid, shared, setup, known, tall);
        let spilt = laid.height() - laid.left();
        let pages = laid.finish();
        // Where little runs over onto a last page, smaller drawings may save it.
        let done = pages.len() < 2 || spilt > 0.55 * flow.height();
        if best.as_ref().is_none_or(|best| pages.len() < best.len()) {
            best = Some(pages);
        }
        if done {
            break;
        }
    }
    flow.append(best.unwrap_or_default());
}

fn lay(flow: &mut Flow<'_>, shared: &Shared<'_>, setup: &SetupReport, known: bool, tall: f64) {
    let Shared {
        report,
        texts,
        pictures,
    } = *shared;
    let number = setup.number.to_string();
    let places = [("number", number.as_str()), ("title", &setup.title)];
    flow.part(&texts.filled("setup.carried", &places));
    let width = flow.width();
    head(flow, shared, setup);
    if let Some(pictures) = pictures.of(&setup.id) {
        let row = drawings(flow, pictures, texts.of("setup.afterwards"), tall);
        flow.block(row);
    }
    let held = texts.of("setup.held");
    let mut rows = led(flow.setter, &setup.id, held, &setup.holding, 0.0, width);
    rows.push(Row::space(2.0));
    flow.block(rows);

    let is_step = |id: &Option<String>| {
        id.as_ref()
            .is_some_and(|id| setup.steps.iter().any(|step| step.id == *id))
    };
    for found in report.findings_of(&setup.id) {
        if !is_step(&found.step) {
            let rows = finding(flow.setter, texts, found, None, 0.0, width);
            flow.block(rows);
        }
    }
    let loose: Vec<&Measure> = report
        .measures
        .iter()
        .filter(|measure| measure.setup == setup.id && !is_step(&Some(measure.step.clone())))
        .collect();
    if !loose.is_empty() {
        let mut rows = heading(flow.setter, texts.of("setup.for_all"), width);
        rows.extend(measures(flow.setter, &loose, 0.0, width));
        rows.push(Row::space(3.0));
        flow.block(rows);
    }
    let mut end = vec![Row::rule(0.0, width, 4.0)];
    let volume = volume_words(setup.after.volume_mm3, report.units == "in");
    let words = match setup.after.mass_g {
        Some(mass) => {
            let mass = format!("{mass:.0}");
            texts.filled("setup.left", &[("mass", &mass), ("volume", &volume)])
        }
        None => texts.filled("setup.left_only", &[("volume", &volume)]),
    };
    end.extend(text(flow.setter, &setup.id, &words, BODY, 0.0, width));
    let mut wrong = faults(flow, texts, setup);
    let mut said: Vec<String> = Vec::new();
    for (index, step) in setup.steps.iter().enumerate() {
        // A caution stands at the first step it holds for; ten times over nobody reads it.
        let fresh: Vec<String> = step
            .cautions
            .iter()
            .filter(|caution| !said.contains(caution))
            .cloned()
            .collect();
        let mut rows = step_rows(flow.setter, shared, step, &fresh, index + 1, width);
        said.extend(fresh);
        if index + 1 == setup.steps.len() {
            rows.append(&mut end);
        }
        // The foot of a page that the next step does not fit on is room for what goes wrong.
        let left = flow.left();
        if height(&rows) > left && !wrong.is_empty() && height(&wrong) <= left {
            flow.block(std::mem::take(&mut wrong));
        }
        flow.block(rows);
    }
    if !end.is_empty() {
        flow.block(end);
    }
    if !known || height(&wrong) <= flow.left() {
        flow.block(wrong);
    }
}

/// What goes wrong here.
fn faults(flow: &mut Flow<'_>, texts: &Texts, setup: &SetupReport) -> Vec<Row> {
    let faults = texts.list("goes_wrong", &setup.id);
    if faults.is_empty() {
        return Vec::new();
    }
    let width = flow.width();
    let mut rows = vec![Row::space(3.0)];
    rows.extend(heading(flow.setter, texts.of("setup.goes_wrong"), width));
    let style = Style::regular(10.5);
    rows.extend(listed(flow.setter, &setup.id, faults, style, 0.0, width));
    rows
}

/// The wood as it is held, and cut open after the set-up beside it.
pub fn drawings(
    flow: &mut Flow<'_>,
    pictures: &SetupPictures,
    afterwards: &str,
    tall: f64,
) -> Vec<Row> {
    let width = flow.width();
    let share = if pictures.after.is_some() { 0.58 } else { 1.0 };
    let mut laid = Vec::new();
    let before = pictures
        .before
        .laid(flow.setter, width * share - 6.0, tall, 1.5);
    laid.extend(before.map(|drawn| (drawn, width * (share / 2.0) - 3.0, "")));
    if let Some(after) = &pictures.after {
        let room = width * (1.0 - share);
        let drawn = after.laid(flow.setter, room, tall - CAPTION, 1.5);
        laid.extend(drawn.map(|drawn| (drawn, width - room / 2.0, afterwards)));
    }
    let high = laid
        .iter()
        .map(|(drawn, _, words)| drawn.height + if words.is_empty() { 0.0 } else { CAPTION })
        .fold(0.0, f64::max);
    let mut items = Vec::new();
    for (drawn, middle, words) in laid {
        let below = if words.is_empty() { 0.0 } else { CAPTION };
        let top = (high - drawn.height - below) / 2.0;
        let place = Vec2::new(middle - drawn.width / 2.0, top);
        items.extend(moved(vec![drawn.item], place));
        if !words.is_empty() {
            let line = flow.setter.line(words, Style::regular(9.5));
            let at = Point::new(middle, top + drawn.height + CAPTION - 1.4);
            items.push(Group::item(
                "caption",
                Role::Paragraph,
                vec![line.placed(at, Anchor::Middle)],
            ));
        }
    }
    vec![
        Row {
            height: high,
            items,
        },
        Row::space(3.0),
    ]
}

/// The number and the title, with the piece's name.
fn head(flow: &mut Flow<'_>, shared: &Shared<'_>, setup: &SetupReport) {
    let number = flow.setter.line(&setup.number.to_string(), NUMBER);
    let x = (number.width + 6.0).max(19.0);
    let room = flow.width() - x;
    let pieces = &shared.report.pieces;
    let piece = pieces
        .iter()
        .find(|piece| piece.id == setup.piece)
        .map_or(setup.piece.as_str(), |piece| piece.name.as_str());
    let places = [
        ("number", setup.number.to_string()),
        ("count", shared.report.setups.len().to_string()),
        ("piece", piece.to_owned()),
    ];
    let places = places.each_ref().map(|(key, word)| (*key, word.as_str()));
    let piece = shared.texts.filled("setup.number", &places);
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
    let tall: f64 = height(&rows);
    rows.push(Row::space((15.0 - tall).max(0.0)));
    rows.push(Row::rule(0.0, flow.width(), 5.0));
    flow.block(rows);
}

fn step_rows(
    setter: &mut Setter,
    shared: &Shared<'_>,
    step: &StepReport,
    warned: &[String],
    number: usize,
    width: f64,
) -> Vec<Row> {
    let (report, texts) = (shared.report, shared.texts);
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
    if let Some(row) = tool_row(setter, texts, step, room) {
        rows.extend(row);
    }
    rows.push(Row::space(1.5));
    // The caution is read before the cut is set.
    rows.extend(cautions(setter, texts, &step.id, warned, INDENT, room));
    if !warned.is_empty() {
        rows.push(Row::space(1.5));
    }
    let (known, own): (Vec<&Measure>, Vec<&Measure>) = report
        .measures_of(&step.id)
        .partition(|measure| measure.tool == TO_KNOW);
    rows.extend(measures(setter, &own, INDENT, width));
    if !known.is_empty() {
        let words: Vec<String> = known
            .iter()
            .map(|measure| format!("{} {}", measure.shown, measure.label))
            .collect();
        let lines = setter.led(
            texts.of("setup.to_know"),
            &format!("{}.", words.join("; ")),
            SMALL,
            room,
        );
        rows.push(Row::space(1.0));
        rows.extend(columns(vec![Cell::text(&step.id, INDENT, SMALL, lines)]));
    }
    let found = report
        .findings
        .iter()
        .filter(|found| found.step.as_deref() == Some(&step.id));
    for found in found {
        rows.push(Row::space(1.5));
        rows.extend(finding(setter, texts, found, None, INDENT, room));
    }
    rows.push(Row::space(1.0));
    rows
}

/// The tool and the speed, side by side where both fit.
fn tool_row(setter: &mut Setter, texts: &Texts, step: &StepReport, room: f64) -> Option<Vec<Row>> {
    let tool = step
        .tool
        .as_deref()
        .map(|tool| (texts.of("setup.tool"), tool.to_owned()));
    let speed = step
        .speed_rpm
        .map(|speed| (texts.of("setup.speed"), speed_words(texts, speed)));
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

pub fn speed_words(texts: &Texts, speed: Speed) -> String {
    let (from, to) = (format!("{:.0}", speed.from), format!("{:.0}", speed.to));
    if from == to {
        texts.filled("setup.rpm", &[("speed", &from)])
    } else {
        texts.filled("setup.rpm_range", &[("from", &from), ("to", &to)])
    }
}

/// A volume in the turner's units.
fn volume_words(cubic_millimetres: f64, inches: bool) -> String {
    if inches {
        // An inch is 25.4 mm exactly.
        format!("{:.2} in³", cubic_millimetres / 25.4_f64.powi(3))
    } else {
        format!("{:.1} cm³", cubic_millimetres / 1000.0)
    }
}
