//! Volume kept where chords would take it.
//!
//! Chords of a convex face lie in the wood, those of a hollow one in the air, so a mesh with
//! all vertices on the surface is off by about the area times two thirds of the chord error.
//! Here the volume between each triangle and its sheet is measured (seven points, exact for
//! polynomials of third degree) and given back by its free vertices, those on no edge, each
//! moved along its normal. Edges and corners stay where they are. What is left is of second
//! order in the chord error.

use glam::DVec3;

use super::sheet::{SheetId, Sheets};
use crate::draft::samples;
use crate::mesh::{Mesh, outward};

/// Moves the free vertices; gives the farthest way one went, mm.
pub(crate) fn balance(
    sheets: &Sheets<'_>,
    mesh: &mut Mesh,
    sheet_of: &[SheetId],
    free: &[bool],
) -> f64 {
    let count = mesh.positions.len();
    // For each vertex the volume it is to give back, and a third of the area around it.
    let mut missing = vec![0.0; count];
    let mut area = vec![0.0; count];
    // What triangles without a free corner leave to the other vertices of their sheet.
    let mut owed = vec![0.0; sheets.list.len()];
    let mut able = vec![0.0; sheets.list.len()];
    let mut inward = vec![DVec3::ZERO; count];
    let mut home = vec![0; count];
    for (triangle, &sheet) in sheet_of.iter().enumerate() {
        let corners = mesh.triangles[triangle];
        let points = mesh.points(triangle);
        let size = 0.5 * outward(points).length();
        let [middle, ab, bc, ca] = samples(points).map(|p| sheets.sense(sheet, p).depth);
        let volume = size * (9.0 / 20.0 * middle + 2.0 / 15.0 * (ab + bc + ca));
        let movable = corners.iter().filter(|v| free[**v as usize]).count();
        if movable == 0 {
            owed[sheet as usize] += volume;
            continue;
        }
        for (k, &corner) in corners.iter().enumerate() {
            let corner = corner as usize;
            if free[corner] {
                missing[corner] += volume / movable as f64;
                area[corner] += size / 3.0;
                able[sheet as usize] += size / 3.0;
                inward[corner] = -DVec3::from(mesh.normals[triangle][k]);
                home[corner] = sheet;
            }
        }
    }
    // Sheets with no free vertex leave theirs to all others.
    let whole: f64 = able.iter().sum();
    let rest: f64 = owed
        .iter()
        .zip(&able)
        .filter(|(_, able)| **able <= 0.0)
        .map(|(owed, _)| owed)
        .sum();
    let mut farthest: f64 = 0.0;
    for vertex in 0..count {
        if !free[vertex] || area[vertex] <= 0.0 {
            continue;
        }
        let sheet = home[vertex] as usize;
        let way = missing[vertex] / area[vertex] + owed[sheet] / able[sheet] + rest / whole;
        let p = DVec3::from(mesh.positions[vertex]) - inward[vertex] * way;
        mesh.positions[vertex] = p.to_array();
        farthest = farthest.max(way.abs());
    }
    farthest
}
