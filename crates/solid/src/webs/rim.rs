//! Walls that are thinnest where they end, and faces that meet.

use glam::DVec3;

use super::search::clear;
use super::seeds::Seed;
use crate::around::Around;
use crate::lattice::Lattice;
use crate::ray::CLOSE;
use crate::solid::{Face, Solid, Touch};

/// The end of a wall.
pub(super) struct Rim {
    pub feet: [DVec3; 2],
    pub thickness: f64,
    pub face: Face,
}

/// Follows the least sum of two distances along a third face, from near `start`. The third
/// face is `beyond`, or the nearest other one. The least may lie between the two faces, or
/// where the third meets one of them.
pub(super) fn along(
    solid: &Solid,
    around: &Around,
    faces: [Face; 2],
    seed: &Seed,
    beyond: Option<Face>,
    reach: f64,
) -> Option<Rim> {
    let start = seed.at;
    let end = beyond.filter(|face| !faces.contains(face)).or_else(|| {
        let mut third = around.faces().iter();
        Some(third.find(|near| !faces.contains(&near.face))?.face)
    })?;
    let wall = Wall {
        solid,
        around,
        faces,
    };
    // Hopeless if another face stands well within the wall already.
    if !wall.alone(end, start, 0.49 * seed.sum - 2.0 * reach) {
        return None;
    }
    let between = wall.least_on(&[end], start)?;
    // Towards the corners the middle of the wall moves little; leave room for that.
    if !wall.alone(end, wall.middle(between), 0.3 * wall.sum(between)) {
        return None;
    }
    let mut best = wall
        .holds(end, between)
        .filter(|_| wall.rests(end, between));
    for face in faces {
        let from = solid.touch(face, between).foot;
        if let Some(corner) = wall.least_on(&[end, face], from)
            && let Some(rim) = wall.holds(end, corner)
            && best
                .as_ref()
                .is_none_or(|best| rim.thickness < best.thickness)
        {
            best = Some(rim);
        }
    }
    best
}

struct Wall<'a> {
    solid: &'a Solid,
    around: &'a Around,
    faces: [Face; 2],
}

/// A place where a wall ends.
#[derive(Clone, Copy)]
struct Place {
    at: DVec3,
    /// Sum of the distances to both sides.
    sum: f64,
    /// The unit direction along the end, where it has one.
    way: Option<DVec3>,
    /// Slope of the sum along it.
    slope: f64,
}

