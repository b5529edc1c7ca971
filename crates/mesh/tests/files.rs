//! The files as bytes: layout, labels, refusals. Other people's readers judge them in
//! `tests/outside/files.py`.

#![expect(clippy::unwrap_used, reason = "a panic in a test is its report")]

use std::io::{self, Read, Write};

use rondure_mesh::{Format, Labels, Mesh, Reached, Unfit, Value};
use rondure_solid::Face;
use serde_json::json;

/// A tetrahedron with a right corner at the origin, legs of 10 mm, its four sides given as
/// two cuts: 0 the three square sides, 3 the slanted one.
fn tetrahedron() -> Mesh {
    let slanted = [3f64.sqrt().recip(); 3];
    Mesh {
        positions: vec![
            [0.0, 0.0, 0.0],
            [10.0, 0.0, 0.0],
            [0.0, 10.0, 0.0],
            [0.0, 0.0, 10.0],
        ],
        triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
        face_of: vec![Face(0), Face(0), Face(0), Face(3)],
        normals: vec![
            [[0.0, 0.0, -1.0]; 3],
            [[0.0, -1.0, 0.0]; 3],
            [[-1.0, 0.0, 0.0]; 3],
            [slanted; 3],
        ],
        reached: Reached::default(),
    }
}

fn labels() -> Labels {
    Labels {
        thickness_mm: Some(vec![1.0, 2.0, 3.0, 4.5]),
        value: Some(Value {
            name: "stress".to_owned(),
            unit: "MPa".to_owned(),
            at: vec![-1.0, 0.0, 0.25, 8.0],
        }),
        ..Labels::new("Corner & \"edge\"", ["blank", "bore", "cove", "saw <cut>"])
    }
}

fn bytes(format: Format, mesh: &Mesh, labels: &Labels) -> Vec<u8> {
    let mut file = Vec::new();
    format.write(mesh, labels, &mut file).unwrap();
    file
}

fn number(file: &[u8], at: usize) -> usize {
    u32::from_le_bytes(file[at..at + 4].try_into().unwrap()) as usize
}

fn short(file: &[u8], at: usize) -> usize {
    usize::from(u16::from_le_bytes(file[at..at + 2].try_into().unwrap()))
}

/// The JSON of a binary glTF, and where its binary data begin.
fn opened(file: &[u8]) -> (serde_json::Value, usize) {
    assert_eq!(&file[..4], b"glTF");
    assert_eq!((number(file, 4), number(file, 8)), (2, file.len()));
    let length = number(file, 12);
    let begin = 20 + length + 8;
    assert_eq!(begin % 4, 0);
    assert_eq!(number(file, 20 + length), file.len() - begin);
    (
        serde_json::from_slice(&file[20..20 + length]).unwrap(),
        begin,
    )
}

/// The floats of one attribute.
fn attribute(file: &[u8], name: &str) -> Vec<f32> {
    let (json, begin) = opened(file);
    let index = json["meshes"][0]["primitives"][0]["attributes"][name]
        .as_u64()
        .unwrap();
    let view = &json["bufferViews"][index as usize];
    let place = |key: &str| view[key].as_u64().unwrap() as usize;
    let from = begin + place("byteOffset");
    file[from..from + place("byteLength")]
        .chunks(4)
        .map(|four| f32::from_le_bytes(four.try_into().unwrap()))
        .collect()
}

/// The entries of an archive, unpacked, by its directory alone.
fn entries(file: &[u8]) -> Vec<(String, String)> {
    let end = file.len() - 22;
    assert_eq!(number(file, end), 0x0605_4b50);
    let mut at = number(file, end + 16);
    assert_eq!(at + number(file, end + 12), end);
    let mut entries = Vec::new();
    for _ in 0..short(file, end + 10) {
        assert_eq!(number(file, at), 0x0201_4b50);
        // The first day the format knows, at midnight.
        assert_eq!(number(file, at + 12), 0x0021_0000);
        let (packed, size) = (number(file, at + 20), number(file, at + 24));
        let name = String::from_utf8(file[at + 46..][..short(file, at + 28)].to_vec()).unwrap();
        let begin = number(file, at + 42);
        assert_eq!(number(file, begin), 0x0403_4b50);
        let data = &file[begin + 30 + name.len()..][..packed];
        let mut text = String::new();
        flate2::read::DeflateDecoder::new(data)
            .read_to_string(&mut text)
            .unwrap();
        assert_eq!(text.len(), size);
        let mut crc = flate2::Crc::new();
        crc.update(text.as_bytes());
        assert_eq!(number(file, at + 16), crc.sum() as usize);
        at += 46 + name.len();
        entries.push((name, text));
    }
    assert_eq!(at, end);
    entries
}

