//! Small linear systems and measured distances, with no memory of their own.

use glam::DVec3;

use crate::solid::{Face, Solid};

/// Most unknowns of a system: a place, a radius and three shares, or a place and four pushes.
pub(super) const SIZE: usize = 7;

/// A square system with its right side in the last used column.
pub(super) type Matrix = [[f64; SIZE + 1]; SIZE];

/// Share of the way to the foot at which a distance is measured where one face has several feet.
const TOWARDS: f64 = 0.1;

/// A place of a face that is held apart from others of the same face.
#[derive(Debug, Clone, Copy)]
pub(super) struct Foot {
    pub face: Face,
    pub at: DVec3,
    /// Whether the same face has another foot in the set, so that this one must be looked towards.
    pub shared: bool,
}

/// Signed distance to a foot's face, its gradient, and the foot moved along.
pub(super) fn measure(solid: &Solid, foot: &Foot, p: DVec3) -> (f64, DVec3, DVec3) {
    if !foot.shared {
        let touch = solid.touch(foot.face, p);
        return (touch.depth, touch.inward, touch.foot);
    }
    let nearer = p.lerp(foot.at, TOWARDS);
    let touch = solid.touch(foot.face, nearer);
    let straight = (p - foot.at).normalize_or_zero();
    let gradient = touch.inward * (1.0 - TOWARDS) + straight * TOWARDS;
    (touch.depth + p.distance(nearer), gradient, touch.foot)
}

/// Elimination with row pivots; the right side stands in column `size`.
pub(super) fn solve(matrix: &mut Matrix, size: usize) -> Option<[f64; SIZE]> {
    for column in 0..size {
        let mut pivot = column;
        for row in column + 1..size {
            if matrix[row][column].abs() > matrix[pivot][column].abs() {
                pivot = row;
            }
        }
        if matrix[pivot][column].abs() < 1e-13 {
            return None;
        }
        matrix.swap(column, pivot);
        for row in column + 1..size {
            let factor = matrix[row][column] / matrix[column][column];
            if factor == 0.0 {
                continue;
            }
            let above = matrix[column];
            for (value, above) in matrix[row].iter_mut().zip(above).skip(column) {
                *value -= factor * above;
            }
        }
    }
    let mut solution = [0.0; SIZE];
    for row in (0..size).rev() {
        let mut value = matrix[row][size];
        for k in row + 1..size {
            value -= matrix[row][k] * solution[k];
        }
        solution[row] = value / matrix[row][row];
    }
    Some(solution)
}
