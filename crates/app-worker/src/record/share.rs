//! Sharing with the record on the machine that serves the app, where there is one: what is new here goes there, and the other
//! way round. The network is waited for beside the questions, never in their place.

use std::collections::BTreeMap;

use longrail_practice::id::PlayerId;
use serde::Deserialize;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{DedicatedWorkerGlobalScope, RequestInit, Response};

use super::book::now;
use super::keeper::Keeper;
use super::trouble::Trouble;

/// Where the server says that it has a log, and where that is, from the worker's script.
const THERE: &str = "./share.json";
const PATH: &str = "./api/log";
/// Events sent at once.
const PAGE: u32 = 2_000;
/// Where an answer says up to which place it goes.
const HEAD: &str = "x-longrail-head";

/// What there is to send, and what is known of the other side.
pub(super) struct Sending {
    store: String,
    /// Up to which place the other side's events were read, by player.
    cursors: BTreeMap<PlayerId, u64>,
    /// Lines that were not sent yet, in parts.
    parts: Vec<String>,
    until: u64,
}

/// What came of an exchange.
pub(super) enum Exchanged {
    /// There is no store at this address, or no network.
    Nothing,
    /// There is another store than before, of this name, or another record in it.
    Other(String),
    /// Both sides have everything.
    Shared(Shared),
}

/// What the other side had.
pub(super) struct Shared {
    cursors: BTreeMap<PlayerId, u64>,
    lines: String,
    until: u64,
}

/// What the server says first.
#[derive(Deserialize)]
struct There {
    store: String,
    players: Vec<PlayerId>,
}

impl Keeper {
    /// Gathers what is to be sent.
    pub(super) async fn sending(&self) -> Result<Sending, Trouble> {
        let (parts, until) = self.lines_after(self.here.sent).await?;
        Ok(Sending { store: self.here.store.clone(), cursors: self.here.cursors.clone(), parts, until })
    }

    async fn lines_after(&self, mut place: u64) -> Result<(Vec<String>, u64), Trouble> {
        let access = self.database.read()?;
        let mut parts = Vec::new();
        loop {
            let rows = access.events(place, PAGE).await?;
            let Some(last) = rows.last() else { return Ok((parts, place)) };
            place = last.place;
            parts.push(rows.into_iter().map(|row| row.line + "\n").collect());
        }
    }

    /// Another store is at this address than before: everything goes there, and everything is read from it.
    pub(super) async fn meet(&mut self, store: String) -> Result<(), Trouble> {
        self.change_here(|here| {
            here.store = store;
            here.sent = 0;
            here.cursors.clear();
        })
        .await
    }

    /// Takes what the other side had.
    pub(super) async fn take_shared(&mut self, shared: Shared) -> Result<(), Trouble> {
        let mut sent = shared.until;
        if !shared.lines.is_empty() {
            let (_, places) = self.take_in(&shared.lines).await?;
            // What came from there need not go back; what was noted here meanwhile goes next time.
            if places.start == shared.until {
                sent = places.end;
            }
        }
        let ms = now().wall.ms;
        self.change_here(|here| {
            here.cursors = shared.cursors;
            here.sent = sent;
            here.backed_up = here.backed_up.max(sent);
            here.backed_up_ms = Some(ms);
        })
        .await
    }
}

/// The exchange itself.
pub(super) async fn exchange(sending: Sending) -> Exchanged {
    tried(sending).await.unwrap_or(Exchanged::Nothing)
}

async fn tried(sending: Sending) -> Option<Exchanged> {
    if !from_this_machine() {
        return None;
    }
    let there: There = serde_json::from_str(&ask(THERE, None).await?.0).ok()?;
    if there.store.is_empty() {
        return None;
    }
    if there.store != sending.store {
        return Some(Exchanged::Other(there.store));
    }
    let mut cursors = sending.cursors;
    if cursors.iter().any(|(player, cursor)| *cursor > 0 && !there.players.contains(player)) {
        return Some(Exchanged::Other(there.store));
    }
    for part in &sending.parts {
        ask(PATH, Some(part)).await?;
    }
    let mut lines = String::new();
    for player in there.players {
        let cursor = cursors.entry(player).or_default();
        loop {
            let (text, head) = ask(&format!("{PATH}/{player}?after={cursor}"), None).await?;
            lines.push_str(&text);
            match head {
                Some(head) if head > *cursor => *cursor = head,
                // It has less than was read from it, and was not erased: it is another one than before.
                Some(head) if head < *cursor && text.is_empty() => {
                    return Some(Exchanged::Other(there.store));
                }
                _ => break,
            }
        }
    }
    Some(Exchanged::Shared(Shared { cursors, lines, until: sending.until }))
}

/// Whether the app comes from the very machine it runs on: a record is shared with no other, whatever a server says.
fn from_this_machine() -> bool {
    let scope: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
    let name = scope.location().hostname();
    matches!(name.as_str(), "localhost" | "127.0.0.1" | "[::1]") || name.ends_with(".localhost")
}

/// One request: its text, and up to which place it goes. Nothing if it failed.
async fn ask(path: &str, lines: Option<&str>) -> Option<(String, Option<u64>)> {
    let scope: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
    let options = RequestInit::new();
    if let Some(lines) = lines {
        options.set_method("POST");
        options.set_body(&JsValue::from(lines));
    }
    let answer = JsFuture::from(scope.fetch_with_str_and_init(path, &options)).await.ok()?;
    let answer: Response = answer.dyn_into().ok()?;
    if !answer.ok() {
        return None;
    }
    let head = answer.headers().get(HEAD).ok()?.and_then(|head| head.parse().ok());
    let text = JsFuture::from(answer.text().ok()?).await.ok()?.as_string()?;
    Some((text, head))
}