#[test]
fn a_tetrahedron_as_3mf_is_this_text() {
    let parts = entries(&bytes(Format::ThreeMf, &tetrahedron(), &labels()));
    let names: Vec<&str> = parts.iter().map(|part| part.0.as_str()).collect();
    assert_eq!(
        names,
        ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
    );
    let expected = r##"<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
<metadata name="Title">Corner &amp; &quot;edge&quot;</metadata>
<metadata name="Application">Rondure VERSION</metadata>
<resources>
<basematerials id="1">
<base name="blank" displaycolor="#F1E4C9"/>
<base name="saw &lt;cut&gt;" displaycolor="#A0D4EA"/>
</basematerials>
<object id="2" type="model" name="Corner &amp; &quot;edge&quot;" pid="1" pindex="0">
<mesh>
<vertices>
<vertex x="0" y="0" z="0"/>
<vertex x="10" y="0" z="0"/>
<vertex x="0" y="10" z="0"/>
<vertex x="0" y="0" z="10"/>
</vertices>
<triangles>
<triangle v1="0" v2="2" v3="1" pid="1" p1="0"/>
<triangle v1="0" v2="1" v3="3" pid="1" p1="0"/>
<triangle v1="0" v2="3" v3="2" pid="1" p1="0"/>
<triangle v1="1" v2="2" v3="3" pid="1" p1="1"/>
</triangles>
</mesh>
</object>
</resources>
<build>
<item objectid="2" transform="1 0 0 0 1 0 0 0 1 0 0 0"/>
</build>
</model>
"##;
    assert_eq!(
        parts[2].1,
        expected.replace("VERSION", env!("CARGO_PKG_VERSION"))
    );
}

#[test]
fn a_sharp_edge_has_a_vertex_on_either_side_and_a_smooth_one_has_not() {
    let sharp = tetrahedron();
    assert_eq!(
        attribute(&bytes(Format::Gltf, &sharp, &labels()), "POSITION").len(),
        3 * 12
    );
    // Two triangles of one side: their edge is smooth, so two vertices of six are shared.
    let mut halved = tetrahedron();
    halved.positions.push([0.0, 5.0, 5.0]);
    halved.triangles.splice(3..4, [[1, 2, 4], [1, 4, 3]]);
    halved.triangles.splice(2..3, [[0, 3, 4], [0, 4, 2]]);
    for index in [2, 4] {
        halved.face_of.insert(index, halved.face_of[index]);
        halved.normals.insert(index, halved.normals[index]);
    }
    assert_eq!(halved.check(), Ok(()));
    let positions = attribute(
        &bytes(Format::Gltf, &halved, &Labels::default()),
        "POSITION",
    );
    assert_eq!(positions.len(), 3 * 14);
    // The same sides with normals a hair apart are one still, of another cut two.
    for normal in &mut halved.normals[5] {
        normal[0] += 1e-5;
    }
    let file = bytes(Format::Gltf, &halved, &Labels::default());
    assert_eq!(attribute(&file, "POSITION").len(), 3 * 14);
    halved.face_of[5] = Face(1);
    let file = bytes(Format::Gltf, &halved, &Labels::default());
    assert_eq!(attribute(&file, "POSITION").len(), 3 * 16);
}

#[test]
fn gltf_carries_every_number_where_it_belongs() {
    let file = bytes(Format::Gltf, &tetrahedron(), &labels());
    let (json, _) = opened(&file);
    let mesh = &json["meshes"][0];
    assert_eq!(
        mesh["extras"],
        json!({
            "unit": "mm",
            "cuts": ["blank", "bore", "cove", "saw <cut>"],
            "value": { "name": "stress", "unit": "MPa" },
        })
    );
    assert_eq!(json["accessors"][0]["min"], json!([0.0, 0.0, 0.0]));
    assert_eq!(json["accessors"][0]["max"], json!([10.0, 10.0, 10.0]));
    // The slanted side is the last: its three vertices are 1, 2 and 3 of the mesh.
    assert_eq!(attribute(&file, "_CUT")[8..], [0.0, 3.0, 3.0, 3.0]);
    assert_eq!(attribute(&file, "_THICKNESS")[9..], [2.0, 3.0, 4.5]);
    assert_eq!(attribute(&file, "_VALUE")[9..], [0.0, 0.25, 8.0]);
    assert_eq!(
        attribute(&file, "POSITION")[27..30],
        [10.0, 0.0, 0.0],
        "millimetres, in the solid's own axes"
    );
    // A quarter turn about x takes z to y: (0, 0, 1) goes to (0, 1, 0). With q = (x, w) about
    // the x axis, y' = y (w² − x²) − 2 x w z.
    let rotation = &json["nodes"][0]["rotation"];
    let (x, w) = (rotation[0].as_f64().unwrap(), rotation[3].as_f64().unwrap());
    assert!((-2.0 * x * w - 1.0).abs() < 1e-15);
    assert_eq!(json["nodes"][0]["scale"], json!([0.001, 0.001, 0.001]));
    // Without numbers no attribute for them.
    let (bare, _) = opened(&bytes(Format::Gltf, &tetrahedron(), &Labels::default()));
    let attributes = bare["meshes"][0]["primitives"][0]["attributes"].clone();
    let names: Vec<_> = attributes.as_object().unwrap().keys().cloned().collect();
    assert_eq!(names, ["COLOR_0", "NORMAL", "POSITION", "_CUT"]);
}

