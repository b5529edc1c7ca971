//! Builds `web/` with Node into the build folder and lists the files that came out.
//!
//! - Vite is told by `RONDURE_WEB_OUT` to write below `OUT_DIR`, never into the source.
//! - Only inputs that exist are watched, none of them `web/` itself, whose installed
//!   packages change by themselves.
//! - `npm ci` runs only when the lockfile differs from that of the last installation, and
//!   one build at a time.
//! - `RONDURE_WEB_DIST` names a folder with a finished page; Node is not called then.
//! - What is missing stops the build and says what to do. There is no stand-in page.

use std::ffi::OsStr;
use std::fmt::Write as _;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

/// The oldest Node that the page's tools run on, as web/package.json says too.
const OLDEST_NODE: (u32, u32) = (20, 19);
/// A folder with a page that was built before.
const PREBUILT: &str = "RONDURE_WEB_DIST";
/// Where Vite is to write.
const OUT: &str = "RONDURE_WEB_OUT";
/// What the page is built from, from `web/`; those that exist are watched.
const INPUTS: [&str; 10] = [
    "../crates/sheet/fonts",
    "index.html",
    "package.json",
    "package-lock.json",
    "public",
    "src",
    "svelte.config.js",
    "tsconfig.json",
    "vite.config.js",
    "vite.config.ts",
];

fn main() -> ExitCode {
    match build() {
        Ok(()) => ExitCode::SUCCESS,
        Err(says) => {
            for line in says.lines() {
                say(&format!("cargo::error={line}"));
            }
            ExitCode::FAILURE
        }
    }
}

/// Speaks to cargo.
fn say(line: &str) {
    println!("{line}");
}

fn build() -> Result<(), String> {
    say("cargo::rerun-if-changed=build.rs");
    say(&format!("cargo::rerun-if-env-changed={PREBUILT}"));
    let out = PathBuf::from(required("OUT_DIR")?);
    let wanted =
        std::env::var_os("CARGO_FEATURE_WEB").is_some() && std::env::var_os("DOCS_RS").is_none();
    let files = if wanted { page(&out)? } else { Vec::new() };
    write(&out.join("files.rs"), list(&files)?)
}

fn required(variable: &str) -> Result<String, String> {
    std::env::var(variable).map_err(|_| format!("cargo did not set {variable}"))
}

/// The folder that holds the page, and its files below it.
fn page(out: &Path) -> Result<Vec<(String, PathBuf)>, String> {
    let folder = match std::env::var_os(PREBUILT).filter(|folder| !folder.is_empty()) {
        Some(folder) => {
            let folder = PathBuf::from(folder);
            say(&format!("cargo::rerun-if-changed={}", folder.display()));
            folder
        }
        None => built_with_node(out)?,
    };
    if !folder.join("index.html").is_file() {
        return Err(format!(
            "{} holds no index.html. It has to be a finished page: `npm run build` in web/ makes one, or leave {PREBUILT} unset.",
            folder.display()
        ));
    }
    let mut files = Vec::new();
    gather(&folder, "", &mut files)?;
    files.sort();
    Ok(files)
}

fn built_with_node(out: &Path) -> Result<PathBuf, String> {
    let web = PathBuf::from(required("CARGO_MANIFEST_DIR")?).join("../../web");
    for input in INPUTS {
        let input = web.join(input);
        if input.exists() {
            say(&format!("cargo::rerun-if-changed={}", input.display()));
        }
    }
    let web = web.canonicalize().map_err(|error| {
        format!("the page's folder web/ is not there: {error}. Check the repository out whole, or name a finished page in {PREBUILT}.")
    })?;
    check_node()?;
    install(&web)?;
    let page = out.join("page");
    if page.exists() {
        fs::remove_dir_all(&page).map_err(|error| format!("{}: {error}", page.display()))?;
    }
    run(
        npm(&web).args(["run", "build"]).env(OUT, &page),
        "npm run build",
    )?;
    Ok(page)
}

fn check_node() -> Result<(), String> {
    let (major, minor) = OLDEST_NODE;
    let mend = format!(
        "The page is built with Node {major}.{minor} or newer and its npm (nodejs.org, or your system's packages). Install it, or name a page that was built before in {PREBUILT}, or build without it: --no-default-features."
    );
    let output = Command::new("node")
        .arg("--version")
        .output()
        .map_err(|error| format!("Node was not found ({error}). {mend}"))?;
    let version = String::from_utf8_lossy(&output.stdout);
    let version = version.trim();
    let mut numbers = version
        .trim_start_matches('v')
        .split('.')
        .map(|number| number.parse::<u32>().unwrap_or(0));
    let found = (numbers.next().unwrap_or(0), numbers.next().unwrap_or(0));
    if found >= OLDEST_NODE {
        Ok(())
    } else {
        Err(format!("Node is {version}. {mend}"))
    }
}

