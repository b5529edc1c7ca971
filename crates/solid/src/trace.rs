//! The line along which one face parts a window into bare and hidden, to third order.
//!
//! In the window's plane, with (u, v) the way from its middle, the distance to the face is
//! G = g + G′ + ½ G″ + R: value, gradient and second derivative are known exactly, the rest
//! R is at most ⅙ C |(u, v)|³. With the coordinate in which G changes faster called b and
//! the other a, the line G = 0 is a parabola b = φ(a), but for what G can be off there over
//! its least slope in b. So the hidden part is an integral over a of φ held between the
//! window's sides; holding never adds to the error.
//!
//! φ starts from the model's own root at a = 0 and has its slope and its curvature K there.
//! With δ = ½ K a² / slope, the model is off by δ (G″ along the line) a + ½ G_bb δ² on it,
//! which is of third order too.
//!
//! What is seen is summed by Gauss's rules on the strips between the places where φ meets
//! the sides: two points across and five along, as a cubic of the plane summed up to φ is of
//! degree 8. [`Doubt::of_cubic`] bounds the rest.

use glam::{DVec2, DVec3};

use crate::flux::{Doubt, FIVE, Sums};
use crate::octree::SLACK;
use crate::patch::{Patch, Tangent};
use crate::side::Form;

/// The node of the rule with two points, exact to degree 3; both weights are 1.
const TWO: f64 = 0.577_350_269_189_625_8;

/// The line must keep this share of its slope throughout the window.
const STEEP: f64 = 0.25;

/// The line of one face in a window.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Trace {
    /// Whether b is the way along the outline.
    swapped: bool,
    /// Half sides in a and b, mm.
    half: DVec2,
    /// Bare is b > φ, not b < φ.
    above: bool,
    /// φ(a) is the sum of `phi[k]` aᵏ.
    phi: [f64; 3],
    /// Bound on the third derivative, 1/mm².
    third: f64,
    /// On φ the model is off by the first times |a|³ and the second times a⁴.
    model: [f64; 2],
    /// Least change of G with b.
    slope: f64,
}

/// What is seen of a window.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Seen {
    pub sums: Sums,
    /// Its middle, from the middle of the window.
    pub centroid: DVec2,
}

impl Trace {
    /// The line of `form` in a window with these half sides in its plane; none where it is not
    /// smooth or too slanting. `curvature` is that of the patch's outline.
    pub(crate) fn new(tangent: &Tangent, form: &Form, half: DVec2, curvature: f64) -> Option<Self> {
        if form.extra > 0.0 || !form.value.is_finite() || !form.twist.is_finite() {
            return None;
        }
        let widest = tangent.widest;
        let (along, around) = (tangent.along, tangent.around / widest);
        let gradient = form.gradient;
        let across = form.around.cross(gradient);
        let second = |p: DVec3, q: DVec3| {
            form.curvatures[0] * across.dot(p) * across.dot(q)
                + form.curvatures[1] * form.around.dot(p) * form.around.dot(q)
        };
        let uu = second(along, along) + tangent.bow * gradient.dot(tangent.normal);
        let uv = second(along, around) + tangent.rise / widest * gradient.dot(tangent.azimuth);
        let vv = second(around, around)
            - tangent.radius / (widest * widest) * gradient.dot(tangent.radial);
        let (gu, gv) = (gradient.dot(along), gradient.dot(around));
        // Along a straight way of shares (x, y) in the plane, with W the largest radius, κ the
        // outline's curvature and r the most the radius changes with s: |p′| ≤ 1;
        // |p″| ≤ κ x² + 2 r |x y| / W + y² / W; p‴ has the parts κ² x³ + 3 r x y² / W² in the
        // plane of the axis and 3 κ x² y / W + y³ / W² across it: at most 2 k², k the larger of
        // κ and 1/W, and (1 + 0.3 r) / W² on a line, where κ = 0.
        let k = curvature.max(1.0 / widest);
        let rise = (tangent.rise.abs() + curvature * half.x).min(1.0);
        let turned = if curvature == 0.0 {
            1.0 + 0.3 * rise
        } else {
            2.0
        };
        let third = form.twist + 3.0 * form.bend * (k + rise / widest) + turned * k * k;
        let swapped = gu.abs() > gv.abs();
        let ((ga, gb), (aa, bb), half) = if swapped {
            ((gv, gu), (vv, uu), half.perp().abs())
        } else {
            ((gu, gv), (uu, vv), half)
        };
        let ab = uv;
        // The root at a = 0, from the side of the middle.
        let squared = gb * gb - 2.0 * bb * form.value;
        if squared < STEEP * gb * gb || gb == 0.0 {
            return None;
        }
        let there = squared.sqrt() * gb.signum();
        let root = -2.0 * form.value / (gb + there);
        let way = -(ga + ab * root) / there;
        let bow = aa + 2.0 * ab * way + bb * way * way;
        let phi = [root, way, -0.5 * bow / there];
        let turn = (ab + bb * way).abs();
        let farthest =
            (phi[0].abs() + phi[1].abs() * half.x + phi[2].abs() * half.x * half.x).max(half.y);
        let slope =
            gb.abs() - ab.abs() * half.x - bb.abs() * half.y - 0.5 * third * half.length_squared();
        // Between the window and φ the model must keep its sense.
        let monotone = gb.abs() - ab.abs() * half.x - bb.abs() * farthest > 0.0;
        (monotone && slope > STEEP * gb.abs()).then_some(Self {
            swapped,
            half,
            above: gb > 0.0,
            phi,
            third,
            model: [phi[2].abs() * turn, 0.5 * bb.abs() * phi[2] * phi[2]],
            slope,
        })
    }

