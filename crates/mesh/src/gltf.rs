//! glTF 2.0 in its binary form, streamed: shape, exact normals, and numbers along it.
//!
//! One mesh of one primitive (the Khronos specification of glTF 2.0, from memory). The file
//! is written front to back; only the table of split vertices is held in memory.
//!
//! **Units and origin.** Positions are single precision, in *millimetres* about the solid's
//! own origin and in its own axes, z along the blank. glTF wants metres with y upwards, so
//! the one node scales by 0.001 and turns z up; the numbers below it stay a turner's.
//! Rounding moves a vertex of a 60 mm piece by at most 2e-6 mm; triangles whose corners
//! become one point by it are left out, and the rest is still closed.
//!
//! **Vertices.** One for each corner, cut and normal: a smooth surface shares its vertices,
//! a sharp edge has one on either side, with the exact normal of each.
//!
//! **Attributes.** `_CUT`: the face of the solid, 0 the blank, k the k-th cut; its name
//! stands in the mesh's `extras.cuts`. `COLOR_0`: the colour by cut. Where labels give
//! them, `_THICKNESS` in mm, and `_VALUE`, whose name and unit stand in `extras.value`.
//! Numbers are 32-bit floats, since the format has no 32-bit integers for attributes.
//!
//! The JSON is serde_json's; a glTF crate would bring types for all that is not used here.

mod corners;

use std::io::{self, BufWriter, Write};

use serde_json::{Map, Value, json};

use crate::colour::Colour;
use crate::labels::{Labels, countable, faces_shown, fit};
use crate::mesh::Mesh;
use corners::Corners;

const FLOAT: u32 = 5126;
const UNSIGNED_SHORT: u32 = 5123;
const UNSIGNED_INT: u32 = 5125;
/// What a view is for: vertices, or indices.
const VERTICES: u32 = 34_962;
const INDICES: u32 = 34_963;

/// Writes the mesh as binary glTF.
///
/// # Errors
/// What the writer reports; and `InvalidInput` with an [`Unfit`](crate::Unfit) for what the
/// format cannot hold.
pub fn write(mesh: &Mesh, labels: &Labels, to: &mut impl Write) -> io::Result<()> {
    fit(mesh, labels)?;
    let corners = Corners::of(mesh)?;
    let blocks = blocks(&corners, labels);
    let mut json = serde_json::to_vec(&document(mesh, labels, &corners, &blocks))?;
    // Each chunk is filled up to four bytes, the text with spaces.
    json.resize(json.len().next_multiple_of(4), b' ');
    let bytes: usize = blocks.iter().map(Block::bytes).sum();
    let whole = 12 + 8 + json.len() + 8 + bytes;
    countable("glTF", "bytes", whole, u32::MAX as usize)?;

    let mut to = BufWriter::with_capacity(1 << 16, to);
    to.write_all(b"glTF")?;
    for number in [2, whole as u32, json.len() as u32] {
        to.write_all(&number.to_le_bytes())?;
    }
    to.write_all(b"JSON")?;
    to.write_all(&json)?;
    to.write_all(&(bytes as u32).to_le_bytes())?;
    to.write_all(b"BIN\0")?;
    for block in &blocks {
        block.stream(mesh, labels, &corners, &mut to)?;
    }
    to.flush()
}

/// What one stretch of the binary chunk holds.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Positions,
    Normals,
    Cuts,
    Colours,
    Thickness,
    Value,
    Indices,
}

struct Block {
    kind: Kind,
    count: usize,
}

impl Block {
    /// Attribute name, type of a number, shape of an element, bytes of an element.
    fn layout(&self) -> (&'static str, u32, &'static str, usize) {
        match self.kind {
            Kind::Positions => ("POSITION", FLOAT, "VEC3", 12),
            Kind::Normals => ("NORMAL", FLOAT, "VEC3", 12),
            Kind::Cuts => ("_CUT", FLOAT, "SCALAR", 4),
            // 16 bits, as 8 bits of linear light leave steps to be seen in the dark; and
            // four of them, as elements begin on multiples of four bytes.
            Kind::Colours => ("COLOR_0", UNSIGNED_SHORT, "VEC4", 8),
            Kind::Thickness => ("_THICKNESS", FLOAT, "SCALAR", 4),
            Kind::Value => ("_VALUE", FLOAT, "SCALAR", 4),
            Kind::Indices => ("", UNSIGNED_INT, "SCALAR", 4),
        }
    }

    fn bytes(&self) -> usize {
        self.count * self.layout().3
    }

