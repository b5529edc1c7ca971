//! The solver against the theory of elasticity: rings, holes, tubes, wood that shrinks.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot be set up has failed"
)]

use std::f64::consts::PI;

use rondure_solid::{DVec3, Profile, Region, Solid};
use rondure_stress::{Answer, Grain, Load, Model, Patch, Tolerance, stiffness};

const TIGHT: Tolerance = Tolerance {
    relative: 1e-7,
    rounds: 400,
};
const ALONG_X: Grain = Grain::Straight {
    along: DVec3::X,
    radial: DVec3::Y,
};

fn cylinder(axis: DVec3, half: f64, radius: f64) -> Region {
    Region::revolved(
        DVec3::ZERO,
        axis,
        Profile::cylinder(-half, half, radius).unwrap(),
    )
}

/// A block about the origin, its faces on the borders of cubes where edges divide its sides.
fn block(size: DVec3) -> Solid {
    let mut solid = Solid::new(cylinder(DVec3::X, 0.5 * size.x, size.max_element()));
    for (normal, side) in [(DVec3::Y, size.y), (DVec3::Z, size.z)] {
        solid = solid
            .cut(Region::beyond(normal, 0.5 * side))
            .cut(Region::beyond(-normal, 0.5 * side));
    }
    solid
}

fn model(solid: &Solid, grain: &Grain, law: stiffness::Law, edge: f64) -> Model {
    Model::with(solid, grain, law, edge, &[], DVec3::splat(0.5)).unwrap()
}

fn solved<'a>(model: &'a Model, loads: &[Load]) -> Answer<'a> {
    model.solve(loads, TIGHT, &|_| true).unwrap()
}

/// An orthotropic law with nothing between L and the cross-section.
fn flat_law(across: f64, around: f64, poisson: f64, shear: f64) -> stiffness::Law {
    let both = 1.0 - poisson * poisson * around / across;
    let mut law = [[0.0; 6]; 6];
    law[0][0] = 10_000.0;
    law[1][1] = across / both;
    law[2][2] = around / both;
    law[1][2] = poisson * around / both;
    law[2][1] = law[1][2];
    (law[3][3], law[4][4], law[5][5]) = (700.0, shear, 700.0);
    law
}

/// A ring of rectangular section pressed on opposite sides. Winkler's curved bar, thick: with the ring's mean radius R,
/// the section's distance of the neutral fibre e = R − h / ln(ro/ri), and κ = 6/5 (rectangle), the shortening under F is
/// the derivative of the energy of bending, pull, their coupling and shear (S. Timoshenko, Strength of Materials II,
/// curved bars: U = ∫ M²/(2AEeR) ds + N²/(2AE) ds + MN/(AER) ds + κV²/(2GA) ds, M above nought where it bends the bar more).
#[test]
fn a_thick_ring_gives_way_as_a_curved_bar() {
    let (outer, inner, wide, young, force) = (20.0_f64, 14.0_f64, 8.0, 10_000.0, 100.0);
    let h = outer - inner;
    let mean = 0.5 * (outer + inner);
    let area = h * wide;
    let neutral = mean - h / (outer / inner).ln();
    let shear = 0.5 * young; // ν = 0
    // M(φ) = M₀ + F R (1 − cos φ) / 2, N = −F cos φ / 2, V = F sin φ / 2 from the equator; M₀ by no turning there.
    let steps = 20_000;
    let at = |m0: f64, f: f64| {
        let mut energy = 0.0;
        for step in 0..steps {
            let phi = (f64::from(step) + 0.5) / f64::from(steps) * 0.5 * PI;
            let n = -0.5 * f * phi.cos();
            let v = 0.5 * f * phi.sin();
            let m = m0 - 0.5 * f * mean * (1.0 - phi.cos());
            energy += m * m / (2.0 * area * young * neutral * mean)
                + n * n / (2.0 * area * young)
                + m * n / (area * young * mean)
                + 1.2 * v * v / (2.0 * shear * area);
        }
        4.0 * energy * mean * 0.5 * PI / f64::from(steps)
    };
    // The energy is a parabola in M₀: its least value is the true one. Twice the energy is F times the shortening.
    let scale = force * mean;
    let (low, mid, high) = (at(-scale, force), at(0.0, force), at(scale, force));
    let curve = low + high - 2.0 * mid;
    let m0 = scale * 0.5 * (low - high) / curve;
    let exactly = 2.0 * at(m0, force) / force;
    let ring =
        Solid::new(cylinder(DVec3::Z, 0.5 * wide, outer)).cut(cylinder(DVec3::Z, 9.0, inner));
    let model = model(&ring, &ALONG_X, stiffness::isotropic(young, 0.0), 0.5);
    // Over the whole width, and half a wall deep.
    let patch = |x: f64| Patch::ball(DVec3::X * x, 3.0);
    let press = |x: f64| Load::force(patch(x), DVec3::X * (-force * x.signum()));
    let answer = solved(&model, &[press(17.0), press(-17.0)]);
    let found = answer.work / force;
    assert!((found / exactly - 1.0).abs() < 0.02, "{found} {exactly}");
}

