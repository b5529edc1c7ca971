//! A region of space: a turned body or a half-space.
//!
//! Its signed distance is exact, negative inside, with foot and gradient. A
//! region serves as the blank (the wood is inside it) and as a cut (the wood is
//! outside it).

use std::sync::Arc;

use glam::{DVec2, DVec3};

use crate::profile::Profile;
use crate::solid::Bounds;

/// A region of space, mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Region {
    /// A profile turned about an axis.
    Revolved {
        /// Where station 0 is.
        origin: DVec3,
        /// Unit vector along which stations grow.
        axis: DVec3,
        /// The outline in (station, radius).
        profile: Arc<Profile>,
    },
    /// All points beyond a plane: those with `normal · p > offset`.
    HalfSpace {
        /// Unit vector into the region.
        normal: DVec3,
        /// Distance of the plane from the origin along `normal`, mm.
        offset: f64,
    },
}

/// The nearest point of a region's surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feature {
    /// Signed distance, mm; negative inside the region.
    pub distance: f64,
    /// The nearest point of the surface.
    pub foot: DVec3,
    /// Unit vector along which the signed distance grows fastest (out of the region).
    pub gradient: DVec3,
}

impl Region {
    /// A profile turned about the line through `origin` along `axis` (any length but 0).
    ///
    /// # Panics
    /// If `axis` is zero or not finite: a broken invariant of the caller, never of a plan.
    pub fn revolved(origin: DVec3, axis: DVec3, profile: impl Into<Arc<Profile>>) -> Self {
        let axis = axis.try_normalize().expect("an axis has a direction");
        Self::Revolved {
            origin,
            axis,
            profile: profile.into(),
        }
    }

    /// All points with `normal · p > offset`, where `normal` is scaled to length 1 first.
    ///
    /// # Panics
    /// If `normal` is zero or not finite: a broken invariant of the caller, never of a plan.
    pub fn beyond(normal: DVec3, offset: f64) -> Self {
        let normal = normal.try_normalize().expect("a plane has a normal");
        Self::HalfSpace { normal, offset }
    }

    /// Signed distance, mm; negative inside the region.
    pub fn signed_distance(&self, p: DVec3) -> f64 {
        match self {
            Self::Revolved {
                origin,
                axis,
                profile,
            } => profile.signed_distance(station_radius(*origin, *axis, p).0),
            Self::HalfSpace { normal, offset } => offset - normal.dot(p),
        }
    }

    /// Signed distance with foot and gradient.
    pub fn nearest(&self, p: DVec3) -> Feature {
        match self {
            Self::Revolved {
                origin,
                axis,
                profile,
            } => {
                let (q, radial) = station_radius(*origin, *axis, p);
                let near = profile.nearest(q);
                // On the axis every direction of the radius is as good as another.
                let radial = radial.unwrap_or_else(|| axis.any_orthonormal_vector());
                Feature {
                    distance: near.distance,
                    foot: *origin + *axis * near.foot.x + radial * near.foot.y,
                    gradient: *axis * near.gradient.x + radial * near.gradient.y,
                }
            }
            Self::HalfSpace { normal, offset } => {
                let distance = offset - normal.dot(p);
                Feature {
                    distance,
                    foot: p + *normal * distance,
                    gradient: -*normal,
                }
            }
        }
    }

    /// A bound on the curvature (1/mm) of the signed distance within `reach` mm of `p`,
    /// or none where it may have a crease there.
    pub fn bend(&self, p: DVec3, reach: f64) -> Option<f64> {
        match self {
            Self::Revolved {
                origin,
                axis,
                profile,
            } => profile.bend(station_radius(*origin, *axis, p).0, reach),
            Self::HalfSpace { .. } => Some(0.0),
        }
    }

    /// A box around the region; none where it is not bounded.
    pub fn bounds(&self) -> Option<Bounds> {
        match self {
            Self::Revolved {
                origin,
                axis,
                profile,
            } => {
                let (low, high) = profile.stations();
                let (a, b) = (*origin + *axis * low, *origin + *axis * high);
                let across = (DVec3::ONE - *axis * *axis).max(DVec3::ZERO).map(f64::sqrt)
                    * profile.largest_radius();
                Some(Bounds {
                    low: a.min(b) - across,
                    high: a.max(b) + across,
                })
            }
            Self::HalfSpace { .. } => None,
        }
    }
}

/// Station and radius of a point, and the unit vector of its radius where it is off the axis.
pub(crate) fn station_radius(origin: DVec3, axis: DVec3, p: DVec3) -> (DVec2, Option<DVec3>) {
    let from_origin = p - origin;
    let station = from_origin.dot(axis);
    let across = from_origin - axis * station;
    let radius = across.length();
    (
        DVec2::new(station, radius),
        (radius > 0.0).then(|| across / radius),
    )
}
