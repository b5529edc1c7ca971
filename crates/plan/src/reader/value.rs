//! The kinds of value that a key may ask for.

use std::ops::RangeInclusive;

use toml_edit::Value;

use super::{Reader, either, nearest};
use crate::units::{
    LengthError, LengthStyle, LengthUnit, length_of_number, read_force, read_length_or_zero,
    show_length,
};

/// One kind of value: what is allowed, and how it is read.
pub(super) trait Kind {
    /// What it is read as.
    type Value;

    /// What is allowed, in words.
    fn allowed(&self, reader: &Reader) -> String;

    /// Reads the value at a dotted key; none where a problem was reported.
    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<Self::Value>;
}

/// A value as a message names it.
pub(super) fn describe(reader: &Reader, value: &Value) -> String {
    let snippet = reader.snippet(value.span());
    match value {
        Value::String(_) => format!("the text {snippet}"),
        Value::Integer(_) | Value::Float(_) => snippet,
        Value::Boolean(_) => format!("{snippet}, which is a yes or no"),
        Value::Datetime(_) => format!("the date {snippet}"),
        Value::Array(_) => format!("the list {snippet}"),
        Value::InlineTable(_) => format!("the section {snippet}"),
    }
}

fn number_of(value: &Value) -> Option<f64> {
    match value {
        // Beyond 2^53 an integer is rounded; such a number is refused by range.
        Value::Integer(number) => Some(*number.value() as f64),
        Value::Float(number) => Some(*number.value()),
        _ => None,
    }
}

/// A length in mm.
pub(super) struct Length(pub RangeInclusive<f64>);

/// The two ends of a range as the file's unit writes them.
fn show_range(range: &RangeInclusive<f64>, unit: LengthUnit) -> String {
    let metric = |mm| show_length(mm, LengthStyle::Millimetres).text;
    let (least, most) = (*range.start(), *range.end());
    let plain = format!("{} to {}", metric(least), metric(most));
    if unit == LengthUnit::Inch {
        let inches = |mm| show_length(mm, LengthStyle::Inches { denominator: 64 }).text;
        return format!("about {} to {} ({plain})", inches(least), inches(most));
    }
    plain
}

impl Kind for Length {
    type Value = f64;

    fn allowed(&self, reader: &Reader) -> String {
        format!("a length from {}", show_range(&self.0, reader.unit()))
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<f64> {
        let unit = reader.unit();
        let read = match (found.as_str(), number_of(found)) {
            (Some(text), _) => read_length_or_zero(text, unit),
            (None, Some(number)) => length_of_number(number, unit),
            (None, None) => {
                reader.report(key, describe(reader, found), self.allowed(reader), None);
                return None;
            }
        };
        match read {
            Ok(mm) if self.0.contains(&mm) => Some(mm),
            Ok(mm) => {
                let mut words = describe(reader, found);
                if number_of(found).is_some() {
                    words = format!("{words} ({})", unit.word());
                }
                // A bare number in the wrong unit is the usual slip.
                let mend = number_of(found).and_then(|number| {
                    LengthUnit::WORDS
                        .into_iter()
                        .filter(|&(_, other)| other != unit)
                        .find(|&(_, other)| self.0.contains(&(other.in_millimetres(number))))
                        .map(|(word, _)| format!("did you mean \"{number} {word}\"?"))
                });
                let mend = mend.or_else(|| {
                    let end = if mm < *self.0.start() {
                        "longer"
                    } else {
                        "shorter"
                    };
                    Some(format!("make it {end}"))
                });
                reader.report(key, words, self.allowed(reader), mend);
                None
            }
            Err(LengthError {
                found: words, mend, ..
            }) => {
                reader.report(key, words, self.allowed(reader), mend);
                None
            }
        }
    }
}

/// A whole number.
pub(super) struct Count(pub RangeInclusive<u32>);

impl Kind for Count {
    type Value = u32;

