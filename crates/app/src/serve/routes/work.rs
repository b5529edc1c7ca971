//! A plan's text worked out, and a value set in it.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use rondure_plan::field::fields;
use rondure_plan::plan::{ChangeError, Plan};
use rondure_plan::reader::Problems;
use rondure_plan::units::LengthUnit;

use super::{Sent, Shared};
use crate::serve::answer::Refused;
use crate::serve::pool::aside;
use crate::serve::shelf::revision;
use crate::serve::wire::{Change, Changed, Work, Worked};

pub(super) async fn work(
    State(server): Shared,
    Sent(asked): Sent<Work>,
) -> Result<Json<Worked>, Refused> {
    let of = Arc::clone(&server);
    let answer = server.pool.run(move || {
        let called = |mut problems: Problems| {
            if let Some(name) = &asked.name {
                problems.file.clone_from(name);
            }
            problems
        };
        let known = of.cache.plan(&asked.text, &of.shelf).map_err(called)?;
        let report = known.outcome().map_err(called)?.report.clone();
        Ok(Worked {
            report,
            fields: fields(&known.plan),
            revision_of_text: revision(&asked.text),
        })
    });
    answer.await.map(Json)
}

pub(super) async fn change(
    State(server): Shared,
    Sent(change): Sent<Change>,
) -> Result<Json<Changed>, Refused> {
    aside(move || {
        let known = server.cache.plan(&change.text, &server.shelf)?;
        let plan = &known.plan;
        let text = changed(plan, &change).map_err(|error| Refused::cannot(format!("{error}.")))?;
        // A value that makes no plan is refused with what is wrong about it.
        Plan::read(&text, &plan.source.file, &|name| server.shelf.rack(name))?;
        Ok(Changed { text })
    })
    .await
    .map(Json)
}

/// The plan's text with the value set. A change of units changes no length.
fn changed(plan: &Plan, change: &Change) -> Result<String, ChangeError> {
    if change.key == "units" {
        let unit = LengthUnit::WORDS
            .iter()
            .find(|(word, _)| *word == change.written.trim());
        if let Some((_, unit)) = unit {
            return plan.in_units(*unit);
        }
    }
    plan.set(&change.key, &change.written)
}
