//! How wood changes size with its moisture.
//!
//! Shrinkage is taken as a straight line from fibre saturation to ovendry (Wood Handbook, FPL-GTR-190; seen): at moisture
//! M the size has fallen by S₀ (1 − M/F) percent of the green size, S₀ the tabulated shrinkage and F the fibre saturation
//! point; above F nothing changes. From this one line follow the ratio of two sizes, the handbook's equation 13-3 (from
//! memory) and its coefficients C of table 13-5, C = S₀/(3000 − 20 S₀) per percent with F = 30 and 10 % as reference.
//!
//! Not in it: collapse, juvenile and reaction wood, a moisture that differs from skin to core, and cracks.

use std::ops::RangeInclusive;

use thiserror::Error;

use crate::sourced::Sourced;
use crate::species::Wood;

/// Shrinkage along the grain of normal wood, green to ovendry, percent: 0.1 to 0.2 (awc.org FAQ, seen). Juvenile and
/// reaction wood shrink several times this (from memory).
pub const LONGITUDINAL_SHRINKAGE: RangeInclusive<f64> = 0.1..=0.2;

/// Moisture contents over which the handbook's coefficients may be used, percent.
const COEFFICIENT_RANGE: RangeInclusive<f64> = 6.0..=14.0;

/// A change of size in one direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resize {
    /// Size afterwards over size before.
    pub ratio: f64,
    /// One standard deviation between trees, in the same measure.
    pub spread: f64,
}

/// The change of size of a wood between two moisture contents.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Movement {
    /// Across the growth rings.
    pub radial: Resize,
    /// Along the growth rings.
    pub tangential: Resize,
}

/// Why a movement cannot be given.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum MovementError {
    /// No table gives both the radial and the tangential shrinkage.
    #[error(
        "no source gives the radial and tangential shrinkage of {wood}; choose a wood that has both in `rondure woods`, or use it dry"
    )]
    NoShrinkage {
        /// The wood's name.
        wood: String,
    },
    /// A moisture content that is no moisture content.
    #[error(
        "moisture content {found} % is not possible; it must be 0 or more, in percent of the ovendry mass"
    )]
    Moisture {
        /// What was asked for, percent.
        found: f64,
    },
}

/// A moisture content outside the coefficients' range.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[error("moisture content {found} % is outside the coefficient's range, {} to {} %; use the shrinkage itself", COEFFICIENT_RANGE.start(), COEFFICIENT_RANGE.end())]
pub struct CoefficientOutOfRange {
    /// What was asked for, percent.
    pub found: f64,
}

/// Shrinkage from green to `moisture` percent, in percent of the green size.
pub fn shrinkage_at(total: f64, fibre_saturation: f64, moisture: f64) -> f64 {
    total * (1.0 - moisture / fibre_saturation).clamp(0.0, 1.0)
}

/// Size at moisture `to` over size at moisture `from`; `total` is the shrinkage green to ovendry in percent.
pub fn resize_ratio(total: f64, fibre_saturation: f64, from: f64, to: f64) -> f64 {
    (100.0 - shrinkage_at(total, fibre_saturation, to))
        / (100.0 - shrinkage_at(total, fibre_saturation, from))
}

/// The handbook's coefficient, change per percent of moisture as a part of the size at 10 %, from the total shrinkage in
/// percent.
pub fn coefficient_from_shrinkage(total: f64) -> f64 {
    total / (3000.0 - 20.0 * total)
}

/// The total shrinkage in percent that a coefficient stands for.
pub fn shrinkage_from_coefficient(coefficient: f64) -> f64 {
    3000.0 * coefficient / (1.0 + 20.0 * coefficient)
}

/// The change of a size (same unit as `size`, positive when it grows) by the handbook's short form, size × C × difference.
///
/// # Errors
/// [`CoefficientOutOfRange`] when a moisture content is not within 6 to 14 %.
pub fn change_by_coefficient(
    size: f64,
    coefficient: f64,
    from: f64,
    to: f64,
) -> Result<f64, CoefficientOutOfRange> {
    for found in [from, to] {
        if !COEFFICIENT_RANGE.contains(&found) {
            return Err(CoefficientOutOfRange { found });
        }
    }
    Ok(size * coefficient * (to - from))
}

