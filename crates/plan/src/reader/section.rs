//! One table of a file and the keys that may stand in it.

use std::cell::RefCell;
use std::fmt;
use std::ops::{Range, RangeInclusive};

use toml_edit::{Item, TableLike, Value};

use super::field::{Field, State};
use super::{Reader, either, nearest, value};

/// One table being read: the top of the file, a section, or a part of a list.
///
/// Call [`Section::finish`] when all its keys have been asked for.
pub struct Section<'r> {
    reader: &'r Reader,
    path: String,
    table: Option<&'r dyn TableLike>,
    place: Range<usize>,
    known: RefCell<Vec<&'static str>>,
}

impl fmt::Debug for Section<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Section")
            .field("path", &self.path)
            .field("known", &self.known)
            .finish_non_exhaustive()
    }
}

impl<'r> Section<'r> {
    pub(super) fn new(
        reader: &'r Reader,
        path: String,
        table: Option<&'r dyn TableLike>,
        place: Range<usize>,
    ) -> Self {
        Self {
            reader,
            path,
            table,
            place,
            known: RefCell::default(),
        }
    }

    /// The reader, to report what only the caller can judge.
    pub fn reader(&self) -> &'r Reader {
        self.reader
    }

    /// The dotted name of this section; empty at the top of the file.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The dotted name of a key of this section.
    pub fn dotted(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    /// Whether the file gives a key, rightly or wrongly.
    pub fn gives(&self, key: &str) -> bool {
        self.table
            .and_then(|table| table.get(key))
            .is_some_and(|item| !item.is_none())
    }

    /// A length, mm, within a range. Zero is allowed where the range begins there.
    pub fn length(&self, key: &'static str, range: RangeInclusive<f64>) -> Field<'_, 'r, f64> {
        self.value(key, value::Length(range))
    }

    /// A list of lengths, mm, at least one.
    pub fn lengths(
        &self,
        key: &'static str,
        range: RangeInclusive<f64>,
    ) -> Field<'_, 'r, Vec<f64>> {
        self.value(key, value::List(value::Length(range)))
    }

    /// A whole number within a range.
    pub fn count(&self, key: &'static str, range: RangeInclusive<u32>) -> Field<'_, 'r, u32> {
        self.value(key, value::Count(range))
    }

    /// A list of whole numbers, at least one.
    pub fn counts(&self, key: &'static str, range: RangeInclusive<u32>) -> Field<'_, 'r, Vec<u32>> {
        self.value(key, value::List(value::Count(range)))
    }

    /// One of a few whole numbers.
    pub fn one_of(&self, key: &'static str, counts: &'static [u32]) -> Field<'_, 'r, u32> {
        self.value(key, value::OneOf(counts))
    }

    /// A plain number within a range.
    pub fn number(&self, key: &'static str, range: RangeInclusive<f64>) -> Field<'_, 'r, f64> {
        self.value(key, value::Quantity(range, &[]))
    }

    /// A number of percent, with or without the sign.
    pub fn percent(&self, key: &'static str, range: RangeInclusive<f64>) -> Field<'_, 'r, f64> {
        self.value(key, value::Quantity(range, &["%", "percent"]))
    }

    /// An angle in degrees, with or without the sign; given in degrees.
    pub fn degrees(&self, key: &'static str, range: RangeInclusive<f64>) -> Field<'_, 'r, f64> {
        self.value(
            key,
            value::Quantity(range, &["degrees", "degree", "deg", "°"]),
        )
    }

    /// An air temperature; given in degrees Celsius.
    pub fn temperature(
        &self,
        key: &'static str,
        celsius: RangeInclusive<f64>,
    ) -> Field<'_, 'r, f64> {
        self.value(key, value::Temperature(celsius))
    }

    /// A speed in revolutions a minute, with or without the unit.
    pub fn speed(&self, key: &'static str, range: RangeInclusive<f64>) -> Field<'_, 'r, f64> {
        self.value(key, value::Quantity(range, value::SPEED))
    }

    /// A force in newtons, with or without a unit.
    pub fn force(&self, key: &'static str, range: RangeInclusive<f64>) -> Field<'_, 'r, f64> {
        self.value(key, value::Force(range))
    }

    /// A list of speeds, at least one.
    pub fn speeds(&self, key: &'static str, range: RangeInclusive<f64>) -> Field<'_, 'r, Vec<f64>> {
        self.value(key, value::List(value::Quantity(range, value::SPEED)))
    }

    /// One of a few fixed words.
    pub fn choice<T: Copy>(
        &self,
        key: &'static str,
        words: &'static [(&'static str, T)],
    ) -> Field<'_, 'r, T> {
        self.value(key, value::Choice(words))
    }

    /// Any text that is not empty, on one line.
    pub fn text(&self, key: &'static str) -> Field<'_, 'r, String> {
        self.value(key, value::Text)
    }

    /// `true` or `false`.
    pub fn boolean(&self, key: &'static str) -> Field<'_, 'r, bool> {
        self.value(key, value::Boolean)
    }

    /// A section of this one.
    pub fn section(&self, key: &'static str) -> Field<'_, 'r, Section<'r>> {
        let allowed = format!("a section [{}]", self.dotted(key));
        let state = match self.item(key) {
            None => State::Missing,
            Some(item) => match item.as_table_like() {
                Some(table) => {
                    let path = self.dotted(key);
                    let place = self.reader.place_of(&path);
                    State::Good(Section::new(self.reader, path, Some(table), place))
                }
                None => {
                    self.wrong_type(key, item, &allowed);
                    State::Bad
                }
            },
        };
        Field {
            section: self,
            key,
            allowed,
            state,
        }
    }

    /// A section of this one whose keys may all be left out, and so may it.
    pub fn section_or_empty(&self, key: &'static str) -> Section<'r> {
        self.section(key)
            .or(Section::new(self.reader, self.dotted(key), None, 0..0))
            .unwrap_or_else(|| Section::new(self.reader, self.dotted(key), None, 0..0))
    }

    /// A list of sections: `[[jaws]]`, or `[ { … }, { … } ]`. Parts that are no
    /// sections are reported and left out.
    pub fn parts(&self, key: &'static str) -> Field<'_, 'r, Vec<Section<'r>>> {
        let allowed = format!(
            "a list of sections, each [[{}]] or {{ … }}",
            self.dotted(key)
        );
        let state = match self.item(key) {
            None => State::Missing,
            Some(Item::ArrayOfTables(tables)) => State::Good(
                tables
                    .iter()
                    .enumerate()
                    .map(|(index, table)| self.part(key, index, table, table.span()))
                    .collect(),
            ),
            Some(Item::Value(Value::Array(array))) => {
                let mut parts = Vec::new();
                let mut bad = array.is_empty();
                for (index, value) in array.iter().enumerate() {
                    if let Some(table) = value.as_inline_table() {
                        parts.push(self.part(key, index, table, table.span()));
                    } else {
                        let part = format!("{}.{}", self.dotted(key), index + 1);
                        self.reader.remember_place(&part, value.span());
                        let found = value::describe(self.reader, value);
                        self.reader.report(&part, found, "a part { … }", None);
                        bad = true;
                    }
                }
                if array.is_empty() {
                    let dotted = self.dotted(key);
                    self.reader
                        .report(&dotted, "an empty list", &*allowed, None);
                }
                if bad { State::Bad } else { State::Good(parts) }
            }
            Some(item) => {
                self.wrong_type(key, item, &allowed);
                State::Bad
            }
        };
        Field {
            section: self,
            key,
            allowed,
            state,
        }
    }

    /// Names keys that may stand here though none of them is read.
    pub fn allow(&self, keys: &[&'static str]) {
        self.known.borrow_mut().extend(keys);
    }

    /// Reports every key of the file that has not been asked for; how many
    /// there were.
    pub fn finish(self) -> usize {
        let Some(table) = self.table else { return 0 };
        let mut known = self.known.take();
        known.sort_unstable();
        known.dedup();
        let mut unknown = 0;
        for (written, _) in table.iter() {
            if known.contains(&written) {
                continue;
            }
            let unused = known.iter().copied().filter(|key| !self.gives(key));
            let meant = nearest(written, unused);
            if let Some(meant) = meant {
                self.reader.forget_missing(&self.dotted(meant));
            }
            let span = table
                .key(written)
                .and_then(toml_edit::Key::span)
                .unwrap_or_else(|| self.place.clone());
            unknown += 1;
            self.reader.note(
                &self.dotted(written),
                span,
                format!("`{written}`, not a key of {}", self.called()),
                either(&known),
                meant.map(|meant| format!("did you mean {meant}?")),
                false,
            );
        }
        unknown
    }

    pub(super) fn missing(&self, key: &str, allowed: &str) {
        let place = if self.place.is_empty() {
            // The top has no heading: point at the first line.
            0..0
        } else {
            self.place.clone()
        };
        let dotted = self.dotted(key);
        let (found, mend) = if allowed.starts_with("a section") {
            (
                format!("no section [{dotted}]"),
                format!("add the section [{dotted}]"),
            )
        } else if self.path.is_empty() {
            (
                format!("no {key} at the top of the file"),
                format!("add a line `{key} = …` above the first section"),
            )
        } else {
            (
                format!("no {key} in {}", self.called()),
                format!("add `{key} = …` to {}", self.called()),
            )
        };
        self.reader
            .note(&dotted, place, found, allowed.to_owned(), Some(mend), true);
    }

    /// What a message calls this section.
    fn called(&self) -> String {
        match self.path.rsplit_once('.') {
            _ if self.path.is_empty() => "the top of the file".to_owned(),
            Some((list, number)) if number.parse::<usize>().is_ok() => {
                format!("part {number} of {list}")
            }
            _ => format!("[{}]", self.path),
        }
    }

    fn part(
        &self,
        key: &str,
        index: usize,
        table: &'r dyn TableLike,
        span: Option<Range<usize>>,
    ) -> Section<'r> {
        let path = format!("{}.{}", self.dotted(key), index + 1);
        self.reader.remember_place(&path, span);
        let place = self.reader.place_of(&path);
        Section::new(self.reader, path, Some(table), place)
    }

    fn item(&self, key: &'static str) -> Option<&'r Item> {
        let dotted = self.dotted(key);
        self.known.borrow_mut().push(key);
        let table = self.table?;
        let item = table.get(key).filter(|item| !item.is_none())?;
        let span = item
            .span()
            .or_else(|| table.key(key).and_then(toml_edit::Key::span));
        self.reader.remember_place(&dotted, span);
        Some(item)
    }

    fn value<K: value::Kind>(&self, key: &'static str, kind: K) -> Field<'_, 'r, K::Value> {
        let allowed = kind.allowed(self.reader);
        self.reader.remember_key(&self.dotted(key));
        let state = match self.item(key) {
            None => State::Missing,
            Some(Item::Value(found)) => match kind.read(self.reader, &self.dotted(key), found) {
                Some(good) => State::Good(good),
                None => State::Bad,
            },
            Some(item) => {
                self.wrong_type(key, item, &allowed);
                State::Bad
            }
        };
        Field {
            section: self,
            key,
            allowed,
            state,
        }
    }

    fn wrong_type(&self, key: &str, item: &Item, allowed: &str) {
        let found = match item {
            Item::Value(found) => value::describe(self.reader, found),
            Item::ArrayOfTables(_) => "a list of sections".to_owned(),
            Item::Table(_) | Item::None => "a section".to_owned(),
        };
        self.reader.report(&self.dotted(key), found, allowed, None);
    }
}
