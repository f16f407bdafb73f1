//! The record on this machine, shared with the app: what goes out, what comes in, and who is refused.
#![allow(clippy::unwrap_used)]

use std::net::{IpAddr, Ipv4Addr};

use axum::body::{Body, to_bytes};
use axum::http::{Method, Request, StatusCode};
use longrail_practice::clock::Stamp;
use longrail_practice::desk::{Now, Writer};
use longrail_practice::drill::{RungNumber, Setup};
use longrail_practice::event::{Event, Payload, PersonErased, PromotionAccepted, Study, Task, Wall};
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_server::App;
use longrail_store::SqlStore;
use serde_json::Value;
use tower::ServiceExt;

const HERE: IpAddr = IpAddr::V4(Ipv4Addr::LOCALHOST);
const ANYWHERE: IpAddr = IpAddr::V4(Ipv4Addr::UNSPECIFIED);
const PLAYER: PlayerId = PlayerId::from_bits(7);

struct There {
    _folder: tempfile::TempDir,
    app: App,
}

async fn there() -> There {
    let folder = tempfile::tempdir().unwrap();
    let store = SqlStore::in_file(&folder.path().join("record.db")).await.unwrap();
    let files = [("share.json".to_owned(), b"{\"store\": \"\", \"players\": []}".to_vec())];
    There { app: App::of(files).sharing(store, "here"), _folder: folder }
}

async fn ask_at(
    there: &There,
    at: IpAddr,
    method: Method,
    path: &str,
    headers: &[(&str, &str)],
    body: &str,
) -> (StatusCode, Option<String>, String) {
    let mut request = Request::builder().method(method).uri(path).header("host", "localhost:7117");
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    let request = request.body(Body::from(body.to_owned())).unwrap();
    let (head, body) = there.app.router(at).oneshot(request).await.unwrap().into_parts();
    let bytes = to_bytes(body, 1 << 20).await.unwrap();
    let place = head.headers.get("x-longrail-head").map(|value| value.to_str().unwrap().to_owned());
    (head.status, place, String::from_utf8(bytes.to_vec()).unwrap())
}

async fn ask(there: &There, method: Method, path: &str, body: &str) -> (StatusCode, Option<String>, String) {
    ask_at(there, HERE, method, path, &[("sec-fetch-site", "same-origin")], body).await
}

fn events(author: PlayerId, payloads: Vec<Payload>) -> String {
    let mut writer = Writer::resume(DeviceId::from_bits(3), author, Stamp::default(), 0);
    let now = Now { clock_ms: 1_793_707_200_000, wall: Wall { ms: 1_793_707_200_000, offset_min: 0 } };
    let lines = (1..).zip(payloads).map(|(random, payload)| {
        let event: Event = writer.event(PLAYER, now, random, payload);
        event.encode().unwrap() + "\n"
    });
    lines.collect()
}

fn study(minutes: u32) -> Payload {
    Payload::Study(Study { minutes, line: String::new() })
}

#[tokio::test]
async fn what_was_sent_once_or_twice_is_handed_out_once() {
    let there = there().await;
    let lines = events(PLAYER, vec![study(10), study(20)]);
    for new in [2, 0] {
        let (status, _, body) = ask(&there, Method::POST, "/api/log", &lines).await;
        let told: Value = serde_json::from_str(&body).unwrap();
        assert_eq!(
            (status, told["new"].as_u64(), told["known"].as_u64()),
            (StatusCode::OK, Some(new), Some(2 - new))
        );
    }
    let (_, _, body) = ask(&there, Method::GET, "/share.json", "").await;
    let told: Value = serde_json::from_str(&body).unwrap();
    assert_eq!(told["players"], serde_json::json!([PLAYER]));
    assert_eq!(told["store"].as_str().unwrap().len(), 16);
    let path = format!("/api/log/{PLAYER}");
    let (_, place, body) = ask(&there, Method::GET, &path, "").await;
    assert_eq!(body, lines);
    let (_, after, rest) =
        ask(&there, Method::GET, &format!("{path}?after={}", place.clone().unwrap()), "").await;
    assert_eq!((rest.as_str(), after), ("", place));
}

#[tokio::test]
async fn whoever_has_read_more_than_there_is_is_told_so() {
    let there = there().await;
    ask(&there, Method::POST, "/api/log", &events(PLAYER, vec![study(10), study(20)])).await;
    let path = format!("/api/log/{PLAYER}");
    let (_, place, _) = ask(&there, Method::GET, &path, "").await;
    let (_, after, rest) = ask(&there, Method::GET, &format!("{path}?after=999"), "").await;
    assert_eq!((rest.as_str(), after), ("", place));
}

