//! Coves and pierced holes against each other, as far as plane geometry tells.

use super::kind::{self, change};
use super::mending::{bit_sizes, clears, first_of, mark_counts, nearest_length};
use crate::bench::{trimmed, written};
use crate::form::coved_ball::ball::BORE_KINDS;
use crate::form::coved_ball::piercing::PIERCE_KINDS;
use crate::report::{Finding, Mend};
use crate::study::Study;

/// Cove against bore and gouge, hole against hole.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    [bore, gouge, rims, meet]
        .into_iter()
        .filter_map(|each| each(study))
        .collect()
}

fn bore(study: &Study<'_>) -> Option<Finding> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    if layout.bottom_radius > layout.bore_radius {
        return None;
    }
    Some(
        kind::COVE_BORE
            .says(format!(
                "The cove's bottom is {} from the axis at the equator, the bore's wall {}: every cove breaks into the bore.",
                written(plan, layout.bottom_radius), written(plan, layout.bore_radius)
            ))
            .against(layout.bottom_radius, layout.bore_radius, "mm")
            .in_setup("mounting.1")
            .in_step("mounting.1.cove")
            .at(layout.towards_cove(0, true) * layout.bottom_radius)
            .mended_by(clear_of_bore(study, check, kind::COVE_BORE.id)),
    )
}

/// Shallower coves or a smaller bore, each as far as clears a finding.
pub(super) fn clear_of_bore(study: &Study<'_>, check: super::Check, id: &str) -> Vec<Mend> {
    let plan = study.plan;
    let step = plan.rack.calliper_step.max(plan.style.step_mm());
    let depth = nearest_length(study, check, id, "cove.depth", plan.cove.depth, step, step);
    let sizes = bit_sizes(study, &BORE_KINDS)
        .into_iter()
        .rev()
        .filter(|size| *size < plan.bore.diameter);
    let smaller = first_of(study, check, id, "bore.diameter", sizes, |size| {
        written(plan, *size)
    });
    let depth = depth.map(|depth| {
        let write = written(plan, depth);
        change(
            "cove.depth",
            &write,
            format!("Cut the coves only {write} deep."),
        )
    });
    let smaller = smaller.map(|size| {
        let write = written(plan, size);
        change("bore.diameter", &write, format!("Bore only {write}."))
    });
    depth.into_iter().chain(smaller).collect()
}

fn gouge(study: &Study<'_>) -> Option<Finding> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let radius = layout.arc_radius();
    if plan.rack.gouge_for_cove(radius).is_some() {
        return None;
    }
    let tightest = plan
        .rack
        .gouges
        .iter()
        .map(|gouge| gouge.smallest_cove)
        .fold(f64::INFINITY, f64::min);
    let limit = if tightest.is_finite() { tightest } else { 0.0 };
    let id = kind::COVE_GOUGE.id;
    let step = plan.rack.calliper_step.max(plan.style.step_mm());
    let depth = nearest_length(study, check, id, "cove.depth", plan.cove.depth, step, step);
    let count = mark_counts(study, |count| {
        count < plan.ball.marks && count.is_multiple_of(4)
    })
    .into_iter()
    .find(|count| clears(study, check, id, "ball.marks", &count.to_string()));
    Some(
        kind::COVE_GOUGE
            .says(format!(
                "The cove's arc has a radius of {}; the smallest gouge in the rack cuts {}.",
                written(plan, radius),
                written(plan, limit)
            ))
            .against(radius, limit, "mm")
            .in_setup("mounting.1")
            .in_step("mounting.1.cove")
            .mended_by(depth.map(|depth| {
                let write = written(plan, depth);
                change(
                    "cove.depth",
                    &write,
                    format!("Cut the coves only {write} deep, a flatter arc."),
                )
            }))
            .mended_by(count.map(|count| {
                change(
                    "ball.marks",
                    count.to_string(),
                    format!("Make {count} marks: fewer, wider coves."),
                )
            })),
    )
}

fn rims(study: &Study<'_>) -> Option<Finding> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let gap = layout.rim_gap()?;
    if gap >= plan.limits.web {
        return None;
    }
    let id = kind::RIM_GAP.id;
    let now = 2.0 * layout.pierce_radius?;
    let sizes = bit_sizes(study, &PIERCE_KINDS)
        .into_iter()
        .rev()
        .filter(|size| *size < now);
    let smaller = first_of(study, check, id, "pierce.diameter", sizes, |size| {
        written(plan, *size)
    });
    let count = mark_counts(study, |count| {
        count < plan.ball.marks && count.is_multiple_of(4)
    })
    .into_iter()
    .find(|count| clears(study, check, id, "ball.marks", &count.to_string()));
    let words = if gap > 0.0 {
        "too little"
    } else {
        "none: the holes cut each other at their rims"
    };
    Some(
        kind::RIM_GAP
            .says(format!(
                "Between neighbouring holes of {} on the coves' bottoms {} of wood is left, {words}.",
                written(plan, now), written(plan, gap)
            ))
            .against(gap, plan.limits.web, "mm")
            .limited_by(plan.limits.from.web)
            .in_setup("pierce")
            .in_step("pierce.1")
            .at(layout.bottom_radius * (layout.towards_cove(0, true) + layout.towards_cove(1, true)).normalize())
            .mended_by(smaller.map(|size| {
                let write = written(plan, size);
                change("pierce.diameter", &write, format!("Pierce {write} instead."))
            }))
            .mended_by(count.map(|count| change("ball.marks", count.to_string(), format!("Make {count} marks: holes farther apart.")))),
    )
}

fn meet(study: &Study<'_>) -> Option<Finding> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let radius = layout.holes_meet()?;
    if radius <= layout.bore_radius {
        return None;
    }
    let ribs = layout.bottom_radius - radius;
    Some(
        kind::HOLES_MEET
            .says(format!(
                "Inside {} from the axis neighbouring holes run together. That hollows the ball; what holds its halves together are {} ribs, {} deep at the equator and feathered inside (their edge includes {}°).",
                written(plan, radius), layout.marks, written(plan, ribs.max(0.0)), trimmed(layout.pitch().to_degrees(), 1)
            ))
            .against(radius, layout.bottom_radius, "mm")
            .in_setup("pierce")
            .at(radius * (layout.towards_cove(0, true) + layout.towards_cove(1, true)).normalize()),
    )
}
