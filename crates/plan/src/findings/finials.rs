//! Finials: blank, jaws, neck, shoulder, tenon, hanger.

use super::Check;
use super::kind::{self, advice, change};
use super::mending::{clears, nearest_length};
use crate::bench::{finely, settable, trimmed, written};
use crate::form::coved_ball::finial_outline::Laid;
use crate::form::coved_ball::finials::{End, hanger_wall, rough_diameter, tip_radius};
use crate::form::coved_ball::whip::{self, Whip};
use crate::plan::{Finial, FinialPart};
use crate::report::{Finding, Mend};
use crate::speed::{Work, speed_for};
use crate::study::Study;

/// A tip blunter than this does not prick, mm on the radius. Common practice, no source.
const BLUNT: f64 = 1.0;
/// A shoulder covers the bore by at least this on the radius, mm. Common practice, no source.
pub(crate) const COVER: f64 = 1.0;

/// Everything about the finials.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    let mut found = top(study);
    found.extend(bottom(study));
    found.extend(rim(study));
    found
}

fn top(study: &Study<'_>) -> Vec<Finding> {
    at(study, End::Top)
}

fn bottom(study: &Study<'_>) -> Vec<Finding> {
    at(study, End::Bottom)
}

/// The check that a mend of one finial is held to: what is wrong with the other is no matter of it.
fn alone(end: End) -> Check {
    match end {
        End::Top => top,
        End::Bottom => bottom,
    }
}

fn at(study: &Study<'_>, end: End) -> Vec<Finding> {
    let laid = study
        .expanded
        .finials
        .iter()
        .find(|(other, ..)| *other == end);
    let (Some((.., laid)), Some(finial)) = (laid, end.of(study.plan)) else {
        return Vec::new();
    };
    [
        blank, jaws, neck, whips, rings, tip, shoulder, tenon, hanger,
    ]
    .into_iter()
    .filter_map(|each| each(study, end, finial, laid))
    .collect()
}

fn setup(end: End) -> String {
    format!("finial.{}", end.word())
}

fn key(end: End, rest: &str) -> String {
    format!("finials.{}.{rest}", end.word())
}

fn blank(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid]) -> Option<Finding> {
    let plan = study.plan;
    let least = rough_diameter(plan, laid);
    if finial.blank_across + 1e-9 >= least {
        return None;
    }
    let key = key(end, "blank_across");
    // The least that the jaws grip as well; where none do, the least alone.
    let whole = settable(plan, least.ceil(), plan.rack.rule_step);
    let grips = plan.rack.jaws.iter().filter_map(|jaws| jaws.spigot);
    let gripped = grips
        .filter(|grip| grip.largest >= whole)
        .map(|grip| whole.max(grip.smallest))
        .fold(f64::INFINITY, f64::min);
    let write = written(plan, if gripped.is_finite() { gripped } else { whole });
    Some(
        kind::FINIAL_BLANK
            .says(format!(
                "The blank of the {} finial is {} across; its widest shape needs {}.",
                end.word(),
                written(plan, finial.blank_across),
                written(plan, least)
            ))
            .against(finial.blank_across, least, "mm")
            .in_setup(setup(end))
            .in_step(format!("{}.rough", setup(end)))
            .mended_by(
                clears(study, alone(end), kind::FINIAL_BLANK.id, &key, &write)
                    .then(|| change(&key, &write, format!("Use a blank {write} square."))),
            ),
    )
}

fn jaws(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid]) -> Option<Finding> {
    let plan = study.plan;
    if plan.rack.jaws_for_spigot(finial.blank_across).is_some() {
        return None;
    }
    let least = rough_diameter(plan, laid);
    let grips: Vec<_> = plan
        .rack
        .jaws
        .iter()
        .filter_map(|jaws| jaws.spigot)
        .collect();
    // The gripped size nearest to the blank's that the finial still fits in.
    let near = grips
        .iter()
        .map(|grip| finial.blank_across.clamp(grip.smallest, grip.largest))
        .filter(|size| *size >= least)
        .min_by(|a, b| {
            (a - finial.blank_across)
                .abs()
                .total_cmp(&(b - finial.blank_across).abs())
        });
    let limit = near.unwrap_or(0.0);
    let key = key(end, "blank_across");
    Some(
        kind::FINIAL_JAWS
            .says(format!(
                "No jaws in the rack grip a blank {} across.",
                written(plan, finial.blank_across)
            ))
            .against(finial.blank_across, limit, "mm")
            .in_setup(setup(end))
            .mended_by(
                near.map(|size| written(plan, size))
                    .filter(|write| clears(study, alone(end), kind::FINIAL_JAWS.id, &key, write))
                    .map(|write| change(&key, &write, format!("Use a blank {write} square."))),
            ),
    )
}

