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
