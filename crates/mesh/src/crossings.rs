//! Triangles of a mesh that cross each other.
//!
//! Pairs whose boxes overlap are found by a tree of boxes; of those that share no edge, an
//! edge of one that passes through the inside of the other is a crossing. Touching is none:
//! signs of volumes nearer to zero than rounding are left out.

use glam::DVec3;

use crate::mesh::Mesh;

/// Triangles in a leaf of the tree.
const LEAF: usize = 8;
/// Nodes with more triangles are looked through on several cores.
const PARALLEL: usize = 512;

struct Node {
    low: DVec3,
    high: DVec3,
    /// Its triangles, as a range of the order.
    from: usize,
    to: usize,
    /// Its two halves; 0 for a leaf.
    halves: [usize; 2],
}

struct Boxes<'a> {
    mesh: &'a Mesh,
    /// The triangles' own boxes, by their place in the order.
    extents: Vec<(DVec3, DVec3)>,
    order: Vec<usize>,
    nodes: Vec<Node>,
}

impl Mesh {
    /// Pairs of triangles that cross each other, the lower number first, in order.
    pub fn crossings(&self) -> Vec<[usize; 2]> {
        self.crossings_among((0..self.triangles.len()).collect())
    }

    /// Those among some of the triangles.
    pub(crate) fn crossings_among(&self, order: Vec<usize>) -> Vec<[usize; 2]> {
        let count = order.len();
        if count == 0 {
            return Vec::new();
        }
        let mut boxes = Boxes {
            mesh: self,
            extents: Vec::new(),
            order,
            nodes: Vec::new(),
        };
        boxes.build(0, count);
        boxes.extents = boxes.order.iter().map(|&t| boxes.extent(t)).collect();
        let mut found = boxes.within(0);
        found.sort_unstable();
        found
    }
}

impl Boxes<'_> {
    fn extent(&self, triangle: usize) -> (DVec3, DVec3) {
        let [a, b, c] = self.mesh.points(triangle);
        (a.min(b).min(c), a.max(b).max(c))
    }

    fn build(&mut self, from: usize, to: usize) -> usize {
        let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        for &triangle in &self.order[from..to] {
            let (l, h) = self.extent(triangle);
            (low, high) = (low.min(l), high.max(h));
        }
        let index = self.nodes.len();
        self.nodes.push(Node {
            low,
            high,
            from,
            to,
            halves: [0; 2],
        });
        if to - from > LEAF {
            let size = high - low;
            let axis = if size.x >= size.y.max(size.z) {
                0
            } else if size.y >= size.z {
                1
            } else {
                2
            };
            let middle = (from + to) / 2;
            let mesh = self.mesh;
            let key = |triangle: usize| {
                let [a, b, c] = mesh.points(triangle);
                (a + b + c)[axis]
            };
            self.order[from..to].select_nth_unstable_by(middle - from, |&a, &b| {
                key(a).total_cmp(&key(b)).then(a.cmp(&b))
            });
            let halves = [self.build(from, middle), self.build(middle, to)];
            self.nodes[index].halves = halves;
        }
        index
    }

    /// The crossings inside a node; halves of large ones on all cores.
    fn within(&self, node: usize) -> Vec<[usize; 2]> {
        let own = &self.nodes[node];
        let mut found = Vec::new();
        if own.halves == [0; 2] {
            for i in own.from..own.to {
                for j in i + 1..own.to {
                    self.pair(i, j, &mut found);
                }
            }
            return found;
        }
        let [one, other] = own.halves;
        if own.to - own.from > PARALLEL {
            let (left, right) = rayon::join(|| self.within(one), || self.within(other));
            found = left;
            found.extend(right);
        } else {
            found.extend(self.within(one));
            found.extend(self.within(other));
        }
        self.between(one, other, &mut found);
        found
    }

    fn between(&self, one: usize, other: usize, found: &mut Vec<[usize; 2]>) {
        let (a, b) = (&self.nodes[one], &self.nodes[other]);
        if a.low.cmpgt(b.high).any() || b.low.cmpgt(a.high).any() {
            return;
        }
        match (a.halves == [0; 2], b.halves == [0; 2]) {
            (true, true) => {
                for i in a.from..a.to {
                    for j in b.from..b.to {
                        self.pair(i, j, found);
                    }
                }
            }
            (false, _) if b.halves == [0; 2] || a.to - a.from >= b.to - b.from => {
                for half in a.halves {
                    self.between(half, other, found);
                }
            }
            _ => {
                for half in b.halves {
                    self.between(one, half, found);
                }
            }
        }
    }

    /// Looks at the triangles at two places of the order.
    fn pair(&self, one: usize, other: usize, found: &mut Vec<[usize; 2]>) {
        let ((low, high), (other_low, other_high)) = (self.extents[one], self.extents[other]);
        if low.cmpgt(other_high).any() || other_low.cmpgt(high).any() {
            return;
        }
        let (one, other) = (self.order[one], self.order[other]);
        let (a, b) = (self.mesh.triangles[one], self.mesh.triangles[other]);
        let shared = a.iter().filter(|corner| b.contains(corner)).count();
        if shared < 2 && (self.enters(a, b) || self.enters(b, a)) {
            found.push([one.min(other), one.max(other)]);
        }
    }

    /// Whether an edge of the one triangle passes through the inside of the other.
    fn enters(&self, one: [u32; 3], other: [u32; 3]) -> bool {
        let at = |corner: u32| DVec3::from(self.mesh.positions[corner as usize]);
        let [a, b, c] = other.map(at);
        (0..3).any(|k| {
            let ends = [one[k], one[(k + 1) % 3]];
            if ends.iter().any(|end| other.contains(end)) {
                return false;
            }
            let [p, q] = ends.map(at);
            let size = p.distance(q).max(a.distance(b)).max(b.distance(c));
            let least = 1e-12 * size * size * size;
            let volume = |u: DVec3, v: DVec3, w: DVec3, x: DVec3| (v - u).cross(w - u).dot(x - u);
            let (before, after) = (volume(a, b, c, p), volume(a, b, c, q));
            if before.abs() < least || after.abs() < least || before * after > 0.0 {
                return false;
            }
            let sides = [volume(p, q, a, b), volume(p, q, b, c), volume(p, q, c, a)];
            sides.iter().all(|side| *side > least) || sides.iter().all(|side| *side < -least)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mesh(positions: &[[f64; 3]]) -> Mesh {
        Mesh {
            positions: positions.to_vec(),
            triangles: (0..positions.len() as u32 / 3)
                .map(|k| [3 * k, 3 * k + 1, 3 * k + 2])
                .collect(),
            ..Mesh::default()
        }
    }

    #[test]
    fn a_planted_crossing_is_found_among_many() {
        let mut positions = Vec::new();
        for k in 0..100 {
            let z = f64::from(k);
            positions.extend([[0.0, 0.0, z], [1.0, 0.0, z], [0.0, 1.0, z]]);
        }
        assert!(mesh(&positions).crossings().is_empty());
        // Upright through the 42nd alone; its tip touches the 43rd, which is no crossing.
        positions.extend([[0.2, 0.2, 41.5], [0.3, 0.3, 43.0], [0.2, 0.3, 41.5]]);
        assert_eq!(mesh(&positions).crossings(), [[42, 100]]);
    }
}
