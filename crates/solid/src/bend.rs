//! How strongly a distance function bends near a point.
//!
//! Within a ball of radius `reach` about a point, a signed distance that is
//! smooth there differs from its tangent plane at the centre by at most
//! ½ · bend · reach². That bound is what makes volumes honest to second order.
//! The principal curvatures of the distance to a turned body are that of the
//! outline's offset, 1 / |q − centre| for an arc and 0 for a line, and that of
//! the parallel circle, |gradient in radius| / radius. Where a corner of the
//! outline, its medial axis or the axis of turning may lie within reach there
//! is no such bound, and the answer is none. How fast the curvature itself changes is
//! bounded in the same way, for answers of third order.

use glam::DVec2;

use crate::part::Shape;
use crate::profile::Profile;

impl Profile {
    /// A bound on the curvature (1/mm) of the turned body's signed distance
    /// everywhere within `reach` mm of `q` = (station, radius), or none where the
    /// distance may have a crease there.
    pub fn bend(&self, q: DVec2, reach: f64) -> Option<f64> {
        let nearest = self
            .parts
            .iter()
            .filter(|part| !part.on_axis)
            .map(|part| part.foot(q).squared)
            .fold(f64::INFINITY, f64::min)
            .sqrt();
        let limit = nearest + 2.0 * reach;
        let mut bend: f64 = 0.0;
        let mut near = 0;
        let mut joints = 0;
        let mut tightest = f64::INFINITY;
        for (index, part) in self.parts.iter().enumerate() {
            if part.on_axis || part.foot(q).squared > limit * limit {
                continue;
            }
            near += 1;
            let next = &self.parts[(index + 1) % self.parts.len()];
            let end_near = q.distance(part.to) <= limit;
            joints += usize::from(end_near && part.smooth_at_end);
            if end_near && !part.smooth_at_end {
                // A corner on the axis is none in space when the outline meets the axis
                // squarely, but then the parallel circle is left to answer below.
                if !(next.on_axis && part.to.y == 0.0 && squarely(part.tangent(true))) {
                    return None;
                }
            }
            let before = &self.parts[(index + self.parts.len() - 1) % self.parts.len()];
            let meets_axis_squarely =
                before.on_axis && part.from.y == 0.0 && squarely(part.tangent(false));
            if !before.smooth_at_end && q.distance(part.from) <= limit && !meets_axis_squarely {
                return None;
            }
            bend = bend.max(part_bend(&part.shape, q, reach)?);
            if let Shape::Arc { radius, .. } = &part.shape {
                tightest = tightest.min(*radius);
            }
        }
        // Two walls that are not joined here have their middle between them within reach.
        // Several parts joined without a corner are one smooth curve as long as the
        // neighbourhood is small against its tightest arc: a curve of curvature 1/r
        // cannot turn back inside a disc of radius r/2.
        if near > joints + 1 || (near > 1 && limit > 0.5 * tightest) {
            return None;
        }
        Some(bend)
    }
}

fn squarely(tangent: DVec2) -> bool {
    tangent.x.abs() < 1e-9
}

pub(crate) fn part_bend(shape: &Shape, q: DVec2, reach: f64) -> Option<f64> {
    match shape {
        Shape::Line { direction, .. } => {
            // A face square to the axis bends nowhere, not even on the axis.
            if direction.x.abs() < 1e-12 {
                return Some(0.0);
            }
            let low = q.y - reach;
            (low > 0.0).then(|| direction.x.abs() / low)
        }
        Shape::Arc { centre, .. } => {
            let to_centre = q.distance(*centre) - reach;
            if to_centre <= 0.0 {
                return None;
            }
            if centre.y == 0.0 {
                // A ball: both curvatures are equal, on the axis too.
                return Some(1.0 / to_centre);
            }
            let low = q.y - reach;
            (low > 0.0).then(|| (1.0 / low).max(1.0 / to_centre))
        }
    }
}

/// The largest x (1 - x²) for 0 ≤ x ≤ 1, three times: the third derivative of the
/// distance from a point, an axis or a sphere's centre, times the square of that distance.
const THIRD: f64 = 1.154_700_538_379_251_7;

/// A bound on the third derivative (1/mm²), along any straight way in the ball, of the
/// distance to a part's whole line or circle, turned; where [`part_bend`] has an answer.
///
/// With z the vector from the circle's centre in (station, radius) the distance is |z| less
/// the radius. Along a way that has the share c of its direction about the axis, |z′|² is
/// 1 - c², z″ is c²/ρ in the radius and |z‴| at most [`THIRD`]/ρ², so by the chain rule
/// THIRD (1/|z|² + 1/(|z| ρ) + 1/ρ²).
pub(crate) fn part_twist(shape: &Shape, q: DVec2, reach: f64) -> f64 {
    let low = q.y - reach;
    match shape {
        Shape::Line { direction, .. } if direction.x.abs() < 1e-12 => 0.0,
        Shape::Line { direction, .. } => THIRD * direction.x.abs() / (low * low),
        Shape::Arc { centre, .. } => {
            let to_centre = q.distance(*centre) - reach;
            if centre.y == 0.0 {
                return THIRD / (to_centre * to_centre);
            }
            let (a, b) = (1.0 / to_centre, 1.0 / low);
            THIRD * (a * a + a * b + b * b)
        }
    }
}
