//! The file formats, by the ending of a file's name.

use std::ffi::OsStr;
use std::fmt;
use std::io::{self, Write};
use std::path::Path;

use crate::labels::Labels;
use crate::mesh::Mesh;
use crate::{gltf, stl, threemf};

/// A file format for meshes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// 3MF: millimetres, colours and names by cut. For printing.
    ThreeMf,
    /// Binary glTF: exact normals, colours, thickness and any value. For looking at.
    Gltf,
    /// Binary STL: the bare shape.
    Stl,
}

impl Format {
    /// All formats.
    pub const ALL: [Self; 3] = [Self::ThreeMf, Self::Gltf, Self::Stl];

    /// The format a file's ending asks for; none for any other ending.
    pub fn of(path: &Path) -> Option<Self> {
        let ending = path.extension().and_then(OsStr::to_str)?;
        Self::ALL
            .into_iter()
            .find(|format| format.ending().eq_ignore_ascii_case(ending))
    }

    /// The ending of its files, without the dot.
    pub fn ending(self) -> &'static str {
        match self {
            Self::ThreeMf => "3mf",
            Self::Gltf => "glb",
            Self::Stl => "stl",
        }
    }

    /// Writes a mesh. Where it fails, what was written so far is no file: write beside the
    /// file's place and rename when all is well.
    ///
    /// # Errors
    /// What the writer reports; and `InvalidInput` with an [`Unfit`](crate::Unfit) for what
    /// the format cannot hold.
    pub fn write(self, mesh: &Mesh, labels: &Labels, to: &mut impl Write) -> io::Result<()> {
        match self {
            Self::ThreeMf => threemf::write(mesh, labels, to),
            Self::Gltf => gltf::write(mesh, labels, to),
            Self::Stl => stl::write(mesh, to),
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::ThreeMf => "3MF",
            Self::Gltf => "glTF",
            Self::Stl => "STL",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_tells_the_format() {
        for (name, format) in [
            ("ball.3mf", Some(Format::ThreeMf)),
            ("out/ball.GLB", Some(Format::Gltf)),
            ("ball.v2.stl", Some(Format::Stl)),
            ("ball.gltf", None),
            ("stl", None),
            (".stl", None),
        ] {
            assert_eq!(Format::of(Path::new(name)), format, "{name}");
        }
    }
}
