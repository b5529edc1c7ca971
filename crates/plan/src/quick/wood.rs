//! The finished ball's wood from its layout alone, and from one making of it.
//!
//! The ball as turned, the bore, the coves and the pierced holes: what the plan's whole
//! process leaves, without the cuts that vanish in others (billet, stubs, marker holes).

use std::sync::Arc;

use rondure_solid::{DVec3, Profile, ProfileError, Region, Solid};

use crate::form::coved_ball::Layout;
use crate::outline::CLEAR;

/// The finished ball of a layout, all cuts where they should be.
///
/// # Errors
/// If a size of the layout is not a number that can be drawn.
pub fn wood(layout: &Layout) -> Result<Solid, ProfileError> {
    let about =
        |axis, profile: &Arc<Profile>| Region::revolved(DVec3::ZERO, axis, Arc::clone(profile));
    let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(layout.radius)?);
    let bore = Arc::new(Profile::cylinder(-CLEAR, CLEAR, layout.bore_radius)?);
    let cove = Arc::new(layout.cove_profile()?);
    let mut cuts = Vec::with_capacity(1 + 2 * layout.marks as usize);
    cuts.push(about(DVec3::Z, &bore));
    for j in 0..layout.mountings() {
        cuts.push(about(layout.towards(j), &cove));
    }
    if let Some(radius) = layout.pierce_radius {
        let hole = Arc::new(layout.pierced_profile(radius)?);
        for j in 0..layout.mountings() {
            for after in [true, false] {
                cuts.push(about(layout.towards_cove(j, after), &hole));
            }
        }
    }
    Ok(Solid::with_cuts(ball, cuts))
}
