//! Between centres: the blank on its own axis, and the ball across its own at every mounting.

use rondure_solid::DVec3;

use super::path::{Turned, drilled};
use super::{Case, Contact, Grip, Job, Load, Look, Push, Way};
use crate::form::coved_ball::mountings::cove_place;
use crate::hold::contact::seat_of;
use crate::process::State;
use crate::rack::CentreKind;

/// Places round a cove where the tool is tried, over half a turn: the other half is its mirror image.
const ROUND: u32 = 12;
/// Stations across a cove, as shares of its half width.
const ACROSS: [f64; 3] = [-0.7, 0.0, 0.7];

impl Job<'_> {
    /// Radius of the centre that serves a seat of radius `seat` mm, mm.
    fn centre(&self, kind: CentreKind, seat: f64) -> f64 {
        let (rack, holding) = (&self.plan.rack, &self.plan.holding);
        let named = match kind {
            CentreKind::Drive => &holding.drive,
            CentreKind::Tail => &holding.tail,
        };
        let centre = named
            .as_ref()
            .and_then(|name| rack.centre_named(name))
            .or_else(|| rack.centre_for_seat(kind, 2.0 * seat));
        // A rack without centres still holds by something of the smallest size in use.
        centre.map_or(4.0, |centre| 0.5 * centre.diameter)
    }

    /// The squeeze between two centres, one newton.
    pub(super) fn squeeze(&self, drive: &Contact, tail: &Contact) -> Case {
        let towards = (drive.middle() - tail.middle()).normalize_or(DVec3::NEG_Z);
        Case {
            load: Load::Squeeze,
            says: "the squeeze between the centres".to_owned(),
            magnitude: self.loads.tail,
            ways: vec![Way {
                says: String::new(),
                pushes: vec![Push::Force {
                    contact: tail.clone(),
                    force: towards,
                }],
            }],
            while_held: false,
        }
    }

    /// The tool pressing on a turned surface, and dragging it round.
    pub(super) fn tool(&self, path: &Turned<'_>, along: bool, on: &str) -> [Case; 2] {
        [
            Case {
                load: Load::Side,
                says: format!("the tool pressing on {on}"),
                magnitude: self.loads.cut,
                ways: path.side(along),
                while_held: true,
            },
            Case {
                load: Load::Round,
                says: format!("the tool dragging {on} round"),
                magnitude: self.loads.cut,
                ways: path.round(),
                while_held: true,
            },
        ]
    }
}

/// The blank between centres, when it is a cylinder with its spigot.
pub(super) fn rough(job: &Job<'_>, setup: usize) -> Vec<Look> {
    let stock = &job.expanded.stock;
    let end =
        |kind, station: f64| Contact::at(DVec3::new(0.0, 0.0, station), job.centre(kind, 12.0));
    let (drive, tail) = (
        end(CentreKind::Drive, stock.head),
        end(CentreKind::Tail, stock.tail),
    );
    let length = stock.tail - stock.head;
    let radius = |station: f64| {
        if station < stock.head + stock.spigot_length {
            0.5 * stock.spigot
        } else {
            0.5 * stock.rough
        }
    };
    let title = "the blank between centres, roughed and with its spigot".to_owned();
    job.look(setup, ".spigot", title, |state| {
        let path = Turned {
            state,
            axis: DVec3::Z,
            stations: [0.04, 0.3, 0.5, 0.7, 0.96]
                .map(|share| stock.head + share * length)
                .map(|station| (station, radius(station)))
                .to_vec(),
            places: 4,
            half: false,
        };
        let mut cases = vec![job.squeeze(&drive, &tail)];
        cases.extend(job.tool(&path, false, "the cylinder"));
        Some((
            Grip::Centres {
                drive: drive.clone(),
                tail: tail.clone(),
            },
            cases,
        ))
    })
    .into_iter()
    .collect()
}

/// A mounting across the ball's axis: while its marker holes are drilled, and when its cove is cut.
pub(super) fn mounting(job: &Job<'_>, setup: usize) -> Vec<Look> {
    let layout = &job.expanded.layout;
    let Some(number) = (0..layout.mountings())
        .find(|j| job.expanded.process.setup(&format!("mounting.{}", j + 1)) == Some(setup))
    else {
        return Vec::new();
    };
    let axis = layout.towards(number);
    let reach = layout.radius + 5.0;
    let centres = |state: &State| {
        // The centre is chosen for the seat it finds.
        let of = |kind, direction: DVec3| {
            let seat = crate::seat::seat(state, direction, reach, reach);
            seat_of(state, direction, reach, job.centre(kind, seat.radius))
        };
        Some((of(CentreKind::Drive, axis)?, of(CentreKind::Tail, -axis)?))
    };
    let at_markers = job.look(
        setup,
        ".markers",
        format!("mounting {}, drilling the marker holes", number + 1),
        |state| {
            let (drive, tail) = centres(state)?;
            let bit = 2.0 * layout.marker_radius;
            let ways = [true, false]
                .map(|after| {
                    let out = layout.towards_cove(number, after);
                    Way {
                        says: format!("at {}", cove_place(layout, number, after)),
                        ..drilled(out * layout.marker_end, -out, bit)
                    }
                })
                .to_vec();
            let drill = Case {
                load: Load::Drill,
                says: "the marker bit's push".to_owned(),
                magnitude: job.thrust(bit),
                ways,
                while_held: true,
            };
            let cases = vec![job.squeeze(&drive, &tail), drill];
            Some((Grip::Centres { drive, tail }, cases))
        },
    );
    let at_cove = job.look(
        setup,
        ".cove",
        format!("mounting {}, finishing the cove", number + 1),
        |state| {
            let (drive, tail) = centres(state)?;
            let (w, r) = (layout.half_width, layout.arc_radius());
            let path = Turned {
                state,
                axis,
                stations: ACROSS
                    .map(|share| share * w)
                    .map(|t| (t, layout.arc_centre() - (r * r - t * t).max(0.0).sqrt()))
                    .to_vec(),
                places: ROUND,
                half: true,
            };
            let mut cases = vec![job.squeeze(&drive, &tail)];
            cases.extend(job.tool(&path, true, "the cove"));
            Some((Grip::Centres { drive, tail }, cases))
        },
    );
    at_markers.into_iter().chain(at_cove).collect()
}
