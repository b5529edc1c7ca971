//! Drawings to DXF, for card cutters.
//!
//! The text form of release 2000 (AC1015), the oldest that names its unit: one
//! drawing unit is 1 mm (`$INSUNITS` 4), x right, y up. Straight runs and arcs of
//! one outline stay together as a polyline whose arcs are bulges, so they are true
//! arcs; a whole turn is a circle. Words are one-line texts stretched to the
//! width they have on paper. Layers carry plain names: `CUT`, `MARK`, `HELP`,
//! `WORDS`, `RULER`. Group codes and sections follow the published DXF reference.
//! No date, no random identifier: the same drawing gives the same bytes.

mod frame;

use crate::drawing::{Item, POINTS_PER_MM, Text};
use crate::outline::{Edge, Outline, angle_at};
use kurbo::{PathEl, Point};
use std::f64::consts::TAU;
use std::fmt::Write as _;

/// Height of capitals as a share of the size of letters (the embedded font's 2048 of 2816 units).
const CAPITALS: f64 = 2048.0 / 2816.0;
/// How far the straight pieces of a free curve may stray from it, mm.
const STRAY: f64 = 0.01;

/// A layer, and the colour number that usual programs show it in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DxfLayer {
    /// Its name.
    pub name: &'static str,
    /// Colour number of the format, 1 to 255.
    pub colour: u8,
}

/// Lines to cut along.
const CUT: DxfLayer = DxfLayer {
    name: "CUT",
    colour: 1,
};
/// Lines to draw.
const MARK: DxfLayer = DxfLayer {
    name: "MARK",
    colour: 5,
};
/// Lines that only help to place the card.
const HELP: DxfLayer = DxfLayer {
    name: "HELP",
    colour: 8,
};
/// Letters.
const WORDS: DxfLayer = DxfLayer {
    name: "WORDS",
    colour: 7,
};
/// The check ruler with its figures.
const RULER: DxfLayer = DxfLayer {
    name: "RULER",
    colour: 3,
};
/// Every layer.
const LAYERS: [DxfLayer; 5] = [CUT, MARK, HELP, WORDS, RULER];

/// A drawing being written.
#[derive(Debug)]
pub struct Dxf {
    origin: Point,
    entities: String,
    handle: u32,
}

impl Dxf {
    /// An empty drawing; `origin` is the point of the items' own frame that becomes 0, 0.
    pub fn new(origin: Point) -> Self {
        Self {
            origin,
            entities: String::new(),
            handle: frame::FIRST_FREE_HANDLE,
        }
    }

    /// Adds items of a template: outlines on their own layers, free lines to `MARK`, letters to `WORDS`.
    pub fn template(&mut self, items: &[Item]) {
        self.add(items, MARK, WORDS);
    }

    /// Adds the check ruler, all of it to `RULER`.
    pub fn ruler(&mut self, items: &[Item]) {
        self.add(items, RULER, RULER);
    }

    fn add(&mut self, items: &[Item], lines: DxfLayer, words: DxfLayer) {
        for item in items {
            match item {
                Item::Outline(outline) => self.outline(outline),
                Item::Shape(shape) => self.path(&shape.path, lines),
                Item::Text(text) => self.text(text, words),
                Item::Group(group) => self.add(&group.items, lines, words),
                // Cards are cut whole: nothing is hidden by a sheet's edge.
                Item::Window(window) => self.add(&window.items, lines, words),
            }
        }
    }

    /// The whole file.
    pub fn finish(self) -> String {
        frame::whole(&self.entities, self.handle, &LAYERS)
    }

    fn placed(&self, point: Point) -> (f64, f64) {
        (point.x - self.origin.x, self.origin.y - point.y)
    }

    fn entity(&mut self, kind: &str, layer: DxfLayer, class: &str) {
        let handle = self.handle;
        self.handle += 1;
        let _ = write!(
            self.entities,
            "0\n{kind}\n5\n{handle:X}\n330\n{}\n100\nAcDbEntity\n8\n{}\n100\n{class}\n",
            frame::MODEL,
            layer.name
        );
    }

    fn value(&mut self, code: u16, value: f64) {
        let _ = write!(self.entities, "{code}\n{}\n", number(value));
    }

    fn outline(&mut self, outline: &Outline) {
        let layer = match outline.layer {
            crate::outline::Layer::Cut => CUT,
            crate::outline::Layer::Mark => MARK,
            crate::outline::Layer::Help => HELP,
        };
        match *outline.edges.as_slice() {
            [Edge::Line(to)] => return self.line(outline.start, to, layer),
            [Edge::Arc { centre, sweep, .. }] => {
                return self.arc(outline.start, centre, sweep, layer);
            }
            _ => {}
        }
        // A bulge is the tangent of a quarter of the arc's angle, positive where it turns left.
        let mut corners = Vec::with_capacity(outline.edges.len() + 1);
        let mut from = outline.start;
        for edge in &outline.edges {
            match *edge {
                // A cutter has nothing to do along a line of no length.
                Edge::Line(to) if (to - from).hypot() < 1e-9 => {}
                Edge::Line(_) => corners.push((from, 0.0)),
                Edge::Arc { centre, sweep, .. } => {
                    // Two halves: no bulge grows without bound.
                    let radius = (from - centre).hypot();
                    let angle = angle_at(centre, from) + 0.5 * sweep;
                    let middle = crate::outline::on_circle(centre, radius, angle);
                    let bulge = (sweep / 8.0).tan();
                    corners.extend([(from, bulge), (middle, bulge)]);
                }
            }
            from = edge.end();
        }
        let returned = (from - outline.start).hypot() < 1e-9;
        if !returned {
            corners.push((from, 0.0));
        }
        self.polyline(&corners, outline.closed || returned, layer);
    }

