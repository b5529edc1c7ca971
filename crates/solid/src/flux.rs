//! Volume and its moments as sums over the surface.
//!
//! Each small piece of the surface carries the cone from a fixed point to it: a
//! function f homogeneous of degree k satisfies div(p f) = (3 + k) f, so by the
//! divergence theorem ∫ f dV = ∮ f (p · n) dA / (3 + k), with p counted from the
//! fixed point, n outwards. f = 1, x, x² … give the volume, its first and its second
//! moments.
//!
//! On a rectangle of way s and angle θ the integrand is a polynomial in cos θ and
//! sin θ, integrated exactly, with coefficients that depend on s: polynomials of
//! degree at most 4 on a line, trigonometric ones of degree at most 5 on an arc.
//! Gauss's rule is exact for the former with three points, and within 1e-13 of the latter
//! with five points on a sixth of a radian or with eight on an eighth of a turn
//! (remainder of the rule, Abramowitz and Stegun 25.4.30, from memory).

use glam::{DMat3, DVec2, DVec3, Vec3Swizzles as _};

use crate::patch::{Curve, Patch, Window};

/// Integrals over wood: surface area, volume, first and second moments about the
/// fixed point (xx, yy, zz, yz, zx, xy).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Sums {
    pub area: f64,
    pub volume: f64,
    pub first: DVec3,
    pub square: DVec3,
    pub mixed: DVec3,
}

/// Bounds on the errors of [`Sums`]: of the first moment's length, and of every second moment.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Doubt {
    pub area: f64,
    pub volume: f64,
    pub first: f64,
    pub second: f64,
}

/// A rule of Gauss on (-1, 1): nodes and their weights. Abramowitz and Stegun, table 25.4
/// (from memory; tests integrate powers with them).
pub(crate) type Rule = &'static [(f64, f64)];

/// Exact to degree 5.
const THREE: Rule = &[
    (-0.774_596_669_241_483_4, 0.555_555_555_555_555_6),
    (0.0, 8.0 / 9.0),
    (0.774_596_669_241_483_4, 0.555_555_555_555_555_6),
];

