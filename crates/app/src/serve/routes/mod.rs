//! The routes below `/api`, by what they are about.

mod files;
mod jobs;
mod look;
mod shelf;
mod size;
mod work;

use std::sync::Arc;

use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::{delete, get, post};
use axum::{Json, Router};
use serde::de::DeserializeOwned;

use super::Server;
use super::answer::Refused;

/// What handlers share.
type Shared = axum::extract::State<Arc<Server>>;

/// All of them.
pub fn all() -> Router<Arc<Server>> {
    Router::new()
        .route("/about", get(shelf::about))
        .route("/shelf", get(shelf::list).post(shelf::create))
        .route(
            "/shelf/{name}",
            get(shelf::sheet).put(shelf::keep).delete(shelf::remove),
        )
        .route("/shelf/{name}/undo", post(shelf::undo))
        .route("/shelf/{name}/redo", post(shelf::redo))
        .route("/shelf/{name}/ticks", post(shelf::tick))
        .route("/shelf/{name}/copy", post(shelf::copy))
        .route("/shelf/{name}/rename", post(shelf::rename))
        .route("/shelf/{name}/picture.svg", get(files::picture))
        .route("/shelf/{name}/packet.pdf", get(files::packet))
        .route("/shelf/{name}/plan.toml", get(files::plan))
        .route("/shelf/{name}/solid.stl", get(files::stl))
        .route("/shelf/{name}/solid.3mf", get(files::threemf))
        .route("/shelf/{name}/solid.glb", get(files::glb))
        .route("/bin", get(shelf::bin))
        .route("/bin/{id}/restore", post(shelf::restore))
        .route("/examples", get(shelf::examples))
        .route("/examples/{name}", post(shelf::take_example))
        .route("/work", post(work::work))
        .route("/change", post(work::change))
        .route("/rescale", post(size::rescale))
        .route("/scene", post(look::scene))
        .route("/mesh", post(look::mesh))
        .route("/probe", post(look::probe))
        .route("/section.svg", post(look::section))
        .route("/drawing.svg", post(look::drawing))
        .route("/strip.svg", post(look::strip))
        .route("/setup.svg", post(look::setup))
        .route("/jobs", post(jobs::begin))
        .route("/jobs/{id}", delete(jobs::cancel))
        .route("/jobs/{id}/events", get(jobs::events))
        .fallback(nowhere)
        .method_not_allowed_fallback(otherwise)
}

async fn nowhere() -> Refused {
    Refused::missing("There is nothing at this address of the server.")
}

async fn otherwise() -> Refused {
    Refused::Says(
        StatusCode::METHOD_NOT_ALLOWED,
        "This address of the server is asked in another way.".to_owned(),
    )
}

/// A request's content, read from JSON, with a sentence for what cannot be read.
struct Sent<T>(T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Sent<T> {
    type Rejection = Refused;

    async fn from_request(request: Request, state: &S) -> Result<Self, Self::Rejection> {
        let Json(content) = Json::from_request(request, state).await?;
        Ok(Self(content))
    }
}

/// An answer with a content type of its own.
fn of_kind(kind: &'static str, content: impl IntoResponse) -> Response {
    ([(axum::http::header::CONTENT_TYPE, kind)], content).into_response()
}

const SVG: &str = "image/svg+xml";
const GLB: &str = "model/gltf-binary";
