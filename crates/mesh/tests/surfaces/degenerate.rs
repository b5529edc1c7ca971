//! Degenerate solids by name: the answer is known, and so is which way it was found.

use rondure_mesh::{MeshError, Quality, surface};
use rondure_solid::{DVec2, DVec3, Path, Profile, Region, Solid, Turn};

use crate::shapes::{ball, bore, cove};

/// Checks Euler characteristic, pieces, vertices on the surface and no crossings.
fn leaves(name: &str, solid: &Solid, euler: i64, pieces: usize) {
    for chord in [0.3, 0.1] {
        let mesh = surface(solid, Quality::chord(chord)).unwrap();
        assert_eq!(mesh.check(), Ok(()), "{name}");
        assert_eq!(
            (mesh.euler_characteristic(), mesh.components()),
            (euler, pieces),
            "{name} at {chord}"
        );
        assert!(mesh.reached.chord_error_mm <= chord, "{name}");
        for position in &mesh.positions {
            let depth = solid.depth(DVec3::from(*position));
            assert!(depth.abs() < 1e-6, "{name}: {depth} at {position:?}");
        }
        if mesh.reached.by_edges {
            assert_eq!(mesh.crossings(), Vec::<[usize; 2]>::new(), "{name}");
        }
    }
}

#[test]
fn coincident_cylinders() {
    let twice =
        ball(20.0)
            .cut(bore(DVec3::ZERO, DVec3::Z, 5.0))
            .cut(bore(DVec3::ZERO, DVec3::Z, 5.0));
    leaves("the same bore twice", &twice, 0, 1);
    let ends = [(0.0, 40.0), (-40.0, 0.0)].map(|(from, to)| {
        Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::cylinder(from, to, 5.0).unwrap(),
        )
    });
    let [one, other] = ends;
    leaves("end to end", &ball(20.0).cut(one).cut(other), 0, 1);
}

#[test]
fn a_tangent_cove_and_bore() {
    // The cove's bottom stands at radius 18 − 4 = 14 about x, the bore's wall at 6 about z:
    // askew cylinders of 14 and 8 touch where 14 = 6 + 8.
    let groove = Region::revolved(DVec3::ZERO, DVec3::X, cove(4.0, 4.0, 18.0));
    let solid = ball(20.0)
        .cut(groove)
        .cut(bore(DVec3::Y * 6.0, DVec3::Z, 7.99));
    // A web of 0.01 mm is left between the two.
    leaves("a cove that nearly touches a bore", &solid, 0, 1);
}

#[test]
fn cuts_that_just_touch_and_cuts_that_miss() {
    let beside = ball(20.0).cut(bore(DVec3::X * 25.0, DVec3::Z, 5.0));
    leaves("a bore that touches the ball outside", &beside, 2, 1);
    let apart = ball(20.0).cut(bore(DVec3::X * 40.0, DVec3::Z, 5.0));
    leaves("a bore that misses", &apart, 2, 1);
    let plane = ball(20.0).cut(Region::beyond(DVec3::Z, 20.0));
    leaves("a saw cut that touches the pole", &plane, 2, 1);
}

#[test]
fn an_empty_result() {
    let all = Region::revolved(DVec3::ZERO, DVec3::X, Profile::ball(20.0).unwrap());
    for wish in [Quality::chord(0.1), Quality::volume(1e-2)] {
        let answer = surface(&ball(20.0).cut(all.clone()), wish);
        assert_eq!(answer, Err(MeshError::Empty));
    }
}

/// A hole along the edge of a sawn flat, and one whose axis meets the rim of a bore.
#[test]
fn a_hole_exactly_through_an_edge() {
    let flat = ball(20.0)
        .cut(Region::beyond(DVec3::Z, 12.0))
        .cut(Region::beyond(DVec3::X, 12.0))
        .cut(bore(DVec3::new(12.0, 0.0, 12.0), DVec3::Y, 2.0));
    leaves("along the edge of two flats", &flat, 2, 1);
    let across =
        ball(20.0)
            .cut(Region::beyond(DVec3::Z, 12.0))
            .cut(bore(DVec3::X * 16.0, DVec3::Z, 2.0));
    // The flat's rim has a radius of √(400 − 144) = 16: the axis passes through the rim. The
    // hole goes right through, from flat and ball to ball.
    leaves("through the rim of a flat", &across, 0, 1);
}

