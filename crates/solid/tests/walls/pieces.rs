//! Solids with known walls, shared by the wall tests.

#![expect(clippy::unwrap_used, reason = "planted inputs are valid")]

use rondure_solid::{DVec2, DVec3, Path, Profile, Region, Solid, Turn};

pub fn ball(radius: f64) -> Region {
    Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(radius).unwrap())
}

/// A round bar along z from `low` to `high`.
pub fn bar(low: f64, high: f64, radius: f64) -> Region {
    Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::cylinder(low, high, radius).unwrap(),
    )
}

/// A hole of radius `radius` about the line through `origin` along `axis`.
pub fn hole(origin: DVec3, axis: DVec3, radius: f64) -> Region {
    Region::revolved(
        origin,
        axis,
        Profile::cylinder(-500.0, 500.0, radius).unwrap(),
    )
}

/// The cove of DESIGN section 4 about `axis`: edges at ±`half_width`, `depth` below the
/// flat of a ball of radius `radius`. Returns the region, the arc radius and its centre's radius.
pub fn cove(axis: DVec3, radius: f64, half_width: f64, depth: f64) -> (Region, f64, f64) {
    let flat = (radius * radius - half_width * half_width).sqrt();
    let arc = (half_width * half_width + depth * depth) / (2.0 * depth);
    let centre = flat - depth + arc;
    let far = radius * 1.5;
    let profile = Path::from(-half_width, flat)
        .arc_to(half_width, flat, DVec2::new(0.0, centre), Turn::Left)
        .line_to(half_width, far)
        .line_to(-half_width, far)
        .close()
        .unwrap();
    (Region::revolved(DVec3::ZERO, axis, profile), arc, centre)
}

/// A coved and pierced ball: `marks` marks, coves of the given depth over the whole
/// width, holes of radius `pierced` out along every mark, and a bore along z.
pub fn coved_ball(radius: f64, marks: usize, depth: f64, pierced: f64, bore: f64) -> Solid {
    use std::f64::consts::TAU;
    let delta = TAU / marks as f64;
    let half_width = radius * (0.5 * delta).sin();
    let mut solid = Solid::new(ball(radius));
    for mounting in 0..marks / 2 {
        let azimuth = delta * mounting as f64;
        let axis = DVec3::new(azimuth.cos(), azimuth.sin(), 0.0);
        solid = solid.cut(cove(axis, radius, half_width, depth).0);
    }
    if bore > 0.0 {
        solid = solid.cut(hole(DVec3::ZERO, DVec3::Z, bore));
    }
    if pierced > 0.0 {
        for mark in 0..marks {
            let azimuth = delta * mark as f64;
            let axis = DVec3::new(azimuth.cos(), azimuth.sin(), 0.0);
            solid = solid.cut(Region::revolved(
                DVec3::ZERO,
                axis,
                Profile::cylinder(0.0, 2.0 * radius, pierced).unwrap(),
            ));
        }
    }
    solid
}
