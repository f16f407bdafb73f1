//! The app from the program itself: over a socket, and as files.
//!
//! Before `cargo xtask web` there is one page in the app's place; what needs more is then held to be refused. The stage
//! `web` of `cargo xtask test` runs this with the app.

// Helpers of tests may stop where they stand, as tests do.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// A folder of the test's own, with the record in it.
fn command(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_longrail"));
    command
        .args(arguments)
        .current_dir(folder)
        .env("LONGRAIL_HOME", folder.join("home"))
        .env_remove("LONGRAIL_RECORD");
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    command(folder, arguments).output().unwrap()
}

fn refused(folder: &Path, arguments: &[&str], words: &str) {
    let out = run(folder, arguments);
    let said = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(5), "{said}");
    assert!(out.stdout.is_empty());
    assert!(said.contains(words) && said.trim_end().lines().count() == 1, "{said}");
}

/// A running `longrail serve`, ended with the test.
struct Server {
    child: Child,
    port: u16,
    app: bool,
    notes: Vec<Value>,
    _folder: TempDir,
}

impl Server {
    fn start() -> Self {
        Self::start_with(&[])
    }

    fn start_with(arguments: &[&str]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let words = [&["serve", "--port", "0", "--json"], arguments].concat();
        let mut child = command(folder.path(), &words).stdout(Stdio::piped()).spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let said: Value = serde_json::from_str(&line).unwrap();
        let port = u16::try_from(said["port"].as_u64().unwrap()).unwrap();
        assert_eq!(said["address"], format!("http://127.0.0.1:{port}/"));
        let notes = said["notes"].as_array().unwrap().clone();
        Self { child, port, app: said["app"].as_bool().unwrap(), notes, _folder: folder }
    }

    /// Head and body of the answer.
    fn ask(&self, path: &str, host: &str) -> (String, Vec<u8>) {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").unwrap();
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes).unwrap();
        let end = bytes.windows(4).position(|four| four == b"\r\n\r\n").unwrap();
        let body = bytes.split_off(end + 4);
        (String::from_utf8(bytes).unwrap().to_lowercase(), body)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have ended by itself, as a test wanted.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn the_page_comes_over_a_socket_with_its_protection() {
    let server = Server::start();
    let (head, body) = server.ask("/", "localhost");
    assert!(head.starts_with("http/1.1 200"), "{head}");
    for header in ["content-security-policy: default-src 'none'", "cache-control: no-cache", "etag: \""] {
        assert!(head.contains(header), "{head}");
    }
    let page = String::from_utf8(body).unwrap();
    assert!(page.contains("<title>Longrail</title>"), "{page}");
    let (head, _) = server.ask("/nothing.js", "localhost");
    assert!(head.starts_with("http/1.1 404"), "{head}");
    let (head, _) = server.ask("/", "example.org");
    assert!(head.starts_with("http/1.1 421"), "{head}");
    for name in if server.app { named(&page) } else { Vec::new() } {
        let (head, body) = server.ask(&format!("/{name}"), "127.0.0.1");
        assert!(head.starts_with("http/1.1 200") && !body.is_empty(), "{name}: {head}");
    }
}

#[test]
fn at_all_addresses_it_says_what_will_not_work_there() {
    assert_eq!(Server::start().notes, [Value::Null; 0]);
    let server = Server::start_with(&["--listen", "0.0.0.0"]);
    let plain = server.notes.last().unwrap().as_str().unwrap();
    assert!(plain.contains("over plain http") && plain.contains("https"), "{plain}");
}

#[test]
fn the_record_is_shared_with_the_app_on_this_machine_unless_it_is_not_to_be() {
    let shared = |server: &Server| {
        let (_, body) = server.ask("/share.json", "localhost");
        let told: Value = serde_json::from_slice(&body).unwrap();
        !told["store"].as_str().unwrap().is_empty()
    };
    assert!(shared(&Server::start()));
    let server = Server::start_with(&["--no-share"]);
    // Without the app there is nothing at all under that name.
    assert!(!server.app || !shared(&server));
    let (head, _) = server.ask("/api/log/00000000000000000000000000000001", "localhost");
    assert!(head.starts_with("http/1.1 404"), "{head}");
}

#[cfg(unix)]
#[test]
fn ctrl_c_ends_it_even_while_a_browser_holds_a_connection() {
    let mut server = Server::start();
    let mut idle = TcpStream::connect(("127.0.0.1", server.port)).unwrap();
    idle.write_all(b"GET / HTTP/1.1\r\n").unwrap();
    let id = server.child.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    assert_eq!(server.child.wait().unwrap().code(), Some(0));
}

#[test]
fn a_port_in_use_is_told_with_the_way_out() {
    let folder = tempfile::tempdir().unwrap();
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    refused(folder.path(), &["serve", "--port", &port], "choose another with --port");
}

#[test]
fn a_record_that_cannot_be_opened_is_told_at_once() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("letter.txt"), "Dear Ann, this is not a record at all.").unwrap();
    refused(folder.path(), &["serve", "--port", "0", "--record", "letter.txt"], "letter.txt");
}

#[test]
fn an_address_of_another_machine_is_told() {
    let folder = tempfile::tempdir().unwrap();
    // Reserved for documents (RFC 5737): nobody's.
    refused(folder.path(), &["serve", "--port", "0", "--listen", "192.0.2.1"], "--listen");
}

#[test]
fn an_export_holds_every_file_that_its_page_and_service_worker_name() {
    let folder = tempfile::tempdir().unwrap();
    if !Server::start().app {
        refused(folder.path(), &["app", "export", "site"], "cargo xtask web");
        return;
    }
    let out = run(folder.path(), &["app", "export", "site"]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    assert!(String::from_utf8(out.stdout).unwrap().contains("application/wasm"));
    let site = folder.path().join("site");
    let text = |name: &str| std::fs::read_to_string(site.join(name)).unwrap();
    let (page, keeper) = (named(&text("index.html")), listed(&text("sw.js")));
    assert!(page.len() >= 8 && keeper.len() >= 13, "{page:?} {keeper:?}");
    for name in page.iter().chain(&keeper) {
        assert!(site.join(name).is_file(), "{name}");
    }
    for name in ["index.html", "sw.js", "boot.js"] {
        assert!(site.join(format!("{name}.br")).is_file() && site.join(format!("{name}.gz")).is_file());
    }
    // Once more into the same folder, and nothing is added.
    let count = || std::fs::read_dir(&site).unwrap().count();
    let before = count();
    assert!(run(folder.path(), &["app", "export", "site"]).status.success());
    assert_eq!(count(), before);
    std::fs::write(folder.path().join("note.txt"), "mine").unwrap();
    refused(folder.path(), &["app", "export", "."], "holds other files");
}

/// The files that a page names.
fn named(page: &str) -> Vec<String> {
    let pieces = page.split("=\"./").skip(1);
    pieces.filter_map(|piece| piece.split('"').next()).map(str::to_owned).collect()
}

/// The files that the service worker keeps; its page has the name of the folder.
fn listed(keeper: &str) -> Vec<String> {
    let lists = keeper.lines().filter_map(|line| line.split_once(" = ")?.1.strip_suffix(';'));
    let lists = lists.filter_map(|list| serde_json::from_str::<Vec<String>>(list).ok());
    lists.flatten().filter(|name| name != "./").collect()
}
