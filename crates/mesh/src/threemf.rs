//! 3MF, streamed: one body of wood in millimetres, coloured and named by cut.
//!
//! The core specification of the 3MF consortium suffices (version 1.3, from memory): a ZIP
//! archive of three XML parts. The mesh is **one object**, since it is one solid: hollows
//! belong to the wood around them, and pieces that came apart stay where they are.
//! Surfaces are told apart by base materials, which carry a name beside the colour; a
//! colour group, the materials extension's way, would carry colours alone. Only names that
//! are on the mesh are listed. The coordinates are the solid's own; the build item moves
//! the body so that it stands in the corner of the build plate.
//!
//! **Precision.** Coordinates have 7 decimals: rounding moves a vertex by less than
//! 1e-7 mm. Readers that keep single precision add up to 2e-6 mm on a 60 mm piece.
//!
//! **Bytes.** No dates; the same mesh and labels give the same bytes. No library writes the
//! XML: those there are build the whole model in memory first, and what is written is small.

use std::fmt::Write as _;
use std::io::{self, Write};

use crate::archive::Archive;
use crate::colour::Colour;
use crate::labels::{Labels, countable, faces_shown, fit};
use crate::mesh::Mesh;

const CONTENT_TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"#;

const RELATIONS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="model" Target="/3D/3dmodel.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"#;

/// The specification's limit on vertices and on triangles: indices stay below 2³¹.
const MOST: usize = 1 << 31;

/// Writes the mesh as 3MF. Thickness and value have no place in it.
///
/// # Errors
/// What the writer reports; and `InvalidInput` with an [`Unfit`](crate::Unfit) for what the
/// format cannot hold.
pub fn write(mesh: &Mesh, labels: &Labels, to: &mut impl Write) -> io::Result<()> {
    fit(mesh, labels)?;
    countable("3MF", "triangles", mesh.triangles.len(), MOST)?;
    countable("3MF", "vertices", mesh.positions.len(), MOST)?;
    let mut archive = Archive::new(to);
    archive.file("[Content_Types].xml", |to| {
        to.write_all(CONTENT_TYPES.as_bytes())
    })?;
    archive.file("_rels/.rels", |to| to.write_all(RELATIONS.as_bytes()))?;
    archive.file("3D/3dmodel.model", |to| model(mesh, labels, to))?;
    archive.end()
}

fn model(mesh: &Mesh, labels: &Labels, to: &mut dyn Write) -> io::Result<()> {
    let title = escaped(labels.title());
    write!(
        to,
        r#"<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
<metadata name="Title">{title}</metadata>
<metadata name="Application">Rondure {}</metadata>
<resources>
<basematerials id="1">
"#,
        env!("CARGO_PKG_VERSION")
    )?;
    let material_of = materials(mesh, labels, to)?;
    writeln!(
        to,
        "</basematerials>\n<object id=\"2\" type=\"model\" name=\"{title}\" pid=\"1\" pindex=\"0\">\n<mesh>\n<vertices>"
    )?;
    let mut line = String::new();
    for position in &mesh.positions {
        line.clear();
        for (name, value) in ["<vertex x=\"", "\" y=\"", "\" z=\""].iter().zip(position) {
            line.push_str(name);
            decimal(&mut line, *value);
        }
        line.push_str("\"/>\n");
        to.write_all(line.as_bytes())?;
    }
    to.write_all(b"</vertices>\n<triangles>\n")?;
    for ([a, b, c], face) in mesh.triangles.iter().zip(&mesh.face_of) {
        let material = material_of[face.0];
        writeln!(
            to,
            r#"<triangle v1="{a}" v2="{b}" v3="{c}" pid="1" p1="{material}"/>"#
        )?;
    }
    let mut place = String::new();
    for axis in 0..3 {
        let low = mesh.positions.iter().map(|position| position[axis]);
        place.push(' ');
        decimal(&mut place, -low.fold(f64::INFINITY, f64::min));
    }
    writeln!(
        to,
        "</triangles>\n</mesh>\n</object>\n</resources>\n<build>\n<item objectid=\"2\" transform=\"1 0 0 0 1 0 0 0 1{place}\"/>\n</build>\n</model>"
    )
}

/// Lists the materials on the mesh; answers with the number of each face's.
fn materials(mesh: &Mesh, labels: &Labels, to: &mut dyn Write) -> io::Result<Vec<usize>> {
    let count = faces_shown(mesh);
    let names = labels.names(count);
    let colours = labels.colour_numbers(count);
    let mut shown = vec![false; count];
    for face in &mesh.face_of {
        shown[face.0] = true;
    }
    let mut listed: Vec<usize> = Vec::new();
    let mut material_of = vec![0; count];
    for face in (0..count).filter(|&face| shown[face]) {
        let colour = colours[face];
        material_of[face] = match listed.iter().position(|&other| other == colour) {
            Some(place) => place,
            None => {
                writeln!(
                    to,
                    r#"<base name="{}" displaycolor="{}"/>"#,
                    escaped(&names[face]),
                    Colour::of(colour).hex()
                )?;
                listed.push(colour);
                listed.len() - 1
            }
        };
    }
    Ok(material_of)
}

/// Adds a number with up to 7 decimals and no zeros at its end.
fn decimal(line: &mut String, value: f64) {
    let begin = line.len();
    // Writing to a string cannot fail.
    let _ = write!(line, "{value:.7}");
    let kept = line.trim_end_matches('0').trim_end_matches('.').len();
    line.truncate(kept);
    if &line[begin..] == "-0" {
        line.replace_range(begin.., "0");
    }
}

/// Text as XML wants it; control characters, which XML cannot hold, become spaces.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            control if control.is_control() => escaped.push(' '),
            '\u{fffe}' | '\u{ffff}' => escaped.push('\u{fffd}'),
            other => escaped.push(other),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_as_short_as_they_are_true() {
        for (value, written) in [
            (0.0, "0"),
            (-0.0, "0"),
            (-1e-9, "0"),
            (30.0, "30"),
            (-30.5, "-30.5"),
            (100.0, "100"),
            (1.0 / 3.0, "0.3333333"),
            (-2.000_000_06, "-2.0000001"),
        ] {
            let mut line = String::from("100");
            decimal(&mut line, value);
            assert_eq!(&line[3..], written, "{value}");
        }
    }

    #[test]
    fn text_cannot_break_out_of_its_place() {
        assert_eq!(
            escaped("<\"Ball\" & \u{7}bore>\n\u{ffff}"),
            "&lt;&quot;Ball&quot; &amp;  bore&gt; \u{fffd}"
        );
    }
}