impl Wall<'_> {
    fn touch(&self, p: DVec3) -> [Touch; 2] {
        self.faces.map(|face| self.solid.touch(face, p))
    }

    /// The place nearest to `p` where the depths below all of `ends` vanish, as seen there.
    fn onto(&self, ends: &[Face], mut p: DVec3) -> Option<Place> {
        let mut worst = f64::INFINITY;
        let mut left = 40;
        let inward = loop {
            let first = self.solid.touch(ends[0], p);
            let second = ends.get(1).map(|&face| self.solid.touch(face, p));
            let before = worst;
            worst = second
                .map_or(0.0, |touch| touch.depth.abs())
                .max(first.depth.abs());
            // As near as rounding allows, or at least as near as is needed.
            if worst < 1e-12 || (worst < CLOSE && worst >= 0.5 * before) {
                break [Some(first.inward), second.map(|touch| touch.inward)];
            }
            if left == 0 {
                return None;
            }
            left -= 1;
            p += match second {
                Some(second) => vanish(&first, &second)?,
                None => -first.inward * first.depth,
            };
        };
        let touch = self.touch(p);
        let [first, second] = inward;
        let other = second.unwrap_or(touch[0].inward - touch[1].inward);
        let way = other.cross(first?).try_normalize();
        Some(Place {
            at: p,
            sum: touch[0].depth + touch[1].depth,
            way,
            slope: way.map_or(0.0, |way| (touch[0].inward + touch[1].inward).dot(way)),
        })
    }

    /// The least sum along a face, or along the edge of two. Newton steps where the sum is
    /// smooth; where it has a crease (a corner of an outline) steps that halve to 1e-9 mm.
    fn least_on(&self, ends: &[Face], start: DVec3) -> Option<DVec3> {
        let mut here = self.onto(ends, start)?;
        let mut stride = 0.1 * here.sum.abs().max(0.1);
        for _ in 0..80 {
            let way = here.way?;
            if here.slope.abs() < 1e-9 || stride < 1e-9 {
                return Some(here.at);
            }
            let most = 1.0 + here.sum.abs();
            let d = 1e-5 * most;
            let beside = self.onto(ends, here.at + way * d)?;
            let curvature = (beside.slope - here.slope) / d;
            let newton = (-here.slope / curvature.abs().max(1e-6)).clamp(-most, most);
            let mut next = None;
            for step in [newton, stride, -stride] {
                if let Some(there) = self.onto(ends, here.at + way * step) {
                    // Near the least the sum changes by less than rounding, the slope still tells.
                    let rests =
                        there.sum < here.sum + 1e-12 && there.slope.abs() < 0.5 * here.slope.abs();
                    if there.sum < here.sum || rests {
                        next = Some(there);
                        break;
                    }
                }
            }
            match next {
                Some(better) => here = better,
                None => stride *= 0.1,
            }
        }
        None
    }

    fn sum(&self, p: DVec3) -> f64 {
        self.faces
            .iter()
            .map(|face| self.solid.depth_to(*face, p))
            .sum()
    }

    /// Whether the sum also does not fall from `p` along `end` towards either face.
    fn rests(&self, end: Face, p: DVec3) -> bool {
        let here = self.sum(p);
        let [a, b] = self.touch(p);
        [a, b].iter().all(|touch| {
            let step = (touch.foot - p) * 1e-2;
            self.onto(&[end], p + step)
                .is_some_and(|there| there.sum >= here - 1e-12)
        })
    }

    /// The point halfway between the two sides, on the way across through `p`.
    fn middle(&self, p: DVec3) -> DVec3 {
        let [a, b] = self.touch(p);
        p + (b.inward - a.inward).normalize_or_zero() * (0.5 * (a.depth - b.depth))
    }

    /// Whether no face but the wall's own and its end lies within `least` of `p`. A wall is
    /// what no other face comes nearer to than its own two sides.
    fn alone(&self, end: Face, p: DVec3, least: f64) -> bool {
        self.around
            .within(least, p.distance(self.around.place))
            .filter(|face| *face != end && !self.faces.contains(face))
            .all(|face| self.solid.depth_to(face, p) > least)
    }

    /// The end of a wall at `p`, if the wood ends there, the sum grows into it, the two faces
    /// are two sides of it, and a little way into the wood the wall stands unbroken.
    fn holds(&self, end: Face, p: DVec3) -> Option<Rim> {
        let solid = self.solid;
        let touch = self.touch(p);
        let inward = solid.touch(end, p).inward;
        let thickness = touch[0].depth + touch[1].depth;
        let grows = (touch[0].inward + touch[1].inward).dot(inward) >= -1e-6;
        let holds = touch.iter().all(|touch| touch.depth > -10.0 * CLOSE)
            && thickness > 10.0 * CLOSE
            && touch[0].inward.dot(touch[1].inward) < -0.2
            && grows
            && self.around.depth(solid, p).0 > -10.0 * CLOSE;
        let middle = self.middle(p);
        let unbroken = || {
            [0.05, 0.1, 0.25, 0.5, 1.0, 2.0].into_iter().any(|share| {
                let q = middle + inward * (share * thickness);
                let [a, b] = self.touch(q);
                a.depth > 0.0
                    && b.depth > 0.0
                    && self.around.depth(solid, q).0 > CLOSE
                    && clear(solid, self.around, q, a.foot)
                    && clear(solid, self.around, q, b.foot)
            })
        };
        (holds && self.alone(end, middle, 0.49 * thickness) && unbroken()).then(|| Rim {
            feet: touch.map(|touch| touch.foot),
            thickness,
            face: end,
        })
    }
}

/// The shortest step that makes two tangent planes vanish.
fn vanish(a: &Touch, b: &Touch) -> Option<DVec3> {
    let c = a.inward.dot(b.inward);
    let det = 1.0 - c * c;
    (det > 1e-9).then(|| {
        a.inward * ((c * b.depth - a.depth) / det) + b.inward * ((c * a.depth - b.depth) / det)
    })
}

/// Whether two faces meet in an edge of the wood, sought from every box near both.
pub(super) fn meets(solid: &Solid, lattice: &Lattice, faces: [Face; 2]) -> bool {
    if faces[0] == faces[1] {
        return false;
    }
    let near = 2.0 * lattice.reach;
    lattice
        .sites
        .iter()
        .filter(|site| {
            site.around.depth_here() < near
                && faces.iter().all(|face| {
                    let mut kept = site.around.faces().iter();
                    kept.any(|kept| kept.face == *face && kept.depth.abs() < near)
                })
        })
        .any(|site| meet_near(solid, faces, site.around.place, 2.0 * near))
}

/// Newton steps to where both depths vanish; true where that is an edge of the wood.
fn meet_near(solid: &Solid, faces: [Face; 2], start: DVec3, reach: f64) -> bool {
    let mut p = start;
    for _ in 0..30 {
        let [a, b] = faces.map(|face| solid.touch(face, p));
        if a.depth.abs().max(b.depth.abs()) < CLOSE {
            return solid.depth(p) > -10.0 * CLOSE;
        }
        let Some(step) = vanish(&a, &b) else {
            return false;
        };
        p += step;
        if p.distance(start) > reach {
            return false;
        }
    }
    false
}
