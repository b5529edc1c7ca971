//! One piece of an outline: a straight line or a circular arc.
//!
//! Arcs are kept short enough (at most half a turn, never past a leftmost or
//! rightmost point) that the radius is a function of the station along each
//! part. That makes the inside test a count of parts above a point, and the
//! foot of a point on an arc a test of two cross products.

use glam::DVec2;

/// A part of an outline, in (station, radius), mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Where it begins.
    pub from: DVec2,
    /// Where it ends.
    pub to: DVec2,
    /// What runs between.
    pub shape: Shape,
    /// Whether it lies on the axis, and so is no boundary of the turned body.
    pub on_axis: bool,
    /// Whether the outline goes on without a corner at `to`.
    pub smooth_at_end: bool,
}

/// The shape of a part.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A straight line: unit direction and length.
    Line {
        /// Unit vector from `from` to `to`.
        direction: DVec2,
        /// Its length.
        length: f64,
    },
    /// A circular arc.
    Arc {
        /// Centre of the circle.
        centre: DVec2,
        /// Radius of the circle.
        radius: f64,
        /// Whether it runs counter-clockwise (to the left).
        left: bool,
        /// Whether it is the upper half of its circle (radius grows with the root).
        upper: bool,
    },
}

/// The nearest point of a part.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Foot {
    /// The point.
    pub point: DVec2,
    /// Square of its distance.
    pub squared: f64,
}

impl Part {
    pub(crate) fn line(from: DVec2, to: DVec2) -> Self {
        let span = to - from;
        let length = span.length();
        Self {
            from,
            to,
            shape: Shape::Line {
                direction: span / length,
                length,
            },
            on_axis: from.y == 0.0 && to.y == 0.0,
            smooth_at_end: false,
        }
    }

    pub(crate) fn arc(
        from: DVec2,
        to: DVec2,
        centre: DVec2,
        radius: f64,
        left: bool,
        upper: bool,
    ) -> Self {
        Self {
            from,
            to,
            shape: Shape::Arc {
                centre,
                radius,
                left,
                upper,
            },
            on_axis: false,
            smooth_at_end: false,
        }
    }

    /// The nearest point of this part to `q`.
    pub(crate) fn foot(&self, q: DVec2) -> Foot {
        match &self.shape {
            Shape::Line { direction, length } => {
                let along = (q - self.from).dot(*direction);
                // Ends are given exactly, so that a foot on a corner can be known as one.
                let point = if along <= 0.0 {
                    self.from
                } else if along >= *length {
                    self.to
                } else {
                    self.from + *direction * along
                };
                Foot {
                    point,
                    squared: q.distance_squared(point),
                }
            }
            Shape::Arc {
                centre,
                radius,
                left,
                ..
            } => {
                let v = q - *centre;
                let (first, last) = if *left {
                    (self.from, self.to)
                } else {
                    (self.to, self.from)
                };
                let within =
                    (first - *centre).perp_dot(v) >= 0.0 && v.perp_dot(last - *centre) >= 0.0;
                let length = v.length();
                if within && length > 0.0 {
                    let off = length - *radius;
                    return Foot {
                        point: *centre + v * (*radius / length),
                        squared: off * off,
                    };
                }
                let (a, b) = (q.distance_squared(self.from), q.distance_squared(self.to));
                if a <= b {
                    Foot {
                        point: self.from,
                        squared: a,
                    }
                } else {
                    Foot {
                        point: self.to,
                        squared: b,
                    }
                }
            }
        }
    }

    /// Square of the distance to this part: that of its [`foot`](Self::foot).
    pub(crate) fn squared(&self, q: DVec2) -> f64 {
        match &self.shape {
            Shape::Line { .. } => self.foot(q).squared,
            Shape::Arc {
                centre,
                radius,
                left,
                ..
            } => {
                let v = q - *centre;
                let (first, last) = (self.from - *centre, self.to - *centre);
                let sign = if *left { 1.0 } else { -1.0 };
                if sign * first.perp_dot(v) >= 0.0 && sign * v.perp_dot(last) >= 0.0 {
                    let length = v.length();
                    if length > 0.0 {
                        let off = length - *radius;
                        return off * off;
                    }
                }
                q.distance_squared(self.from)
                    .min(q.distance_squared(self.to))
            }
        }
    }

    /// Whether a line straight up (towards larger radius) from `q` crosses this part.
    /// Half-open in the station, so that neighbours share no crossing.
    pub(crate) fn stands_above(&self, q: DVec2) -> bool {
        let (low, high) = if self.from.x < self.to.x {
            (self.from.x, self.to.x)
        } else {
            (self.to.x, self.from.x)
        };
        if !(low <= q.x && q.x < high) {
            return false;
        }
        match &self.shape {
            Shape::Line { .. } => {
                let share = (q.x - self.from.x) / (self.to.x - self.from.x);
                self.from.y + (self.to.y - self.from.y) * share > q.y
            }
            Shape::Arc {
                centre,
                radius,
                upper,
                ..
            } => {
                let x = q.x - centre.x;
                let rise = (radius * radius - x * x).max(0.0).sqrt();
                (if *upper {
                    centre.y + rise
                } else {
                    centre.y - rise
                }) > q.y
            }
        }
    }

    /// Unit direction of travel at the begin (`false`) or the end (`true`).
    pub(crate) fn tangent(&self, at_end: bool) -> DVec2 {
        match &self.shape {
            Shape::Line { direction, .. } => *direction,
            Shape::Arc {
                centre,
                radius,
                left,
                ..
            } => {
                let out = ((if at_end { self.to } else { self.from }) - *centre) / *radius;
                if *left { out.perp() } else { -out.perp() }
            }
        }
    }

    /// Unit vector to the left of the way, at the point of this part nearest to `point`.
    pub(crate) fn left_normal(&self, point: DVec2) -> DVec2 {
        match &self.shape {
            Shape::Line { direction, .. } => direction.perp(),
            Shape::Arc { centre, left, .. } => {
                let out = (point - *centre).normalize_or(DVec2::X);
                if *left { -out } else { out }
            }
        }
    }

    /// Twice the signed area between this part and the origin (positive counter-clockwise).
    pub(crate) fn twice_area(&self) -> f64 {
        let chord = self.from.perp_dot(self.to);
        match &self.shape {
            Shape::Line { .. } => chord,
            Shape::Arc {
                centre,
                radius,
                left,
                ..
            } => {
                let (a, b) = (self.from - *centre, self.to - *centre);
                let turn = a.perp_dot(b).atan2(a.dot(b)).abs();
                // A part is at most half a turn, so the unsigned angle is the sweep.
                let segment = radius * radius * (turn - turn.sin());
                if *left {
                    chord + segment
                } else {
                    chord - segment
                }
            }
        }
    }
}