/// Installs the page's packages where the lockfile says others than are there.
fn install(web: &Path) -> Result<(), String> {
    let lock = web.join(".install.lock");
    let lock = File::create(&lock).map_err(|error| format!("{}: {error}", lock.display()))?;
    // Two builds that install at once leave half of each. The lock goes with its handle.
    lock.lock()
        .map_err(|error| format!("web/.install.lock cannot be locked: {error}"))?;
    let lockfile = web.join("package-lock.json");
    let wanted = fs::read(&lockfile).map_err(|error| format!("{}: {error}", lockfile.display()))?;
    let stamp = web.join("node_modules/.rondure-lockfile");
    if fs::read(&stamp).is_ok_and(|installed| installed == wanted) {
        return Ok(());
    }
    run(npm(web).args(["ci", "--no-audit", "--no-fund"]), "npm ci")?;
    write(&stamp, wanted)
}

fn npm(web: &Path) -> Command {
    // On Windows npm is a script, which only the command processor starts.
    let mut command = if cfg!(windows) {
        let mut command = Command::new("cmd");
        command.args(["/c", "npm"]);
        command
    } else {
        Command::new("npm")
    };
    command.current_dir(web);
    command
}

fn run(command: &mut Command, name: &str) -> Result<(), String> {
    let output = command
        .output()
        .map_err(|error| format!("{name} cannot be started: {error}. npm comes with Node."))?;
    if output.status.success() {
        return Ok(());
    }
    Err(format!(
        "{name} in web/ failed ({}):\n{}{}",
        output.status,
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    ))
}

fn gather(folder: &Path, below: &str, files: &mut Vec<(String, PathBuf)>) -> Result<(), String> {
    let unreadable = |error| format!("{}: {error}", folder.display());
    for entry in fs::read_dir(folder).map_err(unreadable)? {
        let entry = entry.map_err(unreadable)?;
        let Ok(name) = entry.file_name().into_string() else {
            return Err(format!(
                "{}: a name that is no text",
                entry.path().display()
            ));
        };
        let path = format!("{below}{name}");
        if entry.file_type().map_err(unreadable)?.is_dir() {
            gather(&entry.path(), &format!("{path}/"), files)?;
        } else if Path::new(&name)
            .extension()
            .is_none_or(|ending| ending != "map")
        {
            files.push((path, entry.path()));
        }
    }
    Ok(())
}

fn list(files: &[(String, PathBuf)]) -> Result<String, String> {
    let mut text = String::from("/// The page's files, by path.\npub static FILES: &[File] = &[\n");
    for (path, place) in files {
        let bytes = fs::read(place).map_err(|error| format!("{}: {error}", place.display()))?;
        let kind = content_type(place)
            .ok_or_else(|| format!("web: the content type of {path} is not known; add its ending to crates/web-ui/build.rs"))?;
        let place = place
            .canonicalize()
            .map_err(|error| format!("{}: {error}", place.display()))?;
        // Writing to a String does not fail.
        let _ = writeln!(
            text,
            "    File {{ path: {path:?}, content_type: {kind:?}, fingerprint: \"{:016x}\", named_by_content: {}, bytes: include_bytes!({place:?}) }},",
            fingerprint(&bytes),
            // Vite puts a hash into the names of what it puts there.
            path.starts_with("assets/"),
        );
    }
    text.push_str("];\n");
    Ok(text)
}

fn content_type(path: &Path) -> Option<&'static str> {
    Some(match path.extension().and_then(OsStr::to_str)? {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "otf" => "font/otf",
        "woff2" => "font/woff2",
        "wasm" => "application/wasm",
        "txt" => "text/plain; charset=utf-8",
        _ => return None,
    })
}

/// FNV-1a, 64 bits (offset and prime from memory): tells files apart, guards nothing.
fn fingerprint(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, &byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

fn write(path: &Path, content: impl AsRef<[u8]>) -> Result<(), String> {
    fs::write(path, content).map_err(|error| format!("{}: {error}", path.display()))
}
