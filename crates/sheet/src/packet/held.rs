//! Where the piece comes nearest to breaking: the weakest step in words, then every look with a bar for what it uses of
//! the wood's strength.
//!
//! The bars are the small picture of the whole job: dark what the wood's mean uses, light what weak wood uses, and an
//! upright where it would break.

use rondure_plan::hold::{Held, HeldLook};

use super::parts::{BODY, SMALL, heading, text};
use super::setup::Shared;
use crate::drawing::{Group, Item, Role, Shape, line, rectangle};
use crate::flow::{Cell, Flow, Row, columns, height};
use crate::pens::SEEN;
use crate::text::Style;
use kurbo::Point;

/// Width of a bar that uses all of the wood's strength, mm.
const WHOLE: f64 = 40.0;
/// A bar goes no farther than this share.
const MOST: f64 = 1.25;
/// Height of a bar, mm.
const THICK: f64 = 3.2;
/// Shades of what weak wood and the wood's mean use, from black to white.
const SHADES: [f64; 2] = [0.75, 0.35];

/// The page.
pub fn held(flow: &mut Flow<'_>, shared: &Shared<'_>, held: &Held) {
    let texts = shared.texts;
    let title = texts.of("held.title");
    flow.part(title);
    let width = flow.width();
    let mut rows = heading(flow.setter, title, width);
    if let Some((look, case)) = held.weakest() {
        let words = format!("{}. {}: {}", look.number, look.title, case.in_words());
        rows.extend(text(flow.setter, "weakest", &words, BODY, 0.0, width));
    }
    rows.push(Row::space(2.0));
    rows.extend(text(
        flow.setter,
        "bars",
        texts.of("held.bars"),
        SMALL,
        0.0,
        width,
    ));
    rows.push(Row::space(2.0));
    flow.block(rows);
    for look in held
        .ranked
        .iter()
        .filter_map(|index| held.looks.get(*index))
    {
        let rows = one(flow, look, width);
        flow.block(rows);
    }
    let mut rows = vec![Row::space(2.0)];
    for says in &held.rests_on {
        rows.extend(text(flow.setter, "rests on", says, SMALL, 0.0, width));
        rows.push(Row::space(0.8));
    }
    flow.block(rows);
}

/// One look: its title and worst load beside its bar.
fn one(flow: &mut Flow<'_>, look: &HeldLook, width: f64) -> Vec<Row> {
    let Some(case) = look.worst() else {
        return Vec::new();
    };
    let left = WHOLE * MOST + 4.0;
    let lead = Style::bold(9.5);
    let title = flow.setter.paragraph(
        &format!("{}. {}", look.number, look.title),
        lead,
        width - left,
    );
    let mut rows = columns(vec![Cell::text(&look.id, left, lead, title)]);
    let words = format!(
        "{}: weak wood stands {}; {} {}.",
        case.says,
        case.stands_shown[0],
        case.failing.words(),
        case.place
    );
    rows.extend(text(
        flow.setter,
        &look.id,
        &words,
        SMALL,
        left,
        width - left,
    ));
    rows.push(Row::space(1.5));
    let tall = height(&rows).min(THICK + 2.0);
    let bars = case.used[..2].iter().zip(SHADES).map(|(used, shade)| {
        let long = (WHOLE * used.clamp(0.0, MOST)).max(0.3);
        Shape::filled(rectangle(0.0, 1.0, long, THICK), shade)
    });
    let mut shapes: Vec<Item> = bars.collect();
    shapes.push(Shape::stroked(
        line(Point::new(WHOLE, 0.4), Point::new(WHOLE, tall)),
        SEEN,
    ));
    if let Some(first) = rows.first_mut() {
        first
            .items
            .push(Group::item("bar", Role::Decoration, shapes));
    }
    rows
}
