//! Cubes against quadratic tetrahedra that fit the body: numbers stored in `reference/tetrahedra.txt`, made by the recipe
//! `tests/outside/recipes/tetrahedra.py`, which shares no code with ours.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot be set up has failed"
)]

use std::collections::HashMap;

use rondure_solid::{Accuracy, DVec3, Profile, Region, Solid, moments};
use rondure_stress::{Grain, Load, Model, Patch, Tolerance};

fn stored() -> HashMap<&'static str, f64> {
    include_str!("reference/tetrahedra.txt")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split_once(' ').unwrap())
        .map(|(name, value)| (name, value.parse().unwrap()))
        .collect()
}

#[test]
fn cubes_agree_with_tetrahedra_that_fit_the_body() {
    let stored = stored();
    let cylinder = |axis: DVec3, radius: f64| {
        Region::revolved(
            DVec3::ZERO,
            axis,
            Profile::cylinder(-20.0, 20.0, radius).unwrap(),
        )
    };
    let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(15.0).unwrap());
    let solid = Solid::new(ball)
        .cut(cylinder(DVec3::Z, 6.0))
        .cut(cylinder(DVec3::X, 4.0));
    let maple = rondure_wood::find("sugar maple")
        .unwrap()
        .elastic()
        .unwrap();
    let grain = Grain::Straight {
        along: DVec3::Z,
        radial: DVec3::X,
    };
    // The tetrahedra are straight-sided: theirs lacks a little wood.
    let volume = moments(&solid, Accuracy::default()).volume;
    assert!((stored["volume"] / volume - 1.0).abs() < 5e-3);
    let model = Model::new(&solid, &grain, &maple, 0.5, &[]).unwrap();
    let seat = |y: f64| Patch::ball(DVec3::Y * y, 4.0);
    let push = |y: f64| Load::force(seat(y), DVec3::Y * (-100.0 * y.signum()));
    let squeeze = [push(11.0), push(-11.0)];
    let answer = model.solve(&squeeze, Tolerance::USUAL, &|_| true).unwrap();
    let near = |found: f64, name: &str, within: f64| {
        let expected = stored[name];
        println!(
            "{name} {found:.4} {expected:.4} {:.3}",
            found / expected - 1.0
        );
        assert!(
            (found / expected - 1.0).abs() < within,
            "{name}: {found}, stored {expected}"
        );
    };
    near(answer.work, "squeeze_work", 0.03);
    let closing = |y: f64| answer.motion_near(DVec3::Y * y, 4.0).unwrap().y;
    let expected = stored["squeeze_motion_low_y"] - stored["squeeze_motion_high_y"];
    let found = closing(-11.0) - closing(11.0);
    assert!((found / expected - 1.0).abs() < 0.03, "{found} {expected}");
    for (part, name) in ["LL", "RR", "TT", "LR", "RT", "TL"].into_iter().enumerate() {
        let found = answer.percentile(0.99, |place| place.stress[part].abs());
        near(found, &format!("squeeze_{name}_99"), 0.07);
    }
    let dry = model
        .solve(
            &[Load::Strain([-0.001, -0.02, -0.04])],
            Tolerance::USUAL,
            &|_| true,
        )
        .unwrap();
    let bore = dry.round(DVec3::Z * 8.0, DVec3::Z, 6.0).unwrap();
    assert!((bore.least - stored["bore_least"]).abs() < 2e-3, "{bore:?}");
    assert!(
        (bore.greatest - stored["bore_greatest"]).abs() < 2e-3,
        "{bore:?}"
    );
}
