//! Volumes, surfaces, centres and inertias against closed forms and counted points.

#![expect(clippy::unwrap_used, reason = "a test may fail loudly")]

use std::f64::consts::PI;

use proptest::prelude::*;
use rondure_solid::{Accuracy, DVec2, DVec3, Moments, Path, Profile, Region, Solid, Turn, moments};

fn turned(axis: DVec3, profile: Profile) -> Region {
    Region::revolved(DVec3::ZERO, axis, profile)
}

fn ball(radius: f64) -> Solid {
    Solid::new(turned(DVec3::Z, Profile::ball(radius).unwrap()))
}

fn bore(axis: DVec3, radius: f64) -> Region {
    turned(axis, Profile::cylinder(-100.0, 100.0, radius).unwrap())
}

/// All points farther than `radius` from an axis.
fn outside_cylinder(axis: DVec3, radius: f64) -> Region {
    let profile = Path::from(-100.0, radius)
        .line_to(100.0, radius)
        .line_to(100.0, 200.0)
        .line_to(-100.0, 200.0)
        .close()
        .unwrap();
    turned(axis, profile)
}

fn to(solid: &Solid, relative: f64) -> Moments {
    let found = moments(solid, Accuracy { relative });
    assert!(found.reached, "{found:?}");
    assert!(found.volume_error <= relative * found.volume);
    found
}

fn assert_volume(found: &Moments, truth: f64) {
    assert!(
        (found.volume - truth).abs() <= found.volume_error,
        "{} ± {}, truth {truth}",
        found.volume,
        found.volume_error
    );
}

/// The inertia of a body of revolution: about its axis z, and across it.
fn assert_inertia(found: &Moments, about: f64, across: f64) {
    let entries = found.inertia.to_cols_array_2d();
    for (row, line) in entries.iter().enumerate() {
        for (column, entry) in line.iter().enumerate() {
            let truth = match (row == column, row) {
                (true, 2) => about,
                (true, _) => across,
                _ => 0.0,
            };
            assert!(
                (entry - truth).abs() <= found.inertia_error,
                "{row} {column}: {entry} ± {}, truth {truth}",
                found.inertia_error
            );
        }
    }
}

fn assert_centre(found: &Moments, truth: DVec3) {
    assert!(
        found.centre_of_mass.distance(truth) <= found.centre_error,
        "{} ± {}, truth {truth}",
        found.centre_of_mass,
        found.centre_error
    );
}

/// Bored ball, V = π h³/6 for any R, h the length of the bore left: everything.explained.today,
/// "Napkin ring problem" (trade facts 9.4).
#[test]
fn a_bored_ball_is_a_napkin_ring() {
    for (radius, hole) in [(30.0, 9.5), (24.0, 23.0), (42.0, 3.0), (100.0, 99.5)] {
        let h: f64 = 2.0 * f64::sqrt(radius * radius - hole * hole);
        // About the ball's own axis and about a slanting one: the second path knows no
        // common axis, so its edge is found and not computed.
        for axis in [DVec3::Z, DVec3::new(0.3, -0.5, 0.7)] {
            let found = to(&ball(radius).cut(bore(axis, hole)), 1e-4);
            assert_volume(&found, PI * h.powi(3) / 6.0);
        }
    }
}

/// n coplanar cylinders through one centre, V = (8/3) n tan(90°/n) r³, area 3 V / r
/// (trade facts 9.5 and 9.8; two: mathworld, SteinmetzSolid).
#[test]
fn coplanar_cylinders_through_one_centre() {
    let r = 10.0;
    for n in [2, 3, 4, 6] {
        let count = f64::from(n);
        let axis = |k: i32| {
            let angle = PI * f64::from(k) / count;
            DVec3::new(angle.cos(), angle.sin(), 0.0)
        };
        let mut solid = Solid::new(turned(axis(0), Profile::cylinder(-20.0, 20.0, r).unwrap()));
        for k in 1..n {
            solid = solid.cut(outside_cylinder(axis(k), r));
        }
        let truth = 8.0 / 3.0 * count * (PI / 2.0 / count).tan() * r * r * r;
        let found = to(&solid, 1e-4);
        assert_volume(&found, truth);
        assert!((found.area - 3.0 * truth / r).abs() <= found.area_error);
        assert_centre(&found, DVec3::ZERO);
    }
}

/// Three square cylinders, 8 (2 - √2) r³, area three times that over r (trade facts 9.6).
#[test]
fn three_square_cylinders() {
    let r = 7.0;
    let solid = ball(20.0)
        .cut(outside_cylinder(DVec3::X, r))
        .cut(outside_cylinder(DVec3::Y, r))
        .cut(outside_cylinder(DVec3::Z, r));
    let found = to(&solid, 1e-5);
    let truth = 8.0 * (2.0 - 2.0_f64.sqrt()) * r * r * r;
    assert_volume(&found, truth);
    assert!((found.area - 3.0 * truth / r).abs() <= found.area_error);
}

