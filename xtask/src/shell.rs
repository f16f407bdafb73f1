//! Running other programs, and where things are in the repository.

use anyhow::{Context, Result, bail};
use std::env;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// The root of the repository, found at run time: no path of the building machine stays in the binary.
pub(crate) fn root() -> Result<PathBuf> {
    let start = match env::var_os("CARGO_MANIFEST_DIR") {
        Some(dir) => PathBuf::from(dir),
        None => env::current_dir().context("the current folder cannot be read")?,
    };
    let mut folder = start.as_path();
    loop {
        let manifest = folder.join("Cargo.toml");
        if std::fs::read_to_string(&manifest).is_ok_and(|text| text.contains("[workspace.package]")) {
            return Ok(folder.to_path_buf());
        }
        match folder.parent() {
            Some(parent) => folder = parent,
            None => bail!("no workspace found above {}: run from inside the repository", start.display()),
        }
    }
}

/// Where cargo puts what it builds.
pub(crate) fn target_dir(root: &Path) -> PathBuf {
    match env::var_os("CARGO_TARGET_DIR") {
        Some(dir) => root.join(dir),
        None => root.join("target"),
    }
}

/// A cargo command, run in the root of the repository.
pub(crate) fn cargo(root: &Path) -> Command {
    let mut command = Command::new("cargo");
    command.current_dir(root);
    // What cargo told this program about itself is none of that one's business: some packages' build scripts look at it,
    // and would be run again, with all that depends on them, whenever a build by hand follows one from here.
    for (name, _) in env::vars_os() {
        if name
            .to_str()
            .is_some_and(|name| ["CARGO_PKG_", "CARGO_MANIFEST_"].iter().any(|start| name.starts_with(start)))
        {
            command.env_remove(&name);
        }
    }
    command
}

/// Runs a command with its output shown; anything but success is an error that names it.
pub(crate) fn run(command: &mut Command) -> Result<()> {
    let status = command.status().with_context(|| not_started(command))?;
    if !status.success() {
        bail!("`{}` failed ({status})", line(command));
    }
    Ok(())
}

/// Runs a command and returns what it wrote to standard output; its messages are shown.
pub(crate) fn output(command: &mut Command) -> Result<String> {
    let out = command.stderr(Stdio::inherit()).output().with_context(|| not_started(command))?;
    if !out.status.success() {
        bail!("`{}` failed ({})", line(command), out.status);
    }
    String::from_utf8(out.stdout).with_context(|| format!("`{}` wrote text that is not UTF-8", line(command)))
}

/// Runs a command in silence and says whether it succeeded; a missing program is a "no".
pub(crate) fn quiet(command: &mut Command) -> bool {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// As [`quiet`], but gives up, and ends the child, after `limit`.
pub(crate) fn quiet_within(command: &mut Command, limit: Duration) -> bool {
    let child = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
    let Ok(mut child) = child else { return false };
    let start = Instant::now();
    loop {
        match child.try_wait() {
            Ok(Some(status)) => return status.success(),
            Ok(None) if start.elapsed() < limit => std::thread::sleep(Duration::from_millis(100)),
            _ => {
                // Failing to end it only means that it has just ended by itself.
                let _ = child.kill();
                let _ = child.wait();
                return false;
            }
        }
    }
}

/// Is the program there? Asked by its own version switch, so no search path is reimplemented here.
pub(crate) fn has(program: impl AsRef<OsStr>) -> bool {
    quiet(Command::new(program).arg("--version"))
}

/// Are we allowed to install packages of the system?
pub(crate) fn is_root() -> bool {
    let user = Command::new("id").arg("-u").stderr(Stdio::null()).output();
    user.is_ok_and(|out| out.stdout.trim_ascii() == b"0")
}

/// Installs Debian packages, if this is a Debian and we are root. Says whether they are there now.
pub(crate) fn apt_install(packages: &[&str]) -> bool {
    if !is_root() || !has("apt-get") {
        return false;
    }
    println!("installing {} …", packages.join(" "));
    let mut install = Command::new("apt-get");
    install.args(["install", "-y", "--no-install-recommends"]).args(packages);
    install.env("DEBIAN_FRONTEND", "noninteractive");
    // A fresh container has no package lists: the first try fails fast, the second has fetched them.
    quiet(&mut install) || (quiet(Command::new("apt-get").arg("update")) && quiet(&mut install))
}

/// The sysroot of the compiler that a plain `cargo build` uses.
pub(crate) fn sysroot() -> Result<PathBuf> {
    let printed = output(Command::new("rustc").args(["--print", "sysroot"]))?;
    Ok(PathBuf::from(printed.trim()))
}

/// The command as one would type it, for messages.
pub(crate) fn line(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    words.map(|word| word.to_string_lossy().into_owned()).collect::<Vec<_>>().join(" ")
}

fn not_started(command: &Command) -> String {
    format!("`{}` could not be started: is it installed?", command.get_program().to_string_lossy())
}

/// Seconds with a precision that suits their size.
pub(crate) fn seconds(time: Duration) -> String {
    let value = time.as_secs_f64();
    if value < 10.0 { format!("{value:.1} s") } else { format!("{value:.0} s") }
}
