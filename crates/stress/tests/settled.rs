//! From coarse to fine: the error that is told, against answers that were not used to tell it.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot be set up has failed"
)]

use std::cell::RefCell;

use rondure_solid::{DVec3, Profile, Region, Solid};
use rondure_stress::{
    Aim, Band, Grain, Heard, Kind, Load, Model, Patch, SetUp, StressError, Tolerance, settle,
    stiffness,
};

const GRAIN: Grain = Grain::Straight {
    along: DVec3::Z,
    radial: DVec3::X,
};

/// A ring of maple, grain along its axis, squeezed across: 60 mm outside, 44 mm inside, 16 mm wide.
fn ring() -> Solid {
    let cylinder = |half: f64, radius: f64| {
        Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::cylinder(-half, half, radius).unwrap(),
        )
    };
    Solid::new(cylinder(8.0, 30.0)).cut(cylinder(20.0, 22.0))
}

fn squeeze(force: f64) -> Vec<Load> {
    let press = |x: f64| {
        Load::force(
            Patch::ball(DVec3::X * x, 6.0),
            DVec3::X * (-force * x.signum()),
        )
    };
    vec![press(28.0), press(-28.0)]
}

#[test]
fn the_error_told_holds_the_change_of_finer_and_shifted_cubes() {
    let solid = ring();
    let wood = rondure_wood::find("black maple").unwrap();
    let (elastic, strength) = (wood.elastic().unwrap(), wood.strength().unwrap());
    let cases = [squeeze(50.0)];
    let set_up = SetUp {
        solid: &solid,
        grain: GRAIN,
        elastic: &elastic,
        strength: &strength,
        supports: &[],
        cases: &cases,
    };
    let aim = Aim {
        first: 2.8,
        finest: 0.7,
        within: 0.0,
        ..Aim::of(&solid)
    };
    let reached = settle(&set_up, aim, &|_| true).unwrap();
    let edges: Vec<f64> = reached
        .levels
        .iter()
        .map(|level| level.filled.edge)
        .collect();
    assert_eq!(edges.len(), 4, "{edges:?}");
    assert!(reached.levels[0].cases[0].error.is_none() && !reached.settled);
    let last = &reached.last().cases[0];
    // The same ring on finer cubes, and on cubes moved by thirds: inside what was told.
    let other = |edge: f64, shift: f64| {
        let law = stiffness::law_of(&elastic);
        let model = Model::with(&solid, &GRAIN, law, edge, &[], DVec3::splat(shift)).unwrap();
        let answer = model.solve(&cases[0], Tolerance::USUAL, &|_| true).unwrap();
        let used = answer
            .field(aim.length)
            .verdict(&strength, None)
            .utilisation[1];
        (answer.work, used)
    };
    let used = last.verdict.utilisation[1];
    for (edge, shift) in [(0.5, 0.0), (0.7, 1.0 / 3.0), (0.7, 0.75)] {
        let (work, other) = other(edge, shift);
        assert!(
            (work / last.work - 1.0).abs() <= last.work_error.unwrap(),
            "{edge} {shift} {work} {last:?}"
        );
        assert!(
            (other / used - 1.0).abs() <= last.error.unwrap(),
            "{edge} {shift} {other} {last:?}"
        );
    }
    // The estimates are of use, too.
    assert!(
        last.work_error.unwrap() < 0.1 && last.error.unwrap() < 0.5,
        "{last:?}"
    );
    // Bent across the grain it splits, and its wall is 8 mm.
    assert_eq!(last.verdict.kind, Kind::Splitting);
    let thin = reached.thin[0].unwrap();
    assert!(
        (thin.thickness - 8.0).abs() < 0.1 && (thin.cubes - 8.0 / 0.7).abs() < 0.2,
        "{thin:?}"
    );
    // The load it stands, in full: with that load it is at its end.
    let stands = last.verdict.stands[1];
    let again = reached.answer(0).unwrap().verdict(&strength);
    assert!((again.utilisation[1] * stands - 1.0).abs() < 1e-9);
    assert_eq!(
        again.band,
        Band::of(again.utilisation[0], again.utilisation[1])
    );
}

#[test]
fn a_first_answer_is_heard_at_once_and_kept_when_stopped() {
    let solid = ring();
    let wood = rondure_wood::find("black maple").unwrap();
    let (elastic, strength) = (wood.elastic().unwrap(), wood.strength().unwrap());
    let cases = [squeeze(50.0), squeeze(-20.0)];
    let set_up = SetUp {
        solid: &solid,
        grain: GRAIN,
        elastic: &elastic,
        strength: &strength,
        supports: &[],
        cases: &cases,
    };
    let heard = RefCell::new(Vec::new());
    let reached = settle(&set_up, Aim::of(&solid), &|what| match what {
        Heard::Level(level) => {
            heard.borrow_mut().push(level.filled.edge);
            true
        }
        // The second level is broken off.
        Heard::Round { edge, .. } => *edge > 1.9,
        Heard::Building { .. } => true,
    })
    .unwrap();
    assert_eq!(heard.into_inner(), [2.0]);
    assert_eq!((reached.levels.len(), reached.settled), (1, false));
    assert_eq!(reached.last().cases.len(), 2);
    // Linear: the other way and less.
    let [first, second] = &reached.last().cases[..] else {
        panic!("two cases")
    };
    assert!((second.work / first.work - 0.16).abs() < 1e-3);
    // Nothing heard, no answer.
    let nothing = settle(&set_up, Aim::of(&solid), &|_| false).err();
    assert_eq!(nothing, Some(StressError::Cancelled));
}
