//! Work that keeps a core busy, away from the threads that answer.
//!
//! At most as many pieces of work run at once as there are cores, first come first served, so
//! one tab that asks for much does not keep another waiting for ever. A request that is given
//! up while it waits for its turn (the page asks for something newer) is never begun.

use std::sync::Arc;

use tokio::sync::Semaphore;

use super::answer::Refused;

/// Turns at work.
#[derive(Debug, Clone)]
pub struct Pool {
    turns: Arc<Semaphore>,
    most: usize,
}

impl Pool {
    /// A pool that runs as much at once as there are cores, two at least.
    pub fn new() -> Self {
        let cores = std::thread::available_parallelism().map_or(2, usize::from);
        let most = cores.max(2);
        Self {
            turns: Arc::new(Semaphore::new(most)),
            most,
        }
    }

    /// Whether nothing is being done.
    pub fn is_idle(&self) -> bool {
        self.turns.available_permits() == self.most
    }

    /// Does a piece of work when its turn comes.
    ///
    /// # Errors
    /// What the work returns; and a fault of ours where it broke down.
    pub async fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> Result<T, Refused> + Send + 'static,
    ) -> Result<T, Refused> {
        let turn = Arc::clone(&self.turns).acquire_owned().await;
        let turn = turn.map_err(|_| Refused::fault("The server is ending."))?;
        aside(move || {
            let done = work();
            drop(turn);
            done
        })
        .await
    }
}

/// Does something short that may wait for the disk, without a turn.
///
/// # Errors
/// As [`Pool::run`].
pub async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refused> + Send + 'static,
) -> Result<T, Refused> {
    match tokio::task::spawn_blocking(work).await {
        Ok(done) => done,
        Err(_) => Err(Refused::fault(
            "This could not be worked out: a fault of this program, not of your plan. Everything on the shelf is as it was. Undo the last change and go on; please report it with the plan.",
        )),
    }
}
