//! The shelf: one folder where plans live, as the files the command line reads.
//!
//! `NAME.toml` is the plan, `.history/` beside it holds what the page needs besides (a
//! journal for undo, ticks), `.bin/` what was removed. Nothing outside the folder is read or
//! written: names are checked ([`Name`]), and what is no plain file is not followed.
//!
//! **Nothing is lost.** A text is written beside its file, written through, and renamed over
//! it, then noted in the journal; only then is the change answered. **Nothing is overwritten
//! unseen.** A change names the revision it was made on, which is a fingerprint of the text;
//! where the file has another by now, whoever changed it, the change is refused with the newer
//! text. A lock in the folder keeps the operations of all processes on one shelf apart, so
//! nothing is held in memory between them.

mod bin;
mod journal;
mod name;
mod ticks;

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use axum::http::StatusCode;

use self::journal::{Journal, Record};
pub use self::name::Name;
use super::answer::Refused;
use super::wire::Sheet;
use crate::{keep, plan_file};

const HISTORY: &str = ".history";
const BIN: &str = ".bin";
const ENDING: &str = ".toml";
/// Most plans that are listed.
const MOST: usize = 2000;

/// A folder of plans.
#[derive(Debug, Clone)]
pub struct Shelf {
    folder: PathBuf,
    is_new: bool,
}

/// A plan as it lies on the shelf.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stored {
    /// Its name.
    pub name: Name,
    /// Its text.
    pub text: String,
    /// When it last changed, milliseconds since 1970 began.
    pub changed_at: u64,
}

/// Which way a step goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Back: undo.
    Back,
    /// Forth: redo.
    Forth,
}

/// A fingerprint of a text, 16 hexadecimal digits: FNV-1a, 64 bits (constants from memory).
/// It tells texts apart that are not made to be mistaken for each other.
pub fn revision(text: &str) -> String {
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{hash:016x}")
}

