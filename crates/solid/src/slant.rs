//! Whether the depth surely has no summit in a ball of space.
//!
//! Where the depth has a summit, no way leads deeper: of the directions in which the depths
//! below the faces that are nearest there grow, some sum to nothing. So if one direction
//! goes deeper below every face that may be nearest, everywhere in the ball, there is no
//! summit. The directions below a face are found by its outline's parts: along a part they
//! turn no faster than its curvature allows, at a corner they lie between those of the two
//! parts that meet there.

use glam::{DVec2, DVec3};

use crate::bend::part_bend;
use crate::part::{Part, Shape};
use crate::profile::Profile;
use crate::region::{Region, station_radius};
use crate::solid::{Face, Solid};

/// Directions at most; more are taken for a summit.
const MOST: usize = 24;

/// Steps towards the best direction.
const MOST_STEPS: usize = 24;

/// Directions no farther than `off` from `way`.
#[derive(Clone, Copy)]
struct Cone {
    way: DVec3,
    off: f64,
}

struct Cones {
    all: [Cone; MOST],
    count: usize,
}

impl Cones {
    /// Takes a cone up; none where there are too many, or it holds every direction.
    fn push(&mut self, way: DVec3, off: f64) -> Option<()> {
        let full = self.count == MOST || off >= 1.0;
        if full {
            return None;
        }
        self.all[self.count] = Cone { way, off };
        self.count += 1;
        Some(())
    }

    /// Whether one direction makes an acute angle with everything in the cones.
    ///
    /// The best one points to the shortest mean of the cones' ways, each less its width; it is
    /// neared by going from mean to mean towards the way that is missed most (Frank and Wolfe's
    /// method, from memory). A mean shorter than the mean width proves that there is none.
    fn share_a_way(&self) -> bool {
        let all = &self.all[..self.count];
        let Some(first) = all.first() else {
            return true;
        };
        let count = all.len() as f64;
        let mut mean = all.iter().map(|cone| cone.way).sum::<DVec3>() / count;
        let mut width = all.iter().map(|cone| cone.off).sum::<f64>() / count;
        for _ in 0..MOST_STEPS {
            let length = mean.length();
            if length <= width {
                return false;
            }
            let spare = |cone: &Cone| mean.dot(cone.way) - cone.off * length;
            let (mut worst, mut least) = (first, f64::INFINITY);
            for cone in all {
                let spare = spare(cone);
                if spare < least {
                    (worst, least) = (cone, spare);
                }
            }
            if least > 1e-9 {
                return true;
            }
            let step = worst.way - mean;
            let share = (-mean.dot(step) / step.length_squared()).clamp(0.0, 1.0);
            mean += share * step;
            width += share * (worst.off - width);
        }
        false
    }
}

/// Whether the least depth below `faces` surely has no summit in the wood within `reach` of
/// `point`.
pub(crate) fn no_summit(
    solid: &Solid,
    mut faces: impl Iterator<Item = Face>,
    point: DVec3,
    reach: f64,
) -> bool {
    let mut cones = Cones {
        all: [Cone {
            way: DVec3::ZERO,
            off: 0.0,
        }; MOST],
        count: 0,
    };
    faces.all(|face| directions(solid, face, point, reach, &mut cones).is_some())
        && cones.share_a_way()
}

fn directions(
    solid: &Solid,
    face: Face,
    point: DVec3,
    reach: f64,
    cones: &mut Cones,
) -> Option<()> {
    match solid.region(face) {
        Region::HalfSpace { normal, .. } => cones.push(-*normal, 0.0),
        Region::Revolved {
            origin,
            axis,
            profile,
        } => {
            let (q, radial) = station_radius(*origin, *axis, point);
            let out = profile.inside_left == (face == Face::BLANK);
            let turned = Turned {
                q,
                reach,
                axis: *axis,
                radial: radial.unwrap_or_else(|| axis.any_orthonormal_vector()),
                sign: if out { 1.0 } else { -1.0 },
            };
            turned.directions(profile, cones)
        }
    }
}

struct Turned {
    q: DVec2,
    reach: f64,
    axis: DVec3,
    radial: DVec3,
    /// 1 where the wood lies to the left of the outline, -1 to the right.
    sign: f64,
}

impl Turned {
    fn directions(&self, profile: &Profile, cones: &mut Cones) -> Option<()> {
        let (q, reach) = (self.q, self.reach);
        let turned = || profile.parts.iter().filter(|part| !part.on_axis);
        let nearest = turned()
            .map(|part| part.squared(q))
            .fold(f64::INFINITY, f64::min)
            .sqrt();
        let limit = nearest + 2.0 * reach;
        for part in turned().filter(|part| part.squared(q) <= limit * limit) {
            if self.beside(part) {
                let off = part_bend(&part.shape, q, reach)? * reach;
                cones.push(self.in_space(part.left_normal(q)), off)?;
            }
            for at_end in [false, true] {
                let end = if at_end { part.to } else { part.from };
                if q.distance(end) <= limit {
                    let left = part.tangent(at_end).perp();
                    // The direction of the radius turns by at most this in the ball.
                    let off = if left.y.abs() < 1e-12 {
                        0.0
                    } else if q.y > reach {
                        left.y.abs() * reach / (q.y - reach)
                    } else {
                        return None;
                    };
                    cones.push(self.in_space(left), off)?;
                }
            }
        }
        Some(())
    }

