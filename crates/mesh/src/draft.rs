//! A surface being worked on: triangles that can be split, flipped and collapsed.
//!
//! Every vertex knows the patches it lies on, every triangle the one patch it
//! stands for. Splitting always keeps a closed manifold; flips and collapses are
//! refused where they would not (the link condition).

use glam::DVec3;
use rondure_solid::Face;

use crate::patch::{PatchId, Patches};
use crate::rings::Ring;
use crate::tree::{CellId, Tree};

/// The patches a vertex lies on, at most four, in rising order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Marks {
    ids: [PatchId; 4],
    count: u8,
}

impl Marks {
    pub(crate) fn new(ids: &[PatchId]) -> Self {
        let mut marks = Self {
            ids: [PatchId::MAX; 4],
            count: 0,
        };
        for &id in ids {
            marks.add(id);
        }
        marks
    }

    fn add(&mut self, id: PatchId) {
        if !self.has(id) && usize::from(self.count) < self.ids.len() {
            self.ids[usize::from(self.count)] = id;
            self.count += 1;
            self.ids[..usize::from(self.count)].sort_unstable();
        }
    }

    pub(crate) fn ids(&self) -> &[PatchId] {
        &self.ids[..usize::from(self.count)]
    }

    pub(crate) fn has(&self, id: PatchId) -> bool {
        self.ids().contains(&id)
    }

    pub(crate) fn union(&self, other: &Self) -> Self {
        let mut both = *self;
        for &id in other.ids() {
            both.add(id);
        }
        both
    }
}

/// A vertex of the draft.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Vertex {
    pub(crate) position: DVec3,
    pub(crate) marks: Marks,
    /// A cell whose faces are all that matter here.
    pub(crate) home: CellId,
    /// Edge of the smallest cell around, mm.
    pub(crate) size: f64,
}

/// A triangle of the draft.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Triangle {
    pub(crate) corners: [u32; 3],
    pub(crate) patch: PatchId,
    /// The ring of cells it came from.
    pub(crate) ring: Ring,
    pub(crate) alive: bool,
}

/// The surface being worked on.
#[derive(Debug)]
pub(crate) struct Draft<'a> {
    pub(crate) tree: &'a Tree<'a>,
    pub(crate) vertices: Vec<Vertex>,
    pub(crate) triangles: Vec<Triangle>,
    /// The living triangles around each vertex.
    pub(crate) around: Vec<Vec<u32>>,
}

impl<'a> Draft<'a> {
    pub(crate) fn new(tree: &'a Tree<'a>, vertices: Vec<Vertex>, triangles: Vec<Triangle>) -> Self {
        let mut around = vec![Vec::with_capacity(6); vertices.len()];
        for (index, triangle) in triangles.iter().enumerate() {
            for corner in triangle.corners {
                around[corner as usize].push(index as u32);
            }
        }
        Self {
            tree,
            vertices,
            triangles,
            around,
        }
    }

    pub(crate) fn patches(&self) -> &'a Patches<'a> {
        self.tree.patches
    }

    pub(crate) fn at(&self, vertex: u32) -> DVec3 {
        self.vertices[vertex as usize].position
    }

    pub(crate) fn points(&self, corners: [u32; 3]) -> [DVec3; 3] {
        corners.map(|corner| self.at(corner))
    }

    /// The faces that can bound the wood at `p` near a cell; all of them where the cell
    /// cannot tell.
    pub(crate) fn depth(&self, home: CellId, p: DVec3) -> f64 {
        depth_near(self.tree, home, p)
    }

    /// The two triangles beside an edge, the one that runs `a` to `b` first.
    pub(crate) fn beside(&self, a: u32, b: u32) -> Option<[u32; 2]> {
        let mut found = [u32::MAX; 2];
        for &index in &self.around[a as usize] {
            let corners = self.triangles[index as usize].corners;
            for k in 0..3 {
                let (from, to) = (corners[k], corners[(k + 1) % 3]);
                if (from, to) == (a, b) {
                    found[0] = index;
                } else if (from, to) == (b, a) {
                    found[1] = index;
                }
            }
        }
        (!found.contains(&u32::MAX)).then_some(found)
    }

    pub(crate) fn opposite(&self, triangle: u32, a: u32, b: u32) -> u32 {
        let corners = self.triangles[triangle as usize].corners;
        corners
            .into_iter()
            .find(|&corner| corner != a && corner != b)
            .unwrap_or(a)
    }

    /// All edges, each once, lower number first.
    pub(crate) fn edges(&self) -> Vec<[u32; 2]> {
        let mut edges = Vec::with_capacity(self.triangles.len() * 3 / 2);
        for triangle in self.triangles.iter().filter(|t| t.alive) {
            for k in 0..3 {
                let (from, to) = (triangle.corners[k], triangle.corners[(k + 1) % 3]);
                if from < to {
                    edges.push([from, to]);
                }
            }
        }
        edges
    }

    fn neighbours(&self, vertex: u32) -> Vec<u32> {
        let mut list: Vec<u32> = self.around[vertex as usize]
            .iter()
            .flat_map(|&t| self.triangles[t as usize].corners)
            .filter(|&corner| corner != vertex)
            .collect();
        list.sort_unstable();
        list.dedup();
        list
    }

