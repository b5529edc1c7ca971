//! Files of a plan on the shelf: its picture, its packet, its surface, itself.

use std::sync::Arc;

use axum::extract::rejection::QueryRejection;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::{self, HeaderMap, HeaderValue};
use axum::response::{IntoResponse, Response};
use rondure_mesh::Format;
use rondure_sheet::{PacketOptions, Paper, packet as sheets, pictures};
use serde::Deserialize;

use super::shelf::stored;
use super::{GLB, SVG, Shared, of_kind};
use crate::serve::answer::Refused;
use crate::serve::cache::Recipe;
use crate::serve::look;
use crate::serve::wire::{Moment, Wood};

pub(super) async fn picture(
    State(server): Shared,
    Path(name): Path<String>,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    let (stored, revision) = stored(&server, &name).await?;
    // The lines are this version's; the same text drawn by another may differ.
    let tag = format!("\"{}-{revision}\"", env!("CARGO_PKG_VERSION"));
    let known = headers
        .get(header::IF_NONE_MATCH)
        .is_some_and(|value| value.as_bytes() == tag.as_bytes());
    let mut response = if known {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        let of = Arc::clone(&server);
        let drawing = server.pool.run(move || {
            let known = of.cache.plan(&stored.text, &of.shelf)?;
            let picture = known.picture()?.map(str::to_owned);
            picture.ok_or_else(|| Refused::missing("This plan has no piece to show."))
        });
        of_kind(SVG, drawing.await?)
    };
    let headers = response.headers_mut();
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    if let Ok(tag) = HeaderValue::try_from(tag) {
        headers.insert(header::ETAG, tag);
    }
    Ok(response)
}

/// The paper of a packet.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct On {
    #[serde(default)]
    paper: PaperName,
}

#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
enum PaperName {
    #[default]
    A4,
    Letter,
}

pub(super) async fn packet(
    State(server): Shared,
    Path(name): Path<String>,
    on: Result<Query<On>, QueryRejection>,
) -> Result<Response, Refused> {
    let Query(On { paper }) = on.map_err(|_| {
        Refused::bad("The paper of a packet: allowed are paper=a4 and paper=letter.")
    })?;
    let (stored, _) = stored(&server, &name).await?;
    let of = Arc::clone(&server);
    let pdf = server.pool.run(move || {
        let known = of.cache.plan(&stored.text, &of.shelf)?;
        let outcome = known.outcome()?;
        let options = PacketOptions {
            paper: match paper {
                PaperName::A4 => Paper::A4,
                PaperName::Letter => Paper::Letter,
            },
            pictures: pictures(&known.plan, outcome),
            ..PacketOptions::default()
        };
        sheets(&outcome.report, &outcome.figures, &options)
            .map_err(|error| Refused::cannot(error.to_string()))
    });
    Ok(named(
        of_kind("application/pdf", pdf.await?),
        "inline",
        &name,
        "pdf",
    ))
}

pub(super) async fn plan(
    State(server): Shared,
    Path(name): Path<String>,
) -> Result<Response, Refused> {
    let (stored, _) = stored(&server, &name).await?;
    let response = of_kind("application/toml; charset=utf-8", stored.text);
    Ok(named(response, "attachment", &name, "toml"))
}

/// The wood of a surface file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Which {
    #[serde(default = "ball")]
    piece: String,
    setup: Option<String>,
    #[serde(default = "usual_chord")]
    chord: f64,
}

fn ball() -> String {
    "ball".to_owned()
}

/// As the command line has it.
fn usual_chord() -> f64 {
    0.05
}

type Asked = Result<Query<Which>, QueryRejection>;

pub(super) async fn stl(
    state: Shared,
    name: Path<String>,
    which: Asked,
) -> Result<Response, Refused> {
    solid(state, name, which, Format::Stl, "model/stl").await
}

pub(super) async fn threemf(
    state: Shared,
    name: Path<String>,
    which: Asked,
) -> Result<Response, Refused> {
    solid(state, name, which, Format::ThreeMf, "model/3mf").await
}

pub(super) async fn glb(
    state: Shared,
    name: Path<String>,
    which: Asked,
) -> Result<Response, Refused> {
    solid(state, name, which, Format::Gltf, GLB).await
}

async fn solid(
    State(server): Shared,
    Path(name): Path<String>,
    which: Asked,
    format: Format,
    kind: &'static str,
) -> Result<Response, Refused> {
    let Query(which) = which.map_err(|_| {
        Refused::bad("Of a surface: allowed are piece=, setup= and chord= (a number, mm).")
    })?;
    let chord = look::chord(which.chord)?;
    let (stored, _) = stored(&server, &name).await?;
    let called = which.setup.as_deref().map_or_else(
        || which.piece.clone(),
        |setup| format!("{} after {setup}", which.piece),
    );
    let of = Arc::clone(&server);
    let file = server.pool.run(move || {
        let known = of.cache.plan(&stored.text, &of.shelf)?;
        let wood = Wood {
            text: stored.text,
            setup: which.setup,
            piece: Some(which.piece),
            moment: Moment::After,
        };
        let (piece, state) = look::state(&known.expanded()?.process, &wood)?;
        let recipe = Recipe {
            format,
            ..Recipe::new(&piece.name, state, chord)
        };
        of.cache.file(recipe, look::surface_file)
    });
    let response = of_kind(kind, file.await?);
    Ok(named(
        response,
        "attachment",
        &format!("{name}, {called}"),
        format.ending(),
    ))
}

/// Gives the file its name on the turner's disk (the writing of RFC 6266 and RFC 8187, from memory).
fn named(mut response: Response, how: &str, name: &str, ending: &str) -> Response {
    let mut written = format!("{how}; filename*=UTF-8''");
    for byte in format!("{name}.{ending}").bytes() {
        if byte.is_ascii_alphanumeric() || b"-._".contains(&byte) {
            written.push(char::from(byte));
        } else {
            written.push_str(&format!("%{byte:02X}"));
        }
    }
    if let Ok(value) = HeaderValue::try_from(written) {
        response
            .headers_mut()
            .insert(header::CONTENT_DISPOSITION, value);
    }
    response
}
