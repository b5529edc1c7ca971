//! The path of a tool over the wood it leaves: the places it passes, with what it pushes there.
//!
//! The new surface is walked at several stations and all round, and every place that has wood under it is tried: the
//! edge beside a gap, the middle of a rib, the far end of an overhang. Nothing is guessed about which is the worst.

use std::f64::consts::TAU;

use rondure_solid::DVec3;

use super::{Contact, Push, Way};
use crate::process::State;

/// Radius of the wood that a tool's edge bears on, mm: a few millimetres of edge. Common practice, no source.
const EDGE: f64 = 2.0;
/// How deep below the surface there must be wood for the tool to press on, mm.
const UNDER: f64 = 0.4;

/// A surface that is turned about an axis.
pub(super) struct Turned<'a> {
    /// The wood after the cut.
    pub state: &'a State,
    /// The axis, a unit vector through the origin.
    pub axis: DVec3,
    /// Station and radius of the tool's path.
    pub stations: Vec<(f64, f64)>,
    /// Places all round.
    pub places: u32,
    /// Whether the wood's other half is a mirror image through the blank's middle plane, so that half of them will do.
    pub half: bool,
}

impl<'a> Turned<'a> {
    /// A ball of a radius, mm, turned about the blank's axis; the tool stands at these shares of the radius from
    /// the middle.
    pub(super) fn ball(state: &'a State, radius: f64, shares: &[f64]) -> Self {
        let station = |share: &f64| (share * radius, radius * (1.0 - share * share).sqrt());
        Self {
            state,
            axis: DVec3::Z,
            stations: shares.iter().map(station).collect(),
            places: 4,
            half: false,
        }
    }

    /// Places with wood under them: station, the point on the surface, and outwards from the axis.
    fn points(&self) -> Vec<(f64, DVec3, DVec3)> {
        let right = self.axis.any_orthonormal_vector();
        let up = self.axis.cross(right);
        let mut points = Vec::new();
        for &(station, radius) in &self.stations {
            for place in 0..self.places {
                let angle = TAU * f64::from(place) / f64::from(self.places);
                let out = right * angle.cos() + up * angle.sin();
                let at = self.axis * station + out * radius;
                if self.half && at.z < -1e-9 {
                    continue;
                }
                let near = self.state.solid.nearest(at - UNDER * out);
                if near.depth > 0.5 * UNDER && near.depth < 3.0 * UNDER {
                    points.push((station, at, out));
                }
            }
        }
        points
    }

    /// The tool pressing straight in, and along the axis both ways where `along` asks for it.
    pub fn side(&self, along: bool) -> Vec<Way> {
        let mut ways = Vec::new();
        for (_, at, out) in self.points() {
            let contact = Contact::at(at, EDGE);
            let mut push = |says: &str, force: DVec3| {
                ways.push(Way {
                    says: says.to_owned(),
                    pushes: vec![Push::Force {
                        contact: contact.clone(),
                        force,
                    }],
                });
            };
            push("pressing straight in", -out);
            if along {
                push("pressing along the lathe", self.axis);
                push("pressing along the lathe", -self.axis);
            }
        }
        ways
    }

    /// The wood dragged round by the tool: the edge pushes against the turning, either way it is turned.
    pub fn round(&self) -> Vec<Way> {
        self.points()
            .into_iter()
            .map(|(_, at, out)| Way {
                says: "dragging round".to_owned(),
                pushes: vec![Push::Force {
                    contact: Contact::at(at, EDGE),
                    force: self.axis.cross(out),
                }],
            })
            .collect()
    }
}

/// A bit pushing along `into` at a place: one newton of thrust, and the twist of its lips. Each lip bears half of the
/// thrust at half of the radius, so the twist of a newton is a quarter of the diameter; from memory.
pub(super) fn drilled(at: DVec3, into: DVec3, diameter: f64) -> Way {
    let contact = Contact::at(at, (0.5 * diameter).max(EDGE));
    Way {
        says: String::new(),
        pushes: vec![
            Push::Force {
                contact: contact.clone(),
                force: into,
            },
            Push::Twist {
                contact,
                about: at,
                moment: into * (0.25 * diameter),
            },
        ],
    }
}