#[tokio::test]
async fn a_line_that_is_none_is_refused_by_its_number_and_the_others_are_taken() {
    let there = there().await;
    let lines = format!("{}nonsense\n", events(PLAYER, vec![study(10)]));
    let (_, _, body) = ask(&there, Method::POST, "/api/log", &lines).await;
    let told: Value = serde_json::from_str(&body).unwrap();
    assert_eq!(told["new"], 1);
    assert!(told["refused"][0].as_str().unwrap().starts_with("line 2: "), "{body}");
}

#[tokio::test]
async fn that_somebody_was_erased_is_told_whatever_was_read_before() {
    let there = there().await;
    ask(&there, Method::POST, "/api/log", &events(PLAYER, vec![study(10), study(20)])).await;
    let path = format!("/api/log/{PLAYER}");
    let (_, place, _) = ask(&there, Method::GET, &path, "").await;
    let erased = Payload::PersonErased(PersonErased {});
    ask(&there, Method::POST, "/api/log", &events(PLAYER, vec![erased])).await;
    let (_, _, rest) = ask(&there, Method::GET, &format!("{path}?after={}", place.unwrap()), "").await;
    assert!(rest.contains("person_erased"), "{rest}");
}

#[tokio::test]
async fn nobody_decides_for_somebody_else_through_it() {
    let there = there().await;
    let task = Task {
        drill: "long-straight-pot".to_owned(),
        drill_version: 1,
        rung: RungNumber::FIRST,
        setup: Setup::Given,
        constraints: String::new(),
        card: EventId::from_bits(5),
    };
    let pass = Payload::PromotionAccepted(PromotionAccepted { task, made: 7, tried: 7 });
    let (_, _, body) =
        ask(&there, Method::POST, "/api/log", &events(PlayerId::from_bits(8), vec![pass])).await;
    let told: Value = serde_json::from_str(&body).unwrap();
    assert_eq!(told["new"], 0);
    assert!(told["refused"][0].as_str().unwrap().contains("promotion_accepted"), "{body}");
}

#[tokio::test]
async fn pages_of_other_origins_and_other_machines_get_nothing() {
    let there = there().await;
    let lines = events(PLAYER, vec![study(10)]);
    for headers in [
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
        ("origin", "http://example.org"),
        ("origin", "null"),
    ] {
        let (status, _, _) = ask_at(&there, HERE, Method::POST, "/api/log", &[headers], &lines).await;
        assert_eq!(status, StatusCode::FORBIDDEN, "{headers:?}");
    }
    // What a proxy passed on may come from anywhere: there is no log, whatever else it says of itself.
    for header in
        ["forwarded", "via", "x-real-ip", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto"]
    {
        let passed_on = [(header, "198.51.100.7"), ("sec-fetch-site", "same-origin")];
        let log = format!("/api/log/{PLAYER}");
        let (status, _, _) = ask_at(&there, HERE, Method::GET, &log, &passed_on, "").await;
        assert_eq!(status, StatusCode::NOT_FOUND, "{header}");
        let (status, _, _) = ask_at(&there, HERE, Method::POST, "/api/log", &passed_on, &lines).await;
        assert_eq!(status, StatusCode::METHOD_NOT_ALLOWED, "{header}");
        let (_, _, body) = ask_at(&there, HERE, Method::GET, "/share.json", &passed_on, "").await;
        assert!(body.contains("\"store\": \"\""), "{header}: {body}");
    }
    let own = [("sec-fetch-site", "same-origin")];
    // At an address that others reach there is no log, and the file says so.
    let (status, _, body) = ask_at(&there, ANYWHERE, Method::GET, "/share.json", &own, "").await;
    assert_eq!((status, body.contains("\"store\": \"\"")), (StatusCode::OK, true));
    let (status, _, _) = ask_at(&there, ANYWHERE, Method::GET, &format!("/api/log/{PLAYER}"), &own, "").await;
    assert_eq!(status, StatusCode::NOT_FOUND);
    let (_, _, body) = ask(&there, Method::GET, "/share.json", "").await;
    assert_eq!(serde_json::from_str::<Value>(&body).unwrap()["players"], serde_json::json!([]));
}
