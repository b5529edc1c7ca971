//! The cuts that matter: a solid without those that remove nothing the others leave.
//!
//! A marker hole vanishes in the hole drilled after it, the flats of a square
//! billet outside the ball turned from it. Such a cut is left out where boxes prove
//! that its air is all air of the others too. What is left is the same wood, point
//! for point, so depths in the wood are the same as well, and searches that look at
//! every pair of faces have far fewer to look at.
//!
//! The proof is by halving: a box without air of the cut is no matter, nor is one
//! wholly in the air of another face. A point in the air of the cut alone, or more
//! boxes than the proof is worth, keep the cut; it is only ever left out for
//! certain. Of two alike the earlier stays.

use std::ops::Range;

use crate::octree::{Cell, SLACK, roots};
use crate::solid::{Bounds, Face, Solid};

/// Boxes looked at for one cut before it is kept unproved. A hole swallowed with some
/// room to spare takes tens, a billet's flat a millimetre off the ball some hundreds.
const BOXES: usize = 1500;

/// A solid with the cuts that matter.
pub(crate) struct Needed {
    pub solid: Solid,
    /// The face in the whole solid of each face of this one, in order.
    faces: Vec<Face>,
}

impl Needed {
    pub fn of(whole: &Solid) -> Self {
        let mut faces: Vec<Face> = whole.faces().collect();
        for face in (1..faces.len()).rev().map(Face) {
            let others: Vec<Face> = faces.iter().copied().filter(|f| *f != face).collect();
            let twin = others
                .iter()
                .any(|other| *other != Face::BLANK && whole.region(*other) == whole.region(face));
            if twin || swallowed(whole, face, others.clone()) {
                faces = others;
            }
        }
        let solid = faces
            .iter()
            .skip(1)
            .fold(Solid::new(whole.blank().clone()), |solid, face| {
                solid.cut(whole.region(*face).clone())
            });
        Self { solid, faces }
    }

    /// The face in the whole solid of a face of this one.
    pub fn face(&self, face: Face) -> Face {
        self.faces[face.0]
    }
}

/// Whether all air of `face` is proved to be air of the `others` too.
fn swallowed(solid: &Solid, face: Face, others: Vec<Face>) -> bool {
    let whole = solid.bounds();
    let within = match solid.region(face).bounds() {
        Some(own) => Bounds {
            low: own.low.max(whole.low),
            high: own.high.min(whole.high),
        },
        None => whole,
    };
    if within.size().min_element() <= 0.0 {
        return true;
    }
    // Coarse boxes first: a place in the air of the face alone is nearly always wide. Each box
    // has the range of faces that may have air in it.
    let mut near = others;
    let mut boxes: Vec<(Cell, Range<usize>)> = roots(&within)
        .into_iter()
        .map(|cell| (cell, 0..near.len()))
        .collect();
    let mut next = 0;
    while let Some((cell, range)) = boxes.get(next).cloned() {
        next += 1;
        if next > BOXES {
            return false;
        }
        let reach = cell.half_diagonal() + SLACK;
        let own = solid.depth_to(face, cell.centre);
        if own > reach {
            continue;
        }
        let begin = near.len();
        let mut least = f64::INFINITY;
        for index in range {
            let other = near[index];
            let depth = solid.depth_to(other, cell.centre);
            least = least.min(depth);
            if depth < -reach {
                break;
            }
            if depth <= reach {
                near.push(other);
            }
        }
        if least < -reach {
            near.truncate(begin);
        } else if own <= 0.0 && least > 0.0 {
            return false;
        } else {
            let range = begin..near.len();
            boxes.extend((0..8).map(|number| (cell.child(number), range.clone())));
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{DVec3, Profile, Region};

    fn hole(axis: DVec3, from: f64, radius: f64) -> Region {
        Region::revolved(
            DVec3::ZERO,
            axis,
            Profile::cylinder(from, 100.0, radius).unwrap(),
        )
    }

    fn ball(radius: f64) -> Region {
        Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(radius).unwrap())
    }

    /// Everything outside a ball, as a cut.
    fn outside(radius: f64) -> Region {
        let profile = crate::Path::from(-200.0, 0.0)
            .line_to(-radius, 0.0)
            .arc_to(radius, 0.0, crate::DVec2::ZERO, crate::Turn::Right)
            .line_to(200.0, 0.0)
            .line_to(200.0, 200.0)
            .line_to(-200.0, 200.0)
            .close()
            .unwrap();
        Region::revolved(DVec3::ZERO, DVec3::Z, profile)
    }

    fn kept(solid: &Solid) -> Vec<usize> {
        let needed = Needed::of(solid);
        needed
            .solid
            .faces()
            .map(|face| needed.face(face).0)
            .collect()
    }

    /// A marker in the hole after it, flats outside the ball, and the second of two alike go;
    /// a marker deeper than its hole, and a saw cut that takes but a thin cap, stay.
    #[test]
    fn only_cuts_that_remove_nothing_are_left_out() {
        let solid = Solid::new(ball(40.0))
            .cut(Region::beyond(DVec3::X, 33.0))
            .cut(Region::beyond(DVec3::Y, 28.0))
            .cut(hole(DVec3::X, 20.0, 1.25))
            .cut(hole(DVec3::Y, 10.0, 1.25))
            .cut(outside(30.0))
            .cut(hole(DVec3::X, 15.0, 6.0))
            .cut(hole(DVec3::Y, 15.0, 6.0))
            .cut(hole(DVec3::Y, 15.0, 6.0));
        assert_eq!(kept(&solid), [0, 2, 4, 5, 6, 7]);
        let solid = Solid::new(ball(30.0)).cut(Region::beyond(DVec3::Y, 29.9));
        assert_eq!(kept(&solid), [0, 1]);
    }

    /// Depths in the wood, and the sides of every place, are as before.
    #[test]
    fn the_wood_is_the_same() {
        let mut solid = Solid::new(ball(40.0)).cut(outside(30.0));
        for k in 0..6 {
            let axis = DVec3::new(f64::from(k).cos(), f64::from(k).sin(), 0.1);
            solid = solid.cut(hole(axis, 12.0, 1.0)).cut(hole(axis, 5.0, 4.0));
        }
        let needed = Needed::of(&solid).solid;
        assert_eq!(needed.cuts().len(), 7);
        for k in 0..20_000 {
            let place = DVec3::new(0.754_877_67, 0.569_840_29, 0.362_150_81) * f64::from(k);
            let p = (place.fract() - 0.5) * 80.0;
            let (before, after) = (solid.depth(p), needed.depth(p));
            assert_eq!(before > 0.0, after > 0.0);
            if before > 0.0 {
                assert_eq!(before, after);
            }
        }
    }
}
