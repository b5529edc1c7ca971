//! Edges between faces turned about different axes, followed from place to place.
//!
//! Every small box that two sheets may pass through is a place to start: Newton's
//! steps lead onto both sheets. From there the curve is followed along the cross
//! product of the normals, each step set back onto both sheets, no longer than the
//! chord error and the nearest other face allow; ends are closed in on by halving.
//! At each end the other pairs of sheets that meet there are started as well, so
//! that edges shorter than a box between two corners are not lost.

use std::collections::BTreeMap;

use glam::DVec3;
use rayon::prelude::*;

use crate::lines::LineKind;
use crate::lines::circles::shared_axis;
use crate::lines::run::{Run, Shape};
use crate::lines::scene::{ON, Scene};
use crate::octree::State;

/// Far more steps than any edge takes at the finest tolerance.
const MOST_STEPS: usize = 200_000;

type Seeds = BTreeMap<[usize; 2], Vec<DVec3>>;

/// All such edges. `ends` are the ends of edges known already.
pub(super) fn followed(scene: &Scene<'_>, ends: &[DVec3]) -> Vec<Run> {
    let mut runs: BTreeMap<[usize; 2], Vec<Run>> = BTreeMap::new();
    let mut seeds = from_boxes(scene);
    at_ends(scene, ends, &mut seeds);
    while !seeds.is_empty() {
        let fresh: Vec<([usize; 2], Vec<Run>)> = seeds
            .par_iter()
            .map(|(pair, places)| {
                let known = runs.get(pair).map_or(&[][..], Vec::as_slice);
                (*pair, follow_all(scene, *pair, places, known))
            })
            .collect();
        seeds = Seeds::new();
        for (pair, new) in fresh {
            let ends: Vec<DVec3> = new
                .iter()
                .filter(|run| run.points.first() != run.points.last())
                .flat_map(|run| [run.points[0], run.points[run.points.len() - 1]])
                .collect();
            at_ends(scene, &ends, &mut seeds);
            if !new.is_empty() {
                runs.entry(pair).or_default().extend(new);
            }
        }
    }
    runs.into_values().flatten().collect()
}

/// Places to start at, one for every box and pair of sheets.
fn from_boxes(scene: &Scene<'_>) -> Seeds {
    let found: Vec<Vec<([usize; 2], DVec3)>> = scene
        .boxes
        .leaves
        .par_iter()
        .with_min_len(64)
        .map(|leaf| {
            let mut here = Vec::new();
            if leaf.state != State::Open || leaf.faces.len() < 2 {
                return here;
            }
            let reach = leaf.cell.half_diagonal();
            let near: Vec<usize> = leaf
                .faces
                .iter()
                .flat_map(|face| scene.of_face[face.0].clone())
                .filter(|k| {
                    let sense = scene.sheets[*k].sense(leaf.cell.centre);
                    sense.depth.abs() <= reach && sense.slack >= -2.0 * reach
                })
                .collect();
            for (index, &i) in near.iter().enumerate() {
                for &j in &near[index + 1..] {
                    let (a, b) = (&scene.sheets[i], &scene.sheets[j]);
                    if a.face == b.face || shared_axis(a, b).is_some() {
                        continue;
                    }
                    let found = scene
                        .settle([i, j], leaf.cell.centre)
                        .filter(|p| p.distance(leaf.cell.centre) <= 2.0 * reach)
                        .filter(|p| scene.edge([i, j], *p, &[]).stands);
                    here.extend(found.map(|p| ([i, j], p)));
                }
            }
            here
        })
        .collect();
    let mut seeds = Seeds::new();
    for (pair, place) in found.into_iter().flatten() {
        seeds.entry(pair).or_default().push(place);
    }
    seeds
}

/// Places to start at a little way from ends, on every pair of sheets that meets there.
fn at_ends(scene: &Scene<'_>, ends: &[DVec3], seeds: &mut Seeds) {
    for &end in ends {
        let Some(leaf) = scene.boxes.at(end) else {
            continue;
        };
        let near: Vec<usize> = leaf
            .faces
            .iter()
            .flat_map(|face| scene.of_face[face.0].clone())
            .filter(|k| {
                let sense = scene.sheets[*k].sense(end);
                sense.depth.abs() < 10.0 * ON && sense.slack > -10.0 * ON
            })
            .collect();
        for (index, &i) in near.iter().enumerate() {
            for &j in &near[index + 1..] {
                let (a, b) = (&scene.sheets[i], &scene.sheets[j]);
                if a.face == b.face || shared_axis(a, b).is_some() {
                    continue;
                }
                let way = a.sense(end).inward.cross(b.sense(end).inward);
                if way.length() < 1e-4 {
                    continue;
                }
                let way = way.normalize_or_zero() * (0.1 * scene.fine);
                for start in [end + way, end - way] {
                    let found = scene
                        .settle([i, j], start)
                        .filter(|p| p.distance(start) < 0.1 * scene.fine)
                        .filter(|p| scene.edge([i, j], *p, &[]).stands);
                    if let Some(place) = found {
                        seeds.entry([i, j]).or_default().push(place);
                    }
                }
            }
        }
    }
}

