//! How long it takes: figures the turner can change, corrected by times that were noted.
//!
//! A figure is the minutes of one set-up of its kind on a piece of 60 mm; another size takes time
//! in proportion to its diameter (both common practice, no source). A noted time tells how much
//! slower or faster this turner is: its ratio is minutes noted over minutes reckoned. A kind's
//! figure is corrected by the median of its noted ratios and of two more that say "as reckoned", so
//! that one odd day moves nothing, three alike move all, and few move half-way. The spread given is
//! the median distance of the ratios from that median, times 1.4826 (which for normal errors is one
//! standard deviation; Rousseeuw and Croux 1993, from memory), and no less than a fifth.

use serde::Serialize;
use ts_rs::TS;

/// The kinds of set-up that have a figure, with minutes on a piece of 60 mm. Common practice, no
/// source.
pub const USUAL: [(&str, f64); 7] = [
    ("rough", 15.0),
    ("ball", 45.0),
    ("second-end", 20.0),
    ("mounting", 25.0),
    ("pierce", 30.0),
    ("finial", 35.0),
    ("assembly", 15.0),
];
/// Minutes to change jaws or what else holds the work, and to change a bit. Common practice, no
/// source.
pub const CHANGES: [(&str, f64); 2] = [("change_jaws", 5.0), ("change_bit", 1.5)];

/// The diameter figures are for, mm.
const FOR: f64 = 60.0;
/// Ratios of one that stand with those noted.
const AS_RECKONED: usize = 2;
/// Spread where nothing is known.
const LEAST_SPREAD: f64 = 0.2;

/// A time that was noted.
#[derive(Debug, Clone, PartialEq)]
pub struct Noted {
    /// The kind of set-up.
    pub kind: String,
    /// Diameter of the piece, mm.
    pub diameter: f64,
    /// Minutes for one.
    pub minutes: f64,
}

/// One figure, as it is used.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Figure {
    /// The kind of set-up.
    pub kind: String,
    /// Minutes on a piece of 60 mm, as given.
    pub given: f64,
    /// The same after what was noted.
    pub used: f64,
    /// Times noted.
    pub noted: usize,
    /// Share by which one piece may differ, either way.
    pub spread: f64,
}

/// The figure of a kind, corrected by what was noted.
pub fn figure(kind: &str, given: f64, noted: &[Noted]) -> Figure {
    let mut ratios: Vec<f64> = noted
        .iter()
        .filter(|each| each.kind == kind)
        .map(|each| each.minutes / reckoned(given, each.diameter))
        .collect();
    let count = ratios.len();
    ratios.extend([1.0; AS_RECKONED]);
    let middle = median(&mut ratios.clone());
    let mut away: Vec<f64> = ratios.iter().map(|ratio| (ratio - middle).abs()).collect();
    let spread = 1.4826 * median(&mut away) / middle;
    Figure {
        kind: kind.to_owned(),
        given,
        used: given * middle,
        noted: count,
        spread: spread.max(LEAST_SPREAD),
    }
}

/// Minutes of one set-up at a diameter, mm.
pub fn reckoned(figure: f64, diameter: f64) -> f64 {
    figure * diameter / FOR
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    match values.len() {
        0 => 1.0,
        odd if odd % 2 == 1 => values[odd / 2],
        even => 0.5 * (values[even / 2 - 1] + values[even / 2]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn noted(minutes: &[f64]) -> Vec<Noted> {
        let all = minutes.iter().map(|minutes| Noted {
            kind: "mounting".to_owned(),
            diameter: 60.0,
            minutes: *minutes,
        });
        all.collect()
    }

    /// By hand, with a figure of 20: ratios and the two ones, their median.
    #[test]
    fn what_is_noted_corrects_as_stated() {
        for (minutes, used) in [
            (&[][..], 20.0),
            (&[40.0], 20.0),                    // 1, 1, 2
            (&[40.0, 40.0], 30.0),              // 1, 1, 2, 2
            (&[40.0, 40.0, 40.0], 40.0),        // 1, 1, 2, 2, 2
            (&[22.0, 24.0, 23.0, 400.0], 22.5), // 1, 1, 1.1, 1.15, 1.2, 20
        ] {
            let found = figure("mounting", 20.0, &noted(minutes));
            assert!((found.used - used).abs() < 1e-9, "{minutes:?}: {found:?}");
            assert_eq!(found.noted, minutes.len());
        }
    }

    /// A time noted on a larger piece counts by its diameter, and other kinds do not count.
    #[test]
    fn times_are_compared_at_one_size() {
        let mut all = noted(&[45.0; 5]);
        for each in &mut all {
            each.diameter = 90.0;
        }
        let found = figure("mounting", 20.0, &all);
        assert!((found.used - 30.0).abs() < 1e-9);
        assert!((reckoned(found.used, 90.0) - 45.0).abs() < 1e-9);
        assert_eq!(figure("ball", 20.0, &all).used, 20.0);
    }

    /// One wild time among many moves neither the figure nor the spread far.
    #[test]
    fn one_odd_day_moves_little() {
        let mut minutes = vec![19.0, 20.0, 21.0, 20.5, 19.5];
        let before = figure("mounting", 20.0, &noted(&minutes));
        minutes.push(500.0);
        let after = figure("mounting", 20.0, &noted(&minutes));
        assert!((after.used - before.used).abs() <= 0.5);
        assert_eq!(after.spread, LEAST_SPREAD);
    }
}
