//! Work that takes its time: begun, followed by its events, and cancelled when no longer wanted.
//!
//! One job works at a time, on threads of its own, so that a changed number is not kept
//! waiting. Its events are kept until it is forgotten, so a page that comes late or lost its
//! connection is told all of them.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use axum::http::StatusCode;
use rayon::ThreadPool;
use serde::Serialize;
use tokio::sync::{Semaphore, watch};

use super::answer::Refused;
use super::pool::Pool;
use super::wire::{Done, Progress, Refusal};

/// Most jobs that may wait or work at once.
const MOST_UNDER_WAY: usize = 8;
/// How long a part of a job lets others go first.
const MOST_PATIENCE: Duration = Duration::from_secs(1);
/// How long a job that has ended is remembered.
const REMEMBERED: Duration = Duration::from_secs(300);

/// One event, ready to be sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// Its number in its job, from 1.
    pub number: u64,
    /// `progress`, `part`, `done` or `failed`.
    pub name: &'static str,
    /// Its content in JSON.
    pub data: String,
}

impl Event {
    /// Whether it is the last one of a job.
    pub fn ends(&self) -> bool {
        matches!(self.name, "done" | "failed")
    }
}

/// A job, as its work and its listeners share it.
#[derive(Debug)]
pub struct Job {
    events: Mutex<Vec<Event>>,
    /// The number of the last event.
    last: watch::Sender<u64>,
    cancelled: AtomicBool,
    ended: Mutex<Option<Instant>>,
    /// Where those are answered who are not to be kept waiting.
    pool: Pool,
}

