//! The numbers of a coved ball (DESIGN section 4), as set on the tools.
//!
//! Frame: centre at the origin, blank axis z, mark k of n at azimuth kδ with
//! δ = 2π/n. Mounting j runs through marks j and j + n/2 along a_j; its cove is
//! centred on the great circle square to a_j and meets the equator a quarter
//! turn before and after mark j.
//!
//! Callipers and lines are set to what the tool holds, and everything that
//! follows is worked out from the set values, so that the solid is the one the
//! turner will have.

use std::f64::consts::{FRAC_PI_2, TAU};

use rondure_solid::{DVec2, DVec3, Path, Profile, ProfileError, Region, Turn};

use crate::outline::CLEAR;

/// Sizes of a coved ball, mm and radians, after rounding to the tools.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Number of marks, even.
    pub marks: u32,
    /// Radius of the ball.
    pub radius: f64,
    /// Half the width of a cove, from its middle to its edge line.
    pub half_width: f64,
    /// Radius of the flat about the mounting's axis.
    pub flat_radius: f64,
    /// Radius of the cove's bottom about the mounting's axis.
    pub bottom_radius: f64,
    /// Radius of the bore.
    pub bore_radius: f64,
    /// Radius of the pierced holes; none where the coves stay whole.
    pub pierce_radius: Option<f64>,
    /// Radius of the marker holes.
    pub marker_radius: f64,
    /// How far from the ball's centre the full width of a marker hole ends.
    pub marker_end: f64,
}

impl Layout {
    /// Angle from mark to mark, radians.
    pub fn pitch(&self) -> f64 {
        TAU / f64::from(self.marks)
    }

    /// Number of mountings.
    pub fn mountings(&self) -> u32 {
        self.marks / 2
    }

    /// Azimuth of mark k, radians.
    pub fn azimuth(&self, mark: u32) -> f64 {
        self.pitch() * f64::from(mark)
    }

    /// Unit vector from the centre to mark k on the equator.
    pub fn towards(&self, mark: u32) -> DVec3 {
        at_azimuth(self.azimuth(mark))
    }

    /// Unit vector to the middle of cove j on the equator: after mark j (`true`) or before it.
    pub fn towards_cove(&self, mounting: u32, after: bool) -> DVec3 {
        let quarter = if after { FRAC_PI_2 } else { -FRAC_PI_2 };
        at_azimuth(self.azimuth(mounting) + quarter)
    }

    /// Half the angle a cove's edges span at the centre, β, radians.
    pub fn half_angle(&self) -> f64 {
        (self.half_width / self.radius).asin()
    }

    /// Ball surface left on the equator between neighbouring coves, R(δ − 2β), mm.
    pub fn land(&self) -> f64 {
        self.radius * (self.pitch() - 2.0 * self.half_angle())
    }

    /// Depth of the cove below its flat, s, mm.
    pub fn depth(&self) -> f64 {
        self.flat_radius - self.bottom_radius
    }

    /// Radius of the cove's arc, r = (w² + s²) / (2s), mm.
    pub fn arc_radius(&self) -> f64 {
        let (w, s) = (self.half_width, self.depth());
        (w * w + s * s) / (2.0 * s)
    }

    /// Distance of the arc's centre from the mounting's axis, ρ_c = ρ_b + r, mm.
    pub fn arc_centre(&self) -> f64 {
        self.bottom_radius + self.arc_radius()
    }

    /// Radius inside which neighbouring parallel holes run together, h / sin(δ/2), mm.
    pub fn holes_meet(&self) -> Option<f64> {
        self.pierce_radius.map(|h| h / (0.5 * self.pitch()).sin())
    }

    /// Wood between neighbouring hole rims on the cove's bottom circle, 2ρ_b sin(δ/2) − 2h, mm.
    pub fn rim_gap(&self) -> Option<f64> {
        self.pierce_radius
            .map(|h| 2.0 * self.bottom_radius * (0.5 * self.pitch()).sin() - 2.0 * h)
    }

    /// Height of the final ridge between two neighbouring coves above the equator's plane at
    /// distance `x` from the z axis, mm:
    /// z² = (ρ_c − √(r² − x² sin²(δ/2)))² − x² cos²(δ/2); none where there is no ridge.
    pub fn ridge(&self, x: f64) -> Option<f64> {
        let (sin, cos) = (0.5 * self.pitch()).sin_cos();
        let r = self.arc_radius();
        let under = r * r - x * x * sin * sin;
        if under < 0.0 {
            return None;
        }
        let across = self.arc_centre() - under.sqrt();
        let squared = across * across - x * x * cos * cos;
        (squared >= 0.0).then(|| squared.sqrt())
    }

