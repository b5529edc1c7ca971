//! The solver against mechanics: bars, shrinkage, and the same bytes on any number of cores.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot be set up has failed"
)]

use rondure_solid::{DVec3, Profile, Region, Solid};
use rondure_stress::{
    Answer, Grain, Load, Model, Patch, StressError, Support, Tolerance, stiffness,
};

const TIGHT: Tolerance = Tolerance {
    relative: 1e-8,
    rounds: 300,
};
const STRAIGHT: Grain = Grain::Straight {
    along: DVec3::X,
    radial: DVec3::Y,
};

/// A square bar along x about the origin.
fn bar(length: f64, side: f64) -> Solid {
    let rod = Region::revolved(
        DVec3::ZERO,
        DVec3::X,
        Profile::cylinder(-0.5 * length, 0.5 * length, side).unwrap(),
    );
    [DVec3::Y, DVec3::NEG_Y, DVec3::Z, DVec3::NEG_Z]
        .into_iter()
        .fold(Solid::new(rod), |solid, normal| {
            solid.cut(Region::beyond(normal, 0.5 * side))
        })
}

/// A model on a grid whose cubes fill the bar exactly: its corner is half a cube off the grid's.
fn exact(solid: &Solid, law: stiffness::Law, edge: f64) -> Model {
    Model::with(solid, &STRAIGHT, law, edge, &[], DVec3::splat(0.5)).unwrap()
}

fn solved<'a>(model: &'a Model, loads: &[Load]) -> Answer<'a> {
    model.solve(loads, TIGHT, &|_| true).unwrap()
}

/// Cubes on the faces of a bar hold whole cells, so no share is in play.
#[test]
fn the_grid_can_fill_a_bar_exactly() {
    let filled = exact(&bar(60.0, 8.0), stiffness::isotropic(10_000.0, 0.3), 1.0).filled();
    assert_eq!(filled.cubes, 60 * 8 * 8);
    assert!(
        (filled.volume / (60.0 * 64.0) - 1.0).abs() < 1e-4,
        "{filled:?}"
    );
}

/// A bar pulled at both ends, nothing holding it: between two stations away from the ends it
/// stretches by F L / (E A), and the stress there is F / A.
#[test]
fn a_pulled_bar_stretches_by_hookes_law() {
    let young = 12_000.0;
    let model = exact(&bar(80.0, 8.0), stiffness::isotropic(young, 0.3), 1.0);
    let end = |x: f64| Patch::ball(DVec3::X * x, 6.0);
    let answer = solved(
        &model,
        &[
            Load::force(end(40.0), DVec3::X * 640.0),
            Load::force(end(-40.0), DVec3::X * -640.0),
        ],
    );
    let at = |x: f64| answer.motion_near(DVec3::X * x, 1.0).unwrap().x;
    let stretch = at(15.0) - at(-15.0);
    assert!(
        (stretch / (640.0 * 30.0 / (young * 64.0)) - 1.0).abs() < 2e-3,
        "{stretch}"
    );
    let places = answer.places();
    let middle: Vec<_> = places
        .iter()
        .filter(|place| place.at.x.abs() < 1.0)
        .collect();
    for place in middle {
        assert!((place.stress[0] / 10.0 - 1.0).abs() < 0.01, "{place:?}");
    }
}

/// Three-point bending, F in the middle and F/2 at each end. Between stations x₁ and x₂ from the
/// middle: v(x₁) − v(x₂) = F/(2EI) [L x²/2 − x³/6] + F x / (2 κ G A) taken from x₁ to x₂, with
/// κ = 5/6 for a square and ν = 0 (Timoshenko's beam).
#[test]
fn a_bent_bar_sags_as_timoshenko_says() {
    let (young, side, half, force): (f64, f64, f64, f64) = (10_000.0, 8.0, 60.0, 100.0);
    let shear = 0.5 * young;
    let (area, second) = (side * side, side.powi(4) / 12.0);
    let exactly = |x: f64| {
        force / (2.0 * young * second) * (half * x * x / 2.0 - x.powi(3) / 6.0)
            + force * x / (2.0 * 5.0 / 6.0 * shear * area)
    };
    let sag = |edge: f64| {
        let model = exact(
            &bar(2.0 * (half + 4.0), side),
            stiffness::isotropic(young, 0.0),
            edge,
        );
        let patch = |x: f64| Patch::ball(DVec3::X * x, 3.6);
        let answer = solved(
            &model,
            &[
                Load::force(patch(0.0), DVec3::Z * -force),
                Load::force(patch(half), DVec3::Z * (0.5 * force)),
                Load::force(patch(-half), DVec3::Z * (0.5 * force)),
            ],
        );
        let at = |x: f64| {
            let z = |x: f64| answer.motion_near(DVec3::X * x, 1.1 * edge).unwrap().z;
            0.5 * (z(x) + z(-x))
        };
        at(48.0) - at(12.0)
    };
    let exactly = exactly(48.0) - exactly(12.0);
    // Two cubes through the depth: the bubbles carry the bending.
    assert!(
        (sag(4.0) / exactly - 1.0).abs() < 0.02,
        "{} {exactly}",
        sag(4.0)
    );
    assert!(
        (sag(2.0) / exactly - 1.0).abs() < 0.005,
        "{} {exactly}",
        sag(2.0)
    );
}

