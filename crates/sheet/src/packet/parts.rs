//! Parts that several sheets share: headings, text, tick boxes, findings, cautions.

use crate::drawing::{Group, Item, Role, Shape, moved, rectangle};
use crate::flow::{Cell, Row, barred, columns, height};
use crate::pens::{RULE, SEEN};
use crate::text::{Anchor, Setter, Style};
use crate::texts::Texts;
use kurbo::{Point, Vec2};
use rondure_plan::report::{Finding, Weight};

/// Instructions, points.
pub const BODY: Style = Style::regular(12.0);
/// Small print that is not read at the lathe, points.
pub const SMALL: Style = Style::regular(10.0);
/// A part's heading within a sheet, points.
pub const HEADING: Style = Style::bold(15.0);
/// Side of a tick box, mm.
pub const BOX: f64 = 6.0;
/// Rows of several columns that must not be cut are no higher than this, mm.
pub const UNCUT: f64 = 60.0;
/// Width of the upright bar beside cautions and findings, mm.
const BAR: f64 = 1.2;

/// Text across a width, from a place.
pub fn text(
    setter: &mut Setter,
    name: &str,
    words: &str,
    style: Style,
    x: f64,
    width: f64,
) -> Vec<Row> {
    let lines = setter.paragraph(words, style, width);
    columns(vec![Cell::text(name, x, style, lines)])
}

/// Text with a bold lead.
pub fn led(
    setter: &mut Setter,
    name: &str,
    lead: &str,
    words: &str,
    x: f64,
    width: f64,
) -> Vec<Row> {
    let lines = setter.led(lead, words, BODY, width);
    columns(vec![Cell::text(name, x, BODY, lines)])
}

/// A heading within a sheet.
pub fn heading(setter: &mut Setter, words: &str, width: f64) -> Vec<Row> {
    let lines = setter.paragraph(words, HEADING, width);
    let mut rows = columns(vec![Cell {
        role: Role::Heading(2),
        ..Cell::text(words, 0.0, HEADING, lines)
    }]);
    rows.push(Row::space(1.5));
    rows
}

/// An empty box to tick, its top left corner at a place.
pub fn tick_box(x: f64, y: f64) -> Item {
    let frame = Shape::stroked(rectangle(x, y, BOX, BOX), SEEN);
    Group::item("tick box", Role::Decoration, vec![frame])
}

/// Cautions under a warning word, beside a bar.
pub fn cautions(
    setter: &mut Setter,
    texts: &Texts,
    name: &str,
    words: &[String],
    x: f64,
    width: f64,
) -> Vec<Row> {
    let lead = texts.of("finding.caution");
    let rows = words
        .iter()
        .flat_map(|caution| led(setter, name, lead, caution, x + 4.0, width - 4.0))
        .collect();
    barred(rows, x, BAR)
}

/// A finding with its weight, where its limit comes from, and what would mend it.
pub fn finding(
    setter: &mut Setter,
    texts: &Texts,
    finding: &Finding,
    place: Option<&str>,
    x: f64,
    width: f64,
) -> Vec<Row> {
    let word = match finding.weight {
        Weight::Stops => texts.of("finding.stops"),
        Weight::Watch => texts.of("finding.watch"),
        Weight::Note => texts.of("finding.note"),
    };
    let inner = x + 4.0;
    let room = width - 4.0;
    let mut rows = vec![badge(setter, finding, word, place, inner, room)];
    rows.extend(text(setter, finding.id, &finding.says, BODY, inner, room));
    for mend in &finding.mend {
        let words = match (&mend.key, &mend.write) {
            (Some(key), Some(write)) => {
                let places = [
                    ("says", ended(&mend.says)),
                    ("key", key.clone()),
                    ("write", write.clone()),
                ];
                texts.filled(
                    "finding.in_plan",
                    &places.each_ref().map(|(k, v)| (*k, v.as_str())),
                )
            }
            _ => mend.says.clone(),
        };
        rows.extend(led(
            setter,
            finding.id,
            texts.of("finding.mend"),
            &words,
            inner + 4.0,
            room - 4.0,
        ));
    }
    if !finding.limit_from.is_empty() {
        let words = texts.filled("finding.limit_from", &[("source", &finding.limit_from)]);
        rows.extend(text(setter, finding.id, &words, SMALL, inner, room));
    }
    let width = if finding.weight == Weight::Stops {
        2.0
    } else {
        BAR
    };
    let mut rows = barred(rows, x, width);
    rows.push(Row::space(3.0));
    rows
}

