//! The files of the app, each with its compressed forms.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::hash::Hasher;

use axum::body::Bytes;
use rust_embed::RustEmbed;
use siphasher::sip128::{Hasher128, SipHasher13};

use crate::negotiate::Coding;

/// What `cargo xtask web` made; a debug build reads the folder at each start.
#[derive(RustEmbed)]
#[folder = "../../dist/app"]
struct Embedded;

/// One file.
#[derive(Debug)]
pub(crate) struct File {
    /// As it is, and compressed.
    forms: BTreeMap<Coding, Bytes>,
    /// Differs where the content does.
    pub(crate) mark: String,
}

impl File {
    /// The file in this form, if it has it.
    pub(crate) fn form(&self, coding: Coding) -> Option<&Bytes> {
        self.forms.get(&coding)
    }

    /// Does what is sent depend on what the browser takes?
    pub(crate) fn varies(&self) -> bool {
        self.forms.len() > 1
    }
}

/// All files, by name.
#[derive(Debug)]
pub(crate) struct Files {
    files: BTreeMap<String, File>,
}

impl Files {
    /// Those in the program.
    pub(crate) fn embedded() -> Self {
        Self::of(Embedded::iter().filter_map(|name| {
            let bytes = match Embedded::get(&name)?.data {
                Cow::Borrowed(bytes) => Bytes::from_static(bytes),
                Cow::Owned(bytes) => bytes.into(),
            };
            Some((name.into_owned(), bytes))
        }))
    }

    pub(crate) fn of(files: impl IntoIterator<Item = (String, Bytes)>) -> Self {
        let mut forms: BTreeMap<String, BTreeMap<Coding, Bytes>> = BTreeMap::new();
        for (name, bytes) in files {
            let (name, coding) = Coding::of_name(&name);
            forms.entry(name.to_owned()).or_default().insert(coding, bytes);
        }
        let files = forms.into_iter().filter_map(|(name, forms)| {
            // Without the file itself there is nothing for a browser that takes no compressed form.
            let mark = mark(forms.get(&Coding::Identity)?);
            Some((name, File { forms, mark }))
        });
        Self { files: files.collect() }
    }

    /// The file of this name; compressed forms have none of their own.
    pub(crate) fn get(&self, name: &str) -> Option<&File> {
        self.files.get(name)
    }

    /// Every form of every file, under the name that it had.
    pub(crate) fn every(&self) -> impl Iterator<Item = (String, &[u8])> {
        self.files.iter().flat_map(|(name, file)| {
            file.forms
                .iter()
                .map(move |(coding, bytes)| (format!("{name}{}", coding.ending()), bytes.as_ref()))
        })
    }
}

fn mark(bytes: &[u8]) -> String {
    let mut hasher = SipHasher13::new();
    hasher.write(bytes);
    format!("{:032x}", hasher.finish128().as_u128())
}

/// Does the name change with the content, such as `app-0123456789abcdef.js`? Such a file may be kept for ever.
pub fn hashed(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default();
    let digits = stem.rsplit_once('-').map_or("", |(_, digits)| digits);
    digits.len() == 16 && digits.bytes().all(|digit| digit.is_ascii_digit() || (b'a'..=b'f').contains(&digit))
}

/// What a browser is told that a file is.
pub(crate) fn kind(name: &str) -> &'static str {
    match name.rsplit_once('.').map_or("", |(_, ending)| ending) {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "wasm" => "application/wasm",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "woff2" => "font/woff2",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::hashed;

    #[test]
    fn only_sixteen_hexadecimal_digits_behind_a_dash_are_a_hash() {
        for name in ["app-0123456789abcdef.js", "app-0123456789abcdef.js.br"] {
            assert!(hashed(name), "{name}");
        }
        for name in ["boot.js", "icon-180.png", "app-0123456789abcdeg.js", "0123456789abcdef.js", ""] {
            assert!(!hashed(name), "{name}");
        }
    }
}