    fn allowed(&self, _: &Reader) -> String {
        format!("a whole number from {} to {}", self.0.start(), self.0.end())
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<u32> {
        let count = found
            .as_integer()
            .and_then(|number| u32::try_from(number).ok())
            .filter(|count| self.0.contains(count));
        if count.is_none() {
            let mend = unquoted(found, |number| {
                number.fract() == 0.0
                    && f64::from(*self.0.start()) <= number
                    && number <= f64::from(*self.0.end())
            });
            reader.report(key, describe(reader, found), self.allowed(reader), mend);
        }
        count
    }
}

/// The mend for a number that was written as text or with decimals.
fn unquoted(found: &Value, fits: impl Fn(f64) -> bool) -> Option<String> {
    let number = match found.as_str() {
        Some(text) => text.trim().parse().ok()?,
        None => found.as_float()?,
    };
    fits(number).then(|| format!("write {number}, without quotes or decimals"))
}

/// One of a few whole numbers.
pub(super) struct OneOf(pub &'static [u32]);

impl Kind for OneOf {
    type Value = u32;

    fn allowed(&self, _: &Reader) -> String {
        either(&self.0.iter().map(u32::to_string).collect::<Vec<_>>())
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<u32> {
        let count = found
            .as_integer()
            .and_then(|number| u32::try_from(number).ok())
            .filter(|count| self.0.contains(count));
        if count.is_none() {
            let mend = unquoted(found, |number| {
                self.0.iter().any(|&count| f64::from(count) == number)
            });
            reader.report(key, describe(reader, found), self.allowed(reader), mend);
        }
        count
    }
}

/// The names of the unit of speed.
pub(super) const SPEED: &[&str] = &["revolutions a minute", "rpm", "r/min"];

/// A number in a unit that may be written or left out; the first name of the
/// unit is the one messages use.
pub(super) struct Quantity(pub RangeInclusive<f64>, pub &'static [&'static str]);

impl Kind for Quantity {
    type Value = f64;

    fn allowed(&self, _: &Reader) -> String {
        let unit = match self.1.first() {
            Some(&"%") => " %".to_owned(),
            Some(unit) => format!(" {unit}"),
            None => String::new(),
        };
        format!("a number from {} to {}{unit}", self.0.start(), self.0.end())
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<f64> {
        let number = match found.as_str() {
            Some(text) => {
                let text = text.trim();
                let bare = self
                    .1
                    .iter()
                    .find_map(|unit| text.strip_suffix(unit))
                    .unwrap_or(text);
                bare.trim_end().replace(',', ".").parse().ok()
            }
            None => number_of(found),
        };
        let number = number.filter(|number| self.0.contains(number));
        if number.is_none() {
            reader.report(key, describe(reader, found), self.allowed(reader), None);
        }
        number
    }
}

/// An air temperature in degrees Celsius, written as `21 °C` or `70 °F`. A bare number is Fahrenheit
/// in a plan in inches and Celsius in every other.
pub(super) struct Temperature(pub RangeInclusive<f64>);

impl Kind for Temperature {
    type Value = f64;

    fn allowed(&self, _: &Reader) -> String {
        let fahrenheit = |celsius: f64| (1.8 * celsius + 32.0).round();
        format!(
            "a temperature from {} to {} °C ({} to {} °F)",
            self.0.start(),
            self.0.end(),
            fahrenheit(*self.0.start()),
            fahrenheit(*self.0.end())
        )
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<f64> {
        let bare = reader.unit() == LengthUnit::Inch;
        let written = match found.as_str() {
            Some(text) => {
                let text = text.trim();
                let (number, fahrenheit) = match text.strip_suffix(['C', 'c']) {
                    Some(rest) => (rest, false),
                    None => text
                        .strip_suffix(['F', 'f'])
                        .map_or((text, bare), |rest| (rest, true)),
                };
                let number = number.trim_end().trim_end_matches('°').trim_end();
                number
                    .replace(',', ".")
                    .parse()
                    .ok()
                    .map(|n: f64| (n, fahrenheit))
            }
            None => number_of(found).map(|number| (number, bare)),
        };
        let celsius = written
            .map(|(number, fahrenheit)| {
                if fahrenheit {
                    (number - 32.0) / 1.8
                } else {
                    number
                }
            })
            .filter(|celsius| self.0.contains(celsius));
        if celsius.is_none() {
            reader.report(key, describe(reader, found), self.allowed(reader), None);
        }
        celsius
    }
}

/// A force in N.
pub(super) struct Force(pub RangeInclusive<f64>);

impl Kind for Force {
    type Value = f64;

    fn allowed(&self, _: &Reader) -> String {
        format!(
            "a force from {} to {} N, written \"200 N\", \"20 kgf\" or \"45 lbf\"",
            self.0.start(),
            self.0.end()
        )
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<f64> {
        let force = match found.as_str() {
            Some(text) => read_force(text),
            None => number_of(found),
        };
        let force = force.filter(|force| self.0.contains(force));
        if force.is_none() {
            reader.report(key, describe(reader, found), self.allowed(reader), None);
        }
        force
    }
}

/// One of a few words.
pub(super) struct Choice<T: 'static>(pub &'static [(&'static str, T)]);

impl<T: Copy> Kind for Choice<T> {
    type Value = T;

    fn allowed(&self, _: &Reader) -> String {
        let words: Vec<_> = self
            .0
            .iter()
            .map(|(word, _)| format!("\"{word}\""))
            .collect();
        either(&words)
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<T> {
        let written = found.as_str().map(|text| text.trim().to_lowercase());
        let choice = self
            .0
            .iter()
            .find(|(word, _)| Some(*word) == written.as_deref());
        if choice.is_none() {
            let mend = written
                .and_then(|written| nearest(&written, self.0.iter().map(|(word, _)| *word)))
                .map(|word| format!("did you mean \"{word}\"?"));
            reader.report(key, describe(reader, found), self.allowed(reader), mend);
        }
        choice.map(|&(_, choice)| choice)
    }
}

/// Text that is not empty, on one line.
pub(super) struct Text;

impl Kind for Text {
    type Value = String;

    fn allowed(&self, _: &Reader) -> String {
        "text in quotes, on one line".to_owned()
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<String> {
        let text = found
            .as_str()
            .map(str::trim)
            .filter(|text| !text.is_empty() && !text.contains(char::is_control));
        if text.is_none() {
            let empty = found.as_str().is_some_and(|text| text.trim().is_empty());
            let words = if empty {
                "empty text".to_owned()
            } else {
                describe(reader, found)
            };
            let mend =
                (!found.is_str()).then(|| format!("write \"{}\"", reader.snippet(found.span())));
            reader.report(key, words, self.allowed(reader), mend);
        }
        text.map(str::to_owned)
    }
}

/// True or false.
pub(super) struct Boolean;

impl Kind for Boolean {
    type Value = bool;

    fn allowed(&self, _: &Reader) -> String {
        "true or false".to_owned()
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<bool> {
        let answer = found.as_bool();
        if answer.is_none() {
            let meant = match found.as_str().map(str::trim) {
                Some("true" | "yes") => Some("true"),
                Some("false" | "no") => Some("false"),
                _ => None,
            };
            let mend = meant.map(|word| format!("write {word}, without quotes"));
            reader.report(key, describe(reader, found), self.allowed(reader), mend);
        }
        answer
    }
}

/// A list, at least one long.
pub(super) struct List<K>(pub K);

impl<K: Kind> Kind for List<K> {
    type Value = Vec<K::Value>;

    fn allowed(&self, reader: &Reader) -> String {
        format!(
            "a list [ … ] of one or more, each {}",
            self.0.allowed(reader)
        )
    }

    fn read(&self, reader: &Reader, key: &str, found: &Value) -> Option<Self::Value> {
        let Some(array) = found.as_array().filter(|array| !array.is_empty()) else {
            let words = match found.as_array() {
                Some(_) => "an empty list".to_owned(),
                None => describe(reader, found),
            };
            let mend =
                (!found.is_array()).then(|| format!("write [{}]", reader.snippet(found.span())));
            reader.report(key, words, self.allowed(reader), mend);
            return None;
        };
        // Every part is read before any is given up, so that all are reported.
        let parts: Vec<_> = array
            .iter()
            .enumerate()
            .map(|(index, part)| {
                let key = format!("{key}.{}", index + 1);
                reader.remember_place(&key, part.span());
                self.0.read(reader, &key, part)
            })
            .collect();
        parts.into_iter().collect()
    }
}
