//! The point that lies on several patches at once, nearest to where one begins.
//!
//! Newton's method with the shortest step that satisfies the linearised
//! conditions. The conditions are exact distances without ends, so near an edge
//! or a corner the steps settle quadratically; where the patches touch without
//! crossing, their directions become parallel and the steps still settle, halving.

use glam::DVec3;

use crate::patch::{PatchId, Patches};

/// A point is on a patch when it is within this of it, mm.
pub(crate) const ON_PATCH: f64 = 1e-9;

/// A plane the point must keep to: any point of it, and its unit normal.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plane {
    pub(crate) through: DVec3,
    pub(crate) normal: DVec3,
}

/// The point on all the patches (at most three with the plane counted) near `start`,
/// or none within `reach` mm of it.
pub(crate) fn settle(
    patches: &Patches<'_>,
    on: &[PatchId],
    plane: Option<Plane>,
    start: DVec3,
    reach: f64,
) -> Option<DVec3> {
    let mut p = start;
    for _ in 0..40 {
        let mut rows = [(DVec3::ZERO, 0.0); 3];
        let mut count = 0;
        let mut off: f64 = 0.0;
        for &patch in on {
            let sense = patches.sense(patch, p);
            off = off.max(sense.depth.abs());
            rows[count] = (sense.inward, -sense.depth);
            count += 1;
        }
        if off < ON_PATCH {
            return Some(p);
        }
        if let Some(plane) = plane {
            rows[count] = (plane.normal, plane.normal.dot(plane.through - p));
            count += 1;
        }
        p += shortest(&rows[..count]);
        if !p.is_finite() || p.distance(start) > reach {
            return None;
        }
    }
    None
}

/// The shortest step `s` with `row · s = value` for every row; rows that say nearly the
/// same are taken together. Rows are made square to each other one after another.
fn shortest(rows: &[(DVec3, f64)]) -> DVec3 {
    let mut step = DVec3::ZERO;
    let mut basis = [DVec3::ZERO; 3];
    for (index, &(row, value)) in rows.iter().enumerate() {
        let mut rest = row;
        for made in &basis[..index] {
            rest -= *made * rest.dot(*made);
        }
        let length = rest.length();
        // Parallel to what is already met: a step along it would run away.
        if length > 1e-7 {
            let unit = rest / length;
            step += unit * ((value - row.dot(step)) / length);
            basis[index] = unit;
        }
    }
    step
}

#[cfg(test)]
mod tests {
    use super::*;
    use rondure_solid::{Face, Profile, Region, Solid};

    #[test]
    fn the_rim_of_a_bore_is_found_on_both() {
        let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(30.0).unwrap());
        let bore = Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::cylinder(-40.0, 40.0, 9.5).unwrap(),
        );
        let solid = Solid::new(ball).cut(bore);
        let patches = Patches::new(&solid);
        let faces = [Face(0), Face(1)];
        let outside = patches.at(&faces, DVec3::new(30.0, 0.0, 0.0));
        let wall = patches.at(&faces, DVec3::new(9.5, 0.0, 0.0));
        let start = DVec3::new(10.0, 0.5, 28.0);
        let rim = settle(&patches, &[outside, wall], None, start, 3.0).unwrap();
        assert!((rim.length() - 30.0).abs() < 1e-9);
        assert!((rim.truncate().length() - 9.5).abs() < 1e-9);
    }
}
