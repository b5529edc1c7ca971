//! Templates of card: what is cut out and marked at true size.
//!
//! Plain data in millimetres, `[right, up]`, angles counter-clockwise. Arcs are
//! exact: a cutter can follow them, and a test can measure them.

use serde::Serialize;

/// A card, or several that are printed together, at true size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Template {
    /// Stable identifier and name on the command line, e.g. `gauge.cove`.
    pub id: String,
    /// Title in the turner's words.
    pub title: String,
    /// How to use it, in a sentence or two.
    pub note: String,
    /// Lines to cut and to mark.
    pub outlines: Vec<Outline>,
    /// Words written on the card or beside it.
    pub labels: Vec<Label>,
}

/// A run of straight edges and arcs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outline {
    /// Where it begins.
    pub start: [f64; 2],
    /// Its edges in order.
    pub edges: Vec<Edge>,
    /// Whether the last edge's end joins the start.
    pub closed: bool,
    /// What is done with it.
    pub line: CardLine,
}

/// One edge, from the end of the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Edge {
    /// A straight edge.
    Line {
        /// Where it ends.
        to: [f64; 2],
    },
    /// A circular arc; where it ends at its own begin it is the whole circle.
    Arc {
        /// Where it ends.
        to: [f64; 2],
        /// Centre of its circle.
        centre: [f64; 2],
        /// Whether it turns counter-clockwise.
        left: bool,
    },
}

/// What is done with a line of a template.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum CardLine {
    /// Cut here.
    Cut,
    /// Mark the work from here.
    Mark,
    /// Lay something level with it.
    Help,
}

/// Words on a template.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Label {
    /// Where the words stand: their begin or middle, on the line they are written on.
    pub at: [f64; 2],
    /// The words.
    pub text: String,
    /// Whether `at` is their middle; else their begin.
    pub centred: bool,
    /// Whether they read upwards.
    pub upright: bool,
    /// Whether they are the card's name: larger and bold.
    pub name: bool,
    /// Longest they may be, mm.
    pub room: f64,
}

impl Outline {
    /// A whole circle.
    pub fn circle(centre: [f64; 2], radius: f64, line: CardLine) -> Self {
        let start = [centre[0] + radius, centre[1]];
        Self {
            start,
            edges: vec![Edge::Arc {
                to: start,
                centre,
                left: true,
            }],
            closed: true,
            line,
        }
    }

    /// A run of straight edges.
    pub fn straight(points: &[[f64; 2]], closed: bool, line: CardLine) -> Self {
        Self {
            start: points.first().copied().unwrap_or_default(),
            edges: points
                .iter()
                .skip(1)
                .map(|to| Edge::Line { to: *to })
                .collect(),
            closed,
            line,
        }
    }

    /// An upright box from its lower left corner.
    pub fn rectangle([x, y]: [f64; 2], width: f64, height: f64, line: CardLine) -> Self {
        let corners = [
            [x, y],
            [x + width, y],
            [x + width, y + height],
            [x, y + height],
        ];
        Self::straight(&corners, true, line)
    }
}

impl Label {
    /// Words that begin at a place.
    pub fn small(at: [f64; 2], room: f64, text: impl Into<String>) -> Self {
        Self {
            at,
            text: text.into(),
            centred: false,
            upright: false,
            name: false,
            room,
        }
    }

    /// A card's name that begins at a place.
    pub fn name(at: [f64; 2], room: f64, text: impl Into<String>) -> Self {
        Self {
            name: true,
            ..Self::small(at, room, text)
        }
    }

    /// The same words, `at` being their middle.
    pub fn centred(self) -> Self {
        Self {
            centred: true,
            ..self
        }
    }

    /// The same words, reading upwards.
    pub fn upright(self) -> Self {
        Self {
            upright: true,
            ..self
        }
    }
}
