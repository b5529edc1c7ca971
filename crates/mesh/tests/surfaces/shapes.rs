//! The solids the surface tests are made on.

use std::sync::Arc;

use rondure_solid::{DVec2, DVec3, Path, Profile, Region, Solid, Turn};

/// A ball of radius `radius` about the origin.
pub fn ball(radius: f64) -> Solid {
    Solid::new(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::ball(radius).unwrap(),
    ))
}

/// A bore of radius `radius` along `axis`, right through.
pub fn bore(origin: DVec3, axis: DVec3, radius: f64) -> Region {
    Region::revolved(
        origin,
        axis,
        Profile::cylinder(-100.0, 100.0, radius).unwrap(),
    )
}

/// All that is outside a cylinder of radius `radius` along `axis`, for small blanks.
pub fn outside(axis: DVec3, radius: f64) -> Region {
    let tube = Path::from(-100.0, radius)
        .line_to(-100.0, 100.0)
        .line_to(100.0, 100.0)
        .line_to(100.0, radius)
        .close()
        .unwrap();
    Region::revolved(DVec3::ZERO, axis, tube)
}

/// A groove with a round bottom: arc of radius `radius` through edges at ±`half`, the edges
/// at radius `edge` from the axis; open outwards.
pub fn cove(half: f64, radius: f64, edge: f64) -> Profile {
    let centre = edge + (radius * radius - half * half).sqrt();
    Path::from(-half, 100.0)
        .line_to(-half, edge)
        .arc_to(half, edge, DVec2::new(0.0, centre), Turn::Left)
        .line_to(half, 100.0)
        .close()
        .unwrap()
}

/// A groove with a sharp bottom at radius `bottom`, `half` wide on each side 12 mm farther out.
pub fn vee(half: f64, bottom: f64) -> Profile {
    Path::from(-half, 100.0)
        .line_to(-half, bottom + 12.0)
        .line_to(0.0, bottom)
        .line_to(half, bottom + 12.0)
        .line_to(half, 100.0)
        .close()
        .unwrap()
}

/// The common body of `n` cylinders of radius `radius` whose axes lie in one plane at even angles.
pub fn coplanar_cylinders(n: u32, radius: f64) -> Solid {
    let axis = |k: u32| {
        let angle = std::f64::consts::PI * f64::from(k) / f64::from(n);
        DVec3::new(angle.cos(), angle.sin(), 0.0)
    };
    let rod = Profile::cylinder(-4.0 * radius, 4.0 * radius, radius).unwrap();
    let mut solid = Solid::new(Region::revolved(DVec3::ZERO, axis(0), rod));
    for k in 1..n {
        solid = solid.cut(outside(axis(k), radius));
    }
    solid
}

/// Ball R 30 with four crossing coves, a bore of radius 9.5 and eight radial holes of radius 6.
pub fn pierced_ball() -> Solid {
    let w = 30.0 * 22.5f64.to_radians().sin();
    let groove = Arc::new(cove(w, 1.15 * w, 30.0 * 22.5f64.to_radians().cos()));
    let hole = Arc::new(Profile::cylinder(0.0, 40.0, 6.0).unwrap());
    let around = |k: u32| {
        let angle = f64::from(k) * 45f64.to_radians();
        DVec3::new(angle.cos(), angle.sin(), 0.0)
    };
    let mut solid = ball(30.0);
    for k in 0..4 {
        solid = solid.cut(Region::revolved(DVec3::ZERO, around(k), groove.clone()));
    }
    solid = solid.cut(bore(DVec3::ZERO, DVec3::Z, 9.5));
    for k in 0..8 {
        solid = solid.cut(Region::revolved(DVec3::ZERO, around(k), hole.clone()));
    }
    solid
}
