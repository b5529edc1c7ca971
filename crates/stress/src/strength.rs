//! How near a stress comes to breaking wood: Hoffman's surface over the strengths along L, R and T.
//!
//! Method: O. Hoffman, "The brittle strength of orthotropic materials" (1967): with tension strengths Xt, compression
//! strengths Xc and shear strengths S,
//! C₁ (σR − σT)² + C₂ (σT − σL)² + C₃ (σL − σR)² + Σ σ (1/Xt − 1/Xc) + Σ τ²/S² = 1 at failure,
//! where C₁ = ½ (1/(Rt Rc) + 1/(Tt Tc) − 1/(Lt Lc)) and C₂, C₃ in turn. A load that grows by λ meets the surface where
//! a λ² + b λ = 1: λ is the load factor the wood stands, 1/λ the utilisation. Both come from the root of the quadratic,
//! with no iteration.
//!
//! The kind of failure is that of the part of stress which comes nearest to its own strength. It names what to look
//! for; whether the wood breaks is told by the surface.

use rondure_wood::{End, Strength};

/// How wood fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Pulled apart across the grain: a split along the fibres.
    Splitting,
    /// Fibres torn along the grain.
    Tearing,
    /// Fibres crushed along the grain.
    CrushingAlong,
    /// Dented across the grain.
    CrushingAcross,
    /// Slid along the grain, which opens a split too.
    Shear,
    /// Fibres rolled over each other in the cross-section.
    RollingShear,
}

impl Kind {
    /// All kinds.
    pub const ALL: [Self; 6] = [
        Self::Splitting,
        Self::Tearing,
        Self::CrushingAlong,
        Self::CrushingAcross,
        Self::Shear,
        Self::RollingShear,
    ];

    /// In words, as part of a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::Splitting => "splitting across the grain",
            Self::Tearing => "tearing along the grain",
            Self::CrushingAlong => "crushing along the grain",
            Self::CrushingAcross => "crushing across the grain",
            Self::Shear => "shear along the grain",
            Self::RollingShear => "rolling shear across the fibres",
        }
    }
}

/// Strengths of one wood in numbers, and Hoffman's surface through them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    tension: [f64; 3],
    compression: [f64; 3],
    /// LR, RT, TL.
    shear: [f64; 3],
    /// Of (σR − σT)², (σT − σL)², (σL − σR)².
    pairs: [f64; 3],
    linear: [f64; 3],
    /// Of τ².
    squares: [f64; 3],
}

impl Surface {
    /// Through strengths along L, R and T and against shear LR, RT and TL, MPa, all above nought.
    pub fn new(tension: [f64; 3], compression: [f64; 3], shear: [f64; 3]) -> Self {
        let both: [f64; 3] = std::array::from_fn(|i| 1.0 / (tension[i] * compression[i]));
        Self {
            tension,
            compression,
            shear,
            pairs: std::array::from_fn(|i| 0.5 * (both[(i + 1) % 3] + both[(i + 2) % 3] - both[i])),
            linear: std::array::from_fn(|i| 1.0 / tension[i] - 1.0 / compression[i]),
            squares: shear.map(|shear| 1.0 / (shear * shear)),
        }
    }

    /// Through the strengths at one end of the spread of a wood.
    pub fn of(strength: &Strength, end: End) -> Self {
        let (along, across) = (
            strength.tension_along.at(end),
            strength.tension_across.at(end),
        );
        let (crush, dent) = (
            strength.compression_along.at(end),
            strength.compression_across.at(end),
        );
        let shear = strength.shear_along.at(end);
        Self::new(
            [along, across, across],
            [crush, dent, dent],
            [shear, strength.shear_rolling.at(end), shear],
        )
    }

    /// Of s: a in a λ² + b λ = 1.
    fn quadratic(&self, s: &[f64; 6]) -> f64 {
        let pairs = [s[1] - s[2], s[2] - s[0], s[0] - s[1]];
        (0..3)
            .map(|i| self.pairs[i] * pairs[i] * pairs[i] + self.squares[i] * s[i + 3] * s[i + 3])
            .sum()
    }

    /// Of two stresses: half of what their sum's quadratic part has beyond theirs.
    fn mixed(&self, s: &[f64; 6], t: &[f64; 6]) -> f64 {
        let pairs = |s: &[f64; 6]| [s[1] - s[2], s[2] - s[0], s[0] - s[1]];
        let (p, q) = (pairs(s), pairs(t));
        (0..3)
            .map(|i| self.pairs[i] * p[i] * q[i] + self.squares[i] * s[i + 3] * t[i + 3])
            .sum()
    }

    fn linear(&self, s: &[f64; 6]) -> f64 {
        (0..3).map(|i| self.linear[i] * s[i]).sum()
    }

    /// Share of its strength that a stress (LL, RR, TT, LR, RT, TL, MPa) uses up: 1 breaks the wood, ½ stands twice the
    /// load. Nought for a stress that never breaks it, such as an even pressure.
    pub fn utilisation(&self, stress: &[f64; 6]) -> f64 {
        let (a, b) = (self.quadratic(stress), self.linear(stress));
        // 1/λ is the positive root of x² − b x − a = 0.
        let root = b * b + 4.0 * a;
        if root.is_nan() {
            return 0.0;
        }
        (0.5 * (b + root.max(0.0).sqrt())).max(0.0)
    }

