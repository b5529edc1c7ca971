//! The drawing: what stands on one sheet of paper, in millimetres.
//!
//! A page's origin is its top left corner; x runs right, y runs **down**; angles
//! are in radians, counter-clockwise as the reader sees them. Everything is
//! a vector: paths with a pen or a fill, outlines of templates, and lines of set
//! text. The same items are written to PDF ([`pdf`](crate::pdf)), SVG
//! ([`svg`](crate::svg)) and DXF ([`dxf`](crate::dxf)) with the same coordinates;
//! only DXF turns y round, since it runs up there.
//!
//! Shades are from 0 (black) to 1 (white paper). No meaning rests on a shade:
//! a sheet must work on any black-and-white printer.

use crate::outline::Outline;
use crate::pens::pen_of_layer;
use crate::text::TextLine;
use kurbo::{Affine, Arc, BezPath, Point, Rect, Shape as _, Vec2};

/// Points (1/72 in) in one millimetre; an inch is 25.4 mm exactly.
pub const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Curves are turned into cubic pieces that stay within this of the true arc, mm.
pub(crate) const ARC_TOLERANCE: f64 = 1e-4;

/// One sheet.
#[derive(Debug, Clone)]
pub struct Page {
    /// Width of the paper, mm.
    pub width: f64,
    /// Height of the paper, mm.
    pub height: f64,
    /// What stands on it, in drawing order, which is also the reading order.
    pub items: Vec<Item>,
}

/// Something drawn.
#[derive(Debug, Clone)]
pub enum Item {
    /// A path.
    Shape(Shape),
    /// A line of a template, its arcs kept as arcs.
    Outline(Outline),
    /// Items seen through an upright window; what lies outside it is not drawn.
    Window(Window),
    /// A line of text.
    Text(Text),
    /// Several items that belong together.
    Group(Group),
}

/// A path with a pen, a fill or both.
#[derive(Debug, Clone)]
pub struct Shape {
    /// The path, mm.
    pub path: BezPath,
    /// How its line is drawn.
    pub pen: Option<Pen>,
    /// How its inside is filled, even-odd.
    pub fill: Option<Shade>,
}

/// Items seen through an upright window.
#[derive(Debug, Clone)]
pub struct Window {
    /// The window, mm.
    pub frame: Rect,
    /// The items.
    pub items: Vec<Item>,
}

/// From 0, black, to 1, white.
pub type Shade = f64;

/// A line's width and dashes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Width, mm.
    pub width: f64,
    /// Lengths of dash and gap in turn, mm; empty for a continuous line.
    pub dashes: &'static [f64],
}

/// A line of text that has been set.
#[derive(Debug, Clone)]
pub struct Text {
    /// Where the baseline begins, mm.
    pub at: Point,
    /// How far the baseline is turned, radians counter-clockwise.
    pub angle: f64,
    /// Shade of the letters.
    pub shade: Shade,
    /// The set line.
    pub line: TextLine,
}

/// Items that belong together under a name.
///
/// Neighbouring groups with the same name and role on following pages are one
/// thing to a screen reader: a paragraph that runs over lines or pages.
#[derive(Debug, Clone)]
pub struct Group {
    /// Name, e.g. the identifier of a step.
    pub name: String,
    /// What a screen reader makes of it.
    pub role: Role,
    /// The items.
    pub items: Vec<Item>,
}

/// What a group is to a reader who cannot see the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Role {
    /// A heading: 1 for a sheet, 2 for a part of it.
    Heading(u8),
    /// Running text.
    Paragraph,
    /// A drawing, with the words that stand for it.
    Picture(String),
    /// Not read out: rules, boxes, page numbers.
    Decoration,
}

impl Shape {
    /// A path drawn with a pen.
    pub fn stroked(path: BezPath, pen: Pen) -> Item {
        Item::Shape(Self {
            path,
            pen: Some(pen),
            fill: None,
        })
    }

    /// A path filled with a shade.
    pub fn filled(path: BezPath, shade: Shade) -> Item {
        Item::Shape(Self {
            path,
            pen: None,
            fill: Some(shade),
        })
    }
}

impl Group {
    /// A group as an item.
    pub fn item(name: impl Into<String>, role: Role, items: Vec<Item>) -> Item {
        Item::Group(Self {
            name: name.into(),
            role,
            items,
        })
    }
}

impl Item {
    /// The same item moved by a vector, mm.
    pub fn moved(self, by: Vec2) -> Self {
        match self {
            Self::Shape(mut shape) => {
                shape.path.apply_affine(Affine::translate(by));
                Self::Shape(shape)
            }
            Self::Text(mut text) => {
                text.at += by;
                Self::Text(text)
            }
            Self::Outline(outline) => Self::Outline(outline.moved(by)),
            Self::Window(window) => Self::Window(Window {
                frame: window.frame + by,
                items: moved(window.items, by),
            }),
            Self::Group(mut group) => {
                group.items = moved(group.items, by);
                Self::Group(group)
            }
        }
    }

