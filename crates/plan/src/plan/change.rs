//! One value of a plan file replaced, everything else kept byte for byte.
//!
//! A value that the file gives is replaced in its place, so remarks, layout and
//! order stay as the turner wrote them. A key that was left out is added to its
//! section. What comes back is text; reading it says whether it is a plan.

use std::collections::BTreeMap;
use std::ops::Range;

use toml_edit::{Document, DocumentMut, Item, Table, Value};

use super::{Plan, PlanSource};
use crate::field::FieldKind;
use crate::reader::nearest;
use crate::units::LengthUnit;

/// Why a value cannot be set.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ChangeError {
    /// The plan has no such key.
    #[error("{key} is not a key of this plan{}", meant.as_ref().map_or(String::new(), |meant| format!("; did you mean {meant}?")))]
    UnknownKey {
        /// The dotted key asked for.
        key: String,
        /// The nearest that there is.
        meant: Option<String>,
    },
    /// The key is a section or a list of parts, not one value.
    #[error("{key} holds several values; name one of them, such as {example}")]
    NotOneValue {
        /// The dotted key asked for.
        key: String,
        /// A key inside it.
        example: String,
    },
    /// The value cannot be written into the file.
    #[error("\"{written}\" cannot be written as {key}; allowed is one line of text or a number")]
    Unwritable {
        /// The dotted key asked for.
        key: String,
        /// The value asked for.
        written: String,
    },
}

impl Plan {
    /// The plan's text with the value at a dotted key replaced by another in
    /// the turner's writing, such as `2 3/8 in`, `12` or `field maple`. Quotes
    /// are added where the file needs them.
    ///
    /// # Errors
    /// Where the key is none of this plan's, or not one value, or the value is
    /// more than one line.
    pub fn set(&self, key: &str, written: &str) -> Result<String, ChangeError> {
        self.source.set(key, written)
    }
}

impl Plan {
    /// The plan's text with several values replaced at once, each as [`Plan::set`] does it, so that
    /// they need not be a plan one by one. Of a key that comes twice the last writing holds.
    ///
    /// # Errors
    /// As [`Plan::set`], for the first that cannot be set.
    pub fn set_all(&self, changes: &[(String, String)]) -> Result<String, ChangeError> {
        let source = &self.source;
        let unwritable = |(key, written): &(String, String)| ChangeError::Unwritable {
            key: key.clone(),
            written: written.clone(),
        };
        let mut given = BTreeMap::new();
        let mut left_out = BTreeMap::new();
        for change in changes {
            source.is_one_value(&change.0)?;
            let value = as_toml(&change.1).ok_or_else(|| unwritable(change))?;
            match source.places.get(&change.0) {
                Some(place) => given.insert(place.start, (place, value, change)),
                None => left_out.insert(&change.0, (value, change)).and(None),
            };
        }
        let mut text = source.text.clone();
        // From the end of the file to its beginning, so that places stay where they are.
        for (place, value, change) in given.into_values().rev() {
            text = splice(&text, place, &value).ok_or_else(|| unwritable(change))?;
        }
        for (key, (value, change)) in left_out {
            text = insert(&text, key, &value).ok_or_else(|| unwritable(change))?;
        }
        Ok(text)
    }

    /// The plan's text in another unit, with every length as it was: a bare number, which would
    /// mean something else, is given the unit it was written in.
    ///
    /// # Errors
    /// Where the unit's word cannot be written into the file.
    pub fn in_units(&self, unit: LengthUnit) -> Result<String, ChangeError> {
        let source = &self.source;
        let mut bare: Vec<(&Range<usize>, String)> = crate::field::fields(self)
            .into_iter()
            .filter(|field| field.kind == FieldKind::Length)
            .filter_map(|field| {
                let written = field.written?;
                written.trim().parse::<f64>().ok()?;
                let place = source.places.get(&field.key)?;
                Some((
                    place,
                    format!("\"{} {}\"", written.trim(), self.unit.word()),
                ))
            })
            .collect();
        let unwritable = || ChangeError::Unwritable {
            key: "units".to_owned(),
            written: unit.word().to_owned(),
        };
        let units = source.places.get("units").ok_or_else(unwritable)?;
        bare.push((units, format!("\"{}\"", unit.word())));
        // From the end of the file to its beginning, so that places stay where they are.
        bare.sort_by_key(|(place, _)| std::cmp::Reverse(place.start));
        bare.into_iter()
            .try_fold(source.text.clone(), |text, (place, value)| {
                splice(&text, place, &value)
            })
            .ok_or_else(unwritable)
    }
}

impl PlanSource {
    /// As [`Plan::set`].
    ///
    /// # Errors
    /// As [`Plan::set`].
    pub fn set(&self, key: &str, written: &str) -> Result<String, ChangeError> {
        let unwritable = || ChangeError::Unwritable {
            key: key.to_owned(),
            written: written.to_owned(),
        };
        self.is_one_value(key)?;
        let value = as_toml(written).ok_or_else(unwritable)?;
        let text = match self.places.get(key) {
            Some(place) => splice(&self.text, place, &value),
            None => insert(&self.text, key, &value),
        };
        text.filter(|text| Document::parse(text.as_str()).is_ok())
            .ok_or_else(unwritable)
    }

    fn is_one_value(&self, key: &str) -> Result<(), ChangeError> {
        let inside = format!("{key}.");
        let example = self
            .keys
            .iter()
            .chain(self.places.keys())
            .find(|other| other.starts_with(&inside));
        if let Some(example) = example {
            return Err(ChangeError::NotOneValue {
                key: key.to_owned(),
                example: example.clone(),
            });
        }
        if self.keys.contains(key) {
            return Ok(());
        }
        let known = self.keys.iter().map(String::as_str);
        Err(ChangeError::UnknownKey {
            key: key.to_owned(),
            meant: nearest(key, known).map(str::to_owned),
        })
    }
}

/// The writing of a value in TOML; none where it has a control character.
fn as_toml(written: &str) -> Option<String> {
    let written = written.trim();
    if written.is_empty() || written.contains(char::is_control) {
        return None;
    }
    match written.parse::<Value>() {
        Ok(Value::Integer(_) | Value::Boolean(_)) => Some(written.to_owned()),
        Ok(Value::Float(number)) if number.value().is_finite() => Some(written.to_owned()),
        _ => Some(Value::from(written).to_string()),
    }
}

fn splice(text: &str, place: &Range<usize>, value: &str) -> Option<String> {
    let (before, after) = (text.get(..place.start)?, text.get(place.end..)?);
    Some(format!("{before}{value}{after}"))
}

/// Adds a key that the file left out, with its section where that is missing too.
fn insert(text: &str, key: &str, value: &str) -> Option<String> {
    let mut document: DocumentMut = text.parse().ok()?;
    let mut steps: Vec<_> = key.split('.').collect();
    let last = steps.pop()?;
    let mut at = document.as_item_mut();
    for step in steps {
        at = descend(at, step)?;
    }
    let mut value: Item = value.parse().ok()?;
    if let Some(value) = value.as_value_mut() {
        value.decor_mut().clear();
    }
    at.as_table_like_mut()?.insert(last, value);
    Some(document.to_string())
}

fn descend<'d>(at: &'d mut Item, step: &str) -> Option<&'d mut Item> {
    if let Ok(number) = step.parse::<usize>() {
        let index = number.checked_sub(1)?;
        return at.get_mut(index);
    }
    let table = at.as_table_like_mut()?;
    if table.get(step).is_none_or(Item::is_none) {
        table.insert(step, Item::Table(Table::new()));
    }
    table.get_mut(step)
}
