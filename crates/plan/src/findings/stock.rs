//! Blank, lathe, jaws and index head against what the work needs.

use super::kind::{self, advice, change};
use super::mending::{clears, mark_counts};
use crate::bench::{settable, trimmed, written};
use crate::form::coved_ball::ball::BORE_KINDS;
use crate::form::coved_ball::rough::HEART;
use crate::form::coved_ball::stock::SHOULDER;
use crate::plan::BlankShape;
use crate::rack::Combined;
use crate::report::{Finding, Mend};
use crate::study::Study;

/// Overhang over the spigot's diameter that a chuck manual allows, derived: 150 mm on 45 mm
/// (trade facts 3.2).
pub(crate) const MOST_OVERHANG: f64 = 150.0 / 45.0;

/// Blank, lathe and chuck.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    [blank_across, blank_length, pith, lathe, chuck, neck]
        .into_iter()
        .flat_map(|each| each(study))
        .collect()
}

fn blank_across(study: &Study<'_>) -> Vec<Finding> {
    let (plan, stock) = (study.plan, &study.expanded.stock);
    let sound = plan.blank.sound_across();
    if sound + 1e-9 >= stock.least_across {
        return Vec::new();
    }
    let bark = if plan.blank.bark > 0.0 {
        format!(" under its bark of {}", written(plan, plan.blank.bark))
    } else {
        String::new()
    };
    // The largest ball of this blank, if the rest of the plan allows it.
    let step = plan.rack.calliper_step.max(plan.style.step_mm());
    let smaller = super::mending::nearest_length(
        study,
        check,
        kind::BLANK_ACROSS.id,
        "ball.diameter",
        plan.ball.diameter,
        0.6 * plan.ball.diameter,
        step,
    );
    vec![
        kind::BLANK_ACROSS
            .says(format!(
                "The blank is {} across{bark}; a ball of {} needs {} before truing.",
                written(plan, sound),
                written(plan, plan.ball.diameter),
                written(plan, stock.least_across)
            ))
            .against(sound, stock.least_across, "mm")
            .in_setup("rough")
            .mended_by([across(study)].into_iter().flatten())
            .mended_by(smaller.map(|diameter| {
                let diameter = written(plan, diameter);
                change(
                    "ball.diameter",
                    &diameter,
                    format!("Make the ball {diameter}, the largest this blank gives."),
                )
            })),
    ]
}

fn pith(study: &Study<'_>) -> Vec<Finding> {
    let plan = study.plan;
    let Some(off) = plan.blank.pith else {
        return Vec::new();
    };
    let (reach, bore) = (off + HEART, study.expanded.layout.bore_radius);
    if reach <= bore + 1e-9 || off - HEART >= study.expanded.layout.radius {
        return Vec::new();
    }
    let wider = super::mending::bit_sizes(study, &BORE_KINDS)
        .into_iter()
        .filter(|size| *size > plan.bore.diameter)
        .map(|size| written(plan, size))
        .find(|write| clears(study, check, kind::PITH_LEFT.id, "bore.diameter", write));
    let nearer = super::mending::nearest_length(
        study,
        check,
        kind::PITH_LEFT.id,
        "blank.pith_off",
        off,
        0.0,
        plan.rack.rule_step.max(plan.style.step_mm()),
    );
    vec![
        kind::PITH_LEFT
            .says(format!(
                "The pith lies {} from the blank's axis; with the wood that checks round it it reaches {}, and the bore takes out only {} on the radius. It stays in the ball, and cracks run out from it as it dries.",
                written(plan, off), written(plan, reach), written(plan, bore)
            ))
            .against(reach, bore, "mm")
            .in_setup("rough")
            .in_step("rough.centres")
            .at(rondure_solid::DVec3::new(off, 0.0, 0.0))
            .mended_by(nearer.map(|off| {
                let write = written(plan, off);
                change("blank.pith_off", &write, format!("Set the centres so that the pith lies within {write} of the axis; the bore then takes it out."))
            }))
            .mended_by(wider.map(|write| change("bore.diameter", &write, format!("Bore {write}, which takes it out."))))
            .mended_by([advice("Or use wood clear of the pith: leave out a slab of 2 in with the heart (trade facts 6.10).")]),
    ]
}

