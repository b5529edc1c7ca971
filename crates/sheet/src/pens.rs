//! The lines of a drawing.
//!
//! Line types follow the general convention of technical drawings (ISO 128):
//! seen edges continuous and wide, hidden edges dashed and narrow, axes
//! long-dashed dotted and narrow, dimension lines and hatching continuous and
//! narrow; wide to narrow is two to one. Dashes are given in multiples of the
//! narrow width d: dash 12 d, gap 3 d; long dash 24 d, gap 3 d, dot 0.5 d. The
//! dot is drawn twice that long so that an office printer does not lose it.

use crate::drawing::Pen;
use crate::outline::Layer;
use rondure_plan::figure::LineKind;

/// Wide lines, mm.
const WIDE: f64 = 0.5;
/// Narrow lines, mm.
const NARROW: f64 = 0.25;

/// Seen edges and the outline of cut wood.
pub const SEEN: Pen = Pen {
    width: WIDE,
    dashes: &[],
};
/// Edges behind wood.
pub const HIDDEN: Pen = Pen {
    width: NARROW,
    dashes: &[12.0 * NARROW, 3.0 * NARROW],
};
/// Axes.
pub const AXIS: Pen = Pen {
    width: NARROW,
    dashes: &[24.0 * NARROW, 3.0 * NARROW, NARROW, 3.0 * NARROW],
};
/// Dimension, leader and helper lines, ticks.
pub const THIN: Pen = Pen {
    width: NARROW,
    dashes: &[],
};
/// Hatching: thinner still, so that it never hides a figure.
pub const HATCH: Pen = Pen {
    width: 0.13,
    dashes: &[],
};
/// Rules between parts of a text page.
pub const RULE: Pen = Pen {
    width: 0.35,
    dashes: &[],
};

/// The pen for a kind of line.
pub fn pen_of(kind: LineKind) -> Pen {
    match kind {
        LineKind::Section | LineKind::Seen => SEEN,
        LineKind::Hidden => HIDDEN,
        LineKind::Axis => AXIS,
        LineKind::Thin => THIN,
    }
}

/// The pen for a layer of a template.
pub fn pen_of_layer(layer: Layer) -> Pen {
    match layer {
        Layer::Cut => SEEN,
        Layer::Mark => THIN,
        Layer::Help => HIDDEN,
    }
}
