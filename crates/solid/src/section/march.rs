//! Marching round the leaves of a section, and joining the crossings to loops.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;

use glam::DVec2;

use super::cells::{Cells, Leaf, Node, name};
use super::{Loop, Section};
use crate::leaves::Mixer;
use crate::ray::{CLOSE, root};
use crate::solid::Face;

/// The way on from a crossing.
struct Link {
    to: usize,
    corner: Option<DVec2>,
    /// Face before and after the corner.
    faces: [Face; 2],
}

struct March<'a, 'b> {
    cells: &'b Cells<'a>,
    /// Crossings by the two nodes they lie between. Only looked up.
    known: HashMap<(u64, u64), usize, BuildHasherDefault<Mixer>>,
    points: Vec<DVec2>,
    links: Vec<Option<Link>>,
}

pub(super) fn loops(cells: &Cells<'_>) -> Section {
    let mut march = March {
        cells,
        known: HashMap::default(),
        points: Vec::new(),
        links: Vec::new(),
    };
    for leaf in &cells.leaves {
        march.join(leaf);
    }
    let loops = march.collect();
    // The sum of nothing is -0.
    let area = loops.iter().map(|outline| outline.area).sum::<f64>() + 0.0;
    Section {
        loops,
        area,
        area_error: cells.area_error,
    }
}

