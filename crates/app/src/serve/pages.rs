//! The page's own files, out of the binary.

use axum::extract::Path;
use axum::http::header::{self, HeaderMap, HeaderValue};
use axum::http::{HeaderName, StatusCode};
use axum::response::{IntoResponse, Response};
use rondure_web_ui::File;

use super::answer::Refused;

/// What the page may load and run: its own files, answers of this server, and pictures it
/// makes itself. No script or style within the page's text, nothing from any other address.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; frame-src 'self' blob:; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// The page.
pub async fn page(headers: HeaderMap) -> Response {
    file("", &headers)
}

/// Any other file of the page.
pub async fn asset(Path(path): Path<String>, headers: HeaderMap) -> Response {
    file(&path, &headers)
}

fn file(path: &str, headers: &HeaderMap) -> Response {
    match rondure_web_ui::find(path) {
        Some(file) => answer(file, headers),
        None if path.is_empty() => Refused::missing(
            "This build of Rondure carries no page: it was made without the feature `web`. Build it with its usual features.",
        )
        .into_response(),
        None => Refused::missing("There is no such page here. Begin at /.").into_response(),
    }
}

fn answer(file: &'static File, headers: &HeaderMap) -> Response {
    let tag = format!("\"{}\"", file.fingerprint);
    let known = headers
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .any(|value| value.trim().trim_start_matches("W/") == tag);
    let keep = if file.named_by_content {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    let mut response = if known {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        file.bytes.into_response()
    };
    let mut set = |name: HeaderName, value: HeaderValue| response.headers_mut().insert(name, value);
    set(
        header::CONTENT_TYPE,
        HeaderValue::from_static(file.content_type),
    );
    set(header::CACHE_CONTROL, HeaderValue::from_static(keep));
    set(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(POLICY),
    );
    if let Ok(tag) = HeaderValue::try_from(tag) {
        set(header::ETAG, tag);
    }
    response
}
