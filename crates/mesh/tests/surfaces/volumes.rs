//! Volumes asked for, and thickness at the vertices.

use std::f64::consts::PI;

use rondure_mesh::{MeshError, Quality, surface, thickness_at_vertices};
use rondure_solid::{Accuracy, DVec3, Profile, Region, Solid, moments};

use crate::shapes::{ball, bore, coplanar_cylinders, pierced_ball};

/// The volume asked for is met on closed forms, and said to be.
#[test]
fn a_volume_asked_for_is_met() {
    let ring = 2.0 * (900.0f64 - 9.5 * 9.5).sqrt();
    let cases = [
        // Ball: 4/3 π R³; napkin ring: π h³ / 6 (from memory).
        ("ball", ball(30.0), 4.0 / 3.0 * PI * 27_000.0),
        (
            "napkin ring",
            ball(30.0).cut(bore(DVec3::ZERO, DVec3::Z, 9.5)),
            PI * ring.powi(3) / 6.0,
        ),
        // (8/3) n tan(90°/n) r³ with n = 2 (from memory): 16 r³ / 3.
        ("two rods", coplanar_cylinders(2, 10.0), 16_000.0 / 3.0),
    ];
    for (name, solid, exact) in cases {
        for relative in [1e-2, 1e-3, 1e-4] {
            let mesh = surface(&solid, Quality::volume(relative)).unwrap();
            assert_eq!(mesh.check(), Ok(()), "{name}");
            let off = (mesh.volume() / exact - 1.0).abs();
            let told = mesh.reached.volume_error.unwrap();
            assert!(off <= relative, "{name}: {off} for {relative}");
            assert!(
                off <= told && told <= relative,
                "{name}: told {told}, is {off}"
            );
        }
    }
}

/// Vertices go off the surface by no more than is told, those on two faces not at all.
#[test]
fn edges_stay_where_they_are_when_the_volume_is_kept() {
    let solid = pierced_ball();
    let mesh = surface(&solid, Quality::volume(1e-3)).unwrap();
    let exact = moments(&solid, Accuracy { relative: 1e-5 });
    let off = (mesh.volume() - exact.volume).abs() - exact.volume_error;
    assert!(off <= 1e-3 * exact.volume);
    assert!(mesh.reached.by_edges && mesh.reached.off_surface_mm > 0.0);
    let mut faces = vec![Vec::new(); mesh.positions.len()];
    for (corners, face) in mesh.triangles.iter().zip(&mesh.face_of) {
        for corner in corners {
            faces[*corner as usize].push(*face);
        }
    }
    for (position, faces) in mesh.positions.iter().zip(faces) {
        let p = DVec3::from(*position);
        let on_edge = faces.iter().any(|face| *face != faces[0]);
        let allowed = if on_edge {
            1e-6
        } else {
            mesh.reached.off_surface_mm + 1e-6
        };
        for face in faces {
            assert!(solid.depth_to(face, p).abs() <= allowed, "{face:?} at {p}");
        }
    }
}

#[test]
fn a_volume_out_of_range_is_refused() {
    for relative in [0.0, -1.0, 1e-9, 0.9, f64::NAN] {
        let answer = surface(&ball(20.0), Quality::volume(relative));
        assert!(
            matches!(answer, Err(MeshError::Volume { .. })),
            "{relative}: {answer:?}"
        );
    }
}

/// A tube's wall is as thick as its radii say, a ball as its diameter, whatever cuts have
/// vanished in others.
#[test]
fn thickness_is_told_at_every_vertex() {
    let rod = Profile::cylinder(-20.0, 20.0, 10.0).unwrap();
    let tube = Solid::new(Region::revolved(DVec3::ZERO, DVec3::Z, rod))
        .cut(bore(DVec3::ZERO, DVec3::Z, 3.0))
        .cut(bore(DVec3::ZERO, DVec3::Z, 7.5));
    let mesh = surface(&tube, Quality::chord(0.1)).unwrap();
    let thickness = thickness_at_vertices(&tube, &mesh);
    assert_eq!(thickness.len(), mesh.positions.len());
    let mut seen = 0;
    for (position, thickness) in mesh.positions.iter().zip(&thickness) {
        // Away from the ends, where a ball may not reach the other wall.
        if position[2].abs() < 17.0 {
            assert!(
                (thickness - 2.5).abs() < 1e-6,
                "{thickness} at {position:?}"
            );
            seen += 1;
        }
    }
    assert!(seen > 50);
    let mesh = surface(&ball(12.0), Quality::chord(0.1)).unwrap();
    for thickness in thickness_at_vertices(&ball(12.0), &mesh) {
        assert!((thickness - 24.0).abs() < 1e-6, "{thickness}");
    }
}

/// Against the ray and shrinking ball of the solid itself, at every vertex inside a face.
#[test]
fn thickness_agrees_with_the_solid() {
    let solid = pierced_ball();
    let mesh = surface(&solid, Quality::chord(0.3)).unwrap();
    let thickness = thickness_at_vertices(&solid, &mesh);
    let mut seen = 0;
    for (position, thickness) in mesh.positions.iter().zip(thickness) {
        let p = DVec3::from(*position);
        let near = solid
            .faces()
            .filter(|face| solid.depth_to(*face, p).abs() < 0.2);
        if near.count() == 1 {
            let exact = solid.thickness(p).thickness;
            assert!(
                (thickness - exact).abs() < 1e-5,
                "{thickness}, {exact} at {p}"
            );
            seen += 1;
        }
    }
    assert!(seen > 200, "{seen}");
}