impl March<'_, '_> {
    /// Joins the crossings on the rim of one leaf.
    fn join(&mut self, leaf: &Leaf) {
        let cells = self.cells;
        let (x, y) = leaf.corner;
        let side = leaf.side;
        let corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)];
        let mut rim = Vec::with_capacity(8);
        for k in 0..4 {
            self.rim(corners[k], corners[(k + 1) % 4], &mut rim);
        }
        let faces = &cells.faces[leaf.faces.clone()];
        let wood = |node: Node| cells.node_depth(node, faces) > CLOSE;
        let mut crossings = Vec::new();
        for k in 0..rim.len() {
            let (a, b) = (rim[k], rim[(k + 1) % rim.len()]);
            if wood(a) != wood(b) {
                crossings.push((wood(a), self.crossing(a, b, faces)));
            }
        }
        if crossings.is_empty() {
            return;
        }
        let middle = cells.point(leaf.corner) + DVec2::splat(0.5 * f64::from(side) * cells.step);
        let joined = crossings.len() > 2 && cells.depth(faces, middle).0 > CLOSE;
        let count = crossings.len();
        for (k, &(leaving, from)) in crossings.iter().enumerate() {
            // Wood lies to the left: the outline starts where the rim leaves wood. With wood
            // in the middle it goes round the air ahead, else round the wood behind.
            if leaving {
                let other = if joined {
                    (k + 1) % count
                } else {
                    (k + count - 1) % count
                };
                let to = crossings[other].1;
                self.links[from] = Some(self.link(from, to, leaf, faces));
            }
        }
    }

    /// The nodes from `a` up to but without `b`, with the corners of smaller neighbours between.
    fn rim(&self, a: Node, b: Node, out: &mut Vec<Node>) {
        let middle = (a.0.midpoint(b.0), a.1.midpoint(b.1));
        if a.0.abs_diff(b.0).max(a.1.abs_diff(b.1)) > 1 && self.cells.is_node(middle) {
            self.rim(a, middle, out);
            self.rim(middle, b, out);
        } else {
            out.push(a);
        }
    }

    fn crossing(&mut self, a: Node, b: Node, faces: &[Face]) -> usize {
        let key = if a < b { (a, b) } else { (b, a) };
        let named = (name(key.0), name(key.1));
        if let Some(&index) = self.known.get(&named) {
            return index;
        }
        let cells = self.cells;
        let (p, q) = (cells.point(key.0), cells.point(key.1));
        let (at_p, at_q) = (
            cells.node_depth(key.0, faces),
            cells.node_depth(key.1, faces),
        );
        let level = if (at_p > 0.0) == (at_q > 0.0) {
            CLOSE
        } else {
            0.0
        };
        let way = q - p;
        let length = way.length();
        let share = root(
            |at| cells.depth(faces, p + way * (at / length)).0 - level,
            0.0,
            at_p - level,
            length,
            at_q - level,
        );
        let index = self.points.len();
        self.points.push(p + way * (share / length));
        self.links.push(None);
        self.known.insert(named, index);
        index
    }

    fn link(&self, from: usize, to: usize, leaf: &Leaf, faces: &[Face]) -> Link {
        if let Some(face) = leaf.smooth {
            return Link {
                to,
                corner: None,
                faces: [face; 2],
            };
        }
        let (a, b) = (self.points[from], self.points[to]);
        let ends = [self.cells.depth(faces, a).1, self.cells.depth(faces, b).1];
        let reach = 4.0 * f64::from(leaf.side) * self.cells.step;
        let corner = if ends[0] == ends[1] {
            self.bend_corner(ends[0], a, b, reach)
        } else {
            self.face_corner(ends, a, b, reach, faces)
        };
        let faces = if corner.is_some() || ends[0] == ends[1] {
            ends
        } else {
            [self.cells.depth(faces, a.midpoint(b)).1; 2]
        };
        Link { to, corner, faces }
    }

    fn face_touch(&self, face: Face, q: DVec2) -> (f64, DVec2) {
        let plane = self.cells.plane;
        let touch = self.cells.solid.touch(face, plane.space_from_plane(q));
        (touch.depth, plane.within(touch.inward))
    }

    /// Where the depths of two faces both vanish, near the chord from `a` to `b`.
    fn face_corner(
        &self,
        ends: [Face; 2],
        a: DVec2,
        b: DVec2,
        reach: f64,
        faces: &[Face],
    ) -> Option<DVec2> {
        let middle = a.midpoint(b);
        let mut q = middle;
        for _ in 0..30 {
            let (d0, g0) = self.face_touch(ends[0], q);
            let (d1, g1) = self.face_touch(ends[1], q);
            if d0.abs().max(d1.abs()) < 0.1 * CLOSE {
                return (self.cells.depth(faces, q).0 > -10.0 * CLOSE).then_some(q);
            }
            q += meeting(g0, -d0, g1, -d1)?;
            if q.distance(middle) > reach {
                return None;
            }
        }
        None
    }

    /// Where the tangents at two places of one face meet, if the face has a corner between.
    fn bend_corner(&self, face: Face, a: DVec2, b: DVec2, reach: f64) -> Option<DVec2> {
        let (ga, gb) = (self.face_touch(face, a).1, self.face_touch(face, b).1);
        if ga.perp_dot(gb).abs() < 0.1 * ga.length() * gb.length() {
            return None;
        }
        let middle = a.midpoint(b);
        let q = middle + meeting(ga, ga.dot(a - middle), gb, gb.dot(b - middle))?;
        let off = self.face_touch(face, q).0.abs();
        (q.distance(middle) < reach && off < 0.1 * a.distance(b)).then_some(q)
    }

    fn collect(&mut self) -> Vec<Loop> {
        let mut loops = Vec::new();
        for start in 0..self.points.len() {
            let mut points: Vec<DVec2> = Vec::new();
            let mut faces: Vec<Face> = Vec::new();
            let mut at = start;
            // Taking each link once ends every walk where it began.
            while let Some(link) = self.links[at].take() {
                push(&mut points, &mut faces, self.points[at], link.faces[0]);
                if let Some(corner) = link.corner {
                    push(&mut points, &mut faces, corner, link.faces[1]);
                }
                at = link.to;
            }
            if points.len() > 1 && points[0].distance(points[points.len() - 1]) < CLOSE {
                points.pop();
                faces.pop();
            }
            if points.len() < 3 {
                continue;
            }
            let centre = points[0];
            let twice: f64 = (1..points.len() - 1)
                .map(|k| (points[k] - centre).perp_dot(points[k + 1] - centre))
                .sum();
            loops.push(Loop {
                points,
                faces,
                area: 0.5 * twice,
            });
        }
        loops
    }
}

/// Adds a point, unless it is the last one again; then only its face counts.
fn push(points: &mut Vec<DVec2>, faces: &mut Vec<Face>, point: DVec2, face: Face) {
    match (points.last(), faces.last_mut()) {
        (Some(last), Some(last_face)) if last.distance(point) < CLOSE => *last_face = face,
        _ => {
            points.push(point);
            faces.push(face);
        }
    }
}

/// The solution of g0 · x = r0, g1 · x = r1.
fn meeting(g0: DVec2, r0: f64, g1: DVec2, r1: f64) -> Option<DVec2> {
    let cross = g0.perp_dot(g1);
    (cross.abs() > 1e-9).then(|| DVec2::new(r0 * g1.y - r1 * g0.y, g0.x * r1 - g1.x * r0) / cross)
}
