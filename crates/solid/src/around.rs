//! The nearest air about a place, from few of the faces.
//!
//! A distance changes by no more than the way, so a face that is farther from a
//! place than the nearest one by more than twice the way to some point is not the
//! nearest there. With the faces sorted by their depth at the place, a search
//! stops at the first that is too far; depths come out as from all of them.

use glam::DVec3;

use crate::octree::{Near, SLACK};
use crate::solid::{Face, Solid, Touch};

/// A place, and the faces about it, the nearest first.
#[derive(Debug, Clone)]
pub(crate) struct Around {
    pub place: DVec3,
    near: Vec<Near>,
}

impl Around {
    /// Faces with their depths at a place; those that matter wherever it is asked.
    pub fn of(place: DVec3, mut near: Vec<Near>) -> Self {
        near.sort_unstable_by(|a, b| a.depth.total_cmp(&b.depth).then(a.face.cmp(&b.face)));
        Self { place, near }
    }

    /// All faces about a place, good everywhere and quick near it.
    pub fn all(solid: &Solid, place: DVec3) -> Self {
        let near = solid.faces().map(|face| Near {
            face,
            depth: solid.depth_to(face, place),
        });
        Self::of(place, near.collect())
    }

    /// Depth at the place itself.
    pub fn depth_here(&self) -> f64 {
        self.near.first().map_or(f64::INFINITY, |near| near.depth)
    }

    /// The nearest air to the place itself.
    pub fn touch_here(&self, solid: &Solid) -> Touch {
        let face = self.near.first().map_or(Face::BLANK, |near| near.face);
        solid.touch(face, self.place)
    }

    /// Faces with their depths at the place, the nearest first.
    pub fn faces(&self) -> &[Near] {
        &self.near
    }

    /// Faces that may be less than `limit` deep at places up to `way` from the place.
    pub fn within(&self, limit: f64, way: f64) -> impl Iterator<Item = Face> + '_ {
        let most = limit + way + SLACK;
        self.near
            .iter()
            .take_while(move |near| near.depth <= most)
            .map(|near| near.face)
    }

    /// Depth at a point, and the face it is measured to; of equally near ones the earliest.
    pub fn depth(&self, solid: &Solid, p: DVec3) -> (f64, Face) {
        self.depth_below(solid, p, (f64::INFINITY, Face::BLANK))
    }

    /// The same, where `best` is known from other faces.
    pub fn depth_below(&self, solid: &Solid, p: DVec3, best: (f64, Face)) -> (f64, Face) {
        self.depth_after(solid, p, 0, best)
    }

    fn depth_after(
        &self,
        solid: &Solid,
        p: DVec3,
        skip: usize,
        mut best: (f64, Face),
    ) -> (f64, Face) {
        let way = p.distance(self.place) + SLACK;
        for near in self.near.iter().skip(skip) {
            if near.depth - way > best.0 {
                break;
            }
            let depth = solid.depth_to(near.face, p);
            if depth < best.0 || (depth == best.0 && near.face < best.1) {
                best = (depth, near.face);
            }
        }
        best
    }

    /// The nearest air to a point.
    pub fn nearest(&self, solid: &Solid, p: DVec3) -> Touch {
        // Nearly always the first is the nearest here too, and looking at it once is enough.
        let first = self.near.first().map_or(Face::BLANK, |near| near.face);
        let touch = solid.touch(first, p);
        let face = self.depth_after(solid, p, 1, (touch.depth, first)).1;
        if face == first {
            touch
        } else {
            solid.touch(face, p)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Profile, Region};

    /// The same depth, face and foot as from all faces, near the place and far from it.
    #[test]
    fn few_faces_tell_the_same_as_all() {
        let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(30.0).unwrap());
        let mut solid = Solid::new(ball);
        for k in 0..9 {
            let axis = DVec3::new((0.7 * f64::from(k)).cos(), (0.7 * f64::from(k)).sin(), 0.3);
            let hole = Profile::cylinder(5.0, 60.0, 2.0 + 0.3 * f64::from(k)).unwrap();
            solid = solid.cut(Region::revolved(DVec3::ZERO, axis, hole));
        }
        // The same hole twice: the earlier one is named.
        solid = solid.cut(solid.cuts()[3].clone());
        for k in 0..2000 {
            let spread = |shift: f64| {
                let place = DVec3::new(0.754_877, 0.569_840, 0.362_150) * (f64::from(k) + shift);
                (place.fract() - 0.5) * 60.0
            };
            let around = Around::all(&solid, spread(0.0));
            for share in [0.0, 0.03, 0.4, 1.0] {
                let p = spread(0.0).lerp(spread(1.0), share);
                assert_eq!(around.nearest(&solid, p), solid.nearest(p));
                assert_eq!(around.depth(&solid, p).0, solid.depth(p));
                let close: Vec<Face> = around.within(1.0, p.distance(around.place)).collect();
                for face in solid.faces() {
                    assert!(solid.depth_to(face, p) > 1.0 || close.contains(&face));
                }
            }
        }
    }
}
