//! A share with the interval that holds the true one.
//!
//! The replicates of a trial are independent, so the scatter of their shares tells how good
//! their mean is. The interval is Wilson's (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927), which
//! stays honest near 0 and 1, for as many independent makings as would scatter like the
//! replicates; never for more than were made, so that luck in the scatter cannot make it too narrow.

/// A share of makings, with the interval that holds the true share 19 times of 20.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// The share found.
    pub share: f64,
    /// Lower end of the interval.
    pub from: f64,
    /// Upper end.
    pub to: f64,
}

/// Two-sided 95 % quantile of the normal distribution.
const WIDE: f64 = 1.959_964;

impl Share {
    /// From the count of good makings in every replicate of `points`.
    pub fn of(good: &[usize], points: usize) -> Self {
        let made = (good.len() * points).max(1) as f64;
        let share = good.iter().sum::<usize>() as f64 / made;
        let mean = share * points as f64;
        let scatter: f64 = good
            .iter()
            .map(|count| (*count as f64 - mean).powi(2))
            .sum::<f64>()
            / (good.len().max(2) - 1) as f64;
        // Counts of independent makings scatter by points · p (1 − p).
        let chance = points as f64 * share * (1.0 - share);
        let alike = if scatter > chance {
            made * chance / scatter
        } else {
            made
        };
        Self::wilson(share, alike.max(1.0))
    }

    fn wilson(share: f64, made: f64) -> Self {
        let z2 = WIDE * WIDE / made;
        let middle = (share + 0.5 * z2) / (1.0 + z2);
        let half = WIDE * (share * (1.0 - share) / made + 0.25 * z2 / made).sqrt() / (1.0 + z2);
        Self {
            share,
            from: (middle - half).max(0.0).min(share),
            to: (middle + half).min(1.0).max(share),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked example of many textbooks: 81 of 263 gives 0.2553 to 0.3662 (Newcombe, Statistics in
    /// Medicine 17, 1998, table I).
    #[test]
    fn the_interval_is_wilsons() {
        let found = Share::wilson(81.0 / 263.0, 263.0);
        assert!((found.from - 0.2553).abs() < 1e-4 && (found.to - 0.3662).abs() < 1e-4);
        let none = Share::of(&[0; 8], 10);
        assert!(none.from == 0.0 && none.share == 0.0 && (none.to - 0.0458).abs() < 1e-3);
    }

    /// Replicates that scatter more than chance widen it.
    #[test]
    fn scatter_widens_it() {
        let even = Share::of(&[50; 16], 100);
        let uneven = Share::of(&[30, 70].repeat(8), 100);
        assert!(uneven.to - uneven.from > 1.5 * (even.to - even.from));
    }
}
