//! Binary STL, streamed.
//!
//! The format (from memory): an 80-byte header, the count of triangles, then 50 bytes each, little
//! endian, single precision. STL knows no units; the header says millimetres. No
//! dates are written, so the same mesh gives the same bytes. Rounding to single
//! precision moves a vertex of a 60 mm piece by at most 2e-6 mm; vertices nearer
//! to each other than that become one, and the triangles that lose their width by it are
//! left out, so the rest is still closed.

use std::io::{self, BufWriter, Write};

use crate::labels::{Labels, countable, fit, standing};
use crate::mesh::{Mesh, outward};

/// Writes the mesh as binary STL. The format has no place for labels.
///
/// # Errors
/// What the writer reports; and `InvalidInput` with an [`Unfit`](crate::Unfit) for what the
/// format cannot hold, such as more than its 2³² triangles.
pub fn write(mesh: &Mesh, to: &mut impl Write) -> io::Result<()> {
    fit(mesh, &Labels::default())?;
    let count = standing(mesh).count();
    countable("STL", "triangles", count, u32::MAX as usize)?;
    let mut to = BufWriter::with_capacity(1 << 16, to);
    let mut header = [b' '; 80];
    // Never begins with "solid": that would mark a text file.
    let words = b"Rondure, binary STL, millimetres";
    header[..words.len()].copy_from_slice(words);
    to.write_all(&header)?;
    to.write_all(&(count as u32).to_le_bytes())?;
    let mut record = [0u8; 50];
    for triangle in standing(mesh) {
        let points = mesh.points(triangle);
        let normal = outward(points).normalize_or_zero();
        for (index, vector) in [normal, points[0], points[1], points[2]].iter().enumerate() {
            for (axis, value) in vector.to_array().into_iter().enumerate() {
                let at = 12 * index + 4 * axis;
                record[at..at + 4].copy_from_slice(&(value as f32).to_le_bytes());
            }
        }
        to.write_all(&record)?;
    }
    to.flush()
}
