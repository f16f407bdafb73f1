//! `longrail app`: the app as files, for a host that hands them out.

use std::collections::BTreeSet;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use clap::Subcommand;
use longrail_server::{App, hashed};

use crate::exit::Failure;
use crate::files;
use crate::page::Page;

/// The file that names all others, and by which an export is known.
const KEEPER: &str = "sw.js";
/// Stands in that file.
const SIGN: &str = "longrail-app";
/// What compressed files' names end in.
const PACKED: [&str; 2] = [".br", ".gz"];

/// Arguments of `longrail app`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Writes the app into a folder that any web host can hand out; an earlier export there is replaced.
    Export {
        /// The folder: a new one, an empty one, or that of an earlier export.
        folder: PathBuf,
    },
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let What::Export { folder } = &arguments.what;
    let (count, bytes) = export(&App::embedded(), folder)?;
    let reading = format!("{count} files, {} kB, are in {}.", bytes.div_ceil(1000), folder.display());
    let mut page = Page::new(&reading, 0);
    page.note(
        "Any host or sub-folder will do that has https and sends .wasm files as application/wasm \
         (docs/app-hosting.md).",
    );
    page.print(false, &serde_json::Value::Null)
}

/// Writes the files; returns how many, and their bytes.
fn export(app: &App, folder: &Path) -> Result<(usize, usize), Failure> {
    if !app.is_built() {
        return Err(Failure::File(
            "this program was built without the app: `cargo xtask web`, then build it again".to_owned(),
        ));
    }
    let earlier = earlier(folder)?;
    fs::create_dir_all(folder).map_err(|error| failed(folder, &error))?;
    let mut all: Vec<(String, &[u8])> = app.files().collect();
    // What others name comes first: a visitor in between finds the old version or the new one, whole.
    all.sort_by_key(|(name, _)| (!hashed(name), name.starts_with("index.html"), name.starts_with(KEEPER)));
    for (name, bytes) in &all {
        files::save(&folder.join(name), bytes)?;
    }
    let names: BTreeSet<&str> = all.iter().map(|(name, _)| name.as_str()).collect();
    for name in earlier.iter().filter(|name| !names.contains(name.as_str())) {
        match fs::remove_file(folder.join(name)) {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                return Err(failed(&folder.join(name), &error));
            }
            _ => {}
        }
    }
    Ok((all.len(), all.iter().map(|(_, bytes)| bytes.len()).sum()))
}

/// The files of an earlier export whose names may have changed since; refuses a folder that holds anything else.
fn earlier(folder: &Path) -> Result<Vec<String>, Failure> {
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.map_err(|error| failed(folder, &error))?,
    };
    let mut found = Vec::new();
    for entry in entries {
        let name = entry.map_err(|error| failed(folder, &error))?.file_name().to_string_lossy().into_owned();
        // A repository's own folder, say, is no content.
        if !name.starts_with('.') {
            found.push(name);
        }
    }
    let keeper = fs::read_to_string(folder.join(KEEPER)).unwrap_or_default();
    if !found.is_empty() && !keeper.contains(SIGN) {
        return Err(Failure::File(format!(
            "{} holds other files: choose an empty or a new folder, or that of an earlier export",
            folder.display()
        )));
    }
    found.retain(|name| {
        let plain = PACKED.iter().find_map(|ending| name.strip_suffix(ending)).unwrap_or(name);
        hashed(plain) && keeper.contains(&format!("\"{plain}\""))
    });
    Ok(found)
}

fn failed(place: &Path, error: &std::io::Error) -> Failure {
    Failure::File(format!("{}: {error}", place.display()))
}

#[cfg(test)]
mod tests {
    use super::{App, earlier, export};
    use std::fs;

    /// An app whose module has this name.
    fn app(module: &str) -> App {
        let keeper = format!("const OURS = `longrail-app `; const NAMED = [\"{module}\"];");
        let files = [
            ("index.html", "page"),
            ("boot.js", "boot"),
            ("sw.js", keeper.as_str()),
            (module, "module"),
            (&format!("{module}.br"), "packed"),
        ];
        App::of(files.map(|(name, text)| (name.to_owned(), text.into())))
    }

    fn names(folder: &std::path::Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    const OLD: &str = "app-0000000000000000.wasm";
    const NEW: &str = "app-0000000000000001.wasm";

    #[test]
    fn an_earlier_export_is_replaced_and_what_is_not_its_own_stays() {
        let folder = tempfile::tempdir().unwrap();
        export(&app(OLD), folder.path()).unwrap();
        fs::write(folder.path().join("CNAME"), "example.org").unwrap();
        fs::write(folder.path().join("mine-0000000000000000.txt"), "mine").unwrap();
        export(&app(NEW), folder.path()).unwrap();
        let packed = format!("{NEW}.br");
        let expected = ["CNAME", NEW, &packed, "boot.js", "index.html", "mine-0000000000000000.txt", "sw.js"];
        assert_eq!(names(folder.path()), expected);
    }

    #[test]
    fn a_folder_with_other_files_is_refused_and_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("thesis.txt"), "years").unwrap();
        let said = export(&app(OLD), folder.path()).unwrap_err().to_string();
        assert!(said.contains("holds other files"), "{said}");
        assert_eq!(names(folder.path()), ["thesis.txt"]);
    }

    #[test]
    fn a_repository_is_an_empty_folder() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join(".git")).unwrap();
        assert!(earlier(folder.path()).unwrap().is_empty());
    }

    #[test]
    fn a_program_without_the_app_exports_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let bare = App::of([("index.html".to_owned(), Vec::new())]);
        let said = export(&bare, folder.path()).unwrap_err().to_string();
        assert!(said.contains("cargo xtask web"), "{said}");
        assert!(names(folder.path()).is_empty());
    }
}
