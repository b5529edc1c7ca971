//! Small linear systems, solved by elimination with row pivots.
//!
//! For Newton's steps on the few faces that meet at a wall or a passage. Up to [`SIZE`] unknowns; no
//! memory is asked for. None where a pivot is next to nothing: the system has no one solution.

/// Most unknowns of a system: a place, a radius and three shares, or a place and four pushes.
pub(crate) const SIZE: usize = 7;

/// A square system with its right side in the last used column.
pub(crate) type Matrix = [[f64; SIZE + 1]; SIZE];

/// Elimination with row pivots; the right side stands in column `size`.
pub(crate) fn solve(matrix: &mut Matrix, size: usize) -> Option<[f64; SIZE]> {
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
