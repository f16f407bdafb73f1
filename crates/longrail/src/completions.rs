//! `longrail completions`: scripts for shells.

use clap::CommandFactory;
use clap_complete::{Shell, generate};

use crate::exit::Failure;

/// Arguments of `longrail completions`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    /// The shell to write for.
    shell: Shell,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let mut script = Vec::new();
    generate(arguments.shell, &mut crate::Arguments::command(), "longrail", &mut script);
    crate::print(&String::from_utf8_lossy(&script))
}