    /// Height of the bore's rim at its lowest, on the middle of a cove: √(ρ_b² − b²), mm.
    pub fn rim_low(&self) -> Option<f64> {
        let squared = self.bottom_radius.powi(2) - self.bore_radius.powi(2);
        (squared > 0.0).then(|| squared.sqrt())
    }

    /// Height of the bore's rim beside a cove's middle, at `angle` from it round the bore, radians, mm:
    /// with t = b sin θ along the cove's axis, z² = (ρ_c − √(r² − t²))² − b² cos² θ.
    pub fn rim_at(&self, angle: f64) -> Option<f64> {
        let (sin, cos) = angle.sin_cos();
        let under = self.arc_radius().powi(2) - (self.bore_radius * sin).powi(2);
        let across = self.arc_centre() - (under >= 0.0).then(|| under.sqrt())?;
        let squared = across * across - (self.bore_radius * cos).powi(2);
        (squared > 0.0).then(|| squared.sqrt())
    }

    /// Where a centre bears at mark k before any cove has reached it, on the ball.
    pub fn on_ball(&self, mark: u32) -> DVec3 {
        self.towards(mark) * self.radius
    }

    /// The region of mounting j's flat: between the edge lines, outside the flat's cylinder.
    pub fn flat(&self, mounting: u32) -> Result<Region, ProfileError> {
        let (w, f) = (self.half_width, self.flat_radius);
        let profile = Path::from(-w, f)
            .line_to(w, f)
            .line_to(w, CLEAR)
            .line_to(-w, CLEAR)
            .close()?;
        Ok(Region::revolved(
            DVec3::ZERO,
            self.towards(mounting),
            profile,
        ))
    }

    /// The region of mounting j's cove: between the edge lines, outside the arc. It contains the flat's.
    pub fn cove(&self, mounting: u32) -> Result<Region, ProfileError> {
        Ok(Region::revolved(
            DVec3::ZERO,
            self.towards(mounting),
            self.cove_profile()?,
        ))
    }

    /// The outline of every cove about its mounting's axis.
    pub fn cove_profile(&self) -> Result<Profile, ProfileError> {
        let (w, f) = (self.half_width, self.flat_radius);
        Path::from(-w, f)
            .arc_to(w, f, DVec2::new(0.0, self.arc_centre()), Turn::Left)
            .line_to(w, CLEAR)
            .line_to(-w, CLEAR)
            .close()
    }

    /// A marker hole towards `direction`, its drill point (118°, length 0.300 of the
    /// diameter, trade facts 9.15) below its full width.
    pub fn marker(&self, direction: DVec3) -> Result<Region, ProfileError> {
        let (m, end) = (self.marker_radius, self.marker_end);
        let point = (end - POINT_118 * 2.0 * m).max(0.0);
        let profile = Path::from(point, 0.0)
            .line_to(end, m)
            .line_to(CLEAR, m)
            .line_to(CLEAR, 0.0)
            .close()?;
        Ok(Region::revolved(DVec3::ZERO, direction, profile))
    }

    /// A pierced hole of radius `radius` towards `direction`, from just past the centre outwards.
    pub fn pierced(&self, direction: DVec3, radius: f64) -> Result<Region, ProfileError> {
        Ok(Region::revolved(
            DVec3::ZERO,
            direction,
            self.pierced_profile(radius)?,
        ))
    }

    /// The outline of a pierced hole of radius `radius` about its axis.
    pub fn pierced_profile(&self, radius: f64) -> Result<Profile, ProfileError> {
        Profile::cylinder(-PAST_CENTRE, CLEAR, radius)
    }
}

/// Length of a 118° drill point over the drill's diameter: ½ / tan 59° = 0.300
/// (exact geometry; trade facts 9.15).
pub const POINT_118: f64 = 0.300_430_309_513_780_14;

/// How far a pierced hole's region reaches past the ball's centre, mm. It lies in the bore
/// or the opposite hole; without it the two holes would only touch.
const PAST_CENTRE: f64 = 0.5;

fn at_azimuth(angle: f64) -> DVec3 {
    DVec3::new(angle.cos(), angle.sin(), 0.0)
}