/// Cap, V = π h² (3R - h)/3, area 2 π R h and the base π a² (trade facts 9.3). The sawn-off
/// side is a half-space, in any direction.
#[test]
fn spherical_caps() {
    let radius = 30.0;
    for (normal, height) in [
        (DVec3::Z, 7.0),
        (DVec3::new(1.0, -2.0, 0.4), 21.0),
        (DVec3::new(-0.2, 0.1, -0.9), 48.0),
    ] {
        let unit = normal.normalize();
        // Kept: unit · p ≥ R - h.
        let solid = ball(radius).cut(Region::beyond(-unit, height - radius));
        let found = to(&solid, 1e-4);
        assert_volume(&found, PI * height * height * (3.0 * radius - height) / 3.0);
        let base = PI * (2.0 * radius * height - height * height);
        let truth = 2.0 * PI * radius * height + base;
        assert!((found.area - truth).abs() <= found.area_error);
        // Centroid of a cap, 3 (2R - h)² / (4 (3R - h)) from the centre (from memory; a half
        // ball gives the known 3R/8).
        let distance = 0.75 * (2.0 * radius - height).powi(2) / (3.0 * radius - height);
        assert_centre(&found, unit * distance);
    }
}

/// Pappus, V = 2 π r A and S = 2 π r L (trade facts 9.9): a ring of round and one of square section.
#[test]
fn bodies_of_pappus() {
    let round = Path::from(-3.0, 20.0)
        .arc_to(-3.0, 20.0, DVec2::new(1.0, 20.0), Turn::Right)
        .close()
        .unwrap();
    let found = to(&Solid::new(turned(DVec3::new(1.0, 1.0, 0.0), round)), 1e-6);
    assert_volume(&found, 2.0 * PI * 20.0 * PI * 16.0);
    assert!((found.area - 2.0 * PI * 20.0 * 2.0 * PI * 4.0).abs() <= found.area_error);
    let square = Path::from(-3.0, 18.0)
        .line_to(3.0, 18.0)
        .line_to(3.0, 24.0)
        .line_to(-3.0, 24.0)
        .close()
        .unwrap();
    let found = to(&Solid::new(turned(DVec3::Y, square)), 1e-6);
    assert_volume(&found, 2.0 * PI * 21.0 * 36.0);
    assert!((found.area - 2.0 * PI * 21.0 * 24.0).abs() <= found.area_error);
}

/// Centre of mass and inertia of ball, cylinder, cone and half ball: textbook closed forms
/// (from memory), density 1.
#[test]
fn centres_and_inertias_of_simple_bodies() {
    let volume = |radius: f64| 4.0 / 3.0 * PI * radius.powi(3);
    let found = to(&ball(30.0), 1e-6);
    let whole = 0.4 * volume(30.0) * 900.0;
    assert_inertia(&found, whole, whole);
    assert!((found.area - 4.0 * PI * 900.0).abs() <= found.area_error);

    let (r, from, to_station) = (8.0, -5.0, 35.0);
    let length: f64 = to_station - from;
    let rod = Profile::cylinder(from, to_station, r).unwrap();
    let found = to(&Solid::new(turned(DVec3::Z, rod)), 1e-6);
    let mass = PI * r * r * length;
    assert_volume(&found, mass);
    assert_centre(&found, DVec3::new(0.0, 0.0, 15.0));
    assert_inertia(
        &found,
        0.5 * mass * r * r,
        mass * (3.0 * r * r + length * length) / 12.0,
    );

    let (r, h) = (12.0, 30.0);
    let cone = Profile::cone(0.0, r, h, 0.0).unwrap();
    let found = to(&Solid::new(turned(DVec3::Z, cone)), 1e-6);
    let mass = PI * r * r * h / 3.0;
    assert_volume(&found, mass);
    assert_centre(&found, DVec3::new(0.0, 0.0, h / 4.0));
    assert_inertia(
        &found,
        0.3 * mass * r * r,
        mass * (0.15 * r * r + 0.0375 * h * h),
    );

    let radius: f64 = 30.0;
    // Cut by a plane, and by a coaxial cylinder's end: two ways to the same half ball.
    let slab = Profile::cylinder(-50.0, 0.0, 60.0).unwrap();
    for cut in [Region::beyond(-DVec3::Z, 0.0), turned(DVec3::Z, slab)] {
        let found = to(&ball(radius).cut(cut), 1e-5);
        let mass = volume(radius) / 2.0;
        assert_volume(&found, mass);
        assert_centre(&found, DVec3::new(0.0, 0.0, 3.0 * radius / 8.0));
        assert_inertia(
            &found,
            0.4 * mass * radius * radius,
            83.0 / 320.0 * mass * radius * radius,
        );
    }
}

