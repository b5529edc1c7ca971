//! The cells the surface is looked for in.
//!
//! An octree over a cube around the blank. A cell whose middle is farther from
//! every surface than its corners is settled and never split. The others are
//! split until they are small against the bend of the patches they hold and
//! against every wall and gap between two of them, or until the least size is
//! reached. Each cell keeps the faces that can bound the wood in or beside it.
//! Cells are evaluated on all cores and stored in order, so the tree is the same
//! on any number of them.

use glam::DVec3;
use rayon::prelude::*;
use rondure_solid::Face;

use crate::newton::settle;
use crate::patch::Patches;

/// Levels below the root cube at most; corners then still fit 20 bits.
pub(crate) const DEEPEST: u32 = 20;

/// Walls that face each other more than this (cosine) have a gap between them.
const OPPOSED: f64 = -0.35;

/// A cell by its number.
pub(crate) type CellId = u32;

/// How small cells must be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fineness {
    /// Chord error, mm.
    pub(crate) chord: f64,
    /// No unsettled cell is larger, mm.
    pub(crate) largest: f64,
    /// No cell larger than this is left unsplit where a rule asks for it; none smaller is made. mm.
    pub(crate) least: f64,
}

/// A cube of the tree.
#[derive(Debug)]
pub(crate) struct Cell {
    /// Number of the first of eight children; 0 where there are none.
    children: CellId,
    pub(crate) level: u32,
    /// Low corner in units of the smallest cells.
    pub(crate) corner: [u32; 3],
    /// Depth of the middle, mm.
    pub(crate) depth: f64,
    /// No surface passes through it.
    pub(crate) settled: bool,
    /// The faces that matter in and beside it.
    pub(crate) faces: Vec<Face>,
}

impl Cell {
    pub(crate) fn is_leaf(&self) -> bool {
        self.children == 0
    }

    /// The child on the high (1) or low (0) side of each axis, or the leaf itself.
    pub(crate) fn child(&self, own: CellId, sides: [u32; 3]) -> CellId {
        if self.is_leaf() {
            own
        } else {
            self.children + sides[0] + 2 * sides[1] + 4 * sides[2]
        }
    }
}

/// The tree.
#[derive(Debug)]
pub(crate) struct Tree<'a> {
    pub(crate) patches: &'a Patches<'a>,
    pub(crate) cells: Vec<Cell>,
    fineness: Fineness,
    low: DVec3,
    /// Edge of the root cube, mm.
    edge: f64,
}

struct Found {
    depth: f64,
    settled: bool,
    faces: Vec<Face>,
    split: bool,
}

impl<'a> Tree<'a> {
    pub(crate) fn new(patches: &'a Patches<'a>, fineness: Fineness) -> Self {
        let bounds = patches.solid().bounds();
        let size = bounds.size().max_element();
        // Room for a whole cell of the largest size all around: the outermost cells hold no
        // surface, nor wood within reach.
        let edge = 1.3 * size;
        // Off the middle by odd shares, so that flats and axes through the middle do not
        // fall on the planes of the grid.
        let low =
            bounds.centre() - DVec3::splat(0.5 * edge) + DVec3::new(0.0131, 0.0177, 0.0219) * size;
        let mut tree = Self {
            patches,
            cells: Vec::new(),
            fineness,
            low,
            edge,
        };
        let faces: Vec<_> = patches.solid().faces().collect();
        let found = tree.look(0, [0; 3], &faces);
        let split = found.split;
        tree.push(0, [0; 3], found);
        if split {
            tree.split(vec![0]);
        }
        tree
    }

    /// Edge of a cell, mm.
    pub(crate) fn size(&self, cell: CellId) -> f64 {
        self.edge_at(self.cells[cell as usize].level)
    }

    /// A point given in units of the smallest cells.
    pub(crate) fn point(&self, corner: [u32; 3]) -> DVec3 {
        let unit = self.edge / f64::from(1u32 << DEEPEST);
        self.low + unit * DVec3::from(corner.map(f64::from))
    }

    /// The middle of a cell.
    pub(crate) fn centre(&self, cell: CellId) -> DVec3 {
        let cell = &self.cells[cell as usize];
        self.point(cell.corner) + DVec3::splat(0.5 * self.edge_at(cell.level))
    }

    /// Whether a cell may still be split.
    pub(crate) fn divisible(&self, cell: CellId) -> bool {
        let cell = &self.cells[cell as usize];
        cell.is_leaf() && cell.level < DEEPEST && self.edge_at(cell.level) > self.fineness.least
    }

