//! The folder where the program keeps what belongs to this device: who it is, whose it is, and the record itself unless
//! another place is named.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use longrail_practice::id::{DeviceId, PlayerId};
use serde::{Deserialize, Serialize};

use super::random;
use crate::exit::Failure;
use crate::files;
use crate::library;

/// Variable that names another folder.
const VARIABLE: &str = "LONGRAIL_HOME";

/// What is known of this device.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Device {
    /// What its events are marked with.
    pub(super) id: DeviceId,
    /// Who is at the device: whose record commands are about unless they say, and who scores when they do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) using: Option<PlayerId>,
}

/// The folder.
pub(crate) struct Home {
    folder: PathBuf,
}

impl Home {
    /// Finds it, and makes it if need be.
    pub(crate) fn open() -> Result<Self, Failure> {
        let folder = Self::place().ok_or_else(|| {
            Failure::File(format!(
                "there is no home folder to keep the record in: set {VARIABLE} to a folder"
            ))
        })?;
        fs::create_dir_all(&folder).map_err(|error| {
            Failure::File(format!(
                "{}: {error}; set {VARIABLE} to a folder that can be written",
                folder.display()
            ))
        })?;
        Ok(Self { folder })
    }

    /// The folder named, or the one that the system has for such things; it may not be there yet.
    pub(crate) fn place() -> Option<PathBuf> {
        let named =
            |variable: &str| std::env::var_os(variable).filter(|value| !value.is_empty()).map(PathBuf::from);
        named(VARIABLE)
            .or_else(|| named("XDG_DATA_HOME").map(|folder| folder.join("longrail")))
            .or_else(|| named("APPDATA").map(|folder| folder.join("Longrail")))
            .or_else(|| named("HOME").map(|folder| folder.join(".local").join("share").join("longrail")))
    }

    /// The record, unless another is named.
    pub(super) fn record(&self) -> PathBuf {
        self.folder.join("record.db")
    }

    /// The player's own drills.
    pub(crate) fn drills(&self) -> PathBuf {
        self.folder.join(library::DRILLS)
    }

    fn file(&self) -> PathBuf {
        self.folder.join("device.json")
    }

    /// This device; a new one gets its name here.
    pub(super) fn device(&self) -> Result<Device, Failure> {
        let file = self.file();
        match fs::read_to_string(&file) {
            Ok(text) => serde_json::from_str(&text).map_err(|error| damaged(&file, &error)),
            Err(error) if error.kind() == ErrorKind::NotFound => {
                let device = Device { id: DeviceId::from_bits(random()?), using: None };
                self.keep(&device)?;
                Ok(device)
            }
            Err(error) => Err(Failure::File(format!("{}: {error}", file.display()))),
        }
    }

    /// Keeps what is known of this device.
    pub(super) fn keep(&self, device: &Device) -> Result<(), Failure> {
        let file = self.file();
        let text = serde_json::to_string_pretty(device).map_err(|error| damaged(&file, &error))?;
        files::save(&file, format!("{text}\n").as_bytes())
    }
}

fn damaged(file: &Path, error: &serde_json::Error) -> Failure {
    Failure::File(format!(
        "{}: {error}; move this file away, and the device gets a new name at the next command (the record stays)",
        file.display()
    ))
}
