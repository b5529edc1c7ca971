//! The shelf's cards: what each plan is and how it fares, remembered on the disk.
//!
//! Working a plan out takes a moment, and a shelf may hold many. What a card says follows from
//! the plan's text, the rack file it names and this program's version; it is kept in
//! `.history/cards.json` under a fingerprint of the three and made again where that is lost.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

use rondure_plan::bench::written;
use serde::{Deserialize, Serialize};

use super::cache::Cache;
use super::shelf::{Shelf, Stored, revision};
use super::wire::{Card, Verdict};
use crate::keep;

/// Most cards that are remembered.
const MOST: usize = 4000;

/// What a card says besides its name and time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Face {
    /// The plan's title.
    pub title: String,
    /// What it is.
    pub says: String,
    /// How it fares.
    pub verdict: Verdict,
}

/// Faces by fingerprint.
#[derive(Debug)]
pub struct Cards {
    path: PathBuf,
    faces: Mutex<BTreeMap<String, Face>>,
}

impl Cards {
    /// The cards of a shelf.
    pub fn of(shelf: &Shelf) -> Self {
        let path = shelf.cards_path();
        let faces = fs::read(&path)
            .ok()
            .and_then(|bytes| serde_json::from_slice(&bytes).ok())
            .unwrap_or_default();
        Self {
            path,
            faces: Mutex::new(faces),
        }
    }

    /// The card of a plan, worked out where it is not known.
    pub fn card(&self, stored: &Stored, cache: &Cache, shelf: &Shelf) -> Card {
        let known = cache.plan(&stored.text, shelf);
        let rack = known
            .as_ref()
            .ok()
            .and_then(|known| known.plan.source.rack_text.as_deref())
            .unwrap_or_default();
        let key = revision(&[env!("CARGO_PKG_VERSION"), &stored.text, rack].join("\n\0\n"));
        let remembered = self.open().get(&key).cloned();
        let face = remembered.unwrap_or_else(|| {
            let face = match &known {
                Ok(known) => known
                    .outcome()
                    .map(|outcome| Face {
                        title: known.plan.title.clone(),
                        says: says(known),
                        verdict: Verdict::of(&outcome.report),
                    })
                    .unwrap_or_else(|problems| Face {
                        title: known.plan.title.clone(),
                        says: first(&problems),
                        verdict: Verdict::Unreadable,
                    }),
                Err(problems) => Face {
                    title: stored.name.to_string(),
                    says: first(problems),
                    verdict: Verdict::Unreadable,
                },
            };
            self.remember(key, face.clone());
            face
        });
        Card {
            name: stored.name.to_string(),
            title: face.title,
            says: face.says,
            verdict: face.verdict,
            changed_at: stored.changed_at,
            revision: revision(&stored.text),
        }
    }

    fn open(&self) -> std::sync::MutexGuard<'_, BTreeMap<String, Face>> {
        self.faces.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn remember(&self, key: String, face: Face) {
        let mut faces = self.open();
        if faces.len() >= MOST {
            faces.clear();
        }
        faces.insert(key, face);
        if let Ok(bytes) = serde_json::to_vec(&*faces) {
            // Where that fails the card is worked out again next time.
            let _ = keep::over(&self.path, |to| to.write_all(&bytes));
        }
    }
}

fn says(known: &super::cache::Known) -> String {
    let plan = &known.plan;
    format!(
        "{}, {}",
        written(plan, plan.ball.diameter),
        plan.wood.species
    )
}

fn first(problems: &rondure_plan::reader::Problems) -> String {
    problems.list.first().map_or_else(
        || "it cannot be read".to_owned(),
        |problem| problem.to_string(),
    )
}
