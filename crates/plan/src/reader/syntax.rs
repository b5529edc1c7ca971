//! Text to TOML, setting broken lines aside.
//!
//! The parser stops at the first line it cannot read. To tell of all of them,
//! such a line is replaced by spaces, which keeps every span, and the text is
//! parsed again. This is done only while it is certain that the line is broken
//! by itself (it does not parse alone, or it repeats a key); a list left open
//! makes every line after it look broken, and there the first report stands
//! alone.

use std::ops::Range;

use toml_edit::{Document, TomlError};

use super::problem::{Problem, line_and_column};
use crate::units::{LengthUnit, read_length_or_zero};

/// A text as far as it could be read.
pub(super) struct Parsed {
    /// The text without its broken lines; none where that is no TOML either.
    pub document: Option<Document<String>>,
    /// One for each broken line.
    pub problems: Vec<Problem>,
}

pub(super) fn parse(text: &str) -> Parsed {
    // Far more broken lines than any plan has; bounds the work on any text.
    const MOST: usize = 50;
    let mut left = text.to_owned();
    let mut problems = Vec::new();
    while problems.len() < MOST {
        let error = match Document::parse(left.clone()) {
            Ok(document) => {
                return Parsed {
                    document: Some(document),
                    problems,
                };
            }
            Err(error) => error,
        };
        let span = error.span().unwrap_or(0..0);
        let line = line_around(&left, span.start);
        let broken_by_itself = repeats_a_key(&error)
            || Document::parse(text.get(line.clone()).unwrap_or_default()).is_err();
        if broken_by_itself || problems.is_empty() {
            problems.push(explain(text, &error, span, line.clone()));
        }
        if !broken_by_itself || line.is_empty() {
            break;
        }
        set_aside(&mut left, line);
    }
    Parsed {
        document: None,
        problems,
    }
}

/// Replaces a line by spaces; with a heading, its whole section, whose keys
/// would else seem to stand in the section before.
fn set_aside(text: &mut String, line: Range<usize>) {
    let heading = |line: &str| line.trim_start().starts_with('[');
    let mut end = line.end;
    if heading(text.get(line.clone()).unwrap_or_default()) {
        let rest = text.get(end..).unwrap_or_default();
        end += rest
            .split_inclusive('\n')
            .skip(1)
            .take_while(|line| !heading(line))
            .map(str::len)
            .sum::<usize>()
            + rest.split_inclusive('\n').next().map_or(0, str::len);
    }
    let blank: String = text
        .get(line.start..end)
        .unwrap_or_default()
        .bytes()
        .map(|byte| if byte == b'\n' { '\n' } else { ' ' })
        .collect();
    text.replace_range(line.start..end, &blank);
}

fn repeats_a_key(error: &TomlError) -> bool {
    error.message().starts_with("duplicate key")
}

/// The bytes of the line that holds a byte, without its end.
fn line_around(text: &str, byte: usize) -> Range<usize> {
    let bytes = text.as_bytes();
    let byte = byte.min(bytes.len());
    let start = bytes[..byte]
        .iter()
        .rposition(|&byte| byte == b'\n')
        .map_or(0, |newline| newline + 1);
    let end = bytes[byte..]
        .iter()
        .position(|&byte| byte == b'\n')
        .map_or(bytes.len(), |newline| byte + newline);
    let end = if bytes[start..end].last() == Some(&b'\r') {
        end - 1
    } else {
        end
    };
    start..end.max(start)
}

fn explain(text: &str, error: &TomlError, span: Range<usize>, line: Range<usize>) -> Problem {
    let written = text.get(line.clone()).unwrap_or_default().trim();
    let (number, column) = line_and_column(text, span.start);
    let (key, value) = match written.split_once('=') {
        Some((key, value)) => (key.trim(), value.trim()),
        None => ("", ""),
    };
    let mut found = format!("`{}`", shortened(written));
    let mut allowed = "a line `key = value`, a heading [section], or a # remark".to_owned();
    let mut mend = None;
    if repeats_a_key(error) {
        let name = if key.is_empty() { written } else { key };
        found = format!("{name} a second time");
        allowed = "each key and each section once".to_owned();
        mend = Some("delete one of the two".to_owned());
    } else if written.is_empty() {
        found = format!("the end of the line ({})", error.message());
        mend = Some("look for a bracket or a quote that is not closed".to_owned());
    } else if !key.is_empty() && value.is_empty() {
        found = format!("`{written}` without a value");
        mend = Some(format!("write {key} = …, or delete the line"));
    } else if value.starts_with(['"', '\'']) && error.message().contains("string") {
        allowed = "a number, or text in quotes".to_owned();
        mend = Some("close the quotes at the end of the text".to_owned());
    } else if let Some(plain) = meant_value(value) {
        allowed = "a number, or text in quotes".to_owned();
        mend = Some(format!("write {key} = {plain}"));
    } else {
        found = format!("{found} ({})", error.message());
    }
    let key = key.trim_matches(['[', ']', '"']);
    Problem {
        key: match heading_above(text, line.start).filter(|_| !key.is_empty()) {
            Some(heading) => format!("{heading}.{key}"),
            None => key.to_owned(),
        },
        span,
        line: number,
        column,
        found,
        allowed,
        mend,
    }
}

/// The section that a line stands in, as its heading names it.
fn heading_above(text: &str, byte: usize) -> Option<&str> {
    text.get(..byte)?
        .lines()
        .rev()
        .find_map(|line| line.trim().strip_prefix('[')?.split(']').next())
        .filter(|heading| !heading.starts_with('['))
        .map(str::trim)
}

/// How a value that lacks quotes, or holds an inch mark within them, ought to
/// be written.
fn meant_value(value: &str) -> Option<String> {
    let bare = value.split('#').next().unwrap_or_default().trim();
    let inner = bare.strip_prefix('"').unwrap_or(bare);
    let is_length = |text: &str| read_length_or_zero(text, LengthUnit::Inch).is_ok();
    if bare.starts_with('"') {
        // `"2 3/8""`: the inch mark closed the quotes; `"60 mm`: nothing did.
        let inside = inner.strip_suffix('"').unwrap_or(inner).trim();
        if is_length(inside) {
            let quote = if inside.contains('"') { '\'' } else { '"' };
            return Some(format!("{quote}{inside}{quote}"));
        }
        return None;
    }
    if bare.is_empty() || bare.contains(['\'', '[', ']', '{', '}', '=']) {
        return None;
    }
    let word = bare
        .chars()
        .all(|sign| sign.is_alphanumeric() || " -_.,/\"%°″½¼¾⅛⅜⅝⅞".contains(sign));
    word.then(|| {
        if bare.contains('"') {
            format!("'{bare}'")
        } else {
            format!("\"{bare}\"")
        }
    })
}

fn shortened(written: &str) -> String {
    match written.char_indices().nth(60) {
        Some((end, _)) => format!("{}…", &written[..end]),
        None => written.to_owned(),
    }
}
