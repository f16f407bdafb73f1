//! What comes back for what is asked, header by header.
#![allow(clippy::unwrap_used)]

use std::net::{IpAddr, Ipv4Addr};

use axum::body::{Body, to_bytes};
use axum::http::{Method, Request, Response, StatusCode};
use longrail_server::App;
use tower::ServiceExt;

const HERE: IpAddr = IpAddr::V4(Ipv4Addr::LOCALHOST);
const ANYWHERE: IpAddr = IpAddr::V4(Ipv4Addr::UNSPECIFIED);
const HASHED: &str = "/app-0123456789abcdef.wasm";

fn app() -> App {
    let files = [
        ("index.html", "the page"),
        ("index.html.br", "br page"),
        ("boot.js", "boot"),
        ("app-0123456789abcdef.wasm", "module"),
        ("app-0123456789abcdef.wasm.br", "br module"),
        ("app-0123456789abcdef.wasm.gz", "gz module"),
        ("icon-180.png", "pixels"),
        ("manifest.webmanifest", "{}"),
        ("font-0123456789abcdef.woff2", "letters"),
        ("sw.js", "keeper"),
        ("orphan.js.br", "no file of its own"),
    ];
    App::of(files.map(|(name, text)| (name.to_owned(), text.into())))
}

struct Answer {
    head: Response<()>,
    body: String,
}

impl Answer {
    fn header(&self, name: &str) -> Option<&str> {
        self.head.headers().get(name).map(|value| value.to_str().unwrap())
    }
}

fn ask_at(at: IpAddr, method: Method, path: &str, headers: &[(&str, &str)]) -> Answer {
    let mut request = Request::builder().method(method).uri(path);
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    let request = request.body(Body::empty()).unwrap();
    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
    runtime.block_on(async {
        let (head, body) = app().router(at).oneshot(request).await.unwrap().into_parts();
        let bytes = to_bytes(body, 1 << 20).await.unwrap();
        Answer { head: Response::from_parts(head, ()), body: String::from_utf8(bytes.to_vec()).unwrap() }
    })
}

fn get(path: &str, headers: &[(&str, &str)]) -> Answer {
    let mut all = vec![("host", "localhost:7117")];
    all.extend(headers);
    ask_at(HERE, Method::GET, path, &all)
}

#[test]
fn the_root_is_the_page() {
    for path in ["/", "/?from=home", "/index.html"] {
        let answer = get(path, &[]);
        assert_eq!((answer.head.status(), answer.body.as_str()), (StatusCode::OK, "the page"), "{path}");
        assert_eq!(answer.header("content-type"), Some("text/html; charset=utf-8"));
        assert_eq!(answer.header("content-length"), Some("8"));
    }
}

#[test]
fn each_browser_gets_the_form_it_takes() {
    for (accepts, encoding, body) in [
        ("gzip, deflate, br", Some("br"), "br module"),
        ("gzip", Some("gzip"), "gz module"),
        ("identity", None, "module"),
        ("br;q=0", None, "module"),
    ] {
        let answer = get(HASHED, &[("accept-encoding", accepts)]);
        assert_eq!((answer.header("content-encoding"), answer.body.as_str()), (encoding, body), "{accepts}");
        assert_eq!(answer.header("content-type"), Some("application/wasm"));
        assert_eq!(answer.header("vary"), Some("Accept-Encoding"));
        assert_eq!(answer.header("content-length"), Some(body.len().to_string().as_str()));
    }
    let page = get("/", &[("accept-encoding", "gzip")]);
    assert_eq!((page.header("content-encoding"), page.header("vary")), (None, Some("Accept-Encoding")));
    let picture = get("/icon-180.png", &[("accept-encoding", "br")]);
    assert_eq!((picture.header("content-encoding"), picture.header("vary")), (None, None));
}

#[test]
fn a_list_in_two_headers_is_one_list() {
    let answer = get(HASHED, &[("accept-encoding", "deflate"), ("accept-encoding", "gzip")]);
    assert_eq!(answer.header("content-encoding"), Some("gzip"));
}

#[test]
fn files_named_by_their_content_are_kept_and_the_others_asked_for_again() {
    for path in [HASHED, "/font-0123456789abcdef.woff2"] {
        let keep = get(path, &[]).header("cache-control").unwrap().to_owned();
        assert!(keep.contains("immutable") && keep.contains("max-age=31536000"), "{path}: {keep}");
    }
    for path in ["/", "/boot.js", "/sw.js", "/manifest.webmanifest", "/icon-180.png"] {
        assert_eq!(get(path, &[]).header("cache-control"), Some("no-cache"), "{path}");
    }
    assert_eq!(get("/manifest.webmanifest", &[]).header("content-type"), Some("application/manifest+json"));
}

