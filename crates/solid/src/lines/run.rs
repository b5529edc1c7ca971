//! Stretches of curves in space: exact anywhere, sampled to a chord error.

use std::f64::consts::TAU;

use glam::{DVec2, DVec3};

use crate::lines::scene::{Scene, Standing};
use crate::lines::{LineKind, sheet::Sheet};
use crate::patch::Curve;

/// A curve that can be asked for any of its points.
#[derive(Debug, Clone)]
pub(super) enum Shape {
    /// By the angle.
    Circle {
        centre: DVec3,
        u: DVec3,
        v: DVec3,
        radius: f64,
    },
    /// By the way along a sheet's part, at one angle about its axis.
    Meridian { sheet: usize, theta: f64 },
    /// Where an arc turned about an axis is square to the view: by the angle about the axis
    /// from the view's own. `side` chooses one of the two points of the circle.
    Contour {
        sheet: usize,
        begin: f64,
        along: f64,
        across: f64,
        side: f64,
    },
    /// Where two sheets meet: by the number of the sample, and fractions between.
    Meeting { points: Vec<DVec3> },
}

/// A stretch of a curve that the wood has.
#[derive(Debug, Clone)]
pub(super) struct Run {
    pub kind: LineKind,
    /// The sheets it lies on; one twice for a silhouette.
    pub sheets: [usize; 2],
    pub shape: Shape,
    /// Growing parameters of the shape and the points there. Where the run is closed the
    /// last point is the first again.
    pub params: Vec<f64>,
    pub points: Vec<DVec3>,
}

impl Run {
    /// The point at a parameter.
    pub fn place(&self, scene: &Scene<'_>, t: f64) -> DVec3 {
        place(scene, &self.shape, self.sheets, t)
    }
}

pub(super) fn place(scene: &Scene<'_>, shape: &Shape, on: [usize; 2], t: f64) -> DVec3 {
    match shape {
        Shape::Circle {
            centre,
            u,
            v,
            radius,
        } => {
            let (sin, cos) = t.sin_cos();
            *centre + (*u * cos + *v * sin) * *radius
        }
        Shape::Meridian { sheet, theta } => scene.sheets[*sheet].at(t, *theta),
        Shape::Contour {
            sheet,
            begin,
            along,
            across,
            side,
        } => contour(&scene.sheets[*sheet], *begin, *along, *across, *side, t),
        Shape::Meeting { points } => {
            let last = points.len().saturating_sub(1);
            let index = (t.max(0.0) as usize).min(last.saturating_sub(1));
            let share = t - index as f64;
            let (a, b) = (points[index], points[(index + 1).min(last)]);
            if share == 0.0 {
                return a;
            }
            let middle = a.lerp(b, share);
            scene.settle(on, middle).unwrap_or(middle)
        }
    }
}

/// The normal n = (n_t, n_ρ) is square to the view where n_t a + n_ρ c cos φ = 0, with a and
/// c the view's shares along and across the axis.
fn contour(sheet: &Sheet, begin: f64, along: f64, across: f64, side: f64, phi: f64) -> DVec3 {
    let normal = side * DVec2::new(across * phi.cos(), -along).normalize_or(DVec2::X);
    let q = match sheet.curve {
        Curve::Arc { centre, radius, .. } => centre + normal * radius,
        Curve::Line { from, .. } => from,
    };
    sheet.turned(q, begin + phi)
}

