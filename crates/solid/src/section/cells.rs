//! The quartered square of a section: cells settled by depth, and the leaves left over.

use std::cell::Cell;
use std::collections::HashMap;
use std::f64::consts::SQRT_2;
use std::hash::BuildHasherDefault;

use glam::{DVec2, DVec3};

use super::Plane;
use crate::leaves::Mixer;
use crate::ray::CLOSE;
use crate::solid::{Face, Solid};

/// A node of the finest grid.
pub(super) type Node = (u32, u32);

/// A cell that the outline may cross.
pub(super) struct Leaf {
    /// Lower left node.
    pub corner: Node,
    /// Side in steps of the finest grid.
    pub side: u32,
    /// Faces that may be nearest in it: a range of [`Cells::faces`].
    pub faces: std::ops::Range<usize>,
    /// The one face that crosses it smoothly, where that is proved.
    pub smooth: Option<Face>,
}

/// All leaves of a section and the depths at their corners.
pub(super) struct Cells<'a> {
    pub solid: &'a Solid,
    pub plane: &'a Plane,
    low: DVec2,
    /// Side of the finest cell, mm.
    pub step: f64,
    tolerance: f64,
    pub leaves: Vec<Leaf>,
    pub faces: Vec<Face>,
    /// Nodes where corners lie, by [`name`], with the depth there once it has been asked for. Only
    /// looked up, never listed, so its order is no matter.
    nodes: HashMap<u64, Cell<f64>, BuildHasherDefault<Mixer>>,
    /// Depths of the faces at the centre of the cell under decision.
    centre_depths: Vec<f64>,
    /// Area that straight segments and unsettled cells may be wrong by, mm².
    pub area_error: f64,
}

impl<'a> Cells<'a> {
    pub fn settle(solid: &'a Solid, plane: &'a Plane, tolerance: f64) -> Self {
        let bounds = solid.bounds();
        let half = 0.5 * bounds.size();
        let middle = plane.within(bounds.centre() - plane.origin);
        let reach = DVec2::new(
            half.dot(plane.right.abs()) + 1e-3,
            half.dot(plane.up.abs()) + 1e-3,
        )
        .max_element();
        let tolerance = tolerance.max(1e-6 * reach);
        // A little off the middle, so that no row of nodes runs along a plane of symmetry.
        let side = 2.0 * reach * 1.03;
        let low = middle - DVec2::new(0.5 + 0.003_17, 0.5 - 0.002_71) * side;
        let levels = (side / (0.5 * tolerance)).log2().ceil().max(3.0) as u32;
        let mut cells = Self {
            solid,
            plane,
            low,
            step: side / f64::from(1_u32 << levels),
            tolerance,
            leaves: Vec::new(),
            faces: Vec::new(),
            nodes: HashMap::default(),
            centre_depths: Vec::new(),
            area_error: 0.0,
        };
        let all: Vec<Face> = solid.faces().collect();
        let mut stack = all;
        cells.split((0, 0), 1 << levels, 0, &mut stack);
        cells
    }

    /// Whether some cell has a corner or the middle of a side here.
    pub fn is_node(&self, node: Node) -> bool {
        self.nodes.contains_key(&name(node))
    }

    /// Depth at a node on the rim of a leaf with some faces.
    pub fn node_depth(&self, node: Node, faces: &[Face]) -> f64 {
        let Some(known) = self.nodes.get(&name(node)) else {
            return self.depth(faces, self.point(node)).0;
        };
        if known.get().is_nan() {
            known.set(self.depth(faces, self.point(node)).0);
        }
        known.get()
    }

    pub fn point(&self, node: Node) -> DVec2 {
        self.low + DVec2::new(f64::from(node.0), f64::from(node.1)) * self.step
    }

    /// Depth at a point of the plane, among some faces, with the nearest face.
    pub fn depth(&self, faces: &[Face], q: DVec2) -> (f64, Face) {
        let p = self.plane.space_from_plane(q);
        let mut best = (f64::INFINITY, Face::BLANK);
        for &face in faces {
            let depth = self.solid.depth_to(face, p);
            if depth < best.0 {
                best = (depth, face);
            }
        }
        best
    }

    /// Settles a cell with the faces on the stack from `begin` on, and leaves the stack as it was.
    fn split(&mut self, corner: Node, side: u32, begin: usize, stack: &mut Vec<Face>) {
        let size = f64::from(side) * self.step;
        let centre = self.point(corner) + DVec2::splat(0.5 * size);
        // Half the diagonal, with room for rounding.
        let radius = 0.5 * SQRT_2 * size * (1.0 + 1e-9) + 1e-12;
        let p = self.plane.space_from_plane(centre);
        let end = stack.len();
        self.centre_depths.clear();
        let mut least = f64::INFINITY;
        for face in &stack[begin..end] {
            let depth = self.solid.depth_to(*face, p);
            if depth < -radius {
                return;
            }
            least = least.min(depth);
            self.centre_depths.push(depth);
        }
        if least > radius {
            return;
        }
        let mut crossing = 0;
        let mut crosses = [Face::BLANK; 2];
        for number in 0..end - begin {
            let (face, depth) = (stack[begin + number], self.centre_depths[number]);
            if depth <= radius {
                match self.along(face, p, radius) {
                    Along::Air => {
                        stack.truncate(end);
                        return;
                    }
                    Along::Wood => {}
                    Along::Crosses => {
                        crosses[crossing.min(1)] = face;
                        crossing += 1;
                    }
                }
            }
            // A face farther than the nearest by the whole cell is nowhere the nearest in it.
            if depth <= least + 2.0 * radius {
                stack.push(face);
            }
        }
        if crossing > 0 {
            self.decide(
                corner,
                side,
                end,
                stack,
                if crossing > 2 {
                    &[]
                } else {
                    &crosses[..crossing]
                },
            );
        }
        stack.truncate(end);
    }

