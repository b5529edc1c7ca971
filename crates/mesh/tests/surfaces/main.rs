//! Surfaces against closed forms, against the exact distance, and on random cuts.

#![expect(clippy::unwrap_used, reason = "a panic in a test is its report")]

mod degenerate;
mod shapes;
mod volumes;

use std::f64::consts::{PI, SQRT_2};

use proptest::prelude::*;
use rondure_mesh::{Mesh, MeshError, Quality, stl, surface};
use rondure_solid::{DVec3, Face, Profile, Region, Solid};
use shapes::{ball, bore, coplanar_cylinders, cove, outside, pierced_ball, vee};

/// Everything a surface promises, measured on the exact solid.
fn promised(solid: &Solid, chord: f64) -> Mesh {
    let mesh = surface(solid, Quality::chord(chord)).unwrap();
    assert_eq!(mesh.check(), Ok(()));
    assert_eq!(
        (mesh.reached.blunt, mesh.reached.folded),
        (0, 0),
        "{:?}",
        mesh.reached
    );
    assert!(mesh.reached.chord_error_mm <= chord, "{:?}", mesh.reached);
    assert_eq!(mesh.crossings(), Vec::<[usize; 2]>::new());
    for position in &mesh.positions {
        let depth = solid.depth(DVec3::from(*position));
        assert!(depth.abs() < 1e-6, "a vertex {position:?} at depth {depth}");
    }
    for (index, &face) in mesh.face_of.iter().enumerate() {
        let [a, b, c] = mesh.points(index);
        for corner in [a, b, c] {
            // Corners between two faces lie on both: this is the promise of sharp edges.
            assert!(solid.depth_to(face, corner).abs() < 1e-6);
        }
        for i in 0..=5 {
            for j in 0..=5 - i {
                let (i, j) = (f64::from(i) / 5.0, f64::from(j) / 5.0);
                let p = a + (b - a) * i + (c - a) * j;
                let off = solid.depth_to(face, p).abs();
                assert!(off <= chord, "{off} mm off face {face:?} at {p}");
                assert!(
                    solid.depth(p) >= -chord,
                    "{} mm in the air at {p}",
                    solid.depth(p)
                );
            }
        }
        let normal = (b - a).cross(c - a).normalize();
        for (corner, exact) in [a, b, c].into_iter().zip(mesh.normals[index]) {
            let touch = solid.touch(face, corner);
            let exact = DVec3::from(exact);
            assert!((exact.length() - 1.0).abs() < 1e-9);
            // At a corner of the outline the face has two normals; the mesh has the triangle's.
            assert!(
                exact.dot(-touch.inward) > 1.0 - 1e-6 || exact.dot(normal) > 0.5,
                "normal {exact} at {corner}"
            );
        }
    }
    mesh
}

/// No point of the surface is farther than the chord error, so neither is the volume by more
/// than the area times that.
fn volume_agrees(mesh: &Mesh, exact: f64, chord: f64) {
    let off = (mesh.volume() - exact).abs();
    assert!(off <= chord * mesh.area(), "{} for {exact}", mesh.volume());
}

#[test]
fn a_ball_is_a_ball() {
    for chord in [0.5, 0.1, 0.02] {
        let mesh = promised(&ball(30.0), chord);
        volume_agrees(&mesh, 4.0 / 3.0 * PI * 27_000.0, chord);
        assert_eq!((mesh.euler_characteristic(), mesh.components()), (2, 1));
    }
}

/// Napkin ring: V = πh³/6 with h the length of the bore, whatever the ball (well known;
/// from memory).
#[test]
fn a_bored_ball_is_a_napkin_ring() {
    let chord = 0.05;
    let solid = ball(30.0).cut(bore(DVec3::ZERO, DVec3::Z, 9.5));
    let mesh = promised(&solid, chord);
    let length = 2.0 * (900.0f64 - 9.5 * 9.5).sqrt();
    volume_agrees(&mesh, PI * length.powi(3) / 6.0, chord);
    assert_eq!((mesh.euler_characteristic(), mesh.components()), (0, 1));
}

/// V = (8/3) n tan(90°/n) r³ for n cylinders with coplanar axes (from memory; n = 2 gives
/// the well-known 16 r³ / 3). They touch each other at both poles, where 2n edges meet.
#[test]
fn coplanar_cylinders_meet_in_their_common_body() {
    let chord = 0.05;
    for n in [2, 3, 4, 6] {
        let mesh = promised(&coplanar_cylinders(n, 10.0), chord);
        let exact = 8.0 / 3.0 * f64::from(n) * (PI / 2.0 / f64::from(n)).tan() * 1000.0;
        volume_agrees(&mesh, exact, chord);
        assert_eq!((mesh.euler_characteristic(), mesh.components()), (2, 1));
    }
}

