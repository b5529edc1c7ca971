//! The wood after each of many steps, each known from the one before.
//!
//! A state keeps what was summed over the windows of its surface (`tally/tree.rs` in this
//! crate). The next state looks again only at windows that a cut that came or went can reach,
//! and at the new cut's own surface; all else is shared with the state before. So the moments
//! after one more step cost what that step touches, however much was done before. Cuts may
//! also go, as a flat does when a cove has taken all of it.
//!
//! The bounds are those of all windows together, old and new, and as honest as those of
//! [`moments`](crate::moments::moments). Both ways give numbers within each other's bounds, not
//! the same last digits: what a state says depends on the states it came by.

use crate::moments::{Accuracy, Moments};
use crate::solid::Solid;
use crate::tally::MOST_OPEN;
use crate::tally::tree::Trees;

/// A solid with its moments, ready to be cut further.
#[derive(Debug, Clone)]
pub struct Settled {
    solid: Solid,
    accuracy: Accuracy,
    trees: Trees,
    moments: Moments,
}

/// No window is asked for less than this share of the box's volume, where rounding begins.
const LEAST: f64 = 1e-18;

/// Bytes of a window kept, about.
const WINDOW: usize = 232;

impl Settled {
    /// Works out a solid's moments from nothing.
    pub fn of(solid: &Solid, accuracy: Accuracy) -> Self {
        // Wood fills about this share of a coved ball's box.
        let volume = 0.16 * solid.bounds().size().element_product();
        let trees = Trees::of(solid, enough(solid, accuracy, volume));
        Self::reach(solid, accuracy, trees)
    }

    /// Works out the moments of the solid after further steps: any solid, the sooner the fewer
    /// of its cuts are new or gone.
    #[must_use]
    pub fn then(&self, next: &Solid) -> Self {
        if next.blank() != self.solid.blank() {
            return Self::of(next, self.accuracy);
        }
        // One step leaves half of the wood or more.
        let volume = 0.5 * self.moments.volume.max(0.0);
        let enough = enough(next, self.accuracy, volume);
        Self::reach(next, self.accuracy, self.trees.changed(next, enough))
    }

    /// The solid.
    pub fn solid(&self) -> &Solid {
        &self.solid
    }

    /// Its moments.
    pub fn moments(&self) -> Moments {
        self.moments
    }

    /// Bytes that this state takes beside those it came by, about.
    pub fn bytes(&self) -> usize {
        std::mem::size_of::<Self>() + self.trees.made * WINDOW
    }

    /// Looks closer until the accuracy is reached.
    fn reach(solid: &Solid, accuracy: Accuracy, mut trees: Trees) -> Self {
        let box_volume = solid.bounds().size().element_product();
        let mut tally = trees.tally();
        loop {
            let wanted = (accuracy.relative * tally.sums.volume).max(1e-12 * box_volume);
            let worst = trees.worst();
            let full = trees.open() as f64 / MOST_OPEN as f64;
            if tally.doubt.volume <= wanted || worst <= LEAST * box_volume || full >= 0.5 {
                break;
            }
            // As in `tally`: doubt per window goes with size⁴, windows with 1/size; where the
            // surface itself is in doubt they multiply by as much as the share falls.
            let share = (0.85 * wanted / tally.doubt.volume)
                .powf(4.0 / 3.0)
                .clamp(full.max(1.0 / 64.0), 0.5);
            trees = trees.finer(worst * share);
            tally = trees.tally();
        }
        Self {
            solid: solid.clone(),
            accuracy,
            trees,
            moments: Moments::from_tally(solid, &tally, accuracy.relative),
        }
    }
}

