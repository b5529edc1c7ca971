//! The numbers that follow: markers, tenons, holding, and the stock.
//!
//! They have no part in the look. Each has one rule, applied in order once the coves and holes
//! are chosen; what the rule cannot keep, a finding says afterwards.

use std::collections::BTreeMap;
use std::f64::consts::SQRT_2;

use super::role::Keeps;
use crate::bench::{settable, written};
use crate::findings::markers::LEAST_MARGIN;
use crate::form::coved_ball::finial_outline::lay_out;
use crate::form::coved_ball::finials::{End, rough_diameter};
use crate::form::coved_ball::layout::POINT_118;
use crate::form::coved_ball::mountings::MARKER_KINDS;
use crate::form::coved_ball::stock::{SHOULDER, stock};
use crate::form::coved_ball::{Layout, sizes};
use crate::plan::{BlankShape, Finial, Plan};
use crate::rack::CentreKind;
use crate::units::{LengthStyle, MILLIMETRES_PER_INCH};

/// Why a number is what it is, by its key.
pub type Reasons = BTreeMap<String, String>;

/// Overhang over the spigot's diameter that a chuck manual allows, derived (trade facts 3.2).
const MOST_OVERHANG: f64 = 150.0 / 45.0;
/// A marker hole stays this much inside its pierced hole, on the radius, mm: hands drill both.
/// Common practice, no source.
const MARKER_INSIDE: f64 = 0.5;

/// Settles what follows from coves, bore and holes of a plan under way. None where these cannot
/// be laid out.
pub fn settle(work: &mut Plan, old: &Plan, keeps: &Keeps, scale: f64) -> Option<Reasons> {
    let mut reasons = Reasons::new();
    markers(work, old, keeps, &mut reasons)?;
    let layout = sizes::lay_out(work).ok()?;
    tenons(work, old, keeps, scale, &layout, &mut reasons);
    holding(work, old, keeps, scale, &layout, &mut reasons);
    blanks(work, old, keeps, scale, &layout, &mut reasons);
    Some(reasons)
}

fn markers(work: &mut Plan, old: &Plan, keeps: &Keeps, reasons: &mut Reasons) -> Option<()> {
    work.markers = old.markers;
    let layout = sizes::lay_out(work).ok()?;
    let hole = layout.pierce_radius.unwrap_or(f64::INFINITY);
    let step = work.rack.rule_step.max(work.style.step_mm());
    if !keeps.holds("markers.margin") {
        // As deep as it was, or less where its point would come out in the bore.
        let tip = |margin: f64| layout.bottom_radius - margin - POINT_118 * old.markers.diameter;
        let mut margin = old.markers.margin;
        // One step of the stop is lost where the depth is rounded up.
        while tip(margin) - step <= layout.bore_radius && margin - step >= LEAST_MARGIN - 1e-9 {
            margin = settable(work, margin - step, step);
        }
        if (margin - old.markers.margin).abs() > 1e-9 {
            reasons.insert(
                "markers.margin".to_owned(),
                "deeper, and the marker's point would come out in the bore (marker.bore)"
                    .to_owned(),
            );
        }
        work.markers.margin = margin;
    }
    if !keeps.holds("markers.diameter") {
        let layout = sizes::lay_out(work).ok()?;
        let depth = layout.radius - layout.marker_end;
        let fits = |size: &f64| {
            let reaches = work.rack.bits.iter().any(|bit| {
                MARKER_KINDS.contains(&bit.kind)
                    && (bit.diameter - size).abs() < 1e-9
                    && bit.reach >= depth
            });
            reaches && 0.5 * size + MARKER_INSIDE <= hole
        };
        let away = |size: &f64| (size - old.markers.diameter).abs();
        let best = work
            .rack
            .bit_sizes(&MARKER_KINDS)
            .into_iter()
            .filter(|size| fits(size))
            .min_by(|a, b| away(a).total_cmp(&away(b)));
        if let Some(best) = best
            && away(&best) > 1e-9
        {
            let why = if 0.5 * old.markers.diameter + MARKER_INSIDE > hole {
                "the nearest bit that the pierced holes take out whole".to_owned()
            } else {
                format!("the nearest bit that reaches {} deep", written(work, depth))
            };
            reasons.insert("markers.diameter".to_owned(), why);
            work.markers.diameter = best;
        }
    }
    Some(())
}

