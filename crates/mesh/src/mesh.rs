//! A closed triangle surface: its measures, and the check that it is one.
//!
//! Volume and area are those of the triangles themselves, by the divergence
//! theorem (volume = sum of signed tetrahedra to a point inside); sums run in the
//! order of the triangles. The check takes nothing for granted: every directed
//! edge once, its reverse once, the triangles around every vertex one ring.

use glam::DVec3;
use rondure_solid::Face;
use thiserror::Error;

use crate::audit::components;

/// A closed, oriented triangle surface, mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mesh {
    /// Vertices, mm.
    pub positions: Vec<[f64; 3]>,
    /// Three vertices each, counter-clockwise seen from the air.
    pub triangles: Vec<[u32; 3]>,
    /// For each triangle the face of the solid it lies on.
    pub face_of: Vec<Face>,
    /// For each triangle the exact outward unit normals of its face at its corners.
    pub normals: Vec<[[f64; 3]; 3]>,
    /// What was reached.
    pub reached: Reached,
}

/// What a surface reached of what was asked.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reached {
    /// The largest distance found between a triangle's samples (middle and middles of
    /// its edges) and the exact face it lies on, mm.
    pub chord_error_mm: f64,
    /// The farthest a vertex was moved off the surface to keep the volume, mm: 0 unless a
    /// volume was asked for ([`Quality::volume`](crate::Quality::volume)). Vertices on edges
    /// stay on their faces.
    pub off_surface_mm: f64,
    /// The share by which the volume of the mesh may be off that of the solid, where a volume
    /// was asked for.
    pub volume_error: Option<f64>,
    /// Triangles with a corner off their own face by more than 1e-6 mm: where the least
    /// cell did not resolve an edge. Their corners still lie on the solid.
    pub blunt: usize,
    /// Triangles turned more than 72° from their face.
    pub folded: usize,
    /// Pairs of triangles that cross, where the wood may be thinner than twice the chord error.
    pub crossings: usize,
    /// Whether every face was cut out along its exact edges. Else the surface was looked for
    /// in a lattice, which takes longer and makes more triangles.
    pub by_edges: bool,
}

/// Why a surface is not closed and manifold.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum Flaw {
    /// A triangle names a vertex that is not there, or one twice.
    #[error(
        "triangle {triangle} has the corners {corners:?}; three different ones of {count} are allowed"
    )]
    Corners {
        /// The triangle, from 0.
        triangle: usize,
        /// Its corners.
        corners: [u32; 3],
        /// Number of vertices.
        count: usize,
    },
    /// A directed edge without exactly one reverse, or met more than once.
    #[error(
        "the edge from {from:?} to {to:?} mm is used {along} times one way and {back} times the other; once each is closed"
    )]
    Edge {
        /// Begin, mm.
        from: [f64; 3],
        /// End, mm.
        to: [f64; 3],
        /// Times met this way.
        along: usize,
        /// Times met the other way.
        back: usize,
    },
    /// The triangles around a vertex are not one ring.
    #[error("{rings} rings of triangles meet in the one vertex at {at:?} mm; one is allowed")]
    Vertex {
        /// The vertex, mm.
        at: [f64; 3],
        /// Rings around it.
        rings: usize,
    },
}

impl Mesh {
    /// The corners of a triangle.
    pub fn points(&self, triangle: usize) -> [DVec3; 3] {
        self.triangles[triangle].map(|corner| DVec3::from(self.positions[corner as usize]))
    }

    /// Volume inside the triangles, mm³.
    pub fn volume(&self) -> f64 {
        // From the middle of the vertices, so that far-off pieces lose no digits.
        let middle = self.middle();
        (0..self.triangles.len())
            .map(|triangle| {
                let [a, b, c] = self.points(triangle).map(|p| p - middle);
                a.dot(b.cross(c)) / 6.0
            })
            .sum()
    }

    /// Area of the triangles, mm².
    pub fn area(&self) -> f64 {
        (0..self.triangles.len())
            .map(|triangle| 0.5 * outward(self.points(triangle)).length())
            .sum()
    }

    /// Vertices minus edges plus triangles: 2 for a ball, 2 − 2g for one piece with g
    /// holes through it, summed over the pieces.
    pub fn euler_characteristic(&self) -> i64 {
        let edges = self.triangles.len() * 3 / 2;
        self.positions.len() as i64 - edges as i64 + self.triangles.len() as i64
    }

    /// Number of separate closed surfaces (a hollow counts as one of its own).
    pub fn components(&self) -> usize {
        components(self.positions.len(), self.triangles.iter().copied())
            .iter()
            .enumerate()
            .filter(|(index, root)| *index as u32 == **root)
            .count()
    }

    /// Checks that the surface is closed, manifold and consistently oriented.
    ///
    /// # Errors
    /// The first flaw, with its place.
    pub fn check(&self) -> Result<(), Flaw> {
        let count = self.positions.len();
        for (triangle, &corners) in self.triangles.iter().enumerate() {
            let [a, b, c] = corners;
            let there = corners.iter().all(|&v| (v as usize) < count);
            if !there || a == b || b == c || c == a {
                return Err(Flaw::Corners {
                    triangle,
                    corners,
                    count,
                });
            }
        }
        if self.is_paired() {
            return self.check_rings();
        }
        let mut edges: Vec<(u32, u32)> = self
            .triangles
            .iter()
            .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
            .collect();
        edges.sort_unstable();
        let times = |edge: (u32, u32)| {
            let from = edges.partition_point(|&e| e < edge);
            edges[from..].iter().take_while(|&&e| e == edge).count()
        };
        for &(from, to) in &edges {
            let (along, back) = (times((from, to)), times((to, from)));
            if along != 1 || back != 1 {
                return Err(Flaw::Edge {
                    from: self.positions[from as usize],
                    to: self.positions[to as usize],
                    along,
                    back,
                });
            }
        }
        self.check_rings()
    }

