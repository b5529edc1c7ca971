//! A sketch: lines and words in millimetres of the thing, laid on paper at any scale.
//!
//! Points are (right, up). A sketch is not to measure from: it is as large as its room
//! allows, and nobody has to know its scale.

use crate::drawing::{Group, Item, Role, Shape, bounds, moved, polyline, rectangle};
use crate::drawing::{Pen, arc};
use crate::hatch::hatch;
use crate::pens::{HATCH, HIDDEN};
use crate::text::{Anchor, Setter, Style, TextLine};
use kurbo::{BezPath, Point, Vec2};
use rondure_solid::DVec2;

use super::shaded::Tone;

/// Outlines against the air.
const OUTLINE: Pen = Pen {
    width: 0.4,
    dashes: &[],
};
/// Edges that are seen.
const EDGE: Pen = Pen {
    width: 0.25,
    dashes: &[],
};
/// What holds the wood.
const HOLDER: Pen = Pen {
    width: 0.25,
    dashes: &[],
};
/// Lines drawn on the wood with a pencil.
const PENCIL: Pen = Pen {
    width: 0.25,
    dashes: &[1.6, 0.8],
};
/// The lathe's axis.
const AXIS: Pen = Pen {
    width: 0.18,
    dashes: &[6.0, 0.9, 0.5, 0.9],
};
/// What the tools will cut to.
const PATH: Pen = Pen {
    width: 0.35,
    dashes: &[2.4, 1.2],
};
/// Distance of hatching lines, mm on paper.
const HATCHING: f64 = 1.6;
/// Words beside a sketch, points.
const NAME: Style = Style::regular(9.5);
/// Numbers of marks, points.
const MARK: Style = Style::bold(11.0);
/// Radius of a mark's dot, mm on paper.
const DOT: f64 = 0.8;

/// A drawing without a scale.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sketch {
    /// Identifier, for the group of items.
    pub id: String,
    /// The words that stand for it to a reader who cannot see it.
    pub words: String,
    /// Tones under the lines, the lightest first.
    pub tones: Vec<Tone>,
    /// The wood's lines.
    pub wood: Vec<Stroke>,
    /// Closed outlines of cut wood, hatched together, even-odd.
    pub cut: Vec<Vec<DVec2>>,
    /// Bodies that stand before the wood and hide it: closed outlines.
    pub grounds: Vec<Vec<DVec2>>,
    /// Lines over all that.
    pub over: Vec<Stroke>,
    /// Marks with their numbers.
    pub labels: Vec<Label>,
    /// What stands at the headstock's and at the tailstock's end.
    pub ends: [String; 2],
}

/// A line of a sketch.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Its points, mm.
    pub points: Vec<DVec2>,
    /// Whether the last joins the first.
    pub closed: bool,
    /// What it is.
    pub kind: StrokeKind,
}

/// Sorts of lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StrokeKind {
    /// The wood's outline against the air, or the outline of a section.
    Outline,
    /// An edge of the wood that is seen.
    Edge,
    /// What holds the wood, where it is seen.
    Holder,
    /// The same behind wood or within itself.
    HolderHidden,
    /// A pencil line on the wood, where it is seen.
    Pencil,
    /// The lathe's axis.
    Axis,
    /// What a tool will cut to.
    Path,
}

/// A mark and its number.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Where the mark is, mm.
    pub at: DVec2,
    /// The way from the mark to its number: out of the wood as it is seen.
    pub away: DVec2,
    /// The number.
    pub words: String,
}

/// A sketch on paper, its box beginning at the origin.
#[derive(Debug, Clone)]
pub struct LaidSketch {
    /// The drawing.
    pub item: Item,
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
}

impl StrokeKind {
    /// The pen that draws it.
    pub(crate) fn pen(self) -> Pen {
        match self {
            Self::Outline => OUTLINE,
            Self::Edge => EDGE,
            Self::Holder => HOLDER,
            Self::HolderHidden => HIDDEN,
            Self::Pencil => PENCIL,
            Self::Axis => AXIS,
            Self::Path => PATH,
        }
    }
}

impl Sketch {
    /// The least and the greatest of all points, mm; none for an empty sketch.
    pub fn extent(&self) -> Option<(DVec2, DVec2)> {
        let strokes = self.wood.iter().chain(&self.over);
        let mut points = strokes
            .flat_map(|stroke| &stroke.points)
            .chain(self.cut.iter().flatten());
        let first = *points.next()?;
        Some(points.fold((first, first), |(low, high), point| {
            (low.min(*point), high.max(*point))
        }))
    }

