//! A length as a turner writes it, to millimetres.
//!
//! Read are a whole number, a decimal (`2.375`, `.5`, `2,5`), a fraction (`3/8`,
//! `½`) or a whole number with a fraction (`2 3/8`, `2-3/8`, `2½`), then a unit
//! or none. Refused rather than guessed at:
//! - a comma before exactly three figures (`1,250`), which is a thousand in one
//!   country and one and a quarter in another;
//! - a fraction without a unit where the plan's unit is metric: such a fraction
//!   nearly always means inches;
//! - feet, metres, and everything that is not one number and one unit.

use super::{LengthStyle, LengthUnit, show_length};

/// The longest length that is read, mm: ten metres, longer than any lathe.
pub const LARGEST_LENGTH: f64 = 10_000.0;

/// Why a piece of writing is not a length.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("found {found}; allowed is {allowed}{}", mend.as_ref().map_or(String::new(), |mend| format!("; {mend}")))]
pub struct LengthError {
    /// What was found, in words.
    pub found: String,
    /// What is allowed there.
    pub allowed: String,
    /// What was probably meant, where that can be told.
    pub mend: Option<String>,
}

const FORMS: &str = "a length such as 60, 60 mm, 6 cm, 2.375 in, 2 3/8 in or 2-3/8\"";

/// Reads a length above zero and up to [`LARGEST_LENGTH`], in mm.
///
/// # Errors
/// Where the text is no length or out of that range; the error says what was
/// found, what is allowed and what was probably meant.
pub fn read_length(text: &str, default: LengthUnit) -> Result<f64, LengthError> {
    above_zero(text.trim(), read_length_or_zero(text, default)?)
}

/// Reads a length from zero to [`LARGEST_LENGTH`], in mm.
///
/// # Errors
/// As [`read_length`].
pub fn read_length_or_zero(text: &str, default: LengthUnit) -> Result<f64, LengthError> {
    let written = text.trim();
    let plain = plain_signs(written);
    let (number, word) = split_unit(&plain);
    if number.is_empty() {
        return Err(refuse(format!("`{written}`, which has no number"), None));
    }
    let unit = if word.is_empty() {
        if number.contains('/') && default != LengthUnit::Inch {
            return Err(refuse(
                format!(
                    "the fraction `{written}` without a unit, where a bare number means {}",
                    default.word()
                ),
                Some(format!("did you mean {written} in?")),
            ));
        }
        default
    } else {
        unit_named(written, number, word)?
    };
    let (negative, unsigned) = match number.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, number.strip_prefix('+').unwrap_or(number)),
    };
    let size = read_number(written, unsigned)?;
    let size = if negative { -size } else { size };
    in_range(written, unit.in_millimetres(size))
}

/// A length given as a number of a file, in mm; from zero to
/// [`LARGEST_LENGTH`].
///
/// # Errors
/// Where the number is negative, not a number, or too large.
pub fn length_of_number(number: f64, default: LengthUnit) -> Result<f64, LengthError> {
    in_range(&format!("{number}"), default.in_millimetres(number))
}

/// Refuses zero, for lengths that cannot be nothing.
fn above_zero(written: &str, mm: f64) -> Result<f64, LengthError> {
    if mm > 0.0 {
        return Ok(mm);
    }
    Err(LengthError {
        found: format!("`{written}`, which is no length at all"),
        allowed: "a length above zero".to_owned(),
        mend: None,
    })
}

fn in_range(written: &str, mm: f64) -> Result<f64, LengthError> {
    let (found, mend) = if mm.is_nan() {
        (format!("`{written}`, which is not a number"), None)
    } else if mm < 0.0 {
        let meant = written
            .trim_start_matches(['-', '\u{2212}', '\u{2013}'])
            .trim();
        let mend = mm.is_finite().then(|| format!("did you mean {meant}?"));
        (format!("the negative length `{written}`"), mend)
    } else if mm == f64::INFINITY {
        (format!("`{written}`, a length without end"), None)
    } else if mm > LARGEST_LENGTH {
        let metres = mm / 1000.0;
        (
            format!("`{written}`, which is {metres:.0} m"),
            Some("look at the decimal point and the unit".to_owned()),
        )
    } else {
        // Adding nought turns a negative zero into plain zero.
        return Ok(mm + 0.0);
    };
    Err(LengthError {
        found,
        allowed: "a length up to 10 m".to_owned(),
        mend,
    })
}

