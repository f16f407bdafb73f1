//! `cargo xtask wasm`: the shot engine for browsers and for node.
//!
//! Also how anything is compiled for browsers, which `cargo xtask web` uses.
//!
//! Three roads to a compiler for wasm32, in this order:
//! 1. the active toolchain has the target, or `rustup` can add it;
//! 2. a compiler with its library sources: the one named by `WASM_RUSTC`, or Debian's `rustc-web`,
//!    and cargo builds the standard library itself;
//! 3. neither: a sentence that says what to run.

use crate::{pack, shell};
use anyhow::{Context, Result, bail};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};
use std::{env, fs};
use wasm_bindgen_cli_support::Bindgen;

const TARGET: &str = "wasm32-unknown-unknown";
const PACKAGE: &str = "longrail-engine-wasm";
/// A core that the package does not contain yet, and which must compile for browsers all the same.
const ALSO: &str = "longrail-practice";
/// The stem of the files in `dist/engine/…`.
const NAME: &str = "longrail_engine";
/// Adding a target downloads some 20 MB; without a network the attempt must not hang.
const RUSTUP_LIMIT: Duration = Duration::from_mins(1);

/// Builds the package for wasm32, then the JavaScript around it, into dist/engine/node and
/// dist/engine/web.
#[derive(clap::Args)]
pub(crate) struct Args {}

/// What a build made, for whoever reports it.
pub(crate) struct Built {
    /// Bytes of the module in `dist/engine/web`.
    pub(crate) raw: usize,
    /// The same after brotli at its strongest, as a server would send it.
    pub(crate) brotli: usize,
}

pub(crate) fn main(_: &Args) -> Result<()> {
    build(&shell::root()?).map(|_| ())
}

/// Builds, and prints the sizes.
pub(crate) fn build(root: &Path) -> Result<Built> {
    let start = Instant::now();
    let module = compile(root, &find_compiler()?, PACKAGE)?;
    let dist = root.join("dist/engine");
    bind(&module, &dist.join("node"), NAME, Flavour::Node)?;
    bind(&module, &dist.join("web"), NAME, Flavour::Web)?;
    let path = dist.join("web").join(format!("{NAME}_bg.wasm"));
    let bytes = fs::read(&path).with_context(|| format!("{} cannot be read", path.display()))?;
    let built = Built { raw: bytes.len(), brotli: pack::brotli(&bytes)?.len() };
    println!(
        "engine for the browser: {} bytes, {} after brotli, in dist/engine ({})",
        built.raw,
        built.brotli,
        shell::seconds(start.elapsed())
    );
    Ok(built)
}

/// Where the standard library for wasm32 comes from.
pub(crate) enum Compiler {
    /// The active toolchain has the target.
    Installed,
    /// Another compiler, with library sources from which cargo builds the standard library.
    Sources { rustc: PathBuf, linker: PathBuf },
}

/// The first of the three roads that leads somewhere.
pub(crate) fn find_compiler() -> Result<Compiler> {
    let sysroot = shell::sysroot()?;
    if has_target(&sysroot) {
        return Ok(Compiler::Installed);
    }
    if let Some(rustc) = env::var_os("WASM_RUSTC") {
        return with_sources(PathBuf::from(rustc), &sysroot);
    }
    let mut add = Command::new("rustup");
    if shell::quiet_within(add.args(["target", "add", TARGET]), RUSTUP_LIMIT) && has_target(&sysroot) {
        return Ok(Compiler::Installed);
    }
    let packages = ["rustc-web", "rust-web-src"];
    if let Some(rustc) = debian_rustc().or_else(|| shell::apt_install(&packages).then(debian_rustc).flatten())
    {
        return with_sources(rustc, &sysroot);
    }
    bail!(
        "no compiler for {TARGET}: run `rustup target add {TARGET}`; or on Debian \
         `apt-get install rustc-web rust-web-src`; or name a rustc that has its library sources in WASM_RUSTC"
    )
}

fn has_target(sysroot: &Path) -> bool {
    sysroot.join("lib/rustlib").join(TARGET).join("lib").is_dir()
}

/// The compiler that the package `rustc-web` installed, if it and its sources are there.
fn debian_rustc() -> Option<PathBuf> {
    if !shell::quiet(Command::new("dpkg").args(["-s", "rust-web-src"])) {
        return None;
    }
    let listed =
        Command::new("dpkg").args(["-L", "rustc-web"]).stderr(std::process::Stdio::null()).output().ok()?;
    let text = String::from_utf8(listed.stdout).ok()?;
    text.lines().find(|line| line.ends_with("/bin/rustc")).map(PathBuf::from)
}