/// V = 8 (2 − √2) r³ for three cylinders square to each other (from memory).
#[test]
fn three_square_cylinders_meet_in_their_common_body() {
    let chord = 0.05;
    let rod = Profile::cylinder(-40.0, 40.0, 10.0).unwrap();
    let solid = Solid::new(Region::revolved(DVec3::ZERO, DVec3::X, rod))
        .cut(outside(DVec3::Y, 10.0))
        .cut(outside(DVec3::Z, 10.0));
    let mesh = promised(&solid, chord);
    volume_agrees(&mesh, 8.0 * (2.0 - SQRT_2) * 1000.0, chord);
    assert_eq!((mesh.euler_characteristic(), mesh.components()), (2, 1));
}

/// One cavity with ten mouths (two of the bore, eight of the holes) is a ball with nine
/// handles: 2 − 2 · 9 = −16. Where two holes and the bore, and where two coves and the bore
/// meet, there are 16 corners each.
#[test]
fn the_pierced_ball_has_nine_handles_and_32_corners() {
    let chord = 0.05;
    let solid = pierced_ball();
    let mesh = promised(&solid, chord);
    // Volume by an independent octree prototype, about 24 896 mm³.
    volume_agrees(&mesh, 24_896.0, chord);
    assert_eq!((mesh.euler_characteristic(), mesh.components()), (-16, 1));
    let corners = mesh
        .positions
        .iter()
        .filter(|position| {
            let p = DVec3::from(**position);
            // On the ball too at the eight points where neighbouring coves touch: left out.
            p.length() < 29.0
                && solid
                    .faces()
                    .filter(|&face| solid.depth_to(face, p).abs() < 1e-6)
                    .count()
                    >= 3
        })
        .count();
    assert_eq!(corners, 32);
}

/// A disc 0.2 mm thick in cells of several millimetres.
#[test]
fn a_thin_disc_is_kept() {
    let chord = 0.1;
    let solid = ball(30.0)
        .cut(Region::beyond(DVec3::new(0.1, 0.2, 1.0), 3.1))
        .cut(Region::beyond(DVec3::new(-0.1, -0.2, -1.0), -2.9));
    let mesh = promised(&solid, chord);
    // Slab of a ball: π t (R² − d² − t²/12), d the distance of its middle.
    let exact = PI * 0.2 * (900.0 - 9.0 - 0.04 / 12.0);
    let off = (mesh.volume() - exact).abs();
    // The flats are exact; only the rim, 0.2 mm high, has a chord.
    assert!(
        off < chord * 2.0 * PI * 30.0 * 0.2,
        "{} for {exact}",
        mesh.volume()
    );
    assert_eq!((mesh.euler_characteristic(), mesh.components()), (2, 1));
}

/// Two bores 0.2 mm apart stay two: a ball with two handles.
#[test]
fn a_thin_web_between_bores_is_kept() {
    for web in [0.2, 0.05] {
        let off = 5.0 + 0.5 * web;
        let solid = ball(20.0)
            .cut(bore(DVec3::X * off, DVec3::Z, 5.0))
            .cut(bore(DVec3::X * -off, DVec3::Z, 5.0));
        let mesh = promised(&solid, 0.1);
        assert_eq!((mesh.euler_characteristic(), mesh.components()), (-2, 1));
    }
}

/// Parted in two: two caps of height R − 1, V = π h² (3R − h) / 3 each.
#[test]
fn two_pieces_are_two_surfaces() {
    let chord = 0.05;
    let parting = Profile::cylinder(-1.0, 1.0, 40.0).unwrap();
    let solid = ball(20.0).cut(Region::revolved(
        DVec3::ZERO,
        DVec3::new(0.3, 0.2, 1.0),
        parting,
    ));
    let mesh = promised(&solid, chord);
    volume_agrees(&mesh, 2.0 * PI * 19.0 * 19.0 * (60.0 - 19.0) / 3.0, chord);
    assert_eq!((mesh.euler_characteristic(), mesh.components()), (4, 2));
}

/// A closed hollow is a surface of its own, facing inwards.
#[test]
fn a_hollow_counts_off_the_volume() {
    let chord = 0.05;
    let hollow = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(12.0).unwrap());
    let mesh = promised(&ball(20.0).cut(hollow), chord);
    volume_agrees(&mesh, 4.0 / 3.0 * PI * (8000.0 - 1728.0), chord);
    assert_eq!(mesh.components(), 2);
}

