//! Binary STL, streamed.
//!
//! The format (from memory): an 80-byte header, the count of triangles, then 50 bytes each, little
//! endian, single precision. STL knows no units; the header says millimetres. No
//! dates are written, so the same mesh gives the same bytes. Rounding to single
//! precision moves a vertex of a 60 mm piece by at most 2e-6 mm.
//!
//! STL has no vertices, only corners: a reader joins corners at the same place. Two
//! vertices of the mesh that would fall together (where two sheets touch, or within
//! rounding) are therefore set a last place apart, some 2e-6 mm, so that what is read
//! is joined as the mesh is: closed, and in as many parts.

use std::collections::HashSet;
use std::io::{self, BufWriter, Write};

use crate::labels::{Labels, countable, fit};
use crate::mesh::{Mesh, outward};

/// Writes the mesh as binary STL. The format has no place for labels.
///
/// # Errors
/// What the writer reports; and `InvalidInput` with an [`Unfit`](crate::Unfit) for what the
/// format cannot hold, such as more than its 2³² triangles.
pub fn write(mesh: &Mesh, to: &mut impl Write) -> io::Result<()> {
    fit(mesh, &Labels::default())?;
    let count = mesh.triangles.len();
    countable("STL", "triangles", count, u32::MAX as usize)?;
    let mut to = BufWriter::with_capacity(1 << 16, to);
    let mut header = [b' '; 80];
    // Never begins with "solid": that would mark a text file.
    let words = b"Rondure, binary STL, millimetres";
    header[..words.len()].copy_from_slice(words);
    to.write_all(&header)?;
    to.write_all(&(count as u32).to_le_bytes())?;
    let places = apart(&mesh.positions);
    let mut record = [0u8; 50];
    for (triangle, corners) in mesh.triangles.iter().enumerate() {
        let normal = outward(mesh.points(triangle)).normalize_or_zero();
        let normal = normal.to_array().map(|value| value as f32);
        let corners = corners.map(|corner| places[corner as usize]);
        for (index, vector) in [normal, corners[0], corners[1], corners[2]]
            .iter()
            .enumerate()
        {
            for (axis, value) in vector.iter().enumerate() {
                let at = 12 * index + 4 * axis;
                record[at..at + 4].copy_from_slice(&value.to_le_bytes());
            }
        }
        to.write_all(&record)?;
    }
    to.flush()
}

/// The positions in single precision, no two alike: a later one that falls on an earlier moves
/// along x by as many last places as it takes.
fn apart(positions: &[[f64; 3]]) -> Vec<[f32; 3]> {
    let mut taken = HashSet::with_capacity(positions.len());
    positions
        .iter()
        .map(|position| {
            // Adding nought makes one of the two signs of zero, which readers take for one place.
            let mut place = position.map(|value| value as f32 + 0.0);
            while !taken.insert(place.map(f32::to_bits)) {
                place[0] = place[0].next_up() + 0.0;
            }
            place
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::apart;

    #[test]
    fn vertices_that_fall_together_are_set_apart() {
        let places = apart(&[
            [1.0, 2.0, 3.0],
            [1.0 + 1e-12, 2.0, 3.0],
            [1.0, 2.0, 3.0],
            [4.0, 0.0, -0.0],
            [4.0, 0.0, 0.0],
        ]);
        for (index, place) in places.iter().enumerate() {
            assert!(
                places[index + 1..].iter().all(|other| other != place),
                "{places:?}"
            );
        }
        assert!(
            places[..3]
                .iter()
                .all(|place| (place[0] - 1.0).abs() < 1e-6)
        );
    }
}
