//! In the jaws of a chuck: the ball on its spigot, a finial by its square blank.

use rondure_solid::DVec3;

use super::path::{Turned, drilled};
use super::{Case, Contact, Grip, Job, Load, Look, Push, Way};
use crate::form::coved_ball::finial_outline::radius_at;
use crate::form::coved_ball::finials::{End, GRIP, PARTING_ROOM};

/// Jaws of a scroll chuck.
const JAWS: u32 = 4;

/// Where jaws touch a round spigot or a square blank, mm: `radius` out, about station `station`.
fn jaws(station: f64, radius: f64, depth: f64) -> Contact {
    Contact {
        at: (0..JAWS)
            .map(|jaw| facing(jaw) * radius + DVec3::Z * station)
            .collect(),
        radius: (0.5 * depth).max(2.5),
    }
}

/// Outwards to the middle of a jaw.
fn facing(jaw: u32) -> DVec3 {
    let angle = std::f64::consts::TAU * f64::from(jaw) / f64::from(JAWS);
    DVec3::new(angle.cos(), angle.sin(), 0.0)
}

impl Job<'_> {
    /// The jaws closing, one newton over all.
    fn grip(&self, jaws: &Contact) -> Case {
        let share = 1.0 / f64::from(JAWS);
        Case {
            load: Load::Grip,
            says: "the grip of the jaws".to_owned(),
            magnitude: self.loads.grip,
            ways: vec![Way {
                says: String::new(),
                pushes: jaws
                    .at
                    .iter()
                    .zip(0..JAWS)
                    .map(|(at, jaw)| Push::Force {
                        contact: Contact::at(*at, jaws.radius),
                        force: -facing(jaw) * share,
                    })
                    .collect(),
            }],
            while_held: false,
        }
    }
}

/// The ball on its spigot: rounded with the tail centre up, then bored without it.
pub(super) fn ball(job: &Job<'_>, setup: usize) -> Vec<Look> {
    let (stock, layout) = (&job.expanded.stock, &job.expanded.layout);
    let spigot = jaws(
        stock.head + 0.5 * stock.spigot_length,
        0.5 * stock.spigot,
        stock.spigot_length,
    );
    let tail = Contact::at(DVec3::new(0.0, 0.0, stock.tail), stock.stub.clamp(2.5, 6.0));
    let round = job.look(
        setup,
        ".round",
        "the ball on its spigot, rounded".to_owned(),
        |state| {
            let path = Turned::ball(state, layout.radius, &[-0.85, -0.5, 0.0, 0.5, 0.85]);
            let mut cases = vec![job.grip(&spigot)];
            cases.extend(job.tool(&path, false, "the ball"));
            Some((
                Grip::Centres {
                    drive: spigot.clone(),
                    tail: tail.clone(),
                },
                cases,
            ))
        },
    );
    let bore = job.look(
        setup,
        ".bore",
        "the ball on its spigot, bored".to_owned(),
        |state| {
            let bottom = state.solid.first_wood(
                DVec3::Z * (stock.tail + 5.0),
                DVec3::NEG_Z,
                0.0,
                stock.tail - stock.head,
            )?;
            let at = DVec3::Z * (stock.tail + 5.0 - bottom.enter);
            let drill = Case {
                load: Load::Drill,
                says: "the bit's push in the bore".to_owned(),
                magnitude: job.thrust(2.0 * layout.bore_radius),
                ways: vec![drilled(at, DVec3::NEG_Z, 2.0 * layout.bore_radius)],
                while_held: true,
            };
            Some((Grip::One(spigot.clone()), vec![job.grip(&spigot), drill]))
        },
    );
    round.into_iter().chain(bore).collect()
}

/// A finial: its hanger's hole, and all of it when it is sanded, held by its root alone.
pub(super) fn finial(job: &Job<'_>, setup: usize) -> Vec<Look> {
    let Some((end, _, laid)) = job
        .expanded
        .finials
        .iter()
        .find(|(_, piece, _)| *piece == job.expanded.process.setups[setup].piece)
    else {
        return Vec::new();
    };
    let Some(finial) = end.of(job.plan) else {
        return Vec::new();
    };
    let name = match end {
        End::Top => "top finial",
        End::Bottom => "bottom finial",
    };
    let root = -(GRIP + PARTING_ROOM + finial.tenon_length);
    let held = jaws(root + 0.5 * GRIP, 0.5 * finial.blank_across, GRIP);
    let tip = laid.last().map_or(0.0, |shape| shape.to.x);
    let hanger = finial.hanger.and_then(|hanger| {
        job.look(
            setup,
            ".hanger",
            format!("the {name}, drilling for the hanger"),
            |_| {
                let at = DVec3::Z * (tip - hanger.depth);
                let drill = Case {
                    load: Load::Drill,
                    says: "the hanger bit's push".to_owned(),
                    magnitude: job.thrust(hanger.diameter),
                    ways: vec![drilled(at, DVec3::NEG_Z, hanger.diameter)],
                    while_held: false,
                };
                Some((Grip::One(held.clone()), vec![job.grip(&held), drill]))
            },
        )
    });
    let sanded = job.look(
        setup,
        ".tenon",
        format!("the {name}, sanded before it is parted off"),
        |state| {
            // Both ends of every shape, and their middles.
            let stations: Vec<(f64, f64)> = laid
                .iter()
                .flat_map(|shape| {
                    let along = shape.to.x - shape.from.x;
                    [0.5, 0.97].map(|share| shape.from.x + share * along)
                })
                .map(|station| (station, radius_at(laid, station)))
                .filter(|(_, radius)| *radius > 0.3)
                .collect();
            let path = Turned {
                state,
                axis: DVec3::Z,
                stations,
                places: 4,
                half: false,
            };
            let side = Case {
                load: Load::Side,
                says: "sanding and fine cuts along the finial".to_owned(),
                magnitude: job.loads.finial,
                ways: path.side(false),
                while_held: false,
            };
            Some((Grip::One(held.clone()), vec![side]))
        },
    );
    hanger.into_iter().chain(sanded).collect()
}