/// Degenerate by name. What each leaves is plain: a ball with one handle for every way
/// through, or without any.
#[test]
fn degenerate_cuts_leave_what_they_should() {
    let through = |radius: f64| bore(DVec3::ZERO, DVec3::Z, radius);
    let groove = |edge: f64| Region::revolved(DVec3::ZERO, DVec3::X, cove(4.0, 4.0, edge));
    let cases = [
        ("the same bore twice", vec![through(5.0), through(5.0)], 0),
        (
            "two bores of one radius along one axis, end to end",
            vec![
                Region::revolved(
                    DVec3::ZERO,
                    DVec3::Z,
                    Profile::cylinder(0.0, 40.0, 5.0).unwrap(),
                ),
                Region::revolved(
                    DVec3::ZERO,
                    DVec3::Z,
                    Profile::cylinder(-40.0, 0.0, 5.0).unwrap(),
                ),
            ],
            0,
        ),
        (
            "a cut that misses",
            vec![bore(DVec3::X * 30.0, DVec3::Z, 5.0)],
            2,
        ),
        (
            "a cut that just touches",
            vec![bore(DVec3::X * 25.0, DVec3::Z, 5.0)],
            2,
        ),
        (
            "a hole exactly through the rim of a bore",
            vec![
                through(6.0),
                bore(DVec3::new(6.0, 0.0, 0.0), DVec3::new(0.0, 0.0, 1.0), 2.0),
            ],
            0,
        ),
        // Bottom of the cove at radius 18 − 4 = 14 about x; the bore along x has radius 14.
        (
            "a cove whose bottom touches a bore",
            vec![groove(18.0), bore(DVec3::ZERO, DVec3::X, 13.9)],
            0,
        ),
        (
            "a saw cut along a flat",
            vec![Region::beyond(DVec3::Z, 8.0), Region::beyond(DVec3::Z, 8.0)],
            2,
        ),
    ];
    for (name, cuts, euler) in cases {
        let solid = cuts
            .into_iter()
            .fold(ball(20.0), |solid, cut| solid.cut(cut));
        let mesh = surface(&solid, Quality::chord(0.1)).unwrap();
        assert_eq!(
            (mesh.euler_characteristic(), mesh.components()),
            (euler, 1),
            "{name}"
        );
        assert_eq!(
            (mesh.reached.blunt, mesh.reached.folded),
            (0, 0),
            "{name}: {:?}",
            mesh.reached
        );
        assert!(mesh.reached.chord_error_mm <= 0.1, "{name}");
        for position in &mesh.positions {
            assert!(solid.depth(DVec3::from(*position)).abs() < 1e-6, "{name}");
        }
    }
}

#[test]
fn nothing_left_is_said_so() {
    let all = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(21.0).unwrap());
    let answer = surface(&ball(20.0).cut(all), Quality::chord(0.1));
    assert_eq!(answer, Err(MeshError::Empty));
}

#[test]
fn a_wish_out_of_range_is_refused() {
    for chord in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9] {
        let answer = surface(&ball(20.0), Quality::chord(chord));
        assert!(
            matches!(answer, Err(MeshError::Quality { name, .. }) if name == "the chord error"),
            "{chord}: {answer:?}"
        );
    }
}

#[test]
fn one_thread_and_two_write_the_same_bytes() {
    let solid = pierced_ball();
    let bytes = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        let mesh = pool
            .install(|| surface(&solid, Quality::chord(0.2)))
            .unwrap();
        let mut file = Vec::new();
        stl::write(&mesh, &mut file).unwrap();
        (file, mesh)
    };
    let (one, mesh) = bytes(1);
    assert!(one == bytes(2).0);
    assert_eq!(one.len(), 84 + 50 * mesh.triangles.len());
    assert_eq!(
        u32::from_le_bytes(one[80..84].try_into().unwrap()) as usize,
        mesh.triangles.len()
    );
    // The first vertex of the first triangle stands behind the normal.
    let x = f32::from_le_bytes(one[96..100].try_into().unwrap());
    assert_eq!(x, mesh.points(0)[0].x as f32);
}

/// A cut of any kind somewhere about a ball of radius 20.
fn any_cut() -> impl Strategy<Value = Region> {
    let point = (-15.0..15.0f64, -15.0..15.0f64, -15.0..15.0f64);
    let way = (-1.0..1.0f64, -1.0..1.0f64, 0.1..1.0f64);
    (point, way, 0..6, 1.0..9.0f64).prop_map(|(point, way, kind, size)| {
        let (point, way) = (DVec3::from(point), DVec3::from(way));
        match kind {
            0 => bore(point, way, size),
            1 => Region::revolved(point, way, Profile::ball(size).unwrap()),
            2 => Region::beyond(way, 2.0 * size),
            3 => Region::revolved(
                point,
                way,
                Profile::cone(0.0, 0.0, 40.0, 4.0 * size).unwrap(),
            ),
            4 => Region::revolved(DVec3::ZERO, way, cove(size, 1.2 * size, 14.0)),
            _ => Region::revolved(point, way, vee(6.0 + size, 8.0)),
        }
    })
}

