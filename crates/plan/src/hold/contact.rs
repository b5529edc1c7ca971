//! Where the wood is touched, and how what holds it answers a push.
//!
//! Nothing is nailed down: whatever pushes is balanced by what holds, as on the lathe. Between centres a side push is
//! shared by the two centres by the rule of the lever, and the drive centre takes the twist and the push along the
//! axis; jaws, a pin or a hand answer with a force and a twist over the wood they touch. The wood is then free and in
//! balance, so one model serves every push at a moment.

use rondure_solid::{DVec3, Solid};

use crate::process::State;
use crate::seat::{Bearing, seat};

/// Wood that is touched: all of it within a radius of some places.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// The places, mm, in the piece's frame; a force is shared evenly among them.
    pub at: Vec<DVec3>,
    /// How far from each wood is touched, mm.
    pub radius: f64,
}

impl Contact {
    /// One place.
    pub fn at(place: DVec3, radius: f64) -> Self {
        Self {
            at: vec![place],
            radius,
        }
    }

    /// The middle of the places, mm.
    pub fn middle(&self) -> DVec3 {
        self.at.iter().sum::<DVec3>() / self.at.len().max(1) as f64
    }
}

/// Something that pushes.
#[derive(Debug, Clone, PartialEq)]
pub enum Push {
    /// A force over a contact, N.
    Force {
        /// Where.
        contact: Contact,
        /// How much.
        force: DVec3,
    },
    /// A twist over a contact, N mm.
    Twist {
        /// Where.
        contact: Contact,
        /// A point of its axis, mm.
        about: DVec3,
        /// The moment, by the right-hand rule.
        moment: DVec3,
    },
    /// A force on all of the wood, N in all: weight, or the inertia of a fall.
    All(DVec3),
}

/// How a piece is held.
#[derive(Debug, Clone, PartialEq)]
pub enum Grip {
    /// Between two centres.
    Centres {
        /// The drive centre.
        drive: Contact,
        /// The tail centre.
        tail: Contact,
    },
    /// In jaws, on a pin, by a hand: one contact that takes any force and twist.
    One(Contact),
    /// Nothing holds it: its own inertia answers.
    Free,
}

impl Grip {
    /// What the holding answers to pushes, so that all together are in balance. A push on all of the wood acts at
    /// `middle`, its centre of mass.
    pub fn answer(&self, pushes: &[Push], middle: DVec3) -> Vec<Push> {
        let mut force = DVec3::ZERO;
        let mut moment = DVec3::ZERO;
        for push in pushes {
            match push {
                Push::Force {
                    contact,
                    force: each,
                } => {
                    force += each;
                    moment += contact.middle().cross(*each);
                }
                Push::Twist { moment: each, .. } => moment += each,
                Push::All(each) => {
                    force += each;
                    moment += middle.cross(*each);
                }
            }
        }
        match self {
            Self::Free => vec![Push::All(-force)],
            Self::One(contact) => {
                let at = contact.middle();
                let rest = moment - at.cross(force);
                vec![
                    Push::Force {
                        contact: contact.clone(),
                        force: -force,
                    },
                    Push::Twist {
                        contact: contact.clone(),
                        about: at,
                        moment: -rest,
                    },
                ]
            }
            Self::Centres { drive, tail } => {
                let (head, foot) = (drive.middle(), tail.middle());
                let span = foot - head;
                let axis = span.normalize_or(DVec3::Z);
                // Moments about the drive's seat are met by the tail centre's side force.
                let about_head = moment - head.cross(force);
                let across = about_head - axis * about_head.dot(axis);
                let at_tail = -across.cross(span) / span.length_squared().max(1e-12);
                let at_drive = -force - at_tail;
                vec![
                    Push::Force {
                        contact: tail.clone(),
                        force: at_tail,
                    },
                    Push::Force {
                        contact: drive.clone(),
                        force: at_drive,
                    },
                    Push::Twist {
                        contact: drive.clone(),
                        about: head,
                        moment: -axis * about_head.dot(axis),
                    },
                ]
            }
        }
    }
}

/// Places tried round an axis.
const PLACES: u32 = 16;
/// A centre bears on no less than this, mm on the radius: its ring sinks in and finds wood about it.
const LEAST_SEAT: f64 = 2.5;

/// What a centre of radius `centre` mm bears on when it comes along −`direction`: the seat on the axis; or where the
/// axis runs into a hole, the hole's rim.
pub(super) fn seat_of(state: &State, direction: DVec3, reach: f64, centre: f64) -> Option<Contact> {
    let found = seat(state, direction, reach, reach);
    if found.bearing == Bearing::Air {
        return rim(&state.solid, direction, reach);
    }
    Some(Contact::at(
        found.at,
        centre.min(found.radius).max(LEAST_SEAT),
    ))
}

/// The rim that a cone meets when it comes along −`direction`: the wood nearest to the axis all round. None where fewer
/// than three places of the ring meet any.
pub(super) fn rim(solid: &Solid, direction: DVec3, reach: f64) -> Option<Contact> {
    let right = direction.any_orthonormal_vector();
    let up = direction.cross(right);
    let mut radius = 0.5;
    while radius < reach {
        let at: Vec<DVec3> = (0..PLACES)
            .filter_map(|place| {
                let angle = std::f64::consts::TAU * f64::from(place) / f64::from(PLACES);
                let offset = radius * (right * angle.cos() + up * angle.sin());
                let from = direction * reach + offset;
                // A cone does not reach past the middle of the piece.
                let span = solid.first_wood(from, -direction, 0.0, reach)?;
                Some(from - direction * span.enter)
            })
            .collect();
        if at.len() >= 3 && 2 * at.len() >= PLACES as usize {
            return Some(Contact {
                at,
                radius: LEAST_SEAT,
            });
        }
        radius += 0.5;
    }
    None
}

/// The wall of a hole or pin of radius `radius` about `axis`, between two stations: the places of it that have wood just
/// outside (`outside`) or just inside.
pub(super) fn wall(
    state: &State,
    axis: DVec3,
    stations: [f64; 2],
    radius: f64,
    outside: bool,
) -> Option<Contact> {
    let right = axis.any_orthonormal_vector();
    let up = axis.cross(right);
    let deep = if outside { 1.0 } else { -1.0 };
    let mut at = Vec::new();
    for level in 0..5 {
        let station = stations[0] + (stations[1] - stations[0]) * (f64::from(level) + 0.5) / 5.0;
        for place in 0..PLACES {
            let angle = std::f64::consts::TAU * (f64::from(place) + 0.5) / f64::from(PLACES);
            let out = right * angle.cos() + up * angle.sin();
            let point = axis * station + out * radius;
            if state.solid.depth(point + out * deep) > 0.3 {
                at.push(point + 0.5 * deep * out);
            }
        }
    }
    (at.len() >= 3).then_some(Contact {
        at,
        radius: LEAST_SEAT,
    })
}
