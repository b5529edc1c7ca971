//! Dimension lines: arrows, extension lines and labels.
//!
//! Works on paper millimetres, y down. Lines and labels keep one size at every
//! drawing scale. A label takes the first of a few places along its line that
//! crosses no outline and no other label, or else the place with the fewest
//! crossings; it is a search over candidates, not a proof that no better place
//! exists. Dimension lines that would run into one another are set further off.

use crate::drawing::{Item, Shape, line, polyline};
use crate::label::{corners, count_crossings, overlap, span};
use crate::pens::THIN;
use crate::text::{Anchor, Setter, Style, TextLine};
use kurbo::{Point, Vec2};
use rondure_plan::figure::Dimension;

/// Letters of a label, points: 3.9 mm, above the 3.5 mm usual on drawings of this size.
pub const LETTERS: Style = Style::regular(11.0);
/// Length of an arrow, mm.
const ARROW: f64 = 3.0;
/// Half its width, mm.
const ARROW_HALF: f64 = 0.55;
/// Least distance of a dimension line from what it measures, mm.
const LEAST_OFFSET: f64 = 8.0;
/// Distance between neighbouring dimension lines, mm.
const APART: f64 = 7.0;
/// Places beyond each end of a line that are tried for its label, 3 mm apart.
const FURTHEST: u32 = 10;
/// Width at which a note is broken into lines, mm.
const NOTE_WIDTH: f64 = 55.0;
/// A note nearer to its point and shorter than this stands without a leader, mm.
const NEAR: f64 = 10.0;
/// Air between a label and its line, mm.
const GAP: f64 = 1.2;

/// Lays dimensions round an outline.
pub struct Dimensions<'a> {
    setter: &'a mut Setter,
    /// Segments of the outline a label should not cross.
    outline: Vec<(Point, Point)>,
    /// Boxes of labels that stand already: four corners each.
    labels: Vec<[Point; 4]>,
    /// Dimension lines that stand already.
    lines: Vec<(Point, Point)>,
    /// Extension lines that stand already.
    extensions: Vec<(Point, Point)>,
    /// Lines, arrows and letters.
    pub drawn: Vec<Item>,
    /// White boxes behind the letters; to be drawn after the hatching and before the outline.
    pub cleared: Vec<Item>,
}

impl<'a> Dimensions<'a> {
    /// Begins with the outline's segments on paper.
    pub fn new(setter: &'a mut Setter, outline: Vec<(Point, Point)>) -> Self {
        Self {
            setter,
            outline,
            labels: Vec::new(),
            lines: Vec::new(),
            extensions: Vec::new(),
            drawn: Vec::new(),
            cleared: Vec::new(),
        }
    }

    /// Draws all dimensions: short names at their points first, for they cannot give way, then
    /// what is measured, then notes with leaders, which have the most room to move.
    pub fn add_all(
        &mut self,
        dimensions: &[Dimension],
        paper: &dyn Fn([f64; 2]) -> Point,
        factor: f64,
    ) {
        let mut turn = |dimension: &Dimension| match dimension {
            Dimension::Note { at, text_at, label } => {
                let width = self.setter.line(label, LETTERS).width;
                if stands_near(paper(*at), paper(*text_at), width) {
                    0
                } else {
                    2
                }
            }
            _ => 1,
        };
        let turns: Vec<u8> = dimensions.iter().map(&mut turn).collect();
        for now in 0..3 {
            for (dimension, turn) in dimensions.iter().zip(&turns) {
                if *turn == now {
                    self.add(dimension, paper, factor);
                }
            }
        }
    }

    /// Draws one dimension; `paper` takes a point of the figure to the page, `factor` is the scale.
    fn add(&mut self, dimension: &Dimension, paper: &dyn Fn([f64; 2]) -> Point, factor: f64) {
        match dimension {
            Dimension::Length {
                from,
                to,
                offset,
                label,
            } => self.length(paper(*from), paper(*to), offset * factor, label),
            Dimension::Diameter {
                centre,
                radius,
                angle,
                label,
            } => {
                let arm = Vec2::new(angle.cos(), -angle.sin()) * (radius * factor);
                let centre = paper(*centre);
                self.measured(centre - arm, centre + arm, true, true, label);
            }
            Dimension::Radius {
                centre,
                radius,
                angle,
                label,
            } => {
                let arm = Vec2::new(angle.cos(), -angle.sin()) * (radius * factor);
                let centre = paper(*centre);
                self.measured(centre, centre + arm, false, true, label);
            }
            Dimension::Note { at, text_at, label } => {
                self.note(paper(*at), paper(*text_at), label);
            }
        }
    }

