//! On a wooden pin in the bore: the ball's second end, and the piercing.
//!
//! A pin is taken to answer all round and both ways; a real one only pushes, and turns by friction.

use rondure_solid::DVec3;

use super::contact::wall;
use super::path::{Turned, drilled};
use super::{Case, Grip, Job, Load, Look, Way};
use crate::form::coved_ball::mountings::cove_place;

/// Length of the pin over the ball's radius, as its step says.
const PIN: f64 = 0.6;

/// The ball turned end for end: bored through, and its pole finished.
pub(super) fn second_end(job: &Job<'_>, setup: usize) -> Vec<Look> {
    let (stock, layout) = (&job.expanded.stock, &job.expanded.layout);
    let mouth = (layout.radius.powi(2) - layout.bore_radius.powi(2))
        .max(0.0)
        .sqrt();
    let pin = [mouth - PIN * layout.radius, mouth];
    let bore = job
        .look(
            setup,
            ".pin",
            "the ball on its pin, boring the second end".to_owned(),
            |state| {
                let held = wall(state, DVec3::Z, pin, layout.bore_radius, true)?;
                let drill = Case {
                    load: Load::Drill,
                    says: "the bit's push in the bore".to_owned(),
                    magnitude: job.thrust(2.0 * layout.bore_radius),
                    ways: vec![drilled(
                        DVec3::NEG_Z * stock.sawn,
                        DVec3::Z,
                        2.0 * layout.bore_radius,
                    )],
                    while_held: false,
                };
                Some((Grip::One(held), vec![drill]))
            },
        )
        .map(|look| Look {
            id: format!("{}.bore", look.setup),
            step: format!("{}.bore", look.setup),
            ..look
        });
    let pole = job.look(
        setup,
        ".pole",
        "the ball on its pin, its second pole finished".to_owned(),
        |state| {
            let held = wall(state, DVec3::Z, pin, layout.bore_radius, true)?;
            let path = Turned::ball(state, layout.radius, &[-0.9, -0.7]);
            let cases = job.tool(&path, false, "the pole").map(|case| Case {
                while_held: false,
                ..case
            });
            Some((Grip::One(held), cases.to_vec()))
        },
    );
    bore.into_iter().chain(pole).collect()
}

/// Piercing the last pair of holes, when all the others are through.
pub(super) fn pierce(job: &Job<'_>, setup: usize) -> Vec<Look> {
    let (layout, process) = (&job.expanded.layout, &job.expanded.process);
    let (Some(radius), Some(last)) = (
        layout.pierce_radius,
        process.setups[setup].steps.len().checked_sub(1),
    ) else {
        return Vec::new();
    };
    let each = &process.setups[setup];
    let state = process.state_before(each.piece, setup, last);
    let mouth = layout.rim_low().unwrap_or(layout.bottom_radius);
    let Some(held) = wall(&state, DVec3::Z, [-mouth, mouth], layout.bore_radius, true) else {
        return Vec::new();
    };
    let number = layout.mountings() - 1;
    let ways = [true, false]
        .map(|after| {
            let out = layout.towards_cove(number, after);
            Way {
                says: format!("at {}", cove_place(layout, number, after)),
                ..drilled(out * layout.bottom_radius, -out, 2.0 * radius)
            }
        })
        .to_vec();
    let drill = Case {
        load: Load::Drill,
        says: "the bit's push in the last holes".to_owned(),
        magnitude: job.thrust(2.0 * radius),
        ways,
        while_held: false,
    };
    vec![Look {
        id: each.steps[last].id.clone(),
        piece: each.piece,
        setup: each.id.clone(),
        step: each.steps[last].id.clone(),
        title: "piercing the last two holes".to_owned(),
        state,
        grip: Grip::One(held),
        cases: vec![drill],
    }]
}