/// Wood that may shrink freely is not stressed, however it shrinks along L, R and T; and it gets shorter by just that. With
/// the grain askew this is the patch test of the whole lattice: one even strain in every cube.
#[test]
fn free_shrinkage_does_not_stress() {
    let walnut = rondure_wood::find("black walnut")
        .unwrap()
        .elastic()
        .unwrap();
    let strain = [-0.001, -0.02, -0.05];
    let askew = Grain::Straight {
        along: DVec3::new(2.0, 1.0, -0.5),
        radial: DVec3::new(0.3, 1.0, 1.0),
    };
    for grain in [STRAIGHT, askew] {
        let model = Model::with(
            &bar(40.0, 8.0),
            &grain,
            stiffness::law_of(&walnut),
            1.0,
            &[],
            DVec3::splat(0.5),
        )
        .unwrap();
        let answer = solved(&model, &[Load::Strain(strain)]);
        for place in answer.places() {
            assert!(
                place.stress.iter().all(|stress| stress.abs() < 1e-3),
                "{place:?}"
            );
        }
        let Grain::Straight { along, radial } = grain else {
            panic!("straight above")
        };
        let l = along.normalize();
        let r = (radial - l * radial.dot(l)).normalize();
        // ε along a direction is the sum of the strains times the squares of its parts.
        let along = |d: DVec3| {
            let parts = [d.dot(l), d.dot(r), d.dot(l.cross(r))];
            (0..3).map(|i| strain[i] * parts[i] * parts[i]).sum::<f64>()
        };
        let at = |p: DVec3| answer.motion_near(p, 0.9).unwrap();
        let shorter = at(DVec3::X * 15.0).x - at(DVec3::X * -15.0).x;
        assert!((shorter / 30.0 - along(DVec3::X)).abs() < 1e-7, "{shorter}");
        let thinner = at(DVec3::Z * 3.0).z - at(DVec3::Z * -3.0).z;
        assert!((thinner / 6.0 - along(DVec3::Z)).abs() < 1e-6, "{thinner}");
    }
}

/// A twist of a round rod turns it by M L / (G J), J = π d⁴ / 32.
#[test]
fn a_twisted_rod_turns_by_its_second_moment() {
    let (shear, radius, moment): (f64, f64, f64) = (800.0, 5.0, 2_000.0);
    let rod = Solid::new(Region::revolved(
        DVec3::ZERO,
        DVec3::X,
        Profile::cylinder(-40.0, 40.0, radius).unwrap(),
    ));
    let mut law = stiffness::isotropic(10_000.0, 0.2);
    (law[3][3], law[4][4], law[5][5]) = (shear, 900.0, shear);
    let model = Model::with(&rod, &STRAIGHT, law, 0.5, &[], DVec3::ZERO).unwrap();
    let twist = |x: f64, sign: f64| Load::Twist {
        patch: Patch::ball(DVec3::X * x, 7.0),
        axis_at: DVec3::ZERO,
        moment: DVec3::X * (sign * moment),
    };
    let answer = solved(&model, &[twist(40.0, 1.0), twist(-40.0, -1.0)]);
    let turn = |x: f64| {
        let z = |y: f64| answer.motion_near(DVec3::new(x, y, 0.0), 0.6).unwrap().z;
        (z(3.0) - z(-3.0)) / 6.0
    };
    let second = std::f64::consts::PI * (2.0 * radius).powi(4) / 32.0;
    let exactly = moment * 30.0 / (shear * second);
    let found = turn(15.0) - turn(-15.0);
    assert!((found / exactly - 1.0).abs() < 0.03, "{found} {exactly}");
}

/// A bored ball in maple, about its pith and straight, held and free, on one thread and on two.
#[test]
fn the_same_bytes_on_one_core_and_two() {
    let ball = Solid::new(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::ball(20.0).unwrap(),
    ));
    let bore = Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::cylinder(-50.0, 50.0, 6.0).unwrap(),
    );
    let solid = ball.cut(bore);
    let pith = Grain::RoundPith {
        pith: DVec3::new(2.0, 0.0, 0.0),
        along: DVec3::Z,
    };
    let maple = rondure_wood::find("sugar maple")
        .unwrap()
        .elastic()
        .unwrap();
    let bytes = |threads: usize, grain: Grain, held: &[Support]| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| {
            let model = Model::new(&solid, &grain, &maple, 1.0, held).unwrap();
            let push = |x: f64| Load::force(Patch::ball(DVec3::X * x, 5.0), DVec3::X * (-5.0 * x));
            let loads = [push(18.0), push(-18.0)];
            let answer = model.solve(&loads, Tolerance::USUAL, &|_| true).unwrap();
            let places = answer.places();
            (
                answer.work.to_bits(),
                places
                    .iter()
                    .flat_map(|place| place.stress.map(f64::to_bits))
                    .collect::<Vec<_>>(),
            )
        })
    };
    let held = [Support::over(Patch::ball(DVec3::X * -18.0, 5.0))];
    for (grain, held) in [(pith, &held[..]), (STRAIGHT, &[][..])] {
        assert!(bytes(1, grain, held) == bytes(2, grain, held));
    }
}

#[test]
fn a_load_off_the_wood_and_a_stop_are_errors() {
    let model = exact(&bar(20.0, 8.0), stiffness::isotropic(10_000.0, 0.3), 2.0);
    let off = Load::force(Patch::ball(DVec3::Y * 50.0, 3.0), DVec3::X);
    assert!(matches!(
        model.solve(&[off], TIGHT, &|_| true),
        Err(StressError::OffWood { what: "force", .. })
    ));
    let pull = |x: f64| Load::force(Patch::ball(DVec3::X * x, 4.0), DVec3::X * x);
    assert_eq!(
        model
            .solve(&[pull(8.0), pull(-8.0)], TIGHT, &|_| false)
            .err(),
        Some(StressError::Cancelled)
    );
}
