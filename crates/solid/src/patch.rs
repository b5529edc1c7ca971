//! The surface of a solid's faces in patches: one part of an outline, turned.
//!
//! A point of a patch is given by the way s along the part and the angle θ about
//! the axis. The outside of a half-space is the same thing with a line square to
//! its axis, a disc large enough to cover the blank. A [`Window`] is a rectangle
//! of s and θ; how far its points lie from its middle, and how far the surface
//! bends away from its tangent there, are bounded from its sides.

use glam::{DVec2, DVec3};

use crate::part::{Part, Shape};
use crate::region::Region;
use crate::solid::{Face, Solid};

/// A part of an outline as a curve of its length, in (station, radius), mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Curve {
    Line {
        from: DVec2,
        direction: DVec2,
    },
    Arc {
        centre: DVec2,
        radius: f64,
        begin: f64,
        /// 1 counter-clockwise, -1 clockwise.
        turn: f64,
    },
}

/// A part of a face's surface.
#[derive(Debug, Clone)]
pub(crate) struct Patch {
    pub face: Face,
    pub origin: DVec3,
    /// Axis and two directions square to it: right-handed.
    pub axis: DVec3,
    pub u: DVec3,
    pub v: DVec3,
    pub curve: Curve,
    /// The stretch of the curve it covers, mm from its begin.
    pub from: f64,
    pub to: f64,
    /// 1 where the curve's left normal points out of the wood, -1 where into it.
    pub outward: f64,
    /// A whole surface that can coincide with one about another axis.
    pub whole: Whole,
}

/// Surfaces that are turned about more than one axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Whole {
    Plane,
    Sphere { centre: DVec3 },
    Neither,
}

/// A rectangle of a patch: middle and half sides in s (mm) and θ (radians).
#[derive(Debug, Clone, Copy)]
pub(crate) struct Window {
    pub middle: DVec2,
    pub half: DVec2,
}

/// A patch about the middle of a window.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tangent {
    pub point: DVec3,
    /// Change of the point with s and with θ.
    pub along: DVec3,
    pub around: DVec3,
    /// Unit vectors away from the axis and about it.
    pub radial: DVec3,
    pub azimuth: DVec3,
    /// Point and outward normal in (station, radius).
    pub outline: DVec2,
    pub outward: DVec2,
    /// Radius about the axis, mm, and its change with s.
    pub radius: f64,
    pub rise: f64,
    /// Curvature of the outline towards `normal`, 1/mm.
    pub bow: f64,
    /// Out of the wood.
    pub normal: DVec3,
    /// Largest radius about the axis in the window, mm.
    pub widest: f64,
    /// No point of the window is farther than this from its middle, mm.
    pub reach: f64,
    /// No point is farther than this from where the tangent puts it, mm.
    pub stray: f64,
}

impl Curve {
    pub(crate) fn of(part: &Part) -> (Self, f64) {
        match &part.shape {
            Shape::Line { direction, length } => (
                Self::Line {
                    from: part.from,
                    direction: *direction,
                },
                *length,
            ),
            Shape::Arc {
                centre,
                radius,
                left,
                ..
            } => {
                let (a, b) = (part.from - *centre, part.to - *centre);
                // A part is at most half a turn.
                let sweep = a.perp_dot(b).atan2(a.dot(b)).abs();
                (
                    Self::Arc {
                        centre: *centre,
                        radius: *radius,
                        begin: a.to_angle(),
                        turn: if *left { 1.0 } else { -1.0 },
                    },
                    sweep * radius,
                )
            }
        }
    }

    /// Point, direction of travel and left normal at length `s`.
    pub(crate) fn at(&self, s: f64) -> (DVec2, DVec2, DVec2) {
        match self {
            Self::Line { from, direction } => {
                (*from + *direction * s, *direction, direction.perp())
            }
            Self::Arc {
                centre,
                radius,
                begin,
                turn,
            } => {
                let out = DVec2::from_angle(begin + turn * s / radius);
                (*centre + *radius * out, *turn * out.perp(), -*turn * out)
            }
        }
    }