fn open<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Job {
    fn new(pool: Pool) -> Self {
        Self {
            pool,
            events: Mutex::default(),
            last: watch::Sender::new(0),
            cancelled: AtomicBool::new(false),
            ended: Mutex::default(),
        }
    }

    /// Whether nobody wants its result any more. Work asks this between its parts.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// Lets those go first who wait for an answer. Work calls this between its parts.
    pub fn give_way(&self) {
        let begun = Instant::now();
        while !self.pool.is_idle() && !self.is_cancelled() && begun.elapsed() < MOST_PATIENCE {
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Tells how far it has come.
    pub fn progress(&self, done: usize, of: usize) {
        self.tell("progress", &Progress { done, of });
    }

    /// Tells what is known so far.
    pub fn part(&self, part: &impl Serialize) {
        self.tell("part", part);
    }

    fn tell(&self, name: &'static str, content: &impl Serialize) {
        let Ok(data) = serde_json::to_string(content) else {
            return;
        };
        let mut events = open(&self.events);
        if events.last().is_some_and(Event::ends) {
            return;
        }
        // Only the newest progress is worth telling to one who comes late.
        if name == "progress" && events.last().is_some_and(|last| last.name == name) {
            events.pop();
        }
        let number = *self.last.borrow() + 1;
        events.push(Event { number, name, data });
        if events.last().is_some_and(Event::ends) {
            *open(&self.ended) = Some(Instant::now());
        }
        self.last.send_replace(number);
    }

    fn end<T: Serialize>(&self, result: Result<T, Refused>) {
        match result {
            Ok(result) => self.tell("done", &Done { result }),
            Err(refused) => self.tell("failed", &refusal(refused)),
        }
    }

    /// The events after a number that still stand; and a way to be woken by the next.
    pub fn after(&self, number: u64) -> (Vec<Event>, watch::Receiver<u64>) {
        // Subscribed before looking, so that nothing told in between is missed.
        let woken = self.last.subscribe();
        let events = open(&self.events);
        let later = events.iter().filter(|event| event.number > number);
        (later.cloned().collect(), woken)
    }

    fn ended(&self) -> Option<Instant> {
        *open(&self.ended)
    }
}

fn refusal(refused: Refused) -> Refusal {
    match refused {
        Refused::Says(_, says) => Refusal {
            says,
            problems: Vec::new(),
        },
        Refused::Problems(problems) => Refusal {
            says: problems.to_string().trim_end().to_owned(),
            problems: super::wire::Problem::all_of(&problems),
        },
        Refused::Newer(_) => Refusal {
            says: "The plan has changed since.".to_owned(),
            problems: Vec::new(),
        },
    }
}

/// All jobs of a server.
#[derive(Debug)]
pub struct Jobs {
    all: Mutex<BTreeMap<u64, Arc<Job>>>,
    next: AtomicU64,
    turn: Arc<Semaphore>,
    threads: Arc<ThreadPool>,
    pool: Pool,
}

impl Jobs {
    /// No jobs yet, and the threads for them: half of the cores. They give way to `pool`.
    ///
    /// # Errors
    /// Where the system gives no threads.
    pub fn new(pool: Pool) -> std::io::Result<Self> {
        let cores = std::thread::available_parallelism().map_or(2, usize::from);
        let threads = rayon::ThreadPoolBuilder::new()
            .num_threads((cores / 2).max(1))
            .thread_name(|number| format!("job {number}"))
            .build()
            .map_err(std::io::Error::other)?;
        Ok(Self {
            all: Mutex::default(),
            next: AtomicU64::new(1),
            turn: Arc::new(Semaphore::new(1)),
            threads: Arc::new(threads),
            pool,
        })
    }

    /// Begins a job; gives its identifier.
    ///
    /// # Errors
    /// Where too many are under way.
    pub fn begin<T: Serialize + Send + 'static>(
        &self,
        work: impl FnOnce(&Job) -> Result<T, Refused> + Send + 'static,
    ) -> Result<String, Refused> {
        let job = Arc::new(Job::new(self.pool.clone()));
        let id = self.next.fetch_add(1, Ordering::Relaxed);
        {
            let mut all = open(&self.all);
            all.retain(|_, job| job.ended().is_none_or(|ended| ended.elapsed() < REMEMBERED));
            if all.values().filter(|job| job.ended().is_none()).count() >= MOST_UNDER_WAY {
                return Err(Refused::Says(
                    StatusCode::TOO_MANY_REQUESTS,
                    format!(
                        "{MOST_UNDER_WAY} jobs are under way. Wait for one to end, or cancel it."
                    ),
                ));
            }
            all.insert(id, Arc::clone(&job));
        }
        let (turn, threads) = (Arc::clone(&self.turn), Arc::clone(&self.threads));
        tokio::spawn(async move {
            let Ok(turn) = turn.acquire_owned().await else {
                return;
            };
            let working = Arc::clone(&job);
            let done = super::pool::aside(move || {
                let _turn = turn;
                if working.is_cancelled() {
                    return Err(cancelled());
                }
                threads.install(|| work(&working))
            })
            .await;
            job.end(done);
        });
        Ok(id.to_string())
    }

    /// A job that is not forgotten yet.
    ///
    /// # Errors
    /// Where there is none of that identifier.
    pub fn find(&self, id: &str) -> Result<Arc<Job>, Refused> {
        id.parse::<u64>()
            .ok()
            .and_then(|id| open(&self.all).get(&id).cloned())
            .ok_or_else(|| {
                Refused::missing("There is no such job. It ended a while ago; begin it again.")
            })
    }

    /// Tells a job that nobody wants its result, and forgets it.
    ///
    /// # Errors
    /// As [`Jobs::find`].
    pub fn cancel(&self, id: &str) -> Result<(), Refused> {
        let job = self.find(id)?;
        job.cancelled.store(true, Ordering::Relaxed);
        job.end::<()>(Err(cancelled()));
        if let Ok(id) = id.parse::<u64>() {
            open(&self.all).remove(&id);
        }
        Ok(())
    }

    /// Tells all jobs that the server ends.
    pub fn cancel_all(&self) {
        for job in std::mem::take(&mut *open(&self.all)).into_values() {
            job.cancelled.store(true, Ordering::Relaxed);
            job.end::<()>(Err(cancelled()));
        }
    }
}

/// What is said of a job that was cancelled.
pub fn cancelled() -> Refused {
    Refused::cannot("This was cancelled.")
}
