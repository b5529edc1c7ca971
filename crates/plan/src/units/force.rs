//! Forces as a turner writes and feels them: newtons inside, kilograms or pounds of push at the edge.
//!
//! 1 kgf = 9.806 65 N by definition; 1 lbf = 0.453 592 37 kgf, both exact.

use super::LengthStyle;

/// Newtons in one kilogram-force, exact.
pub const NEWTONS_PER_KILOGRAM: f64 = 9.806_65;
/// Newtons in one pound-force, exact to the digits of a double.
pub const NEWTONS_PER_POUND: f64 = 4.448_221_615_260_5;

/// Names of units of force, the longer before those they end with, with newtons in one.
const UNITS: [(&str, f64); 7] = [
    ("newtons", 1.0),
    ("kgf", NEWTONS_PER_KILOGRAM),
    ("lbf", NEWTONS_PER_POUND),
    ("kg", NEWTONS_PER_KILOGRAM),
    ("lb", NEWTONS_PER_POUND),
    ("kN", 1000.0),
    ("N", 1.0),
];

/// A force from its writing, N: `200 N`, `20 kgf`, `45 lbf`; a bare number is newtons.
pub fn read_force(text: &str) -> Option<f64> {
    let text = text.trim();
    let (number, newtons) = UNITS
        .iter()
        .find_map(|(unit, newtons)| Some((text.strip_suffix(unit)?, *newtons)))
        .unwrap_or((text, 1.0));
    let number: f64 = number.trim_end().replace(',', ".").parse().ok()?;
    number.is_finite().then_some(number * newtons)
}

/// A force in the turner's units to two figures, with what it feels like: `200 N (20 kg of push)`, `45 lb of push`.
pub fn show_force(newtons: f64, style: LengthStyle) -> String {
    match style {
        LengthStyle::Millimetres => format!(
            "{} N ({} of push)",
            two_figures(newtons),
            kilograms(newtons / NEWTONS_PER_KILOGRAM)
        ),
        LengthStyle::Inches { .. } => {
            format!("{} lb of push", two_figures(newtons / NEWTONS_PER_POUND))
        }
    }
}

fn kilograms(kg: f64) -> String {
    if kg < 0.995 {
        format!("{} g", two_figures(1000.0 * kg))
    } else {
        format!("{} kg", two_figures(kg))
    }
}

/// A number to two figures, without trailing noughts behind the point.
pub fn two_figures(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value.is_nan() {
            "0".to_owned()
        } else {
            format!("{value}")
        };
    }
    let places = 1 - value.abs().log10().floor() as i32;
    let scale = 10_f64.powi(places);
    let rounded = (value * scale).round() / scale;
    let text = format!("{rounded:.*}", places.max(0) as usize);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forces_are_read_in_the_units_of_the_shop() {
        for (text, newtons) in [
            ("200 N", 200.0),
            ("200", 200.0),
            ("20kgf", 196.133),
            ("20 kg", 196.133),
            ("45 lbf", 200.169_972_686_722_5),
            ("1,5 kN", 1500.0),
        ] {
            let read = read_force(text).unwrap();
            assert!((read - newtons).abs() < 1e-9 * newtons, "{text}: {read}");
        }
        assert_eq!(read_force("hard"), None);
        assert_eq!(read_force("N"), None);
    }

    #[test]
    fn forces_are_shown_to_two_figures() {
        let inches = LengthStyle::Inches { denominator: 64 };
        assert_eq!(
            show_force(203.0, LengthStyle::Millimetres),
            "200 N (21 kg of push)"
        );
        assert_eq!(
            show_force(3.15, LengthStyle::Millimetres),
            "3.2 N (320 g of push)"
        );
        assert_eq!(
            show_force(1234.0, LengthStyle::Millimetres),
            "1200 N (130 kg of push)"
        );
        assert_eq!(show_force(203.0, inches), "46 lb of push");
        assert_eq!(show_force(4.5, inches), "1 lb of push");
    }
}
