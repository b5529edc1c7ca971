//! Typed reading of a TOML file that collects everything wrong with it at once.
//!
//! A [`Reader`] holds the parsed text with byte spans. A [`Section`] reads the
//! keys of one table; each read gives a [`Field`] that says whether the key may
//! be left out. Whatever is wrong becomes a [`Problem`] and reading goes on, so
//! one run tells the turner of every slip. Every key that is read is
//! remembered: [`Section::finish`] reports the keys that nobody asked for, with
//! the nearest that is known.
//!
//! A file that breaks the rules of TOML is read as far as that is honest: the
//! broken line is set aside and the rest still checked, but keys that seem to
//! be missing are then not reported, since they may stand in the broken line.

mod field;
mod problem;
mod section;
mod syntax;
mod value;

use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml_edit::{Document, TableLike};

use crate::units::{FINEST_FRACTION, LengthStyle, LengthUnit, show_length};

pub use field::Field;
pub use problem::{Problem, Problems, line_and_column};
pub use section::Section;

/// A file being read.
#[derive(Debug)]
pub struct Reader {
    file: String,
    text: String,
    document: Option<Document<String>>,
    /// Whether some line broke the rules of TOML.
    broken: bool,
    unit: Cell<LengthUnit>,
    problems: RefCell<Vec<Noted>>,
    others: RefCell<Vec<Problems>>,
    places: RefCell<BTreeMap<String, Range<usize>>>,
    keys: RefCell<BTreeSet<String>>,
}

/// A problem, and whether it is only that a key is missing.
#[derive(Debug)]
struct Noted {
    problem: Problem,
    missing: bool,
}

/// Where each key of a file stands, once it has been read without problems.
#[derive(Debug, Clone, PartialEq)]
pub struct Places {
    /// The bytes of each value and section, by dotted key.
    pub given: BTreeMap<String, Range<usize>>,
    /// Every dotted key of a value that was asked for, given or not.
    pub asked: BTreeSet<String>,
}

impl Reader {
    /// Parses a file. Bare numbers are millimetres until [`Reader::set_unit`].
    pub fn new(file: &str, text: &str) -> Self {
        let syntax::Parsed { document, problems } = syntax::parse(text);
        Self {
            file: file.to_owned(),
            text: text.to_owned(),
            document,
            broken: !problems.is_empty(),
            unit: Cell::new(LengthUnit::Millimetre),
            problems: RefCell::new(
                problems
                    .into_iter()
                    .map(|problem| Noted {
                        problem,
                        missing: false,
                    })
                    .collect(),
            ),
            others: RefCell::default(),
            places: RefCell::default(),
            keys: RefCell::default(),
        }
    }

