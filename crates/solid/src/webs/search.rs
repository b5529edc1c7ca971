//! From a seed to the pair of feet that are each other's nearest.

use glam::{DVec2, DVec3};
use rayon::prelude::*;

use super::seeds::{Seed, seeds};
use super::{Web, rim};
use crate::around::Around;
use crate::lattice::Lattice;
use crate::ray::CLOSE;
use crate::solid::{Face, Solid, Touch};

pub(super) fn thinnest(solid: &Solid, lattice: &Lattice) -> Vec<Web> {
    let pairs = seeds(solid, lattice);
    let mut webs: Vec<Web> = pairs
        .into_par_iter()
        .filter_map(|(faces, seeds)| {
            let mut best: Option<Web> = None;
            for seed in seeds {
                // The sum changes by at most twice the way, so a thinner web would have shown
                // itself by a smaller sum in a box beside it.
                if best.is_some_and(|best| seed.sum > best.thickness + 4.0 * lattice.reach) {
                    continue;
                }
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
fn settle(solid: &Solid, faces: [Face; 2], seed: &Seed, reach: f64) -> Option<Web> {
    let web = |feet: [DVec3; 2], thickness, ends_at| Web {
        thickness,
        feet,
        faces,
        ends_at,
        meets: false,
    };
    let around = Around::all(solid, seed.at);
    if !open(solid, &around, faces, seed, reach) {
        return None;
    }
    let found = narrow(solid, &around, faces, seed.feet, reach);
    if let Narrowed::Rests(feet) = found
        && clear(solid, &around, feet[0], feet[1])
    {
        return Some(web(feet, feet[0].distance(feet[1]), None));
    }
    if faces[0] == faces[1] {
        return None;
    }
    // The sum falls on out of the wood: follow it along the face where the wood ends.
    let beyond = match found {
        Narrowed::Rests(feet) => Some(around.depth(solid, feet[0].midpoint(feet[1])).1),
        Narrowed::Leaves(face) => Some(face),
        Narrowed::Meet => None,
    };
    let rim = rim::along(solid, &around, faces, seed, beyond, reach)?;
    Some(web(rim.feet, rim.thickness, Some(rim.face)))
}

/// Whether no third face stands, by more than a box, between a seed and its feet.
fn open(solid: &Solid, around: &Around, faces: [Face; 2], seed: &Seed, reach: f64) -> bool {
    seed.feet.iter().all(|foot| {
        let way = 0.7 * seed.at.distance(*foot);
        around
            .within(-reach, way)
            .filter(|face| !faces.contains(face))
            .all(|face| {
                [0.35, 0.7]
                    .into_iter()
                    .all(|share| solid.depth_to(face, seed.at.lerp(*foot, share)) > -reach)
            })
    })
}

/// After so many steps in a row that are cut short because the faces have crossed at their
/// end, the sum goes down to nothing: the faces meet.
const CROSSINGS: u32 = 4;

/// How the search for two feet that are each other's nearest ends.
enum Narrowed {
    /// With two such feet.
    Rests([DVec3; 2]),
    /// Well in the air of a third face.
    Leaves(Face),
    /// Where the faces meet, or nowhere.
    Meet,
}

/// Both distances from the middle. Two places of one face are told apart by measuring a
/// quarter of the way from the middle to each.
fn sides(solid: &Solid, faces: [Face; 2], middle: DVec3, half: DVec3) -> [Touch; 2] {
    let off = if faces[0] == faces[1] {
        0.5 * half
    } else {
        DVec3::ZERO
    };
    [
        solid.touch(faces[0], middle - off),
        solid.touch(faces[1], middle + off),
    ]
}

/// Moves both feet to where they are each other's nearest, unless the way there leaves the
/// wood by more than a box: what rests beyond is no part of this wall.
///
/// Between two faces the sum is to be least. Between two places of one face it need only
/// rest: across a post it is greatest, along it least. Where it is greatest both ways, as
/// across a ball, there is no web.
fn narrow(
    solid: &Solid,
    around: &Around,
    faces: [Face; 2],
    mut feet: [DVec3; 2],
    reach: f64,
) -> Narrowed {
    let post = faces[0] == faces[1];
    let start = feet[0].midpoint(feet[1]);
    // Steps in a row that would have ended where the faces have crossed.
    let mut crossed = 0;
    let rests = |feet, rests: bool| {
        if rests {
            Narrowed::Rests(feet)
        } else {
            Narrowed::Meet
        }
    };
    for _ in 0..40 {
        let middle = feet[0].midpoint(feet[1]);
        let half = 0.5 * (feet[1] - feet[0]);
        // Walls thinner than this are thinner than rounding lets one see.
        let seen = half.length() >= 10.0 * CLOSE && middle.distance(start) <= 16.0 * reach;
        let Some(normal) = half.try_normalize().filter(|_| seen) else {
            return Narrowed::Meet;
        };
        let (depth, nearest) = around.depth(solid, middle);
        if depth < -reach && !faces.contains(&nearest) {
            return Narrowed::Leaves(nearest);
        }
        let here = sides(solid, faces, middle, half);
        if here.iter().any(|touch| touch.depth <= 0.0) {
            return Narrowed::Meet;
        }
        let (right, up) = normal.any_orthonormal_pair();
        let slope = |sides: &[Touch; 2]| {
            let g = sides[0].inward + sides[1].inward;
            DVec2::new(g.dot(right), g.dot(up))
        };
        let g = slope(&here);
        let d = 1e-6 * (1.0 + half.length());
        let across = |e: DVec3| (slope(&sides(solid, faces, middle + d * e, half)) - g) / d;
        let bends = Bends::of(across(right), across(up));
        let facing =
            here[0].inward.dot(normal) > 1.0 - 1e-9 && here[1].inward.dot(normal) < 1e-9 - 1.0;
        if g.length() < 1e-9 && facing {
            return rests(feet, bends.most() > -1e-6);
        }
        let step = if post {
            bends.rest(g)
        } else {
            bends.descent(g)
        };
        let mut way = (right * step.x + up * step.y).clamp_length_max(4.0 * reach);
        let mut moved = here.map(|touch| touch.foot);
        let sum = here[0].depth + here[1].depth;
        let mut crosses = false;
        for _ in 0..12 {
            let there = sides(solid, faces, middle + way, half);
            let inside = there.iter().all(|touch| touch.depth > 0.0);
            crosses |= !inside && !post;
            let better = if post {
                slope(&there).length() < g.length()
            } else {
                there[0].depth + there[1].depth <= sum
            };
            if better && inside {
                moved = there.map(|touch| touch.foot);
                break;
            }
            way *= 0.4;
        }
        crossed = if crosses { crossed + 1 } else { 0 };
        if crossed == CROSSINGS {
            return Narrowed::Meet;
        }
        // Standing still is as near as rounding allows, or a crease where nothing is nearest.
        if moved[0].distance(feet[0]) + moved[1].distance(feet[1]) < 1e-12 {
            return rests(feet, g.length() < 1e-6 && bends.most() > -1e-6);
        }
        feet = moved;
    }
    // Walls of almost even thickness end here: both feet still face each other.
    let middle = feet[0].midpoint(feet[1]);
    let last = sides(solid, faces, middle, 0.5 * (feet[1] - feet[0]));
    let g = last[0].inward + last[1].inward;
    rests(feet, g.length() < 1e-5)
}

/// Principal curvatures of the sum, with the direction of the first.
struct Bends {
    direction: DVec2,
    curvatures: [f64; 2],
}

impl Bends {
    /// From the changes of the slope along two axes.
    fn of(x: DVec2, y: DVec2) -> Self {
        let mixed = 0.5 * (x.y + y.x);
        let mean = 0.5 * (x.x + y.y);
        let half = (0.5 * (x.x - y.y)).hypot(mixed);
        Self {
            direction: DVec2::from_angle(0.5 * (2.0 * mixed).atan2(x.x - y.y)),
            curvatures: [mean + half, mean - half],
        }
    }

    fn most(&self) -> f64 {
        self.curvatures[0]
    }

    /// A Newton step downhill: along each direction by the slope over the size of the
    /// curvature, so that it never climbs.
    fn descent(&self, slope: DVec2) -> DVec2 {
        self.step(slope, |curvature| curvature.abs().max(1e-6))
    }

    /// A Newton step to where the slope vanishes, up or down.
    fn rest(&self, slope: DVec2) -> DVec2 {
        self.step(slope, |curvature| {
            if curvature.abs() < 1e-6 {
                1e-6
            } else {
                curvature
            }
        })
    }

    fn step(&self, slope: DVec2, divisor: impl Fn(f64) -> f64) -> DVec2 {
        let (first, second) = (self.direction, self.direction.perp());
        -first * (slope.dot(first) / divisor(self.curvatures[0]))
            - second * (slope.dot(second) / divisor(self.curvatures[1]))
    }
}

/// Whether the whole way between two feet lies in wood.
pub(super) fn clear(solid: &Solid, around: &Around, a: DVec3, b: DVec3) -> bool {
    let middle = a.midpoint(b);
    [a, b].into_iter().all(|end| {
        let length = end.distance(middle);
        let way = (middle - end) / length;
        // From the middle outwards, by the depth: nothing but wood lies within it. Without
        // other faces in the way the first step ends at the foot.
        let mut left = length;
        for _ in 0..100 {
            let depth = around.depth(solid, end + way * left).0;
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
