//! A wall's thinnest place, followed from a solid that is known.
//!
//! A web is the least of the sum of two distances over the wood. Where it lies inside
//! the wood both feet face each other; where the wall ends at other faces (their depths
//! vanish there) these push back with shares that are not negative. The steps solve both
//! conditions together (Newton on the place and the pushes); a face that pulls is let go, a
//! face that is passed is held. A wall that ends at the rim where one of its sides meets a
//! third face is the distance from that rim to the other side, and stays so.

use glam::DVec3;

use super::foot::{Foot, measure};
use crate::elimination::{Matrix, SIZE, solve};
use crate::solid::{Face, Solid};
use crate::webs::Web;

/// Most faces at which a wall ends at once.
const ENDS: usize = 3;
/// Faces let go or held before a wall counts as lost.
const TURNS: usize = 8;
/// How far outside the wood rounding may leave the end of a wall, mm.
const CLOSE: f64 = 1e-7;
/// How far outside the wood a foot may lie and still be on its surface, mm.
const STANDS: f64 = 1e-6;

/// A wall of the known solid.
#[derive(Debug, Clone)]
pub(super) struct KnownWall {
    pub sides: [Foot; 2],
    pub thickness: f64,
    pub at: DVec3,
    ends: Ends,
}

/// The thinnest place of a wall in a changed solid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    /// Least sum of the two distances, mm; not above 0 where the cuts run together.
    pub thickness: f64,
    /// The place.
    pub at: DVec3,
    /// The faces.
    pub faces: [Face; 2],
    /// Whether both feet lie on the surface of the wood. Where one lies in the air of a third
    /// face, a cut has taken that side of the wall, and what is left is thicker.
    pub stands: bool,
}

/// The faces at which a wall ends.
#[derive(Debug, Clone, Copy)]
struct Ends {
    faces: [Face; ENDS],
    count: usize,
}

impl Ends {
    fn of(list: &[Face]) -> Self {
        let mut ends = Self {
            faces: [Face::BLANK; ENDS],
            count: 0,
        };
        for face in list {
            ends.hold(*face);
        }
        ends
    }

    fn list(&self) -> &[Face] {
        &self.faces[..self.count]
    }

    fn hold(&mut self, face: Face) -> bool {
        let room = self.count < ENDS && !self.list().contains(&face);
        if room {
            self.faces[self.count] = face;
            self.count += 1;
        }
        room
    }

    fn release(&mut self, index: usize) {
        self.faces.copy_within(index + 1..self.count, index);
        self.count -= 1;
    }
}

impl KnownWall {
    /// Makes a web ready to be followed; none where its place does not come to rest again.
    pub fn of(solid: &Solid, web: &Web) -> Option<Self> {
        let shared = web.faces[0] == web.faces[1];
        let sides = [0, 1].map(|k| Foot {
            face: web.faces[k],
            at: web.feet[k],
            shared,
        });
        let same =
            |rest: &Rest| (rest.thickness - web.thickness).abs() < 1e-5 * (1.0 + web.thickness);
        let middle = web.middle();
        let mut tries = vec![(Ends::of(web.ends_at.as_slice()), middle)];
        if let Some(end) = web.ends_at {
            for k in 0..2 {
                tries.push((Ends::of(&[end, web.faces[k]]), web.feet[k]));
                tries.push((Ends::of(&[end, web.faces[k]]), middle));
            }
        }
        tries.into_iter().find_map(|(ends, start)| {
            let rest = settle(solid, sides, start, ends, web.thickness).filter(same)?;
            Some(Self {
                sides,
                thickness: web.thickness,
                at: rest.at,
                ends: rest.ends,
            })
        })
    }

    /// The same wall in a changed solid.
    pub fn follow(&self, solid: &Solid) -> Option<Wall> {
        let rest = settle(solid, self.sides, self.at, self.ends, self.thickness)?;
        let stands =
            (self.sides.iter()).all(|side| solid.depth(measure(solid, side, rest.at).2) > -STANDS);
        Some(Wall {
            thickness: rest.thickness,
            at: rest.at,
            faces: self.sides.map(|side| side.face),
            stands,
        })
    }
}

