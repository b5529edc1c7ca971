//! A length as a turner can set it: tenths of a millimetre, or reduced
//! fractions of an inch.
//!
//! Millimetres go to the nearest 0.1 and a trailing `.0` is left off (`60 mm`,
//! `60.3 mm`): a rule shows whole millimetres, and a nought would promise a
//! tenth that was never asked for. Inches go to the nearest step of the chosen
//! denominator, are reduced, and carry to the whole inch (`2 3/8 in`, `3 in`).
//! Halves round away from zero. What is shown reads back to exactly
//! [`Shown::value_mm`].

use super::MILLIMETRES_PER_INCH;

/// The denominators a rule is divided by.
pub const FRACTIONS: [u32; 6] = [2, 4, 8, 16, 32, 64];

/// The finest fraction of an inch that is ever shown.
pub const FINEST_FRACTION: u32 = 64;

/// How lengths are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthStyle {
    /// Millimetres to one decimal.
    Millimetres,
    /// Fractions of an inch.
    Inches {
        /// Steps in one inch; one of [`FRACTIONS`] in a plan.
        denominator: u32,
    },
}

impl LengthStyle {
    /// The smallest difference this style can show, mm.
    pub fn step_mm(self) -> f64 {
        match self {
            Self::Millimetres => 0.1,
            Self::Inches { denominator } => MILLIMETRES_PER_INCH / f64::from(denominator.max(1)),
        }
    }

    /// The name of the unit shown, `mm` or `in`, as the report names it.
    pub fn unit_word(self) -> &'static str {
        match self {
            Self::Millimetres => "mm",
            Self::Inches { .. } => "in",
        }
    }
}

/// A length in writing, and what the writing is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// The writing, with its unit.
    pub text: String,
    /// What the writing says exactly, mm.
    pub value_mm: f64,
    /// What rounding cost: `value_mm` less the length asked for, mm. At most
    /// half of [`LengthStyle::step_mm`] either way.
    pub cost_mm: f64,
}

/// Shows a length, mm, as the nearest number the style can write.
///
/// A length that is no number is shown as `unknown`, at its own value.
pub fn show_length(mm: f64, style: LengthStyle) -> Shown {
    if !mm.is_finite() {
        return Shown {
            text: "unknown".to_owned(),
            value_mm: mm,
            cost_mm: 0.0,
        };
    }
    let (text, value_mm) = match style {
        LengthStyle::Millimetres => tenths(mm),
        LengthStyle::Inches { denominator } => fraction(mm, denominator.max(1)),
    };
    Shown {
        text,
        value_mm,
        cost_mm: value_mm - mm,
    }
}

/// Nearest whole number of steps, halves away from zero.
///
/// A length that stands on the half in exact arithmetic may lie a few last
/// places below it in `f64`; the nudge, far below anything a tool can hold,
/// lets such a half round like every other.
fn nearest_steps(steps: f64) -> f64 {
    const NUDGE: f64 = 1e-9;
    (steps.abs() + NUDGE).round().copysign(steps)
}

fn tenths(mm: f64) -> (String, f64) {
    let steps = nearest_steps(mm * 10.0);
    if steps == 0.0 {
        return ("0 mm".to_owned(), 0.0);
    }
    let value = steps / 10.0;
    (format!("{value} mm"), value)
}

fn fraction(mm: f64, denominator: u32) -> (String, f64) {
    let per_inch = f64::from(denominator);
    let steps = nearest_steps(mm / MILLIMETRES_PER_INCH * per_inch);
    // One rounding only: 254 and the products are whole.
    let value = steps * 254.0 / (10.0 * per_inch);
    let sign = if steps < 0.0 { "-" } else { "" };
    let whole = (steps.abs() / per_inch).floor();
    // Below the denominator, so the conversion is exact.
    let left = (steps.abs() - whole * per_inch) as u32;
    let common = greatest_common_divisor(left, denominator);
    let (top, bottom) = (left / common, denominator / common);
    let text = if top == 0 && whole == 0.0 {
        return ("0 in".to_owned(), 0.0);
    } else if top == 0 {
        format!("{sign}{whole} in")
    } else if whole == 0.0 {
        format!("{sign}{top}/{bottom} in")
    } else {
        format!("{sign}{whole} {top}/{bottom} in")
    };
    (text, value)
}

fn greatest_common_divisor(mut a: u32, mut b: u32) -> u32 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

#[cfg(test)]
mod tests {
    use super::super::{LengthUnit, read_length};
    use super::*;
    use proptest::prelude::*;