    fn at(&self, a: f64) -> f64 {
        self.phi[0] + a * (self.phi[1] + a * self.phi[2])
    }

    /// How far φ may be off at a, where the line is in the window. Convex in a.
    fn off(&self, a: f64) -> f64 {
        let size = a.abs();
        // |b| is at most this on the line.
        let b = self.phi[0].abs() + self.phi[1].abs() * size + self.phi[2].abs() * size * size;
        let square = size * size + b * b;
        let rest = self.third / 6.0 * square * square.sqrt();
        let model = size * size * size * (self.model[0] + self.model[1] * size);
        (model + rest + SLACK) / self.slope
    }

    /// Where φ meets ± `side`, between the ends of a, in order.
    fn within(&self, side: f64) -> Stops {
        let mut stops = Stops::new(-self.half.x);
        let [c, b, a] = self.phi;
        for level in [-side, side] {
            // a x² + b x + c = level, without cancellation.
            let squared = b * b - 4.0 * a * (c - level);
            if squared < 0.0 {
                continue;
            }
            let q = -0.5 * (b + squared.sqrt().copysign(b));
            for root in [q / a, (c - level) / q] {
                if root.abs() < self.half.x {
                    stops.push(root);
                }
            }
        }
        stops.push(self.half.x);
        stops.sorted()
    }

    /// Area in doubt in the window's plane, mm².
    pub(crate) fn doubt(&self) -> f64 {
        let most = self.off(self.half.x);
        let mut doubt = 0.0;
        for (from, to) in self.within(self.half.y + most).pairs() {
            if self.at(0.5 * (from + to)).abs() <= self.half.y + most {
                // Chords lie above what is convex.
                let step = 0.25 * (to - from);
                let inner: f64 = (1..4).map(|k| self.off(from + step * f64::from(k))).sum();
                doubt += step * (0.5 * (self.off(from) + self.off(to)) + inner);
            }
        }
        doubt
    }

    /// The sums over what is seen, counted from `centre`.
    pub(crate) fn sums(&self, patch: &Patch, tangent: &Tangent, centre: DVec3) -> Seen {
        let widest = tangent.widest;
        let mut sums = Sums::default();
        let mut first = DVec2::ZERO;
        let mut total = 0.0;
        let side = self.half.y;
        let from_centre = patch.origin - centre;
        for (from, to) in self.within(side).pairs() {
            let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
            for (node, weight) in FIVE {
                let a = middle + half * node;
                let edge = self.at(a).clamp(-side, side);
                let (low, high) = if self.above {
                    (edge, side)
                } else {
                    (-side, edge)
                };
                let across = 0.5 * (high - low);
                let weight = weight * half * across;
                if weight == 0.0 {
                    continue;
                }
                let mut add = |place: DVec2, (q, normal): (DVec2, DVec2), radial: DVec3| {
                    let point = from_centre + patch.axis * q.x + radial * q.y;
                    let normal = patch.axis * normal.x + radial * normal.y;
                    sums.add(&Sums::flat(weight * q.y / widest, point, normal));
                    first += weight * place;
                };
                let bs = [-TWO, TWO].map(|node| 0.5 * (low + high) + node * across);
                if self.swapped {
                    let radial = tangent.radial_near(a / widest);
                    for b in bs {
                        let outline = patch.outline_near(tangent, b);
                        add(DVec2::new(b, a), outline, radial);
                    }
                } else {
                    let outline = patch.outline_near(tangent, a);
                    for b in bs {
                        let radial = tangent.radial_near(b / widest);
                        add(DVec2::new(a, b), outline, radial);
                    }
                }
                total += 2.0 * weight;
            }
        }
        let centroid = if total > 0.0 {
            first / total
        } else {
            DVec2::ZERO
        };
        Seen { sums, centroid }
    }

