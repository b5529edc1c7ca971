//! Whether a drill chuck clears the wood beside a pierced hole.
//!
//! A hole begins at the bottom of a cove, and the ridges beside it stand higher. The highest wood within
//! the chuck's radius of the hole's axis is looked for on the true solid before the first hole, along
//! straight lines beside the axis; a crest that pokes in between two lines can be missed by a little.

use std::f64::consts::TAU;

use super::BALL;
use super::piercing::PAST_BORE;
use crate::study::Study;

/// Circles of lines tried, and lines on each.
const CIRCLES: u32 = 12;
const LINES: u32 = 48;

/// How far the bit must stand out of the chuck for the pierced holes, mm; none where nothing is pierced.
pub fn free_length(study: &Study<'_>) -> Option<f64> {
    let (process, layout) = (&study.expanded.process, &study.expanded.layout);
    let setup = process.setup("pierce")?;
    let solid = process.state_before(BALL, setup, 0).solid;
    let out = layout.towards_cove(0, true);
    let right = out.any_orthonormal_vector();
    let up = out.cross(right);
    let reach = layout.radius + 5.0;
    let widest = 0.5 * study.plan.rack.drill_chuck;
    let highest = (1..=CIRCLES)
        .flat_map(|circle| {
            let radius = widest * f64::from(circle) / f64::from(CIRCLES);
            (0..LINES).map(move |line| (radius, TAU * f64::from(line) / f64::from(LINES)))
        })
        .filter_map(|(radius, angle)| {
            let beside = radius * (right * angle.cos() + up * angle.sin());
            let met = solid.first_wood(out * reach + beside, -out, 0.0, reach)?;
            Some(reach - met.enter)
        })
        .fold(layout.bottom_radius, f64::max);
    Some(highest - (layout.bore_radius - PAST_BORE))
}
