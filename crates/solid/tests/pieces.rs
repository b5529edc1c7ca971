//! Connected parts: planted numbers of pieces with known volumes.

#![expect(clippy::unwrap_used, reason = "a test may fail loudly")]

use std::f64::consts::PI;

use rondure_solid::{
    Accuracy, DVec2, DVec3, Fineness, Path, Pieces, Profile, Region, Solid, Turn, pieces,
};

fn turned(axis: DVec3, profile: Profile) -> Region {
    Region::revolved(DVec3::ZERO, axis, profile)
}

fn ball(radius: f64) -> Solid {
    Solid::new(turned(DVec3::Z, Profile::ball(radius).unwrap()))
}

fn find(solid: &Solid) -> Pieces {
    pieces(solid, Fineness::default(), Accuracy { relative: 1e-4 })
}

fn assert_volumes(found: &Pieces, truth: &[f64]) {
    assert_eq!(found.pieces.len(), truth.len(), "{found:?}");
    for (piece, truth) in found.pieces.iter().zip(truth) {
        let moments = &piece.moments;
        assert!(
            (moments.volume - truth).abs() <= moments.volume_error + 1e-6,
            "{} ± {}, truth {truth}",
            moments.volume,
            moments.volume_error
        );
    }
}

fn assert_points(solid: &Solid, found: &Pieces) {
    for piece in &found.pieces {
        assert!((solid.depth(piece.point) - piece.depth).abs() < 1e-9);
        assert!(piece.depth > 0.0);
        assert!(piece.point.cmpge(piece.bounds.low).all());
        assert!(piece.point.cmple(piece.bounds.high).all());
    }
}

fn cap(radius: f64, height: f64) -> f64 {
    PI * height * height * (3.0 * radius - height) / 3.0
}

/// A slab sawn out, square to any axis: two caps, V = π h² (3R - h)/3 (trade facts 9.3).
#[test]
fn a_ball_sawn_in_two() {
    for (axis, from, to) in [
        (DVec3::Z, -1.0, 1.5),
        (DVec3::new(1.0, 0.3, -0.4), 10.0, 10.3),
    ] {
        let solid = ball(20.0).cut(turned(axis, Profile::cylinder(from, to, 50.0).unwrap()));
        let found = find(&solid);
        assert!(found.certain, "{:?}", found.doubtful);
        assert_volumes(&found, &[cap(20.0, 20.0 + from), cap(20.0, 20.0 - to)]);
        assert_points(&solid, &found);
        assert_eq!(found.crumbs, 0);
    }
}

/// A core 4 mm thick is left in the middle of a parting cut: one piece. With 0.2 mm it is
/// still one, with nothing it is two.
#[test]
fn a_thin_core_still_joins() {
    for (core, count) in [(2.0, 1), (0.1, 1), (0.0, 2)] {
        let ring = Path::from(-1.0, core)
            .line_to(1.0, core)
            .line_to(1.0, 40.0)
            .line_to(-1.0, 40.0)
            .close()
            .unwrap();
        let solid = ball(20.0).cut(turned(DVec3::new(0.2, 0.1, 1.0), ring));
        let found = find(&solid);
        assert!(found.certain, "{core} {:?}", found.doubtful);
        assert_eq!(found.pieces.len(), count, "core {core}");
        assert_points(&solid, &found);
    }
}