fn follow_all(scene: &Scene<'_>, pair: [usize; 2], places: &[DVec3], known: &[Run]) -> Vec<Run> {
    let mut new: Vec<Run> = Vec::new();
    for &place in places {
        let covered = known
            .iter()
            .chain(&new)
            .any(|run| near_line(&run.points, place, 2.0 * scene.sagitta + ON));
        if covered {
            continue;
        }
        let points = follow(scene, pair, place);
        if points.len() > 1 {
            new.push(Run {
                kind: LineKind::Edge,
                sheets: pair,
                params: (0..points.len()).map(|k| k as f64).collect(),
                shape: Shape::Meeting {
                    points: points.clone(),
                },
                points,
            });
        }
    }
    new
}

/// Whether a point is within `reach` of a line.
fn near_line(points: &[DVec3], p: DVec3, reach: f64) -> bool {
    points.windows(2).any(|pair| {
        let way = pair[1] - pair[0];
        let share = ((p - pair[0]).dot(way) / way.length_squared()).clamp(0.0, 1.0);
        p.distance_squared(pair[0] + way * share) <= reach * reach
    })
}

/// The whole edge through a place.
fn follow(scene: &Scene<'_>, pair: [usize; 2], place: DVec3) -> Vec<DVec3> {
    let (mut forward, closed) = walk(scene, pair, place, 1.0);
    if closed {
        forward.insert(0, place);
        forward.push(place);
        return forward;
    }
    let (mut points, _) = walk(scene, pair, place, -1.0);
    points.reverse();
    points.push(place);
    points.extend(forward);
    points
}

fn tangent(scene: &Scene<'_>, pair: [usize; 2], p: DVec3) -> DVec3 {
    let [a, b] = pair.map(|k| scene.sheets[k].sense(p).inward);
    a.cross(b).normalize_or_zero()
}

/// Points after `start` up to the end, or up to the start again.
fn walk(scene: &Scene<'_>, pair: [usize; 2], start: DVec3, sign: f64) -> (Vec<DVec3>, bool) {
    let mut points: Vec<DVec3> = Vec::new();
    let mut at = start;
    let mut way = tangent(scene, pair, at) * sign;
    let mut room = scene.edge(pair, at, &[]).room;
    let mut step = scene.fine;
    let mut gone = 0.0;
    while points.len() < MOST_STEPS && way != DVec3::ZERO {
        step = step.min(room.max(scene.fine)).min(4.0 * scene.spacing);
        if step < 1e-5 {
            break;
        }
        let Some(next) = scene.settle(pair, at + way * step) else {
            step *= 0.5;
            continue;
        };
        let chord = next - at;
        let mut next_way = tangent(scene, pair, next);
        if next_way.dot(way) < 0.0 {
            next_way = -next_way;
        }
        // A chord's height is an eighth of its length times the turn.
        let turn = next_way.cross(way).length();
        let straying = chord.length() > 1.5 * step || chord.dot(way) < 0.5 * step || turn > 0.5;
        if straying || chord.length() * turn > 8.0 * scene.sagitta {
            step *= 0.5;
            continue;
        }
        let standing = scene.edge(pair, next, &[]);
        if !standing.stands {
            points.extend(last_standing(scene, pair, at, way, step));
            break;
        }
        // Once round: the start lies beside this chord.
        let back = start - at;
        let along = back.dot(chord) / chord.length_squared();
        let beside = (back - chord * along).length();
        if gone > 2.0 * step && (0.0..=1.0).contains(&along) && beside <= 2.0 * scene.sagitta + ON {
            return (points, true);
        }
        gone += chord.length();
        points.push(next);
        (at, way, room) = (next, next_way, standing.room);
        step *= 1.7;
    }
    (points, false)
}

/// The last place of an edge that ends within a step.
fn last_standing(
    scene: &Scene<'_>,
    pair: [usize; 2],
    at: DVec3,
    way: DVec3,
    step: f64,
) -> Option<DVec3> {
    let (mut low, mut high) = (0.0, step);
    let mut last = None;
    for _ in 0..48 {
        let middle = 0.5 * (low + high);
        let found = scene
            .settle(pair, at + way * middle)
            .filter(|p| scene.edge(pair, *p, &[]).stands);
        match found {
            Some(place) => {
                low = middle;
                last = Some(place);
            }
            None => high = middle,
        }
    }
    last.filter(|place| place.distance(at) > 1e-9)
}
