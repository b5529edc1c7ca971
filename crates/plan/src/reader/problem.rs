//! What is wrong with a file, one sentence for each thing.

use std::fmt;
use std::ops::Range;

/// One thing wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The dotted key, e.g. `ball.marks`; empty where the line has none.
    pub key: String,
    /// The bytes it is about.
    pub span: Range<usize>,
    /// The line it begins on, from 1.
    pub line: usize,
    /// The character of that line, from 1.
    pub column: usize,
    /// What was found.
    pub found: String,
    /// What is allowed there.
    pub allowed: String,
    /// How to mend it, where that can be told.
    pub mend: Option<String>,
}

impl fmt::Display for Problem {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "line {}", self.line)?;
        if !self.key.is_empty() {
            write!(out, ", {}", self.key)?;
        }
        write!(out, ": found {}; allowed is {}", self.found, self.allowed)?;
        if let Some(mend) = &self.mend {
            write!(out, "; {mend}")?;
        }
        if !out.alternate() && !self.mend.as_ref().is_some_and(|mend| mend.ends_with('?')) {
            out.write_str(".")?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}

/// Everything wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problems {
    /// The name of the file.
    pub file: String,
    /// Its text, for the spans.
    pub source: String,
    /// The problems, in the order of the file.
    pub list: Vec<Problem>,
    /// Problems of other files that this one refers to.
    pub others: Vec<Self>,
}

impl Problems {
    /// How many problems there are, those of other files included.
    pub fn count(&self) -> usize {
        self.list.len() + self.others.iter().map(Self::count).sum::<usize>()
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for problem in &self.list {
            writeln!(out, "{}, {problem}", self.file)?;
        }
        self.others.iter().try_for_each(|other| other.fmt(out))
    }
}

impl std::error::Error for Problems {}

/// The line and the character of that line, both from 1, at a byte of a text.
/// A byte past the end is taken as the end.
pub fn line_and_column(text: &str, byte: usize) -> (usize, usize) {
    let before = &text.as_bytes()[..byte.min(text.len())];
    let start = before
        .iter()
        .rposition(|&byte| byte == b'\n')
        .map_or(0, |newline| newline + 1);
    let line = before.iter().filter(|&&byte| byte == b'\n').count() + 1;
    // A byte that continues a character begins none.
    let column = before[start..]
        .iter()
        .filter(|&&byte| byte & 0xC0 != 0x80)
        .count()
        + 1;
    (line, column)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_in_a_text() {
        let text = "a\n½ b\r\n";
        assert_eq!(line_and_column(text, 0), (1, 1));
        assert_eq!(line_and_column(text, 2), (2, 1));
        assert_eq!(line_and_column(text, 5), (2, 3));
        assert_eq!(line_and_column(text, 99), (3, 1));
        assert_eq!(line_and_column("", 0), (1, 1));
    }
}
