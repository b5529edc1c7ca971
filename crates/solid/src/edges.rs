//! Edges: where two cuts meet, and how sharp the wood is there.
//!
//! Boxes through which two faces may pass are found with the octree; from each
//! a Newton iteration goes to a point that lies on both faces to 1e-9 mm. The
//! included angle of the wood is π less the angle between the two inward
//! directions, since near an edge the wood is the overlap of two half-spaces.
//! For every pair of faces the sharpest point found is then slid along the edge
//! to where it is sharpest.
//!
//! **Not promised.** An edge shorter than the spacing can be missed. Corners
//! within one cut's own outline are not looked at.

use glam::DVec3;

use crate::around::Around;
use crate::lattice::starts;
use crate::needed::Needed;
use crate::octree::{Cell, Keep, State, Step, walk_below};
use crate::solid::{Face, Solid, Touch};

/// The sharpest place of the edge between two faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// The two faces, the lower first.
    pub faces: [Face; 2],
    /// A point of the edge, on both faces to 1e-9 mm.
    pub at: DVec3,
    /// Included angle of the wood, radians, 0 to π.
    pub angle: f64,
}

/// How often the boxes that the search starts from are halved.
const LEVELS: u32 = 4;

/// How near to both faces a point of an edge is brought, mm.
const CLOSE: f64 = 1e-9;

/// How far beside an edge wood is looked for, mm.
const ASIDE: f64 = 1e-3;

impl Solid {
    /// For each pair of faces that meet, the sharpest place of their edge, looked for every
    /// `spacing` mm; in order of the faces.
    pub fn edges(&self, spacing: f64) -> Vec<Edge> {
        let needed = Needed::of(self);
        let mut edges = needed.solid.edges_of_all(spacing);
        for edge in &mut edges {
            edge.faces = edge.faces.map(|face| needed.face(face));
        }
        edges
    }

    fn edges_of_all(&self, spacing: f64) -> Vec<Edge> {
        let faces: Vec<Face> = self.faces().collect();
        let starts: Vec<(Cell, &[Face])> = starts(&self.bounds(), spacing, LEVELS)
            .into_iter()
            .map(|cell| (cell, faces.as_slice()))
            .collect();
        let mut found: Vec<Edge> = walk_below(self, Keep::Surface, &starts, |node| {
            if node.state != State::Open || node.near.len() < 2 {
                return Step::Drop;
            }
            if node.cell.level < LEVELS {
                return Step::Split;
            }
            let reach = 2.0 * node.cell.half_diagonal();
            let mut here = Vec::new();
            for (index, first) in node.near.iter().enumerate() {
                for second in &node.near[index + 1..] {
                    let faces = [first.face, second.face];
                    here.extend(self.crossing_near(faces, node.cell.centre, reach));
                }
            }
            if here.is_empty() {
                Step::Drop
            } else {
                Step::Leaf(here)
            }
        })
        .into_iter()
        .flatten()
        .collect();
        found.sort_by(|a, b| a.faces.cmp(&b.faces).then(a.angle.total_cmp(&b.angle)));
        // The sharpest of each pair that is an edge of the wood.
        let mut sharpest: Vec<Edge> = Vec::new();
        for edge in found {
            let known = sharpest.last().is_some_and(|last| last.faces == edge.faces);
            if !known && self.has_wood_at(edge.at) && self.parts_wood(&edge) {
                sharpest.push(edge);
            }
        }
        for edge in &mut sharpest {
            *edge = self.sharpest_from(*edge, spacing);
        }
        sharpest
    }

    /// A point where two faces cross within `reach` mm of `start`.
    fn crossing_near(&self, faces: [Face; 2], start: DVec3, reach: f64) -> Option<Edge> {
        let (at, first, second) = self.onto_both(faces, start, reach)?;
        let angle = std::f64::consts::PI - first.inward.dot(second.inward).clamp(-1.0, 1.0).acos();
        Some(Edge { faces, at, angle })
    }

    /// Whether no face has air over a point beyond rounding.
    fn has_wood_at(&self, p: DVec3) -> bool {
        self.faces()
            .all(|face| self.depth_to(face, p) >= -10.0 * CLOSE)
    }

    /// Whether there is wood between the two faces beside an edge: where two coves only touch on
    /// the ball, their walls would part wood that lies outside it.
    fn parts_wood(&self, edge: &Edge) -> bool {
        let [a, b] = edge.faces.map(|face| self.touch(face, edge.at).inward);
        let (Some(between), along) = ((a + b).try_normalize(), a.cross(b).normalize_or_zero())
        else {
            return false;
        };
        // An edge may end here at a third face: then wood is on one side of the place.
        [0.0, 1.0, -1.0, 4.0, -4.0, 16.0, -16.0]
            .into_iter()
            .any(|share| self.depth(edge.at + (between + along * share) * ASIDE) > 0.0)
    }

