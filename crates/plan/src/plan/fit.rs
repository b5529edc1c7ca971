//! Whether the numbers of a plan fit together, as far as a formula can tell.
//!
//! With R the radius of the ball, n its marks and δ = 2π/n, a cove of edge
//! half-angle β leaves a land of R (δ − 2β) on the equator and is 2 R sin β
//! wide; its bottom lies at R cos β less its depth. So the land stays below
//! R δ, the depth up to half the width and above a bottom on the axis. What
//! needs the solid (walls, seats, holes that meet) is not judged here.

use std::f64::consts::PI;

use super::Plan;
use crate::reader::Reader;
use crate::units::{LengthStyle, show_length};

pub(super) fn check_fit(reader: &Reader, plan: &Plan) {
    let text = |mm| show_length(mm, plan.style).text;
    let radius = plan.ball.diameter / 2.0;
    let share = 2.0 * PI * radius / f64::from(plan.ball.marks);
    let bore = plan.bore.diameter;
    if bore >= plan.ball.diameter {
        reader.report(
            "bore.diameter",
            text(bore),
            format!(
                "less than the ball's diameter of {}",
                text(plan.ball.diameter)
            ),
            Some("make the bore smaller".to_owned()),
        );
    }
    if plan.cove.land >= share {
        reader.report(
            "cove.land",
            text(plan.cove.land),
            format!(
                "less than {}, the share of one cove on the equator ({} × π / {})",
                below(share, plan.style),
                text(plan.ball.diameter),
                plan.ball.marks
            ),
            Some("write land = 0 for coves that touch, or use fewer marks".to_owned()),
        );
        // Without width the coves have no depth to judge.
        return;
    }
    let half_angle = (share - plan.cove.land) / (2.0 * radius);
    let half_width = radius * half_angle.sin();
    let deepest = half_width.min(radius * half_angle.cos());
    if plan.cove.depth > deepest {
        reader.report(
            "cove.depth",
            text(plan.cove.depth),
            format!(
                "up to {}, half the width of a cove",
                below(deepest, plan.style)
            ),
            Some(format!(
                "write depth = \"{}\", or use fewer marks or less land",
                below(deepest, plan.style)
            )),
        );
    }
    for (key, diameter) in [
        ("markers.diameter", Some(plan.markers.diameter)),
        ("pierce.diameter", plan.pierce.map(|pierce| pierce.diameter)),
    ] {
        if let Some(diameter) = diameter
            && diameter > 2.0 * half_width
        {
            reader.report(
                key,
                text(diameter),
                format!(
                    "up to {}, the width of a cove",
                    below(2.0 * half_width, plan.style)
                ),
                Some("use a smaller bit, or fewer marks".to_owned()),
            );
        }
    }
}

/// A length rounded down to what the style can show, so that it may be used.
fn below(mm: f64, style: LengthStyle) -> String {
    let shown = show_length(mm, style);
    if shown.cost_mm <= 0.0 {
        shown.text
    } else {
        show_length(mm - style.step_mm(), style).text
    }
}
