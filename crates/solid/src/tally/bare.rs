//! What of a window other faces leave bare.

use glam::DVec2;

use super::view::View;
use crate::octree::SLACK;
use crate::patch::Tangent;
use crate::polygon::Polygon;
use crate::side::{Band, Form, Side, band, side};
use crate::trace::Trace;

/// Faces that may meet in a window before it is halved unseen: more meet at points only,
/// as ridges do at a pole.
pub(super) const MOST_FACES: usize = 4;

/// What of a window is bare.
pub(super) enum Bare {
    All,
    None,
    /// Area in the stretched window, centroid, and how much more or less there may be.
    Part {
        area: f64,
        centroid: DVec2,
        doubt: f64,
    },
    /// What is on one side of the line of one smooth face.
    Traced(Trace),
    Unknown,
}

impl View<'_> {
    /// What of a window with these half sides is bare. Takes from the stack what does not
    /// reach into it after all.
    pub(super) fn bare(
        &mut self,
        half: DVec2,
        tangent: &Tangent,
        reach: f64,
        begin: usize,
    ) -> Bare {
        let lines = Lines { tangent, reach };
        let mut sides = [Side::Unknown; MOST_FACES];
        let mut count = 0;
        let mut end = begin;
        for index in begin..self.stack.len() {
            let number = self.stack[index];
            let other = &self.others[number];
            let side = match &other.bands {
                Some(bands) => match band(bands, tangent.point, reach) {
                    Band::Open(side) => side,
                    // Faces settled are no longer on the stack.
                    Band::Settled(_) => Side::Unknown,
                },
                None => side(
                    self.solid,
                    other.face,
                    self.patch,
                    tangent.point,
                    tangent.normal,
                    reach,
                ),
            };
            if let Side::One(form) = &side {
                // Its line may pass the window by, though the face comes near.
                match lines.passes(form, half) {
                    Some(true) => continue,
                    Some(false) => return Bare::None,
                    None => {}
                }
            }
            self.stack[end] = number;
            end += 1;
            if count < MOST_FACES {
                sides[count] = side;
            }
            count += 1;
        }
        self.stack.truncate(end);
        if count > MOST_FACES || sides[..count].contains(&Side::Unknown) {
            return Bare::Unknown;
        }
        let sides = &sides[..count];
        if let [Side::One(form)] = sides
            && let Some(trace) = Trace::new(tangent, form, half, self.patch.curve.curvature())
        {
            return Bare::Traced(trace);
        }
        let rectangle = Polygon::rectangle(half);
        let full = rectangle.area().0;
        let (most, _) = lines.measure(rectangle, sides, 1.0);
        if most == 0.0 {
            return Bare::None;
        }
        let (least, _) = lines.measure(rectangle, sides, -1.0);
        if least >= full {
            return Bare::All;
        }
        let (area, first) = lines.measure(rectangle, sides, 0.0);
        let centroid = if area > 0.0 {
            first / area
        } else {
            DVec2::ZERO
        };
        let mut doubt = (most - least).max(0.0);
        if let [Side::One(form)] = sides {
            doubt = doubt.min(lines.along(&rectangle, form, self.patch.curve.curvature()));
        }
        Bare::Part {
            area,
            centroid,
            doubt: doubt + 1e-12 * full,
        }
    }
}

/// Forms as lines in a window.
struct Lines<'a> {
    tangent: &'a Tangent,
    reach: f64,
}

impl Lines<'_> {
    /// The part of a polygon where a form, shifted by `shift` of its doubt, is positive; or
    /// negative, where `sign` is -1.
    fn clip(&self, polygon: &Polygon, form: &Form, shift: f64, sign: f64) -> Polygon {
        if form.value.is_infinite() {
            return if form.value * sign > 0.0 {
                *polygon
            } else {
                polygon.clip(DVec2::ZERO, -1.0)
            };
        }
        let shift = shift * self.stray(form);
        polygon.clip(sign * self.normal(form), sign * (form.value + shift))
    }

    /// Whether a form is surely positive, or surely negative, in the whole window.
    fn passes(&self, form: &Form, half: DVec2) -> Option<bool> {
        if form.value.is_infinite() {
            return Some(form.value > 0.0);
        }
        let most = self.normal(form).abs().dot(half) + self.stray(form);
        (form.value.abs() > most).then_some(form.value > 0.0)
    }

    fn normal(&self, form: &Form) -> DVec2 {
        DVec2::new(
            form.gradient.dot(self.tangent.along),
            form.gradient.dot(self.tangent.around) / self.tangent.widest,
        )
    }

    fn stray(&self, form: &Form) -> f64 {
        form.stray(self.reach) + self.tangent.stray + SLACK
    }

    /// The area in doubt along the line of a single form, from how the doubt grows with the
    /// square of the way from the middle: where |form| ≤ K (u² + v²), u along the line and v
    /// across, the doubtful stretch across is at most 2 K (u² + v²) over the gradient.
    fn along(&self, rectangle: &Polygon, form: &Form, curvature: f64) -> f64 {
        if form.value.is_infinite() || form.extra > 0.0 {
            return f64::INFINITY;
        }
        let normal = self.normal(form);
        let slope = normal.length();
        let stray = self.stray(form);
        let strip = rectangle
            .clip(normal, form.value + stray)
            .clip(-normal, stray - form.value);
        if strip.is_empty() || slope == 0.0 {
            return f64::INFINITY;
        }
        let across = normal / slope;
        let (low, high) = strip.extent(across.perp());
        let (near, far) = strip.extent(across);
        let off = near.abs().max(far.abs());
        let widest = self.tangent.widest;
        // As `Tangent::stray`, with x y ≤ (x² + y²) / 2 for the mixed part.
        let k = 0.5 * (form.bend + curvature.max(1.0 / widest) + 1.0 / widest);
        let square = (high.powi(3) - low.powi(3)) / 3.0 + off * off * (high - low);
        2.0 / slope * (k * square + SLACK * (high - low))
    }

    /// Area and first moment of what all `sides` leave of a polygon.
    fn measure(&self, polygon: Polygon, sides: &[Side], shift: f64) -> (f64, DVec2) {
        if polygon.is_empty() {
            return (0.0, DVec2::ZERO);
        }
        let Some((side, rest)) = sides.split_first() else {
            return polygon.area();
        };
        let keep = |polygon: &Polygon, form: &Form| self.clip(polygon, form, shift, 1.0);
        match side {
            Side::One(form) => self.measure(keep(&polygon, form), rest, shift),
            Side::Both(a, b) => self.measure(keep(&keep(&polygon, a), b), rest, shift),
            Side::Either(a, b) => {
                let (area, first) = self.measure(keep(&polygon, a), rest, shift);
                let without = self.clip(&polygon, a, shift, -1.0);
                let (more, also) = self.measure(keep(&without, b), rest, shift);
                (area + more, first + also)
            }
            Side::Unknown => (0.0, DVec2::ZERO),
        }
    }
}