fn across(study: &Study<'_>) -> Option<Mend> {
    let write = written(
        study.plan,
        rounded_up(
            study,
            study.expanded.stock.least_across + 2.0 * study.plan.blank.bark,
        ),
    );
    clears(study, check, kind::BLANK_ACROSS.id, "blank.across", &write).then(|| {
        change(
            "blank.across",
            &write,
            format!("Use a blank at least {write} across."),
        )
    })
}

fn blank_length(study: &Study<'_>) -> Vec<Finding> {
    let (plan, stock) = (study.plan, &study.expanded.stock);
    if plan.blank.length + 1e-9 >= stock.least_length {
        return Vec::new();
    }
    let write = written(plan, rounded_up(study, stock.least_length));
    vec![
        kind::BLANK_LENGTH
            .says(format!(
                "The blank is {} long; ball, neck, collar, spigot and tail waste need {}.",
                written(plan, plan.blank.length),
                written(plan, stock.least_length)
            ))
            .against(plan.blank.length, stock.least_length, "mm")
            .in_setup("rough")
            .mended_by(
                clears(study, check, kind::BLANK_LENGTH.id, "blank.length", &write).then(|| {
                    change(
                        "blank.length",
                        &write,
                        format!("Use a blank at least {write} long."),
                    )
                }),
            ),
    ]
}

/// A length on the rule that is no less than `exact`.
fn rounded_up(study: &Study<'_>, exact: f64) -> f64 {
    let step = study.plan.rack.rule_step.max(study.plan.style.step_mm());
    let set = settable(study.plan, exact, step);
    if set + 1e-9 < exact {
        settable(study.plan, set + step, step)
    } else {
        set
    }
}

fn lathe(study: &Study<'_>) -> Vec<Finding> {
    let (plan, lathe) = (study.plan, &study.plan.rack.lathe);
    let mut found = Vec::new();
    let swing = match plan.blank.shape {
        BlankShape::Round => plan.blank.across,
        BlankShape::Square => plan.blank.across * std::f64::consts::SQRT_2,
    };
    if swing > lathe.swing_over_bed {
        found.push(
            kind::LATHE_SWING
                .says(format!(
                    "The blank's corners sweep {}; the lathe clears {} over its bed.",
                    written(plan, swing),
                    written(plan, lathe.swing_over_bed)
                ))
                .against(swing, lathe.swing_over_bed, "mm")
                .in_setup("rough")
                .mended_by([advice(
                    "Plane or saw the corners off, or use a thinner blank or a larger lathe.",
                )]),
        );
    }
    if plan.blank.length > lathe.between_centres {
        let write = written(plan, rounded_up(study, study.expanded.stock.least_length));
        found.push(
            kind::LATHE_LENGTH
                .says(format!(
                    "The blank is {} long; the lathe takes {} between centres.",
                    written(plan, plan.blank.length),
                    written(plan, lathe.between_centres)
                ))
                .against(plan.blank.length, lathe.between_centres, "mm")
                .in_setup("rough")
                .mended_by(
                    clears(study, check, kind::LATHE_LENGTH.id, "blank.length", &write).then(
                        || {
                            change(
                                "blank.length",
                                &write,
                                format!("Saw the blank to {write}, the least this ball needs."),
                            )
                        },
                    ),
                ),
        );
    }
    found
}