#[test]
fn webs_of_a_twentieth_of_a_millimetre() {
    for chord in [0.5, 0.1] {
        let off = 5.025;
        let solid = ball(20.0)
            .cut(bore(DVec3::X * off, DVec3::Z, 5.0))
            .cut(bore(DVec3::X * -off, DVec3::Z, 5.0));
        let mesh = surface(&solid, Quality::chord(chord)).unwrap();
        assert!(mesh.reached.by_edges);
        assert_eq!((mesh.euler_characteristic(), mesh.components()), (-2, 1));
        assert_eq!(mesh.crossings(), Vec::<[usize; 2]>::new());
    }
    // A tube with a wall of 0.05 mm, at a chord error ten times that.
    let rod = Profile::cylinder(-20.0, 20.0, 10.0).unwrap();
    let tube = Solid::new(Region::revolved(DVec3::ZERO, DVec3::Z, rod)).cut(bore(
        DVec3::ZERO,
        DVec3::Z,
        9.95,
    ));
    let mesh = surface(&tube, Quality::chord(0.5)).unwrap();
    assert_eq!((mesh.euler_characteristic(), mesh.components()), (0, 1));
    assert_eq!(mesh.crossings(), Vec::<[usize; 2]>::new());
}

/// Sharper than 60°, and a bottom strip of a hundredth of a millimetre: both are cut out true.
#[test]
fn sharp_grooves_and_narrow_strips_are_true() {
    for (half, name) in [(1.0, "9.5° groove"), (3.0, "28° groove")] {
        let groove = Path::from(-half, 100.0)
            .line_to(-half, 22.0)
            .line_to(0.0, 10.0)
            .line_to(half, 22.0)
            .line_to(half, 100.0)
            .close()
            .unwrap();
        let solid = ball(20.0).cut(Region::revolved(DVec3::ZERO, DVec3::X, groove));
        let mesh = surface(&solid, Quality::chord(0.1)).unwrap();
        assert!(mesh.reached.by_edges && mesh.reached.blunt == 0, "{name}");
        leaves(name, &solid, 2, 1);
    }
    let strip = Path::from(-3.0, 100.0)
        .line_to(-3.0, 18.0)
        .line_to(-0.005, 12.0)
        .line_to(0.005, 12.0)
        .line_to(3.0, 18.0)
        .line_to(3.0, 100.0)
        .close()
        .unwrap();
    let solid = ball(20.0).cut(Region::revolved(DVec3::ZERO, DVec3::X, strip));
    assert!(
        surface(&solid, Quality::chord(0.1))
            .unwrap()
            .reached
            .by_edges
    );
    leaves("a strip of 0.01 mm", &solid, 2, 1);
}

/// A ring alone: an outline without a corner that never meets the axis.
#[test]
fn a_ring_of_one_round_outline() {
    let round = Path::from(-2.0, 10.0)
        .arc_to(2.0, 10.0, DVec2::new(0.0, 10.0), Turn::Right)
        .arc_to(-2.0, 10.0, DVec2::new(0.0, 10.0), Turn::Right)
        .close()
        .unwrap();
    let solid = Solid::new(Region::revolved(DVec3::ZERO, DVec3::Z, round));
    let mesh = surface(&solid, Quality::volume(1e-4)).unwrap();
    // Pappus: 2π² R r².
    let exact = 2.0 * std::f64::consts::PI.powi(2) * 10.0 * 4.0;
    assert!((mesh.volume() / exact - 1.0).abs() <= 1e-4);
    leaves("a ring", &solid, 0, 1);
}
