//! The finished ball as a whole: walls, necks, parts, edges, on the true solid.

use rayon::prelude::*;

use super::kind::{self, Kind, advice, change};
use super::mending::{bit_sizes, clears, first_of, mark_counts, nearest_length};
use crate::bench::{trimmed, written};
use crate::form::coved_ball::BALL;
use crate::form::coved_ball::ball::BORE_KINDS;
use crate::form::coved_ball::piercing::PIERCE_KINDS;
use crate::process::CutKind;
use crate::report::{Finding, Mend};
use crate::study::Study;

/// Webs, necks, parts and edges.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    let found: Vec<Option<Finding>> = [web, neck, parts, feather]
        .into_par_iter()
        .map(|each| each(study))
        .collect();
    found.into_iter().flatten().collect()
}

fn web(study: &Study<'_>) -> Option<Finding> {
    let plan = study.plan;
    let limit = plan.limits.web;
    let thin: Vec<_> = study
        .webs(BALL)
        .iter()
        .filter(|web| web.thickness < limit)
        .collect();
    let thinnest = thin.first()?;
    let state = study.finished(BALL);
    let [first, second] = thinnest.faces.map(|face| state.name_of(face));
    let more = if thin.len() > 1 {
        format!(" ({} walls are below the limit.)", thin.len())
    } else {
        String::new()
    };
    Some(
        kind::WEB_THIN
            .says(format!(
                "Between {first} and {second} the wood is {} thick; the limit is {}.{more}",
                written(plan, thinnest.thickness),
                written(plan, limit)
            ))
            .against(thinnest.thickness, limit, "mm")
            .limited_by(plan.limits.from.web)
            .at(thinnest.middle())
            .gap(thinnest.feet)
            .mended_by(lighter(study, web_only, &kind::WEB_THIN)),
    )
}

fn web_only(study: &Study<'_>) -> Vec<Finding> {
    web(study).into_iter().collect()
}

fn neck(study: &Study<'_>) -> Option<Finding> {
    let plan = study.plan;
    let limit = plan.limits.neck;
    let least = study
        .necks(BALL)
        .iter()
        .find(|neck| 2.0 * neck.radius < limit)?;
    // The ball sticks where it touches; straight across it from there is its diameter.
    let foot = study.finished(BALL).solid.nearest(least.at).foot;
    let ratio = least.bulks[0].volume / (least.bulks[0].volume + least.bulks[1].volume);
    Some(
        kind::NECK_THIN
            .says(format!(
                "The wood hangs together by a neck {} across that carries {} of it; the limit is {}.",
                written(plan, 2.0 * least.radius), share_of(ratio), written(plan, limit)
            ))
            .against(2.0 * least.radius, limit, "mm")
            .limited_by(plan.limits.from.neck)
            .at(least.at)
            .gap([foot, 2.0 * least.at - foot])
            .mended_by(lighter(study, neck_only, &kind::NECK_THIN)),
    )
}

/// A share in words: no share of wood is "0 %".
fn share_of(ratio: f64) -> String {
    let percent = 100.0 * ratio;
    if percent < 1.0 {
        "less than 1 %".to_owned()
    } else {
        format!("{} %", trimmed(percent, 0))
    }
}

fn neck_only(study: &Study<'_>) -> Vec<Finding> {
    neck(study).into_iter().collect()
}

fn parts(study: &Study<'_>) -> Option<Finding> {
    let parts = &study.parts(BALL).pieces;
    if parts.len() <= 1 {
        return None;
    }
    let whole: f64 = parts.iter().map(|part| part.moments.volume).sum();
    let second = &parts[1];
    Some(
        kind::PIECES_FALL
            .says(format!(
                "The finished wood is in {} parts; the second largest is {} % of it and falls off.",
                parts.len(),
                trimmed(100.0 * second.moments.volume / whole, 1)
            ))
            .against(parts.len() as f64, 1.0, "count")
            .at(second.point)
            .mended_by(lighter(study, parts_only, &kind::PIECES_FALL)),
    )
}

fn parts_only(study: &Study<'_>) -> Vec<Finding> {
    parts(study).into_iter().collect()
}

/// Ways to leave more wood: smaller holes, shallower coves, a smaller bore, fewer marks; those that help.
fn lighter(study: &Study<'_>, check: super::Check, kind: &'static Kind) -> Vec<Mend> {
    let ways = [smaller_holes, smaller_bore, shallower_coves, fewer_marks];
    let found: Vec<Option<Mend>> = ways
        .into_par_iter()
        .map(|way| way(study, check, kind))
        .collect();
    let mut mends: Vec<Mend> = found.into_iter().flatten().collect();
    if mends.is_empty() && study.tries_mends() {
        mends.push(advice("No single change of hole, cove depth or marks clears this; change two of them, or make the ball larger."));
    }
    mends
}

