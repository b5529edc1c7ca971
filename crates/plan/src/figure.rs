//! Figures: what the sheets draw, as plain data in millimetres.
//!
//! The plan works figures out from the true solid; `sheet` only lays them on
//! paper. A point is `[right, up]` in the figure's own plane. Nothing here
//! knows paper sizes, pens or fonts.

mod card;

pub use card::{CardLine, Edge, Label, Outline, Template};

use serde::Serialize;

/// A dimensioned drawing. Scale is chosen by the sheet, unless `full_size` asks for 1 : 1.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// Stable identifier, e.g. `ball.section.equator`.
    pub id: String,
    /// Title in the turner's words.
    pub title: String,
    /// One line below the title; may be empty.
    pub note: String,
    /// Whether it must be printed at true size.
    pub full_size: bool,
    /// Outlines and lines.
    pub lines: Vec<Line>,
    /// Sizes written on the drawing.
    pub dimensions: Vec<Dimension>,
}

/// A run of straight segments.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// Corners in order.
    pub points: Vec<[f64; 2]>,
    /// Whether the last point joins the first.
    pub closed: bool,
    /// How it is drawn.
    pub kind: LineKind,
}

/// What a line stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum LineKind {
    /// Outline of cut wood. All closed lines of this kind in one figure are hatched together, even-odd.
    Section,
    /// An edge that is seen.
    Seen,
    /// An edge behind wood.
    Hidden,
    /// An axis.
    Axis,
    /// A construction or helper line.
    Thin,
}

/// A size written on a drawing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Dimension {
    /// The straight distance between two points, its line set off sideways by `offset` mm
    /// (of the drawing's own size; positive is left of the way from `from` to `to`).
    Length {
        /// First point.
        from: [f64; 2],
        /// Second point.
        to: [f64; 2],
        /// Distance of the dimension line from the measured one.
        offset: f64,
        /// What is written, with its unit.
        label: String,
    },
    /// A diameter, drawn as a line through the centre at `angle` (radians from right, counter-clockwise).
    Diameter {
        /// Centre.
        centre: [f64; 2],
        /// Half of it.
        radius: f64,
        /// Direction of the line.
        angle: f64,
        /// What is written, with its unit.
        label: String,
    },
    /// A radius, drawn from the centre towards `angle`.
    Radius {
        /// Centre.
        centre: [f64; 2],
        /// The radius.
        radius: f64,
        /// Direction of the line.
        angle: f64,
        /// What is written, with its unit.
        label: String,
    },
    /// Words with a leader to a point.
    Note {
        /// The point meant.
        at: [f64; 2],
        /// Where the words stand.
        text_at: [f64; 2],
        /// The words.
        label: String,
    },
}

/// A straight strip of card to wrap round the work, at true size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Strip {
    /// Stable identifier, e.g. `ball.strip.equator`.
    pub id: String,
    /// Title in the turner's words.
    pub title: String,
    /// How to use it; one or two sentences.
    pub note: String,
    /// Length once round, mm.
    pub length: f64,
    /// Marks, in order along the strip.
    pub marks: Vec<StripMark>,
}

/// One mark on a strip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StripMark {
    /// Distance from the strip's start, mm.
    pub at: f64,
    /// What stands beside it.
    pub label: String,
    /// Whether it is drawn long (a mark to hold on) or short (a helper).
    pub main: bool,
}

/// Everything the packet draws besides the report's words.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Figures {
    /// Dimensioned drawings.
    pub drawings: Vec<Figure>,
    /// Strips at true size.
    pub strips: Vec<Strip>,
    /// Cards at true size.
    pub templates: Vec<Template>,
}
