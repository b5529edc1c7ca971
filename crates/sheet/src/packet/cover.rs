//! The cover: what is made, from what, with what, and what to know first.

use super::PacketError;
use super::measures::measures;
use super::parts::{BODY, SMALL, UNCUT, beside, cautions, finding, heading, led, text, ticked};
use super::setup::Shared;
use crate::drawing::{Group, Role, Shape, moved, rectangle};
use crate::figure::{FigureError, fit};
use crate::flow::{Cell, Flow, Row, columns, height};
use crate::text::{Anchor, Setter, Style};
use crate::texts::Texts;
use kurbo::{Point, Vec2};
use rondure_plan::figure::Figure;
use rondure_plan::report::{Finding, Measure, PieceReport, Report, Weight};

/// The plan's title, points.
const TITLE: Style = Style::bold(28.0);
/// Room for the picture, mm: share of the width, and height.
const PICTURE: (f64, f64) = (0.52, 128.0);

/// Lays out the cover and what runs over from it; `pages` are the set-ups' page numbers.
pub fn cover(
    flow: &mut Flow<'_>,
    shared: &Shared<'_>,
    main: Option<&Figure>,
    pages: &[usize],
) -> Result<(), PacketError> {
    let Shared { report, texts, .. } = *shared;
    flow.part(&report.title);
    let width = flow.width();
    let lines = flow.setter.paragraph(&report.title, TITLE, width);
    let mut rows = columns(vec![Cell {
        role: Role::Heading(1),
        ..Cell::text("title", 0.0, TITLE, lines)
    }]);
    let count = report.setups.len().to_string();
    let words = texts.filled("cover.form", &[("form", &report.form), ("count", &count)]);
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
        let rows = stop_sign(flow.setter, report, texts, width);
        flow.block(rows);
    }
    pieces_and_picture(flow, shared, main)?;
    let mut rows = heading(flow.setter, texts.of("cover.before"), width);
    let first = std::iter::once(texts.of("cover.defers").to_owned());
    for caution in first.chain(report.cautions.iter().cloned()) {
        // The heading keeps with the first; the others may stand on the next page.
        rows.extend(cautions(
            flow.setter,
            texts,
            "cautions",
            &[caution],
            0.0,
            width,
        ));
        flow.block(std::mem::take(&mut rows));
    }
    rows.push(Row::space(2.0));
    let shown = texts.of("cover.shown");
    rows.extend(text(flow.setter, "shown", shown, SMALL, 0.0, width));
    flow.block(rows);
    flow.gap(3.0);
    needs(flow, shared);
    findings(flow, shared);
    loose_measures(flow, shared);
    contents(flow, shared, pages);
    Ok(())
}