    fn length(&mut self, from: Point, to: Point, offset: f64, label: &str) {
        let way = to - from;
        if way.hypot() < 1e-9 {
            // Nothing to measure between: the words still stand there.
            return self.note(from, from, label);
        }
        let along = way / way.hypot();
        // Left of the way as the reader sees it; y points down.
        let left = Vec2::new(along.y, -along.x);
        let side = if offset < 0.0 { -1.0 } else { 1.0 };
        let mut distance = offset.abs();
        if offset != 0.0 {
            distance = distance.max(LEAST_OFFSET);
            let place =
                |distance: f64| (from + left * side * distance, to + left * side * distance);
            while self.runs_into(place(distance)) {
                distance += 1.0;
            }
        }
        let shift = left * side * distance;
        let (a, b) = (from + shift, to + shift);
        if distance > 0.0 {
            for (start, end) in [(from, a), (to, b)] {
                let out = left * side;
                let (start, end) = (start + out, end + out * 1.5);
                self.extensions.push((start, end));
                self.drawn.push(Shape::stroked(line(start, end), THIN));
            }
        }
        self.measured(a, b, true, true, label);
    }

    /// Whether a dimension line would cross a label or stand too near a parallel line.
    fn runs_into(&self, (a, b): (Point, Point)) -> bool {
        if self
            .labels
            .iter()
            .any(|label| overlap(&[a, b, b, a], label))
        {
            return true;
        }
        let length = (b - a).hypot();
        let along = (b - a) / length;
        self.lines.iter().any(|(c, d)| {
            let other = (*d - *c) / (*d - *c).hypot();
            let (start, end) = ((*c - a).dot(along), (*d - a).dot(along));
            let overlaps = start.max(end) > -1.0 && start.min(end) < length + 1.0;
            along.cross(other).abs() < 0.02 && along.cross(*c - a).abs() < APART && overlaps
        })
    }

    /// A line from `a` to `b` with arrows at the chosen ends and its label.
    fn measured(&mut self, a: Point, b: Point, at_a: bool, at_b: bool, label: &str) {
        let length = (b - a).hypot();
        if length < 1e-9 {
            return self.note(a, a, label);
        }
        let along = (b - a) / length;
        let text = self.setter.line(label, LETTERS);
        let arrows = f64::from(u8::from(at_a) + u8::from(at_b));
        // Where the arrows do not fit between the ends they point in from outside.
        let inside = length >= arrows * ARROW + 2.0;
        let reach = if inside { 0.0 } else { ARROW + 2.0 };
        let mut start = if at_a { a - along * reach } else { a };
        let mut end = if at_b { b + along * reach } else { b };
        let (at, turn) = self.place_label(&text, a, b, reach);
        // The line runs on under a label that stands beyond its ends.
        let (from, to) = span(&text, at, turn, a, along);
        if from < -1e-9 && to <= length * 0.5 {
            start = a + along * from.min((start - a).dot(along));
        }
        if to > length + 1e-9 && from >= length * 0.5 {
            end = a + along * to.max((end - a).dot(along));
        }
        self.drawn.push(Shape::stroked(line(start, end), THIN));
        let inward = if inside { 1.0 } else { -1.0 };
        if at_a {
            self.drawn.push(arrow(a, -along * inward));
        }
        if at_b {
            self.drawn.push(arrow(b, along * inward));
        }
        self.lines.push((start, end));
        self.letter(text, at, turn);
    }

    /// The best place for a label by the line: where its baseline starts, and its angle.
    fn place_label(&self, text: &TextLine, a: Point, b: Point, reach: f64) -> (Point, f64) {
        let length = (b - a).hypot();
        let along = (b - a) / length;
        // Readable from below or from the right.
        let mut turn = -along.y.atan2(along.x);
        let flipped = !(-std::f64::consts::FRAC_PI_2 + 1e-6..=std::f64::consts::FRAC_PI_2 + 1e-6)
            .contains(&turn);
        if flipped {
            turn += if turn > 0.0 {
                -std::f64::consts::PI
            } else {
                std::f64::consts::PI
            };
        }
        let reading = Vec2::new(turn.cos(), -turn.sin());
        let up = Vec2::new(reading.y, -reading.x);
        let half = text.width / 2.0 + 0.5;
        let mut middles: Vec<f64> = [0.5, 0.35, 0.65, 0.25, 0.75]
            .map(|share| share * length)
            .to_vec();
        middles.retain(|middle| (half..=length - half).contains(middle));
        // Each place with what it costs to take it: far from the middle is worse.
        let mut places: Vec<(f64, f64)> = middles.into_iter().map(|middle| (middle, 0.0)).collect();
        for step in 0..FURTHEST {
            let beyond = reach + half + 0.5 + 3.0 * f64::from(step);
            let cost = 0.3 + 0.15 * f64::from(step);
            places.extend([(length + beyond, cost), (-beyond, cost)]);
        }
        let mut best = (f64::INFINITY, a, turn);
        for (middle, far) in places {
            for above in [true, false] {
                let lift = if above {
                    GAP
                } else {
                    -GAP - text.ascent * 0.95
                };
                let at = a + along * middle - reading * (text.width / 2.0) + up * lift;
                let cost = self.cost(text, at, turn) + far + if above { 0.0 } else { 0.25 };
                if cost < best.0 {
                    best = (cost, at, turn);
                }
            }
        }
        (best.1, best.2)
    }

