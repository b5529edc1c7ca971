//! What holds the wood, drawn as the outline of a turned body.
//!
//! The eye looks square to the lathe's axis, so a turned body's outline is its profile on both
//! sides of the axis. A stretch of it is behind the body's own material where the profile is
//! wider at that station, and behind wood where a line to the eye meets wood.

use rondure_plan::scene::{Holder, HolderKind};
use rondure_solid::{DVec2, DVec3, Solid};

use super::sketch::{Stroke, StrokeKind};

/// Outlines are looked at in steps of this, mm.
const STEP: f64 = 0.5;
/// Lengths nearer than this are the same, mm.
const SAME: f64 = 1e-4;

/// How far beside a station the body is looked at, mm.
const BESIDE: f64 = 1e-3;

/// The lathe's axes in the piece's frame: along the axis, up in the view, and towards the eye.
pub(super) struct Axes {
    pub along: DVec3,
    pub up: DVec3,
    pub eye: DVec3,
}

impl Axes {
    fn space(&self, p: DVec2) -> DVec3 {
        self.along * p.x + self.up * p.y
    }

    /// Whether wood stands between a place and the eye; `start` mm are left out.
    pub fn behind_wood(&self, solid: &Solid, p: DVec3, start: f64, far: f64) -> bool {
        solid.first_wood(p, self.eye, start, far).is_some()
    }
}

/// The outlines of a holder.
pub(super) fn outlines(holder: &Holder, solid: &Solid, axes: &Axes, far: f64) -> Vec<Stroke> {
    let profile: Vec<DVec2> = holder.profile.iter().map(|p| DVec2::from(*p)).collect();
    let mut strokes = Vec::new();
    for side in [1.0, -1.0] {
        for pair in profile.windows(2) {
            // What runs along the axis is inside the body.
            if pair[0].y.abs() < SAME && pair[1].y.abs() < SAME {
                continue;
            }
            let count = ((pair[1] - pair[0]).length() / STEP)
                .ceil()
                .clamp(1.0, 400.0) as u32;
            let mut last: Option<Stroke> = None;
            for step in 0..count {
                let at = |step: u32| pair[0].lerp(pair[1], f64::from(step) / f64::from(count));
                let middle = at(step).lerp(at(step + 1), 0.5);
                let flip = |p: DVec2| DVec2::new(p.x, side * p.y);
                // An end face is inside only where the body goes on wider on both sides of it.
                let wide =
                    widest(&profile, middle.x - BESIDE).min(widest(&profile, middle.x + BESIDE));
                let inside = middle.y < wide - 10.0 * SAME;
                let hidden = inside || axes.behind_wood(solid, axes.space(flip(middle)), 1e-3, far);
                let kind = if hidden {
                    StrokeKind::HolderHidden
                } else {
                    StrokeKind::Holder
                };
                match &mut last {
                    Some(stroke) if stroke.kind == kind => stroke.points[1] = flip(at(step + 1)),
                    other => strokes.extend(other.replace(Stroke {
                        points: vec![flip(at(step)), flip(at(step + 1))],
                        closed: false,
                        kind,
                    })),
                }
            }
            strokes.extend(last);
        }
    }
    strokes
}

/// The holder without what lies outside a stretch of the axis.
pub(super) fn cut_short(holder: &Holder, (from, to): (f64, f64)) -> Holder {
    let mut short = holder.clone();
    for point in &mut short.profile {
        point[0] = point[0].clamp(from, to);
    }
    short
}

/// What of a holder stands before the wood: the outside of jaws, and of a hollowed face up to
/// the ring in which it touches. Centres bear on the wood's end and stand before nothing.
pub(super) fn ground(holder: &Holder) -> Option<Vec<DVec2>> {
    if !matches!(holder.kind, HolderKind::Jaws | HolderKind::Pin) {
        return None;
    }
    let mut outside: Vec<DVec2> = Vec::new();
    for point in &holder.profile {
        let point = DVec2::from(*point);
        if outside.last().is_some_and(|last| point.x < last.x - SAME) {
            break;
        }
        outside.push(point);
    }
    // The walk ends inside the mouth: its rim is what the eye sees.
    let rim = outside
        .iter()
        .rposition(|p| p.y >= widest_of(&outside) * 0.5)?;
    outside.truncate(rim + 1);
    let other = outside.iter().rev().map(|p| DVec2::new(p.x, -p.y));
    Some(outside.iter().copied().chain(other).collect())
}

fn widest_of(points: &[DVec2]) -> f64 {
    points.iter().map(|p| p.y).fold(0.0, f64::max)
}

/// The greatest radius of a closed profile at a station.
fn widest(profile: &[DVec2], x: f64) -> f64 {
    let next = profile.iter().cycle().skip(1);
    profile
        .iter()
        .zip(next)
        .filter(|(a, b)| a.x.min(b.x) <= x && x <= a.x.max(b.x))
        .map(|(a, b)| {
            if (b.x - a.x).abs() < 1e-12 {
                a.y.max(b.y)
            } else {
                a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x)
            }
        })
        .fold(0.0, f64::max)
}