    /// Lays the sketch out as large as a room of `width` by `height` mm allows, though never
    /// more than `most` times the thing's size; none for an empty sketch.
    pub(crate) fn laid(
        &self,
        setter: &mut Setter,
        width: f64,
        height: f64,
        most: f64,
    ) -> Option<LaidSketch> {
        let (low, high) = self.extent()?;
        let size = (high - low).max(DVec2::splat(1e-6));
        let names = self.ends.iter().any(|name| !name.is_empty());
        let below = if names { 6.0 } else { 0.0 };
        // Numbers stand outside the lines: the scale gives way to them.
        let mut scale = (width / size.x).min((height - below) / size.y).min(most);
        for _ in 0..12 {
            let laid = self.at_scale(setter, scale, width);
            if laid.width <= width + 1e-6 && laid.height <= height + 1e-6 {
                return Some(laid);
            }
            scale *= 0.96;
        }
        Some(self.at_scale(setter, scale, width))
    }

    fn at_scale(&self, setter: &mut Setter, scale: f64, room: f64) -> LaidSketch {
        let paper = |p: &DVec2| Point::new(p.x * scale, -p.y * scale);
        let path = |points: &[DVec2], closed: bool| {
            polyline(&points.iter().map(paper).collect::<Vec<_>>(), closed)
        };
        let mut items: Vec<Item> = self
            .tones
            .iter()
            .map(|tone| {
                let mut filled = BezPath::new();
                for outline in &tone.outlines {
                    filled.extend(path(outline, true));
                }
                Shape::filled(filled, tone.shade)
            })
            .collect();
        let cut: Vec<Vec<Point>> = self
            .cut
            .iter()
            .map(|outline| outline.iter().map(paper).collect())
            .collect();
        let hatching = hatch(&cut, HATCHING);
        if !hatching.is_empty() {
            items.push(Shape::stroked(hatching, HATCH));
        }
        let stroke = |stroke: &Stroke| {
            Shape::stroked(path(&stroke.points, stroke.closed), stroke.kind.pen())
        };
        items.extend(self.wood.iter().map(stroke));
        items.extend(
            self.grounds
                .iter()
                .map(|ground| Shape::filled(path(ground, true), 1.0)),
        );
        items.extend(self.over.iter().map(stroke));
        for label in &self.labels {
            items.extend(marked(setter, paper(&label.at), label));
        }
        if let Some(frame) = bounds(&items) {
            // Two names stand at the two ends, or where they would meet, either side of the middle.
            let y = frame.y1 + 4.6;
            let half = (room - 6.0) / 2.0;
            let [head, tail] = self
                .ends
                .each_ref()
                .map(|name| setter.line_within(name, NAME, half));
            let middle = (frame.x0 + frame.x1) / 2.0;
            let meet = head.width.max(tail.width) + 2.0 > frame.width() / 2.0;
            let (left, right) = if meet {
                (middle - 2.0 - head.width, middle + 2.0)
            } else {
                (frame.x0, frame.x1 - tail.width)
            };
            for (line, x) in [(head, left), (tail, right)] {
                if line.width > 0.0 {
                    items.push(line.placed(Point::new(x, y), Anchor::Start));
                }
            }
        }
        let frame = bounds(&items).unwrap_or_default();
        let items = moved(items, Vec2::new(-frame.x0, -frame.y0));
        LaidSketch {
            item: Group::item(self.id.clone(), Role::Picture(self.words.clone()), items),
            width: frame.width(),
            height: frame.height(),
        }
    }
}

/// A dot and its number on clear ground beside it.
fn marked(setter: &mut Setter, at: Point, label: &Label) -> Vec<Item> {
    let line: TextLine = setter.line(&label.words, MARK);
    // A mark that faces the eye has its number above it.
    let away = Vec2::new(label.away.x, -label.away.y);
    let away = if away.hypot() < 0.35 {
        Vec2::new(0.0, -1.0)
    } else {
        away / away.hypot()
    };
    let tall = line.size * 0.73 / crate::drawing::POINTS_PER_MM;
    let reach = DOT + 0.9;
    let centre = at
        + Vec2::new(
            away.x * (reach + line.width / 2.0),
            away.y * (reach + tall / 2.0),
        );
    let ground = rectangle(
        centre.x - line.width / 2.0 - 0.4,
        centre.y - tall / 2.0 - 0.4,
        line.width + 0.8,
        tall + 0.8,
    );
    let base = Point::new(centre.x, centre.y + tall / 2.0);
    vec![
        Shape::filled(ground, 1.0),
        Shape::filled(arc(at, DOT, 0.0, std::f64::consts::TAU), 0.0),
        line.placed(base, Anchor::Middle),
    ]
}