fn neck(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid]) -> Option<Finding> {
    let plan = study.plan;
    let limit = plan.limits.finial_neck;
    // The thinnest wood that still carries something: ends of shapes, the tip's own end left out.
    let (index, thinnest) = thinnest(laid)?;
    if 2.0 * thinnest + 1e-9 >= limit {
        return None;
    }
    let number = index + 1;
    let write = written(plan, limit);
    let key = matches!(
        finial.shape[index],
        FinialPart::Cove { .. } | FinialPart::Taper { .. } | FinialPart::Ogee { .. }
    )
    .then(|| key(end, &format!("shape.{number}.to")));
    let mend = key
        .filter(|key| clears(study, alone(end), kind::FINIAL_NECK.id, key, &write))
        .map(|key| {
            change(
                &key,
                &write,
                format!("Let the {} end at {write}.", laid[index].name),
            )
        })
        .unwrap_or_else(|| {
            advice(format!(
                "Leave at least {write} where the {} ends.",
                laid[index].name
            ))
        });
    Some(
        kind::FINIAL_NECK
            .says(format!(
                "The {} finial is only {} thick where its {} ends; the limit is {}.",
                end.word(),
                written(plan, 2.0 * thinnest),
                laid[index].name,
                written(plan, limit)
            ))
            .against(2.0 * thinnest, limit, "mm")
            .limited_by(plan.limits.from.finial_neck)
            .in_setup(setup(end))
            .in_step(format!("{}.shape.{number}", setup(end)))
            .at(rondure_solid::DVec3::new(0.0, 0.0, laid[index].to.x))
            .mended_by([mend]),
    )
}

/// The change that clears a finding on the thinnest place: a thicker end of its shape.
fn thicker(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid], id: &str) -> Option<Mend> {
    let plan = study.plan;
    let (index, thinnest) = thinnest(laid)?;
    if !matches!(
        finial.shape[index],
        FinialPart::Cove { .. } | FinialPart::Taper { .. } | FinialPart::Ogee { .. }
    ) {
        return None;
    }
    let key = key(end, &format!("shape.{}.to", index + 1));
    let step = 5.0 * plan.rack.calliper_step.max(plan.style.step_mm());
    // A ball needs a neck to sit on, so the neck stays under it.
    let most = match finial.shape.get(index + 1) {
        Some(FinialPart::Ball { diameter }) => (2.0 * laid[index].from.y).min(0.9 * diameter),
        _ => 2.0 * laid[index].from.y,
    };
    let size = nearest_length(study, alone(end), id, &key, 2.0 * thinnest, most, step)?;
    let write = written(plan, size);
    Some(change(
        &key,
        &write,
        format!("Let the {} end at {write}.", laid[index].name),
    ))
}

/// The change that clears a finding on a long finial: a shorter longest shape.
fn shorter(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid], id: &str) -> Option<Mend> {
    let plan = study.plan;
    let (index, longest) = finial
        .shape
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.length().total_cmp(&b.1.length()))?;
    let word = laid.get(index)?.name;
    let key = key(end, &format!("shape.{}.{word}", index + 1));
    let step = plan.rack.rule_step.max(plan.style.step_mm());
    let now = longest.length();
    let length = nearest_length(study, alone(end), id, &key, now, 0.25 * now, step)?;
    let write = written(plan, length);
    Some(change(
        &key,
        &write,
        format!("Make the {word} {write} long."),
    ))
}

