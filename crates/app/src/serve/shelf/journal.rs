//! Undo and redo of one plan, as a journal on the disk.
//!
//! Each line is one record in JSON: a text that was kept, or a step back or forth. Reading
//! them in order gives the texts and the place among them. Records are added at the end and
//! made lasting before anything is answered; a kill in the middle of that leaves a last line
//! without an end, which counts as not written.
//!
//! The plan's own file is written first and is the truth. Where it and the journal differ,
//! because of a kill between the two or because the file was changed by hand, the journal
//! follows the file ([`Journal::follow`]).

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::keep;

/// Most texts that are kept; at more, the older half is let go.
const MOST_TEXTS: usize = 1000;
/// Largest journal, bytes; at more, the older half is let go.
const MOST_BYTES: u64 = 8 << 20;

/// One line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Record {
    /// A text was kept.
    Kept(String),
    /// A text was kept that goes on with the change before: one step back takes both back.
    Joined(String),
    /// One step back.
    Undone,
    /// One step forth.
    Redone,
}

/// The texts of a plan, and which of them is now.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Journal {
    texts: Vec<String>,
    at: usize,
    /// Bytes of the file that are whole lines; the rest of it is torn.
    whole: u64,
}

impl Journal {
    /// The journal in a file; an empty one where there is none.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub fn load(path: &Path) -> io::Result<Self> {
        let mut bytes = Vec::new();
        match File::open(path) {
            Ok(mut file) => file.read_to_end(&mut bytes)?,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Self::default()),
            Err(error) => return Err(error),
        };
        let mut journal = Self::default();
        for line in bytes.split_inclusive(|&byte| byte == b'\n') {
            if line.last() != Some(&b'\n') {
                break;
            }
            // What follows a damaged line cannot be trusted.
            let Ok(record) = serde_json::from_slice(line) else {
                break;
            };
            journal.apply(record);
            journal.whole += line.len() as u64;
        }
        Ok(journal)
    }

    /// Does a record to the texts.
    fn apply(&mut self, record: Record) {
        match record {
            Record::Kept(text) => {
                self.texts.truncate(self.at + 1);
                self.texts.push(text);
                self.at = self.texts.len() - 1;
            }
            // Only a change that can be taken back, and is the last, can be gone on with.
            Record::Joined(text) if self.at > 0 && self.at + 1 == self.texts.len() => {
                self.texts[self.at] = text;
            }
            Record::Joined(text) => self.apply(Record::Kept(text)),
            Record::Undone => self.at = self.at.saturating_sub(1),
            Record::Redone => self.at = (self.at + 1).min(self.texts.len().saturating_sub(1)),
        }
    }

    /// The text a step back leads to.
    pub fn before(&self) -> Option<&str> {
        let at = self.at.checked_sub(1)?;
        self.texts.get(at).map(String::as_str)
    }

    /// The text a step forth leads to.
    pub fn after(&self) -> Option<&str> {
        self.texts.get(self.at + 1).map(String::as_str)
    }

    /// The record that brings the journal to where the plan's file is; none where it is there.
    ///
    /// A file one step back or forth is taken for a step whose record is missing.
    pub fn follow(&self, text: &str) -> Option<Record> {
        if self.texts.get(self.at).is_some_and(|now| now == text) {
            None
        } else if self.before() == Some(text) {
            Some(Record::Undone)
        } else if self.after() == Some(text) {
            Some(Record::Redone)
        } else {
            Some(Record::Kept(text.to_owned()))
        }
    }

    /// Adds a record, here and in the file.
    ///
    /// # Errors
    /// Where the file cannot be written; what was in it stays.
    pub fn add(&mut self, path: &Path, record: Record) -> io::Result<()> {
        let mut line = serde_json::to_vec(&record)?;
        line.push(b'\n');
        let is_new = self.whole == 0;
        let mut file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .read(true)
            .write(true)
            .open(path)?;
        if file.metadata()?.len() != self.whole {
            file.set_len(self.whole)?;
        }
        io::Seek::seek(&mut file, io::SeekFrom::Start(self.whole))?;
        file.write_all(&line)?;
        file.sync_data()?;
        if is_new {
            keep::lasting(path);
        }
        self.whole += line.len() as u64;
        self.apply(record);
        if self.texts.len() > MOST_TEXTS || self.whole > MOST_BYTES {
            self.shorten(path)?;
        }
        Ok(())
    }

    /// Lets the older half go, as far as it lies before now.
    fn shorten(&mut self, path: &Path) -> io::Result<()> {
        let gone = (self.texts.len() / 2).min(self.at);
        self.texts.drain(..gone);
        self.at -= gone;
        let back = self.texts.len() - 1 - self.at;
        let mut bytes = Vec::new();
        for text in &self.texts {
            serde_json::to_writer(&mut bytes, &Record::Kept(text.clone()))?;
            bytes.push(b'\n');
        }
        for _ in 0..back {
            serde_json::to_writer(&mut bytes, &Record::Undone)?;
            bytes.push(b'\n');
        }
        keep::over(path, |to| to.write_all(&bytes))?;
        self.whole = fs::metadata(path)?.len();
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(name: &str) -> std::path::PathBuf {
        let folder = std::env::temp_dir().join(format!("rondure-journal-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let path = folder.join(name);
        let _ = fs::remove_file(&path);
        path
    }

    fn kept(text: &str) -> Record {
        Record::Kept(text.to_owned())
    }

    #[test]
    fn steps_back_and_forth_outlive_a_reload() {
        let path = place("steps");
        let mut journal = Journal::load(&path).unwrap();
        assert_eq!(journal.follow("a"), Some(kept("a")));
        for record in [kept("a"), kept("b"), kept("c"), Record::Undone] {
            journal.add(&path, record).unwrap();
        }
        let again = Journal::load(&path).unwrap();
        assert_eq!(again, journal);
        assert_eq!((again.before(), again.after()), (Some("a"), Some("c")));
        // The file one step away stands for a record that is missing.
        assert_eq!(again.follow("b"), None);
        assert_eq!(again.follow("a"), Some(Record::Undone));
        assert_eq!(again.follow("c"), Some(Record::Redone));
        // A new text takes the place of what was taken back.
        journal.add(&path, kept("d")).unwrap();
        assert_eq!((journal.before(), journal.after()), (Some("b"), None));
    }

    #[test]
    fn a_change_gone_on_with_is_one_step_back() {
        let path = place("joined");
        let joined = |text: &str| Record::Joined(text.to_owned());
        let mut journal = Journal::default();
        for record in [kept("a"), kept("b"), joined("c"), joined("d")] {
            journal.add(&path, record).unwrap();
        }
        assert_eq!((journal.before(), journal.follow("d")), (Some("a"), None));
        assert_eq!(Journal::load(&path).unwrap(), journal);
        // What was taken back is not gone on with, nor is the text a plan began with.
        journal.add(&path, Record::Undone).unwrap();
        journal.add(&path, joined("e")).unwrap();
        assert_eq!((journal.before(), journal.after()), (Some("a"), None));
        assert_eq!(journal.follow("e"), None);
    }

    #[test]
    fn a_torn_last_line_counts_as_not_written() {
        let path = place("torn");
        let mut journal = Journal::default();
        journal.add(&path, kept("a")).unwrap();
        journal.add(&path, kept("b")).unwrap();
        let whole = fs::read(&path).unwrap();
        // However much of a further record reached the disk.
        let mut further = serde_json::to_vec(&kept("c, a longer text\n")).unwrap();
        further.push(b'\n');
        for torn in 0..further.len() {
            let mut bytes = whole.clone();
            bytes.extend(&further[..torn]);
            fs::write(&path, &bytes).unwrap();
            let mut read = Journal::load(&path).unwrap();
            assert_eq!((read.before(), read.after()), (Some("a"), None), "{torn}");
            read.add(&path, kept("d")).unwrap();
            let read = Journal::load(&path).unwrap();
            assert_eq!(
                (read.before(), read.follow("d")),
                (Some("b"), None),
                "{torn}"
            );
        }
    }

    #[test]
    fn a_long_journal_lets_the_older_half_go() {
        let path = place("long");
        let lines: String = (0..MOST_TEXTS)
            .map(|number| {
                format!(
                    "{}\n",
                    serde_json::to_string(&kept(&number.to_string())).unwrap()
                )
            })
            .collect();
        fs::write(&path, lines).unwrap();
        let mut journal = Journal::load(&path).unwrap();
        assert_eq!(journal.texts.len(), MOST_TEXTS);
        journal.add(&path, kept(&MOST_TEXTS.to_string())).unwrap();
        assert!(journal.texts.len() < MOST_TEXTS);
        assert_eq!(journal.follow(&MOST_TEXTS.to_string()), None);
        assert_eq!(Journal::load(&path).unwrap(), journal);
    }
}
