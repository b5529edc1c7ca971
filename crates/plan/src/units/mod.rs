//! Lengths as a turner writes them, and as a turner can set them.
//!
//! Inside, every length is millimetres as `f64`. Here, and only here, a length
//! meets the turner's writing: [`read_length`] takes `60`, `6 cm`, `2 3/8 in`
//! or `2-3/8"` to millimetres, [`show_length`] takes millimetres to the nearest
//! number that stands on a rule and says what the rounding cost.
//!
//! One inch is 25.4 mm exactly (trade-facts 9.16).

mod force;
mod read;
mod show;

pub use force::{NEWTONS_PER_KILOGRAM, NEWTONS_PER_POUND, read_force, show_force, two_figures};
pub use read::{LARGEST_LENGTH, LengthError, length_of_number, read_length, read_length_or_zero};
pub use show::{FINEST_FRACTION, FRACTIONS, LengthStyle, Shown, show_length};

/// Millimetres in one inch, exact.
pub const MILLIMETRES_PER_INCH: f64 = 25.4;

/// The unit that a bare number of a file is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    /// `mm`
    Millimetre,
    /// `cm`
    Centimetre,
    /// `in`
    Inch,
}

impl LengthUnit {
    /// Every unit with the word a plan uses for it.
    pub const WORDS: [(&'static str, Self); 3] = [
        ("mm", Self::Millimetre),
        ("cm", Self::Centimetre),
        ("in", Self::Inch),
    ];

    /// Millimetres in one of this unit.
    pub fn millimetres(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Inch => MILLIMETRES_PER_INCH,
        }
    }

    /// A number of this unit in millimetres, rounded once.
    pub fn in_millimetres(self, number: f64) -> f64 {
        match self {
            Self::Millimetre => number,
            Self::Centimetre => number * 10.0,
            // 25.4 is no binary number; 254 and 10 are.
            Self::Inch => number * 254.0 / 10.0,
        }
    }

    /// The word a plan uses for it: `mm`, `cm` or `in`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Inch => "in",
        }
    }
}
