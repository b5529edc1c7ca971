//! One part of a face's outline, turned and carried on beyond its ends.
//!
//! The distance to the whole cone, plane, torus or ball is smooth where the
//! distance to the face has a crease, so Newton's steps run clean; how far a
//! point is from the part's own ends is told beside it.

use glam::{DVec2, DVec3};

use crate::patch::{Curve, Patch, Whole};
use crate::region::station_radius;
use crate::solid::Face;

/// A part of an outline, turned.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    pub face: Face,
    pub origin: DVec3,
    pub axis: DVec3,
    /// Two directions square to the axis.
    pub u: DVec3,
    pub v: DVec3,
    pub curve: Curve,
    pub whole: Whole,
    pub length: f64,
    /// 1 where the curve's left normal points out of the wood, -1 where into it.
    outward: f64,
}

/// A sheet as felt from a point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sense {
    /// Distance from the sheet, mm; positive on the wood's side.
    pub depth: f64,
    /// Unit vector into the wood.
    pub inward: DVec3,
    /// How far the foot is within the part's ends, mm; negative beyond them.
    pub slack: f64,
}

impl Sheet {
    pub fn new(patch: &Patch) -> Self {
        Self {
            face: patch.face,
            origin: patch.origin,
            axis: patch.axis,
            u: patch.u,
            v: patch.v,
            curve: patch.curve,
            whole: patch.whole,
            length: patch.to,
            outward: patch.outward,
        }
    }

    pub fn sense(&self, p: DVec3) -> Sense {
        let (q, radial) = station_radius(self.origin, self.axis, p);
        let radial = radial.unwrap_or(self.u);
        let (depth, out, slack) = self.sense_in_plane(q);
        Sense {
            depth,
            inward: -(self.axis * out.x + radial * out.y),
            slack,
        }
    }

    /// Depth, outward normal and slack at (station, radius).
    fn sense_in_plane(&self, q: DVec2) -> (f64, DVec2, f64) {
        let half = 0.5 * self.length;
        match self.curve {
            Curve::Line { from, direction } => {
                let out = self.outward * direction.perp();
                let way = q - from;
                let slack = half - (way.dot(direction) - half).abs();
                (-way.dot(out), out, slack)
            }
            Curve::Arc {
                centre,
                radius,
                begin,
                turn,
            } => {
                let way = q - centre;
                let length = way.length();
                let away = if length > 0.0 { way / length } else { DVec2::X };
                let sign = -turn * self.outward;
                let middle = DVec2::from_angle(begin + turn * half / radius);
                let slack = half - middle.angle_to(away).abs() * radius;
                (sign * (radius - length), away * sign, slack)
            }
        }
    }

    /// The point at the way `s` along the part and the angle `theta` about the axis.
    pub fn at(&self, s: f64, theta: f64) -> DVec3 {
        let (q, _, _) = self.curve.at(s);
        self.turned(q, theta)
    }

    /// Where a point of the half-plane stands at an angle about the axis.
    pub fn turned(&self, q: DVec2, theta: f64) -> DVec3 {
        let (sin, cos) = theta.sin_cos();
        self.origin + self.axis * q.x + (self.u * cos + self.v * sin) * q.y
    }

    /// The outward normal of a line part, in (station, radius), and 1 or -1 that turns the
    /// direction away from an arc's centre into the outward normal.
    pub fn out(&self) -> (DVec2, f64) {
        match self.curve {
            Curve::Line { direction, .. } => (self.outward * direction.perp(), 0.0),
            Curve::Arc { turn, .. } => (DVec2::ZERO, -turn * self.outward),
        }
    }

    /// The whole curve behind this sheet in the (station, radius) of another axis, where the
    /// sheet is turned about that axis too.
    pub fn about(&self, origin: DVec3, axis: DVec3) -> Option<Curve> {
        let between = self.origin - origin;
        let shift = between.dot(axis);
        match (self.whole, self.curve) {
            (Whole::Sphere { centre }, Curve::Arc { radius, .. }) => {
                let way = centre - origin;
                let station = way.dot(axis);
                ((way - axis * station).length() < 1e-9).then_some(Curve::Arc {
                    centre: DVec2::new(station, 0.0),
                    radius,
                    begin: 0.0,
                    turn: 1.0,
                })
            }
            (Whole::Plane, Curve::Line { from, .. }) => {
                if axis.cross(self.axis).length() > 1e-12 {
                    return None;
                }
                let station = (between + self.axis * from.x).dot(axis);
                Some(Curve::Line {
                    from: DVec2::new(station, 0.0),
                    direction: DVec2::Y,
                })
            }
            (_, curve) => {
                if axis.cross(self.axis).length() > 1e-12
                    || (between - axis * shift).length() > 1e-9
                {
                    return None;
                }
                let sign = axis.dot(self.axis).signum();
                let place = |q: DVec2| DVec2::new(shift + sign * q.x, q.y);
                Some(match curve {
                    Curve::Line { from, direction } => Curve::Line {
                        from: place(from),
                        direction: DVec2::new(sign * direction.x, direction.y),
                    },
                    Curve::Arc { centre, radius, .. } => Curve::Arc {
                        centre: place(centre),
                        radius,
                        begin: 0.0,
                        turn: 1.0,
                    },
                })
            }
        }
    }
}
