//! The record in and out: as the log, as a table of attempts, and from paper.

pub(super) mod log;
pub(super) mod paper;
pub(super) mod table;

pub(super) use table::name_of;

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use crate::exit::Failure;

/// A file that is written beside its place and moved there when it is whole; or standard output.
pub(super) struct Out {
    to: Option<(PathBuf, PathBuf)>,
    writer: Box<dyn Write>,
}

fn told(file: &Path, error: &std::io::Error) -> Failure {
    Failure::File(format!("{}: {error}", file.display()))
}

impl Out {
    pub(super) fn open(file: &Path) -> Result<Self, Failure> {
        if file == Path::new("-") {
            return Ok(Self { to: None, writer: Box::new(std::io::stdout().lock()) });
        }
        let mut beside = file.as_os_str().to_owned();
        beside.push(".part");
        let beside = PathBuf::from(beside);
        let writer = File::create(&beside).map_err(|error| told(file, &error))?;
        Ok(Self { to: Some((beside, file.to_owned())), writer: Box::new(BufWriter::new(writer)) })
    }

    pub(super) fn line(&mut self, line: &str) -> Result<(), Failure> {
        writeln!(self.writer, "{line}").map_err(|error| self.failed(&error))
    }

    fn failed(&self, error: &std::io::Error) -> Failure {
        match &self.to {
            Some((beside, file)) => {
                // Nothing to do if the rest cannot be removed either.
                let _ = std::fs::remove_file(beside);
                told(file, error)
            }
            None => Failure::File(format!("standard output: {error}")),
        }
    }

    /// Says whether something can still be said on standard output.
    pub(super) fn done(mut self) -> Result<bool, Failure> {
        self.writer.flush().map_err(|error| self.failed(&error))?;
        let Self { to, writer } = self;
        drop(writer);
        let Some((beside, file)) = to else { return Ok(false) };
        std::fs::rename(&beside, &file).map_err(|error| told(&file, &error))?;
        Ok(true)
    }
}
