//! Jobs begun, followed and cancelled.

use std::collections::VecDeque;
use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Sse;
use axum::response::sse;
use futures_util::Stream;
use futures_util::stream::unfold;

use super::{Sent, Shared};
use crate::serve::answer::Refused;
use crate::serve::jobs::{Event, Job};
use crate::serve::limits::limits;
use crate::serve::pool::aside;
use crate::serve::wire::{Begun, JobOf};

/// How often a stream with nothing to tell says that it is there.
const STILL_HERE: Duration = Duration::from_secs(10);

pub(super) async fn begin(
    State(server): Shared,
    Sent(job): Sent<JobOf>,
) -> Result<(StatusCode, Json<Begun>), Refused> {
    let JobOf::Limits { text, key } = job;
    // A text that is no plan is refused here, not by an event.
    let of = Arc::clone(&server);
    let known = aside(move || Ok(of.cache.plan(&text, &of.shelf)?)).await?;
    let id = server
        .jobs
        .begin(move |job| limits(&known.plan, known.memory(), &key, job))?;
    Ok((StatusCode::CREATED, Json(Begun { id })))
}

pub(super) async fn cancel(
    State(server): Shared,
    Path(id): Path<String>,
) -> Result<StatusCode, Refused> {
    server.jobs.cancel(&id)?;
    Ok(StatusCode::NO_CONTENT)
}

pub(super) async fn events(
    State(server): Shared,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Result<Sse<impl Stream<Item = Result<sse::Event, Infallible>>>, Refused> {
    let job = server.jobs.find(&id)?;
    // A page whose connection broke says how far it had come.
    let last = headers
        .get("last-event-id")
        .and_then(|value| value.to_str().ok()?.parse().ok())
        .unwrap_or(0);
    let listening = Listening {
        job,
        last,
        ready: VecDeque::new(),
        ended: false,
    };
    let stream = unfold(listening, |mut listening| async {
        let event = listening.next().await?;
        let sent = sse::Event::default()
            .id(event.number.to_string())
            .event(event.name)
            .data(event.data);
        Some((Ok(sent), listening))
    });
    Ok(Sse::new(stream).keep_alive(sse::KeepAlive::new().interval(STILL_HERE)))
}

/// A place in a job's events.
struct Listening {
    job: Arc<Job>,
    last: u64,
    ready: VecDeque<Event>,
    ended: bool,
}

impl Listening {
    /// The next event, waited for; none after the last.
    async fn next(&mut self) -> Option<Event> {
        while !self.ended {
            if let Some(event) = self.ready.pop_front() {
                self.last = event.number;
                self.ended = event.ends();
                return Some(event);
            }
            let (events, mut woken) = self.job.after(self.last);
            self.ready = events.into();
            if self.ready.is_empty() {
                woken.changed().await.ok()?;
            }
        }
        None
    }
}
