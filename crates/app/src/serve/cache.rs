//! What was worked out lately, so that the same question is not worked out twice.
//!
//! Plans are known by their text and that of the rack they name: the page sends the text with
//! every question, and nothing of a plan has to be remembered for an answer to be right.
//! Surfaces are known by the wood itself: the wood before a set-up is that after the one
//! before, and a change to a finial leaves the ball's surface as it was. Two requests for the
//! same thing at the same time work it out once. All is bounded; the longest unused goes first.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

use axum::body::Bytes;
use rondure_mesh::{Format, Labels};
use rondure_plan::evaluate::{evaluate_quick, evaluate_with};
use rondure_plan::form::coved_ball::{Expanded, expand};
use rondure_plan::plan::Plan;
use rondure_plan::process::State;
use rondure_plan::reader::Problems;
use rondure_plan::{Memory, Outcome};
use rondure_sheet::piece_picture_svg;
use rondure_solid::Solid;

use super::answer::Refused;
use super::shelf::Shelf;

/// Most plans that are remembered.
const MOST_PLANS: usize = 24;
/// Most surfaces that are remembered.
const MOST_FILES: usize = 96;
/// Most bytes of them.
const MOST_BYTES: usize = 128 << 20;
/// What messages call a plan that was sent.
const THE_PLAN: &str = "the plan";

/// A plan with what is known of it, each part worked out when it is first asked for.
#[derive(Debug)]
pub struct Known {
    /// The plan.
    pub plan: Plan,
    memory: Memory,
    expanded: OnceLock<Result<Expanded, Problems>>,
    quick: OnceLock<Result<Outcome, Problems>>,
    outcome: OnceLock<Result<Outcome, Problems>>,
    picture: OnceLock<Option<String>>,
}

impl Known {
    /// Its pieces, set-ups and steps.
    ///
    /// # Errors
    /// Where its numbers cannot be laid out.
    pub fn expanded(&self) -> Result<&Expanded, Problems> {
        if let Some(Ok(outcome)) = self.quick.get() {
            return Ok(&outcome.expanded);
        }
        self.expanded
            .get_or_init(|| expand(&self.plan))
            .as_ref()
            .map_err(Clone::clone)
    }

    /// Its report and figures, but for mends that must be tried on the solid.
    ///
    /// # Errors
    /// As [`rondure_plan::evaluate()`].
    pub fn quick(&self) -> Result<&Outcome, Problems> {
        if let Some(Ok(outcome)) = self.outcome.get() {
            return Ok(outcome);
        }
        self.quick
            .get_or_init(|| evaluate_quick(&self.plan, &self.memory))
            .as_ref()
            .map_err(Clone::clone)
    }

    /// Its report and figures. What [`Known::quick`] found out is not worked out again.
    ///
    /// # Errors
    /// As [`Known::quick`].
    pub fn outcome(&self) -> Result<&Outcome, Problems> {
        let quick = self.quick()?;
        if !quick.mends_untried {
            return Ok(quick);
        }
        self.outcome
            .get_or_init(|| evaluate_with(&self.plan, &self.memory))
            .as_ref()
            .map_err(Clone::clone)
    }

    /// What is known of solids, shared by all plans.
    pub fn memory(&self) -> &Memory {
        &self.memory
    }

    /// Its small picture; none where it has no pieces.
    ///
    /// # Errors
    /// As [`Known::outcome`].
    pub fn picture(&self) -> Result<Option<&str>, Problems> {
        let outcome = self.quick()?;
        Ok(self
            .picture
            .get_or_init(|| piece_picture_svg(&self.plan, outcome))
            .as_deref())
    }
}

/// What a surface is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    /// The wood.
    pub solid: Solid,
    /// The names that go with it.
    pub labels: Labels,
    /// The chord error, mm.
    pub chord: f64,
    /// Whether the wall's thickness goes along.
    pub thickness: bool,
    /// The file's format.
    pub format: Format,
}

impl Recipe {
    /// The recipe for the surface of a piece's wood, to look at.
    pub fn new(title: &str, state: State, chord: f64) -> Self {
        Self {
            labels: crate::labels::labels(title, &state),
            solid: state.solid,
            chord,
            thickness: false,
            format: Format::Gltf,
        }
    }
}

#[derive(Debug)]
struct Made {
    recipe: Recipe,
    bytes: OnceLock<Result<Bytes, String>>,
}

/// Plans and files, the last used at the end.
#[derive(Debug, Default)]
pub struct Cache {
    /// What is known of solids; it bounds itself.
    memory: Memory,
    plans: Mutex<VecDeque<Arc<Known>>>,
    files: Mutex<VecDeque<Arc<Made>>>,
}

fn open<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    // A list is whole between any two of the operations below.
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Takes the first entry that fits to the end, and gives it.
fn renewed<T>(list: &mut VecDeque<Arc<T>>, fits: impl Fn(&T) -> bool) -> Option<Arc<T>> {
    let place = list.iter().rposition(|entry| fits(entry))?;
    let entry = list.remove(place)?;
    list.push_back(Arc::clone(&entry));
    Some(entry)
}

impl Cache {
    /// The plan of a text. A rack file that it names is looked for on the shelf.
    ///
    /// # Errors
    /// Everything that is wrong with the text.
    pub fn plan(&self, text: &str, shelf: &Shelf) -> Result<Arc<Known>, Problems> {
        // Reading is quick, and tells what the rack file says now.
        let plan = Plan::read(text, THE_PLAN, &|name| shelf.rack(name))?;
        let mut plans = open(&self.plans);
        let known = renewed(&mut plans, |known| {
            known.plan.source.text == plan.source.text
                && known.plan.source.rack_text == plan.source.rack_text
        });
        Ok(known.unwrap_or_else(|| {
            let known = Arc::new(Known {
                plan,
                memory: self.memory.clone(),
                expanded: OnceLock::new(),
                quick: OnceLock::new(),
                outcome: OnceLock::new(),
                picture: OnceLock::new(),
            });
            plans.push_back(Arc::clone(&known));
            if plans.len() > MOST_PLANS {
                plans.pop_front();
            }
            known
        }))
    }

    /// The file of a recipe, made by `make` where it is not known.
    ///
    /// # Errors
    /// What `make` says.
    pub fn file(
        &self,
        recipe: Recipe,
        make: impl FnOnce(&Recipe) -> Result<Vec<u8>, String>,
    ) -> Result<Bytes, Refused> {
        let made = {
            let mut files = open(&self.files);
            renewed(&mut files, |made| made.recipe == recipe).unwrap_or_else(|| {
                let made = Arc::new(Made {
                    recipe,
                    bytes: OnceLock::new(),
                });
                files.push_back(Arc::clone(&made));
                made
            })
        };
        let bytes = made
            .bytes
            .get_or_init(|| make(&made.recipe).map(Bytes::from))
            .clone();
        self.shorten();
        bytes.map_err(Refused::cannot)
    }

    fn shorten(&self) {
        let mut files = open(&self.files);
        let size = |made: &Made| match made.bytes.get() {
            Some(Ok(bytes)) => bytes.len(),
            _ => 0,
        };
        let mut bytes: usize = files.iter().map(|made| size(made)).sum();
        while files.len() > MOST_FILES || (bytes > MOST_BYTES && files.len() > 1) {
            if let Some(gone) = files.pop_front() {
                bytes -= size(&gone);
            }
        }
    }
}