    fn polyline(&mut self, corners: &[(Point, f64)], closed: bool, layer: DxfLayer) {
        self.entity("LWPOLYLINE", layer, "AcDbPolyline");
        let _ = write!(
            self.entities,
            "90\n{}\n70\n{}\n",
            corners.len(),
            u8::from(closed)
        );
        for (point, bulge) in corners {
            let (x, y) = self.placed(*point);
            self.value(10, x);
            self.value(20, y);
            if *bulge != 0.0 {
                self.value(42, *bulge);
            }
        }
    }

    fn line(&mut self, from: Point, to: Point, layer: DxfLayer) {
        self.entity("LINE", layer, "AcDbLine");
        for (codes, point) in [([10, 20, 30], from), ([11, 21, 31], to)] {
            let (x, y) = self.placed(point);
            self.value(codes[0], x);
            self.value(codes[1], y);
            self.value(codes[2], 0.0);
        }
    }

    fn arc(&mut self, from: Point, centre: Point, sweep: f64, layer: DxfLayer) {
        let whole = sweep.abs() >= TAU - 1e-12;
        let kind = if whole { "CIRCLE" } else { "ARC" };
        self.entity(kind, layer, "AcDbCircle");
        let (x, y) = self.placed(centre);
        self.value(10, x);
        self.value(20, y);
        self.value(30, 0.0);
        self.value(40, (from - centre).hypot());
        if !whole {
            let start = angle_at(centre, from);
            // The format's arcs always turn left.
            let (start, end) = if sweep > 0.0 {
                (start, start + sweep)
            } else {
                (start + sweep, start)
            };
            self.entities.push_str("100\nAcDbArc\n");
            self.value(50, start.rem_euclid(TAU).to_degrees());
            self.value(51, end.rem_euclid(TAU).to_degrees());
        }
    }

    /// A free path, every subpath a line or a run of lines.
    fn path(&mut self, path: &kurbo::BezPath, layer: DxfLayer) {
        let mut runs: Vec<(Vec<Point>, bool)> = Vec::new();
        path.iter().flatten_into(&mut runs);
        for (points, closed) in runs {
            match *points.as_slice() {
                [] | [_] => {}
                [from, to] => self.line(from, to, layer),
                _ => {
                    let corners: Vec<(Point, f64)> =
                        points.into_iter().map(|point| (point, 0.0)).collect();
                    self.polyline(&corners, closed, layer);
                }
            }
        }
    }

    fn text(&mut self, text: &Text, layer: DxfLayer) {
        let words = escaped(text.line.words.trim());
        if words.is_empty() || text.line.width <= 0.0 {
            return;
        }
        let along = kurbo::Vec2::new(text.angle.cos(), -text.angle.sin());
        let end = text.at + along * text.line.width;
        self.entity("TEXT", layer, "AcDbText");
        let (x, y) = self.placed(text.at);
        self.value(10, x);
        self.value(20, y);
        self.value(30, 0.0);
        self.value(40, text.line.size / POINTS_PER_MM * CAPITALS);
        let _ = write!(self.entities, "1\n{words}\n");
        self.value(50, text.angle.to_degrees());
        // 72 = 5: stretched between two points.
        self.entities.push_str("7\nStandard\n72\n5\n");
        let (x, y) = self.placed(end);
        self.value(11, x);
        self.value(21, y);
        self.value(31, 0.0);
        self.entities.push_str("100\nAcDbText\n");
    }
}

/// Collects a path as runs of points.
trait FlattenInto {
    fn flatten_into(self, runs: &mut Vec<(Vec<Point>, bool)>);
}

impl<I: Iterator<Item = PathEl>> FlattenInto for I {
    fn flatten_into(self, runs: &mut Vec<(Vec<Point>, bool)>) {
        kurbo::flatten(self, STRAY, |element| match element {
            PathEl::MoveTo(point) => runs.push((vec![point], false)),
            PathEl::LineTo(point) => {
                if let Some((points, _)) = runs.last_mut() {
                    points.push(point);
                }
            }
            PathEl::ClosePath => {
                if let Some((_, closed)) = runs.last_mut() {
                    *closed = true;
                }
            }
            // Flattening leaves no curves.
            PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
        });
    }
}

/// Rounded to a millionth, with a point in it always, as readers of the format expect.
fn number(value: f64) -> String {
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0');
    match text {
        "-0." => "0.0".to_owned(),
        text if text.ends_with('.') => format!("{text}0"),
        text => text.to_owned(),
    }
}

/// Words in plain ASCII: other signs by their number, signs that command by their doubled form.
fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '\u{a0}' => out.push(' '),
            '%' => out.push_str("%%%"),
            letter if letter.is_ascii() && !letter.is_control() => out.push(letter),
            letter if (letter as u32) <= 0xffff && !letter.is_control() => {
                let _ = write!(out, "\\U+{:04X}", letter as u32);
            }
            _ => out.push('?'),
        }
    }
    out
}

#[cfg(test)]
mod tests;
