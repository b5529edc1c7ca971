//! Answers that refuse: a status, a sentence, and the problems of a plan.

use std::io;

use axum::Json;
use axum::extract::rejection::{BytesRejection, JsonRejection};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use rondure_plan::reader::Problems;

use super::wire::{Problem, Refusal, Sheet};
use crate::failure::in_words;

/// Why a request was not done.
#[derive(Debug)]
pub enum Refused {
    /// For the reason of the sentence.
    Says(StatusCode, String),
    /// Because the plan's text has problems.
    Problems(Problems),
    /// Because the plan has changed since; with what it is now.
    Newer(Box<Sheet>),
}

impl Refused {
    /// The request cannot be understood.
    pub fn bad(says: impl Into<String>) -> Self {
        Self::Says(StatusCode::BAD_REQUEST, says.into())
    }

    /// What is asked for is not there.
    pub fn missing(says: impl Into<String>) -> Self {
        Self::Says(StatusCode::NOT_FOUND, says.into())
    }

    /// It is understood, and cannot be.
    pub fn cannot(says: impl Into<String>) -> Self {
        Self::Says(StatusCode::UNPROCESSABLE_ENTITY, says.into())
    }

    /// Something of that name is there already.
    pub fn taken(says: impl Into<String>) -> Self {
        Self::Says(StatusCode::CONFLICT, says.into())
    }

    /// A fault of the server or its disk.
    pub fn fault(says: impl Into<String>) -> Self {
        Self::Says(StatusCode::INTERNAL_SERVER_ERROR, says.into())
    }

    /// The disk did not do what was asked of it.
    pub fn disk(doing: &str, error: &io::Error) -> Self {
        Self::fault(format!(
            "{doing}: {}. Check the shelf's folder, its permissions and its space.",
            in_words(error)
        ))
    }
}

impl From<Problems> for Refused {
    fn from(problems: Problems) -> Self {
        Self::Problems(problems)
    }
}

impl From<JsonRejection> for Refused {
    fn from(rejection: JsonRejection) -> Self {
        match rejection {
            JsonRejection::BytesRejection(rejection) => rejection.into(),
            JsonRejection::MissingJsonContentType(_) => Self::Says(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "What is sent here has to be JSON, with the content type application/json."
                    .to_owned(),
            ),
            other => Self::bad(format!(
                "The request cannot be read: {}.",
                other.body_text()
            )),
        }
    }
}

impl From<BytesRejection> for Refused {
    fn from(rejection: BytesRejection) -> Self {
        if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE {
            return Self::Says(
                StatusCode::PAYLOAD_TOO_LARGE,
                format!(
                    "That is too much for one request; allowed are {} KiB. A plan is a page of text.",
                    super::LARGEST_BODY / 1024
                ),
            );
        }
        Self::bad("The request broke off before its end. Send it again.")
    }
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let (status, says, problems) = match self {
            Self::Newer(sheet) => return (StatusCode::CONFLICT, Json(*sheet)).into_response(),
            Self::Says(status, says) => (status, says, Vec::new()),
            Self::Problems(problems) => (
                StatusCode::UNPROCESSABLE_ENTITY,
                problems.to_string().trim_end().to_owned(),
                Problem::all_of(&problems),
            ),
        };
        (status, Json(Refusal { says, problems })).into_response()
    }
}
