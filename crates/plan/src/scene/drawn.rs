//! Marks and lines on the wood that is there before a set-up, and the ways of bits through it.

use std::f64::consts::TAU;

use rondure_solid::{DVec3, Region, Solid};

use super::held::Held;
use super::{Line, LineKind, Mark, MarkKind, View};
use crate::form::coved_ball::BALL;
use crate::process::CutKind;

/// A line is on the wood where the surface is no farther than this, mm: a pencil line is wider.
const ON_WOOD: f64 = 0.02;
/// Points of a whole circle.
const ROUND: u32 = 180;
/// How far an axis is drawn beyond the wood, and a bit's way before it, mm.
const BEYOND: f64 = 12.0;

/// Marks of the ball where they can be felt or seen.
pub(super) fn marks(view: &View<'_>) -> Vec<Mark> {
    let setup = view.setup();
    if setup.piece != BALL || setup.id == "rough" {
        return Vec::new();
    }
    let layout = &view.expanded.layout;
    let radius = layout.radius;
    // A ray into a marker hole would miss the surface that the hole keeps the place of.
    let whole = view.before.without(&[CutKind::Marker, CutKind::Pierce]);
    let mut marks: Vec<Mark> = (0..layout.marks)
        .filter_map(|mark| {
            let out = layout.towards(mark);
            let (at, kind) = if setup.id == "ball" {
                (radius, MarkKind::Mark)
            } else {
                let far = radius + BEYOND;
                let at = far - whole.solid.first_wood(out * far, -out, 0.0, far)?.enter;
                let kept = at < radius - ON_WOOD;
                (
                    at,
                    if kept {
                        MarkKind::MarkerHole
                    } else {
                        MarkKind::Mark
                    },
                )
            };
            Some(Mark {
                kind,
                name: (mark + 1).to_string(),
                at: (out * at).to_array(),
                out: out.to_array(),
            })
        })
        .collect();
    for (out, name) in [(DVec3::Z, "tail end"), (DVec3::NEG_Z, "head end")] {
        marks.push(Mark {
            kind: MarkKind::Pole,
            name: name.to_owned(),
            at: (out * radius).to_array(),
            out: out.to_array(),
        });
    }
    marks
}

/// Lines on the wood, the lathe's axis, and the ways of bits.
pub(super) fn lines(view: &View<'_>, held: &Held) -> Vec<Line> {
    let layout = &view.expanded.layout;
    let radius = layout.radius;
    let setup = view.setup();
    let mut lines = Vec::new();
    if held.on_lathe {
        lines.push(axis(view, held));
    }
    if let Some(mounting) = view.mounting() {
        let along = layout.towards(mounting);
        let solid = &view.before.solid;
        let edge = (radius * radius - layout.half_width * layout.half_width)
            .max(0.0)
            .sqrt();
        for (side, end) in [(1.0, "drive"), (-1.0, "tail")] {
            let name = format!("edge line towards the {end} centre");
            let centre = along * (side * layout.half_width);
            let step = format!("{}.edges", setup.id);
            push_on(
                &mut lines,
                solid,
                LineKind::Edge,
                &name,
                Some(&step),
                circle(centre, along, edge),
            );
        }
        let middle = format!("middle line of cove {}", mounting + 1);
        push_on(
            &mut lines,
            solid,
            LineKind::CoveMiddle,
            &middle,
            None,
            circle(DVec3::ZERO, along, radius),
        );
        push_on(
            &mut lines,
            solid,
            LineKind::Middle,
            "middle line",
            None,
            circle(DVec3::ZERO, DVec3::Z, radius),
        );
    }
    if setup.id == "ball" {
        let step = Some("ball.length");
        for (station, name) in [
            (radius, "tail end of the ball"),
            (0.0, "middle line"),
            (-radius, "head end of the ball"),
        ] {
            lines.push(Line {
                kind: if station == 0.0 {
                    LineKind::Middle
                } else {
                    LineKind::Station
                },
                name: name.to_owned(),
                step: step.map(str::to_owned),
                points: circle(DVec3::Z * station, DVec3::Z, radius)
                    .iter()
                    .map(DVec3::to_array)
                    .collect(),
            });
        }
    }
    lines.extend(drills(view));
    lines
}