/// A sentence that ends in a stop.
fn ended(words: &str) -> String {
    let words = words.trim_end();
    if words.ends_with(['.', '!', '?']) {
        words.to_owned()
    } else {
        format!("{words}.")
    }
}

/// The weight's word: white on black for what stops, framed for what needs watching, plain for a note.
fn badge(
    setter: &mut Setter,
    finding: &Finding,
    word: &str,
    place: Option<&str>,
    x: f64,
    width: f64,
) -> Row {
    let style = Style::bold(11.0);
    let line = setter.line(word, style);
    let (tall, air) = (6.0, 2.0);
    let frame = rectangle(x, 0.6, line.width + 2.0 * air, tall - 1.0);
    let (ground, inset, shade) = match finding.weight {
        Weight::Stops => (Some(Shape::filled(frame, 0.0)), air, 1.0),
        Weight::Watch => (Some(Shape::stroked(frame, RULE)), air, 0.0),
        Weight::Note => (None, 0.0, 0.0),
    };
    let after = x + line.width + inset * 2.0 + 3.0;
    let words = line.turned(Point::new(x + inset, 4.5), Anchor::Start, 0.0, shade);
    let mut items: Vec<Item> = ground
        .map(|ground| Group::item("ground", Role::Decoration, vec![ground]))
        .into_iter()
        .collect();
    items.push(Group::item(finding.id, Role::Paragraph, vec![words]));
    if let Some(place) = place {
        let line = setter.line_within(place, Style::regular(11.0), x + width - after);
        let item = line.placed(Point::new(after, 4.5), Anchor::Start);
        items.push(Group::item(finding.id, Role::Paragraph, vec![item]));
    }
    Row {
        height: tall + 0.8,
        items,
    }
}

/// Entries with a box before each, in three columns: what in bold, and under it smaller what for.
pub fn ticked(
    setter: &mut Setter,
    name: &str,
    entries: &[(String, String)],
    width: f64,
) -> Vec<Row> {
    let column = width / 3.0;
    let mut rows = Vec::new();
    for group in entries.chunks(3) {
        let mut cells = Vec::new();
        for (place, (what, purpose)) in group.iter().enumerate() {
            let x = column * place as f64;
            cells.push(ticked_one(setter, name, what, purpose, x, column - 3.0));
        }
        if cells.iter().all(|rows| height(rows) < UNCUT) {
            rows.push(beside(cells));
            rows.push(Row::space(0.6));
        } else {
            for (what, purpose) in group {
                rows.extend(ticked_one(setter, name, what, purpose, 0.0, width));
            }
        }
    }
    rows
}

fn ticked_one(
    setter: &mut Setter,
    name: &str,
    what: &str,
    purpose: &str,
    x: f64,
    width: f64,
) -> Vec<Row> {
    let left = x + BOX + 3.0;
    let room = width - BOX - 3.0;
    let mut rows = text(setter, name, what, Style::bold(11.0), left, room);
    rows.extend(text(setter, name, purpose, Style::regular(9.0), left, room));
    if let Some(first) = rows.first_mut() {
        first.items.insert(0, tick_box(x, 0.4));
    }
    rows
}

/// Rows of several columns as one row that is not cut.
pub fn beside(columns: Vec<Vec<Row>>) -> Row {
    let mut items = Vec::new();
    let mut tall: f64 = 0.0;
    for rows in columns {
        let mut y = 0.0;
        for row in rows {
            items.extend(moved(row.items, Vec2::new(0.0, y)));
            y += row.height;
        }
        tall = tall.max(y);
    }
    Row {
        height: tall,
        items,
    }
}

/// Short entries with a dash before each.
pub fn listed(
    setter: &mut Setter,
    name: &str,
    entries: &[String],
    style: Style,
    x: f64,
    width: f64,
) -> Vec<Row> {
    let mut rows = Vec::new();
    for entry in entries {
        let dash = setter.line("–", style);
        let lines = setter.paragraph(entry, style, width - 5.0);
        rows.extend(columns(vec![
            Cell::text(name, x, style, vec![dash]),
            Cell::text(name, x + 5.0, style, lines),
        ]));
    }
    rows
}
