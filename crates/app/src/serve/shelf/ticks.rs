//! What the turner has ticked off at the bench, kept beside the plan and out of its undo.

use std::fs;
use std::io;
use std::path::PathBuf;

use super::{HISTORY, Name, Shelf};
use crate::keep;
use crate::serve::answer::Refused;
use crate::serve::wire::Sheet;

/// Most ticks of one plan; a plan has some hundred measures.
const MOST: usize = 5000;
/// Longest identifier, bytes.
const LONGEST: usize = 200;

impl Shelf {
    pub(super) fn ticks_path(&self, name: &Name) -> PathBuf {
        self.folder.join(HISTORY).join(format!("{name}.ticks.json"))
    }

    /// The identifiers that are ticked, in the order of their letters.
    pub(super) fn ticks(&self, name: &Name) -> Result<Vec<String>, Refused> {
        match fs::read(self.ticks_path(name)) {
            // A damaged list is worth no refusal: the plan itself is well.
            Ok(bytes) => Ok(serde_json::from_slice(&bytes).unwrap_or_default()),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
            Err(error) => Err(Refused::disk(
                &format!("The ticks of \"{name}\" cannot be read"),
                &error,
            )),
        }
    }

    /// Sets a tick, or takes it off.
    ///
    /// # Errors
    /// Where the identifier can be none, the plan is not there, or the disk fails.
    pub fn tick(&self, name: &Name, id: &str, on: bool) -> Result<Sheet, Refused> {
        if id.is_empty() || id.len() > LONGEST || id.contains(char::is_control) {
            return Err(Refused::bad(format!(
                "What is ticked has to be the identifier of a measure or a step, one line of up to {LONGEST} bytes."
            )));
        }
        let _lock = self.locked()?;
        let (text, journal) = self.now(name)?;
        let mut ticks = self.ticks(name)?;
        match (ticks.binary_search_by(|tick| tick.as_str().cmp(id)), on) {
            (Err(place), true) if ticks.len() < MOST => ticks.insert(place, id.to_owned()),
            (Err(_), true) => {
                return Err(Refused::cannot(format!(
                    "There are {MOST} ticks on \"{name}\" already. Take some off."
                )));
            }
            (Ok(place), false) => drop(ticks.remove(place)),
            _ => return self.sheet_of(name, text, &journal),
        }
        let written = serde_json::to_vec(&ticks)
            .map_err(io::Error::from)
            .and_then(|bytes| {
                keep::over(&self.ticks_path(name), |to| {
                    io::Write::write_all(to, &bytes)
                })
            });
        written.map_err(|error| Refused::disk("The tick was not kept", &error))?;
        self.sheet_of(name, text, &journal)
    }
}
