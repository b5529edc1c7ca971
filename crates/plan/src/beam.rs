//! A turned rod held at its root: how far it gives, where it is stressed most, how it rings.
//!
//! Method: the beam formulas of Euler and Bernoulli for a rod of round section whose radius r(x) changes along it,
//! summed over slices. With I = π r⁴ / 4 and E along the grain, a side force F at station a bends the rod by
//! δ = ∫ F (a − x)² / (E I) dx, and its outer fibres carry σ = 4 F (a − x) / (π r³). The slowest swing comes from
//! Stodola's iteration: a guessed shape is loaded with its own inertia, bends to a better shape, and so on until the
//! frequency stands still.
//!
//! Guaranteed: the sums agree with the closed forms for a straight rod and a straight taper to better than a
//! thousandth (tests). Not guaranteed: a rod shorter than about five times its thickness gives more than these
//! formulas say, since shear is left out; and a root in soft glue or a loose bore gives too.

use std::f64::consts::{PI, TAU};

/// Slices along the rod.
const SLICES: usize = 1000;
/// A point has no stiffness to divide by: no radius is taken below this, mm.
const LEAST_RADIUS: f64 = 1e-3;
/// Rounds of the iteration; each makes the error of the frequency some forty times smaller.
const ROUNDS: usize = 12;

/// A rod held at station 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Beam {
    /// Length of a slice, mm.
    slice: f64,
    /// Radius at the middle of each slice, mm.
    radius: Vec<f64>,
    /// Young's modulus along the rod, MPa.
    young: f64,
}

/// Where the outer fibres are stressed most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worst {
    /// Station from the root, mm.
    pub station: f64,
    /// Radius there, mm.
    pub radius: f64,
    /// Stress, MPa.
    pub stress: f64,
}

impl Beam {
    /// A rod `length` mm long, of the radius (mm) that `radius` gives at each station from the root, and of Young's
    /// modulus `young`, MPa, along it.
    pub fn new(length: f64, young: f64, radius: impl Fn(f64) -> f64) -> Self {
        let slice = length / SLICES as f64;
        Self {
            slice,
            radius: (0..SLICES)
                .map(|k| radius((k as f64 + 0.5) * slice).max(LEAST_RADIUS))
                .collect(),
            young,
        }
    }

    /// Length, mm.
    pub fn length(&self) -> f64 {
        self.slice * self.radius.len() as f64
    }

    /// Middle of each slice, mm, with its radius.
    fn slices(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.radius
            .iter()
            .enumerate()
            .map(|(k, radius)| ((k as f64 + 0.5) * self.slice, *radius))
    }

    /// How far station `at` moves aside under a force of 1 N there, mm.
    pub fn gives(&self, at: f64) -> f64 {
        self.slices()
            .filter(|(x, _)| *x < at)
            .map(|(x, r)| (at - x).powi(2) / (self.young * second_moment(r)) * self.slice)
            .sum()
    }

    /// Where a side force of `force` N at station `at` stresses the rod most.
    pub fn worst(&self, force: f64, at: f64) -> Worst {
        self.slices()
            .filter(|(x, _)| *x < at)
            .map(|(station, radius)| Worst {
                station,
                radius,
                stress: 4.0 * force * (at - station) / (PI * radius.powi(3)),
            })
            .fold(
                Worst {
                    station: 0.0,
                    radius: self.radius[0],
                    stress: 0.0,
                },
                |most, each| {
                    if each.stress > most.stress {
                        each
                    } else {
                        most
                    }
                },
            )
    }

    /// Stress in the outer fibres at the root under a side force of `force` N at station `at`, MPa.
    pub fn at_root(&self, force: f64, at: f64) -> f64 {
        4.0 * force * at / (PI * self.radius[0].powi(3))
    }

    /// The side force at station `at` that stresses no fibre above `strength` MPa, N.
    pub fn stands(&self, strength: f64, at: f64) -> f64 {
        strength / self.worst(1.0, at).stress.max(f64::MIN_POSITIVE)
    }

    /// Its slowest swing to and fro, Hz; `density` in kg/m³.
    ///
    /// For a straight rod this is 3.516 √(E I / (ρ A L⁴)) / 2π (any text on vibrations; the number from memory,
    /// the first root of cos x cosh x = −1 squared).
    pub fn frequency(&self, density: f64) -> f64 {
        // N, mm and tonnes go together: 1 kg/m³ = 1e-12 t/mm³.
        let mass: Vec<f64> = self
            .radius
            .iter()
            .map(|r| density * 1e-12 * PI * r * r * self.slice)
            .collect();
        let mut shape: Vec<f64> = self.slices().map(|(x, _)| x * x).collect();
        let mut squared = 0.0;
        for _ in 0..ROUNDS {
            let load: Vec<f64> = mass.iter().zip(&shape).map(|(m, y)| m * y).collect();
            let bent = self.bent(&load);
            // Rayleigh's quotient of the shape that its own inertia makes.
            let over: f64 = load.iter().zip(&bent).map(|(f, y)| f * y).sum();
            let under: f64 = mass.iter().zip(&bent).map(|(m, y)| m * y * y).sum();
            squared = over / under;
            let tip = bent.last().copied().unwrap_or(1.0);
            shape = bent.iter().map(|y| y / tip).collect();
        }
        squared.sqrt() / TAU
    }

