//! The suite on PostgreSQL: a cluster of its own in a temporary folder, without a port, gone afterwards.
//!
//! Ignored in a plain `cargo test`, because it needs a server's programs; `cargo xtask test --only store` sees to
//! them, says where they are in `LONGRAIL_PG_BIN`, and runs it.

// Helpers of tests may stop where they stand, as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]
#![cfg(unix)]

mod suite;

use longrail_store::SqlStore;
use sqlx::postgres::PgPool;
use std::os::unix::fs::{MetadataExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use suite::run;

/// The user and group that own nothing, by custom. The server refuses to run as the administrator.
const NOBODY: u32 = 65_534;

struct Cluster {
    bin: PathBuf,
    folder: tempfile::TempDir,
}

impl Cluster {
    fn start() -> Self {
        let bin =
            std::env::var_os("LONGRAIL_PG_BIN").expect("run `cargo xtask test --only store`, which sets it");
        let folder = tempfile::tempdir().unwrap();
        if is_root(folder.path()) {
            chown(folder.path(), Some(NOBODY), Some(NOBODY)).unwrap();
        }
        let cluster = Self { bin: bin.into(), folder };
        let data = cluster.folder.path().join("data");
        let data = data.to_str().unwrap();
        cluster.run("initdb", &["-D", data, "-U", "tester", "-A", "trust", "-E", "UTF8", "--locale=C"]);
        // No power is cut here, so nothing waits for the disk.
        let options = format!("-k {} -c listen_addresses='' -c fsync=off", cluster.folder.path().display());
        let log = cluster.folder.path().join("log");
        cluster.run("pg_ctl", &["-D", data, "-w", "-l", log.to_str().unwrap(), "-o", &options, "start"]);
        cluster
    }

    fn run(&self, program: &str, arguments: &[&str]) {
        let mut command = Command::new(self.bin.join(program));
        command.args(arguments).current_dir(self.folder.path());
        if is_root(Path::new("/proc/self")) {
            command.uid(NOBODY).gid(NOBODY);
        }
        // The server inherits its output, and must not hold the test's.
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        assert!(command.status().unwrap().success(), "{program} {arguments:?}");
    }

    fn url(&self, database: &str) -> String {
        format!("postgres://tester@localhost/{database}?host={}", self.folder.path().display())
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        let data = self.folder.path().join("data");
        self.run("pg_ctl", &["-D", data.to_str().unwrap(), "-m", "immediate", "-w", "stop"]);
    }
}

fn is_root(path: &Path) -> bool {
    std::fs::metadata(path).unwrap().uid() == 0
}

#[test]
#[ignore = "needs a PostgreSQL server's programs: cargo xtask test --only store"]
fn the_suite() {
    let cluster = Cluster::start();
    for (name, case) in suite::ALL {
        println!("{name}");
        run(async {
            let admin = PgPool::connect(&cluster.url("postgres")).await.unwrap();
            sqlx::query("DROP DATABASE IF EXISTS empty").execute(&admin).await.unwrap();
            sqlx::query("CREATE DATABASE empty").execute(&admin).await.unwrap();
            admin.close().await;
        });
        case(&cluster.url("empty"));
    }
    let error = run(SqlStore::open(&cluster.url("nowhere"))).err().unwrap().to_string();
    assert!(error.contains("nowhere"), "{error}");
}