/// The greatest stress beside a round hole in a wide plate over the stress far off, at an edge: pulled along x by a
/// uniform strain, which the free body takes as forces on its two ends.
fn beside_hole(law: stiffness::Law, edge: f64) -> f64 {
    let (length, wide, thick, radius) = (96.0, 64.0, 4.0, 4.0);
    let plate = block(DVec3::new(length, wide, thick)).cut(cylinder(DVec3::Z, 9.0, radius));
    let model = model(&plate, &ALONG_X, law, edge);
    // Ends pulled evenly: many small patches, all alike.
    let mut loads = Vec::new();
    for index in 0..16 {
        let y = -30.0 + 4.0 * f64::from(index);
        for x in [-46.0, 46.0] {
            let at = DVec3::new(x, y, 0.0);
            loads.push(Load::force(Patch::ball(at, 2.2), DVec3::X * x.signum()));
        }
    }
    let answer = solved(&model, &loads);
    let far = 16.0 / (wide * thick);
    // Along y from the hole: the stress falls as r⁻² and r⁻⁴; the skin's value by a straight line through cubes that are
    // whole, one and two cubes in.
    let places = answer.places();
    let near = |y: f64| {
        let list: Vec<_> = places
            .iter()
            .filter(|p| p.at.x.abs() < 0.6 * edge && (p.at.y.abs() - y).abs() < 0.1 * edge)
            .collect();
        let whole: f64 = list.iter().map(|p| p.volume).sum();
        list.iter().map(|p| p.stress[0] * p.volume).sum::<f64>() / whole
    };
    let (first, second) = (radius + 0.5 * edge, radius + 1.5 * edge);
    let (a, b) = (near(first), near(second));
    // In logarithms, which straightens the steep fall.
    let slope = (a / b).ln() / (second / first).ln();
    a * (first / radius).powf(slope) / far
}

/// G. Kirsch: 3 in a wide plate. Here the hole is 1/8 of the width: R. C. Howland's finite-width factor, in the gross
/// section, is 3.0 + 3.3 (d/w)² or so: 3.05 (from memory, 1 %).
#[test]
fn beside_a_hole_the_stress_is_three_times() {
    let found = beside_hole(stiffness::isotropic(10_000.0, 0.3), 0.5);
    assert!((found / 3.05 - 1.0).abs() < 0.06, "{found}");
}

/// S. G. Lekhnitskii: 1 + √(2 (√(E₁/E₂) − ν₁₂) + E₁/G₁₂), pulled along the grain, wide plate.
#[test]
fn beside_a_hole_in_wood_the_stress_is_lekhnitskiis() {
    let maple = rondure_wood::find("sugar maple")
        .unwrap()
        .elastic()
        .unwrap();
    let ratio: f64 = maple.along / maple.radial;
    let exactly =
        1.0 + (2.0 * (ratio.sqrt() - maple.poisson_lr) + maple.along / maple.shear_lr).sqrt();
    // The steeper peak comes in slowly: from cubes of a quarter and an eighth of the radius the limit is taken, as the
    // error falls with the edge.
    let law = stiffness::law_of(&maple);
    let (coarse, fine) = (beside_hole(law, 1.0), beside_hole(law, 0.5));
    let found = 2.0 * fine - coarse;
    assert!((found / exactly - 1.0).abs() < 0.04, "{found} {exactly}");
}