/// White on black across the page, when something stops the job.
pub fn stop_sign(setter: &mut Setter, report: &Report, texts: &Texts, width: f64) -> Vec<Row> {
    let count = report
        .findings
        .iter()
        .filter(|finding| finding.weight == Weight::Stops)
        .count();
    let words = if count == 1 {
        texts.of("cover.stops_one").to_owned()
    } else {
        texts.filled("cover.stops", &[("count", &count.to_string())])
    };
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

/// Pieces on the left, the picture on the right; one above the other where the words are long.
fn pieces_and_picture(
    flow: &mut Flow<'_>,
    shared: &Shared<'_>,
    main: Option<&Figure>,
) -> Result<(), PacketError> {
    let width = flow.width();
    let room = (width * PICTURE.0, PICTURE.1);
    let picture = match &shared.pictures.finished {
        Some(sketch) => sketch
            .laid(flow.setter, room.0, room.1, 2.0)
            .map(|laid| (laid.item, laid.width, laid.height)),
        // Without a picture the main figure stands for it; one too large for the cover stands
        // among the drawings only.
        None => match main.map(|figure| fit(figure, flow.setter, room.0, 92.0)) {
            Some(Err(FigureError::TooLarge { .. })) | None => None,
            Some(laid) => Some(laid?).map(|laid| (laid.item, laid.width, laid.height)),
        },
    };
    let Some((item, wide, tall)) = picture else {
        for piece in &shared.report.pieces {
            let rows = piece_rows(flow.setter, shared.texts, piece, width);
            flow.block(rows);
        }
        return Ok(());
    };
    let left = width - room.0 - 6.0;
    let rows: Vec<Row> = shared
        .report
        .pieces
        .iter()
        .flat_map(|piece| piece_rows(flow.setter, shared.texts, piece, left))
        .collect();
    let high = height(&rows).max(tall);
    let place = Vec2::new(width - room.0 / 2.0 - wide / 2.0, (high - tall) / 2.0);
    let picture = Row {
        height: tall,
        items: moved(vec![item], place),
    };
    if height(&rows) <= flow.height() * 0.6 {
        let row = beside(vec![rows, vec![picture]]);
        flow.block(vec![row, Row::space(4.0)]);
    } else {
        flow.block(vec![Row {
            items: moved(picture.items, Vec2::new(0.0, -place.y)),
            ..picture
        }]);
        flow.block(rows);
    }
    Ok(())
}

fn piece_rows(setter: &mut Setter, texts: &Texts, piece: &PieceReport, width: f64) -> Vec<Row> {
    let mut rows = heading(setter, &piece.name, width);
    let parts = [
        (texts.of("cover.wood"), piece.wood.clone()),
        (texts.of("cover.blank"), piece.blank.clone()),
        (texts.of("cover.finished"), piece.solid.says.join("; ")),
    ];
    for (lead, words) in parts {
        rows.extend(led(setter, &piece.id, lead, &words, 0.0, width));
    }
    rows.push(Row::space(3.0));
    rows
}

fn needs(flow: &mut Flow<'_>, shared: &Shared<'_>) {
    let needs = &shared.report.needs;
    if needs.is_empty() {
        return;
    }
    let width = flow.width();
    let entries: Vec<(String, String)> = needs
        .iter()
        .map(|need| {
            // A set-up's title would fill the column: its number says as much.
            let setups = &shared.report.setups;
            let purpose = setups
                .iter()
                .find(|setup| setup.title == need.purpose)
                .map_or_else(
                    || need.purpose.clone(),
                    |setup| {
                        let number = setup.number.to_string();
                        shared
                            .texts
                            .filled("cover.at_setup", &[("number", &number)])
                    },
                );
            (need.what.clone(), purpose)
        })
        .collect();
    let mut rows = heading(flow.setter, shared.texts.of("cover.rack"), width);
    rows.extend(ticked(flow.setter, "needs", &entries, width));
    rows.push(Row::space(2.0));
    flow.block(rows);
}

fn findings(flow: &mut Flow<'_>, shared: &Shared<'_>) {
    let Shared { report, texts, .. } = *shared;
    let width = flow.width();
    let grave: Vec<&Finding> = report
        .findings
        .iter()
        .filter(|finding| finding.weight != Weight::Note || !at_a_setup(report, finding))
        .collect();
    let title = heading(flow.setter, texts.of("cover.know"), width);
    if grave.is_empty() {
        let mut rows = title;
        let words = texts.of("cover.nothing");
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
            .map(|setup| {
                let number = setup.number.to_string();
                texts.filled("cover.at_setup", &[("number", &number)])
            });
        // The heading keeps with the first of them.
        let mut rows = title.take().unwrap_or_default();
        rows.extend(finding(
            flow.setter,
            texts,
            found,
            place.as_deref(),
            0.0,
            width,
        ));
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
fn loose_measures(flow: &mut Flow<'_>, shared: &Shared<'_>) {
    let report = shared.report;
    let loose: Vec<&Measure> = report
        .measures
        .iter()
        .filter(|measure| !report.setups.iter().any(|setup| setup.id == measure.setup))
        .collect();
    if loose.is_empty() {
        return;
    }
    let width = flow.width();
    let mut rows = heading(flow.setter, shared.texts.of("cover.whole_job"), width);
    rows.extend(measures(flow.setter, &loose, 0.0, width));
    rows.push(Row::space(3.0));
    flow.block(rows);
}

fn contents(flow: &mut Flow<'_>, shared: &Shared<'_>, pages: &[usize]) {
    let Shared { report, texts, .. } = *shared;
    if report.setups.is_empty() {
        return;
    }
    let width = flow.width();
    let mut rows = heading(flow.setter, texts.of("cover.order"), width);
    let entries: Vec<_> = report.setups.iter().zip(pages).collect();
    let column = width / 2.0;
    // Down the left column, then down the right one.
    let half = entries.len().div_ceil(2);
    let mut sides = Vec::new();
    for (side, entries) in entries.chunks(half).enumerate() {
        let x = column * side as f64;
        let mut rows = Vec::new();
        for (setup, page) in entries {
            let number = setup.number.to_string();
            let style = Style::regular(10.5);
            let number = flow.setter.line(&number, Style::bold(10.5));
            let title = flow.setter.paragraph(&setup.title, style, column - 24.0);
            let page = texts.filled("cover.page", &[("page", &page.to_string())]);
            let page = flow.setter.line(&page, style);
            rows.extend(columns(vec![
                Cell {
                    anchor: Anchor::End,
                    ..Cell::text("contents", x + 6.0, style, vec![number])
                },
                Cell::text("contents", x + 9.0, style, title),
                Cell {
                    anchor: Anchor::End,
                    ..Cell::text("contents", x + column - 5.0, style, vec![page])
                },
            ]));
            rows.push(Row::space(0.6));
        }
        sides.push(rows);
    }
    if sides.iter().all(|side| height(side) < 2.0 * UNCUT) {
        rows.push(beside(sides));
    } else {
        // Long titles stand under each other, to the left or the right, line by line.
        rows.extend(sides.into_iter().flatten());
    }
    flow.block(rows);
}