fn tenons(
    work: &mut Plan,
    old: &Plan,
    keeps: &Keeps,
    scale: f64,
    layout: &Layout,
    reasons: &mut Reasons,
) {
    const LEAST: f64 = 3.0;
    let room = layout
        .pierce_radius
        .and_then(|pierced| Some(layout.ridge(layout.bore_radius)? - pierced));
    let step = work.rack.rule_step.max(work.style.step_mm());
    for end in [End::Top, End::Bottom] {
        let key = format!("finials.{}.tenon_length", end.word());
        let Some(before) = end.of(old).map(|finial| finial.tenon_length) else {
            continue;
        };
        if keeps.holds(&key) {
            continue;
        }
        let wished = settable(work, scale * before, work.rack.rule_step);
        let mut length = wished.max(settable(work, LEAST, work.rack.rule_step));
        if length > wished + 1e-9 {
            reasons.insert(
                key.clone(),
                "any shorter, and it holds no glue to speak of".to_owned(),
            );
        }
        let most = room.unwrap_or(f64::INFINITY).max(LEAST);
        if length > most {
            length = settable(work, (most / step + 1e-9).floor() * step, step);
            if length > most + 1e-9 {
                length = settable(work, length - step, step);
            }
            reasons.insert(
                key,
                format!(
                    "past {} it would show through the pierced holes (finial.tenon)",
                    written(work, most)
                ),
            );
        }
        if let Some(finial) = finial_mut(work, end) {
            finial.tenon_length = length;
        }
    }
}

fn finial_mut(plan: &mut Plan, end: End) -> Option<&mut Finial> {
    match end {
        End::Top => plan.finials.top.as_mut(),
        End::Bottom => plan.finials.bottom.as_mut(),
    }
}

fn holding(
    work: &mut Plan,
    old: &Plan,
    keeps: &Keeps,
    scale: f64,
    layout: &Layout,
    reasons: &mut Reasons,
) {
    let step = work.rack.calliper_step;
    work.holding = crate::plan::Holding {
        order: work.holding.order.take(),
        ..old.holding.clone()
    };
    // Where neither jaws nor spigot are named they are chosen anyway.
    let widest = stock(work, layout).rough - 2.0 * SHOULDER;
    if let Some(name) = old
        .holding
        .jaws
        .as_ref()
        .filter(|_| !keeps.holds("holding.jaws"))
    {
        let fits =
            |jaws: &&crate::rack::Jaws| jaws.spigot.is_some_and(|grip| grip.smallest <= widest);
        let wished = work
            .rack
            .jaws_named(name)
            .map_or(0.0, |jaws| scale * jaws.full_circle);
        let best = work.rack.jaws.iter().filter(fits).min_by(|a, b| {
            let away = |jaws: &crate::rack::Jaws| (jaws.full_circle / wished.max(1e-9)).ln().abs();
            away(a).total_cmp(&away(b))
        });
        if let Some(best) = best.filter(|best| &best.name != name) {
            reasons.insert(
                "holding.jaws".to_owned(),
                "the jaws nearest in size that a spigot of this blank still fills".to_owned(),
            );
            work.holding.jaws = Some(best.name.clone());
        }
    }
    if let Some(spigot) = old
        .holding
        .spigot
        .filter(|_| !keeps.holds("holding.spigot"))
    {
        work.holding.spigot = None;
        let jaws = stock(work, layout).jaws;
        let wished = settable(work, scale * spigot, step);
        let grip = jaws.as_ref().and_then(|jaws| jaws.spigot);
        let fits = grip.map_or(wished, |grip| {
            wished.min(grip.largest).min(widest).max(grip.smallest)
        });
        work.holding.spigot = Some(settable(work, fits, step));
        if let Some(jaws) = jaws.filter(|_| (fits - wished).abs() > 1e-9) {
            reasons.insert(
                "holding.spigot".to_owned(),
                format!("what {} grip", jaws.name),
            );
        }
    }
    overhang(work, old, keeps, layout, reasons);
    if let Some(jaws) = stock(work, layout).jaws
        && !keeps.holds("holding.spigot_length")
        && old.holding.spigot_length > jaws.depth
    {
        work.holding.spigot_length = settable(work, jaws.depth - 1.0, work.rack.rule_step);
        reasons.insert(
            "holding.spigot_length".to_owned(),
            format!(
                "{} are {} deep (spigot.depth)",
                jaws.name,
                written(work, jaws.depth)
            ),
        );
    }
    if let Some(neck) = old.holding.neck.filter(|_| !keeps.holds("holding.neck")) {
        let most = (2.0 * layout.bore_radius - 2.0).max(1.0);
        let wished = settable(work, scale * neck, step);
        work.holding.neck = Some(settable(work, wished.min(most), step));
        if wished > most {
            reasons.insert(
                "holding.neck".to_owned(),
                "thin enough that the bore takes it out whole (neck.shows)".to_owned(),
            );
        }
    }
    let seat = 2.0 * layout.half_width;
    for (key, kind) in [
        ("holding.drive", CentreKind::Drive),
        ("holding.tail", CentreKind::Tail),
    ] {
        let name = match kind {
            CentreKind::Drive => &old.holding.drive,
            CentreKind::Tail => &old.holding.tail,
        };
        let Some(name) = name.as_ref().filter(|_| !keeps.holds(key)) else {
            continue;
        };
        let wished = work
            .rack
            .centre_named(name)
            .map_or(0.0, |centre| scale * centre.diameter);
        let away = |centre: &crate::rack::Centre| (centre.diameter / wished.max(1e-9)).ln().abs();
        let best = work
            .rack
            .centres
            .iter()
            .filter(|centre| centre.kind == kind && centre.diameter < seat)
            .min_by(|a, b| away(a).total_cmp(&away(b)));
        if let Some(best) = best.filter(|best| &best.name != name) {
            reasons.insert(
                key.to_owned(),
                format!(
                    "later seats are {} across (centre.wide)",
                    written(work, seat)
                ),
            );
            let best = Some(best.name.clone());
            match kind {
                CentreKind::Drive => work.holding.drive = best,
                CentreKind::Tail => work.holding.tail = best,
            }
        }
    }
}