fn with_sources(rustc: PathBuf, active: &Path) -> Result<Compiler> {
    let printed = shell::output(Command::new(&rustc).args(["--print", "sysroot"]))?;
    let library = Path::new(printed.trim()).join("lib/rustlib/src/rust/library/std");
    if !library.is_dir() {
        bail!("{} has no library sources: install them (Debian: `rust-web-src`)", rustc.display());
    }
    // The linker comes with the active toolchain; Debian's compiler has none of its own.
    let linker = active.join("lib/rustlib").join(host()?).join("bin/rust-lld");
    if !linker.is_file() {
        bail!("the active toolchain has no rust-lld: install Rust by rustup");
    }
    Ok(Compiler::Sources { rustc, linker })
}

fn host() -> Result<String> {
    let text = shell::output(Command::new("rustc").arg("-vV"))?;
    let host = text.lines().find_map(|line| line.strip_prefix("host: "));
    host.map(str::to_owned).context("`rustc -vV` names no host")
}

/// Checks that the cores which are in no package for browsers yet compile for them.
pub(crate) fn check(root: &Path) -> Result<()> {
    let start = Instant::now();
    shell::run(&mut cargo(root, &find_compiler()?, &["check", "--package", ALSO, "--lib"]))?;
    println!("{ALSO} compiles for browsers ({})", shell::seconds(start.elapsed()));
    Ok(())
}

/// Compiles a package; returns the path of its module.
pub(crate) fn compile(root: &Path, compiler: &Compiler, package: &str) -> Result<PathBuf> {
    // `rustc` with the crate type, as a package that is a Rust library as well would not be optimised as a whole.
    let words = ["rustc", "--package", package, "--lib", "--crate-type", "cdylib"];
    shell::run(&mut cargo(root, compiler, &words))?;
    let file = format!("{}.wasm", package.replace('-', "_"));
    Ok(target_dir(root).join(TARGET).join("web").join(file))
}

/// A folder of its own: neither waits for the other's lock, and two compilers do not mix.
pub(crate) fn target_dir(root: &Path) -> PathBuf {
    shell::target_dir(root).join("wasm")
}

/// Cargo with these words, for browsers.
fn cargo(root: &Path, compiler: &Compiler, words: &[&str]) -> Command {
    let mut cargo = shell::cargo(root);
    cargo
        .args(words)
        .args(["--profile", "web", "--target", TARGET])
        .env("CARGO_TARGET_DIR", target_dir(root))
        // Instead of flags meant for the host (say, its processor), which must not reach this build.
        .env("CARGO_ENCODED_RUSTFLAGS", flags());
    if let Compiler::Sources { rustc, linker } = compiler {
        cargo
            .arg("-Zbuild-std=std,panic_abort")
            .env("RUSTC", rustc)
            .env("RUSTC_BOOTSTRAP", "1")
            .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", linker);
    }
    cargo
}

/// What the compiler is told, as cargo wants to have it.
fn flags() -> OsString {
    // The screens' library, where views keep their types: a quarter of the screens' module is gone without them.
    let mut flags = OsString::from("--cfg\u{1f}erase_components");
    // Panics name the files they come from; where somebody keeps those is nobody's business, and makes no other module.
    let home = env::var_os("CARGO_HOME").map(PathBuf::from).or_else(|| Some(env::home_dir()?.join(".cargo")));
    if let Some(home) = home {
        flags.push("\u{1f}--remap-path-prefix=");
        flags.push(home.join("registry").join("src"));
        flags.push("=registry");
    }
    flags
}

/// For whom the JavaScript is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Flavour {
    /// Node, with types.
    Node,
    /// Other people's pages, with types.
    Web,
    /// Our own pages.
    App,
}

/// Writes the JavaScript around the module.
pub(crate) fn bind(module: &Path, out: &Path, name: &str, flavour: Flavour) -> Result<()> {
    let mut bindgen = Bindgen::new();
    bindgen.input_path(module).out_name(name);
    match flavour {
        Flavour::Node => bindgen.nodejs(true)?,
        Flavour::Web | Flavour::App => bindgen.web(true)?.omit_default_module_path(true),
    };
    bindgen.typescript(flavour != Flavour::App).remove_name_section(true).remove_producers_section(true);
    bindgen.generate(out).with_context(|| format!("the JavaScript for {} could not be made", out.display()))
}
