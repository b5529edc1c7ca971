//! Evenly spread errors: a lattice with random shifts, and the normal quantile.
//!
//! The makings of one replicate are the points of a rank-1 lattice, whose generators are
//! chosen one by one (Sloan and Reztsov, "Component-by-component construction of good
//! lattice rules", Mathematics of Computation 71, 2002; here by the leading terms of P2 over all
//! pairs) among a fixed list of candidates. Each replicate has its own random shift (Cranley and Patterson, SIAM
//! J. Numer. Anal. 13, 1976), so replicates are independent and their scatter tells the error.
//! Errors past those the lattice serves are spread evenly one by one, in random order.

/// Unknowns that the lattice spreads together, at most; and points for each of them at least, since
/// few points have few generators that do not tie errors together.
const SPREAD: usize = 128;
const POINTS_EACH: usize = 8;
/// Generators tried for each unknown.
const TRIED: usize = 64;
/// Waves of the criterion along each unknown.
const HARMONICS: u64 = 6;

/// Spreads errors over replicates.
#[derive(Debug, Clone)]
pub struct Spread {
    seed: u64,
    /// Points of one replicate.
    pub points: usize,
    generators: Vec<u64>,
    unknowns: usize,
}

impl Spread {
    /// At least `points` a replicate (a prime number of them, which leaves most generators to choose
    /// from), over `unknowns` errors.
    pub fn new(seed: u64, points: usize, unknowns: usize) -> Self {
        let points = prime(points);
        Self {
            seed,
            points,
            generators: generators(points, unknowns.min(SPREAD).min(points / POINTS_EACH)),
            unknowns,
        }
    }

    /// Standard normal errors of one point of one replicate.
    pub fn errors(&self, replicate: usize, point: usize, into: &mut Vec<f64>) {
        let n = self.points as u64;
        into.clear();
        for unknown in 0..self.unknowns {
            let shift = even(self.seed, replicate as u64, unknown as u64);
            let place = match self.generators.get(unknown) {
                Some(generator) => (point as u64 * generator % n) as f64,
                None => shuffled(
                    point as u64,
                    n,
                    mix(self.seed ^ mix((replicate * 65_537 + unknown) as u64)),
                ) as f64,
            };
            let share = (place / n as f64 + shift).fract();
            into.push(quantile(share));
        }
    }
}