/// The thinnest end of a shape before the tip: its number from 0 and its radius, mm.
fn thinnest(laid: &[Laid]) -> Option<(usize, f64)> {
    laid.iter()
        .enumerate()
        .take(laid.len().saturating_sub(1))
        .map(|(index, shape)| (index, shape.to.y))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

fn whips(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid]) -> Option<Finding> {
    let plan = study.plan;
    let Whip { bend, .. } = whip::of(plan, finial, laid)?;
    let limit = plan.limits.finial_bend;
    if bend <= limit + 1e-9 {
        return None;
    }
    Some(
        kind::FINIAL_WHIP
            .says(format!(
                "Turned to the end, the {} finial's tip gives way by {} under a side push of {} N, as light as a hand sands; the limit is {}. It chatters, and a catch snaps it.",
                end.word(), finely(plan, bend), whip::SIDE_PUSH, finely(plan, limit)
            ))
            .against(bend, limit, "mm")
            .limited_by(plan.limits.from.finial_bend)
            .in_setup(setup(end))
            .in_step(format!("{}.part", setup(end)))
            .mended_by(thicker(study, end, finial, laid, kind::FINIAL_WHIP.id))
            .mended_by(shorter(study, end, finial, laid, kind::FINIAL_WHIP.id))
            .mended_by([advice("Or finish and sand each shape before the next towards the root is cut, and never go back to the tip.")]),
    )
}

fn rings(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid]) -> Option<Finding> {
    let plan = study.plan;
    let Whip { frequency, .. } = whip::of(plan, finial, laid)?;
    let speed = speed_for(plan, Work::Turning, rough_diameter(plan, laid));
    let limit = whip::CLEAR_OF_SPEED * speed.to / 60.0;
    if frequency >= limit - 1e-9 {
        return None;
    }
    let slower = 60.0 * frequency / whip::CLEAR_OF_SPEED;
    let slower = plan
        .rack
        .lathe
        .speeds
        .at_most((slower / 10.0).floor() * 10.0);
    let write = trimmed(slower, 0);
    Some(
        kind::FINIAL_RINGS
            .says(format!(
                "Turned to the end, the {} finial swings by itself {} times a second; the lathe at {} rpm pushes it {} times a second. That is too near: it begins to whip.",
                end.word(), trimmed(frequency, 0), trimmed(speed.to, 0), trimmed(speed.to / 60.0, 0)
            ))
            .against(frequency, limit, "Hz")
            .in_setup(setup(end))
            .in_step(format!("{}.part", setup(end)))
            .mended_by(
                clears(study, alone(end), kind::FINIAL_RINGS.id, "speeds.turning", &write)
                    .then(|| change("speeds.turning", &write, format!("Turn at no more than {write} rpm."))),
            )
            .mended_by(thicker(study, end, finial, laid, kind::FINIAL_RINGS.id))
            .mended_by(shorter(study, end, finial, laid, kind::FINIAL_RINGS.id)),
    )
}

fn tip(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid]) -> Option<Finding> {
    let plan = study.plan;
    let radius = tip_radius(finial, laid)?;
    if radius + 1e-9 >= BLUNT {
        return None;
    }
    let number = finial.shape.len();
    let key = match finial.shape.last()? {
        FinialPart::Ball { .. } => Some(key(end, &format!("shape.{number}.ball"))),
        FinialPart::Cove { .. } | FinialPart::Taper { .. } | FinialPart::Ogee { .. } => {
            Some(key(end, &format!("shape.{number}.to")))
        }
        FinialPart::Fillet { .. } | FinialPart::Bead { .. } => None,
    };
    let step = plan.rack.calliper_step.max(plan.style.step_mm());
    let write = {
        let set = settable(plan, 2.0 * BLUNT, step);
        written(
            plan,
            if set + 1e-9 < 2.0 * BLUNT {
                set + step
            } else {
                set
            },
        )
    };
    Some(
        kind::FINIAL_TIP
            .says(format!(
                "The {} finial ends in a tip of {} radius: it pricks, and it is the first thing to break off.",
                end.word(), finely(plan, radius)
            ))
            .against(radius, BLUNT, "mm")
            .in_setup(setup(end))
            .in_step(format!("{}.shape.{number}", setup(end)))
            .at(rondure_solid::DVec3::new(0.0, 0.0, laid.last()?.to.x))
            .mended_by(
                key.filter(|key| clears(study, alone(end), kind::FINIAL_TIP.id, key, &write))
                    .map(|key| change(&key, &write, format!("End it at {write} across."))),
            )
            .mended_by([advice("Or end it in a small ball; where children reach it, follow the local rules for points and small parts.")]),
    )
}

