//! Necks against closed forms.

#![expect(clippy::unwrap_used, reason = "planted inputs are valid")]

use rondure_solid::{DVec2, DVec3, Neck, Path, Profile, Region, Solid, Turn};

use crate::pieces::{ball, bar, coved_ball, hole};

fn necks(solid: &Solid) -> Vec<Neck> {
    solid.necks(solid.default_spacing())
}

/// Two balls joined by a straight waist, turned as one profile.
fn dumbbell(ball: f64, waist: f64, apart: f64) -> Profile {
    let reach = (ball * ball - waist * waist).sqrt();
    Path::from(-apart - ball, 0.0)
        .arc_to(-apart + reach, waist, DVec2::new(-apart, 0.0), Turn::Right)
        .line_to(apart - reach, waist)
        .arc_to(apart + ball, 0.0, DVec2::new(apart, 0.0), Turn::Right)
        .close()
        .unwrap()
}

#[test]
fn even_wood_has_no_neck() {
    let plate = Solid::new(bar(-50.0, 50.0, 40.0))
        .cut(Region::beyond(DVec3::new(0.1, 0.2, 1.0), 3.0))
        .cut(Region::beyond(DVec3::new(-0.1, -0.2, -1.0), 1.5));
    let tube = Solid::new(bar(-40.0, 40.0, 12.0)).cut(hole(DVec3::ZERO, DVec3::Z, 9.0));
    for (name, solid) in [
        ("ball", Solid::new(ball(30.0))),
        ("bar", Solid::new(bar(-40.0, 40.0, 6.0))),
        ("plate", plate),
        ("tube", tube),
    ] {
        assert_eq!(necks(&solid), vec![], "{name}");
    }
}

#[test]
fn a_dumbbell_hangs_by_its_waist() {
    for axis in [DVec3::Z, DVec3::new(0.3, -0.7, 0.5)] {
        for waist in [3.0, 1.0, 0.4] {
            let origin = DVec3::new(0.1, 0.2, 0.3);
            let solid = Solid::new(Region::revolved(origin, axis, dumbbell(10.0, waist, 20.0)));
            let found = necks(&solid);
            assert_eq!(found.len(), 1, "waist {waist}: {found:?}");
            let neck = found[0];
            assert!(
                (neck.radius - waist).abs() < 1e-4,
                "waist {waist}: {neck:?}"
            );
            let axis = axis.normalize();
            let off = (neck.at - origin).reject_from(axis).length();
            assert!(off < 1e-3, "off the axis by {off}");
            // Two balls, with the waist less what it shares with them (it is even, so the split
            // between the bulks may lie anywhere along it).
            let flat = (100.0 - waist * waist).sqrt();
            let cap = (10.0 - flat).powi(2) * (20.0 + flat) / 3.0;
            let waist_volume = (40.0 - 2.0 * flat) * waist * waist - 2.0 * cap;
            let whole = std::f64::consts::PI * (8000.0 / 3.0 + waist_volume);
            let sum: f64 = neck.bulks.iter().map(|bulk| bulk.volume).sum();
            assert!((sum - whole).abs() < 0.1 * whole, "{sum} for {whole}");
            for bulk in neck.bulks {
                assert!((bulk.radius - 10.0).abs() < 0.1);
                assert!(bulk.volume > 0.4 * whole);
            }
        }
    }
}

#[test]
fn a_ring_groove_leaves_a_neck_of_its_bottom_radius() {
    let groove = Path::from(-6.0, 10.0)
        .arc_to(6.0, 10.0, DVec2::new(0.0, 10.0), Turn::Left)
        .line_to(6.0, 30.0)
        .line_to(-6.0, 30.0)
        .close()
        .unwrap();
    let axis = DVec3::new(0.3, 0.2, 1.0);
    let solid = Solid::new(ball(20.0)).cut(Region::revolved(DVec3::ZERO, axis, groove));
    let found = necks(&solid);
    assert_eq!(found.len(), 1);
    assert!((found[0].radius - 4.0).abs() < 1e-4);
    assert!(found[0].at.length() < 1e-3);
}

#[test]
fn an_hourglass_hangs_by_its_waist() {
    let profile = Path::from(-20.0, 0.0)
        .line_to(-20.0, 14.0)
        .line_to(1.0, 2.0)
        .line_to(20.0, 12.0)
        .line_to(20.0, 0.0)
        .close()
        .unwrap();
    let solid = Solid::new(Region::revolved(
        DVec3::ZERO,
        DVec3::new(1.0, 0.2, 0.1),
        profile,
    ));
    let found = necks(&solid);
    assert_eq!(found.len(), 1);
    assert!((found[0].radius - 2.0).abs() < 1e-4, "{:?}", found[0]);
}

#[test]
fn three_holes_leave_the_circumradius_less_their_own() {
    // Three holes of radius h at distance c from the axis, overlapping each other: what
    // passes between them is c − h.
    let (c, h) = (10.0, 9.0);
    let mut solid = Solid::new(bar(-25.0, 25.0, 7.0));
    for k in 0..3 {
        let azimuth = std::f64::consts::TAU * f64::from(k) / 3.0 + 0.2;
        solid = solid.cut(Region::revolved(
            DVec3::new(c * azimuth.cos(), c * azimuth.sin(), 0.0),
            DVec3::Z,
            Profile::cylinder(-5.0, 5.0, h).unwrap(),
        ));
    }
    let found = necks(&solid);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!((found[0].radius - 1.0).abs() < 1e-4, "{:?}", found[0]);
}

/// A tube with windows: halves joined by ribs.
fn windows(count: usize, axis: DVec3, across: DVec3) -> Solid {
    let (axis, across) = (axis.normalize(), across.reject_from(axis).normalize());
    let third = axis.cross(across);
    let about = |profile| Region::revolved(DVec3::ZERO, axis, profile);
    let mut solid = Solid::new(about(Profile::cylinder(-24.0, 24.0, 20.0).unwrap()))
        .cut(about(Profile::cylinder(-40.0, 40.0, 12.0).unwrap()));
    for k in 0..count {
        let azimuth = std::f64::consts::TAU * k as f64 / count as f64;
        solid = solid.cut(Region::revolved(
            DVec3::ZERO,
            across * azimuth.cos() + third * azimuth.sin(),
            Profile::cylinder(0.0, 50.0, 6.0).unwrap(),
        ));
    }
    solid
}

#[test]
fn ribs_between_windows_are_all_found_and_equal() {
    // In the plane of the windows' axes a ball between outer wall and two windows, its centre
    // at radius x: R − x = x sin(δ/2) − h, so its radius is (R sin(δ/2) − h) / (1 + sin(δ/2)).
    for (axis, across) in [
        (DVec3::Z, DVec3::X),
        (DVec3::new(0.2, 0.5, 0.7), DVec3::new(1.0, 0.1, -0.4)),
    ] {
        let solid = windows(6, axis, across);
        let expected = (20.0 * 0.5 - 6.0) / 1.5;
        let found = necks(&solid);
        let ribs = found
            .iter()
            .filter(|neck| (neck.radius - expected).abs() < 1e-4)
            .count();
        assert_eq!(ribs, 6, "expected {expected}: {found:?}");
        assert!((found[0].radius - expected).abs() < 1e-4);
    }
}

#[test]
fn necks_are_the_same_on_one_core_and_two() {
    let solid = coved_ball(30.0, 12, 4.0, 2.5, 9.5);
    let on = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| necks(&solid))
    };
    let (one, two) = (on(1), on(2));
    assert!(!one.is_empty());
    assert_eq!(one, two);
}
