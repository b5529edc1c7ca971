//! Thickness by inscribed balls against closed forms, at many places of each solid.

use rondure_solid::{DVec3, Face, Profile, Region, Solid};

use crate::pieces::{ball, bar, hole};

/// How near a thickness must come to the closed form, mm.
const CLOSE: f64 = 1e-7;

/// Places spread evenly in a unit cube (Roberts's additive recurrence in three dimensions).
fn places(count: u32) -> impl Iterator<Item = DVec3> {
    let step = DVec3::new(0.819_172_513_4, 0.671_043_606_7, 0.549_700_477_9);
    (1..=count).map(move |k| (step * f64::from(k)).fract())
}

fn direction(at: DVec3) -> DVec3 {
    let height = 2.0 * at.x - 1.0;
    let (sin, cos) = (std::f64::consts::TAU * at.y).sin_cos();
    let across = (1.0 - height * height).sqrt();
    DVec3::new(across * cos, across * sin, height)
}

/// The thickness found at `p`, against what it should be.
fn check(solid: &Solid, p: DVec3, expected: f64) {
    let found = solid.thickness(p);
    let off = (found.thickness - expected).abs();
    assert!(off < CLOSE, "{expected} at {p}: {found:?}");
    // The ball lies in the wood and touches it at both places.
    let radius = 0.5 * found.thickness;
    assert!(solid.depth(found.centre) > radius - CLOSE);
    for place in [found.foot, found.opposite] {
        assert!((place.distance(found.centre) - radius).abs() < 1e-4);
        assert!(solid.depth(place).abs() < 1e-4, "{found:?}");
    }
}

#[test]
fn a_plate_is_even() {
    let normal = DVec3::new(1.0, -2.0, 3.0).normalize();
    for thick in [8.0, 1.0, 0.05] {
        let plate = Solid::new(bar(-60.0, 60.0, 60.0))
            .cut(Region::beyond(normal, 0.5 * thick + 1.0))
            .cut(Region::beyond(-normal, 0.5 * thick - 1.0));
        let (u, v) = normal.any_orthonormal_pair();
        for at in places(200) {
            let across = 30.0 * ((2.0 * at.x - 1.0) * u + (2.0 * at.y - 1.0) * v);
            let side = if at.z < 0.5 { 0.49 } else { -0.49 };
            check(&plate, across + normal * (1.0 + side * thick), thick);
        }
    }
}

#[test]
fn a_tube_and_a_shell_are_the_outer_less_the_inner_radius() {
    for wall in [4.0, 0.5, 0.05] {
        let axis = DVec3::new(0.3, 0.5, 1.0).normalize();
        let tube = Solid::new(Region::revolved(
            DVec3::ONE,
            axis,
            Profile::cylinder(-90.0, 90.0, 12.0).unwrap(),
        ))
        .cut(hole(DVec3::ONE, axis, 12.0 - wall));
        let inner = Profile::ball(12.0 - wall).unwrap();
        let shell = Solid::new(ball(12.0)).cut(Region::revolved(DVec3::ZERO, DVec3::X, inner));
        let (u, v) = axis.any_orthonormal_pair();
        for at in places(200) {
            let depth = wall * if at.x < 0.5 { 0.01 } else { 0.99 };
            let (sin, cos) = (std::f64::consts::TAU * at.y).sin_cos();
            let along = axis * (40.0 * at.z - 20.0);
            let radius = 12.0 - depth;
            check(
                &tube,
                DVec3::ONE + along + radius * (u * cos + v * sin),
                wall,
            );
            check(&shell, direction(at) * radius, wall);
        }
    }
}

/// On a cone of half-angle a, a way s along its side from the tip, the ball sits on the axis and
/// has radius s tan a; between two cones about one axis with one half-angle the wall is their gap.
#[test]
fn a_cone_thickens_with_the_way_from_its_tip() {
    let half = 0.35_f64;
    let cone = |tip: f64, end: f64| {
        let profile = Profile::cone(tip, 0.0, end, (end - tip) * half.tan()).unwrap();
        Region::revolved(DVec3::ZERO, DVec3::Z, profile)
    };
    let solid = Solid::new(cone(0.0, 100.0));
    let gap = 1.5;
    let hollow = Solid::new(cone(0.0, 100.0)).cut(cone(gap / half.sin(), 150.0));
    for at in places(200) {
        let s = 2.0 + 40.0 * at.x;
        let (sin, cos) = (std::f64::consts::TAU * at.y).sin_cos();
        let outward = DVec3::new(half.cos() * cos, half.cos() * sin, -half.sin());
        let place = DVec3::new(half.sin() * cos, half.sin() * sin, half.cos()) * s;
        check(&solid, place - outward * 1e-3, 2.0 * s * half.tan());
        // Away from the inner tip, where its side begins, the wall is even.
        let s = s + gap / half.tan();
        let place = DVec3::new(half.sin() * cos, half.sin() * sin, half.cos()) * s;
        check(&hollow, place - outward * 1e-3, gap);
    }
}

/// A bored ball: from a place of the ball's surface at latitude φ the inscribed ball touches the
/// bore where (R − r) cos φ − b = r, so r = (R cos φ − b) / (1 + cos φ).
#[test]
fn a_napkin_ring_thins_towards_its_rims() {
    let (outer, bore) = (30.0, 9.5);
    let ring = Solid::new(ball(outer)).cut(hole(DVec3::ZERO, DVec3::Z, bore));
    let steepest = (bore / outer).acos();
    for at in places(300) {
        let latitude = 0.98 * steepest * (2.0 * at.x - 1.0);
        let (sin, cos) = (std::f64::consts::TAU * at.y).sin_cos();
        let way = DVec3::new(latitude.cos() * cos, latitude.cos() * sin, latitude.sin());
        let radius = (outer * latitude.cos() - bore) / (1.0 + latitude.cos());
        check(&ring, way * (outer - 1e-3 * radius), 2.0 * radius);
        let found = ring.thickness(way * (outer - 1e-3 * radius));
        assert_eq!(found.faces, [Face(0), Face(1)]);
    }
}