    /// Whether taking `a` and `b` together keeps a closed manifold.
    pub(crate) fn collapsible(&self, a: u32, b: u32) -> bool {
        let (one, other) = (self.neighbours(a), self.neighbours(b));
        let common = one
            .iter()
            .filter(|n| other.binary_search(n).is_ok())
            .count();
        // A tetrahedron must stay one.
        common == 2 && one.len() + other.len() > 6
    }

    /// Takes `gone` into `kept`.
    pub(crate) fn collapse(&mut self, gone: u32, kept: u32) {
        for index in std::mem::take(&mut self.around[gone as usize]) {
            let triangle = &mut self.triangles[index as usize];
            if triangle.corners.contains(&kept) {
                triangle.alive = false;
                for corner in triangle.corners {
                    self.around[corner as usize].retain(|&t| t != index);
                }
            } else {
                for corner in &mut triangle.corners {
                    if *corner == gone {
                        *corner = kept;
                    }
                }
                self.around[kept as usize].push(index);
            }
        }
    }

    /// Turns the edge from `a` to `b` to join the two opposite vertices.
    pub(crate) fn flip(&mut self, a: u32, b: u32) {
        let Some([left, right]) = self.beside(a, b) else {
            return;
        };
        let (c, d) = (self.opposite(left, a, b), self.opposite(right, a, b));
        self.triangles[left as usize].corners = [a, d, c];
        self.triangles[right as usize].corners = [d, b, c];
        self.around[a as usize].retain(|&t| t != right);
        self.around[b as usize].retain(|&t| t != left);
        self.around[c as usize].push(right);
        self.around[d as usize].push(left);
    }

    /// Whether two vertices are joined by an edge.
    pub(crate) fn joined(&self, a: u32, b: u32) -> bool {
        self.around[a as usize]
            .iter()
            .any(|&t| self.triangles[t as usize].corners.contains(&b))
    }

    /// Puts a vertex on the edge from `a` to `b`.
    pub(crate) fn split(&mut self, a: u32, b: u32, vertex: Vertex) {
        let Some(sides) = self.beside(a, b) else {
            return;
        };
        let new = self.vertices.len() as u32;
        self.vertices.push(vertex);
        self.around.push(Vec::with_capacity(6));
        for side in sides {
            let old = self.triangles[side as usize];
            let (mut near, mut far) = (old, old);
            for k in 0..3 {
                if old.corners[k] == b {
                    near.corners[k] = new;
                }
                if old.corners[k] == a {
                    far.corners[k] = new;
                }
            }
            let index = self.triangles.len() as u32;
            self.triangles[side as usize] = near;
            self.triangles.push(far);
            let across = self.opposite(side, a, new);
            self.around[b as usize].retain(|&t| t != side);
            self.around[b as usize].push(index);
            self.around[across as usize].push(index);
            self.around[new as usize].extend([side, index]);
        }
    }

    /// How far the triangle's normal turns from the patch's outward one: the cosine
    /// at the middle. No size, no turn: 1.
    pub(crate) fn facing(&self, points: [DVec3; 3], patch: PatchId) -> f64 {
        let normal = (points[1] - points[0]).cross(points[2] - points[0]);
        let length = normal.length();
        if length < 1e-18 {
            return 1.0;
        }
        let middle = (points[0] + points[1] + points[2]) / 3.0;
        -self.patches().sense(patch, middle).inward.dot(normal) / length
    }

    /// The largest distance of the sampled triangle from its patch, mm.
    pub(crate) fn chord(&self, points: [DVec3; 3], patch: PatchId) -> f64 {
        samples(points)
            .into_iter()
            .map(|p| self.patches().sense(patch, p).depth.abs())
            .fold(0.0, f64::max)
    }
}

/// Depth at `p`, from the faces a near cell keeps where they suffice.
pub(crate) fn depth_near(tree: &Tree<'_>, home: CellId, p: DVec3) -> f64 {
    let cell = &tree.cells[home as usize];
    let radius = 0.5 * 3f64.sqrt() * tree.size(home);
    if cell.is_leaf() && p.distance(tree.centre(home)) <= 2.0 * radius {
        tree.patches.depth(&cell.faces, p)
    } else {
        tree.patches.solid().depth(p)
    }
}

/// The patch that bounds the wood at a point of the surface.
pub(crate) fn patch_at(tree: &Tree<'_>, p: DVec3) -> PatchId {
    let faces: Vec<Face> = tree.patches.solid().faces().collect();
    tree.patches.at(&faces, p)
}

/// Middle and edge middles of a triangle: where it is farthest from a curved patch.
pub(crate) fn samples([a, b, c]: [DVec3; 3]) -> [DVec3; 4] {
    [
        (a + b + c) / 3.0,
        0.5 * (a + b),
        0.5 * (b + c),
        0.5 * (c + a),
    ]
}

/// The least height of a triangle over its longest edge, and that edge's begin.
pub(crate) fn flatness([a, b, c]: [DVec3; 3]) -> (f64, usize) {
    let edges = [a.distance(b), b.distance(c), c.distance(a)];
    let mut longest = 0;
    for k in 1..3 {
        if edges[k] > edges[longest] {
            longest = k;
        }
    }
    let twice_area = (b - a).cross(c - a).length();
    (
        twice_area / (edges[longest] * edges[longest]).max(1e-300),
        longest,
    )
}
