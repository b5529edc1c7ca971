//! A plan's text worked out, and a value set in it.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use rondure_plan::field::fields;
use rondure_plan::plan::{ChangeError, Plan};
use rondure_plan::reader::Problems;
use rondure_plan::units::LengthUnit;

use super::{Sent, Shared};
use crate::serve::Server;
use crate::serve::answer::Refused;
use crate::serve::pool::aside;
use crate::serve::shelf::revision;
use crate::serve::wire::{Change, Changed, Named, Problem, Set, Work, Worked};

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
        let text = match &asked.set {
            Some(set) => with(&of, &asked.text, set)?.map_err(called)?,
            None => asked.text,
        };
        let known = of.cache.plan(&text, &of.shelf).map_err(called)?;
        let outcome = match asked.quick {
            true => known.quick(),
            false => known.outcome(),
        };
        let outcome = outcome.map_err(called)?;
        Ok(Worked {
            report: outcome.report.clone(),
            mends_untried: outcome.mends_untried,
            fields: fields(&known.plan),
            drawings: outcome
                .figures
                .drawings
                .iter()
                .map(|figure| Named {
                    id: figure.id.clone(),
                    title: figure.title.clone(),
                })
                .collect(),
            revision_of_text: revision(&text),
        })
    });
    answer.await.map(Json)
}

pub(super) async fn change(
    State(server): Shared,
    Sent(change): Sent<Change>,
) -> Result<Json<Changed>, Refused> {
    aside(move || {
        // A value that makes no plan is an answer too.
        Ok(match with(&server, &change.text, &change.set)? {
            Ok(text) => Changed {
                text: Some(text),
                problems: Vec::new(),
            },
            Err(problems) => Changed {
                text: None,
                problems: Problem::all_of(&problems),
            },
        })
    })
    .await
    .map(Json)
}

/// The plan's text with the value set, or what is wrong with the value.
///
/// # Errors
/// Where the text makes no plan, or a plan has no such value.
pub(super) fn with(
    server: &Server,
    text: &str,
    set: &Set,
) -> Result<Result<String, Problems>, Refused> {
    let known = server.cache.plan(text, &server.shelf)?;
    let plan = &known.plan;
    let text = changed(plan, set).map_err(|error| Refused::cannot(format!("{error}.")))?;
    let read = Plan::read(&text, &plan.source.file, &|name| server.shelf.rack(name));
    Ok(read.map(|_| text))
}

/// The text changed. A change of units changes no length.
fn changed(plan: &Plan, set: &Set) -> Result<String, ChangeError> {
    if set.key == "units" {
        let unit = LengthUnit::WORDS
            .iter()
            .find(|(word, _)| *word == set.written.trim());
        if let Some((_, unit)) = unit {
            return plan.in_units(*unit);
        }
    }
    plan.set(&set.key, &set.written)
}
