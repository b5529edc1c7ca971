//! The ball that sticks in a passage, followed from a solid that is known.
//!
//! The feet about the known ball are measured anew. Of their pairs and triples whose
//! inward directions cancel, those come first that, on the tangent planes, no other foot
//! would push away; Newton steps (the system of `necks/critical.rs`, with signed
//! distances, so that a passage that closes shows by how much) bring each to rest, and
//! the first that all faces leave alone is the answer.

use glam::DVec3;

use super::foot::{Foot, measure};
use crate::elimination::{Matrix, SIZE, solve};
use crate::solid::{Face, Solid};

/// Most feet about a ball that are looked at.
const FEET: usize = 12;
/// Sets of feet brought to rest before a passage counts as lost.
const SETS: usize = 6;
/// Feet farther than this many radii do not matter to the ball.
const NEAR: f64 = 1.8;
/// A ball fits where no face is nearer than its radius by more than this, mm.
const FITS: f64 = 1e-7;
/// A known passage is found again within this, mm.
const SAME: f64 = 1e-5;

/// A passage of the known solid.
#[derive(Debug, Clone)]
pub(super) struct KnownPassage {
    pub bulks: [usize; 2],
    pub radius: f64,
    pub at: DVec3,
    /// Whether it is a neck, and no loop or way into a sliver.
    pub neck: bool,
    /// Whether it comes to rest again where it was found; if not, it is taken as it was.
    pub rests: bool,
    feet: Vec<Foot>,
}

/// A passage of a changed solid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// Radius of the largest ball that passes, mm; negative where the passage is closed, by how much.
    pub radius: f64,
    /// Where it sticks.
    pub at: DVec3,
    /// The faces it sticks between; the last twice where there are two.
    pub faces: [Face; 3],
}

impl KnownPassage {
    pub fn of(solid: &Solid, found: &crate::necks::Passage, neck: bool) -> Self {
        let (bulks, radius, error, at) = (found.bulks, found.radius, found.error, found.at);
        let mut feet: Vec<(f64, DVec3, Foot)> = Vec::new();
        for step in 0..27 {
            let way = DVec3::new(
                f64::from(step % 3 - 1),
                f64::from(step / 3 % 3 - 1),
                f64::from(step / 9 - 1),
            );
            let place = at + way.normalize_or_zero() * (0.1 * radius);
            for face in solid.faces() {
                if solid.depth_to(face, place) > NEAR * radius {
                    continue;
                }
                let touch = solid.touch(face, place);
                let known = |other: &(f64, DVec3, Foot)| {
                    other.2.face == face && other.1.dot(touch.inward) > 0.99
                };
                if !feet.iter().any(known) {
                    let foot = Foot {
                        face,
                        at: touch.foot,
                        shared: false,
                    };
                    feet.push((touch.depth, touch.inward, foot));
                }
            }
        }
        feet.sort_by(|a, b| a.0.total_cmp(&b.0));
        feet.truncate(FEET);
        let mut feet: Vec<Foot> = feet.into_iter().map(|foot| foot.2).collect();
        for k in 0..feet.len() {
            feet[k].shared = feet.iter().filter(|foot| foot.face == feet[k].face).count() > 1;
        }
        let mut known = Self {
            bulks,
            radius,
            at,
            neck,
            rests: true,
            feet,
        };
        // Where the search did not settle the passage on its feet, this does.
        let near = known
            .follow(solid)
            .filter(|passage| (passage.radius - radius).abs() < error.min(0.15 * radius).max(SAME));
        known.rests = near.is_some();
        if let Some(passage) = near {
            (known.radius, known.at) = (passage.radius, passage.at);
        }
        known
    }

