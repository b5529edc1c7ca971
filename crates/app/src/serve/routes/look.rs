//! Ways to look at a plan: scenes, surfaces, places, sections and drawings.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use rondure_plan::scene::{Scene, scene as scene_of};
use rondure_sheet::{figure_svg, setup_svg, strip_svg};

use super::work::with;
use super::{GLB, SVG, Sent, Shared, of_kind};
use crate::serve::answer::Refused;
use crate::serve::cache::{Known, Recipe};
use crate::serve::look;
use crate::serve::wire::{AtSetup, DrawingOf, MeshOf, OfPlan, Probe, Probed, SectionOf};

fn scene_in(known: &Known, setup: &str) -> Result<Scene, Refused> {
    let outcome = known.quick()?;
    look::setup(&outcome.expanded.process, setup)?;
    scene_of(&known.plan, outcome, setup)
        .ok_or_else(|| Refused::missing(format!("There is no set-up \"{setup}\" in this plan.")))
}

pub(super) async fn scene(
    State(server): Shared,
    Sent(at): Sent<AtSetup>,
) -> Result<Json<Scene>, Refused> {
    let of = Arc::clone(&server);
    let answer = server.pool.run(move || {
        let known = of.cache.plan(&at.text, &of.shelf)?;
        scene_in(&known, &at.setup)
    });
    answer.await.map(Json)
}

pub(super) async fn mesh(
    State(server): Shared,
    Sent(mut asked): Sent<MeshOf>,
) -> Result<Response, Refused> {
    let chord = look::chord(asked.chord)?;
    let of = Arc::clone(&server);
    let file = server.pool.run(move || {
        if let Some(set) = &asked.set {
            match with(&of, &asked.wood.text, set)? {
                Ok(text) => asked.wood.text = text,
                Err(_) => return Ok(None),
            }
        }
        let known = of.cache.plan(&asked.wood.text, &of.shelf)?;
        let (piece, state) = look::state(&known.expanded()?.process, &asked.wood)?;
        let recipe = Recipe {
            thickness: asked.thickness,
            ..Recipe::new(&piece.name, state, chord)
        };
        of.cache.file(recipe, look::surface_file).map(Some)
    });
    Ok(match file.await? {
        Some(file) => of_kind(GLB, file),
        None => StatusCode::NO_CONTENT.into_response(),
    })
}

pub(super) async fn probe(
    State(server): Shared,
    Sent(asked): Sent<Probe>,
) -> Result<Json<Probed>, Refused> {
    let of = Arc::clone(&server);
    let answer = server.pool.run(move || {
        let known = of.cache.plan(&asked.wood.text, &of.shelf)?;
        let (piece, state) = look::state(&known.expanded()?.process, &asked.wood)?;
        let scene = match &asked.wood.setup {
            Some(setup) => Some(scene_in(&known, setup)?),
            None => None,
        };
        look::probe(&known.plan, piece, &state, scene.as_ref(), asked.at)
    });
    answer.await.map(Json)
}

pub(super) async fn section(
    State(server): Shared,
    Sent(asked): Sent<SectionOf>,
) -> Result<Response, Refused> {
    let of = Arc::clone(&server);
    let drawing = server.pool.run(move || {
        let known = of.cache.plan(&asked.wood.text, &of.shelf)?;
        let (piece, state) = look::state(&known.expanded()?.process, &asked.wood)?;
        let figure = look::section(&known.plan, &piece.name, &state.solid, asked.plane)?;
        figure_svg(&figure).map_err(|error| Refused::cannot(error.to_string()))
    });
    Ok(of_kind(SVG, drawing.await?))
}

pub(super) async fn drawing(
    State(server): Shared,
    Sent(asked): Sent<DrawingOf>,
) -> Result<Response, Refused> {
    let of = Arc::clone(&server);
    let drawing = server.pool.run(move || {
        let known = of.cache.plan(&asked.text, &of.shelf)?;
        let drawings = &known.quick()?.figures.drawings;
        let figure = drawings
            .iter()
            .find(|figure| figure.id == asked.drawing)
            .ok_or_else(|| {
                Refused::missing(format!(
                    "This plan's packet has no drawing \"{}\".",
                    asked.drawing
                ))
            })?;
        figure_svg(figure).map_err(|error| Refused::cannot(error.to_string()))
    });
    Ok(of_kind(SVG, drawing.await?))
}

pub(super) async fn strip(
    State(server): Shared,
    Sent(asked): Sent<OfPlan>,
) -> Result<Response, Refused> {
    let of = Arc::clone(&server);
    let drawing = server.pool.run(move || {
        let known = of.cache.plan(&asked.text, &of.shelf)?;
        let strips = &known.quick()?.figures.strips;
        let strip = strips
            .first()
            .ok_or_else(|| Refused::missing("This plan has no strip to wrap round the work."))?;
        strip_svg(strip).map_err(|error| Refused::cannot(error.to_string()))
    });
    Ok(of_kind(SVG, drawing.await?))
}

pub(super) async fn setup(
    State(server): Shared,
    Sent(at): Sent<AtSetup>,
) -> Result<Response, Refused> {
    let of = Arc::clone(&server);
    let drawing = server.pool.run(move || {
        let known = of.cache.plan(&at.text, &of.shelf)?;
        let outcome = known.quick()?;
        look::setup(&outcome.expanded.process, &at.setup)?;
        setup_svg(&known.plan, outcome, &at.setup)
            .ok_or_else(|| Refused::missing("This set-up has no drawing."))
    });
    Ok(of_kind(SVG, drawing.await?))
}
