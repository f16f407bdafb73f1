//! The files of the app: names that change with their content, and pages that name them.

use super::{Module, hash, icon, read};
use anyhow::{Context, Result, bail};
use std::path::Path;

/// The font, as its makers call it.
const FONT: &str = "atkinson-hyperlegible-next-latin-wght-normal.woff2";
/// Sizes of the icon in pixels, with the files' names.
const ICONS: [(u32, &str); 3] = [(180, "icon-180.png"), (192, "icon-192.png"), (512, "icon-512.png")];

/// What the files are made of.
pub(super) struct Parts<'a> {
    /// Where those are that were written by hand.
    pub(super) folder: &'a Path,
    pub(super) screens: Module,
    pub(super) workers: Module,
}

/// One file of the app.
pub(super) struct File {
    pub(super) name: String,
    pub(super) bytes: Vec<u8>,
    /// Does its name change with its content?
    hashed: bool,
}

/// The files, sorted by name.
pub(super) fn assemble(parts: Parts<'_>) -> Result<Vec<File>> {
    let mut set = Set::default();
    let text = |name: &str| {
        let bytes = read(&parts.folder.join(name))?;
        String::from_utf8(bytes).with_context(|| format!("{name} is not text"))
    };
    set.hashed("FONT", "font", "woff2", read(&parts.folder.join(FONT))?);
    set.hashed("APP_JS", "app", "js", parts.screens.js);
    set.hashed("APP_WASM", "app", "wasm", parts.screens.wasm);
    set.hashed("WORKER_JS", "worker", "js", parts.workers.js);
    set.hashed("WORKER_WASM", "worker", "wasm", parts.workers.wasm);
    let css = set.fill("app.css", &text("app.css")?)?;
    set.hashed("APP_CSS", "app", "css", css.into_bytes());
    let svg = text("icon.svg")?;
    for (size, name) in ICONS {
        set.plain(name, icon::png(&svg, size)?);
    }
    set.plain("icon.svg", svg.into_bytes());
    set.plain("manifest.webmanifest", text("manifest.webmanifest")?.into_bytes());
    for name in ["boot.js", "worker.js"] {
        let filled = set.fill(name, &text(name)?)?;
        set.plain(name, filled.into_bytes());
    }
    let (page, keeper) = (text("index.html")?, text("sw.js")?);
    // Over everything, the two files that are still to be filled included.
    let mut pieces: Vec<&[u8]> = vec![page.as_bytes(), keeper.as_bytes()];
    for file in &set.files {
        pieces.extend([file.name.as_bytes(), file.bytes.as_slice()]);
    }
    let version = hash(&pieces);
    set.word("VERSION", version);
    let page = set.fill("index.html", &page)?;
    set.files.sort_by(|a, b| a.name.cmp(&b.name));
    let named = |hashed: bool| set.files.iter().filter(move |file| file.hashed == hashed);
    let hashed = serde_json::to_string(&named(true).map(|file| file.name.as_str()).collect::<Vec<_>>())?;
    // The page goes by the name of its folder: many hosts lead `index.html` there, and a page that was led elsewhere
    // cannot be shown from a cache.
    let others = std::iter::once("./").chain(named(false).map(|file| file.name.as_str()));
    let others = serde_json::to_string(&others.collect::<Vec<_>>())?;
    set.word("HASHED", hashed);
    set.word("FILES", others);
    let keeper = set.fill("sw.js", &keeper)?;
    set.plain("index.html", page.into_bytes());
    set.plain("sw.js", keeper.into_bytes());
    // Never kept: it says whether a record can be shared at this address now.
    set.plain("share.json", text("share.json")?.into_bytes());
    set.files.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(set.files)
}

/// Files so far, and what pages may name.
#[derive(Default)]
struct Set {
    files: Vec<File>,
    words: Vec<(&'static str, String)>,
}

impl Set {
    /// A file that is named by its content, and goes by `word` in pages.
    fn hashed(&mut self, word: &'static str, stem: &str, ending: &str, bytes: Vec<u8>) {
        let name = format!("{stem}-{}.{ending}", hash(&[&bytes]));
        self.word(word, name.clone());
        self.files.push(File { name, bytes, hashed: true });
    }

    fn plain(&mut self, name: &str, bytes: Vec<u8>) {
        self.files.push(File { name: name.to_owned(), bytes, hashed: false });
    }

    fn word(&mut self, word: &'static str, value: String) {
        self.words.push((word, value));
    }

    /// Puts the values where `{{WORD}}` stands.
    fn fill(&self, file: &str, text: &str) -> Result<String> {
        let mut filled = text.to_owned();
        for (word, value) in &self.words {
            filled = filled.replace(&format!("{{{{{word}}}}}"), value);
        }
        if let Some((_, rest)) = filled.split_once("{{") {
            let word = rest.split("}}").next().unwrap_or_default();
            bail!("{file}: nothing is known as {{{{{word}}}}}");
        }
        Ok(filled)
    }
}

#[cfg(test)]
mod tests {
    use super::{Module, Parts, assemble};
    use std::path::{Path, PathBuf};

    fn folder() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/app/static")
    }

    fn files(app: &str) -> Vec<(String, String)> {
        let module = |text: &str| Module { js: text.into(), wasm: text.into() };
        let parts = Parts { folder: &folder(), screens: module(app), workers: module("w") };
        let files = assemble(parts).unwrap().into_iter();
        files.map(|file| (file.name, String::from_utf8_lossy(&file.bytes).into_owned())).collect()
    }

    fn text<'a>(files: &'a [(String, String)], name: &str) -> &'a str {
        &files.iter().find(|(known, _)| known == name).unwrap().1
    }

    #[test]
    fn the_service_worker_keeps_every_file_but_itself_and_what_must_be_asked_anew() {
        let files = files("a");
        let keeper = text(&files, "sw.js");
        let lists: String = keeper.lines().filter(|line| line.contains(" = [\"")).collect();
        for (name, _) in &files {
            let kept = lists.contains(&format!("\"{name}\""));
            assert_eq!(kept, !["sw.js", "index.html", "share.json"].contains(&name.as_str()), "{name}");
        }
        assert!(lists.contains("\"./\""), "{lists}");
    }

    #[test]
    fn a_changed_module_changes_its_name_and_the_version_and_nothing_else() {
        let (before, after) = (files("a"), files("b"));
        let names =
            |files: &[(String, String)]| files.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
        let changed: Vec<String> =
            names(&after).into_iter().filter(|name| !names(&before).contains(name)).collect();
        assert_eq!(changed.len(), 2, "{changed:?}");
        assert!(changed.iter().all(|name| name.starts_with("app-")), "{changed:?}");
        for page in ["index.html", "sw.js", "boot.js"] {
            assert_ne!(text(&before, page), text(&after, page), "{page}");
        }
        assert_eq!(text(&before, "worker.js"), text(&after, "worker.js"));
    }

    #[test]
    fn the_page_has_no_script_or_style_of_its_own_and_no_address_from_the_root() {
        let files = files("a");
        let page = text(&files, "index.html");
        assert!(!page.contains("<style") && !page.contains("style="), "{page}");
        assert_eq!(page.matches("<script").count(), page.matches("<script type=\"module\" src=\"./").count());
        assert!(!page.contains("=\"/"), "{page}");
    }
}
