//! The system's own browser.

use std::process::{Command, Stdio};

/// Opens an address in it. Says whether there was a way to ask.
pub(crate) fn open(address: &str) -> bool {
    if cfg!(target_os = "macos") {
        return ask(Command::new("open").arg(address));
    }
    if cfg!(windows) {
        return ask(Command::new("cmd").args(["/C", "start", "", address]));
    }
    let display = ["DISPLAY", "WAYLAND_DISPLAY"].iter().any(|name| std::env::var_os(name).is_some());
    display && ask(Command::new("xdg-open").arg(address))
}

/// Not waited for: some of these run as long as the browser does.
fn ask(command: &mut Command) -> bool {
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().is_ok()
}
