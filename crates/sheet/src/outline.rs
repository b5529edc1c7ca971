//! Outlines of templates: straight edges and circular arcs that stay arcs.
//!
//! Coordinates are a page's: mm, y down, angles counter-clockwise as the reader
//! sees them. SVG and DXF take the arcs as they are; PDF knows none and gets
//! cubic pieces within the drawing's arc tolerance of the true circle.

use crate::drawing::ARC_TOLERANCE;
use kurbo::{Arc, BezPath, Point, Vec2};
use std::f64::consts::TAU;

/// What is done with a line of a template.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layer {
    /// Cut the card here.
    Cut,
    /// Draw or prick the work from here.
    Mark,
    /// Lay something level with it; neither cut nor marked.
    Help,
}

impl Layer {
    /// Its plain name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Cut => "CUT",
            Self::Mark => "MARK",
            Self::Help => "HELP",
        }
    }
}

/// A run of edges.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Where it begins, mm.
    pub start: Point,
    /// Its edges in order.
    pub edges: Vec<Edge>,
    /// Whether the last edge's end joins the start.
    pub closed: bool,
    /// What is done with it.
    pub layer: Layer,
}

/// One edge, from the end of the one before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Edge {
    /// A straight line to a point.
    Line(Point),
    /// A circular arc.
    Arc {
        /// Where it ends.
        to: Point,
        /// Centre of its circle.
        centre: Point,
        /// Angle it runs through, radians counter-clockwise as seen; a whole turn is a circle.
        sweep: f64,
    },
}

impl Edge {
    /// Where it ends.
    pub fn end(&self) -> Point {
        match *self {
            Self::Line(to) | Self::Arc { to, .. } => to,
        }
    }

    /// The arc from `from` to `to` about a centre, the one way round or the other; where both
    /// ends are one point it is the whole circle.
    pub fn arc(from: Point, to: Point, centre: Point, counter_clockwise: bool) -> Self {
        let turn = angle_at(centre, to) - angle_at(centre, from);
        let whole = (to - from).hypot() < 1e-9;
        let positive = if whole { TAU } else { turn.rem_euclid(TAU) };
        let sweep = match (counter_clockwise, whole) {
            (true, _) => positive,
            (false, true) => -TAU,
            (false, false) => positive - TAU,
        };
        Self::Arc { to, centre, sweep }
    }
}

impl Outline {
    /// A run of straight edges.
    pub fn straight(points: &[Point], closed: bool, layer: Layer) -> Self {
        Self {
            start: points.first().copied().unwrap_or_default(),
            edges: points.iter().skip(1).copied().map(Edge::Line).collect(),
            closed,
            layer,
        }
    }

    /// The outline moved by a vector, mm.
    pub fn moved(self, by: Vec2) -> Self {
        self.mapped(|point| point + by)
    }

    /// The outline enlarged about the origin.
    pub fn enlarged(self, factor: f64) -> Self {
        self.mapped(|point| (point.to_vec2() * factor).to_point())
    }

    /// Every point taken elsewhere by a map that keeps shapes and their sense of turn.
    fn mapped(mut self, map: impl Fn(Point) -> Point) -> Self {
        self.start = map(self.start);
        for edge in &mut self.edges {
            *edge = match *edge {
                Edge::Line(to) => Edge::Line(map(to)),
                Edge::Arc { to, centre, sweep } => Edge::Arc {
                    to: map(to),
                    centre: map(centre),
                    sweep,
                },
            };
        }
        self
    }

    /// The same as a path of lines and cubic pieces.
    pub fn to_path(&self) -> BezPath {
        let mut path = BezPath::new();
        path.move_to(self.start);
        let mut from = self.start;
        for edge in &self.edges {
            match *edge {
                Edge::Line(to) => path.line_to(to),
                Edge::Arc { centre, sweep, .. } => {
                    let radius = (from - centre).hypot();
                    // kurbo's angles grow from x towards y; y points down here.
                    let start = -angle_at(centre, from);
                    Arc::new(centre, Vec2::new(radius, radius), start, -sweep, 0.0)
                        .to_cubic_beziers(ARC_TOLERANCE, |a, b, to| path.curve_to(a, b, to));
                }
            }
            from = edge.end();
        }
        if self.closed {
            path.close_path();
        }
        path
    }
}

/// The angle at which a point is seen from a centre, counter-clockwise from right, y down.
pub fn angle_at(centre: Point, point: Point) -> f64 {
    (centre.y - point.y).atan2(point.x - centre.x)
}

/// The point of a circle at such an angle.
pub fn on_circle(centre: Point, radius: f64, angle: f64) -> Point {
    Point::new(
        centre.x + radius * angle.cos(),
        centre.y - radius * angle.sin(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{ParamCurve as _, Shape as _};
    use std::f64::consts::{FRAC_PI_2, PI};

    #[test]
    fn arcs_turn_the_way_that_is_asked_and_meet_at_their_ends() {
        let centre = Point::new(10.0, 10.0);
        let (right, top) = (Point::new(15.0, 10.0), Point::new(10.0, 5.0));
        let sweep = |edge: Edge| match edge {
            Edge::Arc { sweep, .. } => sweep,
            Edge::Line(_) => f64::NAN,
        };
        assert!((sweep(Edge::arc(right, top, centre, true)) - FRAC_PI_2).abs() < 1e-12);
        assert!((sweep(Edge::arc(right, top, centre, false)) + 1.5 * PI).abs() < 1e-12);
        assert_eq!(sweep(Edge::arc(top, top, centre, false)), -TAU);
    }

    #[test]
    fn a_path_of_an_outline_keeps_to_its_circle() {
        let centre = Point::new(3.0, 4.0);
        let start = Point::new(33.0, 4.0);
        let outline = Outline {
            start,
            edges: vec![Edge::arc(start, start, centre, true)],
            closed: true,
            layer: Layer::Cut,
        };
        for segment in outline.to_path().segments() {
            for step in 0..=10 {
                let off = (segment.eval(f64::from(step) / 10.0) - centre).hypot() - 30.0;
                assert!(off.abs() < 2e-4, "{off}");
            }
        }
        assert!((outline.to_path().area().abs() - PI * 900.0).abs() < 0.05);
    }
}