/// A spigot wider than the jaws' best circle, where the work would stand too far out on that.
fn overhang(work: &mut Plan, old: &Plan, keeps: &Keeps, layout: &Layout, reasons: &mut Reasons) {
    let stock = stock(work, layout);
    let least = up(stock.least_length, sawn(work)) - stock.spigot_length;
    if least <= MOST_OVERHANG * stock.spigot || keeps.holds("holding.spigot") {
        return;
    }
    let Some(grip) = stock.jaws.as_ref().and_then(|jaws| jaws.spigot) else {
        return;
    };
    let widest = grip.largest.min(stock.rough - 2.0 * SHOULDER);
    let wider = (least / MOST_OVERHANG).ceil().min(widest);
    let wider = settable(work, wider, work.rack.calliper_step);
    if wider > stock.spigot && old.holding.spigot.is_none_or(|spigot| wider > spigot) {
        work.holding.spigot = Some(wider);
        reasons.insert(
            "holding.spigot".to_owned(),
            "wider than the jaws' best, or the work would stand too far out of them (holding.overhang)".to_owned(),
        );
    }
}

/// What blanks are sawn to, mm: whole millimetres, or eighths of an inch.
fn sawn(plan: &Plan) -> f64 {
    match plan.style {
        LengthStyle::Millimetres => 1.0,
        LengthStyle::Inches { .. } => MILLIMETRES_PER_INCH / 8.0,
    }
}

/// The least multiple of a step that is no less.
fn up(mm: f64, step: f64) -> f64 {
    (mm / step - 1e-9).ceil() * step
}

fn blanks(
    work: &mut Plan,
    old: &Plan,
    keeps: &Keeps,
    scale: f64,
    layout: &Layout,
    reasons: &mut Reasons,
) {
    let grid = sawn(work);
    let mut fit = |work: &Plan, key: &str, before: f64, least: f64, most: f64, why: &str| {
        if keeps.holds(key) {
            return before;
        }
        let (wished, least) = (up(scale * before, grid), up(least, grid));
        let chosen = if wished > most {
            least
        } else {
            wished.max(least)
        };
        let chosen = settable(work, chosen, 0.0);
        let words = if wished > most {
            why.to_owned()
        } else if least > wished {
            format!("the least that serves is {}", written(work, least))
        } else {
            "rounded up to what is sawn".to_owned()
        };
        reasons.insert(key.to_owned(), words);
        chosen
    };
    let corners = match work.blank.shape {
        BlankShape::Round => 1.0,
        BlankShape::Square => SQRT_2,
    };
    let stock_now = stock(work, layout);
    let swing = work.rack.lathe.swing_over_bed / corners;
    work.blank.across = fit(
        work,
        "blank.across",
        old.blank.across,
        stock_now.least_across,
        swing,
        "the least this ball needs: more would not swing clear of the bed (lathe.swing)",
    );
    let longest = (MOST_OVERHANG * stock_now.spigot + stock_now.spigot_length)
        .min(work.rack.lathe.between_centres);
    work.blank.length = fit(
        work,
        "blank.length",
        old.blank.length,
        stock_now.least_length,
        longest,
        "the least this ball needs: more would stand too far out of the jaws (holding.overhang)",
    );
    for end in [End::Top, End::Bottom] {
        let key = format!("finials.{}.blank_across", end.word());
        let (Some(before), Some(finial)) = (end.of(old), end.of(work)) else {
            continue;
        };
        let Ok(laid) = lay_out(finial) else { continue };
        let rough = rough_diameter(work, &laid);
        let wished = up(scale * before.blank_across, grid);
        // The narrowest that some jaws grip, not below the wished one if that can be had.
        let gripped = |least: f64| {
            work.rack
                .jaws
                .iter()
                .filter_map(|jaws| jaws.spigot)
                .map(|grip| (up(least.max(grip.smallest), grid), grip))
                .filter(|(size, grip)| grip.holds(*size))
                .map(|(size, _)| size)
                .min_by(f64::total_cmp)
        };
        let least = gripped(rough).unwrap_or(rough);
        let most = gripped(wished.max(rough)).map_or(0.0, |_| f64::INFINITY);
        let across = fit(
            work,
            &key,
            before.blank_across,
            least,
            most,
            "what the jaws of the rack grip (finial.jaws)",
        );
        let across = if keeps.holds(&key) {
            across
        } else {
            settable(work, gripped(across).unwrap_or(across), 0.0)
        };
        if let Some(finial) = finial_mut(work, end) {
            finial.blank_across = across;
        }
    }
}
