//! Balance on each mounting, and how the finished piece hangs from its eye.
//!
//! Masses and their centres come from the true solids ([`Study::after`], [`Study::whole`]). A mass m whose
//! centre stands e beside the lathe's axis pulls with m e ω² (trade facts 2.8). By its form the ball is
//! balanced on every mounting, so what matters is what the centres miss: told for 1 mm or 1/32 in. Wood itself is
//! uneven, heart against sap and wet against dry, which nothing here knows.

use std::f64::consts::TAU;

use rondure_solid::{DVec3, Moments};
use rondure_wood::Density;

use crate::bench::{Bench, TO_KNOW, trimmed};
use crate::form::coved_ball::BALL;
use crate::form::coved_ball::finials::End;
use crate::plan::Plan;
use crate::process::Step;
use crate::report::Measure;
use crate::study::Study;
use crate::units::{LengthStyle, MILLIMETRES_PER_INCH};

/// What a centre or a middle is taken to miss by: mm, and in the plan's units.
fn miss(plan: &Plan) -> (f64, &'static str) {
    match plan.style {
        LengthStyle::Millimetres => (1.0, "1 mm"),
        LengthStyle::Inches { .. } => (MILLIMETRES_PER_INCH / 32.0, "1/32 in"),
    }
}

/// The measures of balance that belong to a step.
pub fn at_step(
    study: &Study<'_>,
    density: Option<Density>,
    setup: usize,
    step: &Step,
) -> Vec<Measure> {
    let held = &study.expanded.process.setups[setup];
    let mut bench = Bench::new(study.plan, &held.id, &step.id);
    let Some(density) = density else {
        return bench.done();
    };
    if step.id.ends_with(".mount") {
        mounting(study, density, setup, &mut bench);
    }
    if step.id == "assembly.hang" {
        hanging(study, density, &mut bench);
    }
    bench.done()
}

/// The sideways pull, N, of `kg` whose centre stands `beside` mm off the axis at `rpm`.
pub fn pull(kg: f64, beside: f64, rpm: f64) -> f64 {
    kg * 1e-3 * beside * (TAU * rpm / 60.0).powi(2)
}

fn mounting(study: &Study<'_>, density: Density, setup: usize, bench: &mut Bench<'_>) {
    let process = &study.expanded.process;
    let held = &process.setups[setup];
    let speeds = held.steps.iter().filter_map(|step| step.speed);
    let fastest = speeds.map(|speed| speed.to).fold(0.0, f64::max);
    // The wood as it comes to this mounting is that after the last set-up of the same piece.
    let before = (0..setup)
        .rev()
        .find(|other| process.setups[*other].piece == held.piece && process.setups[*other].cuts());
    let (Some(before), true) = (before, fastest > 0.0) else {
        return;
    };
    let wood = study.after(before);
    let kg = density.mass(wood.volume).kg;
    let mounted = study.mountings().iter().find(|each| each.setup == setup);
    let axis = mounted.map_or(DVec3::Z, |each| each.drive.at.normalize_or(DVec3::X));
    let beside = off_axis(&wood, axis);
    let balanced = if beside > 0.0 {
        bench.number(
            "unbalance",
            "out of balance by the form itself",
            1000.0 * kg * beside,
            "g·mm",
            0,
            TO_KNOW,
        );
        ""
    } else {
        " (by its form the ball is in balance here)"
    };
    let (miss, missed) = miss(study.plan);
    bench.number(
        "balance",
        &format!(
            "sideways pull at {} rpm for each {} that the centres miss{balanced}",
            trimmed(fastest, 0),
            missed
        ),
        pull(kg, miss, fastest),
        "N",
        1,
        TO_KNOW,
    );
}

/// How far the centre of mass stands off an axis through the piece's centre, mm; nought where that is
/// within its own error.
fn off_axis(wood: &Moments, axis: DVec3) -> f64 {
    let centre = wood.centre_of_mass;
    let beside = (centre - axis * centre.dot(axis)).length();
    if beside <= wood.centre_error {
        0.0
    } else {
        beside
    }
}

fn hanging(study: &Study<'_>, density: Density, bench: &mut Bench<'_>) {
    let Some(hang) = hang(study) else { return };
    let kg = density.mass(hang.volume).kg;
    bench.number(
        "weight",
        "the whole piece, for the thread to carry",
        1000.0 * kg,
        "g",
        0,
        TO_KNOW,
    );
    bench.observed(
        "centre",
        "its centre of mass below the eye",
        hang.below,
        TO_KNOW,
    );
    if hang.lower_share > 0.0 {
        let (miss, missed) = miss(study.plan);
        bench.angle(
            "tilt",
            &format!(
                "it leans by this for each {} that the bottom finial's middle stands beside the axis; true, it hangs straight",
                missed
            ),
            (hang.lower_share * miss / hang.below).atan(),
            TO_KNOW,
        );
    }
}

/// The assembled piece, hung from the tip of its top finial.
struct Hang {
    volume: f64,
    /// Of the centre of mass under the eye, mm.
    below: f64,
    /// Of the bottom finial in the whole volume.
    lower_share: f64,
}

fn hang(study: &Study<'_>) -> Option<Hang> {
    let layout = &study.expanded.layout;
    let rim = layout.ridge(layout.bore_radius)?;
    let ball = study.whole(BALL);
    let (mut volume, mut first) = (ball.volume, ball.volume * ball.centre_of_mass.z);
    let (mut eye, mut lower) = (rim, 0.0);
    for (end, piece, laid) in &study.expanded.finials {
        let finial = study.whole(*piece);
        let up = match end {
            End::Top => 1.0,
            End::Bottom => -1.0,
        };
        volume += finial.volume;
        first += finial.volume * up * (rim + finial.centre_of_mass.z);
        match end {
            End::Top => eye = rim + laid.last()?.to.x,
            End::Bottom => lower = finial.volume,
        }
    }
    Some(Hang {
        volume,
        below: eye - first / volume,
        lower_share: lower / volume,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rim acceleration of a 14 in disc at 1000 rpm is 198.8 g (trade facts 2.8, exact): 1 kg there
    /// pulls with 198.8 times its weight.
    #[test]
    fn the_pull_is_that_of_the_rim() {
        let pull = pull(1.0, 7.0 * 25.4, 1000.0);
        assert!((pull / 9.80665 - 198.8).abs() < 0.05, "{pull}");
    }
}
