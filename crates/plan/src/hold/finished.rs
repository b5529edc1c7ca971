//! The finished pieces: squeezed by a hand, dropped, hung up.

use rondure_solid::DVec3;

use super::{Case, Contact, Grip, Job, Load, Look, Push, Way};
use crate::form::coved_ball::BALL;
use crate::form::coved_ball::finials::End;
use crate::hold::contact::rim;
use crate::plan::Magnitude;

/// Radius of the wood a finger bears on, mm. Common practice, no source.
const FINGER: f64 = 4.0;
/// Radius of the wood that a hard floor dents, mm. From memory.
const DENT: f64 = 2.5;
/// Ridges tried all round, at most.
const MOST_RIDGES: u32 = 4;

/// Looks at the finished ball, and at a finial that hangs the whole.
pub(super) fn looks(job: &Job<'_>) -> Vec<Look> {
    ball(job).into_iter().chain(hung(job)).collect()
}

fn look(job: &Job<'_>, piece: usize, title: String, grip: Grip, cases: Vec<Case>) -> Look {
    let process = &job.expanded.process;
    let id = format!("finished.{}", process.pieces[piece].id);
    // It belongs to the last set-up that holds the piece.
    let setup = process
        .setups
        .iter()
        .rposition(|setup| setup.piece == piece);
    Look {
        setup: setup.map_or_else(String::new, |setup| process.setups[setup].id.clone()),
        step: setup
            .and_then(|setup| process.setups[setup].steps.last())
            .map_or_else(String::new, |step| step.id.clone()),
        id,
        piece,
        title,
        state: process.finished(piece),
        grip,
        cases,
    }
}

fn ball(job: &Job<'_>) -> Option<Look> {
    let layout = &job.expanded.layout;
    let state = job.expanded.process.finished(BALL);
    let reach = layout.radius + 5.0;
    // Towards the ridges between coves: half a mark off the cove's middle.
    let every = (layout.marks / 2).div_ceil(MOST_RIDGES).max(1);
    let ridges: Vec<(u32, DVec3)> = (0..layout.mountings())
        .step_by(every as usize)
        .filter_map(|j| {
            let quarter = std::f64::consts::FRAC_PI_2 + 0.5 * layout.pitch();
            let angle = layout.azimuth(j) + quarter;
            let out = DVec3::new(angle.cos(), angle.sin(), 0.0);
            let span = state.solid.first_wood(out * reach, -out, 0.0, reach)?;
            Some((j, out * (reach - span.enter)))
        })
        .collect();
    let pinch = |from: DVec3| {
        let out = from.normalize_or(DVec3::X);
        let force = |at: DVec3, force: DVec3| Push::Force {
            contact: Contact::at(at, FINGER),
            force,
        };
        vec![force(from, -out), force(-from, out)]
    };
    let mut drops: Vec<Way> = ridges
        .iter()
        .map(|(_, at)| Way {
            says: "on to a ridge".to_owned(),
            pushes: vec![Push::Force {
                contact: Contact::at(*at, DENT),
                force: -at.normalize_or(DVec3::X),
            }],
        })
        .collect();
    if let Some(contact) = rim(&state.solid, DVec3::Z, reach) {
        drops.push(Way {
            says: "on to a pole, with no finial in it".to_owned(),
            pushes: vec![Push::Force {
                contact,
                force: DVec3::NEG_Z,
            }],
        });
    }
    let cases = vec![
        Case {
            load: Load::Hand,
            says: "a hand squeezing it across".to_owned(),
            magnitude: job.loads.hand,
            ways: ridges
                .iter()
                .map(|(_, at)| Way {
                    says: String::new(),
                    pushes: pinch(*at),
                })
                .collect(),
            while_held: false,
        },
        Case {
            load: Load::Drop,
            says: "a fall on to a hard floor".to_owned(),
            magnitude: job.loads.drop,
            ways: drops,
            while_held: false,
        },
    ];
    Some(look(
        job,
        BALL,
        "the finished ball".to_owned(),
        Grip::Free,
        cases,
    ))
}

fn hung(job: &Job<'_>) -> Option<Look> {
    let (_, piece, laid) = job
        .expanded
        .finials
        .iter()
        .find(|(end, _, _)| *end == End::Top)?;
    let finial = End::Top.of(job.plan)?;
    let (hanger, weight) = (finial.hanger?, job.weight?);
    let tip = laid.last()?.to.x;
    let tenon = 0.5 * crate::form::coved_ball::finials::tenon(job.plan);
    let glued = Contact {
        at: (0..8)
            .map(|place| {
                let angle = std::f64::consts::TAU * f64::from(place) / 8.0;
                DVec3::new(
                    tenon * angle.cos(),
                    tenon * angle.sin(),
                    -0.5 * finial.tenon_length,
                )
            })
            .collect(),
        radius: 2.5,
    };
    let eye = Contact {
        at: [0.25, 0.5, 0.75]
            .map(|share| DVec3::Z * (tip - share * hanger.depth))
            .to_vec(),
        radius: 0.5 * hanger.diameter + 1.5,
    };
    let hang = Case {
        load: Load::Hang,
        says: "its own weight on the hanger".to_owned(),
        magnitude: Magnitude {
            value: weight,
            from: "the weight of all pieces",
        },
        ways: vec![Way {
            says: String::new(),
            pushes: vec![Push::Force {
                contact: eye,
                force: DVec3::Z,
            }],
        }],
        while_held: false,
    };
    Some(look(
        job,
        *piece,
        "the top finial with the whole hanging from it".to_owned(),
        Grip::One(glued),
        vec![hang],
    ))
}