    fn inches(mm: f64, denominator: u32) -> String {
        show_length(mm, LengthStyle::Inches { denominator }).text
    }

    #[test]
    fn millimetres_go_to_the_tenth() {
        let text = |mm| show_length(mm, LengthStyle::Millimetres).text;
        assert_eq!(text(60.0), "60 mm");
        assert_eq!(text(60.3), "60.3 mm");
        assert_eq!(text(60.04), "60 mm");
        assert_eq!(text(60.25), "60.3 mm");
        assert_eq!(text(-60.25), "-60.3 mm");
        assert_eq!(text(0.05), "0.1 mm");
        assert_eq!(text(-0.04), "0 mm");
        assert_eq!(text(1999.96), "2000 mm");
        assert_eq!(text(f64::NAN), "unknown");
    }

    // Trade-facts 9.16: 1/64 in is 0.397 mm, 1/32 0.794, 1/16 1.588, 1/8
    // 3.175, 1/4 6.35.
    #[test]
    fn table_of_fractions() {
        for (mm, text) in [
            (0.397, "1/64 in"),
            (0.794, "1/32 in"),
            (1.588, "1/16 in"),
            (3.175, "1/8 in"),
            (6.35, "1/4 in"),
            (60.325, "2 3/8 in"),
            (25.4, "1 in"),
        ] {
            assert_eq!(inches(mm, 64), text);
        }
    }

    // Trade-facts 9.16: rounding costs at most 0.794 mm to sixteenths, 0.397
    // to thirty-seconds, 0.198 to sixty-fourths.
    #[test]
    fn the_dearest_rounding() {
        for (denominator, most) in [(16, 0.794), (32, 0.397), (64, 0.198)] {
            let style = LengthStyle::Inches { denominator };
            assert!((style.step_mm() / 2.0 - most).abs() < 0.0005);
            let half = 25.4 / f64::from(denominator) / 2.0;
            let shown = show_length(25.4 * 2.0 + half, style);
            assert!((shown.cost_mm - half).abs() < 1e-9, "halves go up");
        }
    }

    #[test]
    fn whole_inches_carry() {
        assert_eq!(inches(25.4 * (2.0 + 127.0 / 128.0), 64), "3 in");
        assert_eq!(inches(25.4 * 0.99, 8), "1 in");
        assert_eq!(inches(-25.4 * 2.375, 64), "-2 3/8 in");
        assert_eq!(inches(0.1, 64), "0 in");
        assert_eq!(inches(25.4 * 2.375, 4), "2 1/2 in");
    }

    #[test]
    fn every_sixty_fourth_up_to_twenty_inches_comes_back() {
        let style = LengthStyle::Inches { denominator: 64 };
        for steps in 1..=20 * 64_u32 {
            let mm = f64::from(steps) * MILLIMETRES_PER_INCH / 64.0;
            let shown = show_length(mm, style);
            assert!(shown.cost_mm.abs() < 1e-12, "{shown:?}");
            let back = read_length(&shown.text, LengthUnit::Millimetre).unwrap();
            assert!((back - mm).abs() < 1e-12, "{shown:?} read as {back}");
            if let Some((_, fraction)) = shown.text.trim_end_matches(" in").rsplit_once('/') {
                let bottom: u32 = fraction.parse().unwrap();
                assert!(FRACTIONS.contains(&bottom));
                assert_eq!(steps % (64 / bottom), 0);
                assert_eq!(
                    (steps / (64 / bottom)) % 2,
                    1,
                    "not reduced: {}",
                    shown.text
                );
            }
        }
    }

    proptest! {
        #[test]
        fn rounding_costs_at_most_half_a_step(mm in -2000.0..2000.0_f64, which in 0..7_usize) {
            let style = FRACTIONS
                .get(which)
                .map_or(LengthStyle::Millimetres, |&denominator| LengthStyle::Inches { denominator });
            let shown = show_length(mm, style);
            prop_assert!(shown.cost_mm.abs() <= style.step_mm() * 0.5 + 1e-8);
            prop_assert!((shown.value_mm - mm - shown.cost_mm).abs() < 1e-12);
        }

        #[test]
        fn what_is_shown_reads_back(mm in 0.5..2000.0_f64, which in 0..7_usize) {
            let style = FRACTIONS
                .get(which)
                .map_or(LengthStyle::Millimetres, |&denominator| LengthStyle::Inches { denominator });
            let shown = show_length(mm, style);
            if shown.value_mm > 0.0 {
                let back = read_length(&shown.text, LengthUnit::Centimetre).unwrap();
                prop_assert!((back - shown.value_mm).abs() < 1e-9);
            }
        }
    }
}
