//! One request, one answer.

use std::net::IpAddr;

use axum::body::Body;
use axum::extract::Request;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, Uri, header};
use axum::response::Response;

use crate::files::{File, Files, hashed, kind};
use crate::log::{self, Log};
use crate::negotiate::{Coding, coding, has};
use crate::{headers, host};

/// The one page.
const PAGE: &str = "index.html";
/// What is asked for under it is never a page.
const API: &str = "api";

/// Answers a request that came in at this address.
pub(crate) async fn answer(files: &Files, log: Option<&Log>, at: IpAddr, request: Request) -> Response {
    let head = request.method() == Method::HEAD;
    let mut response = if at.is_loopback() && !asks_for_this_machine(&request) {
        say(
            StatusCode::MISDIRECTED_REQUEST,
            "Longrail answers here as localhost or 127.0.0.1 only. To reach it from elsewhere, start it with --listen.",
        )
    } else if let Some(log) = log.filter(|_| at.is_loopback() && log::is_asked(&request)) {
        log.answer(request).await
    } else if matches!(*request.method(), Method::GET | Method::HEAD) {
        find(files, &request)
    } else {
        let mut refused = say(StatusCode::METHOD_NOT_ALLOWED, "Files can only be read here.");
        set(&mut refused, header::ALLOW, "GET, HEAD");
        refused
    };
    headers::protect(response.headers_mut());
    if head {
        // Its length is in the header already.
        *response.body_mut() = Body::empty();
    }
    response
}

/// The name that was asked for, wherever it stands, must mean this machine.
fn asks_for_this_machine(request: &Request) -> bool {
    let in_header = text(request.headers(), &header::HOST);
    let in_address = request.uri().authority().map(axum::http::uri::Authority::as_str);
    (in_header.is_some() || in_address.is_some())
        && in_header.is_none_or(host::is_local)
        && in_address.is_none_or(host::is_local)
}

fn find(files: &Files, request: &Request) -> Response {
    let path = request.uri().path().trim_start_matches('/');
    let name = if path.is_empty() { PAGE } else { path };
    if let Some(file) = files.get(name) {
        return send(name, file, request.headers());
    }
    let first = path.split('/').next().unwrap_or_default();
    if path.contains('.') || first == API {
        return say(StatusCode::NOT_FOUND, "There is no such page or file here.");
    }
    place(request.uri())
}

/// A place in the app is named behind a `#`, so that the page finds its files wherever it is hosted; an address that was
/// typed without leads there.
fn place(uri: &Uri) -> Response {
    let path = uri.path().trim_start_matches('/');
    // Relative, as a server in between may have taken a folder's name away.
    let up = match uri.path().trim_start_matches('/').matches('/').count() {
        0 => "./".to_owned(),
        folders => "../".repeat(folders),
    };
    let query = uri.query().map(|query| format!("?{query}")).unwrap_or_default();
    let mut response = say(StatusCode::FOUND, "The app is one page.");
    match HeaderValue::from_str(&format!("{up}{query}#/{path}")) {
        Ok(location) => {
            response.headers_mut().insert(header::LOCATION, location);
            response
        }
        // What came in as an address can go out as one; if not, there is no such place.
        Err(_) => say(StatusCode::NOT_FOUND, "There is no such page or file here."),
    }
}

/// A file in the form that the browser likes best, unless it has it.
fn send(name: &str, file: &File, asked: &HeaderMap) -> Response {
    let coding = coding(&list(asked, &header::ACCEPT_ENCODING), |coding| file.form(coding).is_some());
    let etag = format!("\"{}-{}\"", file.mark, coding.name());
    let mut response = Response::new(Body::empty());
    if has(&list(asked, &header::IF_NONE_MATCH), &etag) {
        *response.status_mut() = StatusCode::NOT_MODIFIED;
    } else {
        let bytes = file.form(coding).cloned().unwrap_or_default();
        response.headers_mut().insert(header::CONTENT_LENGTH, bytes.len().into());
        set(&mut response, header::CONTENT_TYPE, kind(name));
        if coding != Coding::Identity {
            set(&mut response, header::CONTENT_ENCODING, coding.name());
        }
        *response.body_mut() = Body::from(bytes);
    }
    if let Ok(etag) = HeaderValue::from_str(&etag) {
        response.headers_mut().insert(header::ETAG, etag);
    }
    let keep = if hashed(name) { "public, max-age=31536000, immutable" } else { "no-cache" };
    set(&mut response, header::CACHE_CONTROL, keep);
    if file.varies() {
        set(&mut response, header::VARY, "Accept-Encoding");
    }
    response
}

/// A sentence instead of a file.
pub(crate) fn say(status: StatusCode, sentence: &'static str) -> Response {
    let mut response = Response::new(Body::from(sentence));
    *response.status_mut() = status;
    response.headers_mut().insert(header::CONTENT_LENGTH, sentence.len().into());
    set(&mut response, header::CONTENT_TYPE, "text/plain; charset=utf-8");
    set(&mut response, header::CACHE_CONTROL, "no-store");
    response
}

fn set(response: &mut Response, name: HeaderName, value: &'static str) {
    response.headers_mut().insert(name, HeaderValue::from_static(value));
}

/// A header's value, if it is there and text.
fn text<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    headers.get(name).and_then(|value| value.to_str().ok())
}

/// A header that is a list may be there several times.
fn list(headers: &HeaderMap, name: &HeaderName) -> String {
    headers.get_all(name).iter().filter_map(|value| value.to_str().ok()).collect::<Vec<_>>().join(",")
}