    /// The keys above the first section.
    pub fn top(&self) -> Section<'_> {
        let table = self
            .document
            .as_ref()
            .map(|document| document.as_table() as &dyn TableLike);
        Section::new(self, String::new(), table, 0..0)
    }

    /// Sets the unit that bare numbers are written in from here on.
    pub fn set_unit(&self, unit: LengthUnit) {
        self.unit.set(unit);
    }

    /// The unit that bare numbers are written in.
    pub fn unit(&self) -> LengthUnit {
        self.unit.get()
    }

    /// A length, mm, in the unit of the file: tenths of a millimetre or 64ths
    /// of an inch.
    pub fn show(&self, mm: f64) -> String {
        show_length(mm, self.style()).text
    }

    /// A length, mm, that the file's unit can write and that is not above this one.
    pub fn show_below(&self, mm: f64) -> String {
        let shown = show_length(mm, self.style());
        if shown.cost_mm <= 0.0 {
            return shown.text;
        }
        self.show(mm - self.style().step_mm())
    }

    fn style(&self) -> LengthStyle {
        match self.unit.get() {
            LengthUnit::Millimetre | LengthUnit::Centimetre => LengthStyle::Millimetres,
            LengthUnit::Inch => LengthStyle::Inches {
                denominator: FINEST_FRACTION,
            },
        }
    }

    /// Reports a problem with the value at a dotted key. Where the file does
    /// not give the key, the problem points at the section that would hold it.
    pub fn report(
        &self,
        key: &str,
        found: impl Into<String>,
        allowed: impl Into<String>,
        mend: Option<String>,
    ) {
        let span = self.place_of(key);
        self.note(key, span, found.into(), allowed.into(), mend, false);
    }

    /// Adds the problems of another file that this one refers to.
    pub fn report_other(&self, problems: Problems) {
        self.others.borrow_mut().push(problems);
    }

    /// The problems, or, where there are none, the place of every key.
    ///
    /// # Errors
    /// All problems found, in the order of the file.
    pub fn close(self) -> Result<Places, Problems> {
        let mut list: Vec<_> = self.problems.into_inner();
        let others = self.others.into_inner();
        if list.is_empty() && others.is_empty() {
            return Ok(Places {
                given: self.places.into_inner(),
                asked: self.keys.into_inner(),
            });
        }
        list.sort_by_key(|noted| noted.problem.span.start);
        Err(Problems {
            file: self.file,
            source: self.text,
            list: list.into_iter().map(|noted| noted.problem).collect(),
            others,
        })
    }

    fn place_of(&self, key: &str) -> Range<usize> {
        let places = self.places.borrow();
        let mut key = key;
        loop {
            if let Some(place) = places.get(key) {
                return place.clone();
            }
            match key.rsplit_once('.') {
                Some((section, _)) => key = section,
                None => return 0..0,
            }
        }
    }

    fn note(
        &self,
        key: &str,
        span: Range<usize>,
        found: String,
        allowed: String,
        mend: Option<String>,
        missing: bool,
    ) {
        if missing && self.broken {
            return;
        }
        let (line, column) = line_and_column(&self.text, span.start);
        let problem = Problem {
            key: key.to_owned(),
            span,
            line,
            column,
            found,
            allowed,
            mend,
        };
        self.problems.borrow_mut().push(Noted { problem, missing });
    }

    /// Takes back the report that a key is missing: it was misspelt.
    fn forget_missing(&self, key: &str) {
        self.problems
            .borrow_mut()
            .retain(|noted| !(noted.missing && noted.problem.key == key));
    }

    fn remember_place(&self, key: &str, span: Option<Range<usize>>) {
        if let Some(span) = span {
            self.places.borrow_mut().insert(key.to_owned(), span);
        }
    }

    fn remember_key(&self, key: &str) {
        self.keys.borrow_mut().insert(key.to_owned());
    }

    /// A piece of the file, cut short for a message.
    fn snippet(&self, span: Option<Range<usize>>) -> String {
        const LONGEST: usize = 40;
        let whole = span
            .and_then(|span| self.text.get(span))
            .unwrap_or_default();
        let mut words = whole.split_whitespace().collect::<Vec<_>>().join(" ");
        if let Some((end, _)) = words.char_indices().nth(LONGEST) {
            words.truncate(end);
            words.push('…');
        }
        words
    }
}

/// The known word nearest to a written one, where it is near enough to be a
/// slip: one change, and one more for every three letters.
pub fn nearest<'w>(written: &str, known: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    let written = written.to_lowercase();
    known
        .into_iter()
        .map(|word| {
            (
                strsim::damerau_levenshtein(&written, &word.to_lowercase()),
                word,
            )
        })
        .filter(|&(distance, word)| distance <= 1 + word.chars().count().max(2) / 3)
        .filter(|&(distance, word)| distance < word.chars().count())
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, word)| word)
}

/// Words joined as a turner would say them: `a, b or c`.
pub fn either<S: AsRef<str>>(words: &[S]) -> String {
    match words {
        [] => "nothing".to_owned(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<_> = first.iter().map(AsRef::as_ref).collect();
            format!("{} or {}", first.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests;