    fn stream(
        &self,
        mesh: &Mesh,
        labels: &Labels,
        corners: &Corners,
        to: &mut impl Write,
    ) -> io::Result<()> {
        let along = |list: &[f64], to: &mut _| {
            let mut numbers = corners
                .vertices
                .iter()
                .map(|v| [list[v.vertex as usize] as f32]);
            numbers.try_for_each(|number| floats(number, to))
        };
        match self.kind {
            Kind::Positions => corners
                .vertices
                .iter()
                .try_for_each(|v| floats(v.position(mesh), to)),
            Kind::Normals => corners
                .vertices
                .iter()
                .try_for_each(|v| floats(v.normal, to)),
            Kind::Cuts => corners
                .vertices
                .iter()
                .try_for_each(|v| floats([v.face as f32], to)),
            Kind::Colours => {
                let colours: Vec<[u8; 8]> = labels
                    .colour_numbers(faces_shown(mesh))
                    .into_iter()
                    .map(|number| bytes_of(Colour::of(number)))
                    .collect();
                corners
                    .vertices
                    .iter()
                    .try_for_each(|v| to.write_all(&colours[v.face as usize]))
            }
            Kind::Thickness => along(labels.thickness_mm.as_deref().unwrap_or_default(), to),
            Kind::Value => along(labels.value.as_ref().map_or(&[], |value| &value.at), to),
            Kind::Indices => corners
                .triangles
                .iter()
                .flatten()
                .try_for_each(|index| to.write_all(&index.to_le_bytes())),
        }
    }
}

fn floats<const N: usize>(numbers: [f32; N], to: &mut impl Write) -> io::Result<()> {
    numbers
        .iter()
        .try_for_each(|number| to.write_all(&number.to_le_bytes()))
}

/// Linear light in 16 bits, and fully opaque.
fn bytes_of(colour: Colour) -> [u8; 8] {
    let mut bytes = [0xff; 8];
    for (channel, light) in colour.linear().into_iter().enumerate() {
        let number = (light * 65_535.0).round() as u16;
        bytes[2 * channel..2 * channel + 2].copy_from_slice(&number.to_le_bytes());
    }
    bytes
}

fn blocks(corners: &Corners, labels: &Labels) -> Vec<Block> {
    let mut kinds = vec![Kind::Positions, Kind::Normals, Kind::Cuts, Kind::Colours];
    if labels.thickness_mm.is_some() {
        kinds.push(Kind::Thickness);
    }
    if labels.value.is_some() {
        kinds.push(Kind::Value);
    }
    kinds.push(Kind::Indices);
    let count = |kind| match kind {
        Kind::Indices => 3 * corners.triangles.len(),
        _ => corners.vertices.len(),
    };
    kinds
        .into_iter()
        .map(|kind| Block {
            kind,
            count: count(kind),
        })
        .collect()
}

fn document(mesh: &Mesh, labels: &Labels, corners: &Corners, blocks: &[Block]) -> Value {
    let (mut views, mut accessors) = (Vec::new(), Vec::new());
    let mut attributes = Map::new();
    let mut offset = 0;
    for (index, block) in blocks.iter().enumerate() {
        let (name, component, shape, _) = block.layout();
        let target = if block.kind == Kind::Indices {
            INDICES
        } else {
            VERTICES
        };
        views.push(json!({
            "buffer": 0, "byteOffset": offset, "byteLength": block.bytes(), "target": target,
        }));
        offset += block.bytes();
        let mut accessor = json!({
            "bufferView": index, "componentType": component, "count": block.count, "type": shape,
        });
        match block.kind {
            Kind::Positions => {
                let (low, high) = corners.extent(mesh);
                // Every digit of the single precision numbers, as the format demands.
                accessor["min"] = json!(low.map(f64::from));
                accessor["max"] = json!(high.map(f64::from));
            }
            Kind::Colours => accessor["normalized"] = json!(true),
            _ => {}
        }
        accessors.push(accessor);
        if block.kind != Kind::Indices {
            attributes.insert(name.to_owned(), json!(index));
        }
    }
    let mut extras = json!({ "unit": "mm", "cuts": labels.names(faces_shown(mesh)) });
    if let Some(value) = &labels.value {
        extras["value"] = json!({ "name": value.name, "unit": value.unit });
    }
    // A quarter turn back about x: from z upwards to y upwards.
    let half = std::f64::consts::FRAC_1_SQRT_2;
    json!({
        "asset": {
            "version": "2.0",
            "generator": concat!("Rondure ", env!("CARGO_PKG_VERSION")),
        },
        "scene": 0,
        "scenes": [{ "nodes": [0] }],
        "nodes": [{
            "name": labels.title(),
            "mesh": 0,
            "rotation": [-half, 0.0, 0.0, half],
            "scale": [0.001, 0.001, 0.001],
        }],
        "meshes": [{
            "name": labels.title(),
            "primitives": [{
                "attributes": attributes,
                "indices": blocks.len() - 1,
                "material": 0,
            }],
            "extras": extras,
        }],
        "materials": [{
            "name": "wood",
            "pbrMetallicRoughness": { "metallicFactor": 0.0, "roughnessFactor": 0.8 },
        }],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{ "byteLength": offset }],
    })
}
