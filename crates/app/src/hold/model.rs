//! From a look to a model of cubes, and from pushes to its loads.

use rondure_plan::hold::{Contact, Grain, Look, Push, grain};
use rondure_plan::plan::Plan;
use rondure_solid::{Bounds, DVec3, Solid};
use rondure_stress as stress;
use rondure_stress::{Field, Model, Patch, StressError, Surface};
use rondure_wood::{Elastic, End, Strength, Wood};

use super::NotHeld;

/// What a plan's wood is made of, at its moisture.
#[derive(Debug, Clone)]
pub struct Stuff {
    /// The wood.
    pub wood: &'static Wood,
    /// Its stiffness.
    pub elastic: Elastic,
    /// Its strength.
    pub strength: Strength,
    /// Moisture, percent.
    pub moisture: f64,
}

impl Stuff {
    /// That of a plan.
    ///
    /// # Errors
    /// Where nothing is known of the wood's strength.
    pub fn of(plan: &Plan) -> Result<Self, NotHeld> {
        let unknown = || NotHeld::UnknownWood {
            wood: plan.wood.species.clone(),
        };
        let wood = rondure_wood::find(&plan.wood.species).map_err(|_| unknown())?;
        let moisture = plan.wood.moisture;
        Ok(Self {
            wood,
            elastic: wood.elastic().ok_or_else(unknown)?.at(moisture),
            strength: wood.strength().ok_or_else(unknown)?.at(moisture),
            moisture,
        })
    }

    /// The strength's surface at one end of the spread.
    pub fn surface(&self, end: End) -> Surface {
        Surface::of(&self.strength, end)
    }
}

/// The grain of a piece, as the solver wants it.
pub(super) fn solver_grain(plan: &Plan, piece: usize) -> stress::Grain {
    let Grain {
        along,
        radial,
        pith,
    } = grain(plan, piece);
    match pith {
        None => stress::Grain::Straight { along, radial },
        Some(pith) => stress::Grain::RoundPith { pith, along },
    }
}

/// The wood's own directions L, R and T at a place.
pub(super) fn directions(plan: &Plan, piece: usize, at: DVec3) -> [DVec3; 3] {
    let Grain {
        along,
        radial,
        pith,
    } = grain(plan, piece);
    let radial = pith.map_or(radial, |pith| {
        let from = at - pith;
        (from - along * from.dot(along)).normalize_or(radial)
    });
    [along, radial, along.cross(radial)]
}

/// A look filled with cubes, free in space: what holds it acts as loads.
pub(super) fn model(
    plan: &Plan,
    look: &Look,
    stuff: &Stuff,
    edge: f64,
) -> Result<Model, StressError> {
    Model::new(
        &look.state.solid,
        &solver_grain(plan, look.piece),
        &stuff.elastic,
        edge,
        &[],
    )
}

/// Pushes as loads of a model. `volume` is that of the wood in the cubes, mm³.
pub(super) fn loads(pushes: &[Push], edge: f64, volume: f64) -> Vec<stress::Load> {
    let mut loads = Vec::new();
    for push in pushes {
        match push {
            Push::Force { contact, force } => {
                let share = *force / contact.at.len().max(1) as f64;
                if share != DVec3::ZERO {
                    loads.extend(
                        patches(contact, edge).map(|patch| stress::Load::force(patch, share)),
                    );
                }
            }
            Push::Twist {
                contact,
                about,
                moment,
            } => twist(contact, *about, *moment, edge, &mut loads),
            Push::All(force) => loads.push(stress::Load::Everywhere(*force / volume)),
        }
    }
    loads
}

/// A twist over one place is that of the wood there; over several it is forces at them, square to the arms.
fn twist(contact: &Contact, about: DVec3, moment: DVec3, edge: f64, loads: &mut Vec<stress::Load>) {
    if moment.length() < 1e-12 {
        return;
    }
    if let [only] = contact.at.as_slice() {
        loads.push(stress::Load::Twist {
            patch: patch(*only, contact.radius, edge),
            axis_at: about,
            moment,
        });
        return;
    }
    let axis = moment.normalize_or_zero();
    let arm = |at: DVec3| axis.cross(at - about);
    let second: f64 = contact.at.iter().map(|at| arm(*at).length_squared()).sum();
    if second > 1e-9 {
        for at in &contact.at {
            let force = arm(*at) * (moment.length() / second);
            loads.push(stress::Load::force(patch(*at, contact.radius, edge), force));
        }
    }
}

fn patches(contact: &Contact, edge: f64) -> impl Iterator<Item = Patch> {
    let radius = contact.radius;
    contact.at.iter().map(move |at| patch(*at, radius, edge))
}

/// Wide enough to hold a cube wherever the wood begins.
fn patch(at: DVec3, radius: f64, edge: f64) -> Patch {
    Patch::ball(at, radius.max(1.3 * edge))
}

/// A contact at more places than this is spread so thin that it dents nothing.
const DENTS: usize = 4;

/// The stress without the wood that is touched, where it is that of a dent.
pub(super) fn away_from<'a>(
    field: &Field,
    touched: impl Iterator<Item = &'a Contact> + Clone,
    edge: f64,
) -> Vec<bool> {
    field
        .places
        .iter()
        .map(|place| {
            !touched
                .clone()
                .filter(|contact| contact.at.len() <= DENTS)
                .any(|contact| {
                    let reach = contact.radius.max(1.3 * edge) + 0.5 * field.length;
                    contact
                        .at
                        .iter()
                        .any(|at| at.distance_squared(place.at) < reach * reach)
                })
        })
        .collect()
}

/// Only the places that count, every stress times a factor.
pub(super) fn kept(field: &Field, counts: &[bool], factor: f64) -> Field {
    let keep = || {
        counts
            .iter()
            .enumerate()
            .filter(|(_, counts)| **counts)
            .map(|(index, _)| index)
    };
    Field {
        places: keep()
            .map(|index| {
                let mut place = field.places[index];
                place.stress = place.stress.map(|s| factor * s);
                place
            })
            .collect(),
        average: keep()
            .map(|index| field.average[index].map(|s| factor * s))
            .collect(),
        length: field.length,
    }
}

/// Contacts of pushes.
pub(super) fn contacts(pushes: &[Push]) -> impl Iterator<Item = &Contact> + Clone {
    pushes.iter().filter_map(|push| match push {
        Push::Force { contact, .. } | Push::Twist { contact, .. } => Some(contact),
        Push::All(_) => None,
    })
}

/// Middle of the wood: of its box, which is near enough for what only balances.
pub(super) fn middle(solid: &Solid) -> DVec3 {
    let Bounds { low, high } = solid.bounds();
    0.5 * (low + high)
}