fn smaller_holes(study: &Study<'_>, check: super::Check, kind: &'static Kind) -> Option<Mend> {
    let plan = study.plan;
    let pierce = plan.pierce?;
    let sizes = bit_sizes(study, &PIERCE_KINDS)
        .into_iter()
        .rev()
        .filter(|size| *size < pierce.diameter);
    let key = "pierce.diameter";
    let size = first_of(study, check, kind.id, key, sizes.take(16), |size| {
        written(plan, *size)
    })?;
    let write = written(plan, size);
    let now = written(plan, pierce.diameter);
    Some(change(
        key,
        &write,
        format!("Pierce {write} instead of {now}."),
    ))
}

fn smaller_bore(study: &Study<'_>, check: super::Check, kind: &'static Kind) -> Option<Mend> {
    let plan = study.plan;
    let sizes = bit_sizes(study, &BORE_KINDS)
        .into_iter()
        .rev()
        .filter(|size| *size < plan.bore.diameter);
    let key = "bore.diameter";
    let size = first_of(study, check, kind.id, key, sizes, |size| {
        written(plan, *size)
    })?;
    let write = written(plan, size);
    let now = written(plan, plan.bore.diameter);
    Some(change(
        key,
        &write,
        format!("Bore {write} instead of {now}."),
    ))
}

fn shallower_coves(study: &Study<'_>, check: super::Check, kind: &'static Kind) -> Option<Mend> {
    let plan = study.plan;
    let step = 5.0 * plan.rack.calliper_step.max(plan.style.step_mm());
    let key = "cove.depth";
    let depth = nearest_length(study, check, kind.id, key, plan.cove.depth, step, step)?;
    let write = written(plan, depth);
    Some(change(
        key,
        &write,
        format!("Cut the coves only {write} deep."),
    ))
}

fn fewer_marks(study: &Study<'_>, check: super::Check, kind: &'static Kind) -> Option<Mend> {
    let counts = mark_counts(study, |count| {
        count < study.plan.ball.marks && count.is_multiple_of(4)
    });
    let count = counts
        .into_iter()
        .take(3)
        .find(|count| clears(study, check, kind.id, "ball.marks", &count.to_string()))?;
    Some(change(
        "ball.marks",
        count.to_string(),
        format!("Make {count} marks: fewer, thicker ribs."),
    ))
}

fn feather(study: &Study<'_>) -> Option<Finding> {
    let plan = study.plan;
    let limit = plan.limits.edge_angle;
    let state = study.finished(BALL);
    let sharp: Vec<_> = study
        .edges()
        .iter()
        .filter(|edge| edge.angle < limit - 1e-9)
        .collect();
    let sharpest = sharp.iter().min_by(|a, b| a.angle.total_cmp(&b.angle))?;
    let [first, second] = sharpest.faces.map(|face| state.name_of(face));
    let both_holes = sharpest.faces.iter().all(|face| {
        state
            .cut_of(*face)
            .is_some_and(|cut| cut.kind == CutKind::Pierce)
    });
    let why = if both_holes {
        " Neighbouring holes run together there and leave a feather of their own angle."
    } else {
        ""
    };
    let counts = mark_counts(study, |count| {
        count < plan.ball.marks && count.is_multiple_of(4)
    });
    let fewer = counts.into_iter().take(4).find(|count| {
        clears(
            study,
            feather_only,
            kind::EDGE_FEATHER.id,
            "ball.marks",
            &count.to_string(),
        )
    });
    let step = 5.0 * plan.rack.calliper_step.max(plan.style.step_mm());
    let shallower = if both_holes {
        None
    } else {
        nearest_length(
            study,
            feather_only,
            kind::EDGE_FEATHER.id,
            "cove.depth",
            plan.cove.depth,
            step,
            step,
        )
    };
    Some(
        kind::EDGE_FEATHER
            .says(format!(
                "The edge between {first} and {second} includes only {}°; the limit is {}°. It chips when cut and when handled.{why}",
                trimmed(sharpest.angle.to_degrees(), 1), trimmed(limit.to_degrees(), 1)
            ))
            .against(sharpest.angle.to_degrees(), limit.to_degrees(), "deg")
            .limited_by(plan.limits.from.edge_angle)
            .at(sharpest.at)
            .mended_by(fewer.map(|count| change("ball.marks", count.to_string(), format!("Make {count} marks: blunter edges."))))
            .mended_by(shallower.map(|depth| {
                let write = written(plan, depth);
                change("cove.depth", &write, format!("Cut the coves only {write} deep."))
            }))
            .mended_by([advice("Or break the edge with a file or sandpaper until it is as thick as a fingernail.")]),
    )
}

fn feather_only(study: &Study<'_>) -> Vec<Finding> {
    feather(study).into_iter().collect()
}