/// A tube twisted: M L / (G J) with J = π (D⁴ − d⁴) / 32, walls of six cubes.
#[test]
fn a_twisted_tube_turns_by_its_second_moment() {
    let (shear, outer, inner, moment) = (4_000.0, 10.0_f64, 7.0_f64, 5_000.0);
    let tube = Solid::new(cylinder(DVec3::X, 30.0, outer)).cut(cylinder(DVec3::X, 99.0, inner));
    let law = stiffness::isotropic(2.0 * shear * 1.25, 0.25);
    let model = Model::with(&tube, &ALONG_X, law, 0.5, &[], DVec3::ZERO).unwrap();
    let twist = |x: f64| Load::Twist {
        patch: Patch::ball(DVec3::X * x, 11.0),
        axis_at: DVec3::ZERO,
        moment: DVec3::X * (moment * x.signum()),
    };
    let answer = solved(&model, &[twist(30.0), twist(-30.0)]);
    let turn = |x: f64| {
        let outward = |angle: f64| DVec3::new(0.0, angle.cos(), angle.sin());
        let around = |angle: f64| DVec3::new(0.0, -angle.sin(), angle.cos());
        let angles: Vec<f64> = (0..24).map(|k| f64::from(k) * PI / 12.0).collect();
        let points: Vec<DVec3> = angles
            .iter()
            .map(|&angle| DVec3::X * x + outward(angle) * 8.5)
            .collect();
        let samples = answer.at(&points);
        let sum: f64 = samples
            .iter()
            .zip(&angles)
            .map(|(sample, &angle)| sample.unwrap().motion.dot(around(angle)))
            .sum();
        sum / 24.0 / 8.5
    };
    let second = PI * ((2.0 * outer).powi(4) - (2.0 * inner).powi(4)) / 32.0;
    let exactly = moment * 20.0 / (shear * second);
    let found = turn(10.0) - turn(-10.0);
    assert!((found / exactly - 1.0).abs() < 0.01, "{found} {exactly}");
}

/// Two layers, one of which shrinks, bow to the curvature 6 ε m' / (h (…)): with equal stiffness and thickness
/// κ = 3 ε / (2 h), h the whole depth (S. Timoshenko, bi-metal strips, 1925).
#[test]
fn a_bar_with_one_shrinking_layer_bows() {
    let (deep, strain) = (8.0, -0.01);
    let bar = block(DVec3::new(96.0, 8.0, deep));
    let model = model(&bar, &ALONG_X, stiffness::isotropic(9_000.0, 0.0), 1.0);
    let shrinks = Load::StrainBeyond {
        at: DVec3::ZERO,
        normal: DVec3::Z,
        strain: [strain, 0.0, 0.0],
    };
    let answer = solved(&model, &[shrinks]);
    let z = |x: f64| answer.motion_near(DVec3::X * x, 0.9).unwrap().z;
    let bow = 0.5 * (z(24.0) + z(-24.0)) - z(0.0);
    // The shrinking side becomes hollow: upward at the ends.
    let exactly = 1.5 * -strain / deep * 24.0 * 24.0 / 2.0;
    assert!((bow / exactly - 1.0).abs() < 0.01, "{bow} {exactly}");
}

/// The closed form of a disc with rings about its middle that shrinks, in plane stress: r² u'' + r u' − k² u = c r with
/// k² = Q₂₂/Q₁₁, solved by u = A r + B r^k + C r^(−k) with no stress on the rims. Gives the outward motion.
struct Disc {
    q: [[f64; 2]; 2],
    free: [f64; 2],
    k: f64,
    a: f64,
    b: f64,
    c: f64,
}

impl Disc {
    fn new(law: &stiffness::Law, free: [f64; 2], inner: f64, outer: f64) -> Self {
        let q = [[law[1][1], law[1][2]], [law[2][1], law[2][2]]];
        let k = (q[1][1] / q[0][0]).sqrt();
        let a =
            ((q[0][0] - q[0][1]) * free[0] + (q[0][1] - q[1][1]) * free[1]) / (q[0][0] - q[1][1]);
        let mut disc = Self {
            q,
            free,
            k,
            a,
            b: 0.0,
            c: 0.0,
        };
        // σr = Q₁₁ (u' − e_r) + Q₁₂ (u/r − e_θ) = 0 at the rims.
        let rest = q[0][0] * (a - free[0]) + q[0][1] * (a - free[1]);
        let up = |r: f64| (q[0][0] * k + q[0][1]) * r.powf(k - 1.0);
        let down = |r: f64| (-q[0][0] * k + q[0][1]) * r.powf(-k - 1.0);
        if inner == 0.0 {
            disc.b = -rest / up(outer);
        } else {
            let whole = up(inner) * down(outer) - up(outer) * down(inner);
            disc.b = -rest * (down(outer) - down(inner)) / whole;
            disc.c = -rest * (up(inner) - up(outer)) / whole;
        }
        disc
    }

    fn motion(&self, r: f64) -> f64 {
        self.a * r + self.b * r.powf(self.k) + self.c * r.powf(-self.k)
    }

    /// Stress along the rings.
    fn around(&self, r: f64) -> f64 {
        let slope =
            self.a + self.k * (self.b * r.powf(self.k - 1.0) - self.c * r.powf(-self.k - 1.0));
        self.q[1][0] * (slope - self.free[0]) + self.q[1][1] * (self.motion(r) / r - self.free[1])
    }
}

