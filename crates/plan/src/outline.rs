//! Regions outside an outline: what turning to a shape removes.
//!
//! An outline runs along the axis from the headstock's side (small stations) to
//! the tailstock's and says the radius that is left. All wood farther out goes.
//! Each later outline lies inside the earlier, so its region holds the earlier
//! one whole.

use rondure_solid::{DVec2, DVec3, Path, ProfileError, Region, Turn};

use crate::facets::Stage;

/// Far enough out to be clear of any blank the largest lathe takes, mm.
pub const CLEAR: f64 = 10_000.0;

/// Everything farther from the z axis than `radius`, between two stations.
pub fn outside_cylinder(from: f64, to: f64, radius: f64) -> Result<Region, ProfileError> {
    about_z(
        Path::from(from, radius)
            .line_to(to, radius)
            .line_to(to, CLEAR)
            .line_to(from, CLEAR),
    )
}

/// What stays at the two ends of a ball while it is rounded on a spigot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stubs {
    /// Radius of the neck at the headstock's side.
    pub head: f64,
    /// Station where the neck ends in thicker wood.
    pub head_from: f64,
    /// Radius of the stub at the tailstock's side.
    pub tail: f64,
    /// Station beyond the tail end of the blank.
    pub tail_to: f64,
}

/// Everything outside a faceted ball of `radius`, with stubs.
pub fn outside_facets(radius: f64, stage: &Stage, stubs: Stubs) -> Result<Region, ProfileError> {
    let head = stage
        .corners
        .iter()
        .map(|corner| DVec2::new(corner.from_end - radius, 0.5 * corner.diameter));
    let tail = stage
        .corners
        .iter()
        .rev()
        .map(|corner| DVec2::new(radius - corner.from_end, 0.5 * corner.diameter));
    // The polygon from pole to pole, end faces included.
    let mut corners = vec![DVec2::new(-radius, 0.0)];
    corners.extend(head);
    corners.extend(tail);
    corners.push(DVec2::new(radius, 0.0));
    let leaves = rises_through(&corners, stubs.head);
    corners.reverse();
    let meets = rises_through(&corners, stubs.tail);
    corners.reverse();
    let (Some((first, leaves)), Some((last, meets))) = (leaves, meets) else {
        return Err(ProfileError::Empty);
    };
    let last = corners.len() - last;
    let mut path = Path::from(stubs.head_from, stubs.head).line_to(leaves.x, leaves.y);
    for corner in &corners[first..last] {
        path = path.line_to(corner.x, corner.y);
    }
    about_z(
        path.line_to(meets.x, meets.y)
            .line_to(stubs.tail_to, stubs.tail)
            .line_to(stubs.tail_to, CLEAR)
            .line_to(stubs.head_from, CLEAR),
    )
}

/// Everything outside a ball of `radius`, with stubs.
pub fn outside_ball(radius: f64, stubs: Stubs) -> Result<Region, ProfileError> {
    let along = |stub: f64| (radius * radius - stub * stub).max(0.0).sqrt();
    about_z(
        Path::from(stubs.head_from, stubs.head)
            .line_to(-along(stubs.head), stubs.head)
            .arc_to(along(stubs.tail), stubs.tail, DVec2::ZERO, Turn::Right)
            .line_to(stubs.tail_to, stubs.tail)
            .line_to(stubs.tail_to, CLEAR)
            .line_to(stubs.head_from, CLEAR),
    )
}

fn about_z(path: Path) -> Result<Region, ProfileError> {
    Ok(Region::revolved(DVec3::ZERO, DVec3::Z, path.close()?))
}

/// The first corner above `level` on a run of corners that begins on the axis, and the
/// point before it at that level.
fn rises_through(corners: &[DVec2], level: f64) -> Option<(usize, DVec2)> {
    let above = corners.iter().position(|corner| corner.y > level)?;
    let (low, high) = (corners[above - 1], corners[above]);
    let share = (level - low.y) / (high.y - low.y);
    Some((above, low.lerp(high, share)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facets::ladder;

    const STUBS: Stubs = Stubs {
        head: 8.0,
        head_from: -40.0,
        tail: 5.0,
        tail_to: 40.0,
    };

    /// Wherever facets touch the finished ball, both outlines pass through the same point; at
    /// the corners the facets stand `above` it.
    #[test]
    fn facets_touch_the_ball_and_stand_above_it() {
        let ball = outside_ball(30.0, STUBS).unwrap();
        for stage in ladder(60.0, 32) {
            let facets = outside_facets(30.0, &stage, STUBS).unwrap();
            for touch in stage.touches.iter().filter(|touch| touch.diameter > 17.0) {
                for side in [-1.0, 1.0] {
                    let point =
                        DVec3::new(0.5 * touch.diameter, 0.0, side * (30.0 - touch.from_end));
                    assert!(ball.signed_distance(point).abs() < 1e-9);
                    assert!(facets.signed_distance(point).abs() < 1e-9);
                }
            }
            for corner in stage.corners.iter().filter(|corner| corner.diameter > 17.0) {
                let point = DVec3::new(0.0, 0.5 * corner.diameter, 30.0 - corner.from_end);
                assert!(facets.signed_distance(point).abs() < 1e-9);
                assert!((ball.signed_distance(point) + stage.above).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn stubs_stay() {
        let ball = outside_ball(30.0, STUBS).unwrap();
        assert!(ball.signed_distance(DVec3::new(7.9, 0.0, -35.0)) > 0.0);
        assert!(ball.signed_distance(DVec3::new(8.1, 0.0, -35.0)) < 0.0);
        assert!(ball.signed_distance(DVec3::new(4.9, 0.0, 35.0)) > 0.0);
        assert!(ball.signed_distance(DVec3::new(5.1, 0.0, 35.0)) < 0.0);
    }
}