    fn in_space(&self, left: DVec2) -> DVec3 {
        self.sign * (self.axis * left.x + self.radial * left.y)
    }

    /// Whether points of the ball may be nearest to the inner of a part, not to its ends.
    fn beside(&self, part: &Part) -> bool {
        match &part.shape {
            Shape::Line { direction, length } => {
                let along = (self.q - part.from).dot(*direction);
                along > -self.reach && along < length + self.reach
            }
            Shape::Arc {
                centre,
                radius,
                left,
                ..
            } => {
                let v = self.q - *centre;
                let turn = if *left { 1.0 } else { -1.0 };
                let first = turn * (part.from - *centre).perp_dot(v);
                let last = turn * v.perp_dot(part.to - *centre);
                first.min(last) > -self.reach * radius
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Profile;

    fn about(axis: DVec3, profile: Profile) -> Region {
        Region::revolved(DVec3::ZERO, axis, profile)
    }

    fn ask(solid: &Solid, point: DVec3, reach: f64) -> bool {
        // Only these can be the nearest in the ball.
        let most = solid.depth(point) + 2.0 * reach;
        let near = |face: &Face| solid.depth_to(*face, point) <= most;
        no_summit(solid, solid.faces().filter(near), point, reach)
    }

    /// The middle of a slab, of a ball and of a tube's wall are summits; a square edge is none.
    #[test]
    fn planted_summits_are_seen() {
        let ball = Solid::new(about(DVec3::Z, Profile::ball(20.0).unwrap()));
        assert!(!ask(&ball, DVec3::new(0.3, 0.1, 0.2), 0.5));
        assert!(ask(&ball, DVec3::new(12.0, 0.0, 5.0), 5.0));
        let slab = ball
            .cut(Region::beyond(DVec3::X, 2.0))
            .cut(Region::beyond(-DVec3::X, 2.0));
        assert!(!ask(&slab, DVec3::new(0.1, 5.0, 5.0), 0.3));
        let tube = ball.cut(about(
            DVec3::Z,
            Profile::cylinder(-30.0, 30.0, 14.0).unwrap(),
        ));
        assert!(!ask(&tube, DVec3::new(17.0, 0.0, 0.0), 0.5));
        // Where the bore meets the ball, 60° of wood and less.
        let rim = DVec3::new(14.0, 0.0, f64::sqrt(400.0 - 196.0));
        assert!(ask(&tube, rim, 1.0));
        let square = ball
            .cut(Region::beyond(DVec3::X, 5.0))
            .cut(Region::beyond(DVec3::Y, 5.0));
        assert!(ask(&square, DVec3::new(5.0, 5.0, 0.0), 3.0));
    }

    /// Where no summit is said to be, the deepest wood of the ball lies on its outside, as far
    /// as samples tell.
    #[test]
    fn the_deepest_place_lies_outside() {
        let mut solid = Solid::new(about(DVec3::Z, Profile::ball(20.0).unwrap()));
        for k in 0..5 {
            let angle = f64::from(k);
            let axis = DVec3::new(angle.cos(), angle.sin(), 0.3 * angle - 0.6);
            solid = solid.cut(about(axis, Profile::cylinder(4.0, 30.0, 5.0).unwrap()));
        }
        let mut found = 0;
        for k in 1..400 {
            // Spread evenly by the golden ratio's kin in space (from memory).
            let place = DVec3::new(0.819_172_5, 0.671_043_6, 0.549_700_5) * f64::from(k);
            let point = 40.0 * place.fract() - 20.0;
            let reach = 0.5 + 2.0 * (0.754_877_7 * f64::from(k)).fract();
            if !ask(&solid, point, reach) {
                continue;
            }
            found += 1;
            let (mut inner, mut outer) = (0.0_f64, 0.0_f64);
            for j in 0..2000 {
                let height = (f64::from(j) + 0.5) / 1000.0 - 1.0;
                let (sin, cos) = (2.399_963_2 * f64::from(j)).sin_cos();
                let ring = (1.0 - height * height).sqrt();
                let way = DVec3::new(ring * cos, ring * sin, height);
                outer = outer.max(solid.depth(point + reach * way));
                let share = (0.618_034 * f64::from(j)).fract();
                inner = inner.max(solid.depth(point + 0.9 * share * reach * way));
            }
            assert!(
                inner <= outer + 0.05 * reach,
                "{point} {reach}: {inner} {outer}"
            );
        }
        assert!(found > 100, "{found}");
    }
}