    /// The ball of the same passage in a changed solid.
    pub fn follow(&self, solid: &Solid) -> Option<Passage> {
        if !self.rests {
            return Some(Passage {
                radius: self.radius,
                at: self.at,
                faces: [Face::BLANK; 3],
            });
        }
        let mut feet = [Foot {
            face: Face::BLANK,
            at: DVec3::ZERO,
            shared: false,
        }; FEET];
        let mut count = self.feet.len();
        feet[..count].copy_from_slice(&self.feet);
        let mut start = self.at;
        for _ in 0..3 {
            match settle(solid, start, &feet[..count], self.radius) {
                Settled::Rests(passage) => return Some(passage),
                Settled::Blocked(face, at) => {
                    // A face that did not matter before stands in the way now.
                    if count == FEET || feet[..count].iter().any(|foot| foot.face == face) {
                        return None;
                    }
                    feet[count] = Foot {
                        face,
                        at: solid.touch(face, at).foot,
                        shared: false,
                    };
                    count += 1;
                    start = at;
                }
                Settled::Lost => return None,
            }
        }
        None
    }
}

enum Settled {
    Rests(Passage),
    /// At the place the ball would rest a face that is none of the feet's is nearer.
    Blocked(Face, DVec3),
    Lost,
}

/// A few feet with the shares of their push.
#[derive(Clone, Copy)]
struct Set {
    feet: [usize; 3],
    shares: [f64; 3],
    count: usize,
    score: f64,
}

fn settle(solid: &Solid, start: DVec3, feet: &[Foot], scale: f64) -> Settled {
    let mut at = [DVec3::ZERO; FEET];
    let mut inward = [DVec3::ZERO; FEET];
    let mut distance = [0.0; FEET];
    for (k, foot) in feet.iter().enumerate() {
        (distance[k], inward[k], at[k]) = measure(solid, foot, start);
    }
    let count = feet.len();
    let (distance, inward) = (&distance[..count], &inward[..count]);
    let mut best: [Option<Set>; SETS] = [None; SETS];
    let mut offer = |set: Set| {
        let mut set = Some(set);
        for slot in &mut best {
            let better = match (&set, &*slot) {
                (Some(new), Some(old)) => new.score < old.score,
                (Some(_), None) => true,
                (None, _) => false,
            };
            if better {
                std::mem::swap(slot, &mut set);
            }
        }
    };
    for i in 0..count {
        for j in i + 1..count {
            if inward[i].dot(inward[j]) < -0.5
                && let Some(set) = pair(distance, inward, [i, j], scale)
            {
                offer(set);
            }
            for k in j + 1..count {
                if let Some(set) = triple(distance, inward, [i, j, k], scale) {
                    offer(set);
                }
            }
        }
    }
    let mut blocked = None;
    for set in best.iter().flatten() {
        let Some((radius, centre)) = newton(solid, start, feet, &at, *set, distance, scale) else {
            continue;
        };
        if centre.distance(start) > 2.0 * scale.max(0.5) {
            continue;
        }
        let faces = [0, 1, 2].map(|k| feet[set.feet[k.min(set.count - 1)]].face);
        let nearer = solid
            .faces()
            .map(|face| (solid.depth_to(face, centre), face))
            .filter(|(depth, face)| *depth < radius - FITS && !faces.contains(face))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        match nearer {
            None => {
                return Settled::Rests(Passage {
                    radius,
                    at: centre,
                    faces,
                });
            }
            Some((_, face)) if feet.iter().all(|foot| foot.face != face) => {
                blocked.get_or_insert((face, centre));
            }
            Some(_) => {}
        }
    }
    match blocked {
        Some((face, at)) => Settled::Blocked(face, at),
        None => Settled::Lost,
    }
}

/// How far the other feet would push on a ball of radius `radius` moved by `way`, on their tangents.
fn pushed(distance: &[f64], inward: &[DVec3], radius: f64, way: DVec3) -> f64 {
    distance
        .iter()
        .zip(inward)
        .map(|(d, g)| radius - (d + g.dot(way)))
        .fold(0.0, f64::max)
}

fn pair(distance: &[f64], inward: &[DVec3], feet: [usize; 2], scale: f64) -> Option<Set> {
    let [a, b] = feet;
    let axis = (inward[a] - inward[b]).try_normalize()?;
    let way = axis * (0.5 * (distance[b] - distance[a]));
    let radius = 0.5 * (distance[a] + distance[b]);
    let off = (inward[a] + inward[b]).length();
    Some(Set {
        feet: [a, b, b],
        shares: [0.5, 0.5, 0.0],
        count: 2,
        // Three feet that do no better than two of them are two.
        score: off + pushed(distance, inward, radius, way) / scale - 0.02,
    })
}

