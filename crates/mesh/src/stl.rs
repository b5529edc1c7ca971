//! Binary STL, streamed.
//!
//! The format (from memory): an 80-byte header, the count of triangles, then 50 bytes each, little
//! endian, single precision. STL knows no units; the header says millimetres. No
//! dates are written, so the same mesh gives the same bytes. Rounding to single
//! precision moves a vertex of a 60 mm piece by at most 2e-6 mm; vertices nearer
//! to each other than that become one.

use std::io::{self, Write};

use crate::mesh::{Mesh, outward};

/// Writes the mesh as binary STL.
///
/// # Errors
/// What the writer reports; and `InvalidInput` beyond the format's 2³² triangles.
pub fn write(mesh: &Mesh, to: &mut impl Write) -> io::Result<()> {
    let count = u32::try_from(mesh.triangles.len()).map_err(|_| {
        io::Error::new(
            io::ErrorKind::InvalidInput,
            "STL counts triangles in 32 bits",
        )
    })?;
    let mut header = [b' '; 80];
    // Never begins with "solid": that would mark a text file.
    let words = b"Rondure, binary STL, millimetres";
    header[..words.len()].copy_from_slice(words);
    to.write_all(&header)?;
    to.write_all(&count.to_le_bytes())?;
    let mut record = [0u8; 50];
    for corner in 0..mesh.triangles.len() {
        let points = mesh.points(corner);
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
