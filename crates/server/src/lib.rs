//! Serving the app.
//!
//! **Knows** HTTP, the files of the app, and how the record on this machine is shared with it.
//! **Does not know** what the app does, nor what events mean.
//!
//! `files.rs` holds the files, `answer.rs` finds the one that a request is for, `negotiate.rs` the form in which the
//! browser takes it; `headers.rs` says what a page may do, `host.rs` who is asked for. `log.rs` exchanges events.

mod answer;
mod files;
mod headers;
mod host;
mod log;
mod negotiate;

use std::future::Future;
use std::io;
use std::net::{IpAddr, TcpListener};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::Request;
use longrail_store::SqlStore;

use files::Files;
pub use files::hashed;
pub use host::is_local;
use log::Log;

/// How long a connection may take to end once it is asked to.
const GRACE: Duration = Duration::from_secs(2);

/// The app, ready to be handed out.
#[derive(Clone, Debug)]
pub struct App {
    files: Arc<Files>,
    log: Option<Arc<Log>>,
}

impl App {
    /// The app that is built into this program, or one page that says that there is none.
    pub fn embedded() -> Self {
        Self { files: Arc::new(Files::embedded()), log: None }
    }

    /// An app of these files: names relative to its folder, and contents.
    /// A name that ends in `.br` or `.gz` is the compressed form of the file before that ending.
    pub fn of(files: impl IntoIterator<Item = (String, Vec<u8>)>) -> Self {
        let files = Files::of(files.into_iter().map(|(name, bytes)| (name, bytes.into())));
        Self { files: Arc::new(files), log: None }
    }

    /// The same, sharing the record in this store with the app on this machine. `name` tells this store from others that may be
    /// at the same address another day; a digest of it goes out.
    #[must_use]
    pub fn sharing(self, store: SqlStore, name: &str) -> Self {
        Self { log: Some(Arc::new(Log::new(store, name))), ..self }
    }

    /// Is it there, rather than the page in its place?
    pub fn is_built(&self) -> bool {
        self.files.get("boot.js").is_some()
    }

    /// Every file, compressed forms included, by name.
    pub fn files(&self) -> impl Iterator<Item = (String, &[u8])> {
        self.files.every()
    }

    /// Answers requests that come in at this address of the machine. At a loopback address only requests for this
    /// machine itself are answered ([`is_local`]).
    pub fn router(&self, at: IpAddr) -> Router {
        let (files, log) = (Arc::clone(&self.files), self.log.clone());
        Router::new().fallback(move |request: Request| {
            let (files, log) = (Arc::clone(&files), log.clone());
            async move { answer::answer(&files, log.as_deref(), at, request).await }
        })
    }
}

/// Serves the app until `stop` is ready, then lets running answers end, for two seconds at most.
///
/// # Errors
///
/// If the listener cannot be used, or is lost.
pub async fn serve(listener: TcpListener, app: &App, stop: impl Future<Output = ()>) -> io::Result<()> {
    let router = app.router(listener.local_addr()?.ip());
    listener.set_nonblocking(true)?;
    let listener = tokio::net::TcpListener::from_std(listener)?;
    let stopping = Arc::new(tokio::sync::Notify::new());
    let told = Arc::clone(&stopping);
    let server = axum::serve(listener, router).with_graceful_shutdown(async move { told.notified().await });
    let mut server = std::pin::pin!(server.into_future());
    tokio::select! {
        ended = &mut server => return ended,
        () = stop => stopping.notify_one(),
    }
    // Whoever is still reading then has had time enough.
    tokio::time::timeout(GRACE, server).await.unwrap_or(Ok(()))
}