/// A bore drilled from both ends, facets that touch the ball they were roughed for, and a
/// ball turned again about another axis: surfaces that coincide or touch along a line.
#[test]
fn coinciding_and_touching_cuts_count_once() {
    let from = |a: f64, b: f64| turned(DVec3::Z, Profile::cylinder(a, b, 9.5).unwrap());
    let h: f64 = 2.0 * f64::sqrt(900.0 - 9.5 * 9.5);
    let twice = ball(30.0).cut(from(-40.0, 5.0)).cut(from(-5.0, 40.0));
    assert_volume(&to(&twice, 1e-8), PI * h.powi(3) / 6.0);

    // A cylinder roughed by one cone on each side, touching the ball at 45°, then turned round.
    let reach = 30.0 * 2.0_f64.sqrt();
    let facet = |side: f64| {
        let outside = Path::from(0.0, reach)
            .line_to(reach, 0.0)
            .line_to(60.0, 0.0)
            .line_to(60.0, 80.0)
            .line_to(0.0, 80.0)
            .close()
            .unwrap();
        turned(DVec3::new(0.0, 0.0, side), outside)
    };
    let outside_ball = |axis| {
        let path = Path::from(-60.0, 0.0)
            .line_to(-30.0, 0.0)
            .arc_to(30.0, 0.0, DVec2::ZERO, Turn::Right)
            .line_to(60.0, 0.0)
            .line_to(60.0, 90.0)
            .line_to(-60.0, 90.0)
            .close()
            .unwrap();
        turned(axis, path)
    };
    let blank = Profile::cylinder(-30.0, 30.0, 30.0).unwrap();
    let roughed = Solid::new(turned(DVec3::Z, blank))
        .cut(facet(1.0))
        .cut(facet(-1.0));
    let rounded = roughed.cut(outside_ball(DVec3::Z));
    assert_volume(&to(&rounded, 1e-8), 36_000.0 * PI);
    let again = rounded.cut(outside_ball(DVec3::new(1.0, 0.4, 0.0)));
    assert_volume(&to(&again, 1e-4), 36_000.0 * PI);
    // Two saw cuts in one plane, from two regions that know nothing of each other.
    let saw = ball(30.0).cut(Region::beyond(DVec3::X, 10.0)).cut(turned(
        DVec3::new(1.0, 0.0, 0.0),
        Profile::cylinder(10.0, 50.0, 60.0).unwrap(),
    ));
    assert_volume(&to(&saw, 1e-4), 36_000.0 * PI - PI * 400.0 * 70.0 / 3.0);
}

/// The wood ends where a cut leaves none, and the answer says so.
#[test]
fn an_empty_result_has_no_volume() {
    let solid = ball(10.0).cut(bore(DVec3::X, 11.0));
    let found = moments(&solid, Accuracy::default());
    assert!(found.volume.abs() <= found.volume_error && found.volume_error < 1e-3);
}

/// 24 896.5 by a boundary-representation kernel from outside (shared notes on strength).
#[test]
fn the_pierced_ball_of_the_bench() {
    let found = to(&pierced_ball(), 1e-4);
    assert!((found.volume - 24_896.5).abs() <= found.volume_error + 0.05);
    assert_centre(&found, DVec3::ZERO);
    // Four times turned through 45° it is itself, so x and y are alike.
    let inertia = found.inertia;
    assert!((inertia.x_axis.x - inertia.y_axis.y).abs() <= 2.0 * found.inertia_error);
}

/// Every bracket holds the much finer answer, with its own error.
#[test]
fn finer_answers_lie_inside_coarser_ones() {
    let solid = pierced_ball();
    let fine = to(&solid, 2e-5);
    for relative in [1e-1, 1e-2, 1e-3, 1e-4] {
        let coarse = to(&solid, relative);
        assert!((coarse.volume - fine.volume).abs() <= coarse.volume_error + fine.volume_error);
        assert!((coarse.area - fine.area).abs() <= coarse.area_error + fine.area_error);
        assert!(
            coarse.centre_of_mass.distance(fine.centre_of_mass)
                <= coarse.centre_error + fine.centre_error
        );
        let off = (coarse.inertia - fine.inertia).to_cols_array();
        assert!(
            off.iter()
                .all(|entry| entry.abs() <= coarse.inertia_error + fine.inertia_error)
        );
    }
}