/// A disc about its pith, whole and bored: motion of the rims and the stress along the rings, which tears checks open.
#[test]
fn a_disc_about_its_pith_shrinks_by_the_closed_form() {
    let law = flat_law(1_500.0, 800.0, 0.45, 300.0);
    let free = [-0.02, -0.04];
    let grain = Grain::RoundPith {
        pith: DVec3::ZERO,
        along: DVec3::Z,
    };
    let drying = Load::Strain([0.0, free[0], free[1]]);
    let plain = Solid::new(cylinder(DVec3::Z, 2.0, 16.0));
    let bored = plain.clone().cut(cylinder(DVec3::Z, 9.0, 6.0));
    for (solid, inner) in [(plain, 0.0), (bored, 6.0)] {
        let exactly = Disc::new(&law, free, inner, 16.0);
        let model = Model::with(&solid, &grain, law, 0.5, &[], DVec3::ZERO).unwrap();
        let answer = solved(&model, &[drying]);
        let rim = answer.round(DVec3::ZERO, DVec3::Z, 16.0).unwrap();
        let found = 0.5 * rim.mean - 16.0;
        assert!(
            (found / exactly.motion(16.0) - 1.0).abs() < 0.01,
            "{found} {}",
            exactly.motion(16.0)
        );
        // About its own pith it stays round.
        assert!(
            rim.greatest - rim.least < 0.01 * (32.0 - rim.mean),
            "{rim:?}"
        );
        if inner > 0.0 {
            let hole = answer.round(DVec3::ZERO, DVec3::Z, inner).unwrap();
            let found = 0.5 * hole.mean - inner;
            assert!(
                (found / exactly.motion(inner) - 1.0).abs() < 0.02,
                "{found} {}",
                exactly.motion(inner)
            );
        }
        let places = answer.places();
        for r in [8.0, 11.0, 14.5] {
            let list: Vec<_> = places
                .iter()
                .filter(|p| (p.at.truncate().length() - r).abs() < 0.3)
                .collect();
            let whole: f64 = list.iter().map(|p| p.volume).sum();
            let found = list.iter().map(|p| p.stress[2] * p.volume).sum::<f64>() / whole;
            // In share of what full hindrance would give.
            let scale = 800.0 * 0.02;
            assert!(
                (found - exactly.around(r)).abs() < 0.03 * scale,
                "{r} {found} {}",
                exactly.around(r)
            );
        }
    }
}

/// A ring cut beside the pith, straight grain: R and T shrink by their own, the bore dries oval by just the difference,
/// and nothing is stressed. For cherry from green to 8 %.
#[test]
fn a_bore_in_straight_grain_dries_oval_by_the_difference() {
    let cherry = rondure_wood::find("black cherry").unwrap();
    let ring = Solid::new(cylinder(DVec3::X, 4.0, 16.0)).cut(cylinder(DVec3::X, 9.0, 10.0));
    let law = stiffness::law_of(&cherry.elastic().unwrap());
    let model = Model::with(&ring, &ALONG_X, law, 1.0, &[], DVec3::ZERO).unwrap();
    let answer = solved(&model, &[Load::drying(cherry, 30.0, 8.0).unwrap()]);
    let bore = answer.round(DVec3::ZERO, DVec3::X, 10.0).unwrap();
    let movement = cherry.movement(30.0, 8.0).unwrap();
    assert!(
        (bore.greatest - 20.0 * movement.radial.ratio).abs() < 2e-3,
        "{bore:?}"
    );
    assert!(
        (bore.least - 20.0 * movement.tangential.ratio).abs() < 2e-3,
        "{bore:?}"
    );
    assert!(bore.toward.dot(DVec3::Y).abs() > 0.999, "{bore:?}");
    let strength = cherry.strength().unwrap();
    assert!(answer.verdict(&strength).utilisation[0] < 1e-3);
}

/// Two layers again, all three strains at work: the seam ends in a singular line on the skin, which keeps the order of the
/// work under two, and above one.
#[test]
fn the_error_of_a_layered_bar_falls_faster_than_the_edge() {
    let bar = block(DVec3::new(48.0, 8.0, 8.0));
    let work = |edge: f64| {
        let law = stiffness::isotropic(10_000.0, 0.3);
        let model = model(&bar, &ALONG_X, law, edge);
        // A strain over whole cubes is the same load on every lattice.
        let twisted = Load::StrainBeyond {
            at: DVec3::ZERO,
            normal: DVec3::Z,
            strain: [0.01, 0.0, 0.0],
        };
        solved(&model, &[twisted]).work
    };
    let (coarse, middle, fine) = (work(2.0), work(1.0), work(0.5));
    let order = ((coarse - middle) / (middle - fine)).abs().log2();
    assert!((1.2..2.1).contains(&order), "{order}");
}
