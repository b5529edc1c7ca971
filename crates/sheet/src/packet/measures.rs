//! The table of numbers to set: made to be read at arm's length, the values 18 points and bold.

use super::parts::{BODY, SMALL, UNCUT, beside};
use crate::drawing::{Group, Pen, Role, Shape, line};
use crate::flow::{Cell, Row, columns, height};
use crate::pens::{RULE, THIN};
use crate::text::{Anchor, Setter, Style};
use kurbo::Point;
use rondure_plan::report::Measure;

/// The numbers to set, points.
pub const VALUE: Style = Style::bold(18.0);
/// The tool that sets a number, points.
const WITH: Style = Style::regular(11.0);
/// Shares of the width at which values, and the tools that set them, begin.
const VALUES: (f64, f64) = (0.58, 0.79);

/// A table of numbers to set: what, the value large, and the tool that sets it.
pub fn measures(setter: &mut Setter, measures: &[&Measure], x: f64, width: f64) -> Vec<Row> {
    if measures.is_empty() {
        return Vec::new();
    }
    let single = in_one_column(setter, measures, x, width);
    let double = in_two_columns(setter, measures, x, width);
    // Short ones stand two side by side, if that saves much height.
    // A row of both is not cut: long words stay in one column, where each line is a row.
    let short = double.iter().all(|row| row.height < UNCUT);
    let mut rows = if short && height(&double) < 0.86 * height(&single) {
        double
    } else {
        single
    };
    rows.push(rule(x, width, 2.0, RULE));
    rows
}

fn rule(x: f64, width: f64, height: f64, pen: Pen) -> Row {
    let across = Shape::stroked(line(Point::new(x, 0.5), Point::new(width, 0.5)), pen);
    Row {
        height,
        items: vec![Group::item("rule", Role::Decoration, vec![across])],
    }
}

fn in_one_column(setter: &mut Setter, measures: &[&Measure], x: f64, width: f64) -> Vec<Row> {
    let (values, tools) = (width * VALUES.0, width * VALUES.1);
    let mut rows = Vec::new();
    for measure in measures {
        let label = setter.paragraph(&measure.label, BODY, values - x - 4.0);
        let value = setter.paragraph(&measure.shown, VALUE, tools - values - 2.0);
        let tool = setter.paragraph(&measure.tool, WITH, width - tools);
        rows.push(rule(x, width, 1.0, THIN));
        rows.extend(columns(vec![
            Cell::text(&measure.id, x, BODY, label),
            Cell::text(&measure.id, values, VALUE, value),
            Cell::text(&measure.id, tools, WITH, tool),
        ]));
        rows.push(Row::space(0.8));
    }
    rows
}

fn in_two_columns(setter: &mut Setter, measures: &[&Measure], x: f64, width: f64) -> Vec<Row> {
    let column = (width - x) / 2.0;
    let mut rows = Vec::new();
    for pair in measures.chunks(2) {
        let cells = pair
            .iter()
            .enumerate()
            .map(|(place, measure)| {
                let left = x + column * place as f64;
                let right = left + column - 4.0;
                let value = setter.paragraph(&measure.shown, VALUE, 0.6 * column);
                let wide = value.iter().map(|line| line.width).fold(0.0, f64::max);
                let room = right - wide - 2.5 - left;
                let label = setter.paragraph(&measure.label, BODY, room);
                let label = columns(vec![Cell::text(&measure.id, left, BODY, label)]);
                let tool = setter.line_within(&measure.tool, SMALL, column - 4.0);
                let mut set = columns(vec![Cell {
                    anchor: Anchor::End,
                    ..Cell::text(&measure.id, right, VALUE, value)
                }]);
                set.extend(columns(vec![Cell {
                    anchor: Anchor::End,
                    ..Cell::text(&measure.id, right, SMALL, vec![tool])
                }]));
                let top = Row::space(VALUE.leading() * 0.77 - BODY.leading() * 0.77);
                let label = std::iter::once(top).chain(label).collect();
                let rows = vec![beside(vec![label, set])];
                rows
            })
            .collect();
        rows.push(rule(x, width, 1.0, THIN));
        rows.push(beside(cells));
        rows.push(Row::space(0.8));
    }
    rows
}
