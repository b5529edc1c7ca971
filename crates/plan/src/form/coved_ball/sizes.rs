//! From the plan's wishes to a layout of numbers that can be set.
//!
//! The cove's width, the flat and the cove's bottom are set on callipers; each
//! is rounded to what they hold, in the order they are set, and the next is
//! worked out from the rounded one. A width is never rounded up past the point
//! where neighbouring edges touch.

use std::f64::consts::TAU;

use super::layout::Layout;
use crate::bench::settable;
use crate::plan::Plan;
use crate::reader::{Problem, line_and_column};

/// The layout of a plan, or what in it cannot be laid out.
pub fn lay_out(plan: &Plan) -> Result<Layout, Vec<Problem>> {
    let step = plan.rack.calliper_step;
    let radius = 0.5 * settable(plan, plan.ball.diameter, step);
    let pitch = TAU / f64::from(plan.ball.marks);
    let widest = 2.0 * radius * (0.5 * pitch).sin();
    let asked = 2.0 * radius * (0.5 * (pitch - plan.cove.land / radius)).sin();
    let mut width = settable(plan, asked, step);
    let down = step.max(plan.style.step_mm());
    while width > widest + 1e-9 {
        width = settable(plan, width - down, step);
    }
    let half_width = 0.5 * width;
    let flat_radius = 0.5
        * settable(
            plan,
            2.0 * (radius * radius - half_width * half_width).max(0.0).sqrt(),
            step,
        );
    let bottom_radius = 0.5 * settable(plan, 2.0 * (flat_radius - plan.cove.depth), step);
    let depth = flat_radius - bottom_radius;
    let mut wrong = Vec::new();
    if half_width <= 0.0 {
        wrong.push(problem(
            plan,
            "cove.land",
            format!(
                "a land of {:.1} mm, which leaves no width for the cove",
                plan.cove.land
            ),
            format!(
                "less than {:.1} mm between {} marks",
                radius * pitch,
                plan.ball.marks
            ),
            "make the land narrower or the marks fewer",
        ));
    } else if depth > half_width {
        wrong.push(problem(
            plan,
            "cove.depth",
            format!("{:.1} mm", plan.cove.depth),
            format!("at most half the cove's width, {half_width:.1} mm: a deeper arc would undercut its own edges"),
            "make the cove shallower, the land narrower or the marks fewer",
        ));
    } else if bottom_radius <= 0.0 {
        wrong.push(problem(
            plan,
            "cove.depth",
            format!("{:.1} mm", plan.cove.depth),
            format!("less than the flat's radius, {flat_radius:.1} mm: nothing would be left at the axis"),
            "make the cove shallower",
        ));
    } else if depth <= 0.0 {
        wrong.push(problem(
            plan,
            "cove.depth",
            format!("{:.3} mm", plan.cove.depth),
            format!(
                "at least one step of the callipers on the radius, {:.2} mm",
                0.5 * down
            ),
            "make the cove deeper",
        ));
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let marker_depth = marker_depth(plan, radius, bottom_radius);
    Ok(Layout {
        marks: plan.ball.marks,
        radius,
        half_width,
        flat_radius,
        bottom_radius,
        bore_radius: 0.5 * plan.bore.diameter,
        pierce_radius: plan.pierce.map(|pierce| 0.5 * pierce.diameter),
        marker_radius: 0.5 * plan.markers.diameter,
        marker_end: radius - marker_depth,
    })
}

/// Depth of the marker holes' full width below the ball's surface, set on a depth stop: the cove's
/// bottom and the margin, rounded up so that rounding never costs the mark.
fn marker_depth(plan: &Plan, radius: f64, bottom_radius: f64) -> f64 {
    let exact = radius - bottom_radius + plan.markers.margin;
    let step = plan.rack.rule_step.max(plan.style.step_mm());
    let set = settable(plan, exact, plan.rack.rule_step);
    if set + 1e-9 < exact {
        settable(plan, set + step, plan.rack.rule_step)
    } else {
        set
    }
}

/// A problem at a key of the plan.
pub(crate) fn problem(
    plan: &Plan,
    key: &str,
    found: String,
    allowed: String,
    mend: &str,
) -> Problem {
    let span = plan.span_of(key).unwrap_or(0..0);
    let (line, column) = line_and_column(&plan.source.text, span.start);
    Problem {
        key: key.to_owned(),
        span,
        line,
        column,
        found,
        allowed,
        mend: Some(mend.to_owned()),
    }
}