/// Exact to degree 9.
pub(crate) const FIVE: Rule = &[
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

/// Exact to degree 15.
const EIGHT: Rule = &[
    (-0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
    (-0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (-0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (-0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

/// On an arc of at most this many radians five points are enough.
const SHORT: f64 = 1.0 / 6.0;

impl Sums {
    pub(crate) fn add(&mut self, other: &Self) {
        self.area += other.area;
        self.volume += other.volume;
        self.first += other.first;
        self.square += other.square;
        self.mixed += other.mixed;
    }

    /// A flat piece of the surface of this `area` (mm²) whose centroid is `p` from the fixed point.
    pub(crate) fn flat(area: f64, p: DVec3, normal: DVec3) -> Self {
        let cone = area * p.dot(normal);
        Self {
            area,
            volume: cone / 3.0,
            first: p * (cone / 4.0),
            square: p * p * (cone / 5.0),
            mixed: p.yzx() * p.zxy() * (cone / 5.0),
        }
    }

    /// A whole window of a patch; `centre` is the fixed point.
    pub(crate) fn window(patch: &Patch, window: &Window, centre: DVec3) -> Self {
        let from_centre = patch.origin - centre;
        let o = DVec3::new(
            from_centre.dot(patch.axis),
            from_centre.dot(patch.u),
            from_centre.dot(patch.v),
        );
        // Integrals over s of x^i ρ^m, i + m ≤ 2, times the two parts of (p · n) ρ:
        // a without the angle and b (o_u cos θ + o_v sin θ) with it.
        let mut a = [[0.0; 3]; 3];
        let mut b = [[0.0; 3]; 3];
        let mut length_radius = 0.0;
        let (rule, pieces) = match patch.curve {
            Curve::Line { .. } => (THREE, 1),
            Curve::Arc { radius, .. } => {
                let sweep = 2.0 * window.half.x / radius;
                if sweep <= SHORT {
                    (FIVE, 1)
                } else {
                    (EIGHT, (sweep / std::f64::consts::FRAC_PI_4).ceil() as usize)
                }
            }
        };
        let half = window.half.x / pieces as f64;
        for piece in 0..pieces {
            let middle = window.middle.x + half * (2 * piece + 1) as f64 - window.half.x;
            for (node, weight) in rule {
                let (q, normal) = patch.outline(middle + node * half);
                let weight = weight * half;
                let (x, rho) = (q.x + o.x, q.y);
                length_radius += weight * rho;
                let with_a = weight * rho * (normal.x * x + normal.y * rho);
                let with_b = weight * rho * normal.y;
                let (xs, rhos) = ([1.0, x, x * x], [1.0, rho, rho * rho]);
                for i in 0..3 {
                    for m in 0..3 - i {
                        a[i][m] += with_a * xs[i] * rhos[m];
                        b[i][m] += with_b * xs[i] * rhos[m];
                    }
                }
            }
        }
        let e = angles(
            window.middle.y - window.half.y,
            window.middle.y + window.half.y,
        );
        // ∫ x^i ρ^m cos^j θ sin^k θ (p · n) ρ ds dθ.
        let whole = |i: usize, m: usize, j: usize, k: usize| {
            a[i][m] * e[j][k] + b[i][m] * (o.y * e[j + 1][k] + o.z * e[j][k + 1])
        };
        let one = whole(0, 0, 0, 0);
        // y = ρ cos θ + o_u, z = ρ sin θ + o_v.
        let (rc, rs) = (whole(0, 1, 1, 0), whole(0, 1, 0, 1));
        let first = DVec3::new(whole(1, 0, 0, 0), rc + o.y * one, rs + o.z * one);
        let second = |j: usize, k: usize| whole(0, 2, j, k);
        let xx = whole(2, 0, 0, 0);
        let yy = second(2, 0) + 2.0 * o.y * rc + o.y * o.y * one;
        let zz = second(0, 2) + 2.0 * o.z * rs + o.z * o.z * one;
        let yz = second(1, 1) + o.y * rs + o.z * rc + o.y * o.z * one;
        let xy = whole(1, 1, 1, 0) + o.y * first.x;
        let zx = whole(1, 1, 0, 1) + o.z * first.x;
        let turn = DMat3::from_cols(patch.axis, patch.u, patch.v);
        let local = DMat3::from_cols(
            DVec3::new(xx, xy, zx),
            DVec3::new(xy, yy, yz),
            DVec3::new(zx, yz, zz),
        );
        let global = turn * local * turn.transpose();
        Self {
            area: length_radius * e[0][0],
            volume: one / 3.0,
            first: turn * first / 4.0,
            square: DVec3::new(global.x_axis.x, global.y_axis.y, global.z_axis.z) / 5.0,
            mixed: DVec3::new(global.y_axis.z, global.z_axis.x, global.x_axis.y) / 5.0,
        }
    }
}

impl Doubt {
    pub(crate) fn add(&mut self, other: &Self) {
        self.area += other.area;
        self.volume += other.volume;
        self.first += other.first;
        self.second += other.second;
    }

    /// Surface of which an `area` up to this (mm²) may be there or not, no farther than
    /// `far` from the fixed point, with |p · n| at most `height`; both in mm.
    pub(crate) fn of_area(area: f64, far: f64, height: f64) -> Self {
        Self {
            area,
            volume: area * height / 3.0,
            first: area * height * far / 4.0,
            second: area * height * far * far / 5.0,
        }
    }

    /// What a surface piece of `area` within `reach` of its middle in s and arc can differ
    /// from its value at the centroid; `bend` is the largest of the outline's curvature and
    /// one over the window's largest radius, `far` the largest |p|.
    ///
    /// The one-point rule leaves ½ sup|F″| ∫|x - centroid|². With k the bend and P = `far`:
    /// |p′| ≤ 1, |p″| ≤ 2k, |n′| ≤ k, |n″| ≤ 2k², and for the share j of the radius in the
    /// largest one |j′| ≤ k, |j″| ≤ k². As p′ is square to n, w = (p · n) j has |w′| ≤ 2Pk
    /// and |w″| ≤ k + 5Pk²; the product rule then gives f w for f = p and f = p p.
    pub(crate) fn of_bending(area: f64, reach: f64, bend: f64, far: f64) -> Self {
        let spread = 0.5 * area * reach * reach;
        let (k, p) = (bend, far);
        Self {
            area: spread * k * k,
            volume: spread * (k + 5.0 * p * k * k) / 3.0,
            first: spread * (7.0 * p * k + 5.0 * p * p * k * k) / 4.0,
            second: spread * (2.0 * p + 13.0 * p * p * k + 5.0 * p * p * p * k * k) / 5.0,
        }
    }

    /// What a rule with positive weights, exact for cubics of way and arc, can be off on a
    /// piece of `area` within `reach` of the middle; `curvature` is the outline's, `widest`
    /// the window's largest radius, `far` the largest |p|.
    ///
    /// Twice Taylor's remainder of fourth order. Along a straight way the normal and the share
    /// j of the radius in the largest one are made of cosines of angles that grow together
    /// with c = √(curvature² + 1/widest²), hence their derivative of order m is at most c^m; that of
    /// p is at most 1, and √2 c^(m - 1) beyond the first. Products by Leibniz's rule.
    pub(crate) fn of_cubic(area: f64, reach: f64, curvature: f64, widest: f64, far: f64) -> Self {
        let c = curvature.hypot(1.0 / widest);
        let x = c * reach;
        // Terms of Taylor's series at `reach`.
        let angle = [1.0, x, x * x / 2.0, x.powi(3) / 6.0, x.powi(4) / 24.0];
        let step = std::f64::consts::SQRT_2 * reach;
        let place = [
            far,
            reach,
            step * angle[1] / 2.0,
            step * angle[2] / 3.0,
            step * angle[3] / 4.0,
        ];
        let product = |a: &[f64; 5], b: &[f64; 5]| {
            let mut c = [0.0; 5];
            for i in 0..5 {
                for j in 0..5 - i {
                    c[i + j] += a[i] * b[j];
                }
            }
            c
        };
        let cone = product(&product(&place, &angle), &angle);
        let first = product(&place, &cone);
        let second = product(&place, &first);
        Self {
            area: 2.0 * area * angle[4],
            volume: 2.0 * area * cone[4] / 3.0,
            first: 2.0 * area * first[4] / 4.0,
            second: 2.0 * area * second[4] / 5.0,
        }
    }
}

/// ∫ cos^j θ sin^k θ dθ for j + k ≤ 3.
fn angles(from: f64, to: f64) -> [[f64; 4]; 4] {
    // (cos, sin).
    let (first, last) = (DVec2::from_angle(from), DVec2::from_angle(to));
    let ends = |f: &dyn Fn(DVec2) -> f64| f(last) - f(first);
    let mut e = [[0.0; 4]; 4];
    let half = 0.5 * (to - from);
    let double = ends(&|c| 0.5 * c.x * c.y);
    e[0][0] = to - from;
    e[1][0] = ends(&|c| c.y);
    e[0][1] = ends(&|c| -c.x);
    e[2][0] = half + double;
    e[0][2] = half - double;
    e[1][1] = ends(&|c| 0.5 * c.y * c.y);
    e[3][0] = ends(&|c| c.y - c.y.powi(3) / 3.0);
    e[2][1] = ends(&|c| -c.x.powi(3) / 3.0);
    e[1][2] = ends(&|c| c.y.powi(3) / 3.0);
    e[0][3] = ends(&|c| c.x.powi(3) / 3.0 - c.x);
    e
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rules_are_exact_to_their_degrees() {
        for (rule, degree) in [(THREE, 4), (FIVE, 8), (EIGHT, 14)] {
            let integral: f64 = rule.iter().map(|(x, weight)| weight * x.powi(degree)).sum();
            assert!((integral - 2.0 / f64::from(degree + 1)).abs() < 1e-15);
        }
    }

    #[test]
    fn powers_of_cosine_and_sine() {
        // Simpson's rule with many steps, against the primitives.
        let (from, to) = (0.4, 2.9);
        let exact = angles(from, to);
        let steps = 2000;
        let width = (to - from) / f64::from(steps);
        for (j, row) in exact.iter().enumerate().take(4) {
            for (k, exact) in row.iter().enumerate().take(4 - j) {
                let value = |n: i32| {
                    let (sin, cos) = (from + width * f64::from(n)).sin_cos();
                    cos.powi(j as i32) * sin.powi(k as i32)
                };
                let sum: f64 = (0..=steps)
                    .map(|n| {
                        let weight = match n {
                            0 => 1.0,
                            _ if n == steps => 1.0,
                            _ if n % 2 == 1 => 4.0,
                            _ => 2.0,
                        };
                        weight * value(n)
                    })
                    .sum();
                assert!((exact - sum * width / 3.0).abs() < 1e-12, "{j} {k}");
            }
        }
    }
}
