//! How like the old piece a new size looks.
//!
//! A number that shapes the piece has a *wished* value: the old one times the ratio of the
//! diameters (with other marks, a cove's numbers also follow the width of a cove). Its difference
//! is the natural logarithm of chosen over wished, so that a tenth more and a tenth less weigh
//! alike and no unit matters. The unlikeness of a whole is the weighted root mean square of these
//! differences: 0.03 reads "three per cent off, on the whole".
//!
//! Weights (common practice, no source: what catches the eye first): depth of the coves, land,
//! pierced holes, and each finial as a whole one; the bore one half where finials hide both its
//! ends, else one. A land may be nought, so a tenth of a cove's share of the equator is added to
//! both lands before they are compared. Within a finial every length and diameter counts alike,
//! and so does the ratio of each diameter to the next.

use std::f64::consts::{PI, TAU};

use crate::plan::Plan;

/// Share of a cove's share of the equator that is added to lands.
const SOFT: f64 = 0.1;

/// Difference of a chosen number from its wished one.
pub fn difference(chosen: f64, wished: f64) -> f64 {
    (chosen / wished).ln()
}

/// The wished numbers of a ball of another diameter, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wished {
    /// New diameter over old.
    pub scale: f64,
    /// Depth of the coves.
    pub depth: f64,
    /// Land between them.
    pub land: f64,
    /// The bore.
    pub bore: f64,
    /// The pierced holes; none where nothing is pierced.
    pub hole: Option<f64>,
    soft: f64,
    bore_weight: f64,
    finials: f64,
}

impl Wished {
    /// The wished numbers of an old plan at another diameter, mm, with so many marks.
    pub fn of(old: &Plan, diameter: f64, marks: u32) -> Self {
        let scale = diameter / old.ball.diameter;
        let widths = (PI / f64::from(marks)).sin() / (PI / f64::from(old.ball.marks)).sin();
        let finials = [&old.finials.top, &old.finials.bottom]
            .into_iter()
            .flatten()
            .count();
        Self {
            scale,
            depth: scale * widths * old.cove.depth,
            land: scale * widths * old.cove.land,
            bore: scale * old.bore.diameter,
            hole: old.pierce.map(|pierce| scale * widths * pierce.diameter),
            soft: SOFT * 0.5 * diameter * TAU / f64::from(marks),
            bore_weight: if finials == 2 { 0.5 } else { 1.0 },
            finials: finials as f64,
        }
    }

    /// Difference of a land.
    pub fn land(&self, chosen: f64) -> f64 {
        difference(chosen + self.soft, self.land + self.soft)
    }

    /// What a bore adds to the sum of squares.
    pub fn of_bore(&self, chosen: f64) -> f64 {
        self.bore_weight * difference(chosen, self.bore).powi(2)
    }

    /// What pierced holes add to the sum of squares.
    pub fn of_hole(&self, chosen: f64) -> f64 {
        self.hole
            .map_or(0.0, |wished| difference(chosen, wished).powi(2))
    }

    /// What coves add to the sum of squares.
    pub fn of_coves(&self, depth: f64, land: f64) -> f64 {
        difference(depth, self.depth).powi(2) + self.land(land).powi(2)
    }

    /// The unlikeness of a whole, from its sum of squares.
    pub fn unlikeness(&self, sum: f64) -> f64 {
        let weights =
            2.0 + self.bore_weight + self.finials + f64::from(u8::from(self.hole.is_some()));
        (sum / weights).sqrt()
    }
}

/// The numbers nearest to the wished ones that keep their limits: the least of
/// Σ uᵢ² + Σ (uᵢ − uⱼ)² over all uᵢ ≥ `least`ᵢ, where the second sum runs over `pairs`; `held` ones
/// stay at their least. The u are differences as above.
///
/// One number after the other is put at its own best, or at its limit: for a convex quadratic with
/// bounds that goes to the one least value (Bertsekas, Nonlinear Programming, block coordinate
/// descent; from memory). It ends when no number moves by a millionth of a per cent.
pub fn nearest(least: &[f64], held: &[bool], pairs: &[(usize, usize)]) -> Vec<f64> {
    const STILL: f64 = 1e-8;
    const SWEEPS: usize = 10_000;
    let mut at: Vec<f64> = least
        .iter()
        .zip(held)
        .map(|(least, held)| if *held { *least } else { least.max(0.0) })
        .collect();
    for _ in 0..SWEEPS {
        let mut moved: f64 = 0.0;
        for index in (0..at.len()).filter(|index| !held[*index]) {
            let beside = pairs.iter().filter_map(|(a, b)| match index {
                _ if *a == index => Some(*b),
                _ if *b == index => Some(*a),
                _ => None,
            });
            let (mut sum, mut count) = (0.0, 1.0);
            for other in beside {
                sum += at[other];
                count += 1.0;
            }
            let best = (sum / count).max(least[index]);
            moved = moved.max((best - at[index]).abs());
            at[index] = best;
        }
        if moved < STILL {
            break;
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    const FREE: f64 = f64::NEG_INFINITY;

    /// With nothing in the way the wished values themselves are nearest.
    #[test]
    fn nothing_in_the_way_moves_nothing() {
        let at = nearest(&[FREE, -0.2, FREE], &[false; 3], &[(0, 1), (1, 2)]);
        assert_eq!(at, [0.0; 3]);
    }

    /// A chain of three with the middle pushed to u: each end takes half, from (u₀)' = 0:
    /// 2 u₀ + 2 (u₀ − u) = 0.
    #[test]
    fn neighbours_share_what_a_limit_pushes() {
        let at = nearest(&[FREE, 0.3, FREE], &[false; 3], &[(0, 1), (1, 2)]);
        for (found, wanted) in at.iter().zip([0.15, 0.3, 0.15]) {
            assert!((found - wanted).abs() < 1e-7, "{at:?}");
        }
    }

    /// A chain of four with one end held at u: the tridiagonal system worked by hand,
    /// (3,−1,0; −1,3,−1; 0,−1,2) x = (u, 0, 0), gives x = u (5, 2, 1)/13.
    #[test]
    fn a_held_end_draws_the_chain_after_it() {
        let at = nearest(
            &[0.13, FREE, FREE, FREE],
            &[true, false, false, false],
            &[(0, 1), (1, 2), (2, 3)],
        );
        for (found, wanted) in at.iter().zip([0.13, 0.05, 0.02, 0.01]) {
            assert!((found - wanted).abs() < 1e-7, "{at:?}");
        }
    }
}