    /// The factor on `varied` at which `fixed` + factor · `varied` breaks the wood: nought where `fixed` alone does,
    /// infinite where it never happens.
    pub fn stands(&self, fixed: &[f64; 6], varied: &[f64; 6]) -> f64 {
        // a λ² + 2 b λ + c = 0 with c below nought while `fixed` stands.
        let a = self.quadratic(varied);
        let b = self.mixed(fixed, varied) + 0.5 * self.linear(varied);
        let c = self.quadratic(fixed) + self.linear(fixed) - 1.0;
        if c >= 0.0 {
            return 0.0;
        }
        // The root above nought, written so that nothing cancels: −c / (b + √(b² − a c)).
        let below = b + (b * b - a * c).max(0.0).sqrt();
        if below > 0.0 {
            -c / below
        } else {
            f64::INFINITY
        }
    }

    /// Share of its own strength that each part of a stress uses up, by kind of failure.
    pub fn parts(&self, s: &[f64; 6]) -> [(Kind, f64); 6] {
        let pull = |i: usize| (s[i] / self.tension[i]).max(0.0);
        let push = |i: usize| (-s[i] / self.compression[i]).max(0.0);
        let slide = |i: usize| s[i + 3].abs() / self.shear[i];
        [
            (Kind::Splitting, pull(1).max(pull(2))),
            (Kind::Tearing, pull(0)),
            (Kind::CrushingAlong, push(0)),
            (Kind::CrushingAcross, push(1).max(push(2))),
            (Kind::Shear, slide(0).max(slide(2))),
            (Kind::RollingShear, slide(1)),
        ]
    }

    /// The kind of failure that is nearest.
    pub fn kind(&self, stress: &[f64; 6]) -> Kind {
        let parts = self.parts(stress);
        let mut worst = parts[0];
        for part in parts {
            if part.1 > worst.1 {
                worst = part;
            }
        }
        worst.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn maple() -> Surface {
        let strength = rondure_wood::find("black maple")
            .unwrap()
            .strength()
            .unwrap();
        Surface::of(&strength, End::Mean)
    }

    /// Each strength alone is reached exactly where the table says, and names its own kind.
    #[test]
    fn each_strength_alone_breaks_the_wood_where_the_table_says() {
        for (part, value, kind) in [
            (0, 92.0, Kind::Tearing),
            (0, -46.1, Kind::CrushingAlong),
            (1, 4.6, Kind::Splitting),
            (2, 4.6, Kind::Splitting),
            (2, -7.0, Kind::CrushingAcross),
            (3, 12.5, Kind::Shear),
            (5, -12.5, Kind::Shear),
            (4, 0.23 * 12.5, Kind::RollingShear),
        ] {
            let mut stress = [0.0; 6];
            stress[part] = value;
            let surface = maple();
            assert!(
                (surface.utilisation(&stress) - 1.0).abs() < 1e-12,
                "{part} {value}"
            );
            assert!((surface.stands(&[0.0; 6], &stress) - 1.0).abs() < 1e-12);
            assert_eq!(surface.kind(&stress), kind);
            // Half the load uses half the strength.
            let half = stress.map(|s| 0.5 * s);
            assert!((surface.utilisation(&half) - 0.5).abs() < 1e-12);
        }
    }

    /// On the surface the equation itself holds: the root is put back into it.
    #[test]
    fn the_root_lies_on_the_surface() {
        let surface = maple();
        let varied = [10.0, -2.0, 1.5, 3.0, -0.4, 2.0];
        let fixed = [-5.0, 0.5, 0.4, 0.0, 0.3, -1.0];
        let factor = surface.stands(&fixed, &varied);
        let there: [f64; 6] = std::array::from_fn(|i| fixed[i] + factor * varied[i]);
        assert!((surface.quadratic(&there) + surface.linear(&there) - 1.0).abs() < 1e-12);
        assert!((surface.utilisation(&there) - 1.0).abs() < 1e-12);
        let alone = surface.stands(&[0.0; 6], &varied);
        assert!((alone * surface.utilisation(&varied) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn what_never_breaks_is_nought_and_what_is_broken_stands_nothing() {
        let surface = maple();
        assert_eq!(surface.utilisation(&[0.0; 6]), 0.0);
        assert_eq!(surface.utilisation(&[f64::NAN; 6]), 0.0);
        assert_eq!(surface.stands(&[0.0; 6], &[0.0; 6]), f64::INFINITY);
        assert_eq!(
            surface.stands(&[0.0, 5.0, 0.0, 0.0, 0.0, 0.0], &[1.0; 6]),
            0.0
        );
    }

    /// Shear breaks wood sooner beside a pull across the grain, and both ways alike.
    #[test]
    fn a_pull_across_the_grain_weakens_against_shear() {
        let surface = maple();
        let shear = surface.utilisation(&[0.0, 0.0, 0.0, 8.0, 0.0, 0.0]);
        let both = surface.utilisation(&[0.0, 2.0, 0.0, 8.0, 0.0, 0.0]);
        let other = surface.utilisation(&[0.0, 2.0, 0.0, -8.0, 0.0, 0.0]);
        assert!(both > shear && both == other);
    }
}
