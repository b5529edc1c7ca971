//! From pieces to lines: joins what goes on smoothly, thins the points out, puts them in order.

use std::f64::consts::PI;

use glam::DVec3;

use crate::lines::circles::crease_ways;
use crate::lines::hidden::Piece;
use crate::lines::scene::Scene;
use crate::lines::{DrawnLine, Frame, LineKind};
use crate::solid::Face;

/// Ends nearer than this are one point, mm.
const SAME: f64 = 1e-5;

/// Pieces that turn by less than this from one to the next go on, as a cosine (about 35°:
/// the chords of a small circle turn that much).
const GOES_ON: f64 = 0.82;

struct Chain {
    piece: Piece,
    faces: [Face; 2],
    angles: Vec<f64>,
}

/// The lines of a drawing.
pub(super) fn lines(
    scene: &Scene<'_>,
    pieces: Vec<Piece>,
    frame: &Frame,
    tolerance: f64,
) -> Vec<DrawnLine> {
    let chains: Vec<Chain> = pieces
        .into_iter()
        .map(|piece| {
            let mut faces = piece.sheets.map(|k| scene.sheets[k].face);
            faces.sort();
            Chain {
                angles: piece
                    .points
                    .iter()
                    .map(|p| angle(scene, &piece, *p))
                    .collect(),
                faces,
                piece,
            }
        })
        .collect();
    let mut lines: Vec<DrawnLine> = joined(chains)
        .into_iter()
        .map(|chain| thinned(chain, frame, tolerance))
        .collect();
    lines.sort_by_key(|line| (line.visible, line.kind, line.faces));
    lines
}

fn angle(scene: &Scene<'_>, piece: &Piece, p: DVec3) -> f64 {
    let [a, b] = piece.sheets.map(|k| &scene.sheets[k]);
    let (first, second) = (a.sense(p).inward, b.sense(p).inward);
    match piece.kind {
        LineKind::Silhouette => PI,
        LineKind::Edge => PI - first.angle_between(second),
        LineKind::Crease => Scene::included(first, crease_ways(a, b, p)),
    }
}

/// Joins pieces of one kind and of the same faces wherever exactly two of them go on.
fn joined(chains: Vec<Chain>) -> Vec<Chain> {
    let key = |chain: &Chain| (chain.piece.visible, chain.piece.kind, chain.faces);
    let mut groups: Vec<Vec<Chain>> = Vec::new();
    let mut sorted = chains;
    sorted.sort_by_key(key);
    for chain in sorted {
        match groups.last_mut() {
            Some(group) if key(&group[0]) == key(&chain) => group.push(chain),
            _ => groups.push(vec![chain]),
        }
    }
    groups.into_iter().flat_map(join_group).collect()
}

fn join_group(mut group: Vec<Chain>) -> Vec<Chain> {
    while let Some((i, j, turn_first, turn_second)) = partners(&group) {
        let mut second = group.remove(j);
        if turn_second {
            second.piece.points.reverse();
            second.angles.reverse();
        }
        let first = &mut group[i];
        if turn_first {
            first.piece.points.reverse();
            first.angles.reverse();
        }
        first.piece.points.extend(second.piece.points.drain(1..));
        first.angles.extend(second.angles.drain(1..));
    }
    group
}

/// An end: its point and the way out of the chain there.
fn end(chain: &Chain, last: bool) -> (DVec3, DVec3) {
    let points = &chain.piece.points;
    let (at, before) = if last {
        (points[points.len() - 1], points[points.len() - 2])
    } else {
        (points[0], points[1])
    };
    (at, (at - before).normalize_or_zero())
}

fn partners(group: &[Chain]) -> Option<(usize, usize, bool, bool)> {
    let ends: Vec<(usize, bool, DVec3, DVec3)> = group
        .iter()
        .enumerate()
        .filter(|(_, chain)| !is_closed(&chain.piece))
        .flat_map(|(k, chain)| {
            [false, true].map(|last| {
                let (at, way) = end(chain, last);
                (k, last, at, way)
            })
        })
        .collect();
    for (index, a) in ends.iter().enumerate() {
        let mut onward = ends.iter().enumerate().filter(|(other, b)| {
            *other != index && a.2.distance_squared(b.2) < SAME * SAME && a.3.dot(b.3) < -GOES_ON
        });
        if let (Some((_, b)), None) = (onward.next(), onward.next())
            && a.0 < b.0
        {
            return Some((a.0, b.0, !a.1, b.1));
        }
    }
    None
}

fn is_closed(piece: &Piece) -> bool {
    let points = &piece.points;
    points.len() > 3 && points[0].distance(points[points.len() - 1]) < SAME
}

/// Leaves out points nearer than the tolerance, in space, to the chord between those kept.
fn thinned(chain: Chain, frame: &Frame, tolerance: f64) -> DrawnLine {
    let points = &chain.piece.points;
    let flat: Vec<_> = points.iter().map(|p| frame.flat(*p)).collect();
    let mut keep = vec![false; points.len()];
    let last = points.len() - 1;
    keep[0] = true;
    keep[last] = true;
    let closed = is_closed(&chain.piece);
    let mut stack = if closed {
        // The point farthest from the seam first: a closed line has no chord.
        let far = (0..=last)
            .max_by(|a, b| {
                let away = |k: &usize| points[*k].distance_squared(points[0]);
                away(a).total_cmp(&away(b))
            })
            .unwrap_or(0);
        keep[far] = true;
        vec![(far, last), (0, far)]
    } else {
        vec![(0, last)]
    };
    while let Some((from, to)) = stack.pop() {
        let way = points[to] - points[from];
        let off = |k: usize| {
            let share = ((points[k] - points[from]).dot(way) / way.length_squared().max(1e-300))
                .clamp(0.0, 1.0);
            points[k].distance(points[from] + way * share)
        };
        let worst = (from + 1..to)
            .map(|k| (off(k), k))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((most, k)) = worst
            && most > tolerance
        {
            keep[k] = true;
            stack.extend([(k, to), (from, k)]);
        }
    }
    if closed {
        keep[last] = false;
    }
    let kept: Vec<usize> = (0..=last).filter(|k| keep[*k]).collect();
    DrawnLine {
        points: kept.iter().map(|k| flat[*k]).collect(),
        places: kept.iter().map(|k| points[*k]).collect(),
        angles: kept.iter().map(|k| chain.angles[*k]).collect(),
        kind: chain.piece.kind,
        visible: chain.piece.visible,
        faces: chain.faces,
        closed,
    }
}
