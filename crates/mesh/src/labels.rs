//! What a file says about a mesh beyond its shape, and whether the two fit a file.

use std::io;

use thiserror::Error;

use crate::mesh::Mesh;

/// Names for a mesh and its surfaces, and numbers along it.
///
/// 3MF carries the title and the names, glTF everything, STL nothing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Labels {
    /// What the piece is called.
    pub title: String,
    /// What each face of the solid is called: the blank first, then the cuts in order.
    /// Faces of one name share a colour. Those beyond the list are called `blank`, `cut 1`
    /// and so on.
    pub faces: Vec<String>,
    /// Thickness of the wood at every vertex, mm.
    pub thickness_mm: Option<Vec<f64>>,
    /// Any other number along the surface.
    pub value: Option<Value>,
}

/// A number along a surface, such as a stress.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Value {
    /// What it is.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// At every vertex.
    pub at: Vec<f64>,
}

/// Why a mesh and its labels cannot become a file. It comes inside an [`io::Error`] of the
/// kind `InvalidInput`, before the first byte is written.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Unfit {
    /// No triangles.
    #[error("the mesh has no triangles; a file needs some")]
    Empty,
    /// A list that should go along with another.
    #[error("{name} are {found}; as many as there are {of}, {expected}, are allowed")]
    Count {
        /// What is listed.
        name: &'static str,
        /// How many there are.
        found: usize,
        /// What they go along with.
        of: &'static str,
        /// How many of those there are.
        expected: usize,
    },
    /// A triangle with a corner that is no vertex.
    #[error("triangle {triangle} has the corners {corners:?}; vertices are numbered below {count}")]
    Corner {
        /// The triangle, from 0.
        triangle: usize,
        /// Its corners.
        corners: [u32; 3],
        /// Number of vertices.
        count: usize,
    },
    /// A number that single precision cannot hold.
    #[error("{name} at vertex {vertex} is {found}; finite single precision numbers are allowed")]
    Number {
        /// Of what.
        name: &'static str,
        /// The vertex, from 0.
        vertex: usize,
        /// What was found.
        found: f64,
    },
    /// More than the format can count.
    #[error(
        "{format} would hold {found} {of}; {allowed} are allowed: ask for a larger chord error"
    )]
    Large {
        /// The format.
        format: &'static str,
        /// What is counted.
        of: &'static str,
        /// How many.
        found: u64,
        /// The most it can count.
        allowed: u64,
    },
}

impl From<Unfit> for io::Error {
    fn from(unfit: Unfit) -> Self {
        Self::new(io::ErrorKind::InvalidInput, unfit)
    }
}

impl Labels {
    /// Labels of a title and the names of the faces, blank first.
    pub fn new<Name: Into<String>>(
        title: impl Into<String>,
        faces: impl IntoIterator<Item = Name>,
    ) -> Self {
        Self {
            title: title.into(),
            faces: faces.into_iter().map(Into::into).collect(),
            ..Self::default()
        }
    }

    /// The title; `piece` where there is none.
    pub(crate) fn title(&self) -> &str {
        match self.title.trim() {
            "" => "piece",
            title => title,
        }
    }

    /// The names of the first `count` faces.
    pub(crate) fn names(&self, count: usize) -> Vec<String> {
        let own = |face: usize| match face {
            0 => "blank".to_owned(),
            cut => format!("cut {cut}"),
        };
        (0..count)
            .map(|face| self.faces.get(face).cloned().unwrap_or_else(|| own(face)))
            .collect()
    }

    /// For each of the first `count` faces the first face of the same name, numbered without
    /// gaps: the number of its colour. As it depends on names alone, a cut keeps its colour
    /// from one step to the next.
    pub(crate) fn colour_numbers(&self, count: usize) -> Vec<usize> {
        let names = self.names(count.max(self.faces.len()));
        let mut distinct: Vec<&str> = Vec::new();
        let numbers = names.iter().map(|name| {
            distinct
                .iter()
                .position(|other| other == name)
                .unwrap_or_else(|| {
                    distinct.push(name);
                    distinct.len() - 1
                })
        });
        numbers.take(count).collect()
    }
}

/// Number of faces up to the last that the mesh shows.
pub(crate) fn faces_shown(mesh: &Mesh) -> usize {
    mesh.face_of
        .iter()
        .map(|face| face.0 + 1)
        .max()
        .unwrap_or(0)
}

/// Whether all that a writer will read is there and can be written.
pub(crate) fn fit(mesh: &Mesh, labels: &Labels) -> Result<(), Unfit> {
    let (vertices, triangles) = (mesh.positions.len(), mesh.triangles.len());
    if triangles == 0 {
        return Err(Unfit::Empty);
    }
    let along = [
        ("faces", mesh.face_of.len()),
        ("triples of normals", mesh.normals.len()),
    ];
    for (name, found) in along {
        same(name, found, "triangles", triangles)?;
    }
    for (triangle, &corners) in mesh.triangles.iter().enumerate() {
        if corners.iter().any(|&corner| corner as usize >= vertices) {
            return Err(Unfit::Corner {
                triangle,
                corners,
                count: vertices,
            });
        }
    }
    for (vertex, position) in mesh.positions.iter().enumerate() {
        for &found in position {
            single("the position", vertex, found)?;
        }
    }
    let numbers = [
        ("thicknesses", labels.thickness_mm.as_ref()),
        ("values", labels.value.as_ref().map(|value| &value.at)),
    ];
    for (name, list) in numbers {
        if let Some(list) = list {
            same(name, list.len(), "vertices", vertices)?;
            for (vertex, &found) in list.iter().enumerate() {
                single(name, vertex, found)?;
            }
        }
    }
    Ok(())
}

fn same(name: &'static str, found: usize, of: &'static str, expected: usize) -> Result<(), Unfit> {
    if found == expected {
        return Ok(());
    }
    Err(Unfit::Count {
        name,
        found,
        of,
        expected,
    })
}

fn single(name: &'static str, vertex: usize, found: f64) -> Result<(), Unfit> {
    if (found as f32).is_finite() {
        return Ok(());
    }
    Err(Unfit::Number {
        name,
        vertex,
        found,
    })
}

/// Whether a format can count so many.
pub(crate) fn countable(
    format: &'static str,
    of: &'static str,
    found: usize,
    allowed: usize,
) -> Result<(), Unfit> {
    if found <= allowed {
        return Ok(());
    }
    Err(Unfit::Large {
        format,
        of,
        found: found as u64,
        allowed: allowed as u64,
    })
}

/// The triangles whose corners are still three different points in single precision.
///
/// One whose two corners become one point goes together with its neighbour across that
/// edge, so what is left is still closed.
pub(crate) fn standing(mesh: &Mesh) -> impl Iterator<Item = usize> {
    (0..mesh.triangles.len()).filter(|&triangle| {
        let [a, b, c] = mesh.triangles[triangle]
            .map(|corner| mesh.positions[corner as usize].map(|value| value as f32));
        a != b && b != c && c != a
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faces_of_one_name_share_a_colour_and_keep_it() {
        let labels = Labels::new("ball", ["blank", "cove", "bore", "cove"]);
        assert_eq!(labels.colour_numbers(6), [0, 1, 2, 1, 3, 4]);
        assert_eq!(labels.colour_numbers(2), [0, 1]);
        assert_eq!(labels.names(6)[4..], ["cut 4", "cut 5"]);
        // A blank whose name returns, and nothing at all.
        assert_eq!(Labels::default().colour_numbers(3), [0, 1, 2]);
        assert_eq!(Labels::default().title(), "piece");
    }
}