fn chuck(study: &Study<'_>) -> Vec<Finding> {
    let (plan, stock) = (study.plan, &study.expanded.stock);
    let widest = stock.rough - 2.0 * SHOULDER;
    let mut found = Vec::new();
    let grip = stock.jaws.as_ref().and_then(|jaws| jaws.spigot);
    let (Some(jaws), Some(grip)) = (&stock.jaws, grip) else {
        let smallest = plan
            .rack
            .jaws
            .iter()
            .filter_map(|jaws| jaws.spigot)
            .map(|grip| grip.smallest)
            .fold(f64::INFINITY, f64::min);
        let limit = if smallest.is_finite() { smallest } else { 0.0 };
        found.push(
            kind::JAWS_LARGE
                .says(match &stock.jaws {
                    Some(jaws) => format!("{} only open into a recess; the ball is held by a spigot.", jaws.name),
                    None if smallest.is_finite() => format!(
                        "The widest spigot this blank can give is {}; the smallest jaws in the rack close to {}.",
                        written(plan, widest), written(plan, smallest)
                    ),
                    None => "The rack has no jaws that close on a spigot.".to_owned(),
                })
                .against(widest, limit, "mm")
                .in_setup("ball")
                .mended_by([advice("Get or make jaws that close on a smaller spigot, or glue the blank to a waste block they can grip.")]),
        );
        return found;
    };
    if grip.smallest > widest {
        let other = plan
            .rack
            .jaws
            .iter()
            .find(|other| other.spigot.is_some_and(|grip| grip.smallest <= widest));
        found.push(
            kind::JAWS_LARGE
                .says(format!(
                    "{} close to {} at the smallest; the widest spigot this blank can give is {}.",
                    jaws.name,
                    written(plan, grip.smallest),
                    written(plan, widest)
                ))
                .against(widest, grip.smallest, "mm")
                .in_setup("ball")
                .mended_by(other.map(|other| {
                    change(
                        "holding.jaws",
                        &other.name,
                        format!("Use the {}.", other.name),
                    )
                })),
        );
    } else if !grip.holds(stock.spigot) {
        let near = settable(
            plan,
            stock.spigot.clamp(grip.smallest, grip.largest.min(widest)),
            plan.rack.calliper_step,
        );
        let write = written(plan, near);
        found.push(
            kind::SPIGOT_GRIP
                .says(format!(
                    "A spigot of {} is outside what {} grip, {} to {}.",
                    written(plan, stock.spigot),
                    jaws.name,
                    written(plan, grip.smallest),
                    written(plan, grip.largest)
                ))
                .against(
                    stock.spigot,
                    if stock.spigot < grip.smallest {
                        grip.smallest
                    } else {
                        grip.largest
                    },
                    "mm",
                )
                .in_setup("rough")
                .in_step("rough.spigot")
                .mended_by(
                    clears(study, check, kind::SPIGOT_GRIP.id, "holding.spigot", &write).then(
                        || {
                            change(
                                "holding.spigot",
                                &write,
                                format!("Turn the spigot to {write}."),
                            )
                        },
                    ),
                ),
        );
    }
    if stock.spigot_length > jaws.depth {
        let write = written(plan, jaws.depth - 1.0);
        found.push(
            kind::SPIGOT_DEPTH
                .says(format!(
                    "The spigot is {} long; {} are {} deep. The shoulder must bear on the jaws, not the spigot's end on the chuck.",
                    written(plan, stock.spigot_length), jaws.name, written(plan, jaws.depth)
                ))
                .against(stock.spigot_length, jaws.depth, "mm")
                .in_setup("rough")
                .in_step("rough.spigot")
                .mended_by(
                    clears(study, check, kind::SPIGOT_DEPTH.id, "holding.spigot_length", &write)
                        .then(|| change("holding.spigot_length", &write, format!("Make the spigot {write} long."))),
                ),
        );
    }
    let overhang = stock.overhang();
    if overhang > MOST_OVERHANG * stock.spigot {
        let limit = MOST_OVERHANG * stock.spigot;
        let least = rounded_up(study, stock.least_length);
        let write = written(plan, least);
        found.push(
            kind::OVERHANG
                .says(format!(
                    "The work stands {} out of the jaws on a spigot of {}, {} times as far.",
                    written(plan, overhang),
                    written(plan, stock.spigot),
                    trimmed(overhang / stock.spigot, 1)
                ))
                .against(overhang, limit, "mm")
                .in_setup("ball")
                .mended_by(
                    clears(study, check, kind::OVERHANG.id, "blank.length", &write).then(|| {
                        change(
                            "blank.length",
                            &write,
                            format!("Use a blank of {write}, the least this ball needs."),
                        )
                    }),
                )
                .mended_by([advice(
                    "Keep the tail centre up for everything but the boring, and take light cuts.",
                )]),
        );
    }
    found
}

