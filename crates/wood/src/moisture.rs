//! The moisture content wood comes to in steady air.
//!
//! Hailwood and Horrobin's equation with the constants of the Wood Handbook (FPL-GTR-190, equation 4-5, seen). It stands
//! for wood in general: it does not know the species, and wood that is drying stays a little wetter than wood that is
//! taking water up, at the same air. It is used only over the range in which it was checked against the handbook's table
//! 4-2; there it reproduces the table, printed to 0.1, within 0.06 points.

use std::ops::RangeInclusive;

use thiserror::Error;

/// Temperatures checked, degrees Celsius: 30 to 130 °F.
const CELSIUS: RangeInclusive<f64> = -1.2..=54.5;

/// Relative humidities checked, percent.
const HUMIDITY: RangeInclusive<f64> = 5.0..=90.0;

/// Air outside the range in which the equation was checked.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum ClimateOutOfRange {
    /// The temperature is out of range.
    #[error("air at {found} °C is out of range; the equation was checked from {} to {} °C", CELSIUS.start(), CELSIUS.end())]
    Temperature {
        /// What was asked for, degrees Celsius.
        found: f64,
    },
    /// The relative humidity is out of range.
    #[error("a relative humidity of {found} % is out of range; the equation was checked from {} to {} %", HUMIDITY.start(), HUMIDITY.end())]
    Humidity {
        /// What was asked for, percent.
        found: f64,
    },
}

/// Equilibrium moisture content, percent of the ovendry mass, in air at `celsius` and `relative_humidity` percent.
///
/// # Errors
/// [`ClimateOutOfRange`] outside −1.2 to 54.5 °C or 5 to 90 % relative humidity.
pub fn equilibrium_moisture(
    celsius: f64,
    relative_humidity: f64,
) -> Result<f64, ClimateOutOfRange> {
    if !CELSIUS.contains(&celsius) {
        return Err(ClimateOutOfRange::Temperature { found: celsius });
    }
    if !HUMIDITY.contains(&relative_humidity) {
        return Err(ClimateOutOfRange::Humidity {
            found: relative_humidity,
        });
    }
    let t = celsius;
    let h = relative_humidity / 100.0;
    // The handbook's symbols: W, K, K1, K2.
    let w = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 0.000736 * t - 0.00000273 * t * t;
    let k1 = 6.27 - 0.00938 * t - 0.000303 * t * t;
    let k2 = 1.91 + 0.0407 * t - 0.000293 * t * t;
    let kh = k * h;
    let dissolved = kh / (1.0 - kh);
    let hydrated = (k1 * kh + 2.0 * k1 * k2 * kh * kh) / (1.0 + k1 * kh + k1 * k2 * kh * kh);
    Ok(1800.0 / w * (dissolved + hydrated))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Table;
    use proptest::prelude::*;

    const PUBLISHED: &str = include_str!("../tests/data/equilibrium_moisture.csv");

    /// Wood Handbook table 4-2 (addresses in the file), every cell at hand. Tolerance: half the last printed digit, 0.05,
    /// and 0.01 for the constants' own rounding. One cell is a misprint (its note says so) and must stand out.
    #[test]
    fn reproduces_the_handbooks_table() {
        let table = Table::read("equilibrium_moisture.csv", PUBLISHED).unwrap();
        let (mut cells, mut misprints) = (0, Vec::new());
        for row in table.rows() {
            let fahrenheit = row.number("temp_F").unwrap().unwrap();
            let humidity = row.number("relative_humidity_pct").unwrap().unwrap();
            let published = row.number("moisture_pct").unwrap().unwrap();
            let ours = equilibrium_moisture((fahrenheit - 32.0) / 1.8, humidity).unwrap();
            if (ours - published).abs() > 0.06 {
                misprints.push((fahrenheit, humidity));
                assert!(
                    row.text("note").unwrap().contains("misprint"),
                    "{ours} {published}"
                );
            }
            cells += 1;
        }
        assert_eq!(cells, 129);
        assert_eq!(misprints, [(110.0, 20.0)]);
    }

    /// Workshop figures (woodweb.com RH ratios, to one point): 30 % air 6 %, 50: 9, 65: 12, 80: 16.
    #[test]
    fn agrees_with_the_workshop_figures() {
        for (humidity, percent) in [(30.0, 6.0), (50.0, 9.0), (65.0, 12.0), (80.0, 16.0)] {
            let ours = equilibrium_moisture(21.0, humidity).unwrap();
            assert!((ours - percent).abs() < 0.6, "{humidity}: {ours}");
        }
    }

    #[test]
    fn air_that_was_not_checked_is_refused() {
        for (celsius, humidity) in [(-10.0, 50.0), (60.0, 50.0), (f64::NAN, 50.0)] {
            let error = equilibrium_moisture(celsius, humidity).unwrap_err();
            assert!(matches!(error, ClimateOutOfRange::Temperature { .. }));
        }
        let error = equilibrium_moisture(20.0, 99.0).unwrap_err();
        assert_eq!(error, ClimateOutOfRange::Humidity { found: 99.0 });
        assert!(error.to_string().contains("5 to 90 %"), "{error}");
    }

    proptest! {
        #[test]
        fn damper_air_makes_damper_wood(t in -1.0..54.0f64, h in 5.0..89.0f64) {
            let drier = equilibrium_moisture(t, h).unwrap();
            prop_assert!(equilibrium_moisture(t, h + 1.0).unwrap() > drier);
        }
    }
}