/// A vertex split off by less than single precision sees: STL, whose readers join corners at one
/// place, sets it apart and stays closed; glTF leaves its two slivers out, and the rest is the
/// tetrahedron.
#[test]
fn vertices_nearer_than_single_precision_leave_the_files_closed() {
    let mut mesh = tetrahedron();
    mesh.positions.push([10.0 + 1e-8, 0.0, 0.0]);
    // The edge from 1 to 4 stands between the sides [0, 1, 3] and [1, 2, 3].
    mesh.triangles = vec![
        [0, 2, 1],
        [0, 1, 4],
        [0, 4, 3],
        [0, 3, 2],
        [1, 2, 4],
        [4, 2, 3],
    ];
    mesh.face_of = vec![Face(0); 6];
    mesh.normals = vec![[[0.0, 0.0, 1.0]; 3]; 6];
    assert_eq!(mesh.check(), Ok(()));
    let file = bytes(Format::Stl, &mesh, &Labels::default());
    assert_eq!((number(&file, 80), file.len()), (6, 84 + 6 * 50));
    // Joined by place, every edge is run through once each way.
    let mut edges: Vec<[Vec<u8>; 2]> = Vec::new();
    for record in file[84..].chunks(50) {
        let corners: Vec<Vec<u8>> = record[12..48].chunks(12).map(<[u8]>::to_vec).collect();
        for (from, to) in [(0, 1), (1, 2), (2, 0)] {
            edges.push([corners[from].clone(), corners[to].clone()]);
        }
    }
    for [from, to] in &edges {
        let runs = |a: &Vec<u8>, b: &Vec<u8>| {
            edges
                .iter()
                .filter(|edge| edge[0] == *a && edge[1] == *b)
                .count()
        };
        assert_eq!((runs(from, to), runs(to, from)), (1, 1));
    }
    let (json, _) = opened(&bytes(Format::Gltf, &mesh, &Labels::default()));
    let indices = json["accessors"].as_array().unwrap().last().unwrap();
    assert_eq!(indices["count"], 3 * 4);
    // 3MF has the digits for them, and one decimal fewer would not.
    mesh.positions[4][0] = 10.0 + 1e-7;
    let model = &entries(&bytes(Format::ThreeMf, &mesh, &Labels::default()))[2].1;
    assert!(model.contains(r#"<vertex x="10.0000001" y="0" z="0"/>"#));
    assert_eq!(model.matches("<triangle ").count(), 6);
}

/// Fails at the first byte.
struct Untouched;

impl Write for Untouched {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(io::Error::other("a byte was written"))
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn what_does_not_fit_is_refused_before_the_first_byte() {
    type Spoil = fn(&mut Mesh, &mut Labels);
    let cases: [(Spoil, &str); 7] = [
        (
            |mesh, _| mesh.triangles.clear(),
            "the mesh has no triangles; a file needs some",
        ),
        (
            |mesh, _| mesh.face_of.truncate(3),
            "faces are 3; as many as there are triangles, 4, are allowed",
        ),
        (
            |mesh, _| mesh.normals.truncate(1),
            "triples of normals are 1; as many as there are triangles, 4, are allowed",
        ),
        (
            |mesh, _| mesh.triangles[2] = [0, 4, 2],
            "triangle 2 has the corners [0, 4, 2]; vertices are numbered below 4",
        ),
        (
            |mesh, _| mesh.positions[1][2] = f64::NAN,
            "the position at vertex 1 is NaN; finite single precision numbers are allowed",
        ),
        (
            |_, labels| labels.thickness_mm = Some(vec![1.0]),
            "thicknesses are 1; as many as there are vertices, 4, are allowed",
        ),
        (
            |_, labels| labels.value.as_mut().unwrap().at[3] = 1e39,
            "values at vertex 3 is 1000000000000000000000000000000000000000; finite single precision numbers are allowed",
        ),
    ];
    for (spoil, says) in cases {
        let (mut mesh, mut labels) = (tetrahedron(), labels());
        spoil(&mut mesh, &mut labels);
        for format in [Format::ThreeMf, Format::Gltf] {
            let error = format.write(&mesh, &labels, &mut Untouched).unwrap_err();
            assert_eq!(error.kind(), io::ErrorKind::InvalidInput, "{format}");
            let unfit = error.get_ref().unwrap().downcast_ref::<Unfit>().unwrap();
            assert_eq!(unfit.to_string(), says, "{format}");
        }
    }
}

/// A disk that is full at any byte is an error, never a file that seems whole.
#[test]
fn a_full_disk_is_told() {
    struct Disk(usize);
    impl Write for Disk {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            if self.0 == 0 {
                return Err(io::ErrorKind::StorageFull.into());
            }
            let taken = bytes.len().min(self.0);
            self.0 -= taken;
            Ok(taken)
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
    for format in Format::ALL {
        let whole = bytes(format, &tetrahedron(), &labels()).len();
        for room in 0..=whole {
            let written = format.write(&tetrahedron(), &labels(), &mut Disk(room));
            match written {
                Ok(()) => assert_eq!(room, whole, "{format}"),
                Err(error) => {
                    assert!(room < whole, "{format}");
                    assert_eq!(error.kind(), io::ErrorKind::StorageFull, "{format}");
                }
            }
        }
    }
}