    /// How many things a label would cross; other labels weigh most.
    fn cost(&self, text: &TextLine, at: Point, turn: f64) -> f64 {
        let corners = corners(text, at, turn, 0.6);
        let outline = count_crossings(&self.outline, &corners);
        let lines =
            count_crossings(&self.lines, &corners) + count_crossings(&self.extensions, &corners);
        let labels = self
            .labels
            .iter()
            .filter(|other| overlap(other, &corners))
            .count();
        (outline + lines) as f64 + 10.0 * labels as f64
    }

    fn note(&mut self, at: Point, text_at: Point, label: &str) {
        let short = self.setter.line(label, LETTERS);
        if stands_near(at, text_at, short.width) {
            // A short name beside its point needs no leader; it stands centred where it is asked.
            let half = Vec2::new(short.width / 2.0, -short.ascent / 2.0);
            return self.letter(short, text_at - half, 0.0);
        }
        let lines = self.setter.paragraph(label, LETTERS, NOTE_WIDTH);
        let leftward = text_at.x < at.x - 1e-9;
        let start = |line: &TextLine, index: usize, point: Point| {
            let x = if leftward {
                point.x - line.width
            } else {
                point.x
            };
            let below = LETTERS.leading() * index as f64;
            Point::new(x, point.y + line.ascent / 2.0 + below)
        };
        // Step away, up and down in turn and outwards, until the words stand clear.
        let mut best = (f64::INFINITY, text_at);
        for out in 0..14 {
            for step in 0..9 {
                let away = f64::from((step + 1) / 2) * if step % 2 == 0 { 2.5 } else { -2.5 };
                let aside = 3.0 * f64::from(out) * if leftward { -1.0 } else { 1.0 };
                let point = text_at + Vec2::new(aside, away);
                let crossed: f64 = lines
                    .iter()
                    .enumerate()
                    .map(|(index, line)| self.cost(line, start(line, index, point), 0.0))
                    .sum();
                let cost = crossed + 0.03 * f64::from(step) + 0.06 * f64::from(out);
                if cost < best.0 {
                    best = (cost, point);
                }
            }
        }
        let point = best.1;
        let elbow = point + Vec2::new(if leftward { 1.0 } else { -1.0 }, 0.0);
        let way = at - elbow;
        if way.hypot() > 1.0 {
            let along = way / way.hypot();
            self.drawn.push(Shape::stroked(line(elbow, at), THIN));
            self.drawn.push(arrow(at, along));
            self.lines.push((elbow, at));
        }
        for (index, line) in lines.into_iter().enumerate() {
            let place = start(&line, index, point);
            self.letter(line, place, 0.0);
        }
    }

    fn letter(&mut self, text: TextLine, at: Point, turn: f64) {
        self.labels.push(corners(&text, at, turn, 0.6));
        let ground = corners(&text, at, turn, 0.4);
        self.cleared
            .push(Shape::filled(polyline(&ground, true), 1.0));
        self.drawn.push(text.turned(at, Anchor::Start, turn, 0.0));
    }
}

/// Whether a note of a width is a short name that stands beside its point without a leader.
fn stands_near(at: Point, text_at: Point, width: f64) -> bool {
    (text_at - at).hypot() < NEAR && width < NEAR
}

/// A filled arrowhead with its tip at `tip`, pointing along `way` (of length 1).
fn arrow(tip: Point, way: Vec2) -> Item {
    let back = tip - way * ARROW;
    let side = Vec2::new(-way.y, way.x) * ARROW_HALF;
    Shape::filled(polyline(&[tip, back + side, back - side], true), 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbouring_dimension_lines_keep_their_distance() {
        let mut setter = Setter::new();
        let mut dimensions = Dimensions::new(&mut setter, Vec::new());
        let paper = |p: [f64; 2]| Point::new(p[0], -p[1]);
        for label in ["40 mm", "60 mm"] {
            dimensions.add(
                &Dimension::Length {
                    from: [0.0, 0.0],
                    to: [60.0, 0.0],
                    offset: -8.0,
                    label: label.to_owned(),
                },
                &paper,
                1.0,
            );
        }
        let (first, second) = (dimensions.lines[0], dimensions.lines[1]);
        // Right of the way to the right is below: a larger y.
        assert!((first.0.y - 8.0).abs() < 1e-9);
        assert!(second.0.y - first.0.y >= APART - 1e-9);
        assert!(!overlap(&dimensions.labels[0], &dimensions.labels[1]));
    }

    #[test]
    fn a_label_keeps_off_the_outline_where_there_is_room() {
        let mut setter = Setter::new();
        // An upright line through the middle of the dimension line.
        let outline = vec![(Point::new(50.0, -20.0), Point::new(50.0, 20.0))];
        let mut dimensions = Dimensions::new(&mut setter, outline.clone());
        let paper = |p: [f64; 2]| Point::new(p[0], -p[1]);
        let dimension = Dimension::Length {
            from: [0.0, 0.0],
            to: [100.0, 0.0],
            offset: 0.0,
            label: "100 mm".to_owned(),
        };
        dimensions.add(&dimension, &paper, 1.0);
        assert_eq!(count_crossings(&outline, &dimensions.labels[0]), 0);
    }
}
