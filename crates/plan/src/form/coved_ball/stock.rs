//! The blank and how it is held: spigot, neck, stub, and the least blank that serves.
//!
//! Along the axis from the headstock: spigot, shoulder, neck, ball, tail stub.
//! The neck and the stub are thinner than the bore, so the bore takes them out
//! and no trace of the holding stays on the piece.

use crate::bench::settable;
use crate::form::coved_ball::Layout;
use crate::outline::Stubs;
use crate::plan::{BlankShape, Plan};
use crate::rack::Jaws;

/// Wood taken off the diameter to true a rough cylinder, mm. Common practice, no source.
pub const TRUING: f64 = 2.0;
/// Square shoulder that bears on the jaws' tops, least on the radius, mm. Common practice, no source.
pub const SHOULDER: f64 = 2.0;
/// Length of full wood between spigot and neck, mm. Common practice, no source.
pub const COLLAR: f64 = 4.0;
/// Room beyond the ball for the tail centre's mark, mm. Common practice, no source.
pub const TAIL_WASTE: f64 = 6.0;
/// How much thinner than the bore neck and stub are left, on the radius, mm: the bore must
/// take them out whole even a little off centre. Common practice, no source.
pub const INSIDE_BORE: f64 = 1.0;
/// Thinnest stub that still holds a tail centre, radius mm. Common practice, no source.
pub const THINNEST_STUB: f64 = 2.0;

/// Sizes of the held blank, mm; stations along z, the ball's centre at 0, the headstock towards −z.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// The jaws, where the rack has any that fit.
    pub jaws: Option<Jaws>,
    /// Diameter of the spigot.
    pub spigot: f64,
    /// Length of the spigot.
    pub spigot_length: f64,
    /// Diameter of the roughed cylinder.
    pub rough: f64,
    /// Radius of the neck between collar and ball.
    pub neck: f64,
    /// Length of the neck.
    pub neck_length: f64,
    /// How far from the ball's centre the neck is sawn through.
    pub sawn: f64,
    /// Radius of the stub at the tail.
    pub stub: f64,
    /// Station of the blank's headstock end.
    pub head: f64,
    /// Station of the blank's tail end.
    pub tail: f64,
    /// Least length of a blank.
    pub least_length: f64,
    /// Least side or diameter of a blank.
    pub least_across: f64,
}

/// Works the stock out.
pub fn stock(plan: &Plan, layout: &Layout) -> Stock {
    let step = plan.rack.calliper_step;
    let diameter = 2.0 * layout.radius;
    let rough = settable(plan, diameter + TRUING, step);
    let widest_spigot = rough - 2.0 * SHOULDER;
    let jaws = match &plan.holding.jaws {
        Some(name) => plan.rack.jaws_named(name).cloned(),
        None => choose(plan, widest_spigot),
    };
    let grip = jaws.as_ref().and_then(|jaws| jaws.spigot);
    let wanted = jaws.as_ref().map_or(widest_spigot, |jaws| jaws.full_circle);
    let spigot = plan.holding.spigot.unwrap_or_else(|| {
        let fits = match grip {
            Some(grip) => wanted
                .clamp(grip.smallest, grip.largest.max(grip.smallest))
                .min(widest_spigot),
            None => widest_spigot,
        };
        settable(plan, fits, step)
    });
    let neck = plan.holding.neck.map_or_else(
        || {
            0.5 * settable(
                plan,
                (2.0 * (layout.bore_radius - INSIDE_BORE)).max(2.0 * THINNEST_STUB),
                step,
            )
        },
        |neck| 0.5 * neck,
    );
    let stub = 0.5
        * settable(
            plan,
            (2.0 * (layout.bore_radius - INSIDE_BORE)).clamp(2.0 * THINNEST_STUB, 0.6 * diameter),
            step,
        );
    let neck_length = settable(plan, 2.0 * plan.rack.parting_width, plan.rack.rule_step)
        .max(plan.rack.parting_width);
    let spigot_length = plan.holding.spigot_length;
    let tail = layout.radius + settable(plan, TAIL_WASTE, plan.rack.rule_step);
    let least_length = tail + layout.radius + neck_length + COLLAR + spigot_length;
    // Too short a blank is a finding; the work is laid out as if it were just long enough.
    let head = tail - plan.blank.length.max(least_length);
    Stock {
        jaws,
        spigot,
        spigot_length,
        rough,
        neck,
        neck_length,
        sawn: settable(plan, layout.radius + 0.5 * neck_length, plan.rack.rule_step),
        stub,
        head,
        tail,
        least_length,
        least_across: rough,
    }
}

impl Stock {
    /// What stays at the ends of the ball while it is rounded.
    pub fn stubs(&self, radius: f64) -> Stubs {
        Stubs {
            head: self.neck,
            head_from: -radius - self.neck_length,
            tail: self.stub,
            tail_to: self.tail + 1.0,
        }
    }

    /// How far the work stands out of the jaws, mm.
    pub fn overhang(&self) -> f64 {
        self.tail - self.head - self.spigot_length
    }

    /// Radius of a round region that holds the blank.
    pub fn reach(&self, plan: &Plan) -> f64 {
        match plan.blank.shape {
            BlankShape::Round => 0.5 * plan.blank.across,
            BlankShape::Square => plan.blank.across * std::f64::consts::FRAC_1_SQRT_2,
        }
    }
}

/// The jaws that give the widest seat for the shoulder: of those whose smallest grip the blank can
/// still offer, the largest; they hold best and overhang least.
fn choose(plan: &Plan, widest_spigot: f64) -> Option<Jaws> {
    plan.rack
        .jaws
        .iter()
        .filter(|jaws| {
            jaws.spigot
                .is_some_and(|grip| grip.smallest <= widest_spigot)
        })
        .max_by(|a, b| a.full_circle.total_cmp(&b.full_circle))
        .cloned()
}
