//! Looks that were worked out, known by the content of their wood and of all that pushes it.

use std::collections::{HashMap, VecDeque};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rondure_plan::hold::{HeldLook, Look, Push};
use rondure_solid::{Digest, Digester};

use super::NotHeld;
use super::model::Stuff;
use super::sweep::Answered;

/// Most looks that are kept; each takes a few kilobytes.
const MOST: usize = 400;

/// What is known of looks. Clones share one store.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    store: Arc<Mutex<Store>>,
    /// Whether nothing more is worked out.
    closed: bool,
}

#[derive(Debug, Default)]
struct Store {
    swept: HashMap<Digest, Arc<Answered>>,
    fine: HashMap<Digest, Arc<HeldLook>>,
    /// In the order they were made.
    order: VecDeque<Digest>,
}

impl Memory {
    /// The same, but nothing that is not known is worked out any more.
    pub fn closed(&self) -> Self {
        Self {
            store: Arc::clone(&self.store),
            closed: true,
        }
    }

    fn store(&self) -> MutexGuard<'_, Store> {
        // A store is whole between any two statements that hold its lock.
        self.store.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(super) fn swept(
        &self,
        look: &Look,
        stuff: &Stuff,
        make: impl FnOnce() -> Result<Answered, NotHeld>,
    ) -> Result<Arc<Answered>, NotHeld> {
        let digest = digest(look, stuff);
        if let Some(known) = self.store().swept.get(&digest) {
            return Ok(Arc::clone(known));
        }
        if self.closed {
            return Ok(Arc::new(Err("not worked out before the stop".to_owned())));
        }
        let made = Arc::new(make()?);
        let mut store = self.store();
        store.swept.insert(digest, Arc::clone(&made));
        store.order.push_back(digest);
        if store.order.len() > MOST
            && let Some(gone) = store.order.pop_front()
        {
            store.swept.remove(&gone);
            store.fine.remove(&gone);
        }
        Ok(made)
    }

    pub(super) fn fine(
        &self,
        look: &Look,
        stuff: &Stuff,
        first: &HeldLook,
        make: impl FnOnce() -> Result<HeldLook, NotHeld>,
    ) -> Result<Arc<HeldLook>, NotHeld> {
        let digest = digest(look, stuff);
        if let Some(known) = self.store().fine.get(&digest) {
            return Ok(Arc::clone(known));
        }
        if self.closed {
            return Ok(Arc::new(first.clone()));
        }
        let made = Arc::new(make()?);
        self.store().fine.insert(digest, Arc::clone(&made));
        Ok(made)
    }
}

/// All that an answer follows from.
fn digest(look: &Look, stuff: &Stuff) -> Digest {
    let words = |digester: Digester, text: &str| {
        text.bytes()
            .fold(digester.word(text.len() as u64), |digester, byte| {
                digester.word(u64::from(byte))
            })
    };
    let mut digester = Digester::new("look").digest(look.state.digest());
    for text in [&look.id, &look.title, &stuff.wood.name] {
        digester = words(digester, text);
    }
    digester = digester.numbers(&[stuff.moisture]);
    for cut in &look.state.cuts {
        digester = words(digester, &cut.name);
    }
    // What holds shows in what it answers, but also where nothing pushes: it is written out.
    digester = words(digester, &format!("{:?}", look.grip));
    for case in &look.cases {
        digester = words(digester.word(case.load as u64), &case.says);
        digester = words(
            digester.numbers(&[case.magnitude.value]),
            case.magnitude.from,
        );
        for way in &case.ways {
            digester = words(digester, &way.says);
            for push in &way.pushes {
                digester = match push {
                    Push::Force { contact, force } => contact.at.iter().fold(
                        digester.word(1).numbers(&[contact.radius]).vector(*force),
                        |digester, at| digester.vector(*at),
                    ),
                    Push::Twist {
                        contact,
                        about,
                        moment,
                    } => contact.at.iter().fold(
                        digester.word(2).vector(*about).vector(*moment),
                        |digester, at| digester.vector(*at),
                    ),
                    Push::All(force) => digester.word(3).vector(*force),
                };
            }
        }
    }
    digester.done()
}