fn refuse(found: String, mend: Option<String>) -> LengthError {
    LengthError {
        found,
        allowed: FORMS.to_owned(),
        mend,
    }
}

/// Rewrites typographic signs to the plain ones: `½` to ` 1/2`, `″` to `"`.
fn plain_signs(text: &str) -> String {
    let mut plain = String::with_capacity(text.len() + 4);
    for sign in text.chars() {
        let fraction = match sign {
            '½' => " 1/2",
            '¼' => " 1/4",
            '¾' => " 3/4",
            '⅛' => " 1/8",
            '⅜' => " 3/8",
            '⅝' => " 5/8",
            '⅞' => " 7/8",
            '⅓' => " 1/3",
            '⅔' => " 2/3",
            '″' | '”' | '“' | '„' => "\"",
            '′' | '’' | '‘' => "'",
            '⁄' | '∕' => "/",
            '−' | '–' | '‐' | '‑' => "-",
            '\u{a0}' | '\u{2009}' | '\u{202f}' | '\t' => " ",
            _ => {
                plain.push(sign);
                continue;
            }
        };
        plain.push_str(fraction);
    }
    plain.replace("''", "\"").trim().to_owned()
}

/// The number in front, and what follows it; both trimmed.
fn split_unit(plain: &str) -> (&str, &str) {
    let in_number = |sign: char| sign.is_ascii_digit() || "+-.,/ ".contains(sign);
    let end = plain.find(|sign| !in_number(sign)).unwrap_or(plain.len());
    let (number, word) = plain.split_at(end);
    if number.contains(|sign: char| sign.is_ascii_digit()) {
        (number.trim(), word.trim())
    } else {
        ("", plain)
    }
}

fn unit_named(written: &str, number: &str, word: &str) -> Result<LengthUnit, LengthError> {
    let lower = word.to_lowercase();
    let figures = lower.contains(|sign: char| sign.is_ascii_digit());
    let mend = match lower.trim_end_matches('.') {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
            return Ok(LengthUnit::Millimetre);
        }
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => {
            return Ok(LengthUnit::Centimetre);
        }
        "in" | "inch" | "inches" | "\"" => return Ok(LengthUnit::Inch),
        "'" | "ft" | "foot" | "feet" => Some("write feet as inches: 1 ft is 12 in".to_owned()),
        "m" | "metre" | "metres" | "meter" | "meters" => Some(format!("did you mean {number} mm?")),
        // A fraction is of inches, whatever was mistyped.
        _ if number.contains('/') => Some(format!("did you mean {number} in?")),
        other if !figures => {
            nearest_unit(other).map(|unit| format!("did you mean {number} {unit}?"))
        }
        _ => None,
    };
    let found = if figures {
        format!("`{written}`, which is more than one number and one unit")
    } else {
        format!("the unit `{word}` in `{written}`")
    };
    Err(LengthError {
        found,
        allowed: format!("mm, cm, in or \" as the unit of {FORMS}"),
        mend,
    })
}

/// The unit one slip of the finger away.
fn nearest_unit(word: &str) -> Option<&'static str> {
    ["mm", "cm", "in", "inch", "inches"]
        .into_iter()
        .map(|unit| (strsim::damerau_levenshtein(word, unit), unit))
        .filter(|&(distance, unit)| distance == 1 || distance == 2 && unit.len() > 3)
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, unit)| unit)
}

