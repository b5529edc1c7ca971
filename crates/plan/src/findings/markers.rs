//! Marker holes: deep enough to keep their marks, gone from the finished piece.

use rondure_solid::{DVec3, Face};

use super::kind::{self, change};
use super::mending::{bit_sizes, clears, first_of};
use crate::bench::written;
use crate::form::coved_ball::layout::POINT_118;
use crate::form::coved_ball::mountings::MARKER_KINDS;
use crate::form::coved_ball::piercing::PIERCE_KINDS;
use crate::form::coved_ball::{BALL, Layout};
use crate::process::{CutKind, State};
use crate::report::Finding;
use crate::study::Study;

/// Least depth of a mark below the cove's bottom, mm: the cove is cut by eye and gauge, and sanded.
/// Common practice, no source.
pub(crate) const LEAST_MARGIN: f64 = 1.0;

/// Too shallow, into the bore, or showing.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    [shallow, into_bore, shows]
        .into_iter()
        .filter_map(|each| each(study))
        .collect()
}

fn shallow(study: &Study<'_>) -> Option<Finding> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let margin = layout.bottom_radius - layout.marker_end;
    if margin + 1e-9 >= LEAST_MARGIN {
        return None;
    }
    let write = written(
        plan,
        crate::bench::settable(
            plan,
            LEAST_MARGIN + plan.style.step_mm(),
            plan.style.step_mm(),
        ),
    );
    Some(
        kind::MARKER_SHALLOW
            .says(format!(
                "The marker holes end {} below the cove's bottom; the cove and its sanding may take the mark.",
                written(plan, margin)
            ))
            .against(margin, LEAST_MARGIN, "mm")
            .in_setup("mounting.1")
            .in_step("mounting.1.markers")
            .at(layout.towards_cove(0, true) * layout.marker_end)
            .mended_by(
                clears(study, check, kind::MARKER_SHALLOW.id, "markers.margin", &write)
                    .then(|| change("markers.margin", &write, format!("Drill them {write} deeper than the cove's bottom."))),
            ),
    )
}

fn into_bore(study: &Study<'_>) -> Option<Finding> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let tip = layout.marker_end - POINT_118 * plan.markers.diameter;
    if tip > layout.bore_radius {
        return None;
    }
    let least = LEAST_MARGIN;
    let step = plan.rack.rule_step.max(plan.style.step_mm());
    let margin = super::mending::nearest_length(
        study,
        check,
        kind::MARKER_BORE.id,
        "markers.margin",
        plan.markers.margin,
        least,
        step,
    );
    Some(
        kind::MARKER_BORE
            .says(format!(
                "The point of a marker hole ends {} from the ball's axis, inside the bore's radius of {}: the hole has no bottom, and a centre's point finds nothing there.",
                written(plan, tip.max(0.0)), written(plan, layout.bore_radius)
            ))
            .against(tip, layout.bore_radius, "mm")
            .in_setup("mounting.1")
            .in_step("mounting.1.markers")
            .at(layout.towards_cove(0, true) * layout.bore_radius)
            .mended_by(margin.map(|margin| {
                let write = written(plan, margin);
                change("markers.margin", &write, format!("Drill them only {write} deeper than the cove's bottom."))
            })),
    )
}

fn shows(study: &Study<'_>) -> Option<Finding> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let (place, name) = left_of_markers(study.finished(BALL), layout)?;
    let pierced = layout.pierce_radius.map_or(0.0, |radius| 2.0 * radius);
    let smaller = first_of(
        study,
        check,
        kind::MARKER_SHOWS.id,
        "markers.diameter",
        bit_sizes(study, &MARKER_KINDS)
            .into_iter()
            .rev()
            .filter(|size| *size < plan.markers.diameter),
        |size| written(plan, *size),
    );
    let larger = (pierced > 0.0)
        .then(|| {
            let sizes = bit_sizes(study, &PIERCE_KINDS)
                .into_iter()
                .filter(|size| *size > pierced);
            first_of(
                study,
                check,
                kind::MARKER_SHOWS.id,
                "pierce.diameter",
                sizes.take(12),
                |size| written(plan, *size),
            )
        })
        .flatten();
    Some(
        kind::MARKER_SHOWS
            .says(if pierced > 0.0 {
                format!("Part of {name} ({}) is left beside its pierced hole ({}).", written(plan, plan.markers.diameter), written(plan, pierced))
            } else {
                format!("Nothing is pierced, so {name} stays to be seen in the bottom of its cove.")
            })
            .against(plan.markers.diameter, pierced, "mm")
            .in_setup("mounting.1")
            .in_step("mounting.1.markers")
            .at(place)
            .mended_by(smaller.map(|size| {
                let write = written(plan, size);
                change("markers.diameter", &write, format!("Drill the markers {write}; the pierced holes take them out."))
            }))
            .mended_by(larger.map(|size| {
                let write = written(plan, size);
                change("pierce.diameter", &write, format!("Pierce {write}, which takes the markers out."))
            }))
            .mended_by((pierced == 0.0).then(|| kind::advice("Fill the marker holes with plugs of the same wood, or mark the coves afresh with the strip and drill no markers."))),
    )
}

/// A place where the wall of a marker hole still bounds the finished wood, with the hole's name: every
/// wall is tried along its length and round it. The hole's floor lies within its wall.
fn left_of_markers(state: &State, layout: &Layout) -> Option<(DVec3, String)> {
    state.solid.faces().find_map(|face| {
        let cut = state
            .cut_of(face)
            .filter(|cut| cut.kind == CutKind::Marker)?;
        let rondure_solid::Region::Revolved { axis, .. } = &cut.region else {
            return None;
        };
        let place = wall_left(state, face, *axis, layout)?;
        Some((place, cut.name.clone()))
    })
}

fn wall_left(state: &State, face: Face, axis: DVec3, layout: &Layout) -> Option<DVec3> {
    const ALONG: u32 = 120;
    const ROUND: u32 = 12;
    let right = axis.any_orthonormal_vector();
    let up = axis.cross(right);
    (0..=ALONG).find_map(|part| {
        let share = f64::from(part) / f64::from(ALONG);
        let along = axis * (layout.marker_end + (layout.radius - layout.marker_end) * share);
        (0..ROUND).find_map(|turn| {
            let angle = std::f64::consts::TAU * f64::from(turn) / f64::from(ROUND);
            let wall = along + (right * angle.cos() + up * angle.sin()) * layout.marker_radius;
            // Wood begins at this wall if no other cut has taken it. The last cuts, the pierced
            // holes, are the likeliest to.
            let last = state.solid.cuts().len();
            (0..=last)
                .rev()
                .map(Face)
                .filter(|other| *other != face)
                .all(|other| state.solid.depth_to(other, wall) > 1e-3)
                .then_some(wall)
        })
    })
}