    /// Splits the cells, and what comes of them as far as the rules ask.
    pub(crate) fn split(&mut self, mut parents: Vec<CellId>) {
        while !parents.is_empty() {
            let found: Vec<_> = parents
                .par_iter()
                .map(|&parent| {
                    let parent = &self.cells[parent as usize];
                    std::array::from_fn::<_, 8, _>(|child| {
                        let corner = child_corner(parent, child as u32);
                        self.look(parent.level + 1, corner, &parent.faces)
                    })
                })
                .collect();
            let mut next = Vec::new();
            for (parent, children) in parents.into_iter().zip(found) {
                let first = self.cells.len() as CellId;
                let level = self.cells[parent as usize].level + 1;
                for (child, found) in children.into_iter().enumerate() {
                    let corner = child_corner(&self.cells[parent as usize], child as u32);
                    if found.split {
                        next.push(self.cells.len() as CellId);
                    }
                    self.push(level, corner, found);
                }
                let parent = &mut self.cells[parent as usize];
                parent.children = first;
                parent.faces = Vec::new();
            }
            parents = next;
        }
    }

    fn push(&mut self, level: u32, corner: [u32; 3], found: Found) {
        self.cells.push(Cell {
            children: 0,
            level,
            corner,
            depth: found.depth,
            settled: found.settled,
            faces: found.faces,
        });
    }

    fn edge_at(&self, level: u32) -> f64 {
        self.edge / f64::from(1u32 << level)
    }

    fn look(&self, level: u32, corner: [u32; 3], faces: &[Face]) -> Found {
        let size = self.edge_at(level);
        let centre = self.point(corner) + DVec3::splat(0.5 * size);
        let radius = 0.5 * size * 3f64.sqrt();
        let depths: Vec<_> = faces
            .iter()
            .map(|&face| self.patches.solid().depth_to(face, centre))
            .collect();
        let depth = depths.iter().copied().fold(f64::INFINITY, f64::min);
        let settled = depth.abs() > radius;
        // Twice the cell's own ball: neighbours no larger than it are covered too.
        let kept: Vec<_> = faces
            .iter()
            .zip(&depths)
            .filter(|(_, own)| **own <= depth + 4.0 * radius)
            .map(|(face, _)| *face)
            .collect();
        let may = !settled && level < DEEPEST;
        let split = may
            && (size > self.fineness.largest
                || (size > self.fineness.least && self.too_coarse(centre, size, radius, &kept)));
        Found {
            depth,
            settled,
            faces: kept,
            split,
        }
    }

    /// Whether a cell is large against the bends or the walls and gaps in it.
    fn too_coarse(&self, centre: DVec3, size: f64, radius: f64, faces: &[Face]) -> bool {
        let mut inside = Vec::new();
        for &face in faces {
            if self.patches.solid().depth_to(face, centre).abs() > radius {
                continue;
            }
            for patch in self.patches.of_face(face) {
                if self.patches.distance(patch, centre) <= radius {
                    inside.push((patch, self.patches.sense(patch, centre)));
                }
            }
        }
        let bent = inside.iter().any(|(_, sense)| {
            let allowed = (6.0 * self.fineness.chord / sense.bend)
                .sqrt()
                .min(0.7 / sense.bend);
            // Where the bend has no bound (the tip of a cone) the audit decides instead.
            sense.bend < 1.0 / self.fineness.least && size > 1.3 * allowed
        });
        if bent {
            return true;
        }
        for (index, (one, sense_one)) in inside.iter().enumerate() {
            for (other, sense_other) in &inside[index + 1..] {
                // Air between two walls of one cut. Walls of two cuts have no air between
                // them that neither cut takes, and wood between needs no smaller cells.
                if self.patches.face(*one) != self.patches.face(*other)
                    || sense_one.inward.dot(sense_other.inward) > OPPOSED
                {
                    continue;
                }
                let gap = -(sense_one.depth + sense_other.depth);
                if (0.0..1.25 * size).contains(&gap)
                    && !self.meet(*one, *other, centre, 2.0 * radius, faces)
                {
                    return true;
                }
            }
        }
        false
    }

    /// Whether two patches meet in an edge of the wood near a point.
    fn meet(&self, one: u32, other: u32, near: DVec3, reach: f64, faces: &[Face]) -> bool {
        settle(self.patches, &[one, other], None, near, reach).is_some_and(|edge| {
            self.patches.depth(faces, edge).abs() < 1e-6
                && self.patches.distance(one, edge) < 1e-6
                && self.patches.distance(other, edge) < 1e-6
        })
    }
}

fn child_corner(parent: &Cell, child: u32) -> [u32; 3] {
    let half = 1 << (DEEPEST - parent.level - 1);
    std::array::from_fn(|axis| parent.corner[axis] + ((child >> axis) & 1) * half)
}