/// Two grooves leave the ball in one piece; undercut from one to the other, a ring comes loose.
#[test]
fn grooves_leave_one_piece_and_a_captive_ring_two() {
    let groove = |from: f64, to: f64, bottom: f64| {
        let path = Path::from(from, bottom)
            .line_to(to, bottom)
            .line_to(to, 60.0)
            .line_to(from, 60.0)
            .close()
            .unwrap();
        turned(DVec3::X, path)
    };
    let grooved = ball(20.0)
        .cut(groove(-8.0, -5.0, 10.0))
        .cut(groove(5.0, 8.0, 10.0));
    assert_eq!(find(&grooved).pieces.len(), 1);
    // Undercut between the grooves: the ring from -5 to 5 above radius 14 hangs loose.
    let under = Path::from(-6.0, 12.0)
        .line_to(6.0, 12.0)
        .line_to(6.0, 14.0)
        .line_to(-6.0, 14.0)
        .close()
        .unwrap();
    let loose = grooved.cut(turned(DVec3::X, under));
    let found = find(&loose);
    assert!(found.certain);
    // Sphere over |t| < 5 less its core of radius 14: ∫ π (400 - t² - 196) dt.
    let ring = PI * (204.0 * 10.0 - 2.0 * 125.0 / 3.0);
    let core = PI * 144.0 * 10.0;
    let sides = 2.0 * (PI * 100.0 * 3.0 + cap(20.0, 12.0));
    let shaft = core + sides;
    assert_volumes(&found, &[ring.max(shaft), ring.min(shaft)]);
    assert_points(&loose, &found);
}

/// Two balls that touch in one point are two pieces, and the touch is reported as doubtful.
#[test]
fn balls_that_touch_in_a_point_are_in_doubt() {
    let outside = Path::from(-30.0, 0.0)
        .line_to(-20.0, 0.0)
        .arc_to(0.0, 0.0, DVec2::new(-10.0, 0.0), Turn::Right)
        .arc_to(20.0, 0.0, DVec2::new(10.0, 0.0), Turn::Right)
        .line_to(30.0, 0.0)
        .line_to(30.0, 40.0)
        .line_to(-30.0, 40.0)
        .close()
        .unwrap();
    let blank = Profile::cylinder(-21.0, 21.0, 12.0).unwrap();
    let axis = DVec3::new(0.1, 0.9, 0.3);
    let solid = Solid::new(turned(axis, blank)).cut(turned(axis, outside));
    let found = find(&solid);
    let volume = 4000.0 * PI / 3.0;
    assert_volumes(&found, &[volume, volume]);
    assert!(!found.certain);
    assert_eq!(found.doubtful.len(), 1);
    assert!(found.doubtful[0].width <= 0.05 && found.doubtful[0].at.length() < 1.5);
}

#[test]
fn nothing_left_is_no_piece() {
    let bore = turned(DVec3::Y, Profile::cylinder(-40.0, 40.0, 21.0).unwrap());
    let found = find(&ball(20.0).cut(bore));
    assert!(found.pieces.is_empty() && found.certain);
    assert!(found.crumb_volume < 1e-3);
}

/// A speck of 0.3 mm floating free is a crumb; one of 0.8 mm is a piece.
#[test]
fn crumbs_are_no_pieces() {
    for (radius, pieces, crumbs) in [(0.3, 1, 1), (0.8, 2, 0)] {
        // A hollow ball from the middle of which a small one was not cut: two shells.
        let shell = Path::from(-6.0, 0.0)
            .arc_to(6.0, 0.0, DVec2::ZERO, Turn::Right)
            .line_to(radius, 0.0)
            .arc_to(-radius, 0.0, DVec2::ZERO, Turn::Left)
            .close()
            .unwrap();
        let solid = ball(20.0).cut(turned(DVec3::new(0.3, 0.5, 0.2), shell));
        let found = find(&solid);
        assert_eq!((found.pieces.len(), found.crumbs), (pieces, crumbs));
        if crumbs == 1 {
            let volume = 4.0 / 3.0 * PI * radius.powi(3);
            assert!(found.crumb_volume >= volume - 1e-3);
            assert!(found.crumb_volume <= volume + 1e-4 * 34_000.0);
        }
    }
}

#[test]
fn the_same_bits_on_one_core_and_two() {
    let solid = ball(20.0).cut(turned(
        DVec3::new(0.5, 0.2, 1.0),
        Profile::cylinder(1.0, 2.0, 50.0).unwrap(),
    ));
    let on = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| format!("{:?}", find(&solid)))
    };
    assert_eq!(on(1), on(2));
}
