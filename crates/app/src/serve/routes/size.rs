//! The same piece at another size.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use rondure_plan::Memory;
use rondure_plan::rescale::{Keeps, Wish, rescale as search};
use rondure_plan::units::read_length;

use super::{Sent, Shared};
use crate::serve::answer::Refused;
use crate::serve::wire::{Rescale, Resized};

pub(super) async fn rescale(
    State(server): Shared,
    Sent(asked): Sent<Rescale>,
) -> Result<Json<Resized>, Refused> {
    let of = Arc::clone(&server);
    let answer = server.pool.run(move || {
        let known = of.cache.plan(&asked.text, &of.shelf)?;
        let diameter_mm = read_length(&asked.diameter, known.plan.unit).map_err(|error| {
            let mend = error.mend.map_or(String::new(), |mend| format!(" {mend}"));
            Refused::cannot(format!(
                "Diameter: found {}; allowed is {}.{mend}",
                error.found, error.allowed
            ))
        })?;
        let wish = Wish {
            diameter_mm,
            keeps: Keeps::new(asked.keep),
            ..Wish::default()
        };
        Ok(match search(&known.plan, &wish, &Memory::default()) {
            Ok(plan) => Resized {
                plan: Some(plan),
                none: None,
            },
            Err(none) => Resized {
                plan: None,
                none: Some(none),
            },
        })
    });
    answer.await.map(Json)
}