fn neck(study: &Study<'_>) -> Vec<Finding> {
    let (plan, stock, layout) = (study.plan, &study.expanded.stock, &study.expanded.layout);
    if stock.neck <= layout.bore_radius + 1e-9 {
        return Vec::new();
    }
    let write = written(
        plan,
        settable(plan, plan.bore.diameter - 2.0, plan.rack.calliper_step).max(1.0),
    );
    vec![
        kind::NECK_SHOWS
            .says(format!(
                "The neck of {} is thicker than the bore of {}: boring leaves a ring of it on the ball.",
                written(plan, 2.0 * stock.neck), written(plan, plan.bore.diameter)
            ))
            .against(2.0 * stock.neck, plan.bore.diameter, "mm")
            .in_setup("second-end")
            .in_step("second-end.pole")
            .mended_by(
                clears(study, check, kind::NECK_SHOWS.id, "holding.neck", &write)
                    .then(|| change("holding.neck", &write, format!("Leave a neck of {write}; the bore takes it out."))),
            )
            .mended_by([advice("Or keep it and turn the ring away with the ball on its pin.")]),
    ]
}

/// The index head.
pub fn index(study: &Study<'_>) -> Vec<Finding> {
    let plan = study.plan;
    let count = plan.ball.marks;
    if plan.rack.index_for(count).is_some() {
        return Vec::new();
    }
    let plates = &plan.rack.lathe.index;
    let most = plates.iter().max().copied().unwrap_or(0);
    let near = mark_counts(study, |other| other.is_multiple_of(4));
    let rings = if plates.is_empty() {
        "There is no index head".to_owned()
    } else {
        let list: Vec<String> = plates.iter().map(u32::to_string).collect();
        format!("The index head has {} holes", list.join(", "))
    };
    let missed = plan.rack.nearest_holes(count).map_or_else(String::new, |near| {
        let miss = std::f64::consts::TAU * study.expanded.layout.radius * near.error;
        format!(
            " The nearest holes, of the {}-hole ring, miss by up to {} on the ball; from about 1 mm it is seen.",
            near.holes,
            written(plan, miss)
        )
    });
    let combined = plan.rack.combined_index(count).map(|way| match way {
        Combined::HalfHole { holes, every } => format!(
            "Or make every other mark with every {every}th hole of the {holes}-hole ring, loosen the chuck, turn the ball half a hole against it (half way between two marks by the dividers), and make the others the same way."
        ),
        Combined::TwoRings { forwards, back } => format!(
            "Or, on a head whose rings turn against each other, from mark to mark {} holes forwards on the {}-hole ring and {} back on the {}-hole ring.",
            forwards[1], forwards[0], back[1], back[0]
        ),
    });
    vec![
        kind::INDEX_MARKS
            .says(format!("{rings}; none of them divides into {count} marks.{missed}"))
            .against(f64::from(count), f64::from(most), "count")
            .in_setup("ball")
            .in_step("ball.marks")
            .mended_by(
                near.into_iter()
                    .filter(|other| clears(study, index, kind::INDEX_MARKS.id, "ball.marks", &other.to_string()))
                    .take(2)
                    .map(|other| change("ball.marks", other.to_string(), format!("Make {other} marks, which the index head gives."))),
            )
            .mended_by(combined.map(advice))
            .mended_by([advice("Or wrap the printed strip round the middle line and prick the marks through it; the piercing then needs a way to lock the ball at each.")]),
    ]
}
