//! What is known of solids, kept from one evaluation to the next.
//!
//! Each thing known is kept under the digest of all it follows from: the solid's
//! content to the last bit, and what was asked. A changed number in a plan gives
//! other solids only where it reaches, so all else is found again. What is found
//! is what would have been made anew, so answers do not depend on what a memory
//! holds, nor on what it has let go.
//!
//! A memory is bounded: above its bound the things longest unused go, down to half of it.
//! It may serve several evaluations at once. Nothing is locked while a thing is
//! made: two that ask at the same moment may make it twice, alike to the last bit.

use std::any::Any;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rondure_solid::Digest;

/// Things known of solids. Clones share one store.
#[derive(Debug, Clone)]
pub struct Memory(Arc<Mutex<Store>>);

#[derive(Debug)]
struct Store {
    known: HashMap<Digest, Known>,
    /// Bytes held, about.
    held: usize,
    /// Bytes that may be held.
    most: usize,
    /// Counts askings, to tell what was used last.
    clock: u64,
}

#[derive(Debug)]
struct Known {
    thing: Arc<dyn Any + Send + Sync>,
    bytes: usize,
    used: u64,
}

/// What a memory holds by itself, about: some twenty plans with all their trials.
const USUAL: usize = 64 << 20;

/// What keeping a thing takes beside the thing itself, bytes.
const ENTRY: usize = 128;

impl Default for Memory {
    fn default() -> Self {
        Self::bounded(USUAL)
    }
}

impl Memory {
    /// An empty memory that holds at most about so many bytes.
    pub fn bounded(bytes: usize) -> Self {
        Self(Arc::new(Mutex::new(Store {
            known: HashMap::new(),
            held: 0,
            most: bytes,
            clock: 0,
        })))
    }

    /// Bytes held, about.
    pub fn held(&self) -> usize {
        self.store().held
    }

    /// What is known under a digest, made where it is not known. `weigh` tells about how many bytes
    /// it takes. Everything that `make` depends on must be in the digest, the type included.
    pub(crate) fn know<T: Any + Send + Sync>(
        &self,
        digest: Digest,
        weigh: impl FnOnce(&T) -> usize,
        make: impl FnOnce() -> T,
    ) -> Arc<T> {
        if let Some(known) = self.find(digest) {
            return known;
        }
        let made = Arc::new(make());
        self.keep(digest, Arc::clone(&made), weigh(&made));
        made
    }

    /// What is known under a digest.
    pub(crate) fn find<T: Any + Send + Sync>(&self, digest: Digest) -> Option<Arc<T>> {
        let mut store = self.store();
        store.clock += 1;
        let clock = store.clock;
        let known = store.known.get_mut(&digest)?;
        known.used = clock;
        Arc::clone(&known.thing).downcast().ok()
    }

    /// Keeps a thing of about so many bytes.
    pub(crate) fn keep<T: Any + Send + Sync>(&self, digest: Digest, thing: Arc<T>, bytes: usize) {
        let bytes = bytes + ENTRY;
        let mut store = self.store();
        if bytes > store.most / 2 {
            return;
        }
        store.clock += 1;
        let used = store.clock;
        let before = store.known.insert(digest, Known { thing, bytes, used });
        store.held = store.held + bytes - before.map_or(0, |known| known.bytes);
        if store.held > store.most {
            store.shrink();
        }
    }

    fn store(&self) -> MutexGuard<'_, Store> {
        // A store is whole between any two statements that hold its lock.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Store {
    /// Lets go what was longest unused, down to half of the bound.
    fn shrink(&mut self) {
        let mut oldest: Vec<(u64, Digest)> = self
            .known
            .iter()
            .map(|(digest, known)| (known.used, *digest))
            .collect();
        oldest.sort_unstable();
        for (_, digest) in oldest {
            if self.held <= self.most / 2 {
                break;
            }
            if let Some(gone) = self.known.remove(&digest) {
                self.held -= gone.bytes;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use rondure_solid::Digester;

    use super::*;

    fn name(number: u64) -> Digest {
        Digester::new("test").word(number).done()
    }

    #[test]
    fn a_thing_is_made_once() {
        let memory = Memory::default();
        let first = memory.know(name(1), |_| 8, || 17_u64);
        let second: Arc<u64> = memory.know(name(1), |_| 8, || panic!("known already"));
        assert!(Arc::ptr_eq(&first, &second));
        let clone = memory.clone();
        assert_eq!(clone.find::<u64>(name(1)).as_deref(), Some(&17));
        assert_eq!(clone.find::<u64>(name(2)), None);
    }

    /// Of a thousand things of a kilobyte each, at most a hundred stay; the one used all along does.
    #[test]
    fn the_bound_is_kept_and_the_last_used_stay() {
        let memory = Memory::bounded(100 << 10);
        for number in 0..1000 {
            memory.know(name(number), |_| 1 << 10, || number);
            assert!(memory.held() <= 100 << 10);
            assert_eq!(memory.find::<u64>(name(0)).as_deref(), Some(&0));
        }
        assert_eq!(memory.find::<u64>(name(999)).as_deref(), Some(&999));
        assert_eq!(memory.find::<u64>(name(1)), None);
        // What is larger than half of all is not kept, but known to the one who asked.
        let large = memory.know(name(5000), |_| 60 << 10, || 3_u64);
        assert_eq!(*large, 3);
        assert_eq!(memory.find::<u64>(name(5000)), None);
    }
}