impl Shelf {
    /// The shelf in a folder, which is made where it is missing.
    ///
    /// # Errors
    /// Where the folder or those in it cannot be made or written.
    pub fn open(folder: &Path) -> io::Result<Self> {
        fs::create_dir_all(folder)?;
        let mut shelf = Self {
            folder: folder.canonicalize()?,
            is_new: false,
        };
        for inside in [HISTORY, BIN] {
            let inside = shelf.folder.join(inside);
            match fs::symlink_metadata(&inside) {
                Ok(there) if there.is_dir() => {}
                Ok(_) => {
                    return Err(io::Error::new(
                        io::ErrorKind::NotADirectory,
                        format!("{} has to be a folder of its own", inside.display()),
                    ));
                }
                Err(error) if error.kind() == io::ErrorKind::NotFound => {
                    fs::create_dir(&inside)?;
                    shelf.is_new = true;
                }
                Err(error) => return Err(error),
            }
        }
        let _lock = shelf.lock()?;
        shelf.sweep()?;
        Ok(shelf)
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Whether the folder was used as a shelf for the first time when it was opened.
    pub fn is_new(&self) -> bool {
        self.is_new
    }

    /// Keeps all other operations away, of this process and others, until it is dropped.
    fn lock(&self) -> io::Result<File> {
        let file = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(self.folder.join(HISTORY).join("lock"))?;
        file.lock()?;
        Ok(file)
    }

    fn locked(&self) -> Result<File, Refused> {
        self.lock()
            .map_err(|error| Refused::disk("The shelf cannot be locked", &error))
    }

    /// Removes what a kill in the middle of writing left behind.
    fn sweep(&self) -> io::Result<()> {
        for folder in [self.folder.clone(), self.folder.join(HISTORY)] {
            for entry in fs::read_dir(&folder)? {
                let entry = entry?;
                let name = entry.file_name();
                let Some(name) = name.to_str() else { continue };
                let ours = [".toml.", ".jsonl.", ".json."]
                    .iter()
                    .any(|middle| name.contains(middle));
                if ours && name.ends_with(keep::BESIDE) && entry.file_type()?.is_file() {
                    fs::remove_file(entry.path())?;
                }
            }
        }
        Ok(())
    }

    fn plan_path(&self, name: &Name) -> PathBuf {
        self.folder.join(format!("{name}{ENDING}"))
    }

    /// Where what is known of the cards is kept.
    pub fn cards_path(&self) -> PathBuf {
        self.folder.join(HISTORY).join("cards.json")
    }

    fn journal_path(&self, name: &Name) -> PathBuf {
        self.folder.join(HISTORY).join(format!("{name}.jsonl"))
    }

    /// The plans, by name.
    ///
    /// # Errors
    /// Where the folder cannot be read. A file in it that cannot be is left out.
    pub fn list(&self) -> Result<Vec<Stored>, Refused> {
        let trouble = |error: io::Error| Refused::disk("The shelf cannot be read", &error);
        let mut names = Vec::new();
        for entry in fs::read_dir(&self.folder).map_err(trouble)? {
            let entry = entry.map_err(trouble)?;
            let file_name = entry.file_name();
            let name = file_name
                .to_str()
                .and_then(|name| name.strip_suffix(ENDING))
                .and_then(|name| Name::new(name).ok());
            if let Some(name) = name
                && entry.file_type().is_ok_and(|kind| kind.is_file())
            {
                names.push(name);
            }
        }
        names.sort();
        names.truncate(MOST);
        Ok(names
            .into_iter()
            .filter_map(|name| self.stored(&name).ok())
            .collect())
    }

    /// One plan.
    ///
    /// # Errors
    /// Where there is none of that name, or it cannot be read.
    pub fn stored(&self, name: &Name) -> Result<Stored, Refused> {
        let path = self.plan_path(name);
        let unreadable = |error: io::Error| match error.kind() {
            io::ErrorKind::NotFound => missing(name),
            _ => Refused::disk(&format!("\"{name}\" cannot be read"), &error),
        };
        let text = plain(&path).map_err(unreadable)?;
        let changed_at = fs::metadata(&path)
            .and_then(|metadata| metadata.modified())
            .ok()
            .and_then(|time| time.duration_since(UNIX_EPOCH).ok())
            .map_or(0, |since| u64::try_from(since.as_millis()).unwrap_or(0));
        Ok(Stored {
            name: name.clone(),
            text,
            changed_at,
        })
    }

    /// The text of a rack file that a plan on the shelf names.
    ///
    /// # Errors
    /// In words, where it does not lie on the shelf or cannot be read.
    pub fn rack(&self, name: &str) -> Result<String, String> {
        let own = name
            .strip_suffix(ENDING)
            .and_then(|name| Name::new(name).ok())
            .ok_or("a rack file has to lie on the shelf, beside the plan, and end in .toml")?;
        plain(&self.plan_path(&own)).map_err(|error| crate::failure::in_words(&error))
    }

    /// A plan to work on. A change made by hand outside counts as a change like any other.
    ///
    /// # Errors
    /// Where there is none of that name, or the disk fails.
    pub fn sheet(&self, name: &Name) -> Result<Sheet, Refused> {
        let _lock = self.locked()?;
        let (text, journal) = self.now(name)?;
        self.sheet_of(name, text, &journal)
    }

    /// The plan's text, and its journal brought up to it.
    fn now(&self, name: &Name) -> Result<(String, Journal), Refused> {
        let text = self.stored(name)?.text;
        let path = self.journal_path(name);
        let trouble =
            |error| Refused::disk(&format!("The history of \"{name}\" cannot be kept"), &error);
        let mut journal = Journal::load(&path).map_err(trouble)?;
        if let Some(record) = journal.follow(&text) {
            journal.add(&path, record).map_err(trouble)?;
        }
        Ok((text, journal))
    }

    fn sheet_of(&self, name: &Name, text: String, journal: &Journal) -> Result<Sheet, Refused> {
        Ok(Sheet {
            name: name.to_string(),
            revision: revision(&text),
            text,
            can_undo: journal.before().is_some(),
            can_redo: journal.after().is_some(),
            ticks: self.ticks(name)?,
        })
    }

    /// A new plan.
    ///
    /// # Errors
    /// Where there is one of that name, or the disk fails.
    pub fn create(&self, name: &Name, text: &str) -> Result<Stored, Refused> {
        let _lock = self.locked()?;
        self.begin(name, text)?;
        self.stored(name)
    }

    /// As [`Shelf::create`], under the first free name of the kind `NAME`, `NAME 2`, `NAME 3`.
    ///
    /// # Errors
    /// Where the disk fails.
    pub fn create_beside(&self, name: &Name, text: &str) -> Result<Stored, Refused> {
        let _lock = self.locked()?;
        let free = self.free(name)?;
        self.begin(&free, text)?;
        self.stored(&free)
    }

    fn begin(&self, name: &Name, text: &str) -> Result<(), Refused> {
        self.check_free(name)?;
        self.forget(name)?;
        self.write(name, text)?;
        self.now(name).map(|_| ())
    }

    fn is_taken(&self, name: &Name) -> bool {
        // Whatever is there, a link that leads nowhere included.
        fs::symlink_metadata(self.plan_path(name)).is_ok()
    }

    /// Whether a new plan may have that name.
    ///
    /// # Errors
    /// Where there is one of that name.
    pub fn check_free(&self, name: &Name) -> Result<(), Refused> {
        if self.is_taken(name) {
            return Err(Refused::taken(format!(
                "There is a plan called \"{name}\" on the shelf. Choose another name."
            )));
        }
        Ok(())
    }

    fn free(&self, name: &Name) -> Result<Name, Refused> {
        std::iter::once(Some(name.clone()))
            .chain((2..=MOST).map(|number| name.numbered(number)))
            .flatten()
            .find(|name| !self.is_taken(name))
            .ok_or_else(|| {
                Refused::taken(format!(
                    "There are too many plans called \"{name}\". Choose another name."
                ))
            })
    }

    /// Removes the history that a plan of that name, gone by now, left behind.
    fn forget(&self, name: &Name) -> Result<(), Refused> {
        for path in [self.journal_path(name), self.ticks_path(name)] {
            match fs::remove_file(&path) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => {
                    return Err(Refused::disk("An old history cannot be removed", &error));
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn write(&self, name: &Name, text: &str) -> Result<(), Refused> {
        if text.len() as u64 > plan_file::LARGEST {
            return Err(Refused::Says(
                StatusCode::PAYLOAD_TOO_LARGE,
                "A plan holds at most 1 MiB of text.".to_owned(),
            ));
        }
        keep::over(&self.plan_path(name), |to| {
            io::Write::write_all(to, text.as_bytes())
        })
        .map_err(|error| Refused::disk(&format!("\"{name}\" was not written"), &error))
    }

    /// Keeps a changed text, whether or not it can be read as a plan.
    ///
    /// # Errors
    /// [`Refused::Newer`] where the plan has changed since `on`; or the disk fails.
    pub fn keep(&self, name: &Name, text: &str, on: &str) -> Result<Sheet, Refused> {
        self.keep_as(name, text, on, Record::Kept)
    }

    /// Keeps a text that goes on with the change before; one step back takes both back.
    ///
    /// # Errors
    /// As [`Shelf::keep`].
    pub fn keep_on(&self, name: &Name, text: &str, on: &str) -> Result<Sheet, Refused> {
        self.keep_as(name, text, on, Record::Joined)
    }

    fn keep_as(
        &self,
        name: &Name,
        text: &str,
        on: &str,
        record: fn(String) -> Record,
    ) -> Result<Sheet, Refused> {
        let _lock = self.locked()?;
        let (now, mut journal) = self.now(name)?;
        if revision(&now) != on {
            return Err(self.newer(name, now, &journal));
        }
        if now != text {
            self.write(name, text)?;
            self.note(name, &mut journal, record(text.to_owned()))?;
        }
        self.sheet_of(name, text.to_owned(), &journal)
    }

    /// Goes a step back or forth; where there is none, everything stays.
    ///
    /// # Errors
    /// As [`Shelf::keep`].
    pub fn step(&self, name: &Name, way: Way, on: &str) -> Result<Sheet, Refused> {
        let _lock = self.locked()?;
        let (now, mut journal) = self.now(name)?;
        if revision(&now) != on {
            return Err(self.newer(name, now, &journal));
        }
        let (text, record) = match way {
            Way::Back => (journal.before(), Record::Undone),
            Way::Forth => (journal.after(), Record::Redone),
        };
        let Some(text) = text.map(str::to_owned) else {
            return self.sheet_of(name, now, &journal);
        };
        self.write(name, &text)?;
        self.note(name, &mut journal, record)?;
        self.sheet_of(name, text, &journal)
    }

    fn newer(&self, name: &Name, now: String, journal: &Journal) -> Refused {
        match self.sheet_of(name, now, journal) {
            Ok(sheet) => Refused::Newer(Box::new(sheet)),
            Err(refused) => refused,
        }
    }

    fn note(&self, name: &Name, journal: &mut Journal, record: Record) -> Result<(), Refused> {
        journal
            .add(&self.journal_path(name), record)
            .map_err(|error| {
                Refused::disk(
                    &format!("\"{name}\" is kept, but not in its history"),
                    &error,
                )
            })
    }

    /// A copy of a plan under another name, with a history of its own and no ticks.
    ///
    /// # Errors
    /// Where that name is taken, or the disk fails.
    pub fn copy(&self, name: &Name, to: &Name) -> Result<Stored, Refused> {
        let text = self.stored(name)?.text;
        self.create(to, &text)
    }

    /// Another name for a plan; its history and ticks go along.
    ///
    /// # Errors
    /// Where that name is taken, or the disk fails.
    pub fn rename(&self, name: &Name, to: &Name) -> Result<Stored, Refused> {
        let _lock = self.locked()?;
        let stored = self.stored(name)?;
        if name == to {
            return Ok(stored);
        }
        self.check_free(to)?;
        self.forget(to)?;
        let trouble =
            |error| Refused::disk(&format!("\"{name}\" was not renamed to \"{to}\""), &error);
        fs::rename(self.plan_path(name), self.plan_path(to)).map_err(trouble)?;
        for (from, to) in [
            (self.journal_path(name), self.journal_path(to)),
            (self.ticks_path(name), self.ticks_path(to)),
        ] {
            moved(&from, &to).map_err(trouble)?;
        }
        keep::lasting(&self.plan_path(to));
        self.stored(to)
    }
}

fn missing(name: &Name) -> Refused {
    Refused::missing(format!(
        "There is no plan called \"{name}\" on the shelf. It may have been renamed or removed; look at the shelf and in the bin."
    ))
}

/// Renames a file, if there is one.
fn moved(from: &Path, to: &Path) -> io::Result<()> {
    match fs::rename(from, to) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

/// The text of a plain file: neither a link nor a device is followed.
fn plain(path: &Path) -> io::Result<String> {
    if !fs::symlink_metadata(path)?.is_file() {
        return Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            "it is a link or a folder, and only plain files are read",
        ));
    }
    plan_file::limited(File::open(path)?)
}

#[cfg(test)]
mod tests;