    /// Curvature towards the left, 1/mm.
    fn towards_left(&self) -> f64 {
        match self {
            Self::Line { .. } => 0.0,
            Self::Arc { radius, turn, .. } => turn / radius,
        }
    }

    /// Curvature, 1/mm.
    pub(crate) fn curvature(&self) -> f64 {
        match self {
            Self::Line { .. } => 0.0,
            Self::Arc { radius, .. } => 1.0 / radius,
        }
    }
}

/// The patches of all faces of a solid. Half-spaces are covered as far as the blank reaches.
pub(crate) fn patches(solid: &Solid) -> Vec<Patch> {
    let mut all = Vec::new();
    for face in solid.faces() {
        match solid.region(face) {
            Region::Revolved {
                origin,
                axis,
                profile,
            } => {
                let u = axis.any_orthonormal_vector();
                let inside_left = if profile.inside_left { -1.0 } else { 1.0 };
                let outward = if face == Face::BLANK {
                    inside_left
                } else {
                    -inside_left
                };
                for part in profile.parts.iter().filter(|part| !part.on_axis) {
                    let (curve, length) = Curve::of(part);
                    let whole = match curve {
                        Curve::Line { direction, .. } if direction.x.abs() < 1e-12 => Whole::Plane,
                        Curve::Arc { centre, .. } if centre.y.abs() < 1e-12 => Whole::Sphere {
                            centre: *origin + *axis * centre.x,
                        },
                        _ => Whole::Neither,
                    };
                    all.push(Patch {
                        face,
                        origin: *origin,
                        axis: *axis,
                        u,
                        v: axis.cross(u),
                        curve,
                        from: 0.0,
                        to: length,
                        outward,
                        whole,
                    });
                }
            }
            Region::HalfSpace { normal, offset } => {
                let bounds = solid.bounds();
                let centre = bounds.centre();
                let u = normal.any_orthonormal_vector();
                all.push(Patch {
                    face,
                    origin: centre + *normal * (offset - normal.dot(centre)),
                    axis: *normal,
                    u,
                    v: normal.cross(u),
                    curve: Curve::Line {
                        from: DVec2::ZERO,
                        direction: DVec2::Y,
                    },
                    from: 0.0,
                    to: 0.5 * bounds.size().length() + 1.0,
                    // The left of a line outwards from the axis looks against the axis; the wood
                    // ends where the region begins, along the axis.
                    outward: -1.0,
                    whole: Whole::Plane,
                });
            }
        }
    }
    all
}

impl Patch {
    /// The window of the whole patch.
    pub(crate) fn window(&self) -> Window {
        Window {
            middle: DVec2::new(0.5 * (self.from + self.to), std::f64::consts::PI),
            half: DVec2::new(0.5 * (self.to - self.from), std::f64::consts::PI),
        }
    }

    /// Point and outward normal in (station, radius), at length `s`.
    pub(crate) fn outline(&self, s: f64) -> (DVec2, DVec2) {
        let (q, _, left) = self.curve.at(s);
        (q, self.outward * left)
    }

    /// Point and outward normal in space.
    pub(crate) fn at(&self, place: DVec2) -> (DVec3, DVec3) {
        let (point, normal, _) = self.with_radius(place);
        (point, normal)
    }

    /// Point and outward normal in space, and the radius about the axis.
    pub(crate) fn with_radius(&self, place: DVec2) -> (DVec3, DVec3, f64) {
        let (q, normal) = self.outline(place.x);
        let radial = self.radial(place.y);
        (
            self.origin + self.axis * q.x + radial * q.y,
            self.axis * normal.x + radial * normal.y,
            q.y,
        )
    }

