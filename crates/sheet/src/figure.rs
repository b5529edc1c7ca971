//! A dimensioned figure on paper.
//!
//! The figure's plane is laid on the page at one of the usual scales, the
//! largest at which outline, dimensions and labels stay inside the room given. All
//! closed section outlines of a figure are hatched together, even-odd, so holes
//! stay empty. The figure is drawn where its own box begins at the origin.

use crate::dimension::Dimensions;
use crate::drawing::{Group, Item, Role, Shape, bounds, moved, polyline};
use crate::hatch::hatch;
use crate::pens::{HATCH, pen_of};
use crate::scale::{FULL, SCALES, Scale};
use crate::text::Setter;
use kurbo::{Point, Vec2};
use rondure_plan::figure::{Dimension, Figure, LineKind};

/// Distance between hatching lines, mm on paper.
const HATCHING: f64 = 2.0;

/// A figure laid out at a scale.
#[derive(Debug, Clone)]
pub struct Laid {
    /// The scale.
    pub scale: Scale,
    /// Width on paper, mm.
    pub width: f64,
    /// Height on paper, mm.
    pub height: f64,
    /// The drawing, its box beginning at the origin.
    pub item: Item,
}

impl Laid {
    /// The same enlarged for a printer that does not print true.
    pub fn enlarged(self, factor: f64) -> Self {
        Self {
            width: self.width * factor,
            height: self.height * factor,
            item: self.item.enlarged(factor),
            ..self
        }
    }
}

/// Why a figure cannot be drawn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FigureError {
    /// A coordinate is not a number.
    #[error(
        "figure `{id}` holds a coordinate that is not a finite number; this is a fault in the figure, not in the plan's writing"
    )]
    NotFinite {
        /// The figure.
        id: String,
    },
    /// It does not fit, even at 1 : 100.
    #[error(
        "figure `{id}` does not fit into {width:.0} by {height:.0} mm of paper even at 1 : 100; \
         make the piece smaller or leave the figure out"
    )]
    TooLarge {
        /// The figure.
        id: String,
        /// Width of the room, mm.
        width: f64,
        /// Height of the room, mm.
        height: f64,
    },
}

/// Lays a figure out in a room of `width` by `height` mm.
///
/// A figure that asks for full size is drawn 1 : 1 if that fits, and otherwise smaller: the
/// caller must say so on the sheet.
pub fn fit(
    figure: &Figure,
    setter: &mut Setter,
    width: f64,
    height: f64,
) -> Result<Laid, FigureError> {
    if !is_finite(figure) {
        return Err(FigureError::NotFinite {
            id: figure.id.clone(),
        });
    }
    for scale in SCALES {
        if figure.full_size && scale.factor() > FULL.factor() {
            continue;
        }
        let (across, up) = extent(figure);
        if across * scale.factor() > width || up * scale.factor() > height {
            continue;
        }
        let laid = lay(figure, setter, scale);
        if laid.width <= width && laid.height <= height {
            return Ok(laid);
        }
    }
    Err(FigureError::TooLarge {
        id: figure.id.clone(),
        width,
        height,
    })
}

/// Draws a figure at a scale.
pub fn lay(figure: &Figure, setter: &mut Setter, scale: Scale) -> Laid {
    let factor = scale.factor();
    let paper = |p: [f64; 2]| Point::new(p[0] * factor, -p[1] * factor);
    let mut outline = Vec::new();
    let (mut lines, mut helpers) = (Vec::new(), Vec::new());
    let mut sections: Vec<Vec<Point>> = Vec::new();
    for drawn in &figure.lines {
        let points: Vec<Point> = drawn.points.iter().copied().map(paper).collect();
        let solid = matches!(
            drawn.kind,
            LineKind::Section | LineKind::Seen | LineKind::Hidden
        );
        if solid {
            let last =
                (drawn.closed && points.len() > 2).then(|| (points[points.len() - 1], points[0]));
            outline.extend(points.windows(2).map(|pair| (pair[0], pair[1])).chain(last));
        }
        let list = if solid { &mut lines } else { &mut helpers };
        list.push(Shape::stroked(
            polyline(&points, drawn.closed),
            pen_of(drawn.kind),
        ));
        if drawn.kind == LineKind::Section && drawn.closed {
            sections.push(points);
        }
    }
    let mut dimensions = Dimensions::new(setter, outline);
    dimensions.add_all(&figure.dimensions, &paper, factor);
    let mut items = Vec::new();
    let hatching = hatch(&sections, HATCHING);
    if !hatching.is_empty() {
        items.push(Shape::stroked(hatching, HATCH));
    }
    // Labels stand on clear ground: hatching and axes give way to them, edges do not.
    items.append(&mut helpers);
    items.append(&mut dimensions.cleared);
    items.append(&mut lines);
    items.append(&mut dimensions.drawn);
    let frame = bounds(&items).unwrap_or_default();
    let items = moved(items, Vec2::new(-frame.x0, -frame.y0));
    Laid {
        scale,
        width: frame.width(),
        height: frame.height(),
        item: Group::item(figure.id.clone(), Role::Picture(spoken(figure)), items),
    }
}