/// What one window may leave in doubt, as a first guess for this much wood, mm³.
fn enough(solid: &Solid, accuracy: Accuracy, volume: f64) -> f64 {
    let box_volume = solid.bounds().size().element_product();
    let windows = 40.0 * (solid.cuts().len() + 1) as f64 * accuracy.relative.powf(-0.22);
    (accuracy.relative * volume / windows).max(LEAST * box_volume)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{DVec3, Profile, Region, moments};

    const ACCURACY: Accuracy = Accuracy { relative: 1e-4 };

    fn ball() -> Solid {
        let ball = Profile::ball(30.0).unwrap();
        Solid::new(Region::revolved(DVec3::ZERO, DVec3::Z, ball))
    }

    fn hole(axis: DVec3, from: f64, radius: f64) -> Region {
        let hole = Profile::cylinder(from, 40.0, radius).unwrap();
        Region::revolved(DVec3::ZERO, axis, hole)
    }

    fn towards(angle: f64) -> DVec3 {
        DVec3::new(angle.cos(), angle.sin(), 0.0)
    }

    fn agree(state: &Settled) {
        let (known, fresh) = (state.moments(), moments(state.solid(), ACCURACY));
        let apart = |a: f64, b: f64, errors: f64| assert!((a - b).abs() <= errors, "{a} and {b}");
        apart(
            known.volume,
            fresh.volume,
            known.volume_error + fresh.volume_error,
        );
        apart(known.area, fresh.area, known.area_error + fresh.area_error);
        let off = known.centre_of_mass.distance(fresh.centre_of_mass);
        apart(off, 0.0, known.centre_error + fresh.centre_error);
        for (one, other) in [0, 1, 2].map(|k| (known.inertia.col(k), fresh.inertia.col(k))) {
            let off = (one - other).abs().max_element();
            apart(off, 0.0, known.inertia_error + fresh.inertia_error);
        }
        assert!(known.reached && known.volume_error <= ACCURACY.relative * known.volume);
    }

    /// A bored ball is a napkin ring of volume π h³ / 6, h its height (closed form); its halves
    /// after a saw cut are half of that.
    #[test]
    fn a_napkin_ring_step_by_step() {
        let bored = ball().cut(hole(DVec3::Z, -40.0, 18.0));
        let height = 2.0 * f64::sqrt(30.0 * 30.0 - 18.0 * 18.0);
        let ring = std::f64::consts::PI * height.powi(3) / 6.0;
        let mut state = Settled::of(&ball(), ACCURACY).then(&bored);
        let known = state.moments();
        assert!((known.volume - ring).abs() <= known.volume_error);
        state = state.then(&bored.cut(Region::beyond(DVec3::X, 0.0)));
        let known = state.moments();
        assert!((known.volume - 0.5 * ring).abs() <= known.volume_error);
        assert!(known.volume_error <= 1e-4 * known.volume);
    }

    /// Holes round a bored ball, one after another, then some of them gone again, one of them
    /// wider: each state says what moments say of its solid.
    #[test]
    fn cuts_come_and_go() {
        let blank = ball();
        let mut solid = blank.cut(hole(DVec3::Z, -40.0, 9.5));
        let mut state = Settled::of(&blank, ACCURACY).then(&solid);
        for k in 0..5 {
            solid = solid.cut(hole(towards(0.9 * f64::from(k)), -1.0, 6.0));
            state = state.then(&solid);
            agree(&state);
        }
        let cuts = solid.cuts();
        let wider = hole(towards(0.9), -1.0, 6.5);
        let fewer = [&cuts[0], &cuts[1], &wider, &cuts[4]]
            .into_iter()
            .fold(blank.clone(), |solid, cut| solid.cut(cut.clone()));
        state = state.then(&fewer);
        agree(&state);
        // Another order, and another blank.
        let turned = [&cuts[3], &cuts[0]]
            .into_iter()
            .fold(blank, |solid, cut| solid.cut(cut.clone()));
        state = state.then(&turned);
        agree(&state);
        let rod = Profile::cylinder(-35.0, 35.0, 20.0).unwrap();
        let rod = Solid::new(Region::revolved(DVec3::ZERO, DVec3::Z, rod));
        agree(&state.then(&rod.cut(cuts[0].clone())));
    }

    /// Turning about one axis: a ball roughed by a wider cylinder and a facet tangent to it, a
    /// flat that a deeper one takes whole.
    #[test]
    fn turning_in_steps_about_one_axis() {
        let rod = Profile::cylinder(-40.0, 40.0, 30.0).unwrap();
        let blank = Solid::new(Region::revolved(DVec3::ZERO, DVec3::Z, rod));
        let outside = |radius: f64, half: f64| {
            let path = crate::Path::from(-half, radius).line_to(half, radius);
            let profile = path
                .line_to(half, 60.0)
                .line_to(-half, 60.0)
                .close()
                .unwrap();
            Region::revolved(DVec3::ZERO, DVec3::Z, profile)
        };
        let mut state = Settled::of(&blank, ACCURACY);
        for solid in [
            blank.cut(outside(25.0, 10.0)),
            blank.cut(outside(25.0, 10.0)).cut(outside(20.0, 8.0)),
            blank.cut(outside(20.0, 10.0)),
            blank
                .cut(outside(20.0, 10.0))
                .cut(hole(DVec3::X, -40.0, 5.0)),
        ] {
            state = state.then(&solid);
            agree(&state);
        }
    }

    /// A hole far from all others makes as many windows after one cut as after five.
    #[test]
    fn a_step_costs_what_it_touches() {
        let blank = ball();
        let last = hole(towards(0.0), 15.0, 3.0);
        let made = |cuts: u32| {
            let mut solid = blank.clone();
            let mut state = Settled::of(&blank, ACCURACY);
            for k in 0..cuts {
                solid = solid.cut(hole(towards(2.0 + 0.5 * f64::from(k)), 15.0, 3.0));
                state = state.then(&solid);
            }
            let before = state.trees.made;
            (before, state.then(&solid.cut(last.clone())).trees.made)
        };
        let ((_, after_one), (_, after_five)) = (made(1), made(5));
        assert!(after_five <= 2 * after_one, "{after_one}, {after_five}");
        assert!(after_one > 0);
    }

    /// An empty end, and coincident walls, are answered.
    #[test]
    fn nothing_left_and_walls_that_coincide() {
        let gone = ball().cut(hole(DVec3::Z, -40.0, 35.0));
        let state = Settled::of(&ball(), ACCURACY).then(&gone);
        let known = state.moments();
        assert!(known.volume.abs() <= known.volume_error);
        let one = ball().cut(hole(DVec3::Z, -40.0, 9.5));
        let state = Settled::of(&ball(), ACCURACY).then(&one);
        let twice = state.then(&one.cut(hole(DVec3::Z, -35.0, 9.5)));
        agree(&twice);
        assert!((twice.moments().volume - state.moments().volume).abs() < 1.0);
    }
}
