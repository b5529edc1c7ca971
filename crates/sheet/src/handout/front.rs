//! The front page: the picture, the sizes side by side, and the cautions.

use super::Class;
use crate::drawing::moved;
use crate::drawing::{Group, Role, Shape, line};
use crate::flow::{Cell, Flow, Row, columns};
use crate::packet::cover::stop_sign;
use crate::packet::parts::{BODY, SMALL, cautions, heading, text};
use crate::pens::{RULE, THIN};
use crate::text::{Setter, Style};
use kurbo::{Point, Vec2};
use rondure_plan::report::Report;

/// Where the columns of sizes begin, mm from the margin.
const COLUMNS: f64 = 34.0;
/// Height of the picture, mm.
const PICTURE: f64 = 88.0;

/// Lays out the front page.
pub(super) fn front(flow: &mut Flow<'_>, class: &Class<'_>, title: &str) {
    let texts = class.texts;
    flow.part(title);
    let width = flow.width();
    let style = Style::bold(26.0);
    let lines = flow.setter.paragraph(title, style, width);
    let mut rows = columns(vec![Cell {
        role: Role::Heading(1),
        ..Cell::text("title", 0.0, style, lines)
    }]);
    rows.push(Row::space(3.0));
    rows.push(to_fill(
        flow.setter,
        &[texts.of("handout.name"), texts.of("handout.date")],
        width,
    ));
    rows.push(Row::space(2.0));
    flow.block(rows);
    for size in class.sizes {
        if size.report.stops() {
            let mut rows = text(flow.setter, "stops", &size.report.title, BODY, 0.0, width);
            rows.extend(stop_sign(flow.setter, size.report, texts, width));
            flow.block(rows);
        }
    }
    let picture = class.first().pictures.finished.as_ref();
    if let Some(laid) = picture.and_then(|sketch| sketch.laid(flow.setter, width, PICTURE, 2.0)) {
        let place = Vec2::new((width - laid.width) / 2.0, 0.0);
        flow.block(vec![Row {
            height: laid.height + 4.0,
            items: moved(vec![laid.item], place),
        }]);
    }
    let mut rows = heading(flow.setter, texts.of("handout.sizes"), width);
    if class.sizes.len() > 1 {
        let says = texts.of("handout.sizes_says");
        rows.extend(text(flow.setter, "sizes", says, BODY, 0.0, width));
        rows.push(Row::space(2.0));
    }
    let piece = |report: &Report| report.pieces.first().cloned();
    let lines: [(&str, Vec<String>); 3] = [
        (texts.of("handout.size"), titles(class)),
        (
            texts.of("handout.wood"),
            each(class, |report| {
                piece(report).map_or(String::new(), |piece| piece.wood)
            }),
        ),
        (
            texts.of("handout.blank"),
            each(class, |report| {
                piece(report).map_or(String::new(), |piece| piece.blank)
            }),
        ),
    ];
    for (place, (name, words)) in lines.into_iter().enumerate() {
        let style = if place == 0 { Style::bold(12.0) } else { BODY };
        rows.extend(side_by_side(
            flow.setter,
            (name, style),
            &words,
            COLUMNS,
            width,
        ));
    }
    rows.push(Row::space(4.0));
    flow.block(rows);
    let mut rows = heading(flow.setter, texts.of("cover.before"), width);
    let defers = [texts.of("cover.defers").to_owned()];
    rows.extend(cautions(
        flow.setter,
        texts,
        "cautions",
        &defers,
        0.0,
        width,
    ));
    rows.push(Row::space(2.0));
    let shown = texts.of("cover.shown");
    rows.extend(text(flow.setter, "shown", shown, SMALL, 0.0, width));
    flow.block(rows);
}

/// The plans' titles, each with its letter where there are several.
fn titles(class: &Class<'_>) -> Vec<String> {
    class
        .sizes
        .iter()
        .enumerate()
        .map(|(place, size)| {
            if class.sizes.len() > 1 {
                format!("{}: {}", super::student::letter(place), size.report.title)
            } else {
                size.report.title.clone()
            }
        })
        .collect()
}

fn each(class: &Class<'_>, of: impl Fn(&Report) -> String) -> Vec<String> {
    class.sizes.iter().map(|size| of(size.report)).collect()
}

/// A name and one column to each size under a thin rule.
fn side_by_side(
    setter: &mut Setter,
    (name, style): (&str, Style),
    words: &[String],
    from: f64,
    width: f64,
) -> Vec<Row> {
    let column = (width - from) / words.len().max(1) as f64;
    let mut cells = vec![Cell::text(
        "size",
        0.0,
        BODY,
        setter.paragraph(name, BODY, from - 3.0),
    )];
    for (place, words) in words.iter().enumerate() {
        let lines = setter.paragraph(words, style, column - 3.0);
        cells.push(Cell::text(
            "size",
            from + column * place as f64,
            style,
            lines,
        ));
    }
    let mut rows = vec![across(0.0, width)];
    rows.extend(columns(cells));
    rows.push(Row::space(0.6));
    rows
}

/// A thin rule across.
pub(super) fn across(from: f64, width: f64) -> Row {
    let rule = Shape::stroked(line(Point::new(from, 0.5), Point::new(width, 0.5)), THIN);
    Row {
        height: 1.2,
        items: vec![Group::item("rule", Role::Decoration, vec![rule])],
    }
}

/// Words with a line after each to write on, side by side.
fn to_fill(setter: &mut Setter, words: &[&str], width: f64) -> Row {
    let share = width / words.len().max(1) as f64;
    let mut items = Vec::new();
    for (place, words) in words.iter().enumerate() {
        let x = share * place as f64;
        let set = setter.line(words, BODY);
        let begin = x + set.width + 3.0;
        let rule = line(Point::new(begin, 7.0), Point::new(x + share - 4.0, 7.0));
        items.push(Group::item(
            "fill",
            Role::Paragraph,
            vec![set.placed(Point::new(x, 6.2), crate::text::Anchor::Start)],
        ));
        items.push(Group::item(
            "line",
            Role::Decoration,
            vec![Shape::stroked(rule, RULE)],
        ));
    }
    Row { height: 9.0, items }
}

/// Lines to write on.
pub(super) fn lines_to_write(count: usize, width: f64) -> Vec<Row> {
    (0..count)
        .map(|_| {
            let rule = line(Point::new(0.0, 8.6), Point::new(width, 8.6));
            Row {
                height: 9.0,
                items: vec![Group::item(
                    "line",
                    Role::Decoration,
                    vec![Shape::stroked(rule, THIN)],
                )],
            }
        })
        .collect()
}
