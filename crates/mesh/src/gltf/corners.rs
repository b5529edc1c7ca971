//! The vertices of a glTF mesh: one for each place, cut and normal.

use glam::DVec3;

use crate::labels::{Unfit, countable, standing};
use crate::mesh::{Mesh, outward};

/// Squared distance of unit normals that are one: an angle of 1e-4 rad, far above rounding
/// and far below what shading shows. Where two parts of an outline join smoothly their
/// normals differ by less.
const ONE: f64 = 1e-8;

/// Marks the end of a chain.
const NONE: u32 = u32::MAX;

/// A vertex with what makes it different from others at its place.
pub(super) struct Corner {
    /// Its place: a vertex of the mesh.
    pub vertex: u32,
    /// The face of the solid.
    pub face: u32,
    /// Outward unit normal.
    pub normal: [f32; 3],
}

impl Corner {
    pub(super) fn position(&self, mesh: &Mesh) -> [f32; 3] {
        mesh.positions[self.vertex as usize].map(|value| value as f32)
    }
}

/// All vertices, and the triangles over them.
pub(super) struct Corners {
    pub vertices: Vec<Corner>,
    pub triangles: Vec<[u32; 3]>,
}

impl Corners {
    pub(super) fn of(mesh: &Mesh) -> Result<Self, Unfit> {
        let mut corners = Self {
            vertices: Vec::with_capacity(mesh.positions.len()),
            triangles: Vec::with_capacity(mesh.triangles.len()),
        };
        // For each place the last vertex made there; for each vertex the one before it.
        let mut last = vec![NONE; mesh.positions.len()];
        let mut before: Vec<u32> = Vec::with_capacity(mesh.positions.len());
        for triangle in standing(mesh) {
            let face = mesh.face_of[triangle].0 as u32;
            let mut indices = [0; 3];
            for (corner, index) in indices.iter_mut().enumerate() {
                let vertex = mesh.triangles[triangle][corner];
                let normal = unit(mesh, triangle, corner);
                let mut found = last[vertex as usize];
                while found != NONE {
                    let there = &corners.vertices[found as usize];
                    let apart = DVec3::from(there.normal.map(f64::from)) - normal;
                    if there.face == face && apart.length_squared() < ONE {
                        break;
                    }
                    found = before[found as usize];
                }
                if found == NONE {
                    found = corners.vertices.len() as u32;
                    corners.vertices.push(Corner {
                        vertex,
                        face,
                        normal: normal.as_vec3().to_array(),
                    });
                    before.push(last[vertex as usize]);
                    last[vertex as usize] = found;
                }
                *index = found;
            }
            corners.triangles.push(indices);
        }
        if corners.triangles.is_empty() {
            return Err(Unfit::Empty);
        }
        // The largest index is kept free by the format.
        countable("glTF", "vertices", corners.vertices.len(), NONE as usize)?;
        Ok(corners)
    }

    /// Least and greatest coordinates.
    pub(super) fn extent(&self, mesh: &Mesh) -> ([f32; 3], [f32; 3]) {
        let mut low = [f32::INFINITY; 3];
        let mut high = [f32::NEG_INFINITY; 3];
        for vertex in &self.vertices {
            for (axis, value) in vertex.position(mesh).into_iter().enumerate() {
                low[axis] = low[axis].min(value);
                high[axis] = high[axis].max(value);
            }
        }
        (low, high)
    }
}

/// The normal at a corner. Where the mesh has none of unit length the triangle's own
/// stands in, and the z axis for a triangle without area.
fn unit(mesh: &Mesh, triangle: usize, corner: usize) -> DVec3 {
    let given = DVec3::from(mesh.normals[triangle][corner]);
    if (given.length_squared() - 1.0).abs() < 1e-6 {
        return given;
    }
    outward(mesh.points(triangle)).normalize_or(DVec3::Z)
}