    /// The nearest point on both faces, by Newton steps in the plane of their directions; none
    /// farther than `reach` mm from `start`.
    fn onto_both(
        &self,
        faces: [Face; 2],
        start: DVec3,
        reach: f64,
    ) -> Option<(DVec3, Touch, Touch)> {
        let mut at = start;
        for _ in 0..30 {
            let (first, second) = (self.touch(faces[0], at), self.touch(faces[1], at));
            if first.depth.abs() < CLOSE && second.depth.abs() < CLOSE {
                return (at.distance(start) <= reach).then_some((at, first, second));
            }
            // So far off the steps do not come back.
            if at.distance(start) > 3.0 * reach {
                return None;
            }
            // Least-norm step s with s·a = −depth_a, s·b = −depth_b.
            let (a, b) = (first.inward, second.inward);
            let along = a.dot(b);
            let determinant = 1.0 - along * along;
            if determinant < 1e-9 {
                return None;
            }
            let x = (-first.depth + along * second.depth) / determinant;
            let y = (-second.depth + along * first.depth) / determinant;
            at += a * x + b * y;
        }
        None
    }

    /// Slides along the edge to where it is sharpest, in ever smaller steps.
    fn sharpest_from(&self, edge: Edge, spacing: f64) -> Edge {
        let around = Around::all(self, edge.at);
        let in_wood = |p: DVec3| {
            let way = p.distance(around.place);
            let mut near = around.within(-10.0 * CLOSE, way);
            near.all(|face| self.depth_to(face, p) >= -10.0 * CLOSE)
        };
        let mut best = edge;
        let mut step = 0.5 * spacing;
        while step > 1e-4 {
            let (a, b) = (
                self.touch(best.faces[0], best.at),
                self.touch(best.faces[1], best.at),
            );
            let way = a.inward.cross(b.inward).normalize_or_zero();
            let mut better = None;
            while better.is_none() && step > 1e-4 {
                better = [way, -way]
                    .into_iter()
                    .filter_map(|way| self.crossing_near(best.faces, best.at + way * step, step))
                    .find(|other| {
                        other.angle < best.angle - 1e-12
                            && in_wood(other.at)
                            && self.parts_wood(other)
                    });
                if better.is_none() {
                    step *= 0.5;
                }
            }
            best = better.unwrap_or(best);
        }
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Profile, Region};

    fn ball(radius: f64) -> Region {
        Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(radius).unwrap())
    }

    /// A ball sawn at height h: the cap's edge includes acos(h / R).
    #[test]
    fn a_cap_is_as_sharp_as_its_height_says() {
        // Wood below z = 12 of a ball of 20: at the rim the ball's inward direction and −z.
        let solid = Solid::new(ball(20.0)).cut(Region::beyond(DVec3::Z, 12.0));
        let edges = solid.edges(1.0);
        assert_eq!(edges.len(), 1);
        let expected = std::f64::consts::PI - (12.0f64 / 20.0).acos();
        assert!((edges[0].angle - expected).abs() < 1e-9, "{edges:?}");
        assert!((edges[0].at.z - 12.0).abs() < 1e-9 && (edges[0].at.length() - 20.0).abs() < 1e-9);
    }

    /// Two radial holes δ apart: where their walls cross in the plane of both axes the wood
    /// between them includes δ, at h / sin(δ/2) from the centre (DESIGN section 4).
    #[test]
    fn holes_that_run_together_leave_a_feather_of_their_own_angle() {
        let pitch = std::f64::consts::TAU / 8.0;
        let hole = |angle: f64| {
            let axis = DVec3::new(angle.cos(), angle.sin(), 0.0);
            Region::revolved(
                DVec3::ZERO,
                axis,
                Profile::cylinder(-1.0, 100.0, 6.0).unwrap(),
            )
        };
        let solid = Solid::new(ball(30.0)).cut(hole(0.0)).cut(hole(pitch));
        let edges = solid.edges(0.8);
        let between = edges
            .iter()
            .find(|edge| edge.faces == [Face(1), Face(2)])
            .unwrap();
        assert!((between.angle - pitch).abs() < 1e-6, "{between:?}");
        assert!(
            (between.at.length() - 6.0 / (0.5 * pitch).sin()).abs() < 1e-3,
            "{between:?}"
        );
    }

    /// A square shoulder: a cylinder's end face meets its wall at a right angle.
    #[test]
    fn a_square_end_is_square() {
        let rod = Region::revolved(
            DVec3::ZERO,
            DVec3::X,
            Profile::cylinder(-20.0, 20.0, 5.0).unwrap(),
        );
        let solid = Solid::new(rod).cut(Region::beyond(DVec3::X, 10.0));
        let edges = solid.edges(0.7);
        assert_eq!(edges.len(), 1);
        assert!((edges[0].angle - std::f64::consts::FRAC_PI_2).abs() < 1e-9);
    }
}
