//! Broken cut: how much of a turn the tool is in wood, and how often it enters.
//!
//! At one station and tool radius the circle of the tool's edge is walked in
//! steps that the depth proves safe (it changes by no more than the way), never
//! shorter than a twentieth of a degree, so an interruption narrower than that
//! may go unseen.

use std::f64::consts::TAU;

use rondure_solid::{DVec3, Solid};

/// One turn at one station and radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrokenCut {
    /// Share of the turn spent in wood, 0 to 1.
    pub share: f64,
    /// Number of times wood begins in one turn.
    pub entries: u32,
}

/// The shortest step, radians.
const STEP: f64 = TAU / 7200.0;

/// Walks the circle of `radius` mm at `station` mm along `axis` (a unit vector through the origin).
pub fn broken_cut(solid: &Solid, axis: DVec3, station: f64, radius: f64) -> BrokenCut {
    let right = axis.any_orthonormal_vector();
    let up = axis.cross(right);
    let depth = |angle: f64| {
        solid.depth(axis * station + radius * (right * angle.cos() + up * angle.sin()))
    };
    let mut angle = 0.0;
    let mut in_wood = 0.0;
    let mut entries = 0;
    let first = depth(0.0);
    let mut was = first > 0.0;
    let mut step = (first.abs() / radius).max(STEP);
    while angle < TAU {
        let next = (angle + step).min(TAU);
        let here = if next < TAU { depth(next) } else { first };
        let is = here > 0.0;
        if was == is {
            in_wood += if is { next - angle } else { 0.0 };
        } else {
            // The crossing lies within one shortest step of `next` or in the middle of it.
            in_wood += 0.5 * (next - angle);
            entries += u32::from(is);
        }
        was = is;
        angle = next;
        step = (here.abs() / radius).max(STEP);
    }
    BrokenCut {
        share: in_wood / TAU,
        entries,
    }
}

#[cfg(test)]
mod tests {
    use rondure_solid::{Profile, Region};

    use super::*;

    /// A ball with holes across its equator: known shares by elementary geometry.
    #[test]
    fn holes_interrupt_the_cut() {
        let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(30.0).unwrap());
        let mut solid = Solid::new(ball);
        for k in 0..8 {
            let angle = TAU * f64::from(k) / 8.0;
            let hole = Profile::cylinder(0.0, 100.0, 5.0).unwrap();
            solid = solid.cut(Region::revolved(
                DVec3::ZERO,
                DVec3::new(angle.cos(), angle.sin(), 0.0),
                hole,
            ));
        }
        let found = broken_cut(&solid, DVec3::Z, 0.0, 25.0);
        assert_eq!(found.entries, 8);
        let share = 1.0 - 8.0 * 2.0 * (5.0f64 / 25.0).asin() / TAU;
        assert!(
            (found.share - share).abs() < 8.0 * 2.0 * STEP / TAU,
            "{found:?} against {share}"
        );
    }

    #[test]
    fn a_whole_ball_is_cut_without_a_break() {
        let ball = Solid::new(Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::ball(30.0).unwrap(),
        ));
        assert_eq!(
            broken_cut(&ball, DVec3::X, 0.0, 29.0),
            BrokenCut {
                share: 1.0,
                entries: 0
            }
        );
        assert_eq!(broken_cut(&ball, DVec3::X, 0.0, 31.0).share, 0.0);
    }
}