/// The words that stand for a figure: its title and its sizes.
fn spoken(figure: &Figure) -> String {
    let labels: Vec<&str> = figure
        .dimensions
        .iter()
        .map(|dimension| match dimension {
            Dimension::Length { label, .. }
            | Dimension::Diameter { label, .. }
            | Dimension::Radius { label, .. }
            | Dimension::Note { label, .. } => label.as_str(),
        })
        .collect();
    if labels.is_empty() {
        figure.title.clone()
    } else {
        format!("{}: {}", figure.title, labels.join(", "))
    }
}

/// Width and height of the bare lines, mm of the thing.
fn extent(figure: &Figure) -> (f64, f64) {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for point in figure.lines.iter().flat_map(|line| &line.points) {
        for axis in 0..2 {
            low[axis] = low[axis].min(point[axis]);
            high[axis] = high[axis].max(point[axis]);
        }
    }
    ((high[0] - low[0]).max(0.0), (high[1] - low[1]).max(0.0))
}

fn is_finite(figure: &Figure) -> bool {
    let point = |p: &[f64; 2]| p.iter().all(|value| value.is_finite() && value.abs() < 1e6);
    figure
        .lines
        .iter()
        .all(|line| line.points.iter().all(point))
        && figure.dimensions.iter().all(|dimension| match dimension {
            Dimension::Length {
                from, to, offset, ..
            } => point(from) && point(to) && offset.is_finite() && offset.abs() < 1e4,
            Dimension::Diameter {
                centre,
                radius,
                angle,
                ..
            }
            | Dimension::Radius {
                centre,
                radius,
                angle,
                ..
            } => point(centre) && radius.is_finite() && radius.abs() < 1e6 && angle.is_finite(),
            Dimension::Note { at, text_at, .. } => point(at) && point(text_at),
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use rondure_plan::figure::Line;

    fn square(side: f64, full_size: bool) -> Figure {
        Figure {
            id: "square".to_owned(),
            title: "Square".to_owned(),
            note: String::new(),
            full_size,
            lines: vec![Line {
                points: vec![[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]],
                closed: true,
                kind: LineKind::Section,
            }],
            dimensions: vec![Dimension::Length {
                from: [0.0, 0.0],
                to: [side, 0.0],
                offset: -side / 10.0,
                label: format!("{side} mm"),
            }],
        }
    }

    #[test]
    fn the_largest_usual_scale_that_fits_is_taken() {
        let mut setter = Setter::new();
        // Side and room, and the scale worked out by hand: side × scale plus about 12 mm below.
        for (side, words) in [
            (8.0, "10 : 1"),
            (30.0, "2 : 1"),
            (60.0, "1 : 1"),
            (90.0, "1 : 1"),
            (100.0, "1 : 2"),
        ] {
            let laid = fit(&square(side, false), &mut setter, 150.0, 105.0).unwrap();
            assert_eq!(laid.scale.words(), words, "side {side}");
            assert!(laid.width <= 150.0 && laid.height <= 105.0);
        }
    }

    #[test]
    fn a_full_size_figure_is_never_enlarged() {
        let laid = fit(&square(10.0, true), &mut Setter::new(), 150.0, 105.0).unwrap();
        assert_eq!(laid.scale, FULL);
    }

    #[test]
    fn what_does_not_fit_or_is_no_number_is_refused() {
        let mut setter = Setter::new();
        let large = fit(&square(50_000.0, false), &mut setter, 150.0, 105.0);
        assert!(matches!(large, Err(FigureError::TooLarge { .. })));
        let broken = fit(&square(f64::NAN, false), &mut setter, 150.0, 105.0);
        assert!(matches!(broken, Err(FigureError::NotFinite { .. })));
    }
}
