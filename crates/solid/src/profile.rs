//! Outlines of turned regions: closed paths of lines and arcs in (station, radius).
//!
//! A [`Path`] is drawn from a start point; [`Path::close`] checks it once and
//! gives a [`Profile`]. The check refuses open ends, numbers that are not
//! finite, radii below the axis, arcs whose ends do not lie on one circle, and
//! outlines that cross themselves; after it nothing about a profile can fail.

use glam::DVec2;
use thiserror::Error;

use crate::part::{Part, Shape};

/// A closed outline in the half-plane (station t, radius ρ ≥ 0), mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    pub(crate) parts: Vec<Part>,
    /// Whether the inside lies to the left of the way.
    pub(crate) inside_left: bool,
}

/// Which way an arc bends, looking along it with the station to the right and the radius up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// Counter-clockwise.
    Left,
    /// Clockwise.
    Right,
}

/// Why a path is no profile.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ProfileError {
    /// A coordinate is not a finite number.
    #[error("part {part} of the outline has a coordinate that is not a finite number")]
    NotFinite {
        /// Number of the part, from 1.
        part: usize,
    },
    /// The outline dips below the axis.
    #[error("part {part} of the outline reaches radius {radius} mm; a radius is never below 0")]
    BelowAxis {
        /// Number of the part, from 1.
        part: usize,
        /// The lowest radius, mm.
        radius: f64,
    },
    /// The ends of an arc lie on two circles.
    #[error(
        "part {part} of the outline is an arc whose ends are {first} mm and {last} mm from its centre; both must be the same"
    )]
    TwoRadii {
        /// Number of the part, from 1.
        part: usize,
        /// Distance of its begin from the centre, mm.
        first: f64,
        /// Distance of its end from the centre, mm.
        last: f64,
    },
    /// The outline encloses nothing.
    #[error("the outline encloses no area")]
    Empty,
    /// The outline crosses itself.
    #[error("the outline crosses itself at station {station} mm, radius {radius} mm")]
    Crosses {
        /// Station of the crossing, mm.
        station: f64,
        /// Radius of the crossing, mm.
        radius: f64,
    },
}

/// Ends nearer than this are one point; far below what any tool sets, far above rounding. mm.
const SAME_POINT: f64 = 1e-9;

/// The radii of an arc's two ends may differ by this share of them, up to that of this radius, mm:
/// a centre that was rounded, and no more. An arc a million times flatter than the piece may not
/// be off by more than any other.
const SAME_RADIUS: f64 = 1e-7;
const LARGEST: f64 = 100.0;

/// A path being drawn.
#[derive(Debug, Clone)]
pub struct Path {
    start: DVec2,
    at: DVec2,
    parts: Vec<Part>,
    count: usize,
    wrong: Option<ProfileError>,
}

impl Path {
    /// Begins a path at station `t`, radius `rho`.
    pub fn from(t: f64, rho: f64) -> Self {
        let start = snap(DVec2::new(t, rho));
        Self {
            start,
            at: start,
            parts: Vec::new(),
            count: 0,
            wrong: None,
        }
    }

    /// Goes straight to (`t`, `rho`). A step of no length is left out.
    pub fn line_to(mut self, t: f64, rho: f64) -> Self {
        let to = snap(DVec2::new(t, rho));
        self.count += 1;
        if !to.is_finite() {
            let part = self.count;
            return self.fail(ProfileError::NotFinite { part });
        }
        if self.at.distance(to) > SAME_POINT {
            self.parts.push(Part::line(self.at, to));
            self.at = to;
        }
        self
    }

    /// Goes along a circle about `centre` to (`t`, `rho`), turning as told.
    /// An end equal to the begin means the whole circle.
    pub fn arc_to(mut self, t: f64, rho: f64, centre: DVec2, turn: Turn) -> Self {
        let to = snap(DVec2::new(t, rho));
        self.count += 1;
        let part = self.count;
        if !to.is_finite() || !centre.is_finite() {
            return self.fail(ProfileError::NotFinite { part });
        }
        let (first, last) = (self.at.distance(centre), to.distance(centre));
        if (first - last).abs() > SAME_RADIUS * (1.0 + first.min(LARGEST)) || first <= SAME_POINT {
            return self.fail(ProfileError::TwoRadii { part, first, last });
        }
        self.push_arc(to, centre, 0.5 * (first + last), turn == Turn::Left);
        self.at = to;
        self
    }

    /// Closes the path with a straight line (if its ends do not meet) and checks it.
    pub fn close(mut self) -> Result<Profile, ProfileError> {
        if !self.start.is_finite() {
            return Err(ProfileError::NotFinite { part: 1 });
        }
        let start = self.start;
        self = self.line_to(start.x, start.y);
        if let Some(wrong) = self.wrong {
            return Err(wrong);
        }
        if let Some(last) = self.parts.last_mut() {
            last.to = start;
        }
        Profile::checked(self.parts)
    }

    fn fail(mut self, wrong: ProfileError) -> Self {
        self.wrong.get_or_insert(wrong);
        self
    }

