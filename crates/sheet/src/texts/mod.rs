//! The words on the sheets, which a club can change without rebuilding.
//!
//! The built-in words are a file of their own, `texts/en.toml`. A file of one's own overrides any of
//! them: a key that is not among the built-in ones, a value of another sort and a placeholder in braces too many or too
//! few are told with their line, all at once; keys left out keep the built-in words.

mod read;

use std::collections::BTreeMap;
use std::sync::OnceLock;

use rondure_plan::reader::Problems;

/// The built-in file.
const ENGLISH: &str = include_str!("../../texts/en.toml");

/// A text, several, or a number.
#[derive(Debug, Clone, PartialEq)]
enum Entry {
    Words(String),
    List(Vec<String>),
    Number(f64),
}

/// The words of the sheets.
#[derive(Debug, Clone, PartialEq)]
pub struct Texts {
    entries: BTreeMap<String, Entry>,
}

/// A file of words that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct TextsFile {
    /// The words: those of the file, and the built-in ones where it leaves some out.
    pub texts: Texts,
    /// Keys that the file leaves out.
    pub left_out: Vec<String>,
}

impl Default for Texts {
    fn default() -> Self {
        static BUILT_IN: OnceLock<Texts> = OnceLock::new();
        BUILT_IN
            .get_or_init(|| Self {
                entries: read::built_in(ENGLISH),
            })
            .clone()
    }
}

impl Texts {
    /// The built-in file of words: a start for one's own.
    pub fn file() -> &'static str {
        ENGLISH
    }

    /// Reads a file of words over the built-in ones; `file` is what problems call it.
    ///
    /// # Errors
    /// Where the file is no TOML, has a key that is not known, or a value that does not fit: all of
    /// them at once.
    pub fn read(text: &str, file: &str) -> Result<TextsFile, Problems> {
        let mut texts = Self::default();
        let given = read::checked(text, file, &texts.entries)?;
        let left_out = texts
            .entries
            .keys()
            .filter(|key| !given.contains_key(*key))
            .cloned()
            .collect();
        texts.entries.extend(given);
        Ok(TextsFile { texts, left_out })
    }

    /// The words of a key; empty for one that the built-in file does not have, which a test rules out.
    pub(crate) fn of(&self, key: &str) -> &str {
        match self.entries.get(key) {
            Some(Entry::Words(words)) => words,
            _ => "",
        }
    }

    /// The words of a key with its placeholders filled.
    pub(crate) fn filled(&self, key: &str, places: &[(&str, &str)]) -> String {
        let mut words = String::new();
        let mut rest = self.of(key);
        // One walk, so that what is filled in is never filled again.
        while let Some(open) = rest.find('{') {
            let (before, after) = rest.split_at(open);
            words.push_str(before);
            let close = after.find('}');
            let name = close.map(|close| &after[1..close]);
            let filled = places.iter().find(|(place, _)| Some(*place) == name);
            match (filled, close) {
                (Some((_, with)), Some(close)) => {
                    words.push_str(with);
                    rest = &after[close + 1..];
                }
                _ => {
                    words.push('{');
                    rest = &after[1..];
                }
            }
        }
        words.push_str(rest);
        words
    }

    /// The number of a key; 1 for one that the built-in file does not have, which a test rules out.
    pub(crate) fn value(&self, key: &str) -> f64 {
        match self.entries.get(key) {
            Some(Entry::Number(number)) => *number,
            _ => 1.0,
        }
    }

    /// Several texts: what stands under `section` for an identifier such as `mounting.3`, or for the
    /// longest beginning of it that has some.
    pub(crate) fn list(&self, section: &str, id: &str) -> &[String] {
        match self.nearest(section, id) {
            Some(Entry::List(list)) => list,
            _ => &[],
        }
    }

    /// One text under a section for an identifier, as [`Self::list`] looks for it.
    pub(crate) fn about(&self, section: &str, id: &str) -> Option<&str> {
        match self.nearest(section, id) {
            Some(Entry::Words(words)) => Some(words),
            _ => None,
        }
    }

    /// A number under a section for an identifier, as [`Self::list`] looks for it.
    pub(crate) fn number(&self, section: &str, id: &str) -> Option<f64> {
        match self.nearest(section, id) {
            Some(Entry::Number(number)) => Some(*number),
            _ => None,
        }
    }

    /// Entries are named by kinds: parts of an identifier that count or tell ends apart are left out,
    /// the last first. `mounting.3.cove` is of the kind `mounting.cove`.
    fn nearest(&self, section: &str, id: &str) -> Option<&Entry> {
        let kind: Vec<&str> = id
            .split('.')
            .filter(|part| part.parse::<u32>().is_err() && *part != "top" && *part != "bottom")
            .collect();
        let whole = self.entries.get(&format!("{section}.{}", kind.join(".")));
        // `pierce.3` is a step of the set-up `pierce`, and has no name of its own.
        let doubled = || {
            let [only] = kind.as_slice() else { return None };
            self.entries.get(&format!("{section}.{only}.{only}"))
        };
        whole.or_else(doubled)
    }
}

#[cfg(test)]
mod tests;