/// The stretches of a shape between two parameters where `look` lets it stand, each sampled to
/// the chord error. Ends are placed to rounding. A closed shape's stretch across the seam is one.
pub(super) fn stretches(
    scene: &Scene<'_>,
    kind: LineKind,
    sheets: [usize; 2],
    shape: &Shape,
    (from, to): (f64, f64),
    look: impl Fn(DVec3) -> Standing,
) -> Vec<Run> {
    let at = |t: f64| place(scene, shape, sheets, t);
    let mut samples = vec![(from, at(from))];
    let first = 12;
    for k in 1..=first {
        let t = from + (to - from) * f64::from(k) / f64::from(first);
        let before = samples[samples.len() - 1];
        flatten(&at, scene.sagitta, before, (t, at(t)), 0, &mut samples);
    }
    let seen = |(t, p): (f64, DVec3)| (t, p, look(p));
    let mut walked = vec![seen(samples[0])];
    for pair in samples.windows(2) {
        let before = walked[walked.len() - 1];
        approach(&at, &seen, scene.fine, before, seen(pair[1]), &mut walked);
    }
    let mut runs: Vec<Vec<(f64, DVec3)>> = Vec::new();
    let mut open: Vec<(f64, DVec3)> = Vec::new();
    for (index, &(t, p, standing)) in walked.iter().enumerate() {
        if index > 0 {
            let (before, _, was) = walked[index - 1];
            if was.stands != standing.stands {
                let end = change(&at, &look, before, t, was.stands);
                open.push(end);
                if was.stands {
                    runs.push(std::mem::take(&mut open));
                }
            }
        }
        if standing.stands {
            open.push((t, p));
        }
    }
    if !open.is_empty() {
        runs.push(open);
    }
    let closed = (to - from - TAU).abs() < 1e-12 && at(from).distance(at(to)) < 1e-9;
    if closed && runs.len() > 1 {
        let seam = runs[0][0].0 == from && runs[runs.len() - 1].last().is_some_and(|l| l.0 == to);
        if seam && let Some(mut last) = runs.pop() {
            last.extend(runs[0].iter().skip(1).map(|(t, p)| (t + (to - from), *p)));
            runs[0] = last;
        }
    }
    runs.retain(|run| run.len() > 1);
    runs.into_iter()
        .map(|run| Run {
            kind,
            sheets,
            shape: shape.clone(),
            params: run.iter().map(|r| r.0).collect(),
            points: run.iter().map(|r| r.1).collect(),
        })
        .collect()
}

/// Adds samples up to `b` so that chords lie within the sagitta.
fn flatten(
    at: &impl Fn(f64) -> DVec3,
    sagitta: f64,
    a: (f64, DVec3),
    b: (f64, DVec3),
    level: u32,
    samples: &mut Vec<(f64, DVec3)>,
) {
    let t = 0.5 * (a.0 + b.0);
    let middle = (t, at(t));
    let chord = a.1.distance(b.1);
    let (left, right) = (a.1.distance(middle.1), middle.1.distance(b.1));
    // A parameter that runs unevenly can hide a bend from its middle.
    let uneven = left.max(right) > 4.0 * left.min(right) && left.max(right) > 8.0 * sagitta;
    let off = middle.1.distance(a.1.lerp(b.1, 0.5)) > sagitta && {
        let way = (b.1 - a.1).normalize_or_zero();
        let across = (middle.1 - a.1) - way * (middle.1 - a.1).dot(way);
        across.length() > sagitta || left + right > chord * 1.5
    };
    if level < 44 && (off || uneven) && t > a.0 && t < b.0 {
        flatten(at, sagitta, a, middle, level + 1, samples);
        flatten(at, sagitta, middle, b, level + 1, samples);
    } else {
        samples.push(b);
    }
}

type Seen = (f64, DVec3, Standing);

/// Adds places up to `b`, near enough that nothing can begin and end between two of them.
fn approach(
    at: &impl Fn(f64) -> DVec3,
    seen: &impl Fn((f64, DVec3)) -> Seen,
    fine: f64,
    a: Seen,
    b: Seen,
    walked: &mut Vec<Seen>,
) {
    let way = a.1.distance(b.1);
    let t = 0.5 * (a.0 + b.0);
    if way <= fine.max(a.2.room.max(b.2.room)) || t <= a.0 || t >= b.0 {
        walked.push(b);
        return;
    }
    let middle = seen((t, at(t)));
    approach(at, seen, fine, a, middle, walked);
    approach(at, seen, fine, middle, b, walked);
}

/// The place between two parameters, on the side that stands, where that ends.
fn change(
    at: &impl Fn(f64) -> DVec3,
    look: &impl Fn(DVec3) -> Standing,
    a: f64,
    b: f64,
    first_stands: bool,
) -> (f64, DVec3) {
    let (mut stands, mut not) = if first_stands { (a, b) } else { (b, a) };
    for _ in 0..48 {
        let t = 0.5 * (stands + not);
        if t == stands || t == not {
            break;
        }
        if look(at(t)).stands {
            stands = t;
        } else {
            not = t;
        }
    }
    (stands, at(stands))
}
