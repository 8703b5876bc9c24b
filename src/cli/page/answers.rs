//! Answers and refusals as JSON.

use axum::body::{Body, Bytes};
use axum::extract::rejection::BytesRejection;
use axum::http::{HeaderValue, Response, StatusCode, header};
use axum::response::IntoResponse;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::json;

/// Why something is not done: a status and a sentence.
#[derive(Debug)]
pub(super) struct Refusal(pub(super) StatusCode, pub(super) String);

/// What is wrong with what was asked.
pub(super) fn wrong(sentence: impl Into<String>) -> Refusal {
    Refusal(StatusCode::BAD_REQUEST, sentence.into())
}

/// What cannot be done as things are.
pub(super) fn conflict(sentence: impl Into<String>) -> Refusal {
    Refusal(StatusCode::CONFLICT, sentence.into())
}

/// What is not there.
pub(super) fn missing(sentence: impl Into<String>) -> Refusal {
    Refusal(StatusCode::NOT_FOUND, sentence.into())
}

/// A defect of the program itself: what was asked for is not answered, everything else goes on.
pub(super) fn broken() -> Refusal {
    Refusal(StatusCode::INTERNAL_SERVER_ERROR, "the program failed at this; what is on the desk is as it was".into())
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response<Body> {
        let mut response = bytes("application/json", json!({ "error": self.1 }).to_string().into_bytes());
        *response.status_mut() = self.0;
        response
    }
}

pub(super) type Answer = Result<Response<Body>, Refusal>;

/// Bytes of a type.
pub(super) fn bytes(kind: &'static str, bytes: impl Into<Bytes>) -> Response<Body> {
    let mut response = Response::new(Body::from(bytes.into()));
    response.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    response
}

/// A value as JSON.
pub(super) fn as_json(value: &impl Serialize) -> Answer {
    serde_json::to_vec(value).map(|text| bytes("application/json", text)).map_err(|_| broken())
}

/// What was sent, read from JSON.
pub(super) fn read<T: DeserializeOwned>(body: Result<Bytes, BytesRejection>) -> Result<T, Refusal> {
    let body = body.map_err(|e| {
        let sentence = if e.status() == StatusCode::PAYLOAD_TOO_LARGE { TOO_LARGE } else { "the request broke off" };
        Refusal(e.status(), sentence.into())
    })?;
    serde_json::from_slice(&body).map_err(|e| wrong(format!("the request is not as it should be: {e}")))
}

/// What is said of a body beyond the limit.
pub(super) const TOO_LARGE: &str = "that is more than 2 MB, and no job needs as much";

/// The type of a file by its name.
pub(super) fn kind_of(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or_default() {
        "pdf" => "application/pdf",
        "csv" => "text/csv; charset=utf-8",
        "svg" => "image/svg+xml",
        "zip" => "application/zip",
        "json" => "application/json",
        "toml" | "md" | "txt" => "text/plain; charset=utf-8",
        "html" => "text/html; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// A file to be kept: no browser shows it in the page's place.
pub(super) fn download(name: &str, content: impl Into<Bytes>) -> Response<Body> {
    let mut response = bytes(kind_of(name), content);
    let plain: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() || "-_.".contains(c) { c } else { '_' }).collect();
    let told = HeaderValue::from_str(&format!("attachment; filename=\"{plain}\""));
    if let Ok(told) = told {
        response.headers_mut().insert(header::CONTENT_DISPOSITION, told);
    }
    response
}
