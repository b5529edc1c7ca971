//! What each centre bears on, at every mounting.

use super::kind::{self, advice, change};
use super::mending::{clears, mark_counts, nearest_length};
use crate::bench::written;
use crate::rack::{Centre, CentreKind};
use crate::report::Finding;
use crate::seat::{Bearing, NARROWEST, Seat};
use crate::study::{Mounted, Study};

/// Seats on air, on ridges, and centres wider than their seats: each kind once for each centre's end,
/// at the worst mounting.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    [CentreKind::Drive, CentreKind::Tail]
        .into_iter()
        .flat_map(|end| one_end(study, end))
        .collect()
}

fn of(mounted: &Mounted, end: CentreKind) -> &Seat {
    match end {
        CentreKind::Drive => &mounted.drive,
        CentreKind::Tail => &mounted.tail,
    }
}

fn words(end: CentreKind) -> &'static str {
    match end {
        CentreKind::Drive => "drive centre",
        CentreKind::Tail => "tail centre",
    }
}

/// The centre that serves every mounting: the plan's, or the widest in the rack that fits the narrowest seat,
/// or the narrowest there is.
pub fn centre<'a>(study: &'a Study<'_>, end: CentreKind) -> Option<&'a Centre> {
    let named = match end {
        CentreKind::Drive => &study.plan.holding.drive,
        CentreKind::Tail => &study.plan.holding.tail,
    };
    let rack = &study.plan.rack;
    if let Some(name) = named {
        return rack.centre_named(name);
    }
    let narrowest = study
        .mountings()
        .iter()
        .map(|mounted| of(mounted, end).radius)
        .fold(f64::INFINITY, f64::min);
    rack.centre_for_seat(end, 2.0 * narrowest).or_else(|| {
        rack.centres
            .iter()
            .filter(|centre| centre.kind == end)
            .min_by(|a, b| a.diameter.total_cmp(&b.diameter))
    })
}

fn one_end(study: &Study<'_>, end: CentreKind) -> Vec<Finding> {
    let mountings = study.mountings();
    let setup = |mounted: &Mounted| study.expanded.process.setups[mounted.setup].id.clone();
    let which = |bearing: Bearing| {
        mountings
            .iter()
            .filter(move |mounted| of(mounted, end).bearing == bearing)
    };
    let numbers = |bearing: Bearing| {
        let list: Vec<String> = which(bearing)
            .map(|mounted| setup(mounted).replace("mounting.", ""))
            .collect();
        if list.len() == 1 {
            format!("mounting {}", list[0])
        } else {
            format!("mountings {}", list.join(", "))
        }
    };
    let mut found = Vec::new();
    if let Some(first) = which(Bearing::Air).next() {
        found.push(
            kind::SEAT_AIR
                .says(format!(
                    "At {} the {} comes to no wood at all.",
                    numbers(Bearing::Air),
                    words(end)
                ))
                .against(0.0, NARROWEST, "mm")
                .in_setup(setup(first))
                .in_step(format!("{}.mount", setup(first)))
                .mended_by(super::coves::clear_of_bore(study, check, kind::SEAT_AIR.id))
                .mended_by([advice(
                    "Plug the hole with waste wood for this mounting, or pierce later.",
                )]),
        );
    }
    if let Some(worst) =
        which(Bearing::Ridge).min_by(|a, b| of(a, end).radius.total_cmp(&of(b, end).radius))
    {
        let seat = of(worst, end);
        let marks = study.plan.ball.marks;
        let why = if marks.is_multiple_of(4) {
            ""
        } else {
            " With a number of marks that 4 does not divide, a mark lies midway between two coves."
        };
        found.push(
            kind::SEAT_RIDGE
                .says(format!(
                    "At {} the {} comes to a ridge: whole rings bear only to a radius of {}.{why}",
                    numbers(Bearing::Ridge),
                    words(end),
                    written(study.plan, seat.radius)
                ))
                .against(seat.radius, NARROWEST, "mm")
                .in_setup(setup(worst))
                .in_step(format!("{}.mount", setup(worst)))
                .at(seat.at)
                .mended_by(fewer_marks(study, kind::SEAT_RIDGE.id))
                .mended_by(wider_land(study, kind::SEAT_RIDGE.id)),
        );
    }
    let Some(centre) = centre(study, end) else {
        return found;
    };
    let narrow = mountings
        .iter()
        .filter(|mounted| !matches!(of(mounted, end).bearing, Bearing::Air | Bearing::Ridge))
        .min_by(|a, b| of(a, end).radius.total_cmp(&of(b, end).radius));
    if let Some(worst) = narrow.filter(|mounted| centre.diameter > 2.0 * of(mounted, end).radius) {
        let seat = of(worst, end);
        let key = if end == CentreKind::Drive {
            "holding.drive"
        } else {
            "holding.tail"
        };
        let other = study.plan.rack.centre_for_seat(end, 2.0 * seat.radius);
        let mends =
            other.filter(|other| clears(study, check, kind::CENTRE_WIDE.id, key, &other.name));
        let none = mends.is_none();
        found.push(
            kind::CENTRE_WIDE
                .says(format!(
                    "The {} is {} across; its narrowest seat, on {} at mounting {}, is {}.",
                    centre.name, written(study.plan, centre.diameter), seat.bearing.words(),
                    setup(worst).replace("mounting.", ""), written(study.plan, 2.0 * seat.radius)
                ))
                .against(centre.diameter, 2.0 * seat.radius, "mm")
                .in_setup(setup(worst))
                .in_step(format!("{}.mount", setup(worst)))
                .at(seat.at)
                .mended_by(mends.map(|other| change(key, &other.name, format!("Use the {}.", other.name))))
                .mended_by(none.then(|| advice("Turn a wooden pad that fits the seat and let the centre bear on the pad, or get a smaller centre.")))
        );
    }
    found
}

fn fewer_marks(study: &Study<'_>, id: &'static str) -> Option<crate::report::Mend> {
    let counts = mark_counts(study, |count| count.is_multiple_of(4));
    counts
        .into_iter()
        .take(4)
        .find(|count| clears(study, check, id, "ball.marks", &count.to_string()))
        .map(|count| {
            change(
                "ball.marks",
                count.to_string(),
                format!("Make {count} marks: then every later seat is the bottom of a cove."),
            )
        })
}

fn wider_land(study: &Study<'_>, id: &'static str) -> Option<crate::report::Mend> {
    let layout = &study.expanded.layout;
    let most = 0.6 * layout.radius * layout.pitch();
    let step = 5.0
        * study
            .plan
            .rack
            .calliper_step
            .max(study.plan.style.step_mm());
    let land = nearest_length(
        study,
        check,
        id,
        "cove.land",
        study.plan.cove.land,
        most,
        step,
    )?;
    let write = written(study.plan, land);
    Some(change(
        "cove.land",
        &write,
        format!("Leave a land of {write} between the coves to seat the centres on."),
    ))
}