/// A number without sign or unit.
fn read_number(written: &str, number: &str) -> Result<f64, LengthError> {
    let Some((before, bottom)) = number.split_once('/') else {
        return read_decimal(written, number);
    };
    let before = before.trim_end();
    let (whole, top) = match before.rfind([' ', '-']) {
        Some(gap) => (
            before[..gap].trim_end_matches([' ', '-']),
            &before[gap + 1..],
        ),
        None => ("", before),
    };
    let unreadable = || refuse(format!("`{written}`, whose fraction cannot be read"), None);
    let count = |text: &str| -> Result<u32, LengthError> {
        let figures = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        if figures {
            text.parse().map_err(|_| unreadable())
        } else {
            Err(unreadable())
        }
    };
    let (top, bottom) = (count(top)?, count(bottom.trim())?);
    if bottom == 0 {
        return Err(refuse(format!("`{written}`, a fraction over nought"), None));
    }
    if whole.is_empty() {
        return Ok(f64::from(top) / f64::from(bottom));
    }
    let whole = count(whole)?;
    if top >= bottom {
        let sixty_fourths = show_length(
            (f64::from(whole) + f64::from(top) / f64::from(bottom)) * super::MILLIMETRES_PER_INCH,
            LengthStyle::Inches { denominator: 64 },
        );
        let meant = sixty_fourths.text.trim_end_matches(" in").to_owned();
        return Err(refuse(
            format!("`{written}`, a whole number with a fraction that is not below one"),
            (sixty_fourths.cost_mm.abs() < 1e-6).then(|| format!("did you mean {meant}?")),
        ));
    }
    Ok(f64::from(whole) + f64::from(top) / f64::from(bottom))
}