fn triple(distance: &[f64], inward: &[DVec3], feet: [usize; 3], scale: f64) -> Option<Set> {
    let [a, b, c] = feet;
    let (u, v) = (inward[b] - inward[a], inward[c] - inward[a]);
    let (uu, uv, vv) = (u.dot(u), u.dot(v), v.dot(v));
    let det = uu * vv - uv * uv;
    if det < 1e-3 {
        return None;
    }
    let (ru, rv) = (-inward[a].dot(u), -inward[a].dot(v));
    let beta = (ru * vv - rv * uv) / det;
    let gamma = (rv * uu - ru * uv) / det;
    let alpha = 1.0 - beta - gamma;
    if alpha.min(beta).min(gamma) < -0.1 {
        return None;
    }
    let off = (inward[a] * alpha + inward[b] * beta + inward[c] * gamma).length();
    if off > 0.5 {
        return None;
    }
    // The step in the plane of u and v that makes the three tangents equally far.
    let (du, dv) = (distance[a] - distance[b], distance[a] - distance[c]);
    let (x, y) = ((du * vv - dv * uv) / det, (dv * uu - du * uv) / det);
    let way = u * x + v * y;
    let radius = distance[a] + inward[a].dot(way);
    let inside = -alpha.min(beta).min(gamma).min(0.0);
    Some(Set {
        feet,
        shares: [alpha, beta, gamma],
        count: 3,
        score: off + inside + pushed(distance, inward, radius, way) / scale,
    })
}

fn newton(
    solid: &Solid,
    start: DVec3,
    feet: &[Foot],
    at: &[DVec3; FEET],
    set: Set,
    distance: &[f64],
    scale: f64,
) -> Option<(f64, DVec3)> {
    let mut p = start;
    let mut held = set.feet.map(|k| Foot {
        at: at[k],
        ..feet[k]
    });
    let mut shares = set.shares;
    let count = set.count;
    let mut radius = set.feet[..count].iter().map(|k| distance[*k]).sum::<f64>() / count as f64;
    let size = 4 + count;
    for _ in 0..25 {
        let mut matrix: Matrix = [[0.0; SIZE + 1]; SIZE];
        let h = 1e-5 * (1.0 + scale);
        for k in 0..count {
            let (distance, gradient, foot) = measure(solid, &held[k], p);
            for axis in 0..3 {
                let step = DVec3::AXES[axis] * h;
                let change = (measure(solid, &held[k], p + step).1 - gradient) / h;
                for row in 0..3 {
                    matrix[row][axis] += shares[k] * change[row];
                }
                matrix[axis][4 + k] = gradient[axis];
                matrix[4 + k][axis] = gradient[axis];
                matrix[axis][size] -= shares[k] * gradient[axis];
            }
            matrix[3][4 + k] = 1.0;
            matrix[4 + k][3] = -1.0;
            matrix[4 + k][size] = radius - distance;
            held[k].at = foot;
        }
        matrix[3][size] = 1.0 - shares[..count].iter().sum::<f64>();
        // Where the passage is even along its way any place is as good: stay.
        for (axis, row) in matrix.iter_mut().enumerate().take(3) {
            row[axis] += 1e-7;
        }
        let step = solve(&mut matrix, size)?;
        let mut way = DVec3::new(step[0], step[1], step[2]);
        let clip = (0.5 * scale.max(0.2) / way.length().max(1e-300)).min(1.0);
        way *= clip;
        p += way;
        radius += clip * step[3];
        if !p.is_finite() || p.distance(start) > 4.0 * scale.max(0.5) {
            return None;
        }
        for (k, share) in shares.iter_mut().take(count).enumerate() {
            *share += clip * step[4 + k];
        }
        if way.length() < 1e-9 * (1.0 + scale) && clip == 1.0 {
            let pushing = shares[..count].iter().all(|share| *share > -1e-6);
            return pushing.then_some((radius, p));
        }
    }
    None
}