fn shoulder(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid]) -> Option<Finding> {
    let plan = study.plan;
    let shoulder = laid.first()?.from.y;
    let least = study.expanded.layout.bore_radius + COVER;
    if shoulder + 1e-9 >= least {
        return None;
    }
    let write = written(
        plan,
        settable(plan, (2.0 * least).ceil(), plan.rack.calliper_step),
    );
    let key = match finial.shape.first()? {
        FinialPart::Fillet { .. } => Some(key(end, "shape.1.diameter")),
        _ => None,
    };
    let mend = key
        .filter(|key| clears(study, alone(end), kind::FINIAL_SHOULDER.id, key, &write))
        .map(|key| change(&key, &write, format!("Make the shoulder {write}.")))
        .unwrap_or_else(|| {
            advice(format!(
                "Begin the finial with a fillet of at least {write}."
            ))
        });
    Some(
        kind::FINIAL_SHOULDER
            .says(format!(
                "The {} finial's shoulder is {} across; the bore is {}. It would fall in or show a gap.",
                end.word(), written(plan, 2.0 * shoulder), written(plan, plan.bore.diameter)
            ))
            .against(2.0 * shoulder, 2.0 * least, "mm")
            .in_setup(setup(end))
            .in_step(format!("{}.shape.1", setup(end)))
            .mended_by([mend]),
    )
}

fn tenon(study: &Study<'_>, end: End, finial: &Finial, _laid: &[Laid]) -> Option<Finding> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let pierced = layout.pierce_radius?;
    let high = layout.ridge(layout.bore_radius)?;
    // The shoulder sits on the ridges; below the highest point of the holes the tenon shows.
    let room = high - pierced;
    if finial.tenon_length <= room {
        return None;
    }
    let key = key(end, "tenon_length");
    let step = plan.rack.rule_step.max(plan.style.step_mm());
    let shorter = nearest_length(
        study,
        alone(end),
        kind::FINIAL_TENON.id,
        &key,
        finial.tenon_length,
        3.0,
        step,
    );
    Some(
        kind::FINIAL_TENON
            .says(format!(
                "The {} finial's tenon is {} long; below {} from its shoulder it stands in the pierced holes and shows.",
                end.word(), written(plan, finial.tenon_length), written(plan, room)
            ))
            .against(finial.tenon_length, room, "mm")
            .in_setup(setup(end))
            .in_step(format!("{}.tenon", setup(end)))
            .mended_by(shorter.map(|length| {
                let write = written(plan, length);
                change(&key, &write, format!("Make the tenon {write} long."))
            })),
    )
}

fn hanger(study: &Study<'_>, end: End, finial: &Finial, laid: &[Laid]) -> Option<Finding> {
    let plan = study.plan;
    let hanger = finial.hanger?;
    let wall = hanger_wall(hanger, laid);
    if wall + 1e-9 >= plan.limits.hanger_wall {
        return None;
    }
    let key_depth = key(end, "hanger.depth");
    let step = plan.rack.rule_step.max(plan.style.step_mm());
    let shallower = nearest_length(
        study,
        alone(end),
        kind::HANGER_WALL.id,
        &key_depth,
        hanger.depth,
        1.0,
        step,
    );
    let none = shallower.is_none();
    Some(
        kind::HANGER_WALL
            .says(format!(
                "Round the hanger's hole of {} the {} finial keeps a wall of {} at its thinnest; it may split.",
                written(plan, hanger.diameter), end.word(), written(plan, wall.max(0.0))
            ))
            .against(wall, plan.limits.hanger_wall, "mm")
            .limited_by(plan.limits.from.hanger_wall)
            .in_setup(setup(end))
            .in_step(format!("{}.hanger", setup(end)))
            .mended_by(shallower.map(|depth| {
                let write = written(plan, depth);
                change(&key_depth, &write, format!("Drill it only {write} deep."))
            }))
            .mended_by(none.then(|| advice("Make the tip thicker or the hanger's shank thinner."))),
    )
}

fn rim(study: &Study<'_>) -> Option<Finding> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    study.expanded.finials.first()?;
    let rise = layout.ridge(layout.bore_radius)? - layout.rim_low()?;
    let see = 0.3;
    if rise <= see {
        return None;
    }
    Some(
        kind::FINIAL_RIM
            .says(format!(
                "The bore's rim rises and falls by {} round the pole; a flat shoulder meets it at {} points and shows gaps between.",
                written(plan, rise), layout.marks
            ))
            .against(rise, see, "mm")
            .in_setup("assembly")
            .in_step("assembly.dry")
            .at(rondure_solid::DVec3::new(0.0, 0.0, layout.ridge(layout.bore_radius)?))
            .mended_by([advice("Face the rim flat round the bore with the ball on its pin before the finials go in, or undercut the shoulder so that only its outer edge meets the ridges.")]),
    )
}