fn read_decimal(written: &str, number: &str) -> Result<f64, LengthError> {
    let figures = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let unreadable = || refuse(format!("`{written}`, which is not one number"), None);
    let mut parts = number.split(['.', ',']);
    let whole = parts.next().unwrap_or_default();
    let decimals = parts.next().unwrap_or_default();
    if parts.next().is_some() || !figures(whole) || !figures(decimals) {
        return Err(unreadable());
    }
    if number.contains(',') {
        if whole.is_empty() || decimals.is_empty() {
            return Err(unreadable());
        }
        if decimals.len() == 3 && !whole.trim_start_matches('0').is_empty() {
            return Err(refuse(
                format!("`{written}`, whose comma may mark thousands or decimals"),
                Some(format!(
                    "did you mean {whole}.{decimals} or {whole}{decimals}?"
                )),
            ));
        }
    }
    let point = number.replace(',', ".");
    point.parse().map_err(|_| unreadable())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn millimetres(text: &str) -> f64 {
        read_length(text, LengthUnit::Millimetre).unwrap_or_else(|error| panic!("{text}: {error}"))
    }

    fn refusal(text: &str) -> LengthError {
        match read_length(text, LengthUnit::Millimetre) {
            Ok(mm) => panic!("`{text}` was read as {mm} mm"),
            Err(error) => error,
        }
    }

    #[test]
    fn all_the_writings_of_one_length() {
        for text in [
            "2 3/8 in",
            "2-3/8\"",
            "2.375 in",
            "2 3/8\"",
            "2⅜″",
            "2 ⅜ inches",
            "2 - 3/8 inch",
            "2–3/8 in",
            "  2 3/8  in. ",
            "2 3 / 8 in",
            "19/8 in",
            "60.325 mm",
            "60.325",
            "6.0325 cm",
            "60,3250 mm",
            "+60.325mm",
            "2⅜''",
            "2 24/64 IN",
        ] {
            assert!((millimetres(text) - 60.325).abs() < 1e-12, "{text}");
        }
    }

    #[test]
    fn other_writings() {
        for (text, mm) in [
            ("60", 60.0),
            ("60 mm", 60.0),
            ("60mm", 60.0),
            ("6 cm", 60.0),
            ("6cm", 60.0),
            ("3/8\"", 9.525),
            (".5 in", 12.7),
            ("½ in", 12.7),
            ("½″", 12.7),
            ("2,5 mm", 2.5),
            ("0,125 in", 3.175),
            ("60.", 60.0),
            ("1/2 mm", 0.5),
            ("2 millimetres", 2.0),
            ("60\u{a0}mm", 60.0),
            ("10000", 10_000.0),
        ] {
            assert!((millimetres(text) - mm).abs() < 1e-12, "{text}");
        }
        assert_eq!(read_length("2 3/8", LengthUnit::Inch), Ok(60.325));
        assert_eq!(read_length("6", LengthUnit::Centimetre), Ok(60.0));
        assert_eq!(read_length_or_zero("0", LengthUnit::Inch), Ok(0.0));
        assert_eq!(length_of_number(2.5, LengthUnit::Inch), Ok(63.5));
    }

    // Trade-facts 9.16.
    #[test]
    fn table_of_fractions() {
        for (text, mm) in [
            ("1/64 in", 0.397),
            ("1/32 in", 0.794),
            ("1/16 in", 1.588),
            ("1/8 in", 3.175),
            ("1/4 in", 6.35),
        ] {
            assert!((millimetres(text) - mm).abs() < 0.0006, "{text}");
        }
        assert_eq!(millimetres("1 in"), 25.4);
    }

    #[test]
    fn refusals_say_what_was_probably_meant() {
        for (text, found, mend) in [
            (
                "60 nm",
                "the unit `nm` in `60 nm`",
                Some("did you mean 60 mm?"),
            ),
            ("60 m", "the unit `m`", Some("did you mean 60 mm?")),
            ("2 3/8 im", "the unit `im`", Some("did you mean 2 3/8 in?")),
            (
                "2 ft",
                "the unit `ft`",
                Some("write feet as inches: 1 ft is 12 in"),
            ),
            (
                "2'",
                "the unit `'`",
                Some("write feet as inches: 1 ft is 12 in"),
            ),
            (
                "2 3/8",
                "the fraction `2 3/8` without a unit",
                Some("did you mean 2 3/8 in?"),
            ),
            ("1,250 mm", "comma", Some("did you mean 1.250 or 1250?")),
            ("2 11/8 in", "not below one", Some("did you mean 3 3/8?")),
            (
                "-3 mm",
                "the negative length `-3 mm`",
                Some("did you mean 3 mm?"),
            ),
            ("0", "`0`, which is no length at all", None),
            ("0.0 in", "no length at all", None),
            ("12 km", "the unit `km`", None),
            (
                "99999",
                "which is 100 m",
                Some("look at the decimal point and the unit"),
            ),
            ("", "no number", None),
            ("big", "`big`, which has no number", None),
            ("nan", "no number", None),
            ("inf mm", "no number", None),
            ("1e3", "more than one number and one unit", None),
            ("2 in 3/8", "more than one number and one unit", None),
            ("3/0 in", "over nought", None),
            ("1.5/2 in", "whose fraction cannot be read", None),
            ("1/2/3 in", "whose fraction cannot be read", None),
            ("1.2.3", "not one number", None),
            ("1,2,3", "not one number", None),
            ("60 60", "not one number", None),
            (",5 mm", "not one number", None),
            ("2,375 0 in", "not one number", None),
            ("99999999999/2 in", "whose fraction cannot be read", None),
        ] {
            let error = refusal(text);
            assert!(error.found.contains(found), "{text}: {error}");
            if text != "12 km" {
                assert_eq!(error.mend.as_deref(), mend, "{text}: {error}");
            }
            assert!(!error.allowed.is_empty());
        }
        for number in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
            assert!(length_of_number(number, LengthUnit::Inch).is_err());
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,20}") {
            if let Ok(mm) = read_length(&text, LengthUnit::Inch) {
                prop_assert!(mm > 0.0 && mm <= LARGEST_LENGTH);
            }
        }

        #[test]
        fn near_lengths_are_read_or_refused(text in "[-+0-9½⅜ .,/]{0,8}(mm|in|\"|″|cm|)") {
            if let Ok(mm) = read_length(&text, LengthUnit::Inch) {
                prop_assert!(mm > 0.0 && mm <= LARGEST_LENGTH);
            }
        }

        #[test]
        fn decimals_are_what_they_say(tenths in 1..50_000_u32) {
            let mm = f64::from(tenths) / 10.0;
            prop_assert_eq!(read_length(&format!("{mm}"), LengthUnit::Millimetre), Ok(mm));
            prop_assert_eq!(read_length(&format!("{mm} mm").replace('.', ","), LengthUnit::Inch), Ok(mm));
        }
    }
}