    /// Whether every edge is met twice, once each way.
    fn is_paired(&self) -> bool {
        if self.positions.len() > 1 << 31 {
            return false;
        }
        // Both ends, the lower first, and the way in the last bit.
        let mut edges: Vec<u64> = Vec::with_capacity(3 * self.triangles.len());
        for &[a, b, c] in &self.triangles {
            for (from, to) in [(a, b), (b, c), (c, a)] {
                let ends = u64::from(from.min(to)) << 32 | u64::from(from.max(to));
                edges.push(ends << 1 | u64::from(from < to));
            }
        }
        edges.sort_unstable();
        let alone = |k: usize| {
            edges
                .get(k + 2)
                .is_none_or(|next| next >> 1 != edges[k] >> 1)
        };
        edges.len().is_multiple_of(2)
            && (0..edges.len())
                .step_by(2)
                .all(|k| edges[k] & 1 == 0 && edges[k] + 1 == edges[k + 1] && alone(k))
    }

    /// Every directed edge has its reverse, so the triangles around a vertex form rings:
    /// as many triangles as edges leave it. One ring walked must meet them all.
    fn check_rings(&self) -> Result<(), Flaw> {
        let count = self.positions.len();
        // For each vertex the range of its (next, after) pairs in one list.
        let mut first = vec![0usize; count + 1];
        for corner in self.triangles.iter().flatten() {
            first[*corner as usize + 1] += 1;
        }
        for index in 0..count {
            first[index + 1] += first[index];
        }
        let mut filled = first.clone();
        let mut link = vec![(0u32, 0u32); self.triangles.len() * 3];
        for &[a, b, c] in &self.triangles {
            for (corner, next, after) in [(a, b, c), (b, c, a), (c, a, b)] {
                link[filled[corner as usize]] = (next, after);
                filled[corner as usize] += 1;
            }
        }
        for vertex in 0..count {
            let own = &link[first[vertex]..first[vertex + 1]];
            let mut seen = vec![false; own.len()];
            let mut rings = 0;
            while let Some(begin) = seen.iter().position(|s| !s) {
                rings += 1;
                let mut at = begin;
                while !seen[at] {
                    seen[at] = true;
                    let Some(next) = own.iter().position(|pair| pair.0 == own[at].1) else {
                        break;
                    };
                    at = next;
                }
            }
            if rings != 1 {
                return Err(Flaw::Vertex {
                    at: self.positions[vertex],
                    rings,
                });
            }
        }
        Ok(())
    }

    fn middle(&self) -> DVec3 {
        let sum: DVec3 = self.positions.iter().map(|&p| DVec3::from(p)).sum();
        sum / (self.positions.len() as f64).max(1.0)
    }
}

/// Twice the area of a triangle along its outward normal.
pub(crate) fn outward([a, b, c]: [DVec3; 3]) -> DVec3 {
    (b - a).cross(c - a)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tetrahedron() -> Mesh {
        Mesh {
            positions: vec![
                [0.0, 0.0, 0.0],
                [1.0, 0.0, 0.0],
                [0.0, 1.0, 0.0],
                [0.0, 0.0, 1.0],
            ],
            triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
            face_of: vec![Face(0); 4],
            normals: vec![[[0.0; 3]; 3]; 4],
            reached: Reached::default(),
        }
    }

    #[test]
    fn a_tetrahedron_has_its_volume_and_area() {
        let mesh = tetrahedron();
        assert_eq!(mesh.check(), Ok(()));
        assert!((mesh.volume() - 1.0 / 6.0).abs() < 1e-15);
        assert!((mesh.area() - (1.5 + 0.5 * 3f64.sqrt())).abs() < 1e-15);
        assert_eq!((mesh.euler_characteristic(), mesh.components()), (2, 1));
    }

    #[test]
    fn an_open_edge_is_named() {
        let mut mesh = tetrahedron();
        mesh.triangles.pop();
        assert!(matches!(
            mesh.check(),
            Err(Flaw::Edge {
                along: 1,
                back: 0,
                ..
            })
        ));
    }

    #[test]
    fn a_turned_triangle_is_named() {
        let mut mesh = tetrahedron();
        mesh.triangles[3] = [1, 3, 2];
        assert!(matches!(mesh.check(), Err(Flaw::Edge { along: 2, .. })));
    }

    #[test]
    fn two_tetrahedra_on_one_tip_are_named() {
        let mut mesh = tetrahedron();
        mesh.positions
            .extend([[-1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]]);
        // Mirrored through the origin, so the turn is the other way round.
        mesh.triangles
            .extend([[0, 4, 5], [0, 6, 4], [0, 5, 6], [4, 6, 5]]);
        assert_eq!(
            mesh.check(),
            Err(Flaw::Vertex {
                at: [0.0; 3],
                rings: 2
            })
        );
    }

    #[test]
    fn a_corner_that_is_not_there_is_named() {
        let mut mesh = tetrahedron();
        mesh.triangles[0] = [0, 2, 9];
        assert!(matches!(
            mesh.check(),
            Err(Flaw::Corners { triangle: 0, .. })
        ));
    }
}