#[test]
fn the_same_bits_on_one_core_and_two() {
    let on = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| moments(&pierced_ball(), Accuracy { relative: 1e-3 }))
    };
    assert_eq!(format!("{:?}", on(1)), format!("{:?}", on(2)));
}

/// Cuts of every kind in any place: turned cylinders, cones, balls, rings, grooves, planes.
fn cuts() -> impl Strategy<Value = Region> {
    let place = (-20.0..20.0f64, -20.0..20.0f64, -20.0..20.0f64).prop_map(DVec3::from);
    let axis = (-1.0..1.0f64, -1.0..1.0f64, -1.0..1.0f64)
        .prop_map(DVec3::from)
        .prop_filter("a direction", |v| v.length() > 0.1);
    (place, axis, 0..6, 2.0..9.0f64, 0.5..1.5f64).prop_map(|(place, axis, kind, size, shape)| {
        let profile = match kind {
            0 => Profile::cylinder(-60.0, 60.0, size),
            1 => Profile::cylinder(0.0, 60.0, size),
            2 => Profile::cone(0.0, size, 3.0 * size * shape, 0.0),
            3 => Profile::ball(size),
            // A groove with a round bottom that goes over into its walls without a corner.
            4 => Path::from(-size, 12.0 + size)
                .arc_to(size, 12.0 + size, DVec2::new(0.0, 12.0 + size), Turn::Left)
                .line_to(size * shape.max(1.0), 80.0)
                .line_to(-size, 80.0)
                .close(),
            _ => return Region::beyond(axis, 12.0 + size),
        };
        Region::revolved(place, axis, profile.unwrap())
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) })]

    /// Against points spread evenly (Halton's sequence in three dimensions): the share of
    /// them in the wood is the volume within a few times the error such sequences have.
    #[test]
    fn random_stacks_agree_with_counting_points(cuts in proptest::collection::vec(cuts(), 1..7)) {
        let solid = cuts.into_iter().fold(ball(25.0), |solid, cut| solid.cut(cut));
        let coarse = moments(&solid, Accuracy { relative: 3e-2 });
        let found = moments(&solid, Accuracy { relative: 1e-3 });
        prop_assert!(
            (coarse.volume - found.volume).abs() <= coarse.volume_error + found.volume_error
        );
        let count = 100_000;
        let (mut inside, mut sum) = (0, DVec3::ZERO);
        for k in 1..=count {
            let p = 50.0 * DVec3::new(halton(k, 2), halton(k, 3), halton(k, 5)) - 25.0;
            if solid.depth(p) > 0.0 {
                inside += 1;
                sum += p;
            }
        }
        let share = 125_000.0 / f64::from(count);
        let counted = share * f64::from(inside);
        // Random points would leave 125000 · ½ / √count = 200; evenly spread ones far less.
        prop_assert!((found.volume - counted).abs() <= 120.0 + found.volume_error, "{found:?} {counted}");
        let first = found.centre_of_mass * found.volume;
        prop_assert!((first - share * sum).length() <= 25.0 * 120.0 + 25.0 * found.volume_error);
    }
}

/// Halton's sequence in one base (Halton 1960, from memory).
fn halton(mut index: u32, base: u32) -> f64 {
    let (mut share, mut place) = (0.0, 1.0);
    while index > 0 {
        place /= f64::from(base);
        share += place * f64::from(index % base);
        index /= base;
    }
    share
}

/// The reference solid of the bench: a ball with four grooves, a bore and eight radial holes.
fn pierced_ball() -> Solid {
    let w = 30.0 * (PI / 8.0).sin();
    let r = 1.15 * w;
    let rc = 30.0 * (PI / 8.0).cos() + (r * r - w * w).sqrt();
    // |t| < w and (ρ > ρc or (ρ - ρc)² + t² < r²): the circle is wider than the groove.
    let edge = rc - (r * r - w * w).sqrt();
    let groove = Path::from(-w, edge)
        .arc_to(w, edge, DVec2::new(0.0, rc), Turn::Left)
        .line_to(w, 60.0)
        .line_to(-w, 60.0)
        .close()
        .unwrap();
    let mut solid = ball(30.0);
    for k in 0..4 {
        let angle = f64::from(k) * PI / 4.0;
        solid = solid.cut(turned(
            DVec3::new(angle.cos(), angle.sin(), 0.0),
            groove.clone(),
        ));
    }
    solid = solid.cut(bore(DVec3::Z, 9.5));
    for k in 0..8 {
        let angle = f64::from(k) * PI / 4.0;
        solid = solid.cut(turned(
            DVec3::new(angle.cos(), angle.sin(), 0.0),
            Profile::cylinder(0.0, 60.0, 6.0).unwrap(),
        ));
    }
    solid
}