#[test]
fn what_the_browser_has_is_not_sent_again() {
    let first = get(HASHED, &[("accept-encoding", "br")]);
    let etag = first.header("etag").unwrap();
    let again = get(HASHED, &[("accept-encoding", "br"), ("if-none-match", etag)]);
    assert_eq!((again.head.status(), again.body.as_str()), (StatusCode::NOT_MODIFIED, ""));
    for name in ["etag", "cache-control", "vary"] {
        assert_eq!(again.header(name), first.header(name), "{name}");
    }
    // Another form is another thing.
    let other = get(HASHED, &[("accept-encoding", "gzip"), ("if-none-match", etag)]);
    assert_eq!((other.head.status(), other.body.as_str()), (StatusCode::OK, "gz module"));
}

#[test]
fn a_head_has_the_headers_of_a_get_and_no_body() {
    let whole = get(HASHED, &[("accept-encoding", "br")]);
    let head = ask_at(HERE, Method::HEAD, HASHED, &[("host", "localhost"), ("accept-encoding", "br")]);
    assert_eq!((head.head.status(), head.body.as_str()), (StatusCode::OK, ""));
    assert_eq!(head.head.headers(), whole.head.headers());
}

#[test]
fn nothing_is_written_here() {
    for method in [Method::POST, Method::PUT, Method::DELETE, Method::OPTIONS] {
        let answer = ask_at(HERE, method, "/", &[("host", "localhost")]);
        assert_eq!(answer.head.status(), StatusCode::METHOD_NOT_ALLOWED);
        assert_eq!(answer.header("allow"), Some("GET, HEAD"));
    }
}

#[test]
fn an_address_without_a_dot_is_a_place_in_the_page() {
    for (path, location) in [
        ("/today", "./#/today"),
        ("/session/7", "../#/session/7"),
        ("/a/b/c?x=1", "../../?x=1#/a/b/c"),
        ("//elsewhere/x", "../#/elsewhere/x"),
    ] {
        let answer = get(path, &[]);
        assert_eq!(answer.head.status(), StatusCode::FOUND, "{path}");
        assert_eq!(answer.header("location"), Some(location), "{path}");
    }
}

#[test]
fn what_is_not_there_is_said_plainly() {
    for path in ["/nothing.js", "/a/../boot.js", "/boot.js.br", "/orphan.js", "/api/session", "/api"] {
        let answer = get(path, &[]);
        assert_eq!(answer.head.status(), StatusCode::NOT_FOUND, "{path}");
        assert_eq!(answer.body, "There is no such page or file here.");
        assert_eq!(answer.header("content-type"), Some("text/plain; charset=utf-8"));
    }
}

#[test]
fn every_answer_is_protected() {
    for path in ["/", "/nothing.js", "/today", HASHED] {
        let answer = get(path, &[]);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'none'; script-src 'self' 'wasm-unsafe-eval';"), "{policy}");
        assert!(policy.ends_with("frame-ancestors 'none'") && !policy.contains("unsafe-inline"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("no-referrer"));
        assert_eq!(answer.header("cross-origin-opener-policy"), Some("same-origin"));
        assert!(answer.header("permissions-policy").unwrap().contains("camera=()"));
    }
}

#[test]
fn another_name_that_leads_to_this_machine_is_refused() {
    for headers in [&[("host", "example.org")][..], &[]] {
        let answer = ask_at(HERE, Method::GET, "/", headers);
        assert_eq!(answer.head.status(), StatusCode::MISDIRECTED_REQUEST);
        assert!(answer.body.contains("localhost"), "{}", answer.body);
    }
    // A name in the address counts as well as one in the header.
    let answer = ask_at(HERE, Method::GET, "http://example.org/", &[("host", "localhost")]);
    assert_eq!(answer.head.status(), StatusCode::MISDIRECTED_REQUEST);
    let answer = ask_at(ANYWHERE, Method::GET, "/", &[("host", "example.org")]);
    assert_eq!(answer.head.status(), StatusCode::OK);
}

#[test]
fn a_page_says_so_where_there_is_no_app() {
    assert!(app().is_built());
    assert!(!App::of([("index.html".to_owned(), Vec::new())]).is_built());
    // Whatever this program was built with, there is a page.
    assert!(App::embedded().files().any(|(name, _)| name == "index.html"));
}

#[test]
fn every_file_can_be_had_under_its_own_name() {
    let app = app();
    let names: Vec<String> = app.files().map(|(name, _)| name).collect();
    assert!(names.contains(&"app-0123456789abcdef.wasm.gz".to_owned()), "{names:?}");
    assert_eq!(names.len(), 10, "all but the one without a file: {names:?}");
}