    /// The same item enlarged about the origin, letters with it; pens keep their width.
    pub fn enlarged(self, factor: f64) -> Self {
        match self {
            Self::Shape(mut shape) => {
                shape.path.apply_affine(Affine::scale(factor));
                Self::Shape(shape)
            }
            Self::Text(text) => Self::Text(Text {
                at: (text.at.to_vec2() * factor).to_point(),
                line: text.line.enlarged(factor),
                ..text
            }),
            Self::Outline(outline) => Self::Outline(outline.enlarged(factor)),
            Self::Window(window) => Self::Window(Window {
                frame: window.frame.scale_from_origin(factor),
                items: enlarged(window.items, factor),
            }),
            Self::Group(mut group) => {
                group.items = enlarged(group.items, factor);
                Self::Group(group)
            }
        }
    }

    /// The smallest upright box round the item, pens' widths included; none for an empty one.
    pub fn bounds(&self) -> Option<Rect> {
        match self {
            Self::Shape(shape) => {
                if shape.path.is_empty() {
                    return None;
                }
                let half = shape.pen.map_or(0.0, |pen| pen.width / 2.0);
                Some(shape.path.bounding_box().inflate(half, half))
            }
            Self::Text(text) => Some(text.bounds()),
            Self::Outline(outline) => {
                let half = pen_of_layer(outline.layer).width / 2.0;
                Some(outline.to_path().bounding_box().inflate(half, half))
            }
            Self::Window(window) => {
                let seen = bounds(&window.items)?.intersect(window.frame);
                (seen.width() >= 0.0 && seen.height() >= 0.0).then_some(seen)
            }
            Self::Group(group) => bounds(&group.items),
        }
    }
}

impl Text {
    /// The four corners of the box from ascender to descender, in order.
    pub fn corners(&self) -> [Point; 4] {
        let along = Vec2::new(self.angle.cos(), -self.angle.sin());
        let up = Vec2::new(along.y, -along.x);
        let (ascent, descent) = (self.line.ascent, self.line.descent);
        let end = self.at + along * self.line.width;
        [
            self.at - up * descent,
            end - up * descent,
            end + up * ascent,
            self.at + up * ascent,
        ]
    }

    /// The smallest upright box round the text.
    pub fn bounds(&self) -> Rect {
        let [a, b, c, d] = self.corners();
        Rect::from_points(a, c).union(Rect::from_points(b, d))
    }
}

/// All items moved by a vector, mm.
pub fn moved(items: Vec<Item>, by: Vec2) -> Vec<Item> {
    items.into_iter().map(|item| item.moved(by)).collect()
}

/// All items enlarged about the origin.
pub fn enlarged(items: Vec<Item>, factor: f64) -> Vec<Item> {
    items
        .into_iter()
        .map(|item| item.enlarged(factor))
        .collect()
}

/// The smallest upright box round all items; none where nothing is drawn.
pub fn bounds(items: &[Item]) -> Option<Rect> {
    items
        .iter()
        .filter_map(Item::bounds)
        .reduce(|a, b| a.union(b))
}

/// A straight line.
pub fn line(from: Point, to: Point) -> BezPath {
    polyline(&[from, to], false)
}

/// A run of straight lines.
pub fn polyline(points: &[Point], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    for (index, point) in points.iter().enumerate() {
        if index == 0 {
            path.move_to(*point);
        } else {
            path.line_to(*point);
        }
    }
    if closed && !points.is_empty() {
        path.close_path();
    }
    path
}

/// An upright box.
pub fn rectangle(x: f64, y: f64, width: f64, height: f64) -> BezPath {
    Rect::new(x, y, x + width, y + height).to_path(ARC_TOLERANCE)
}

/// A circular arc from the angle `start` through `sweep`, radians counter-clockwise as seen.
pub fn arc(centre: Point, radius: f64, start: f64, sweep: f64) -> BezPath {
    // kurbo's angles grow from x towards y; y points down here.
    Arc::new(centre, Vec2::new(radius, radius), -start, -sweep, 0.0).to_path(ARC_TOLERANCE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arc_turns_counter_clockwise_on_paper_and_keeps_its_radius() {
        let path = arc(
            Point::new(50.0, 50.0),
            20.0,
            0.0,
            std::f64::consts::FRAC_PI_2,
        );
        let points: Vec<Point> = path
            .elements()
            .iter()
            .filter_map(|element| element.end_point())
            .collect();
        let (first, last) = (points[0], points[points.len() - 1]);
        // A quarter turn from the right ends at the top, which is a smaller y.
        assert!((first - Point::new(70.0, 50.0)).hypot() < 1e-9);
        assert!((last - Point::new(50.0, 30.0)).hypot() < 1e-9);
        for segment in path.segments() {
            for step in 0..=20 {
                use kurbo::ParamCurve;
                let point = segment.eval(f64::from(step) / 20.0);
                assert!(((point - Point::new(50.0, 50.0)).hypot() - 20.0).abs() < 2e-4);
            }
        }
    }

    #[test]
    fn moving_a_group_moves_its_box() {
        let item = Group::item(
            "box",
            Role::Decoration,
            vec![Shape::filled(rectangle(1.0, 2.0, 3.0, 4.0), 0.0)],
        );
        let moved = item.moved(Vec2::new(10.0, 20.0)).bounds().unwrap();
        assert_eq!(moved, Rect::new(11.0, 22.0, 14.0, 26.0));
    }
}