    /// The shape under side forces on the slices, mm at the middle of each.
    fn bent(&self, load: &[f64]) -> Vec<f64> {
        // Shear and moment from the tip inwards, slope and motion from the root outwards.
        let count = load.len();
        let mut moment = vec![0.0; count];
        let (mut beyond, mut first) = (0.0, 0.0);
        for k in (0..count).rev() {
            moment[k] = first;
            beyond += load[k];
            first += beyond * self.slice;
        }
        let (mut slope, mut at) = (0.0, 0.0);
        let mut out = Vec::with_capacity(count);
        for (moment, radius) in moment.iter().zip(&self.radius) {
            let curve = moment / (self.young * second_moment(*radius));
            let half = 0.5 * self.slice;
            at += slope * half + 0.5 * curve * half * half;
            slope += curve * half;
            out.push(at);
            at += slope * half + 0.5 * curve * half * half;
            slope += curve * half;
        }
        out
    }
}

/// Length over least thickness.
pub fn slenderness(length: f64, least_diameter: f64) -> f64 {
    length / least_diameter.max(2.0 * LEAST_RADIUS)
}

/// Second moment of area of a round section, mm⁴.
fn second_moment(radius: f64) -> f64 {
    0.25 * PI * radius.powi(4)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(value: f64, truth: f64, by: f64) {
        assert!((value / truth - 1.0).abs() < by, "{value} against {truth}");
    }

    /// Straight rod: δ = F L³ / (3 E I), σ = F L / (π r³ / 4), f = 3.516 … (closed forms).
    #[test]
    fn a_straight_rod_meets_the_closed_forms() {
        let (length, r, young, density) = (80.0, 2.0, 12_000.0, 650.0);
        let rod = Beam::new(length, young, |_| r);
        let second = PI * r.powi(4) / 4.0;
        close(
            rod.gives(length),
            length.powi(3) / (3.0 * young * second),
            1e-5,
        );
        // Half way out: a rod of half the length.
        close(
            rod.gives(40.0),
            40.0_f64.powi(3) / (3.0 * young * second),
            1e-5,
        );
        close(rod.at_root(5.0, length), 5.0 * length * r / second, 1e-12);
        close(
            rod.worst(5.0, length).stress,
            5.0 * length * r / second,
            1e-3,
        );
        assert!(rod.worst(5.0, length).station < 0.1);
        close(
            rod.stands(100.0, length),
            100.0 * second / (length * r),
            1e-3,
        );
        let metres = (young * 1e6 * second * 1e-12 / (density * PI * r * r * 1e-6)).sqrt();
        let exact = 3.516_015 * metres / (length * 1e-3).powi(2) / TAU;
        close(rod.frequency(density), exact, 1e-3);
    }

    /// Straight taper from root r0 to tip r1 under a force at the tip: δ = 4 F L³ / (3 π E r0³ r1), which is the
    /// straight rod's times r0 / r1 (closed form, by integration of (L − x)² / r⁴).
    #[test]
    fn a_taper_meets_its_closed_form() {
        let (length, root, tip, young) = (60.0, 5.0, 1.5, 11_000.0);
        let taper = Beam::new(length, young, |x| root + (tip - root) * x / length);
        let exact = 4.0 * length.powi(3) / (3.0 * PI * young * root.powi(3) * tip);
        close(taper.gives(length), exact, 1e-4);
        // σ ∝ (L − x) / r³ is greatest where r = 3/2 of what the taper has at the force: r1 × 3/2.
        let worst = taper.worst(1.0, length);
        close(worst.radius, 1.5 * tip, 2e-3);
        let station = length * (root - 1.5 * tip) / (root - tip);
        close(worst.station, station, 2e-3);
    }

    /// A cone to a point rings at 8.72 / 2π √(E I / (ρ A L⁴)) with I and A of its root (Kirchhoff 1879: first root
    /// of the cone's equation, λ² = 8.719; from memory).
    #[test]
    fn a_cone_rings_as_kirchhoff_found() {
        let (length, r, young, density) = (90.0, 4.0, 12_000.0, 700.0);
        let cone = Beam::new(length, young, |x| r * (1.0 - x / length));
        let metres = (young * 1e6 * (r * 1e-3).powi(2) / 4.0 / density).sqrt();
        let exact = 8.719 * metres / (length * 1e-3).powi(2) / TAU;
        close(cone.frequency(density), exact, 2e-3);
    }
}