    /// Keeps a cell the outline may cross, with the faces on the stack from `begin` on, or
    /// quarters it. `crossing` are the faces that may cross it, where there are but one or two.
    fn decide(
        &mut self,
        corner: Node,
        side: u32,
        begin: usize,
        stack: &mut Vec<Face>,
        crossing: &[Face],
    ) {
        let size = f64::from(side) * self.step;
        let radius = 0.5 * SQRT_2 * size * (1.0 + 1e-9) + 1e-12;
        let p = self
            .plane
            .space_from_plane(self.point(corner) + DVec2::splat(0.5 * size));
        let sagitta = match crossing {
            [face] => self.alone(*face, p, radius),
            [first, second] => self.together([*first, *second], p, radius),
            _ => None,
        };
        if let Some(sagitta) = sagitta {
            self.area_error += 2.0 * radius * sagitta;
            self.keep(corner, side, &stack[begin..], crossing.first().copied());
            return;
        }
        if side == 1 {
            self.area_error += size * size;
            self.keep(corner, side, &stack[begin..], None);
            return;
        }
        let half = side / 2;
        // Middles of the sides, so that a neighbour left whole finds every smaller corner by halving.
        for (right, up) in [(half, 0), (0, half), (side, half), (half, side)] {
            self.mark((corner.0 + right, corner.1 + up));
        }
        for (right, up) in [(0, 0), (half, 0), (0, half), (half, half)] {
            self.split((corner.0 + right, corner.1 + up), half, begin, stack);
        }
    }

    /// What a face does in a cell about `p`, by its slope along the plane: a face that runs along it
    /// comes no nearer across the cell than its bend lets it.
    fn along(&self, face: Face, p: DVec3, radius: f64) -> Along {
        let touch = self.solid.touch(face, p);
        let change = self.plane.within(touch.inward).length() * radius;
        let near = touch.depth.abs() <= 0.5 * CLOSE;
        if touch.depth.abs() <= change && !near {
            return Along::Crosses;
        }
        let Some(bend) = self.solid.bend(face, p, radius) else {
            return Along::Crosses;
        };
        let change = change + 0.5 * bend * radius * radius;
        if touch.depth + change <= 0.5 * CLOSE {
            Along::Air
        } else if touch.depth - change > 2.0 * CLOSE {
            Along::Wood
        } else {
            Along::Crosses
        }
    }

    /// How far the line of one face strays from its chord in a cell that no other face can cross;
    /// none where it may not be one smooth line, or strays by more than the tolerance.
    fn alone(&self, face: Face, p: DVec3, radius: f64) -> Option<f64> {
        let bend = self.solid.bend(face, p, radius)?;
        let slope = self.plane.within(self.solid.touch(face, p).inward).length();
        // The zero line of f bends by |f''| / |f'|; its chord in the cell is at most 2 radius.
        let least_slope = slope - bend * radius;
        if least_slope <= 0.0 {
            return None;
        }
        let sagitta = radius * radius * bend / (2.0 * least_slope);
        (sagitta <= self.tolerance).then_some(sagitta)
    }

    /// As [`alone`](Self::alone), of two faces whose lines run together, as in a plane that a ridge
    /// lies in: how far either line strays from the chord of the other.
    fn together(&self, faces: [Face; 2], p: DVec3, radius: f64) -> Option<f64> {
        let [first, second] = faces.map(|face| self.solid.touch(face, p));
        let ways = [first, second].map(|touch| self.plane.within(touch.inward));
        let slope = ways[0].length().min(ways[1].length());
        // Lines that part at an angle have a corner, which is found exactly in the smallest cells.
        let apart = (first.depth - second.depth).abs();
        if apart > CLOSE || ways[0].distance(ways[1]) > CLOSE {
            return None;
        }
        let bends = faces.map(|face| self.solid.bend(face, p, radius));
        let (one, other) = (bends[0]?, bends[1]?);
        let least_slope = slope - one.max(other) * radius;
        if least_slope <= 0.0 {
            return None;
        }
        let apart = apart + 0.5 * (one + other) * radius * radius;
        let sagitta = (apart + 0.5 * one.max(other) * radius * radius) / least_slope;
        (sagitta <= self.tolerance).then_some(sagitta)
    }

    fn mark(&mut self, node: Node) {
        self.nodes
            .entry(name(node))
            .or_insert_with(|| Cell::new(f64::NAN));
    }

    fn keep(&mut self, corner: Node, side: u32, near: &[Face], smooth: Option<Face>) {
        let begin = self.faces.len();
        self.faces.extend_from_slice(near);
        for (right, up) in [(0, 0), (side, 0), (0, side), (side, side)] {
            self.mark((corner.0 + right, corner.1 + up));
        }
        self.leaves.push(Leaf {
            corner,
            side,
            faces: begin..self.faces.len(),
            smooth,
        });
    }
}

/// A node as one number.
pub(super) fn name(node: Node) -> u64 {
    u64::from(node.0) << 32 | u64::from(node.1)
}

/// What a face does in a cell.
enum Along {
    /// No wood stands on the plane more than rounding before it.
    Air,
    /// It stays clear of the plane, on the wood's side.
    Wood,
    /// It may cross.
    Crosses,
}
