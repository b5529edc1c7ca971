//! Words before they are set: what belongs together on a line, and what is a fraction.

use std::ops::Range;

/// Units that stay on the line of their number.
const UNITS: [&str; 9] = ["mm", "in", "cm", "g", "rpm", "deg", "%", "cm³", "mm³"];

/// A blank at which a line is not broken.
pub const BOUND: char = '\u{a0}';

/// Binds a fraction to its whole number and a unit to its number, so that no line parts them.
pub fn bound(text: &str, bold: Option<Range<usize>>) -> (String, Option<Range<usize>>) {
    let mut bound = String::with_capacity(text.len() + 16);
    let mut moved = bold.clone();
    for (at, letter) in text.char_indices() {
        let blank_after_figure =
            letter == ' ' && text[..at].ends_with(|c: char| c.is_ascii_digit());
        if blank_after_figure && belongs(&text[at + 1..]) {
            bound.push(BOUND);
            if let (Some(range), Some(moved)) = (&bold, &mut moved) {
                let grown = BOUND.len_utf8() - 1;
                moved.start += if at < range.start { grown } else { 0 };
                moved.end += if at < range.end { grown } else { 0 };
            }
        } else {
            bound.push(letter);
        }
    }
    (bound, moved)
}

/// Whether what follows begins with a unit or a fraction.
fn belongs(after: &str) -> bool {
    let word = after
        .split(|c: char| c.is_whitespace() || ",.;:)!?".contains(c))
        .next()
        .unwrap_or_default();
    UNITS.contains(&word) || fractions(word).first() == Some(&(0..word.len()))
}

/// The places of fractions: whole numbers either side of a slash, and nothing like a date or a share of words.
pub fn fractions(text: &str) -> Vec<Range<usize>> {
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    for (slash, _) in text.match_indices('/') {
        let before = bytes[..slash]
            .iter()
            .rev()
            .take_while(|byte| byte.is_ascii_digit())
            .count();
        let after = bytes[slash + 1..]
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count();
        let (start, end) = (slash - before, slash + 1 + after);
        let stands_alone = |byte: Option<&u8>| {
            byte.is_none_or(|byte| !byte.is_ascii_alphanumeric() && *byte != b'/' && *byte != b'.')
        };
        let ends_well = match bytes.get(end) {
            Some(b'.') => !bytes.get(end + 1).is_some_and(u8::is_ascii_digit),
            other => stands_alone(other),
        };
        let starts_well = stands_alone(start.checked_sub(1).and_then(|at| bytes.get(at)));
        if (1..=3).contains(&before) && (1..=3).contains(&after) && starts_well && ends_well {
            found.push(start..end);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_found_and_dates_are_not() {
        let text = "2 3/8 in, 1/64 and 12/5/2026, a/b, 3/8.";
        let found: Vec<&str> = fractions(text)
            .into_iter()
            .map(|range| &text[range])
            .collect();
        assert_eq!(found, ["3/8", "1/64", "3/8"]);
    }

    #[test]
    fn fractions_and_units_are_bound_to_their_number() {
        let bound = |text: &str| bound(text, None).0.replace(BOUND, "_");
        assert_eq!(
            bound("2 3/8 in, 60 mm and 10 minutes"),
            "2_3/8_in, 60_mm and 10 minutes"
        );
        assert_eq!(bound("in 3 steps"), "in 3 steps");
    }

    #[test]
    fn a_bold_lead_moves_with_the_blanks_bound_before_its_end() {
        let (text, bold) = bound("60 mm: cut", Some(0..6));
        assert_eq!(
            bold.map(|range| text[range].to_owned()),
            Some("60\u{a0}mm:".to_owned())
        );
    }
}
