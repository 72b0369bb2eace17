//! What goes back to the browser, with the headers that keep it to this machine.

use std::path::Path;

use axum::body::Body;
use axum::http::{HeaderValue, Response, StatusCode, header};
use serde_json::{Value, json};

use crate::fault::{FaultKind, Faults, Outcome};
use crate::page::Answer;
use crate::page::live::fault_list;
use crate::page::views::{self, Trouble};

/// What pages may load: only what this server has, and no script or style inside them.
const STRICT: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; \
    connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'";

/// What the files of `out` may load: their own style, and no script. A page that was put there can do nothing.
const INERT: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data:; \
    form-action 'none'; base-uri 'none'; frame-ancestors 'none'";

/// A reply of a kind.
pub(super) fn of(status: StatusCode, kind: &'static str, body: impl Into<Body>) -> Response<Body> {
    let mut reply = Response::new(body.into());
    *reply.status_mut() = status;
    let headers = reply.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    reply
}

/// The headers that every reply has.
pub(super) fn guarded(mut reply: Response<Body>) -> Response<Body> {
    let set = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    for (name, value) in set {
        reply
            .headers_mut()
            .insert(name, HeaderValue::from_static(value));
    }
    let own = header::HeaderName::from_static("cross-origin-resource-policy");
    reply
        .headers_mut()
        .insert(own, HeaderValue::from_static("same-origin"));
    let policy = header::CONTENT_SECURITY_POLICY;
    reply
        .headers_mut()
        .entry(policy)
        .or_insert(HeaderValue::from_static(STRICT));
    reply
}

/// A page or a picture, or why there is none.
pub(super) fn shown(answer: Outcome<Answer>) -> Response<Body> {
    match answer {
        Ok(Answer::Page(html)) => of(StatusCode::OK, "text/html; charset=utf-8", html),
        Ok(Answer::Svg(svg)) => of(StatusCode::OK, "image/svg+xml", svg),
        Ok(_) => plain(StatusCode::NOT_FOUND, "there is no such page"),
        Err(faults) => trouble(&faults),
    }
}

fn trouble(faults: &Faults) -> Response<Body> {
    let kinds = faults.as_slice().iter().map(|it| it.kind);
    let status = match kinds.into_iter().next() {
        Some(FaultKind::File) => StatusCode::NOT_FOUND,
        Some(FaultKind::Program) => StatusCode::INTERNAL_SERVER_ERROR,
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let page = fault_list(faults).and_then(|faults| views::rendered(&Trouble { faults }));
    match page {
        Ok(html) => of(status, "text/html; charset=utf-8", html),
        Err(_) => plain(status, &faults.to_string()),
    }
}

/// Words.
pub(super) fn plain(status: StatusCode, words: &str) -> Response<Body> {
    of(status, "text/plain; charset=utf-8", format!("{words}\n"))
}

/// An object for the page's script.
pub(super) fn object(object: &Value) -> Response<Body> {
    of(StatusCode::OK, "application/json", object.to_string())
}

/// What the script tells of faults: the words, and nothing on the page changes.
pub(super) fn said(faults: &Faults) -> Value {
    let each = faults.as_slice().iter().map(|fault| match &fault.remedy {
        Some(remedy) => format!("{}; {remedy}", fault.message),
        None => fault.message.clone(),
    });
    json!({ "said": format!("{}.", each.collect::<Vec<_>>().join(". ")) })
}

/// A file of `out`.
pub(super) fn file(path: &Path, bytes: Vec<u8>) -> Response<Body> {
    let ending = path.extension().and_then(|it| it.to_str());
    let kind = match ending {
        Some("html") => "text/html; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("pdf") => "application/pdf",
        Some("json") => "application/json",
        Some("csv") => "text/csv; charset=utf-8",
        Some("nc") => "text/plain; charset=utf-8",
        Some("dxf") => "image/vnd.dxf",
        _ => "application/octet-stream",
    };
    let mut reply = of(StatusCode::OK, kind, bytes);
    let policy = HeaderValue::from_static(INERT);
    reply
        .headers_mut()
        .insert(header::CONTENT_SECURITY_POLICY, policy);
    reply
}
