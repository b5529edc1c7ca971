//! The bin: what was removed from the shelf, with its history, until someone empties it by hand.
//!
//! Each removed plan lies in a folder of its own, named by when it was removed. The plan's
//! file is moved first and its history after, so a kill in between leaves a plan either on the
//! shelf or in the bin.

use std::fs;
use std::io;
use std::path::PathBuf;
use std::time::{SystemTime, UNIX_EPOCH};

use super::{BIN, ENDING, Name, Shelf, Stored, missing, moved, plain};
use crate::keep;
use crate::serve::answer::Refused;

const JOURNAL: &str = "history.jsonl";
const TICKS: &str = "ticks.json";

/// A removed plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Removed {
    /// What restores it.
    pub id: String,
    /// The name it had.
    pub name: Name,
    /// Its text.
    pub text: String,
    /// When it was removed, milliseconds since 1970 began.
    pub removed_at: u64,
}

impl Shelf {
    /// Removes a plan to the bin.
    ///
    /// # Errors
    /// Where there is none of that name, or the disk fails.
    pub fn remove(&self, name: &Name) -> Result<(), Refused> {
        let _lock = self.locked()?;
        self.stored(name)?;
        let trouble = |error| Refused::disk(&format!("\"{name}\" was not removed"), &error);
        let place = self.new_place().map_err(trouble)?;
        let path = place.join(format!("{name}{ENDING}"));
        match fs::rename(self.plan_path(name), &path) {
            Ok(()) => {}
            Err(error) => {
                let _ = fs::remove_dir(&place);
                return Err(match error.kind() {
                    io::ErrorKind::NotFound => missing(name),
                    _ => trouble(error),
                });
            }
        }
        moved(&self.journal_path(name), &place.join(JOURNAL)).map_err(trouble)?;
        moved(&self.ticks_path(name), &place.join(TICKS)).map_err(trouble)?;
        keep::lasting(&path);
        keep::lasting(&self.plan_path(name));
        Ok(())
    }

    /// A folder in the bin, named by the time: a later one where that is there already.
    fn new_place(&self) -> io::Result<PathBuf> {
        let now = SystemTime::now()
            .duration_since(UNIX_EPOCH)
            .map_or(0, |since| since.as_millis());
        let mut time = u64::try_from(now).unwrap_or(0);
        loop {
            let place = self.folder.join(BIN).join(time.to_string());
            match fs::create_dir(&place) {
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => time += 1,
                Err(error) => return Err(error),
                Ok(()) => return Ok(place),
            }
        }
    }

    /// What is in the bin, the last removed first.
    ///
    /// # Errors
    /// Where the bin cannot be read. What is in it and is no removed plan is left out.
    pub fn bin(&self) -> Result<Vec<Removed>, Refused> {
        let trouble = |error: io::Error| Refused::disk("The bin cannot be read", &error);
        let mut all = Vec::new();
        for entry in fs::read_dir(self.folder.join(BIN)).map_err(trouble)? {
            let entry = entry.map_err(trouble)?;
            if let Some(id) = entry.file_name().to_str()
                && let Some(removed) = self.removed(id)
            {
                all.push(removed);
            }
        }
        all.sort_by_key(|removed| std::cmp::Reverse(removed.removed_at));
        Ok(all)
    }

    fn removed(&self, id: &str) -> Option<Removed> {
        let removed_at = id.parse::<u64>().ok()?;
        // One writing of a number, so that an identifier leads to no other folder.
        if removed_at.to_string() != id {
            return None;
        }
        let place = self.folder.join(BIN).join(id);
        if !fs::symlink_metadata(&place).ok()?.is_dir() {
            return None;
        }
        fs::read_dir(&place).ok()?.flatten().find_map(|entry| {
            let file = entry.file_name();
            let name = Name::new(file.to_str()?.strip_suffix(ENDING)?).ok()?;
            Some(Removed {
                id: id.to_owned(),
                name,
                text: plain(&entry.path()).ok()?,
                removed_at,
            })
        })
    }

    /// Puts a removed plan back; where its name is taken by now, under the next that is free.
    ///
    /// # Errors
    /// Where it is not in the bin, or the disk fails.
    pub fn restore(&self, id: &str) -> Result<Stored, Refused> {
        let _lock = self.locked()?;
        let removed = self.removed(id).ok_or_else(|| {
            Refused::missing("That is not in the bin. It may have been restored already.")
        })?;
        let name = self.free(&removed.name)?;
        let trouble =
            |error| Refused::disk(&format!("\"{}\" was not restored", removed.name), &error);
        let place = self.folder.join(BIN).join(id);
        // Where the history never reached the bin, it still lies where it was.
        if place.join(JOURNAL).exists() {
            self.forget(&name)?;
        }
        fs::rename(
            place.join(format!("{}{ENDING}", removed.name)),
            self.plan_path(&name),
        )
        .map_err(trouble)?;
        moved(&place.join(JOURNAL), &self.journal_path(&name)).map_err(trouble)?;
        moved(&place.join(TICKS), &self.ticks_path(&name)).map_err(trouble)?;
        // Whatever else lies there is not ours to remove.
        let _ = fs::remove_dir(&place);
        keep::lasting(&self.plan_path(&name));
        self.stored(&name)
    }
}