/// A well mixed number (SplitMix64: Steele, Lea and Flood, OOPSLA 2014).
fn mix(state: u64) -> u64 {
    let mut z = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// A share of 1 that a seed gives to one unknown of one replicate.
fn even(seed: u64, replicate: u64, unknown: u64) -> f64 {
    let bits = mix(mix(mix(seed) ^ replicate) ^ unknown.rotate_left(32));
    (bits >> 11) as f64 / (1u64 << 53) as f64
}

/// The place of `point` in an order of 0..n that `key` shuffles: rounds of an affine step and a
/// folded square on the smallest power of two, walked until it falls within n.
fn shuffled(point: u64, n: u64, key: u64) -> u64 {
    let mask = n.next_power_of_two() - 1;
    let mut x = point;
    loop {
        for round in 0..3 {
            let k = mix(key.wrapping_add(round));
            x = (x.wrapping_mul(k | 1).wrapping_add(k >> 7)) & mask;
            x ^= x >> (mask.count_ones().div_ceil(2));
        }
        if x < n {
            return x;
        }
    }
}

fn generators(points: usize, unknowns: usize) -> Vec<u64> {
    let n = points as u64;
    let mut chosen: Vec<u64> = Vec::with_capacity(unknowns);
    for unknown in 0..unknowns {
        let candidates = (0..TRIED).map(|attempt| {
            let candidate = coprime(mix((unknown * TRIED + attempt) as u64) % n, n);
            (candidate, ties(candidate, &chosen, n))
        });
        let best = candidates.min_by(|a, b| a.1.total_cmp(&b.1));
        chosen.push(best.map_or(1, |best| best.0));
    }
    chosen
}

/// The leading terms of P2 over the pairs of a candidate with those chosen: 1 / (h k)² for every small
/// h and k with h · candidate ± k · other a multiple of n.
fn ties(candidate: u64, chosen: &[u64], n: u64) -> f64 {
    let mut sum = 0.0;
    for other in chosen {
        for h in 1..=HARMONICS {
            for k in 1..=HARMONICS {
                let (a, b) = (h * candidate % n, k * other % n);
                if a == b || a + b == n {
                    sum += 1.0 / ((h * k * h * k) as f64);
                }
            }
        }
    }
    sum
}

/// The first prime from `from` on.
fn prime(from: usize) -> usize {
    (from.max(2)..)
        .find(|number| {
            (2..)
                .take_while(|by| by * by <= *number)
                .all(|by| number % by != 0)
        })
        .unwrap_or(2)
}

/// The first number from `from` on that shares no divisor with `n`.
fn coprime(from: u64, n: u64) -> u64 {
    let common = |mut a: u64, mut b: u64| {
        while b > 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    (from.max(1)..)
        .find(|number| common(*number, n) == 1)
        .unwrap_or(1)
}

/// The standard normal quantile: P. J. Acklam's rational approximation (2003), relative error below
/// 1.2e-9; coefficients from memory, checked against tabulated quantiles.
pub fn quantile(share: f64) -> f64 {
    const A: [f64; 6] = [
        -3.969_683_028_665_376e1,
        2.209_460_984_245_205e2,
        -2.759_285_104_469_687e2,
        1.383_577_518_672_69e2,
        -3.066_479_806_614_716e1,
        2.506_628_277_459_239,
    ];
    const B: [f64; 6] = [
        -5.447_609_879_822_406e1,
        1.615_858_368_580_409e2,
        -1.556_989_798_598_866e2,
        6.680_131_188_771_972e1,
        -1.328_068_155_288_572e1,
        1.0,
    ];
    const C: [f64; 6] = [
        -7.784_894_002_430_293e-3,
        -3.223_964_580_411_365e-1,
        -2.400_758_277_161_838,
        -2.549_732_539_343_734,
        4.374_664_141_464_968,
        2.938_163_982_698_783,
    ];
    const D: [f64; 5] = [
        7.784_695_709_041_462e-3,
        3.224_671_290_700_398e-1,
        2.445_134_137_142_996,
        3.754_408_661_907_416,
        1.0,
    ];
    let at = |list: &[f64], x: f64| list.iter().fold(0.0, |sum, c| sum * x + c);
    let share = share.clamp(1e-12, 1.0 - 1e-12);
    let tail = |share: f64| {
        let q = (-2.0 * share.ln()).sqrt();
        at(&C, q) / at(&D, q)
    };
    if share < 0.02425 {
        tail(share)
    } else if share > 1.0 - 0.02425 {
        -tail(1.0 - share)
    } else {
        let q = share - 0.5;
        q * at(&A, q * q) / at(&B, q * q)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Quantiles as every table of the normal distribution prints them.
    #[test]
    fn quantiles_are_those_of_the_tables() {
        for (share, expected) in [
            (0.5, 0.0),
            (0.841_344_746, 1.0),
            (0.975, 1.959_964),
            (0.99, 2.326_348),
            (0.995, 2.575_829),
            (0.001, -3.090_232),
            (0.000_1, -3.719_016),
        ] {
            assert!((quantile(share) - expected).abs() < 1e-6, "{share}");
        }
    }

    /// Along every unknown the points of a replicate fall one into each of as many equal shares.
    #[test]
    fn every_unknown_is_spread_evenly() {
        for (points, unknowns) in [(64, 40), (625, 140)] {
            let spread = Spread::new(7, points, unknowns);
            let points = spread.points;
            let mut errors = Vec::new();
            let mut sums = vec![0.0; unknowns];
            let mut squares = vec![0.0; unknowns];
            for point in 0..points {
                spread.errors(3, point, &mut errors);
                for (k, error) in errors.iter().enumerate() {
                    sums[k] += error;
                    squares[k] += error * error;
                }
            }
            for k in 0..unknowns {
                // Far better than chance: the mean of so many random ones would be off by 1/√n.
                assert!(
                    (sums[k] / points as f64).abs() < 6.0 / points as f64,
                    "mean of {k}"
                );
                assert!(
                    (squares[k] / points as f64 - 1.0).abs() < 0.15,
                    "spread of {k}"
                );
            }
        }
    }

    /// No two errors hang together: over all pairs, and all replicates of a trial, the correlation
    /// stays as small as chance allows for so many pairs.
    #[test]
    fn no_two_errors_hang_together() {
        let (replicates, unknowns) = (16, 100);
        let spread = Spread::new(1, 625, unknowns);
        let mut products = vec![0.0; unknowns * unknowns];
        let mut errors = Vec::new();
        for replicate in 0..replicates {
            for point in 0..spread.points {
                spread.errors(replicate, point, &mut errors);
                for a in 0..unknowns {
                    for b in 0..a {
                        products[a * unknowns + b] += errors[a] * errors[b];
                    }
                }
            }
        }
        let made = (replicates * spread.points) as f64;
        for a in 0..unknowns {
            for b in 0..a {
                let correlation = products[a * unknowns + b] / made;
                assert!(correlation.abs() < 0.1, "{a} and {b}: {correlation}");
            }
        }
    }
}