fn axis(view: &View<'_>, held: &Held) -> Line {
    let bounds = view.before.solid.bounds();
    let corners = [bounds.low, bounds.high];
    let ends = (0..8)
        .map(|corner| {
            DVec3::new(
                corners[corner & 1].x,
                corners[corner >> 1 & 1].y,
                corners[corner >> 2].z,
            )
            .dot(held.along)
        })
        .fold((0.0_f64, 0.0_f64), |(low, high), t| {
            (low.min(t), high.max(t))
        });
    Line {
        kind: LineKind::Axis,
        name: "lathe's axis".to_owned(),
        step: None,
        points: [ends.0 - BEYOND, ends.1 + BEYOND]
            .map(|t| (held.along * t).to_array())
            .into(),
    }
}

/// A whole circle about `axis`, its last point the first again.
fn circle(centre: DVec3, axis: DVec3, radius: f64) -> Vec<DVec3> {
    let right = axis.any_orthonormal_vector();
    let up = axis.cross(right);
    (0..=ROUND)
        .map(|place| {
            let (sin, cos) = (TAU * f64::from(place % ROUND) / f64::from(ROUND)).sin_cos();
            centre + radius * (right * cos + up * sin)
        })
        .collect()
}

/// The runs of a whole circle that lie on the wood.
fn push_on(
    lines: &mut Vec<Line>,
    solid: &Solid,
    kind: LineKind,
    name: &str,
    step: Option<&str>,
    points: Vec<DVec3>,
) {
    let on: Vec<bool> = points
        .iter()
        .map(|&point| solid.depth(point).abs() <= ON_WOOD)
        .collect();
    // The last point of a circle is its first again: begin after a place off the wood, so that
    // no run is cut in two by where the circle happens to begin.
    let count = points.len() - 1;
    let begin = on.iter().position(|on| !on).unwrap_or(0);
    let mut runs: Vec<Vec<[f64; 3]>> = vec![Vec::new()];
    for place in (begin..=begin + count).map(|place| place % count) {
        match runs.last_mut() {
            Some(run) if on[place] => run.push(points[place].to_array()),
            _ => runs.push(Vec::new()),
        }
    }
    runs.retain(|run| run.len() > 1);
    lines.extend(runs.into_iter().map(|points| Line {
        kind,
        name: name.to_owned(),
        step: step.map(str::to_owned),
        points,
    }));
}

/// The ways of bits: from outside the wood to the end of the hole.
fn drills(view: &View<'_>) -> Vec<Line> {
    let reach = 0.5
        * view
            .before
            .solid
            .bounds()
            .high
            .distance(view.before.solid.bounds().low);
    let mut lines = Vec::new();
    for step in &view.setup().steps {
        for cut in &step.removes {
            let Region::Revolved {
                origin,
                axis,
                profile,
            } = &cut.region
            else {
                continue;
            };
            if !cut.kind.is_drilled() {
                continue;
            }
            // A hole is open at the end that lies outside the wood; one through and through is
            // bored from the end the bit comes from, which the region does not tell.
            let (low, high) = profile.stations();
            let (from, to) = if high > reach {
                (reach.min(high) + BEYOND, low.max(-reach - BEYOND))
            } else {
                (low.max(-reach) - BEYOND, high)
            };
            lines.push(Line {
                kind: LineKind::Drill,
                name: cut.name.clone(),
                step: Some(step.id.clone()),
                points: [from, to].map(|t| (*origin + *axis * t).to_array()).into(),
            });
        }
    }
    lines
}
