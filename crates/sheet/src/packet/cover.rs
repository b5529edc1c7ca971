//! The cover: what is made, from what, with what, and what to know first.

use super::PacketError;
use super::parts::{BODY, SMALL, cautions, finding, heading, led, text, tick_box};
use super::setup::measures;
use crate::drawing::{Group, Role, Shape, moved, rectangle};
use crate::figure::{FigureError, fit};
use crate::flow::{Cell, Flow, Row, columns, height};
use crate::text::{Anchor, Setter, Style};
use kurbo::{Point, Vec2};
use rondure_plan::figure::Figure;
use rondure_plan::report::{Finding, Measure, Need, PieceReport, Report, Weight};

/// The plan's title, points.
const TITLE: Style = Style::bold(28.0);
/// Room for the main drawing, mm: share of the width, and height.
const DRAWING: (f64, f64) = (0.5, 92.0);
/// The standing caution of every packet.
pub const DEFERS: &str = "This packet is an aid, not a teacher. The instructions of the makers of \
    your lathe, chuck and tools, local rules and qualified teaching come first; where this packet \
    differs from them, follow them. Wear eye and face protection and guard against dust. Turn \
    every set-up by hand before you switch on, begin at the lowest speed, and stop if anything \
    shakes, slips or sounds wrong.";

/// Lays out the cover and what runs over from it; `pages` are the set-ups' page numbers.
pub fn cover(
    flow: &mut Flow<'_>,
    report: &Report,
    main: Option<&Figure>,
    pages: &[usize],
) -> Result<(), PacketError> {
    flow.part(&report.title);
    let width = flow.width();
    let lines = flow.setter.paragraph(&report.title, TITLE, width);
    let mut rows = columns(vec![Cell {
        role: Role::Heading(1),
        ..Cell::text("title", 0.0, TITLE, lines)
    }]);
    let kinds = plural(report.setups.len(), "set-up");
    let words = format!("{}, in {kinds}", report.form);
    rows.extend(text(
        flow.setter,
        "form",
        &words,
        Style::regular(14.0),
        0.0,
        width,
    ));
    rows.push(Row::rule(0.0, width, 6.0));
    flow.block(rows);
    if report.stops() {
        let rows = stop_sign(flow.setter, report, width);
        flow.block(rows);
    }
    pieces_and_drawing(flow, report, main)?;
    needs(flow, &report.needs);
    findings(flow, report);
    loose_measures(flow, report);

    let mut rows = heading(flow.setter, "Before you begin", width);
    rows.extend(cautions(
        flow.setter,
        "cautions",
        &[DEFERS.to_owned()],
        0.0,
        width,
    ));
    for caution in &report.cautions {
        rows.push(Row::space(1.5));
        rows.extend(cautions(
            flow.setter,
            "cautions",
            std::slice::from_ref(caution),
            0.0,
            width,
        ));
    }
    flow.block(rows);
    contents(flow, report, pages);
    Ok(())
}

