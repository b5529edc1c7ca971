//! Correction for a printer that does not print at true size.

use crate::texts::Texts;

/// What a printer makes of a line of 100 mm.
///
/// Drawings at true size are enlarged by 100 over that, so that they come out true.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckPrint {
    measured: f64,
}

/// A length that no printer makes of 100 mm.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "found {found} as the length of the check ruler's 100 mm line; allowed is {} to {} mm. \
     Print a sheet at 100 %, lay a rule along the line from 0 to 100, and give what you read, e.g. 98.5. \
     A printer that is further off is set to fit the page: switch that off first",
    CheckPrint::LEAST,
    CheckPrint::MOST
)]
pub struct CheckPrintError {
    /// What was given, mm.
    pub found: f64,
}

impl CheckPrint {
    /// Shortest that 100 mm may have come out, mm.
    pub const LEAST: f64 = 90.0;
    /// Longest that 100 mm may have come out, mm.
    pub const MOST: f64 = 110.0;

    /// A printer that prints 100 mm as `measured` mm.
    ///
    /// # Errors
    /// Where it is outside [`CheckPrint::LEAST`] to [`CheckPrint::MOST`].
    pub fn new(measured: f64) -> Result<Self, CheckPrintError> {
        if (Self::LEAST..=Self::MOST).contains(&measured) {
            Ok(Self { measured })
        } else {
            Err(CheckPrintError { found: measured })
        }
    }

    /// What drawings at true size are enlarged by.
    pub fn factor(self) -> f64 {
        100.0 / self.measured
    }

    /// What a corrected sheet says about itself; none where nothing is corrected.
    pub fn words(self, texts: &Texts) -> Option<String> {
        // A shift below a hundredth of a millimetre in 100 is no correction.
        ((self.measured - 100.0).abs() >= 0.005).then(|| {
            let measured = format!("{:.2}", self.measured);
            let measured = measured.trim_end_matches('0').trim_end_matches('.');
            let (percent, way) = (
                (self.factor() - 1.0).abs() * 100.0,
                if self.factor() > 1.0 {
                    texts.of("ruler.larger")
                } else {
                    texts.of("ruler.smaller")
                },
            );
            let percent = format!("{percent:.2}");
            let places = [("measured", measured), ("percent", &percent), ("way", way)];
            texts.filled("ruler.corrected", &places)
        })
    }
}

impl Default for CheckPrint {
    /// A printer that prints true.
    fn default() -> Self {
        Self { measured: 100.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_print_is_enlarged_to_be_true() {
        let check = CheckPrint::new(98.5).unwrap();
        // What is printed is 98.5 % of what is drawn.
        assert!((100.0 * check.factor() * 0.985 - 100.0).abs() < 1e-12);
        assert!(
            check
                .words(&Texts::default())
                .is_some_and(|words| words.contains("98.5 mm") && words.contains("1.52 % larger"))
        );
        assert_eq!(CheckPrint::default().words(&Texts::default()), None);
    }

    #[test]
    fn what_no_printer_does_is_refused() {
        for found in [0.0, 89.9, 110.1, -98.5, f64::NAN, f64::INFINITY] {
            assert!(CheckPrint::new(found).is_err(), "{found}");
        }
        let says = CheckPrint::new(9.85).unwrap_err().to_string();
        assert!(
            says.contains("9.85") && says.contains("90 to 110 mm"),
            "{says}"
        );
    }
}
