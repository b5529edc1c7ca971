//! What the wood does between the shop and where the piece will live.

use super::kind::{self, advice, change};
use super::mending::{clears, nearest_length};
use crate::bench::{finely, trimmed, written};
use crate::fits::{Fits, fits};
use crate::report::{Finding, Mend};
use crate::study::Study;

/// Widest line that a gap-filling glue is trusted with, over the diameter, mm: epoxy fills to about
/// 0.5 to 1 mm, from memory (trade facts 5.6).
const WIDEST_GLUE: f64 = 0.5;
/// Out of round by this share of its diameter is seen: a ball finished by hand is true to 0.2 to
/// 0.5 mm on 60 (trade facts 1.18, common practice, no source).
const OVAL: f64 = 0.5 / 60.0;
/// Wood this near to the shop's air counts as settled, percent of moisture. Common practice, no
/// source.
const SETTLED: f64 = 2.0;

/// Fits, roundness, and whether the wood has settled.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    let mut found: Vec<Finding> = unsettled(study).into_iter().collect();
    if let Some(fits) = fits(study.plan) {
        let each = [tight, loose, oval];
        found.extend(each.into_iter().filter_map(|each| each(study, &fits)));
    }
    found
}

fn percent(moisture: f64) -> String {
    format!("{} %", trimmed(moisture, 1))
}

/// Letting the wood dry or take up water first, if that clears it.
fn settle(study: &Study<'_>, id: &str, to: f64) -> Option<Mend> {
    let write = trimmed((2.0 * to).round() / 2.0, 1);
    clears(study, check, id, "wood.moisture", &write).then(|| {
        change(
            "wood.moisture",
            &write,
            format!("Let the wood come to {write} % before the ball is finished: rough it out, wait until it weighs the same for weeks, then true it."),
        )
    })
}

fn unsettled(study: &Study<'_>) -> Option<Finding> {
    let plan = study.plan;
    let shop = plan.shop?;
    let off = (plan.wood.moisture - shop.moisture).abs();
    if off <= SETTLED + 1e-9 {
        return None;
    }
    Some(
        kind::WOOD_UNSETTLED
            .says(format!(
                "The wood is at {}; the air of the shop brings it to {}. It moves while you work on it, and marks made today are not round tomorrow.",
                percent(plan.wood.moisture), percent(shop.moisture)
            ))
            .against(off, SETTLED, "percent")
            .in_setup("rough")
            .mended_by(settle(study, kind::WOOD_UNSETTLED.id, shop.moisture))
            .mended_by([advice("Or rough it out a tenth of its diameter over size, seal the end grain, and weigh it until it stops losing.")]),
    )
}

fn tight(study: &Study<'_>, fits: &Fits) -> Option<Finding> {
    let plan = study.plan;
    if no_finials(study) || fits.slack_least >= -1e-9 {
        return None;
    }
    let key = "finials.glue_gap";
    let step = plan.rack.calliper_step;
    let gap = nearest_length(
        study,
        check,
        kind::FIT_TIGHT.id,
        key,
        plan.finials.glue_gap,
        WIDEST_GLUE,
        step,
    );
    Some(
        kind::FIT_TIGHT
            .says(format!(
                "At {} the bore is {} wide where its rings lie across the tenon's, and the tenon {}: it wedges by {} (± {} from tree to tree) and can burst the ball or its glue.",
                percent(fits.to),
                finely(plan, fits.bore.along_rings.min(fits.bore.across_rings)),
                finely(plan, fits.tenon.across_rings.max(fits.tenon.along_rings)),
                finely(plan, -fits.slack_least),
                finely(plan, fits.spread)
            ))
            .against(fits.slack_least, 0.0, "mm")
            .in_setup("assembly")
            .in_step("assembly.dry")
            .mended_by(gap.map(|gap| {
                let write = written(plan, gap);
                change(key, &write, format!("Leave {write} of room for the tenon now."))
            }))
            .mended_by(settle(study, kind::FIT_TIGHT.id, fits.to))
            .mended_by((fits.slack_aligned >= 0.0).then(|| advice("Set the finials so that their growth rings lie the same way as the ball's: then both move alike, and it fits."))),
    )
}

fn loose(study: &Study<'_>, fits: &Fits) -> Option<Finding> {
    let plan = study.plan;
    let most = fits.slack_most.max(fits.slack_now);
    if no_finials(study) || most <= WIDEST_GLUE + 1e-9 {
        return None;
    }
    let key = "finials.glue_gap";
    let step = plan.rack.calliper_step;
    let gap = nearest_length(
        study,
        check,
        kind::FIT_LOOSE.id,
        key,
        plan.finials.glue_gap,
        0.0,
        step,
    );
    Some(
        kind::FIT_LOOSE
            .says(format!(
                "The tenon has up to {} of slack in its bore at {}; no glue line bridges that for long.",
                finely(plan, most), percent(fits.to)
            ))
            .against(most, WIDEST_GLUE, "mm")
            .in_setup("assembly")
            .in_step("assembly.glue")
            .mended_by(gap.map(|gap| {
                let write = written(plan, gap);
                change(key, &write, format!("Turn the tenon closer: leave {write}."))
            }))
            .mended_by(settle(study, kind::FIT_LOOSE.id, fits.to)),
    )
}

fn oval(study: &Study<'_>, fits: &Fits) -> Option<Finding> {
    let plan = study.plan;
    let limit = OVAL * plan.ball.diameter;
    if fits.ball.oval() <= limit + 1e-9 {
        return None;
    }
    Some(
        kind::BALL_OVAL
            .says(format!(
                "Turned at {} and kept at {} the ball goes oval by {}: {} along the growth rings, {} across them. The bore and the holes do the same.",
                percent(fits.from), percent(fits.to),
                written(plan, fits.ball.oval()), written(plan, fits.ball.along_rings), written(plan, fits.ball.across_rings)
            ))
            .against(fits.ball.oval(), limit, "mm")
            .in_setup("ball")
            .in_step("ball.round")
            .mended_by(settle(study, kind::BALL_OVAL.id, fits.to)),
    )
}

fn no_finials(study: &Study<'_>) -> bool {
    study.expanded.finials.is_empty()
}
