//! Exact signed distance from a point to a profile, with its foot and gradient.
//!
//! The nearest part gives the distance, the count of parts above the point the
//! sign. For a turned body the plane answer is the answer in space: the nearest
//! point always lies in the half-plane through the axis and the point. Parts on
//! the axis are no boundary and are passed over.

use glam::DVec2;

use crate::profile::Profile;

/// The nearest point of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Signed distance, mm; negative inside the outline.
    pub distance: f64,
    /// The nearest point of the outline.
    pub foot: DVec2,
    /// Unit vector along which the signed distance grows fastest (outwards).
    pub gradient: DVec2,
    /// Index of the part the foot lies on.
    pub part: usize,
}

impl Profile {
    /// Signed distance of `q` = (station, radius), mm; negative inside.
    pub fn signed_distance(&self, q: DVec2) -> f64 {
        let mut squared = f64::INFINITY;
        let mut inside = false;
        for part in &self.parts {
            if !part.on_axis {
                squared = squared.min(part.squared(q));
            }
            inside ^= part.stands_above(q);
        }
        let distance = squared.sqrt();
        if inside { -distance } else { distance }
    }

    /// Signed distance with foot and gradient.
    pub fn nearest(&self, q: DVec2) -> Nearest {
        let mut best = f64::INFINITY;
        let mut foot = q;
        let mut index = 0;
        let mut inside = false;
        for (number, part) in self.parts.iter().enumerate() {
            if !part.on_axis {
                let here = part.foot(q);
                if here.squared < best {
                    best = here.squared;
                    foot = here.point;
                    index = number;
                }
            }
            inside ^= part.stands_above(q);
        }
        let distance = best.sqrt();
        let part = &self.parts[index];
        let at_corner = foot == part.from || foot == part.to;
        let away = if at_corner && distance > 1e-12 * (1.0 + q.length()) {
            (q - foot) / distance * if inside { -1.0 } else { 1.0 }
        } else {
            // The outward normal of the part. Away from corners it is the gradient exactly,
            // however near the surface, where the difference q - foot is mostly rounding.
            let left = part.left_normal(foot);
            if self.inside_left { -left } else { left }
        };
        Nearest {
            distance: if inside { -distance } else { distance },
            foot,
            gradient: away,
            part: index,
        }
    }

    /// Whether `q` lies inside the outline.
    pub fn contains(&self, q: DVec2) -> bool {
        self.parts
            .iter()
            .filter(|part| part.stands_above(q))
            .count()
            % 2
            == 1
    }
}

#[cfg(test)]
mod tests {
    use glam::DVec2;
    use proptest::prelude::*;

    use crate::{Path, Profile, Turn};

    /// A star-shaped outline about (0, 8): spokes of given lengths, joined by lines,
    /// with some corners rounded into arcs about the middle.
    fn outlines() -> impl Strategy<Value = Profile> {
        proptest::collection::vec((1.0..7.0f64, any::<bool>()), 3..12).prop_filter_map(
            "valid outline",
            |spokes| {
                let count = spokes.len();
                let middle = DVec2::new(0.0, 8.0);
                let at = |index: usize, length: f64| {
                    middle
                        + DVec2::from_angle(index as f64 / count as f64 * std::f64::consts::TAU)
                            * length
                };
                let start = at(0, spokes[0].0);
                let mut path = Path::from(start.x, start.y);
                for (index, (length, round)) in spokes.iter().enumerate() {
                    let corner = at(index, *length);
                    path = path.line_to(corner.x, corner.y);
                    let next = at(index + 1, *length);
                    if *round && index + 1 < count {
                        path = path.arc_to(next.x, next.y, middle, Turn::Left);
                    }
                }
                path.close().ok()
            },
        )
    }

    /// Points spread along the whole outline, at most `step` apart.
    fn sampled(profile: &Profile, step: f64) -> Vec<DVec2> {
        let mut points = Vec::new();
        for part in profile.parts() {
            let count = ((part.from.distance(part.to) * 1.6 / step).ceil() as usize).max(1);
            for k in 0..=count {
                let share = k as f64 / count as f64;
                points.push(match &part.shape {
                    crate::part::Shape::Line { .. } => part.from.lerp(part.to, share),
                    crate::part::Shape::Arc { centre, radius, .. } => {
                        let (a, b) = (part.from - centre, part.to - centre);
                        let turn = a.perp_dot(b).atan2(a.dot(b));
                        *centre + DVec2::from_angle(turn * share).rotate(a.normalize()) * *radius
                    }
                });
            }
        }
        points
    }