    /// What the rule may be off, of all the window.
    pub(crate) fn of_rule(&self, curvature: f64, widest: f64, far: f64) -> Doubt {
        let area = 4.0 * self.half.x * self.half.y;
        Doubt::of_cubic(area, self.half.length(), curvature, widest, far)
    }
}

/// At most six numbers.
struct Stops {
    at: [f64; 6],
    count: usize,
}

impl Stops {
    fn new(first: f64) -> Self {
        Self {
            at: [first; 6],
            count: 1,
        }
    }

    fn push(&mut self, stop: f64) {
        self.at[self.count] = stop;
        self.count += 1;
    }

    fn sorted(mut self) -> Self {
        self.at[..self.count].sort_unstable_by(f64::total_cmp);
        self
    }

    /// Neighbours.
    fn pairs(&self) -> impl Iterator<Item = (f64, f64)> {
        self.at[..self.count]
            .windows(2)
            .map(|pair| (pair[0], pair[1]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::patch::{Window, patches};
    use crate::side::{Side, side};
    use crate::solid::Face;
    use crate::{Profile, Region, Solid};

    /// Holes through a ball, slanting and off its centre, seen on the ball and in the hole:
    /// the true edge, found by halving, is never farther from φ than φ is said to be off.
    #[test]
    fn the_edge_lies_within_the_bound_about_the_line() {
        let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(30.0).unwrap());
        let mut checked = 0;
        let mut random = 1_u64;
        let mut next = |low: f64, high: f64| {
            // Knuth's multiplier for 64 bits (from memory).
            random = random
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            low + (high - low) * (random >> 11) as f64 / (1_u64 << 53) as f64
        };
        for _ in 0..60 {
            let axis = DVec3::new(next(-1.0, 1.0), next(-1.0, 1.0), next(-1.0, 1.0));
            let origin = DVec3::new(next(-8.0, 8.0), next(-8.0, 8.0), next(-8.0, 8.0));
            let hole = Profile::cylinder(-90.0, 90.0, next(3.0, 12.0)).unwrap();
            let solid = Solid::new(ball.clone()).cut(Region::revolved(origin, axis, hole));
            for patch in patches(&solid) {
                let other = if patch.face == Face::BLANK {
                    Face(1)
                } else {
                    Face::BLANK
                };
                for _ in 0..60 {
                    let size = next(0.1, 3.0);
                    let middle =
                        DVec2::new(next(patch.from, patch.to), next(0.0, std::f64::consts::TAU));
                    let half = DVec2::new(size, size / (patch.outline(middle.x).0.y + size));
                    checked += check(&solid, &patch, other, Window { middle, half });
                }
            }
        }
        assert!(checked > 500, "{checked}");
    }

    /// The number of places at which a window's line was checked.
    fn check(solid: &Solid, patch: &Patch, other: Face, window: Window) -> usize {
        let tangent = patch.tangent(&window);
        let (point, normal, reach) = (tangent.point, tangent.normal, tangent.reach);
        let Side::One(form) = side(solid, other, patch, point, normal, reach) else {
            return 0;
        };
        let half = DVec2::new(window.half.x, window.half.y * tangent.widest);
        let Some(trace) = Trace::new(&tangent, &form, half, patch.curve.curvature()) else {
            return 0;
        };
        let mut checked = 0;
        for k in -4..=4 {
            let a = trace.half.x * f64::from(k) / 4.0;
            // Positive on the side of large b.
            let depth = |b: f64| {
                let place = if trace.swapped {
                    DVec2::new(b, a)
                } else {
                    DVec2::new(a, b)
                };
                let at = window.middle + place / DVec2::new(1.0, tangent.widest);
                let depth = solid.depth_to(other, patch.at(at).0);
                if trace.above { depth } else { -depth }
            };
            let (mut low, mut high) = (-trace.half.y, trace.half.y);
            if depth(low) >= 0.0 || depth(high) <= 0.0 {
                continue;
            }
            for _ in 0..60 {
                let middle = 0.5 * (low + high);
                if depth(middle) < 0.0 {
                    low = middle
                } else {
                    high = middle
                }
            }
            let line = trace.at(a).clamp(-trace.half.y, trace.half.y);
            assert!(
                (low - line).abs() <= trace.off(a) + 1e-12,
                "{low} {line} ± {} at {a} in {window:?} of {patch:?}",
                trace.off(a)
            );
            checked += 1;
        }
        checked
    }
}