struct Rest {
    thickness: f64,
    at: DVec3,
    ends: Ends,
}

fn settle(
    solid: &Solid,
    sides: [Foot; 2],
    start: DVec3,
    mut ends: Ends,
    scale: f64,
) -> Option<Rest> {
    let mut p = start;
    for _ in 0..TURNS {
        let (at, pushes) = newton(solid, sides, p, &ends, scale)?;
        // The face that pulls hardest is let go; not so at a rim, where a side meets the end.
        let rim = sides.iter().any(|side| ends.list().contains(&side.face));
        let pulling = (0..ends.count)
            .filter(|_| !rim)
            .filter(|k| pushes[*k] < -1e-7)
            .min_by(|a, b| pushes[*a].total_cmp(&pushes[*b]));
        if let Some(index) = pulling {
            ends.release(index);
            p = at;
            continue;
        }
        // The sides themselves, and all others, hold the place inside the wood.
        let passed = solid
            .faces()
            .filter(|face| !ends.list().contains(face))
            .map(|face| (solid.depth_to(face, at), face))
            .filter(|(depth, _)| *depth < -CLOSE)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let thickness: f64 = sides.iter().map(|side| measure(solid, side, at).0).sum();
        match passed {
            // Sides that have passed each other have met: no place of the wood lies between.
            Some((_, face)) if thickness > 0.0 => {
                if !ends.hold(face) {
                    return None;
                }
                p = at;
            }
            _ => {
                return Some(Rest {
                    thickness,
                    at,
                    ends,
                });
            }
        }
    }
    None
}

/// The place where the sum rests while the depths below the ends vanish, and the ends' pushes.
fn newton(
    solid: &Solid,
    mut sides: [Foot; 2],
    start: DVec3,
    ends: &Ends,
    scale: f64,
) -> Option<(DVec3, [f64; ENDS])> {
    let mut p = start;
    let mut pushes = [0.0; ENDS];
    let size = 3 + ends.count;
    let h = 1e-5 * (1.0 + scale);
    for turn in 0..30 {
        let mut matrix: Matrix = [[0.0; SIZE + 1]; SIZE];
        for side in &mut sides {
            let (_, gradient, foot) = measure(solid, side, p);
            for axis in 0..3 {
                let step = DVec3::AXES[axis] * h;
                let change = (measure(solid, side, p + step).1 - gradient) / h;
                for row in 0..3 {
                    matrix[row][axis] += change[row];
                }
                matrix[axis][size] -= gradient[axis];
            }
            side.at = foot;
        }
        for (k, end) in ends.list().iter().enumerate() {
            let touch = solid.touch(*end, p);
            for (axis, along) in DVec3::AXES.into_iter().enumerate() {
                // At first nothing is known of the pushes, and the ends count as flat.
                if turn > 0 {
                    let step = along * h;
                    let change = (solid.touch(*end, p + step).inward - touch.inward) / h;
                    for row in 0..3 {
                        matrix[row][axis] -= pushes[k] * change[row];
                    }
                }
                matrix[axis][3 + k] = -touch.inward[axis];
                matrix[axis][size] += pushes[k] * touch.inward[axis];
                matrix[3 + k][axis] = touch.inward[axis];
            }
            matrix[3 + k][size] = -touch.depth;
        }
        // Straight across the wall any place is as good: stay.
        for (axis, row) in matrix.iter_mut().enumerate().take(3) {
            row[axis] += 1e-6;
        }
        let step = solve(&mut matrix, size)?;
        let mut way = DVec3::new(step[0], step[1], step[2]);
        let clip = (0.5 * scale.max(0.5) / way.length().max(1e-300)).min(1.0);
        way *= clip;
        p += way;
        if !p.is_finite() || p.distance(start) > 4.0 * scale.max(1.0) {
            return None;
        }
        for k in 0..ends.count {
            pushes[k] += clip * step[3 + k];
        }
        if way.length() < 1e-8 * (1.0 + scale) && clip == 1.0 && turn > 0 {
            return Some((p, pushes));
        }
    }
    None
}