fn plural(count: usize, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

/// White on black across the page, when something stops the job.
fn stop_sign(setter: &mut Setter, report: &Report, width: f64) -> Vec<Row> {
    let count = report
        .findings
        .iter()
        .filter(|finding| finding.weight == Weight::Stops)
        .count();
    let words = format!(
        "Do not cut yet: {} the job. Mend the plan first.",
        if count == 1 {
            "1 finding stops".to_owned()
        } else {
            format!("{count} findings stop")
        }
    );
    let style = Style::bold(15.0);
    let lines = setter.paragraph(&words, style, width - 8.0);
    let tall = lines.len() as f64 * style.leading() + 5.0;
    let mut items = vec![Group::item(
        "ground",
        Role::Decoration,
        vec![Shape::filled(rectangle(0.0, 0.0, width, tall), 0.0)],
    )];
    for (index, line) in lines.into_iter().enumerate() {
        let y = 2.5 + style.leading() * (index as f64 + 0.77);
        let item = line.turned(Point::new(4.0, y), Anchor::Start, 0.0, 1.0);
        items.push(Group::item("stops", Role::Paragraph, vec![item]));
    }
    vec![
        Row {
            height: tall,
            items,
        },
        Row::space(4.0),
    ]
}

/// Pieces on the left, the main drawing on the right; one above the other where the words are long.
fn pieces_and_drawing(
    flow: &mut Flow<'_>,
    report: &Report,
    main: Option<&Figure>,
) -> Result<(), PacketError> {
    let width = flow.width();
    // A drawing too large for the cover stands among the drawings only.
    let drawing = match main.map(|figure| fit(figure, flow.setter, width * DRAWING.0, DRAWING.1)) {
        Some(Err(FigureError::TooLarge { .. })) => None,
        other => other.transpose()?,
    };
    let Some(drawing) = drawing else {
        for piece in &report.pieces {
            let rows = piece_rows(flow.setter, piece, width);
            flow.block(rows);
        }
        return Ok(());
    };
    let left = width * (1.0 - DRAWING.0) - 6.0;
    let mut rows: Vec<Row> = Vec::new();
    for piece in &report.pieces {
        rows.extend(piece_rows(flow.setter, piece, left));
    }
    let scale = format!("Drawn at {}", drawing.scale.words());
    let caption = flow.setter.line(&scale, SMALL);
    let x = width - width * DRAWING.0 / 2.0;
    let tall = drawing.height + 9.0;
    let place = Vec2::new(x - drawing.width / 2.0, 2.0);
    let caption = caption.placed(Point::new(x, drawing.height + 7.5), Anchor::Middle);
    let mut picture = moved(vec![drawing.item], place);
    picture.push(Group::item("scale", Role::Paragraph, vec![caption]));
    if height(&rows) <= flow.height() * 0.6 {
        // Side by side, as one row that is not cut.
        let mut items = Vec::new();
        let mut y = 0.0;
        for row in rows {
            items.extend(moved(row.items, Vec2::new(0.0, y)));
            y += row.height;
        }
        items.extend(picture);
        flow.block(vec![Row {
            height: y.max(tall) + 2.0,
            items,
        }]);
    } else {
        flow.block(vec![Row {
            height: tall,
            items: picture,
        }]);
        flow.block(rows);
    }
    Ok(())
}

fn piece_rows(setter: &mut Setter, piece: &PieceReport, width: f64) -> Vec<Row> {
    let mut rows = heading(setter, &piece.name, width);
    let solid = &piece.solid;
    let parts = [
        ("Wood:", piece.wood.clone()),
        ("Blank:", piece.blank.clone()),
        ("Finished:", solid.says.join("; ")),
    ];
    for (lead, words) in parts {
        rows.extend(led(setter, &piece.id, lead, &words, 0.0, width));
    }
    rows.push(Row::space(3.0));
    rows
}

fn needs(flow: &mut Flow<'_>, needs: &[Need]) {
    if needs.is_empty() {
        return;
    }
    let width = flow.width();
    let mut rows = heading(flow.setter, "From the rack", width);
    let middle = width * 0.5;
    for need in needs {
        let what = flow
            .setter
            .paragraph(&need.what, Style::bold(12.5), middle - 14.0);
        let purpose = flow.setter.paragraph(&need.purpose, BODY, width - middle);
        let mut lines = columns(vec![
            Cell::text("needs", 10.0, BODY, what),
            Cell::text("needs", middle, BODY, purpose),
        ]);
        if let Some(first) = lines.first_mut() {
            first.items.insert(0, tick_box(0.0, 0.0));
        }
        rows.extend(lines);
        rows.push(Row::space(2.0));
    }
    rows.push(Row::space(2.0));
    flow.block(rows);
}

fn findings(flow: &mut Flow<'_>, report: &Report) {
    let width = flow.width();
    let grave: Vec<&Finding> = report
        .findings
        .iter()
        .filter(|finding| finding.weight != Weight::Note || !at_a_setup(report, finding))
        .collect();
    let title = heading(flow.setter, "Know before cutting", width);
    if grave.is_empty() {
        let mut rows = title;
        let words = "Nothing was found that stops the job or needs watching.";
        rows.extend(text(flow.setter, "findings", words, BODY, 0.0, width));
        rows.push(Row::space(4.0));
        flow.block(rows);
        return;
    }
    let mut title = Some(title);
    for found in grave {
        let place = report
            .setups
            .iter()
            .find(|setup| Some(&setup.id) == found.setup.as_ref())
            .map(|setup| format!("at set-up {}", setup.number));
        // The heading keeps with the first of them.
        let mut rows = title.take().unwrap_or_default();
        rows.extend(finding(flow.setter, found, place.as_deref(), 0.0, width));
        flow.block(rows);
    }
    flow.gap(2.0);
}

fn at_a_setup(report: &Report, finding: &Finding) -> bool {
    report
        .setups
        .iter()
        .any(|setup| Some(&setup.id) == finding.setup.as_ref())
}

/// Numbers that belong to no set-up: none is left out.
fn loose_measures(flow: &mut Flow<'_>, report: &Report) {
    let loose: Vec<&Measure> = report
        .measures
        .iter()
        .filter(|measure| !report.setups.iter().any(|setup| setup.id == measure.setup))
        .collect();
    if loose.is_empty() {
        return;
    }
    let width = flow.width();
    let mut rows = heading(flow.setter, "For the whole job", width);
    rows.extend(measures(flow.setter, &loose, 0.0, width));
    rows.push(Row::space(3.0));
    flow.block(rows);
}

fn contents(flow: &mut Flow<'_>, report: &Report, pages: &[usize]) {
    if report.setups.is_empty() {
        return;
    }
    let width = flow.width();
    flow.gap(4.0);
    let mut rows = heading(flow.setter, "In this order", width);
    for (setup, page) in report.setups.iter().zip(pages) {
        let number = flow
            .setter
            .line(&setup.number.to_string(), Style::bold(12.5));
        let title = flow.setter.paragraph(&setup.title, BODY, width - 40.0);
        let page = flow.setter.line(&format!("page {page}"), BODY);
        let lines = columns(vec![
            Cell {
                anchor: Anchor::End,
                ..Cell::text("contents", 7.0, BODY, vec![number])
            },
            Cell::text("contents", 10.0, BODY, title),
            Cell {
                anchor: Anchor::End,
                ..Cell::text("contents", width, BODY, vec![page])
            },
        ]);
        rows.extend(lines);
        rows.push(Row::space(0.6));
    }
    flow.block(rows);
}
