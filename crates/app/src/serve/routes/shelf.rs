//! The shelf: plans listed, made, opened, changed, renamed, removed and brought back.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use futures_util::future::join_all;
use rondure_plan::plan::Form;
use rondure_plan::rack::{SMALL_WORKSHOP, SMALL_WORKSHOP_INCHES};
use rondure_plan::units::LengthUnit;

use super::{Sent, Shared};
use crate::new_plan::{Said, new_plan};
use crate::serve::Server;
use crate::serve::answer::Refused;
use crate::serve::examples::EXAMPLES;
use crate::serve::pool::aside;
use crate::serve::shelf::{Name, Shelf, Stored, Way, revision};
use crate::serve::wire::{About, Binned, Card, Example, Keep, NewPlan, Sheet, Since, Tick, To};

/// Marks and wood of a new plan, as the command line has them.
const MARKS: u32 = 8;
const WOOD: &str = "field maple";

/// Does something with the shelf.
async fn on_shelf<T: Send + 'static>(
    server: &Arc<Server>,
    act: impl FnOnce(&Shelf) -> Result<T, Refused> + Send + 'static,
) -> Result<T, Refused> {
    let server = Arc::clone(server);
    aside(move || act(&server.shelf)).await
}

async fn card(server: &Arc<Server>, stored: Stored) -> Result<Card, Refused> {
    let of = Arc::clone(server);
    server
        .pool
        .run(move || Ok(of.cards.card(&stored, &of.cache, &of.shelf)))
        .await
}

pub(super) async fn about(State(server): Shared) -> Json<About> {
    Json(About {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        shelf: server.shelf.folder().display().to_string(),
        forms: vec![Form::CovedBall.word().to_owned()],
        racks: vec![SMALL_WORKSHOP.to_owned(), SMALL_WORKSHOP_INCHES.to_owned()],
    })
}

pub(super) async fn list(State(server): Shared) -> Result<Json<Vec<Card>>, Refused> {
    let stored = on_shelf(&server, Shelf::list).await?;
    let cards = join_all(stored.into_iter().map(|stored| card(&server, stored))).await;
    cards.into_iter().collect::<Result<_, _>>().map(Json)
}

pub(super) async fn create(
    State(server): Shared,
    Sent(new): Sent<NewPlan>,
) -> Result<(StatusCode, Json<Card>), Refused> {
    let name = new.name.as_deref().map(Name::new).transpose()?;
    let units = match new.units.as_str() {
        "mm" => LengthUnit::Millimetre,
        "in" => LengthUnit::Inch,
        other => {
            return Err(Refused::cannot(format!(
                "The units: found \"{other}\"; allowed are \"mm\" and \"in\"."
            )));
        }
    };
    // Where the name is taken, that is said before the work.
    if let Some(name) = name.clone() {
        on_shelf(&server, move |shelf| shelf.check_free(&name)).await?;
    }
    let text = server
        .pool
        .run(move || {
            let said = Said {
                form: &new.form,
                diameter: &new.diameter,
                marks: MARKS,
                wood: WOOD,
                units: Some(units),
            };
            new_plan(&said, "The diameter").map_err(Refused::cannot)
        })
        .await?;
    let of = Arc::clone(&server);
    let stored = aside(move || match name {
        Some(name) => of.shelf.create(&name, &text),
        None => {
            let title = of.cache.plan(&text, &of.shelf)?.plan.title.clone();
            of.shelf.create_beside(&Name::from_title(&title), &text)
        }
    })
    .await?;
    Ok((StatusCode::CREATED, Json(card(&server, stored).await?)))
}

pub(super) async fn sheet(
    State(server): Shared,
    Path(name): Path<String>,
) -> Result<Json<Sheet>, Refused> {
    let name = Name::new(&name)?;
    on_shelf(&server, move |shelf| shelf.sheet(&name))
        .await
        .map(Json)
}

pub(super) async fn keep(
    State(server): Shared,
    Path(name): Path<String>,
    Sent(kept): Sent<Keep>,
) -> Result<Json<Sheet>, Refused> {
    let name = Name::new(&name)?;
    on_shelf(&server, move |shelf| match kept.joins {
        true => shelf.keep_on(&name, &kept.text, &kept.revision),
        false => shelf.keep(&name, &kept.text, &kept.revision),
    })
    .await
    .map(Json)
}

pub(super) async fn undo(
    state: Shared,
    name: Path<String>,
    step: Sent<Since>,
) -> Result<Json<Sheet>, Refused> {
    go(state, name, step, Way::Back).await
}

