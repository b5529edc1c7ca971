//! Every bit the plan asks for, against the rack.

use super::kind::{self, change};
use super::mending::clears;
use crate::bench::written;
use crate::form::coved_ball::clearance::free_length;
use crate::form::coved_ball::{ball, finials, mountings, piercing};
use crate::rack::BitKind;
use crate::report::Finding;
use crate::study::Study;

/// A hole to be drilled.
struct Hole {
    key: &'static str,
    what: &'static str,
    diameter: f64,
    depth: f64,
    kinds: &'static [BitKind],
    setup: &'static str,
    step: &'static str,
}

/// Missing bits, bits too short, and a chuck that fouls.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    holes(study)
        .iter()
        .flat_map(|hole| one(study, hole))
        .chain(fouls(study))
        .collect()
}

fn fouls(study: &Study<'_>) -> Option<Finding> {
    let plan = study.plan;
    let diameter = plan.pierce?.diameter;
    let bit = plan.rack.bit(diameter, &piercing::PIERCE_KINDS)?;
    // A bit too short for the hole itself is told of as such.
    if bit.reach < piercing::depth(&study.expanded.layout) {
        return None;
    }
    let free = free_length(study)?;
    if bit.reach + 1e-9 >= free {
        return None;
    }
    let other = super::mending::bit_sizes(study, &piercing::PIERCE_KINDS)
        .into_iter()
        .filter(|size| *size != diameter)
        .filter(|size| {
            let bit = plan.rack.bit(*size, &piercing::PIERCE_KINDS);
            bit.is_some_and(|bit| bit.reach >= free)
        })
        .min_by(|a, b| (a - diameter).abs().total_cmp(&(b - diameter).abs()))
        .map(|size| written(plan, size))
        .filter(|write| clears(study, check, kind::DRILL_FOULS.id, "pierce.diameter", write));
    Some(
        kind::DRILL_FOULS
            .says(format!(
                "At its full depth the bit of {} stands {} out of the chuck; beside the hole the ridges stand so high that a chuck {} wide needs {}.",
                written(plan, diameter), written(plan, bit.reach), written(plan, plan.rack.drill_chuck), written(plan, free)
            ))
            .against(bit.reach, free, "mm")
            .in_setup("pierce")
            .in_step("pierce.1")
            .mended_by(other.map(|write| change("pierce.diameter", &write, format!("Pierce {write}, of which the rack has a bit that stands out far enough."))))
            .mended_by([kind::advice("Or use an extension that the bit's maker allows, or a slimmer chuck.")]),
    )
}

fn holes(study: &Study<'_>) -> Vec<Hole> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let mut holes = vec![
        Hole {
            key: "bore.diameter",
            what: "bore",
            diameter: plan.bore.diameter,
            depth: ball::first_bore_depth(layout),
            kinds: &ball::BORE_KINDS,
            setup: "ball",
            step: "ball.bore",
        },
        Hole {
            key: "markers.diameter",
            what: "marker holes",
            diameter: plan.markers.diameter,
            depth: layout.radius - layout.marker_end,
            kinds: &mountings::MARKER_KINDS,
            setup: "mounting.1",
            step: "mounting.1.markers",
        },
    ];
    if let Some(pierce) = plan.pierce {
        holes.push(Hole {
            key: "pierce.diameter",
            what: "pierced holes",
            diameter: pierce.diameter,
            depth: piercing::depth(layout).max(0.0),
            kinds: &piercing::PIERCE_KINDS,
            setup: "pierce",
            step: "pierce.1",
        });
    }
    for (end, key, setup, step) in [
        (
            finials::End::Top,
            "finials.top.hanger.diameter",
            "finial.top",
            "finial.top.hanger",
        ),
        (
            finials::End::Bottom,
            "finials.bottom.hanger.diameter",
            "finial.bottom",
            "finial.bottom.hanger",
        ),
    ] {
        if let Some(hanger) = end.of(plan).and_then(|finial| finial.hanger) {
            holes.push(Hole {
                key,
                what: "hanger's hole",
                diameter: hanger.diameter,
                depth: hanger.depth + finials::TIP_WASTE,
                kinds: &finials::HANGER_KINDS,
                setup,
                step,
            });
        }
    }
    holes
}

fn one(study: &Study<'_>, hole: &Hole) -> Option<Finding> {
    let plan = study.plan;
    let rack = &plan.rack;
    let longest = |bits: &mut dyn Iterator<Item = &crate::rack::Bit>| {
        bits.map(|bit| bit.reach).fold(0.0, f64::max)
    };
    let mut these = rack
        .bits
        .iter()
        .filter(|bit| {
            hole.kinds.contains(&bit.kind)
                && (bit.diameter - hole.diameter).abs() <= crate::rack::Rack::BIT_TOLERANCE
        })
        .peekable();
    if these.peek().is_none() {
        let near = rack.nearest_bits(hole.diameter, hole.kinds);
        let nearest = near.first().map_or(0.0, |bit| bit.diameter);
        return Some(
            kind::BIT_MISSING
                .says(format!(
                    "The rack has no bit of {} for the {}.",
                    written(plan, hole.diameter),
                    hole.what
                ))
                .against(hole.diameter, nearest, "mm")
                .in_setup(hole.setup)
                .in_step(hole.step)
                .mended_by(
                    near.iter()
                        .map(|bit| (written(plan, bit.diameter), bit))
                        .filter(|(write, _)| {
                            clears(study, check, kind::BIT_MISSING.id, hole.key, write)
                        })
                        .map(|(write, bit)| {
                            change(
                                hole.key,
                                &write,
                                format!("Use the {} {write}.", bit.kind.word()),
                            )
                        }),
                ),
        );
    }
    let reach = longest(&mut these);
    if reach >= hole.depth {
        return None;
    }
    let longer = super::mending::bit_sizes(study, hole.kinds)
        .into_iter()
        .filter(|size| {
            longest(
                &mut rack
                    .bits
                    .iter()
                    .filter(|bit| (bit.diameter - size).abs() < 1e-9),
            ) >= hole.depth
        })
        .min_by(|a, b| {
            (a - hole.diameter)
                .abs()
                .total_cmp(&(b - hole.diameter).abs())
        })
        .map(|size| written(plan, size))
        .filter(|write| clears(study, check, kind::BIT_REACH.id, hole.key, write));
    Some(
        kind::BIT_REACH
            .says(format!(
                "The {} must go {} deep; the longest bit of {} reaches {}.",
                hole.what, written(plan, hole.depth), written(plan, hole.diameter), written(plan, reach)
            ))
            .against(reach, hole.depth, "mm")
            .in_setup(hole.setup)
            .in_step(hole.step)
            .mended_by(longer.map(|write| change(hole.key, &write, format!("Use {write}, of which the rack has a bit long enough."))))
            .mended_by([kind::advice("Or use an extension that the bit's maker allows, and clear the chips twice as often.")]),
    )
}
