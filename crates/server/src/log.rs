//! The record on this machine, shared with the app that runs on it: events go out and come in, in any order, any number of
//! times.
//!
//! - `GET share.json`: `{"store": …, "players": […]}`; among the app's files on other hosts it says that there is none.
//! - `GET api/log/PLAYER?after=PLACE`: the player's events that arrived after a place, a line each; the header
//!   `x-longrail-head` says up to which place they go. If there are none, that is PLACE, or less where the record has not
//!   as much: then it is another one than was read before.
//! - `POST api/log`: lines; `{"new": …, "known": …, "refused": […]}`.
//!
//! There are no accounts, so it is for this machine alone, and for everyone who has an account on it: where those should not
//! read each other's records, the app is served without it. A page of another origin, which the browser would let ask, is
//! refused.

use std::fmt;
use std::hash::Hasher;

use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::response::Response;
use longrail_practice::event::may::coming_in;
use longrail_practice::id::PlayerId;
use longrail_store::{EventStore, SqlStore, StoreError};
use serde_json::json;
use siphasher::sip::SipHasher13;

use crate::answer::say;

/// Where it says that it is there, and where it is.
const THERE: &str = "/share.json";
const PATH: &str = "/api/log";
/// Events handed out at once.
const PAGE: u32 = 2_000;
/// Bytes taken at once: some tens of thousands of events.
const MOST: usize = 16 << 20;
/// Up to which place an answer goes.
const HEAD: &str = "x-longrail-head";

/// A record that is shared.
pub(crate) struct Log {
    store: SqlStore,
    name: String,
}

impl fmt::Debug for Log {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Log").field("name", &self.name).finish_non_exhaustive()
    }
}

/// Whether a request is for the log.
pub(crate) fn is_asked(request: &Request) -> bool {
    let path = request.uri().path();
    !is_forwarded(request)
        && (path == THERE
            || path == PATH
            || path.strip_prefix(PATH).is_some_and(|rest| rest.starts_with('/')))
}

/// Whether somebody else passed the request on: whoever asked may be anywhere, and the record is for this machine.
fn is_forwarded(request: &Request) -> bool {
    let told = ["forwarded", "via", "x-real-ip", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto"];
    told.iter().any(|name| request.headers().contains_key(*name))
}

impl Log {
    pub(crate) fn new(store: SqlStore, name: &str) -> Self {
        let mut hasher = SipHasher13::new();
        hasher.write(name.as_bytes());
        Self { store, name: format!("{:016x}", hasher.finish()) }
    }

    pub(crate) async fn answer(&self, request: Request) -> Response {
        if !is_own(&request) {
            return say(StatusCode::FORBIDDEN, "The record is shared with the app of this address only.");
        }
        let path = request.uri().path().to_owned();
        let player = path.strip_prefix(PATH).map(|rest| rest.trim_start_matches('/')).unwrap_or_default();
        let outcome = match (request.method(), player) {
            (&Method::GET, _) if path == THERE => self.players().await,
            (&Method::GET, player) => match player.parse() {
                Ok(player) => self.events(player, after(request.uri().query().unwrap_or_default())).await,
                Err(_) => return say(StatusCode::NOT_FOUND, "There is no such record here."),
            },
            (&Method::POST, "") if path == PATH => return self.take(request).await,
            _ => {
                return say(
                    StatusCode::METHOD_NOT_ALLOWED,
                    "The log is read with GET and added to with POST.",
                );
            }
        };
        outcome.unwrap_or_else(|error| failed(&error))
    }

    async fn players(&self) -> Result<Response, StoreError> {
        let players = self.store.players().await?;
        Ok(told(
            StatusCode::OK,
            "application/json",
            json!({"store": self.name, "players": players}).to_string(),
        ))
    }

    async fn events(&self, player: PlayerId, after: u64) -> Result<Response, StoreError> {
        let page = self.store.read(player, after, PAGE).await?;
        let head = page.events.last().map_or(after.min(page.head), |(place, _)| *place);
        let mut lines = String::new();
        // That somebody was erased is told whatever was read before.
        for event in page.tombstone.iter().chain(page.events.iter().map(|(_, event)| event)) {
            // What was read can be written.
            if let Ok(line) = event.encode() {
                lines.push_str(&line);
                lines.push('\n');
            }
        }
        let mut response = told(StatusCode::OK, "application/x-ndjson", lines);
        response.headers_mut().insert(HEAD, HeaderValue::from(head));
        Ok(response)
    }

    async fn take(&self, request: Request) -> Response {
        let Ok(bytes) = to_bytes(request.into_body(), MOST).await else {
            return say(StatusCode::PAYLOAD_TOO_LARGE, "Too much at once: send at most 16 MiB of lines.");
        };
        let Ok(text) = std::str::from_utf8(&bytes) else {
            return say(StatusCode::BAD_REQUEST, "These are no lines of text.");
        };
        let (mut events, mut refused) = (Vec::new(), Vec::new());
        for (number, line) in (1..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty()) {
            match coming_in(line) {
                Ok(event) => events.push(event),
                Err(why) => refused.push(format!("line {number}: {why}")),
            }
        }
        match self.store.merge(&events).await {
            Ok(merged) => {
                let answer = json!({"new": merged.new, "known": merged.known, "erased": merged.erased, "refused": refused});
                told(StatusCode::OK, "application/json", answer.to_string())
            }
            Err(error) => failed(&error),
        }
    }
}

/// Whether a request comes from a page of this address, or from no page at all.
fn is_own(request: &Request) -> bool {
    let text = |name: &str| request.headers().get(name).and_then(|value| value.to_str().ok());
    // Browsers say where a request comes from, and no page can make them say otherwise; older ones at least at a POST.
    let site = text("sec-fetch-site").is_none_or(|site| site == "same-origin");
    // One that has none to tell says "null".
    let own = |origin: &str| origin.split_once("://").is_some_and(|(_, host)| Some(host) == text("host"));
    site && text("origin").is_none_or(own)
}

/// The place in "after=17"; the beginning if there is none.
fn after(query: &str) -> u64 {
    let found = query.split('&').find_map(|pair| pair.strip_prefix("after="));
    found.and_then(|place| place.parse().ok()).unwrap_or(0)
}

fn failed(error: &StoreError) -> Response {
    told(
        StatusCode::INTERNAL_SERVER_ERROR,
        "text/plain; charset=utf-8",
        format!("The record could not be used: {error}"),
    )
}

fn told(status: StatusCode, kind: &'static str, text: String) -> Response {
    let mut response = Response::new(Body::from(text));
    *response.status_mut() = status;
    response.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    response
}