impl Wood {
    /// The change of size between two moisture contents in percent of the ovendry mass. Any moisture at or above fibre
    /// saturation counts as green.
    ///
    /// # Errors
    /// [`MovementError`] when a shrinkage is not known or a moisture content is negative.
    pub fn movement(&self, from: f64, to: f64) -> Result<Movement, MovementError> {
        for found in [from, to] {
            if found.is_nan() || found < 0.0 {
                return Err(MovementError::Moisture { found });
            }
        }
        let (Some(radial), Some(tangential)) = (&self.radial_shrinkage, &self.tangential_shrinkage)
        else {
            return Err(MovementError::NoShrinkage {
                wood: self.name.clone(),
            });
        };
        let saturation = self.fibre_saturation.value;
        Ok(Movement {
            radial: resize(radial, saturation, from, to),
            tangential: resize(tangential, saturation, from, to),
        })
    }
}

fn resize(shrinkage: &Sourced<f64>, saturation: f64, from: f64, to: f64) -> Resize {
    let ratio = resize_ratio(shrinkage.value, saturation, from, to);
    // The change is very nearly proportional to the shrinkage, so its relative spread is the shrinkage's own.
    Resize {
        ratio,
        spread: (ratio - 1.0).abs() * shrinkage.spread / shrinkage.value,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::find;
    use crate::table::Table;
    use proptest::prelude::*;

    const COEFFICIENTS: &str = include_str!("../tests/data/dimensional_change_coefficients.csv");

    /// Wood Handbook table 13-5 against tables 4-3 and 4-4 (addresses in the file): the coefficients reproduce both
    /// shrinkages within 0.15 points for 54 of the 58 woods found in both. The four that differ are named here; for them
    /// the woods carry the other figure as a note.
    #[test]
    fn table_13_5_and_the_shrinkage_tables_agree_but_for_four() {
        let table = Table::read("coefficients", COEFFICIENTS).unwrap();
        let (mut matched, mut differ) = (0, Vec::new());
        for row in table.rows() {
            let name = row.text("wood").unwrap();
            if name.is_empty() {
                continue;
            }
            matched += 1;
            let wood = find(name).unwrap();
            let off = |column, field: &Option<Sourced<f64>>| {
                let implied = shrinkage_from_coefficient(row.number(column).unwrap().unwrap());
                (implied - field.as_ref().unwrap().value).abs()
            };
            let radial = off("radial_per_pct", &wood.radial_shrinkage);
            let tangential = off("tangential_per_pct", &wood.tangential_shrinkage);
            if radial.max(tangential) > 0.15 {
                differ.push(name);
                let note = &wood.radial_shrinkage.as_ref().unwrap().note;
                assert!(note.contains("Table 13-5"), "{name}: {note}");
            }
        }
        differ.sort_unstable();
        assert_eq!(matched, 58);
        assert_eq!(
            differ,
            [
                "African mahogany",
                "teak",
                "true mahogany",
                "western redcedar"
            ]
        );
    }

    /// Printed coefficients (table 13-5, page 307), cherry .00126/.00248 and American beech .00190/.00431, from the
    /// shrinkages 3.7/7.1 and 5.5/11.9.
    #[test]
    fn gives_the_printed_coefficients() {
        for (total, printed) in [
            (3.7, 0.00126),
            (7.1, 0.00248),
            (5.5, 0.00190),
            (11.9, 0.00431),
        ] {
            assert!((coefficient_from_shrinkage(total) - printed).abs() < 5e-6);
        }
    }

    /// USDA sheets, green to 6 % and to 20 %: eastern hophornbeam T 9.6 in all, 8.0 and 3.3 (docslib.org/doc/11153133);
    /// Pacific yew T 5.4 in all, 4.3 and 1.8, R 4.0, 3.2 and 1.3 (docslib.org/doc/4990627). The sheets round to 0.1.
    #[test]
    fn the_straight_line_gives_the_sheets_figures() {
        for (total, moisture, printed) in [
            (9.6, 6.0, 8.0),
            (9.6, 20.0, 3.3),
            (5.4, 6.0, 4.3),
            (5.4, 20.0, 1.8),
            (4.0, 6.0, 3.2),
            (4.0, 20.0, 1.3),
        ] {
            // The line gives 7.7 where the first sheet prints 8.0; the others are within the rounding.
            let tolerance = if printed == 8.0 { 0.35 } else { 0.11 };
            let ours = shrinkage_at(total, 30.0, moisture);
            assert!(
                (ours - printed).abs() < tolerance,
                "{total} {moisture}: {ours}"
            );
        }
    }

    #[test]
    fn green_wood_moves_only_below_saturation() {
        let cherry = find("black cherry").unwrap();
        let wet = cherry.movement(80.0, 35.0).unwrap();
        assert_eq!(wet.radial.ratio, 1.0);
        assert_eq!(wet.radial.spread, 0.0);
        let ovendry = cherry.movement(80.0, 0.0).unwrap();
        assert!((ovendry.tangential.ratio - 0.929).abs() < 1e-12);
        assert!((ovendry.tangential.spread - 0.15 * 0.071).abs() < 1e-12);
    }

    /// Black locust stops shrinking at about 22 % (robinianatur.ro), so at 12 % it has moved less than the average says.
    #[test]
    fn a_wood_with_its_own_saturation_uses_it() {
        let locust = find("black locust").unwrap().movement(40.0, 12.0).unwrap();
        let expected = 1.0 - 0.046 * (1.0 - 12.0 / 22.2);
        assert!((locust.radial.ratio - expected).abs() < 1e-12);
    }

    #[test]
    fn refuses_in_words() {
        let snakewood = find("snakewood").unwrap().movement(30.0, 10.0);
        assert!(snakewood.unwrap_err().to_string().contains("snakewood"));
        let cherry = find("black cherry").unwrap();
        assert!(cherry.movement(-1.0, 10.0).is_err());
        assert!(cherry.movement(30.0, f64::NAN).is_err());
        let error = change_by_coefficient(100.0, 0.00126, 20.0, 8.0).unwrap_err();
        assert!(error.to_string().contains("6 to 14 %"), "{error}");
    }

    proptest! {
        /// Equation 13-3 (from memory): dD = D (M2 − M1)/(3000/S₀ − 30 + M1) is the same line.
        #[test]
        fn equation_13_3_is_the_same_line(s in 1.0..14.0f64, m1 in 0.0..30.0f64, m2 in 0.0..30.0f64) {
            let change = (m2 - m1) / (3000.0 / s - 30.0 + m1);
            prop_assert!((resize_ratio(s, 30.0, m1, m2) - 1.0 - change).abs() < 1e-12);
        }

        /// Reckoned from 10 %, the coefficient's own reference, the short form is the line itself.
        #[test]
        fn the_short_form_from_ten_percent_is_the_line(s in 1.0..12.0f64, m in 6.0..14.0f64) {
            let exact = 100.0 * (resize_ratio(s, 30.0, 10.0, m) - 1.0);
            let short = change_by_coefficient(100.0, coefficient_from_shrinkage(s), 10.0, m).unwrap();
            prop_assert!((exact - short).abs() < 1e-9);
        }

        /// From anywhere else in its range it is off by less than 2 % of the change: the size it is a part of is that at
        /// 10 %, and sizes within 4 points of it differ by at most 4/30 of the shrinkage.
        #[test]
        fn the_short_form_is_near_it_elsewhere(s in 1.0..12.0f64, a in 6.0..14.0f64, b in 6.0..14.0f64) {
            let exact = 100.0 * (resize_ratio(s, 30.0, a, b) - 1.0);
            let short = change_by_coefficient(100.0, coefficient_from_shrinkage(s), a, b).unwrap();
            prop_assert!((exact - short).abs() <= 0.02 * exact.abs() + 1e-12);
        }

        #[test]
        fn there_and_back_is_no_change(s in 1.0..14.0f64, a in 0.0..40.0f64, b in 0.0..40.0f64) {
            let both = resize_ratio(s, 30.0, a, b) * resize_ratio(s, 30.0, b, a);
            prop_assert!((both - 1.0).abs() < 1e-12);
        }

        #[test]
        fn coefficient_and_shrinkage_are_inverse(s in 0.1..14.0f64) {
            let back = shrinkage_from_coefficient(coefficient_from_shrinkage(s));
            prop_assert!((back - s).abs() < 1e-12);
        }
    }
}
