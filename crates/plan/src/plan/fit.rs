//! Whether the numbers of a plan fit together, as far as a formula can tell.
//!
//! With R the radius of the ball, n its marks and δ = 2π/n, a cove of edge
//! half-angle β leaves a land of R (δ − 2β) on the equator and is 2 R sin β
//! wide; its bottom lies at R cos β less its depth. So the land stays below
//! R δ, the depth up to half the width and above a bottom on the axis. What
//! needs the solid (walls, seats, holes that meet) is not judged here.

use std::f64::consts::PI;

use super::{Ball, Bore, Cove, Markers, Pierce};
use crate::reader::Reader;

/// Reports what does not fit on the ball; what could not be read is passed over.
pub(super) fn check_fit(
    reader: &Reader,
    ball: Ball,
    cove: Option<Cove>,
    bore: Option<Bore>,
    markers: Option<Markers>,
    pierce: Option<Pierce>,
) {
    if let Some(bore) = bore
        && bore.diameter >= ball.diameter
    {
        reader.report(
            "bore.diameter",
            reader.show(bore.diameter),
            format!(
                "less than the ball's diameter of {}",
                reader.show(ball.diameter)
            ),
            Some("make the bore smaller".to_owned()),
        );
    }
    let Some(half_width) = cove.and_then(|cove| check_cove(reader, ball, cove)) else {
        return;
    };
    let width = 2.0 * half_width;
    for (key, diameter) in [
        ("markers.diameter", markers.map(|markers| markers.diameter)),
        ("pierce.diameter", pierce.map(|pierce| pierce.diameter)),
    ] {
        if let Some(diameter) = diameter.filter(|&diameter| diameter > width) {
            reader.report(
                key,
                reader.show(diameter),
                format!("up to {}, the width of a cove", reader.show_below(width)),
                Some("use a smaller bit, or fewer marks".to_owned()),
            );
        }
    }
}

/// Half the width of a cove, mm; none where it has none.
fn check_cove(reader: &Reader, ball: Ball, cove: Cove) -> Option<f64> {
    let radius = ball.diameter / 2.0;
    let share = 2.0 * PI * radius / f64::from(ball.marks);
    if cove.land >= share {
        reader.report(
            "cove.land",
            reader.show(cove.land),
            format!(
                "less than {}, the share of one cove on the equator (π × {} / {})",
                reader.show_below(share),
                reader.show(ball.diameter),
                ball.marks
            ),
            Some("write land = 0 for coves that touch, or use fewer marks".to_owned()),
        );
        return None;
    }
    let half_angle = (share - cove.land) / (2.0 * radius);
    let half_width = radius * half_angle.sin();
    let deepest = half_width.min(radius * half_angle.cos());
    if cove.depth > deepest {
        let most = reader.show_below(deepest);
        reader.report(
            "cove.depth",
            reader.show(cove.depth),
            format!("up to {most}, half the width of a cove"),
            Some(format!(
                "write depth = \"{most}\", or use fewer marks or less land"
            )),
        );
    }
    Some(half_width)
}