/// Points of the surface by rays: where each line of a grid meets the wood's surface.
fn sampled(solid: &Solid) -> Vec<DVec3> {
    let mut found = Vec::new();
    for i in 0..12 {
        for j in 0..12 {
            let (x, y) = (f64::from(i) * 3.3 - 18.1, f64::from(j) * 3.3 - 18.3);
            for axis in 0..3 {
                let turn = |v: [f64; 3]| {
                    let mut v = v;
                    v.rotate_right(axis);
                    DVec3::from(v)
                };
                let (from, way) = (turn([x, y, -30.0]), turn([0.0, 0.0, 1.0]));
                let mut gone = 0.0;
                while let Some(span) = solid.first_wood(from, way, gone, 60.0) {
                    found.push(from + way * span.enter);
                    found.push(from + way * span.leave);
                    gone = span.leave + 1e-6;
                }
            }
        }
    }
    found
}

/// The least distance from a point to any triangle.
fn to_mesh(mesh: &Mesh, p: DVec3) -> f64 {
    let to_segment = |a: DVec3, b: DVec3| {
        let way = b - a;
        let share = (p - a).dot(way) / way.length_squared().max(1e-30);
        p.distance(a + way * share.clamp(0.0, 1.0))
    };
    (0..mesh.triangles.len())
        .map(|triangle| {
            let [a, b, c] = mesh.points(triangle);
            let normal = (b - a).cross(c - a).normalize_or_zero();
            let foot = p - normal * normal.dot(p - a);
            let inside = [(a, b), (b, c), (c, a)]
                .iter()
                .all(|(u, v)| (*v - *u).cross(foot - *u).dot(normal) >= 0.0);
            if inside {
                return p.distance(foot);
            }
            to_segment(a, b).min(to_segment(b, c)).min(to_segment(c, a))
        })
        .fold(f64::INFINITY, f64::min)
}

/// Volume by counting: the share of a fine grid of points in wood, and what it may be off by.
fn counted(solid: &Solid) -> (f64, f64) {
    let (n, reach) = (60, 20.5);
    let step = 2.0 * reach / f64::from(n);
    let (mut inside, mut near) = (0.0, 0.0);
    for i in 0..n {
        for j in 0..n {
            for k in 0..n {
                let p = DVec3::new(f64::from(i), f64::from(j), f64::from(k)) + 0.5;
                let depth = solid.depth(p * step - reach);
                inside += f64::from(u8::from(depth > 0.0));
                near += f64::from(u8::from(depth.abs() < 0.87 * step));
            }
        }
    }
    let cube = step.powi(3);
    // Cells cut by the surface are counted wholly or not at all; their errors mostly cancel.
    (inside * cube, 0.05 * near * cube + cube)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn random_cuts_leave_a_closed_surface(cuts in proptest::collection::vec(any_cut(), 1..6)) {
        let mut solid = ball(20.0);
        for cut in cuts {
            solid = solid.cut(cut);
        }
        let chord = 0.2;
        match surface(&solid, Quality::chord(chord)) {
            Ok(mesh) => {
                prop_assert_eq!(mesh.check(), Ok(()));
                let (volume, off) = counted(&solid);
                prop_assert!((mesh.volume() - volume).abs() <= off + chord * mesh.area(),
                    "{} counted {} ± {}", mesh.volume(), volume, off);
                // Blunt places may stand off by the least wall asked for, 0.1 mm.
                let allowed = if mesh.reached.blunt == 0 { 1e-6 } else { 0.1 };
                for position in &mesh.positions {
                    let depth = solid.depth(DVec3::from(*position));
                    prop_assert!(depth.abs() < allowed, "{depth} mm at {position:?}: {:?}", mesh.reached);
                }
                // A surface cut out along its edges holds every promise, also the other way
                // round: every point of the true surface is near a triangle. Near a sharp edge
                // the chord of the edge itself counts, one over the sine of half the angle.
                if mesh.reached.by_edges {
                    for p in sampled(&solid) {
                        let off = to_mesh(&mesh, p);
                        prop_assert!(off <= 4.0 * chord, "{off} mm from the mesh at {p}");
                    }
                    prop_assert_eq!(mesh.reached.blunt, 0);
                    prop_assert!(mesh.reached.chord_error_mm <= chord, "{:?}", mesh.reached);
                    prop_assert_eq!(mesh.crossings(), Vec::<[usize; 2]>::new());
                }
                for face in &mesh.face_of {
                    prop_assert!(*face == Face::BLANK || face.0 <= solid.cuts().len());
                }
            }
            Err(MeshError::Empty) => prop_assert!(counted(&solid).0 < 0.1),
            Err(flawed) => prop_assert!(false, "{}", flawed),
        }
    }
}
