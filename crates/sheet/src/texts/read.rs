//! Reading a file of words.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use rondure_plan::reader::{Problem, Problems, line_and_column};
use toml_edit::{Document, Item, Value};

use super::Entry;

/// Words differ by at most this many letters from the ones they were meant for.
const NEAR: usize = 4;

type Entries = BTreeMap<String, Entry>;

/// A value as it was found, with its place.
struct Found {
    key: String,
    span: Range<usize>,
    entry: Result<Entry, &'static str>,
}

/// The entries of the built-in file, which a test reads.
pub(super) fn built_in(text: &str) -> Entries {
    let Ok(document) = Document::parse(text) else {
        return Entries::new();
    };
    let mut found = Vec::new();
    collect("", document.as_item(), 0..0, &mut found);
    found
        .into_iter()
        .filter_map(|found| Some((found.key, found.entry.ok()?)))
        .collect()
}

/// The entries of a file, checked against the known ones.
pub(super) fn checked(text: &str, file: &str, known: &Entries) -> Result<Entries, Problems> {
    let problem =
        |key: &str, span: Range<usize>, found: String, allowed: String, mend: Option<String>| {
            let (line, column) = line_and_column(text, span.start);
            Problem {
                key: key.to_owned(),
                span,
                line,
                column,
                found,
                allowed,
                mend,
            }
        };
    let failed = |list| Problems {
        file: file.to_owned(),
        source: text.to_owned(),
        list,
        others: Vec::new(),
    };
    let document = match Document::parse(text) {
        Ok(document) => document,
        Err(error) => {
            let span = error.span().unwrap_or(0..0);
            let found = format!("text that is no TOML ({})", error.message().trim());
            let allowed = "lines such as title = \"words\"".to_owned();
            let mend = Some("mend this line first; the rest is read after that".to_owned());
            return Err(failed(vec![problem("", span, found, allowed, mend)]));
        }
    };
    let mut found = Vec::new();
    collect("", document.as_item(), 0..0, &mut found);
    let (mut entries, mut problems) = (Entries::new(), Vec::new());
    for Found { key, span, entry } in found {
        let Some(usual) = known.get(&key) else {
            let mend = nearest(&key, known).map_or_else(
                || "take the line out".to_owned(),
                |near| format!("did you mean {near}?"),
            );
            let found = "a text that no sheet uses".to_owned();
            let allowed = "a key of the built-in file of words".to_owned();
            problems.push(problem(&key, span, found, allowed, Some(mend)));
            continue;
        };
        match entry {
            Err(sort) => problems.push(problem(
                &key,
                span,
                sort.to_owned(),
                sort_of(usual).to_owned(),
                None,
            )),
            Ok(entry) => match unfit(&entry, usual) {
                Some((found, allowed, mend)) => {
                    problems.push(problem(&key, span, found, allowed, Some(mend)));
                }
                None => {
                    entries.insert(key, entry);
                }
            },
        }
    }
    if problems.is_empty() {
        Ok(entries)
    } else {
        problems.sort_by_key(|problem| problem.span.start);
        Err(failed(problems))
    }
}

/// All values below an item, with dotted keys.
fn collect(key: &str, item: &Item, near: Range<usize>, found: &mut Vec<Found>) {
    if let Some(table) = item.as_table_like() {
        for (name, item) in table.iter() {
            let span = table
                .key(name)
                .and_then(toml_edit::Key::span)
                .or_else(|| item.span())
                .unwrap_or_else(|| near.clone());
            let dotted = if key.is_empty() {
                name.to_owned()
            } else {
                format!("{key}.{name}")
            };
            collect(&dotted, item, span, found);
        }
        return;
    }
    let span = item.span().unwrap_or(near);
    let entry = match item.as_value() {
        Some(Value::String(words)) => Ok(Entry::Words(words.value().clone())),
        Some(Value::Integer(number)) => Ok(Entry::Number(*number.value() as f64)),
        Some(Value::Float(number)) => Ok(Entry::Number(*number.value())),
        Some(Value::Array(list)) => list
            .iter()
            .map(|each| each.as_str().map(str::to_owned))
            .collect::<Option<Vec<_>>>()
            .map(Entry::List)
            .ok_or("a list of something else than texts"),
        Some(Value::Boolean(_)) => Err("true or false"),
        Some(Value::Datetime(_)) => Err("a date"),
        _ => Err("no text"),
    };
    found.push(Found {
        key: key.to_owned(),
        span,
        entry,
    });
}

fn sort_of(entry: &Entry) -> &'static str {
    match entry {
        Entry::Words(_) => "a text in quotes",
        Entry::List(_) => "a list of texts, [\"one\", \"two\"]",
        Entry::Number(_) => "a number above 0",
    }
}

/// What is wrong with a value beside the usual one: found, allowed, mend.
fn unfit(entry: &Entry, usual: &Entry) -> Option<(String, String, String)> {
    let allowed = sort_of(usual).to_owned();
    match (entry, usual) {
        (Entry::Words(words), Entry::Words(usual)) => {
            let (has, needs) = (places(words), places(usual));
            let said = |places: &BTreeSet<&str>| {
                if places.is_empty() {
                    "none".to_owned()
                } else {
                    let named: Vec<String> =
                        places.iter().map(|place| format!("{{{place}}}")).collect();
                    named.join(", ")
                }
            };
            if let Some(more) = has.difference(&needs).next() {
                return Some((
                    format!("the placeholder {{{more}}}"),
                    format!("the placeholders of the built-in text: {}", said(&needs)),
                    "take it out".to_owned(),
                ));
            }
            if let Some(fewer) = needs.difference(&has).next() {
                return Some((
                    format!("a text without {{{fewer}}}"),
                    format!("all placeholders of the built-in text: {}", said(&needs)),
                    format!("put {{{fewer}}} where it belongs"),
                ));
            }
            None
        }
        (Entry::List(_), Entry::List(_)) => None,
        (Entry::Number(number), Entry::Number(_)) if *number > 0.0 && *number <= 1e4 => None,
        (Entry::Number(number), Entry::Number(_)) => Some((
            number.to_string(),
            "a number above 0 and up to 10000".to_owned(),
            "write minutes or counts as whole numbers".to_owned(),
        )),
        (found, _) => Some((
            sort_of(found).to_owned(),
            allowed,
            "write it as the built-in file has it".to_owned(),
        )),
    }
}

/// The placeholders of a text.
fn places(words: &str) -> BTreeSet<&str> {
    words
        .split('{')
        .skip(1)
        .filter_map(|after| after.split_once('}'))
        .map(|(name, _)| name)
        .filter(|name| name.bytes().all(|byte| byte.is_ascii_lowercase()))
        .collect()
}

/// The known key that differs least.
fn nearest<'a>(key: &str, known: &'a Entries) -> Option<&'a str> {
    known
        .keys()
        .map(|name| (strsim::levenshtein(key, name), name.as_str()))
        .filter(|(distance, _)| *distance <= NEAR)
        .min()
        .map(|(_, name)| name)
}
