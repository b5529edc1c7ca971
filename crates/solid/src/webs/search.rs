//! From a seed to the pair of feet that are each other's nearest.

use glam::DVec3;
use rayon::prelude::*;

use super::{Web, rim, seeds};
use crate::lattice::Lattice;
use crate::ray::CLOSE;
use crate::solid::{Face, Solid, Touch};

pub(super) fn thinnest(solid: &Solid, lattice: &Lattice) -> Vec<Web> {
    let pairs = seeds::seeds(solid, lattice);
    let mut webs: Vec<Web> = pairs
        .into_par_iter()
        .filter_map(|(faces, seeds)| {
            let mut best: Option<Web> = None;
            for seed in seeds {
                if let Some(web) = settle(solid, faces, &seed, lattice.reach)
                    && best.is_none_or(|best| web.thickness < best.thickness)
                {
                    best = Some(web);
                }
            }
            best
        })
        .collect();
    webs.par_iter_mut()
        .for_each(|web| web.meets = rim::meets(solid, lattice, web.faces));
    webs.sort_by(|a, b| {
        a.thickness
            .total_cmp(&b.thickness)
            .then(a.faces.cmp(&b.faces))
    });
    webs
}

/// The web a seed leads to, if it leads to one.
fn settle(solid: &Solid, faces: [Face; 2], seed: &seeds::Seed, reach: f64) -> Option<Web> {
    let web = |feet: [DVec3; 2], thickness, ends_at| Web {
        thickness,
        feet,
        faces,
        ends_at,
        meets: false,
    };
    let feet = narrow(solid, faces, seed.feet, 4.0 * reach);
    if let Some(feet) = feet
        && clear(solid, feet[0], feet[1])
    {
        return Some(web(feet, feet[0].distance(feet[1]), None));
    }
    if faces[0] == faces[1] {
        return None;
    }
    // The sum falls on out of the wood: follow it along the face where the wood ends.
    let beyond = feet.map(|feet| solid.nearest(feet[0].midpoint(feet[1])).face);
    let rim = rim::along(solid, faces, seed.at, beyond)?;
    Some(web(rim.feet, rim.thickness, Some(rim.face)))
}

/// Distances from either side of the middle, a quarter of the way from it to each foot.
/// There each foot is the nearest of its own side, also when both lie on one face.
fn sides(solid: &Solid, faces: [Face; 2], middle: DVec3, half: DVec3) -> [Touch; 2] {
    [
        solid.touch(faces[0], middle - 0.5 * half),
        solid.touch(faces[1], middle + 0.5 * half),
    ]
}

/// Moves both feet to where they are each other's nearest; none where the faces meet there.
fn narrow(solid: &Solid, faces: [Face; 2], mut feet: [DVec3; 2], reach: f64) -> Option<[DVec3; 2]> {
    let start = feet[0].midpoint(feet[1]);
    for _ in 0..60 {
        let middle = feet[0].midpoint(feet[1]);
        let half = 0.5 * (feet[1] - feet[0]);
        let normal = half.try_normalize()?;
        // Walls thinner than this are thinner than rounding lets one see.
        if half.length() < 10.0 * CLOSE || middle.distance(start) > 4.0 * reach {
            return None;
        }
        let here = sides(solid, faces, middle, half);
        if here.iter().any(|touch| touch.depth <= 0.0) {
            return None;
        }
        let (right, up) = normal.any_orthonormal_pair();
        let slope = |sides: &[Touch; 2]| {
            let g = sides[0].inward + sides[1].inward;
            [g.dot(right), g.dot(up)]
        };
        let g = slope(&here);
        let facing =
            here[0].inward.dot(normal) > 1.0 - 1e-9 && here[1].inward.dot(normal) < 1e-9 - 1.0;
        if g[0].hypot(g[1]) < 1e-9 && facing {
            return Some(feet);
        }
        let d = 1e-5 * (1.0 + half.length());
        let across = |e: DVec3| {
            let plus = slope(&sides(solid, faces, middle + d * e, half));
            let minus = slope(&sides(solid, faces, middle - d * e, half));
            [
                (plus[0] - minus[0]) / (2.0 * d),
                (plus[1] - minus[1]) / (2.0 * d),
            ]
        };
        let (h, k) = (across(right), across(up));
        let step = descent(g, h[0], 0.5 * (h[1] + k[0]), k[1]);
        let mut way = right * step[0] + up * step[1];
        way = way.clamp_length_max(reach);
        let mut moved = here.map(|touch| touch.foot);
        let mut best = moved[0].distance(moved[1]);
        for _ in 0..12 {
            let there = sides(solid, faces, middle + way, half);
            let next = there.map(|touch| touch.foot);
            if there.iter().all(|touch| touch.depth > 0.0) && next[0].distance(next[1]) <= best {
                (moved, best) = (next, next[0].distance(next[1]));
                break;
            }
            way *= 0.4;
        }
        if best < 10.0 * CLOSE {
            return None;
        }
        // Standing still is as near as rounding allows, or a crease where nothing is nearest.
        if moved[0].distance(feet[0]) + moved[1].distance(feet[1]) < 1e-12 {
            return (g[0].hypot(g[1]) < 1e-6).then_some(feet);
        }
        feet = moved;
    }
    // Walls of almost even thickness end here: both feet still face each other.
    let middle = feet[0].midpoint(feet[1]);
    let last = sides(solid, faces, middle, 0.5 * (feet[1] - feet[0]));
    let g = last[0].inward + last[1].inward;
    (g.length() < 1e-5).then_some(feet)
}

/// A Newton step downhill in two dimensions: along each principal direction by the slope
/// over the size of the curvature, so that it never climbs.
fn descent(g: [f64; 2], xx: f64, xy: f64, yy: f64) -> [f64; 2] {
    let turn = 0.5 * (2.0 * xy).atan2(xx - yy);
    let (sine, cosine) = turn.sin_cos();
    let mean = 0.5 * (xx + yy);
    let half = (0.5 * (xx - yy)).hypot(xy);
    let mut step = [0.0; 2];
    for (direction, curvature) in [
        ([cosine, sine], mean + half),
        ([-sine, cosine], mean - half),
    ] {
        let slope = g[0] * direction[0] + g[1] * direction[1];
        let along = -slope / curvature.abs().max(1e-6);
        step[0] += along * direction[0];
        step[1] += along * direction[1];
    }
    step
}

/// Whether the whole way between two feet lies in wood.
pub(super) fn clear(solid: &Solid, a: DVec3, b: DVec3) -> bool {
    let middle = a.midpoint(b);
    [a, b].into_iter().all(|end| {
        let length = end.distance(middle);
        let way = (middle - end) / length;
        // From the middle outwards, by the depth: nothing but wood lies within it. Without
        // other faces in the way the first step ends at the foot.
        let mut left = length;
        for _ in 0..100 {
            let depth = solid.depth(end + way * left);
            if depth >= left * (1.0 - 1e-6) - CLOSE {
                return true;
            }
            if depth <= CLOSE {
                return false;
            }
            left -= depth;
        }
        false
    })
}
