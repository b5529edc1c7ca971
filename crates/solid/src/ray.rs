//! Where a straight line runs through the wood.
//!
//! The line is walked in steps that the depth proves safe: it changes by no more
//! than the way, so nothing can begin or end within |depth|. Near a surface,
//! where those steps grow small, the bend of the faces in reach gives a second
//! proof, d + g s ± ½ b s², so a line that grazes a face is walked in steps of
//! the square root. Each crossing is then closed in on, until its depth is
//! within [`CLOSE`].
//!
//! **Not promised.** Where neither proof gives a step of [`STEP`] the walk takes
//! that step all the same, so a stay in wood or in air shorter than `STEP` along
//! the line can be missed beside a sharp edge. Wood less deep than `CLOSE` is no
//! wood, so a line lying in a face is in air. The walk takes at most
//! (to − from) / `STEP` steps.

use glam::DVec3;

use crate::solid::{Face, Solid};

/// The shortest step of the walk, mm.
pub const STEP: f64 = 1e-4;

/// How close a crossing is placed, and the depth below which wood is none, mm.
pub const CLOSE: f64 = 1e-9;

/// A stretch of wood along a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Way from the line's origin to where the wood begins, mm.
    pub enter: f64,
    /// Way from the line's origin to where it ends, mm.
    pub leave: f64,
    /// The face entered through; none where the asked range begins in wood.
    pub enter_face: Option<Face>,
    /// The face left through; none where the asked range ends in wood.
    pub leave_face: Option<Face>,
}

impl Solid {
    /// The stretches of wood along the line through `origin` along `direction` (any
    /// length but 0), between the ways `from` and `to`, mm.
    pub fn ray(&self, origin: DVec3, direction: DVec3, from: f64, to: f64) -> Vec<Span> {
        let mut spans = Vec::new();
        self.walk(origin, direction, from, to, |span| {
            spans.push(span);
            true
        });
        spans
    }

    /// The first stretch of wood along a line, as [`Solid::ray`] finds it.
    pub fn first_wood(&self, origin: DVec3, direction: DVec3, from: f64, to: f64) -> Option<Span> {
        let mut first = None;
        self.walk(origin, direction, from, to, |span| {
            first = Some(span);
            false
        });
        first
    }

    fn walk(
        &self,
        origin: DVec3,
        direction: DVec3,
        from: f64,
        to: f64,
        mut found: impl FnMut(Span) -> bool,
    ) {
        let direction = direction.normalize_or_zero();
        if direction == DVec3::ZERO || !origin.is_finite() || !(to - from).is_finite() {
            return;
        }
        let line = Line {
            solid: self,
            origin,
            direction,
        };
        let mut at = from;
        let (mut depth, mut step) = line.safe_step(at);
        let mut open = (depth > CLOSE).then_some((from, None));
        while at < to {
            let next = (at + step).min(to);
            let (next_depth, next_step) = line.safe_step(next);
            if (next_depth > CLOSE) != (depth > CLOSE) {
                let cross = line.crossing(at, depth, next, next_depth);
                let face = Some(line.face(cross));
                match open.take() {
                    None => open = Some((cross, face)),
                    Some((enter, enter_face)) => {
                        let span = Span {
                            enter,
                            leave: cross,
                            enter_face,
                            leave_face: face,
                        };
                        if !found(span) {
                            return;
                        }
                    }
                }
            }
            (at, depth, step) = (next, next_depth, next_step);
        }
        if let Some((enter, enter_face)) = open {
            found(Span {
                enter,
                leave: to,
                enter_face,
                leave_face: None,
            });
        }
    }
}

struct Line<'a> {
    solid: &'a Solid,
    origin: DVec3,
    direction: DVec3,
}

impl Line<'_> {
    fn point(&self, at: f64) -> DVec3 {
        self.origin + self.direction * at
    }

    fn face(&self, at: f64) -> Face {
        self.solid.nearest(self.point(at)).face
    }

    /// Depth at a way, and a step within which the line stays on the same side.
    fn safe_step(&self, at: f64) -> (f64, f64) {
        let point = self.point(at);
        let depth = self.solid.depth(point);
        let mut step = depth.abs();
        if step < 0.1 {
            for reach in [1.0, 0.25, 0.05, 0.01] {
                if reach <= step {
                    break;
                }
                if let Some(proved) = self.bent_step(point, depth, reach) {
                    step = step.max(proved);
                    break;
                }
            }
        }
        (depth, step.max(STEP))
    }

    /// The step, up to `reach`, that the bend of the faces near `point` proves safe.
    fn bent_step(&self, point: DVec3, depth: f64, reach: f64) -> Option<f64> {
        let wood = depth > CLOSE;
        let mut least = reach;
        let mut most: Option<f64> = None;
        for face in self.solid.faces() {
            let away = self.solid.depth_to(face, point);
            if away > if wood { reach } else { CLOSE } {
                continue;
            }
            let Some(bend) = self.solid.bend(face, point, reach) else {
                if wood {
                    return None;
                }
                continue;
            };
            let slope = self.solid.touch(face, point).inward.dot(self.direction);
            // In wood every face must keep its distance; in air one face that stays is enough.
            let (gap, slope) = if wood {
                (away + CLOSE, slope)
            } else {
                (CLOSE - away, -slope)
            };
            let below = (slope * slope + 2.0 * bend * gap).sqrt() - slope;
            let stays = if below > 0.0 {
                (2.0 * gap / below).min(reach)
            } else {
                reach
            };
            least = least.min(stays);
            most = Some(most.unwrap_or(0.0).max(stays));
        }
        if wood { Some(least) } else { most }
    }

    /// Closes in on a crossing between two ways, by false position kept honest by halving.
    fn crossing(&self, a: f64, depth_a: f64, b: f64, depth_b: f64) -> f64 {
        if (depth_a > 0.0) == (depth_b > 0.0) {
            // The end in air lies within `CLOSE` of the surface already.
            return if depth_a < depth_b { a } else { b };
        }
        root(
            |at| self.solid.depth(self.point(at)),
            a,
            depth_a,
            b,
            depth_b,
        )
    }
}

/// A root of `f` between `a` and `b`, where its values have different signs, to 1e-11.
pub(crate) fn root(
    f: impl Fn(f64) -> f64,
    mut a: f64,
    mut at_a: f64,
    mut b: f64,
    mut at_b: f64,
) -> f64 {
    for turn in 0..80 {
        if (b - a).abs() < 1e-11 {
            break;
        }
        let mut middle = 0.5 * (a + b);
        if turn % 3 != 2 && at_b != at_a {
            middle = a - at_a * (b - a) / (at_b - at_a);
        }
        let value = f(middle);
        if value == 0.0 {
            return middle;
        }
        if (value > 0.0) == (at_a > 0.0) {
            (a, at_a) = (middle, value);
            at_b *= 0.5;
        } else {
            (b, at_b) = (middle, value);
            at_a *= 0.5;
        }
    }
    0.5 * (a + b)
}