    /// Splits an arc at its leftmost and rightmost points and at its middle where it is a half turn or more.
    fn push_arc(&mut self, to: DVec2, centre: DVec2, radius: f64, left: bool) {
        use std::f64::consts::{PI, TAU};
        let begin = (self.at - centre).to_angle();
        let end = (to - centre).to_angle();
        let mut sweep = if left {
            (end - begin).rem_euclid(TAU)
        } else {
            (begin - end).rem_euclid(TAU)
        };
        if sweep < 1e-12 {
            sweep = TAU;
        }
        // Multiples of half a turn strictly inside the sweep: there the way turns back in station.
        let mut stops = Vec::new();
        let sign = if left { 1.0 } else { -1.0 };
        for half_turns in -4..=4 {
            let angle = f64::from(half_turns) * PI;
            let along = (angle - begin) * sign;
            if along > 1e-12 && along < sweep - 1e-12 {
                stops.push(along);
            }
        }
        stops.sort_by(f64::total_cmp);
        stops.push(sweep);
        let mut from = self.at;
        let mut done = 0.0;
        for stop in stops {
            let point = if stop == sweep {
                to
            } else {
                // Exactly the leftmost or rightmost point.
                let angle = begin + sign * stop;
                DVec2::new(centre.x + radius * angle.cos().signum(), centre.y)
            };
            let middle = begin + sign * 0.5 * (done + stop);
            self.parts.push(Part::arc(
                from,
                point,
                centre,
                radius,
                left,
                middle.sin() > 0.0,
            ));
            from = point;
            done = stop;
        }
    }
}

/// Radii within rounding of the axis are on it.
fn snap(point: DVec2) -> DVec2 {
    if point.y.abs() < SAME_POINT {
        DVec2::new(point.x, 0.0)
    } else {
        point
    }
}

impl Profile {
    /// A cylinder about the axis from station `from` to `to`, of radius `radius`.
    pub fn cylinder(from: f64, to: f64, radius: f64) -> Result<Self, ProfileError> {
        Path::from(from, 0.0)
            .line_to(from, radius)
            .line_to(to, radius)
            .line_to(to, 0.0)
            .close()
    }

    /// A ball of radius `radius` about station 0.
    pub fn ball(radius: f64) -> Result<Self, ProfileError> {
        Path::from(-radius, 0.0)
            .arc_to(radius, 0.0, DVec2::ZERO, Turn::Right)
            .close()
    }

    /// A truncated cone about the axis, or a cone where one radius is 0.
    pub fn cone(
        from: f64,
        from_radius: f64,
        to: f64,
        to_radius: f64,
    ) -> Result<Self, ProfileError> {
        Path::from(from, 0.0)
            .line_to(from, from_radius)
            .line_to(to, to_radius)
            .line_to(to, 0.0)
            .close()
    }

    /// The parts of the outline, in order.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// Smallest and largest station, mm.
    pub fn stations(&self) -> (f64, f64) {
        // Arcs are split at their leftmost and rightmost points, so ends suffice.
        self.parts
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), part| {
                (low.min(part.from.x), high.max(part.from.x))
            })
    }

    /// Largest radius, mm.
    pub fn largest_radius(&self) -> f64 {
        self.parts.iter().map(highest).fold(0.0, f64::max)
    }

    fn checked(mut parts: Vec<Part>) -> Result<Self, ProfileError> {
        for (index, part) in parts.iter().enumerate() {
            let radius = lowest(part);
            if radius < 0.0 {
                return Err(ProfileError::BelowAxis {
                    part: index + 1,
                    radius,
                });
            }
        }
        if let Some(point) = crate::crossing::first_crossing(&parts) {
            return Err(ProfileError::Crosses {
                station: point.x,
                radius: point.y,
            });
        }
        let twice_area: f64 = parts.iter().map(Part::twice_area).sum();
        if parts.len() < 2 || twice_area.abs() < 1e-12 {
            return Err(ProfileError::Empty);
        }
        let count = parts.len();
        for index in 0..count {
            let next = parts[(index + 1) % count].tangent(false);
            // Corners flatter than a nano-radian are none.
            parts[index].smooth_at_end = parts[index].tangent(true).perp_dot(next).abs() < 1e-9
                && parts[index].tangent(true).dot(next) > 0.0;
        }
        Ok(Self {
            parts,
            inside_left: twice_area > 0.0,
        })
    }
}

fn lowest(part: &Part) -> f64 {
    let ends = part.from.y.min(part.to.y);
    match &part.shape {
        Shape::Arc {
            centre,
            radius,
            upper: false,
            ..
        } if spans_middle(part, *centre) => ends.min(centre.y - radius),
        _ => ends,
    }
}

fn highest(part: &Part) -> f64 {
    let ends = part.from.y.max(part.to.y);
    match &part.shape {
        Shape::Arc {
            centre,
            radius,
            upper: true,
            ..
        } if spans_middle(part, *centre) => ends.max(centre.y + radius),
        _ => ends,
    }
}

fn spans_middle(part: &Part, centre: DVec2) -> bool {
    (part.from.x - centre.x) * (part.to.x - centre.x) < 0.0
}