    /// Point and outward normal in (station, radius), a `step` along the outline from the
    /// middle of a window.
    pub(crate) fn outline_near(&self, tangent: &Tangent, step: f64) -> (DVec2, DVec2) {
        let (q, normal) = (tangent.outline, tangent.outward);
        match &self.curve {
            Curve::Line { direction, .. } => (q + *direction * step, normal),
            Curve::Arc { radius, turn, .. } => {
                let turned = small_turn(turn * step / radius).rotate(normal);
                // The normal is away from the centre or towards it.
                let sign = -turn * self.outward;
                (q + sign * *radius * (turned - normal), turned)
            }
        }
    }

    /// Unit vector away from the axis at an angle.
    pub(crate) fn radial(&self, angle: f64) -> DVec3 {
        let (sin, cos) = angle.sin_cos();
        self.u * cos + self.v * sin
    }

    /// The patch about the middle of a window.
    pub(crate) fn tangent(&self, window: &Window) -> Tangent {
        let (q, along, left) = self.curve.at(window.middle.x);
        let normal = self.outward * left;
        let (sin, cos) = window.middle.y.sin_cos();
        let radial = self.u * cos + self.v * sin;
        let azimuth = self.v * cos - self.u * sin;
        let (hs, ht) = (window.half.x, window.half.y);
        let widest = q.y + hs;
        // |p - p₀|² = |q - q₀|² + 4 ρ ρ₀ sin²(Δθ/2), and a chord is no longer than its arc.
        let chord = if ht < 0.25 {
            0.5 * ht
        } else {
            (0.5 * ht).sin()
        };
        let reach = (hs * hs + 4.0 * q.y * widest * chord * chord).sqrt();
        // Taylor's remainder: second derivatives are the outline's curvature in s, the
        // change of the radius (at most 1) in s and θ, the radius in θ.
        let rise = (along.y.abs() + self.curve.curvature() * hs).min(1.0);
        let stray =
            0.5 * (self.curve.curvature() * hs * hs + 2.0 * rise * hs * ht + widest * ht * ht);
        Tangent {
            point: self.origin + self.axis * q.x + radial * q.y,
            along: self.axis * along.x + radial * along.y,
            around: azimuth * q.y,
            radial,
            azimuth,
            outline: q,
            outward: normal,
            radius: q.y,
            rise: along.y,
            bow: self.outward * self.curve.towards_left(),
            normal: self.axis * normal.x + radial * normal.y,
            widest,
            reach,
            stray,
        }
    }
}

impl Tangent {
    /// Unit vector away from the axis, at an angle from the middle.
    pub(crate) fn radial_near(&self, angle: f64) -> DVec3 {
        let turn = small_turn(angle);
        self.radial * turn.x + self.azimuth * turn.y
    }
}

/// Cosine and sine. Taylor's series to the eleventh power is exact to rounding below 1/8.
fn small_turn(angle: f64) -> DVec2 {
    if angle.abs() > 0.125 {
        return DVec2::from_angle(angle);
    }
    let x = angle * angle;
    let cosine =
        1.0 - x / 2.0 * (1.0 - x / 12.0 * (1.0 - x / 30.0 * (1.0 - x / 56.0 * (1.0 - x / 90.0))));
    let sine = angle * (1.0 - x / 6.0 * (1.0 - x / 20.0 * (1.0 - x / 42.0 * (1.0 - x / 72.0))));
    DVec2::new(cosine, sine)
}

impl Window {
    /// Its two halves, across the side that is longer where the patch is widest.
    pub(crate) fn halves(&self, widest: f64) -> [Self; 2] {
        let step = if self.half.x >= self.half.y * widest {
            DVec2::new(0.5 * self.half.x, 0.0)
        } else {
            DVec2::new(0.0, 0.5 * self.half.y)
        };
        let half = self.half - step;
        [-1.0, 1.0].map(|sign| Self {
            middle: self.middle + sign * step,
            half,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_turn_is_exact() {
        for k in -50..=50 {
            let angle = 0.0025 * f64::from(k);
            let off = small_turn(angle) - DVec2::from_angle(angle);
            assert!(off.abs().max_element() < 2e-16, "{angle}: {off}");
        }
    }
}