    proptest! {
        /// Brute force: the distance to a dense sampling is never smaller than the exact
        /// one and at most half a step larger.
        #[test]
        fn distance_agrees_with_brute_force(profile in outlines(), x in -12.0..12.0f64, y in 0.0..20.0f64) {
            let q = DVec2::new(x, y);
            let step = 0.01;
            let brute = sampled(&profile, step).into_iter().map(|p| p.distance(q)).fold(f64::INFINITY, f64::min);
            let near = profile.nearest(q);
            prop_assert!(near.distance.abs() <= brute + 1e-9);
            prop_assert!(brute - near.distance.abs() <= step);
            prop_assert_eq!(near.distance, profile.signed_distance(q));
            prop_assert!((near.foot.distance(q) - near.distance.abs()).abs() < 1e-9);
        }

        /// The sign agrees with the winding number of the sampled outline.
        #[test]
        fn sign_agrees_with_winding(profile in outlines(), x in -12.0..12.0f64, y in 0.0..20.0f64) {
            let q = DVec2::new(x, y);
            let near = profile.nearest(q);
            prop_assume!(near.distance.abs() > 0.02);
            let points = sampled(&profile, 0.01);
            let turning: f64 = points.windows(2).map(|pair| {
                let (a, b) = (pair[0] - q, pair[1] - q);
                a.perp_dot(b).atan2(a.dot(b))
            }).sum();
            prop_assert_eq!(turning.abs() > 1.0, near.distance < 0.0);
        }

        /// Stepping along the gradient changes the distance by the step, up to the skeleton.
        #[test]
        fn gradient_points_away(profile in outlines(), x in -12.0..12.0f64, y in 0.0..20.0f64) {
            let near = profile.nearest(DVec2::new(x, y));
            prop_assume!(near.distance > 1e-6);
            let step = 0.5;
            let further = profile.nearest(near.foot + near.gradient * (near.distance * step));
            prop_assert!((further.distance - near.distance * step).abs() < 1e-9);
        }

        /// One-Lipschitz everywhere, inside and out.
        #[test]
        fn distance_never_grows_faster_than_the_way(
            profile in outlines(),
            a in (-12.0..12.0f64, 0.0..20.0f64),
            b in (-12.0..12.0f64, 0.0..20.0f64),
        ) {
            let (a, b) = (DVec2::new(a.0, a.1), DVec2::new(b.0, b.1));
            prop_assert!((profile.signed_distance(a) - profile.signed_distance(b)).abs() <= a.distance(b) + 1e-9);
        }

        /// The bend bounds how far the distance leaves its tangent plane.
        #[test]
        fn bend_bounds_the_second_order(
            profile in outlines(),
            q in (-12.0..12.0f64, 1.0..20.0f64),
            reach in 0.01..0.5f64,
            way in 0.0..std::f64::consts::TAU,
            side in -1.0..1.0f64,
        ) {
            // A planted point near the outline, on either side of it.
            let near = profile.nearest(DVec2::new(q.0, q.1));
            let q = near.foot + near.gradient * (reach * side);
            prop_assume!(q.y > 0.0);
            if let Some(bend) = profile.bend(q, reach) {
                let near = profile.nearest(q);
                let there = q + DVec2::from_angle(way) * reach;
                let flat = near.distance + near.gradient.dot(there - q);
                let off = (profile.signed_distance(there) - flat).abs();
                prop_assert!(off <= 0.5 * bend * reach * reach + 1e-9, "off {} bend {}", off, bend);
            }
        }
    }

    #[test]
    fn a_ball_is_the_distance_to_its_middle() {
        let ball = Profile::ball(30.0).unwrap();
        for (t, rho) in [
            (0.0, 0.0),
            (0.0, 12.0),
            (25.0, 3.0),
            (-29.0, 0.0),
            (-40.0, 30.0),
        ] {
            let q = DVec2::new(t, rho);
            assert!((ball.signed_distance(q) - (q.length() - 30.0)).abs() < 1e-12);
        }
    }

    #[test]
    fn parts_on_the_axis_are_no_boundary() {
        // The middle of a cylinder of radius 5 and length 100 is 5 from its wall, not 0 from its axis.
        let cylinder = Profile::cylinder(-50.0, 50.0, 5.0).unwrap();
        assert_eq!(cylinder.signed_distance(DVec2::ZERO), -5.0);
    }
}
