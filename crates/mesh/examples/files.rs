//! Writes solids as 3MF, glTF and STL into a folder, and what is true of them as JSON.
//!
//! `cargo run --release -p rondure-mesh --example files -- FOLDER`
//!
//! The outside checks open these files with other people's libraries. The solids: a pierced
//! ball; a ball parted in two with a hollow in one half; a slender finial with beads, coves,
//! a tenon and a hanger's hole, far from the origin. Names hold what XML and JSON must
//! escape.

use std::error::Error;
use std::fs::{self, File};
use std::io::Write;
use std::path::PathBuf;
use std::sync::Arc;

use rondure_mesh::{Format, Labels, Mesh, Quality, Value, surface};
use rondure_solid::{
    Accuracy, DVec2, DVec3, Path, Profile, ProfileError, Region, Solid, Turn, moments,
};
use serde_json::json;

/// Fine enough that a missing hole, 2 % of the ball, is more than its volume may be off.
const CHORD_MM: f64 = 0.03;

type Named = (&'static str, Solid, Labels);

/// Ball R 30, four crossing coves, a bore and eight radial holes.
fn pierced_ball() -> Result<Named, ProfileError> {
    let half = 30.0 * 22.5f64.to_radians().sin();
    let edge = 30.0 * 22.5f64.to_radians().cos();
    let arc = 1.15 * half;
    let centre = edge + (arc * arc - half * half).sqrt();
    let cove = Arc::new(
        Path::from(-half, 40.0)
            .line_to(-half, edge)
            .arc_to(half, edge, DVec2::new(0.0, centre), Turn::Left)
            .line_to(half, 40.0)
            .close()?,
    );
    let hole = Arc::new(Profile::cylinder(0.0, 40.0, 6.0)?);
    let bore = Profile::cylinder(-40.0, 40.0, 9.5)?;
    let around = |k: u32| {
        let angle = f64::from(k) * 45f64.to_radians();
        DVec3::new(angle.cos(), angle.sin(), 0.0)
    };
    let mut solid = Solid::new(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::ball(30.0)?,
    ));
    let mut names = vec!["blank".to_owned()];
    for k in 0..4 {
        solid = solid.cut(Region::revolved(DVec3::ZERO, around(k), cove.clone()));
        names.push(format!("cove {}", k + 1));
    }
    solid = solid.cut(Region::revolved(DVec3::ZERO, DVec3::Z, bore));
    names.push("bore".to_owned());
    for k in 0..8 {
        solid = solid.cut(Region::revolved(DVec3::ZERO, around(k), hole.clone()));
        names.push("pierced hole".to_owned());
    }
    Ok(("pierced-ball", solid, Labels::new("Pierced ball", names)))
}

/// Ball R 20 parted askew, with a closed hollow in the upper half.
fn parted_ball() -> Result<Named, ProfileError> {
    let askew = DVec3::new(0.3, 0.2, 1.0);
    let parting = Profile::cylinder(-1.0, 1.0, 40.0)?;
    let hollow = Profile::ball(5.0)?;
    let solid = Solid::new(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::ball(20.0)?,
    ))
    .cut(Region::revolved(DVec3::ZERO, askew, parting))
    .cut(Region::revolved(DVec3::Z * 11.0, DVec3::Z, hollow));
    let names = ["blank", "parting < 2 mm & square", "\"hollow\""];
    Ok(("parted-ball", solid, Labels::new("Ball, parted", names)))
}

/// A finial along z that begins 300 mm up.
fn finial() -> Result<Named, ProfileError> {
    let begin = 300.0;
    let outline = Path::from(0.0, 0.0)
        .line_to(0.0, 4.0)
        .line_to(8.0, 4.0)
        .line_to(8.0, 9.0)
        .arc_to(14.0, 9.0, DVec2::new(11.0, 7.0), Turn::Right)
        .line_to(14.0, 4.0)
        .arc_to(34.0, 4.0, DVec2::new(24.0, 20.0), Turn::Left)
        .line_to(62.0, 1.2)
        .arc_to(66.0, 1.2, DVec2::new(64.0, 1.6), Turn::Right)
        .line_to(74.0, 0.0)
        .close()?;
    let hole = Profile::cylinder(-1.0, 20.0, 0.75)?;
    let from = DVec3::Z * begin;
    let solid = Solid::new(Region::revolved(from, DVec3::Z, outline)).cut(Region::revolved(
        from,
        DVec3::Z,
        hole,
    ));
    Ok((
        "finial",
        solid,
        Labels::new("Finial", ["outline", "hanger’s hole"]),
    ))
}

/// Thickness from the exact distance, and the height as a value anybody can check.
fn numbered(solid: &Solid, mesh: &Mesh, labels: Labels) -> Labels {
    let places = mesh.positions.iter().map(|&position| DVec3::from(position));
    Labels {
        thickness_mm: Some(
            places
                .clone()
                .map(|place| solid.thickness(place).thickness)
                .collect(),
        ),
        value: Some(Value {
            name: "height".to_owned(),
            unit: "mm".to_owned(),
            at: places.map(|place| place.z).collect(),
        }),
        ..labels
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(
        std::env::args()
            .nth(1)
            .ok_or("which folder shall the files go to?")?,
    );
    fs::create_dir_all(&folder)?;
    let mut facts = Vec::new();
    for (name, solid, labels) in [pierced_ball()?, parted_ball()?, finial()?] {
        let mesh = surface(&solid, Quality::chord(CHORD_MM))?;
        // The ball goes out bare, so that both kinds of file are seen.
        let labels = match name {
            "pierced-ball" => labels,
            _ => numbered(&solid, &mesh, labels),
        };
        for format in Format::ALL {
            let mut file = File::create(folder.join(format!("{name}.{}", format.ending())))?;
            format.write(&mesh, &labels, &mut file)?;
        }
        let exact = moments(&solid, Accuracy { relative: 1e-4 });
        let bounds = [f64::min, f64::max].map(|pick| {
            [0, 1, 2].map(|axis| {
                let along = mesh.positions.iter().map(|position| position[axis]);
                along.reduce(pick).unwrap_or_default()
            })
        });
        facts.push(json!({
            "name": name,
            "title": labels.title,
            "faces": labels.faces,
            "numbered": labels.value.is_some(),
            "vertices": mesh.positions.len(),
            "triangles": mesh.triangles.len(),
            "shells": mesh.components(),
            "euler": mesh.euler_characteristic(),
            "bounds_mm": bounds,
            "mesh_volume_mm3": mesh.volume(),
            "mesh_area_mm2": mesh.area(),
            "chord_error_mm": mesh.reached.chord_error_mm,
            "volume_mm3": exact.volume,
            "volume_error_mm3": exact.volume_error,
        }));
    }
    let file = File::create(folder.join("facts.json"))?;
    serde_json::to_writer_pretty(&file, &facts)?;
    (&file).flush()?;
    Ok(())
}