pub(super) async fn redo(
    state: Shared,
    name: Path<String>,
    step: Sent<Since>,
) -> Result<Json<Sheet>, Refused> {
    go(state, name, step, Way::Forth).await
}

async fn go(
    State(server): Shared,
    Path(name): Path<String>,
    Sent(step): Sent<Since>,
    way: Way,
) -> Result<Json<Sheet>, Refused> {
    let name = Name::new(&name)?;
    on_shelf(&server, move |shelf| shelf.step(&name, way, &step.revision))
        .await
        .map(Json)
}

pub(super) async fn tick(
    State(server): Shared,
    Path(name): Path<String>,
    Sent(tick): Sent<Tick>,
) -> Result<Json<Sheet>, Refused> {
    let name = Name::new(&name)?;
    on_shelf(&server, move |shelf| shelf.tick(&name, &tick.id, tick.on))
        .await
        .map(Json)
}

pub(super) async fn copy(
    State(server): Shared,
    Path(name): Path<String>,
    Sent(to): Sent<To>,
) -> Result<(StatusCode, Json<Card>), Refused> {
    let (name, to) = (Name::new(&name)?, Name::new(&to.to)?);
    let stored = on_shelf(&server, move |shelf| shelf.copy(&name, &to)).await?;
    Ok((StatusCode::CREATED, Json(card(&server, stored).await?)))
}

pub(super) async fn rename(
    State(server): Shared,
    Path(name): Path<String>,
    Sent(to): Sent<To>,
) -> Result<Json<Card>, Refused> {
    let (name, to) = (Name::new(&name)?, Name::new(&to.to)?);
    let stored = on_shelf(&server, move |shelf| shelf.rename(&name, &to)).await?;
    card(&server, stored).await.map(Json)
}

pub(super) async fn remove(
    State(server): Shared,
    Path(name): Path<String>,
) -> Result<StatusCode, Refused> {
    let name = Name::new(&name)?;
    on_shelf(&server, move |shelf| shelf.remove(&name)).await?;
    Ok(StatusCode::NO_CONTENT)
}

pub(super) async fn bin(State(server): Shared) -> Result<Json<Vec<Binned>>, Refused> {
    let of = Arc::clone(&server);
    aside(move || {
        let removed = of.shelf.bin()?.into_iter();
        Ok(removed
            .map(|removed| Binned {
                title: of.cache.plan(&removed.text, &of.shelf).map_or_else(
                    |_| removed.name.to_string(),
                    |known| known.plan.title.clone(),
                ),
                id: removed.id,
                name: removed.name.to_string(),
                removed_at: removed.removed_at,
            })
            .collect())
    })
    .await
    .map(Json)
}

pub(super) async fn restore(
    State(server): Shared,
    Path(id): Path<String>,
) -> Result<Json<Card>, Refused> {
    let stored = on_shelf(&server, move |shelf| shelf.restore(&id)).await?;
    card(&server, stored).await.map(Json)
}

pub(super) async fn examples(State(server): Shared) -> Result<Json<Vec<Example>>, Refused> {
    let cards = EXAMPLES.iter().map(|example| async {
        let stored = Stored {
            name: Name::new(example.name)?,
            text: example.text.to_owned(),
            changed_at: 0,
        };
        let card = card(&server, stored).await?;
        Ok(Example {
            name: card.name,
            title: card.title,
            says: card.says,
            verdict: card.verdict,
        })
    });
    let cards = join_all(cards).await;
    cards.into_iter().collect::<Result<_, _>>().map(Json)
}

pub(super) async fn take_example(
    State(server): Shared,
    Path(name): Path<String>,
) -> Result<(StatusCode, Json<Card>), Refused> {
    let example = EXAMPLES
        .iter()
        .find(|example| example.name == name)
        .ok_or_else(|| Refused::missing(format!("There is no example called {name:?}.")))?;
    let stored = on_shelf(&server, |shelf| {
        shelf.create_beside(&Name::new(example.name)?, example.text)
    })
    .await?;
    Ok((StatusCode::CREATED, Json(card(&server, stored).await?)))
}

/// The plan of a name on the shelf, with the revision of its text.
pub(super) async fn stored(server: &Arc<Server>, name: &str) -> Result<(Stored, String), Refused> {
    let name = Name::new(name)?;
    let stored = on_shelf(server, move |shelf| shelf.stored(&name)).await?;
    let revision = revision(&stored.text);
    Ok((stored, revision))
}
