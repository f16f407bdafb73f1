//! `longrail serve`: the app for browsers.

use std::io::ErrorKind;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, UdpSocket};
use std::sync::Arc;

use longrail_server::App;
use serde_json::json;
use tokio::sync::Notify;

use crate::browser;
use crate::exit::Failure;
use crate::page::Page;
use crate::record::{Shelf, Source};

/// What plain http keeps from a page that comes from another machine.
const PLAIN: &str = "From other machines over plain http, browsers do not let the app work without a network, be installed, \
    or keep the screen awake. For that it needs https: put a reverse proxy with a certificate before this address, or \
    hand the app out from a host that has one (`longrail app export DIR`).";

/// Arguments of `longrail serve`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    /// The port; 0 takes a free one.
    #[arg(long, value_name = "N", default_value_t = 7117)]
    port: u16,
    /// The address of this machine at which to answer: 0.0.0.0 or :: for all of them.
    #[arg(long, value_name = "ADDRESS", default_value_t = IpAddr::V4(Ipv4Addr::LOCALHOST))]
    listen: IpAddr,
    /// Keep the record out of it: the app has its own in the browser alone. Needed behind a proxy, before which anybody may
    /// stand.
    #[arg(long)]
    no_share: bool,
    /// Open it in the browser.
    #[arg(long)]
    open: bool,
}

pub(crate) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    // A record that cannot be opened is told now, not when somebody wants to score.
    let shelf = Shelf::open(source)?;
    let wanted = SocketAddr::new(arguments.listen, arguments.port);
    let listener = TcpListener::bind(wanted).map_err(|error| cannot(wanted, &error))?;
    let at = listener.local_addr().map_err(|error| cannot(wanted, &error))?;
    let stop = Arc::new(Notify::new());
    let pressed = Arc::clone(&stop);
    ctrlc::set_handler(move || pressed.notify_one())
        .map_err(|error| Failure::Interrupt(error.to_string()))?;
    let mut app = App::embedded();
    if !arguments.no_share {
        let (store, name) = shelf.to_share();
        app = app.sharing(store, &name);
    }
    tell(at, &app, source)?;
    if arguments.open {
        // If there is no display, the address stands there already.
        browser::open(&address(at));
    }
    shelf
        .wait(longrail_server::serve(listener, &app, stop.notified()))
        .map_err(|error| Failure::Address(format!("{at}: {error}")))
}

/// One line that says where, and what does not work there.
fn tell(at: SocketAddr, app: &App, source: &Source) -> Result<(), Failure> {
    let address = address(at);
    let reading = format!("Longrail is at {address} – Ctrl-C ends it.");
    let mut page = Page::new(&reading, 0);
    if !app.is_built() {
        page.note("This program was built without the app: `cargo xtask web`, then build it again.");
    }
    let mut notes = Vec::new();
    if at.ip().is_unspecified()
        && let Some(own) = own_address()
    {
        notes.push(format!("From a phone in the same network: http://{}/", SocketAddr::new(own, at.port())));
    }
    if !at.ip().is_loopback() {
        notes.push(PLAIN.to_owned());
    }
    for note in &notes {
        page.note(note);
    }
    if source.json {
        // One line: whoever reads it does not wait for the end.
        let line = json!({
            "reading": reading, "address": address, "port": at.port(), "app": app.is_built(), "notes": notes,
        });
        return crate::print(&format!("{line}\n"));
    }
    page.print(false, &json!(null))
}

/// The address by which others in the network reach this machine, if there is one. Nothing is sent to find it.
fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    // An address for documentation (RFC 5737): the way to it is the way out.
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    Some(socket.local_addr().ok()?.ip())
}

/// What to type into a browser on this machine.
fn address(at: SocketAddr) -> String {
    let at = match at.ip() {
        // All addresses; this is one of them.
        ip if ip.is_unspecified() => SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), at.port()),
        _ => at,
    };
    format!("http://{at}/")
}

fn cannot(wanted: SocketAddr, error: &std::io::Error) -> Failure {
    let port = wanted.port();
    Failure::Address(match error.kind() {
        ErrorKind::AddrInUse => format!(
            "port {port} is in use, perhaps by another `longrail serve`: choose another with --port N, or --port 0 for a \
             free one"
        ),
        ErrorKind::PermissionDenied => {
            format!("port {port} may not be used without special rights: choose one above 1023 with --port N")
        }
        ErrorKind::AddrNotAvailable => {
            format!("{} is no address of this machine: choose another with --listen", wanted.ip())
        }
        _ => format!("{wanted} cannot be served at: {error}"),
    })
}
