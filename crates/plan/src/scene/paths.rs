//! The way a tool goes: along the outline it leaves, downhill, where there is wood to take.
//!
//! The outline of each cut about the lathe's axis is followed in steps of half a
//! millimetre; what lies in air already is left out. Runs are cut from the larger
//! radius to the smaller (common practice, no source: downhill, so that the
//! fibres under the edge are held by longer ones); a run of one radius goes from
//! its middle outwards in a broken cut, and from tailstock to headstock elsewhere.

use rondure_solid::part::{Part, Shape};
use rondure_solid::{DVec2, DVec3, Region, Solid};

use super::held::Held;
use super::{ToolPath, View};
use crate::process::CutKind;

/// Distance of points along an outline, mm.
const STEP: f64 = 0.5;
/// Wood this far outside the outline, mm, is taken by the cut.
const OUTSIDE: f64 = 0.02;
/// Azimuths tried for wood.
const ROUND: u32 = 24;
/// A path shorter than this is no path, mm.
const SHORTEST: f64 = 0.4;

/// The paths of a set-up.
pub(super) fn paths(view: &View<'_>, held: &Held) -> Vec<ToolPath> {
    let setup = view.setup();
    let mut paths = Vec::new();
    for (place, step) in setup.steps.iter().enumerate() {
        if step.removes.is_empty() {
            continue;
        }
        let before = view
            .expanded
            .process
            .state_before(setup.piece, view.index, place);
        for cut in &step.removes {
            if cut.kind.is_drilled() {
                continue;
            }
            let broken = cut.kind == CutKind::Cove;
            for points in outline(&cut.region, held, &before.solid) {
                for run in downhill(&points, broken) {
                    paths.push(ToolPath {
                        step: step.id.clone(),
                        tool: step.tool.clone(),
                        points: run.iter().map(DVec2::to_array).collect(),
                    });
                }
            }
        }
    }
    paths
}

/// The runs of a cut's outline, (x, r), along which there is wood outside.
fn outline(region: &Region, held: &Held, before: &Solid) -> Vec<Vec<DVec2>> {
    let Region::Revolved {
        origin,
        axis,
        profile,
    } = region
    else {
        return Vec::new();
    };
    // Only what turns about the lathe's axis is cut by a tool on the rest.
    let parallel =
        axis.cross(held.along).length() < 1e-9 && origin.cross(held.along).length() < 1e-9;
    if !parallel {
        return Vec::new();
    }
    let (sign, shift) = (axis.dot(held.along).signum(), origin.dot(held.along));
    let bounds = before.bounds();
    let widest = bounds.high.length().max(bounds.low.length());
    let mut runs: Vec<Vec<DVec2>> = Vec::new();
    let mut run: Vec<DVec2> = Vec::new();
    for part in profile.parts() {
        if part.on_axis || part.from.y.max(part.to.y) > widest {
            runs.push(std::mem::take(&mut run));
            continue;
        }
        for point in along(part) {
            let lathe = DVec2::new(sign * point.x + shift, point.y);
            if takes(before, held, lathe) {
                if run.last().is_none_or(|last| last.distance(lathe) > 1e-9) {
                    run.push(lathe);
                }
            } else {
                runs.push(std::mem::take(&mut run));
            }
        }
    }
    runs.push(run);
    runs.retain(|run| length(run) >= SHORTEST);
    runs
}

/// Points along a part, both ends included.
fn along(part: &Part) -> Vec<DVec2> {
    match part.shape {
        Shape::Line { length, .. } => {
            let count = (length / STEP).ceil().max(1.0);
            (0..=count as u32)
                .map(|i| part.from.lerp(part.to, f64::from(i) / count))
                .collect()
        }
        Shape::Arc {
            centre,
            radius,
            upper,
            ..
        } => {
            // Its highest or lowest point is a point of the path, where the tool turns round.
            let turn = centre + DVec2::new(0.0, if upper { radius } else { -radius });
            let inside = (part.from.x - centre.x) * (part.to.x - centre.x) < 0.0;
            let ends = if inside {
                vec![part.from, turn, part.to]
            } else {
                vec![part.from, part.to]
            };
            ends.windows(2)
                .flat_map(|pair| arc(centre, radius, pair[0], pair[1]))
                .collect()
        }
    }
}

/// Points of an arc of at most half a turn, both ends included and exact.
fn arc(centre: DVec2, radius: f64, from: DVec2, to: DVec2) -> Vec<DVec2> {
    let angle = (from - centre).angle_to(to - centre);
    let count = (angle.abs() * radius / STEP).ceil().max(4.0) as u32;
    (0..=count)
        .map(|i| match i {
            0 => from,
            last if last == count => to,
            _ => {
                centre
                    + DVec2::from_angle(angle * f64::from(i) / f64::from(count))
                        .rotate(from - centre)
            }
        })
        .collect()
}

/// Whether there is wood just outside a point of the outline, anywhere round.
fn takes(before: &Solid, held: &Held, point: DVec2) -> bool {
    let up = held.front.cross(held.along);
    (0..ROUND).any(|place| {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(place) / f64::from(ROUND)).sin_cos();
        let out: DVec3 = held.front * cos + up * sin;
        before.depth(held.along * point.x + out * (point.y + OUTSIDE)) > 0.0
    })
}

fn length(run: &[DVec2]) -> f64 {
    run.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

/// A run split where it turns from rising to falling, each part from its larger radius on.
fn downhill(run: &[DVec2], broken: bool) -> Vec<Vec<DVec2>> {
    let mut parts: Vec<Vec<DVec2>> = Vec::new();
    let mut way = None;
    for pair in run.windows(2) {
        let rise = pair[1].y - pair[0].y;
        let now = if rise.abs() < 1e-9 {
            0
        } else if rise > 0.0 {
            1
        } else {
            -1
        };
        match parts.last_mut() {
            Some(part) if way == Some(now) => part.push(pair[1]),
            _ => parts.push(pair.to_vec()),
        }
        way = Some(now);
    }
    let mut cut = Vec::new();
    for mut part in parts {
        let (first, last) = (part[0], part[part.len() - 1]);
        if (first.y - last.y).abs() < 1e-9 {
            // Towards the headstock, unless the tool works out from the middle.
            if first.x < last.x {
                part.reverse();
            }
            if broken && part.len() > 2 {
                let middle = part.len() / 2;
                cut.push(part[middle..].to_vec());
                part.truncate(middle + 1);
                part.reverse();
            }
        } else if first.y < last.y {
            part.reverse();
        }
        cut.push(part);
    }
    cut.retain(|part| length(part) >= SHORTEST);
    cut
}
