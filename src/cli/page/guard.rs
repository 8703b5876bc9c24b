//! Who may ask, and what every answer says of itself.

use super::answers::{Refusal, TOO_LARGE};
use super::store::{Shared, is_same};
use crate::page::import_map;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, Response, StatusCode, header};
use axum::middleware::Next;
use axum::response::IntoResponse;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::sync::{Arc, OnceLock};

/// Bytes of what is sent to the server, at most.
pub(super) const BODY: usize = 2 << 20;

/// Lets through what this page asks of its own server, and puts the same protection on every answer.
pub(super) async fn guard(State(shared): State<Arc<Shared>>, request: Request, next: Next) -> Response<Body> {
    let mut response = match refused(&shared, &request) {
        Some(refusal) => refusal.into_response(),
        None => next.run(request).await,
    };
    if matches!(response.status(), StatusCode::NOT_FOUND | StatusCode::METHOD_NOT_ALLOWED)
        && !response.headers().contains_key(header::CONTENT_TYPE)
    {
        response = Refusal(response.status(), "there is nothing at this address".into()).into_response();
    }
    let headers = response.headers_mut();
    for (name, value) in PROTECTION {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    if let Ok(policy) = HeaderValue::from_str(policy()) {
        headers.insert(header::CONTENT_SECURITY_POLICY, policy);
    }
    response
}

const PROTECTION: [(&str, &str); 7] = [
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cache-control", "no-store"),
    ("x-frame-options", "DENY"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), microphone=(), geolocation=(), payment=(), usb=()"),
];

/// Nothing from elsewhere; of scripts the page's own files and its map of them.
fn policy() -> &'static str {
    static POLICY: OnceLock<String> = OnceLock::new();
    POLICY.get_or_init(|| {
        let map = STANDARD.encode(Sha256::digest(import_map().as_bytes()));
        format!(
            "default-src 'none'; script-src 'self' 'sha256-{map}'; style-src 'self'; img-src 'self' data: blob:; \
             connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
        )
    })
}

fn refused(shared: &Shared, request: &Request) -> Option<Refusal> {
    let headers = request.headers();
    let Some(host) = only(headers, &header::HOST).filter(|h| shared.is_own_host(h)) else {
        return Some(Refusal(StatusCode::FORBIDDEN, "this page is served to this computer alone".into()));
    };
    let path = request.uri().path();
    let (first, rest) = path.strip_prefix('/').unwrap_or(path).split_once('/').unwrap_or((path, ""));
    if first == "once" {
        // Only to be gone to; it shows nothing itself.
        return (request.method() != Method::GET).then(nothing);
    }
    if !is_same(first.as_bytes(), shared.secret().as_bytes()) {
        return Some(nothing());
    }
    let origin = format!("http://{host}");
    let from = only(headers, &header::ORIGIN);
    let is_read = matches!(*request.method(), Method::GET | Method::HEAD);
    let is_own_origin = match from {
        Some(from) => from == origin,
        None => is_read && !headers.contains_key(header::ORIGIN),
    };
    let site = only(headers, &HeaderName::from_static("sec-fetch-site"));
    let is_gone_to = rest.is_empty() && only(headers, &HeaderName::from_static("sec-fetch-mode")) == Some("navigate");
    if !is_own_origin || !(matches!(site, None | Some("same-origin" | "none")) || is_gone_to) {
        return Some(Refusal(StatusCode::FORBIDDEN, "only the page itself may ask for this".into()));
    }
    if is_read {
        return None;
    }
    let kind = only(headers, &header::CONTENT_TYPE).and_then(|k| k.split(';').next()).unwrap_or_default();
    if !kind.trim().eq_ignore_ascii_case("application/json") {
        return Some(Refusal(StatusCode::UNSUPPORTED_MEDIA_TYPE, "what is sent has to be application/json".into()));
    }
    let length = only(headers, &header::CONTENT_LENGTH).and_then(|l| l.parse::<u64>().ok());
    (length.is_some_and(|l| l > BODY as u64)).then(|| Refusal(StatusCode::PAYLOAD_TOO_LARGE, TOO_LARGE.into()))
}

fn nothing() -> Refusal {
    Refusal(StatusCode::NOT_FOUND, "there is nothing at this address".into())
}

/// A header that is there once.
fn only<'h>(headers: &'h HeaderMap, name: &HeaderName) -> Option<&'h str> {
    let mut all = headers.get_all(name).iter();
    let first = all.next()?.to_str().ok()?;
    all.next().is_none().then_some(first)
}
