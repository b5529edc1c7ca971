//! Truths that no single crate can check about itself, and the outside checks.
//!
//! The Rust files beside this one look at the workspace as a whole; the folder
//! `outside` holds the checks against independent libraries, run by
//! `cargo xtask test outside paper`. This library only finds the workspace.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The workspace's root.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_owned()
}

/// What a command run at the root prints.
///
/// # Errors
/// When it cannot be started, ends badly, or does not print UTF-8; with its own words.
pub fn printed_by(program: &str, arguments: &[&str]) -> Result<String, String> {
    let output = Command::new(program)
        .args(arguments)
        .current_dir(root())
        .output()
        .map_err(|error| format!("`{program}` could not be started: {error}"))?;
    if !output.status.success() {
        return Err(format!(
            "`{program}` failed: {}",
            String::from_utf8_lossy(&output.stderr)
        ));
    }
    String::from_utf8(output.stdout).map_err(|error| format!("`{program}`: {error}"))
}

/// The files git keeps, as paths from the root with `/` between folders, sorted.
/// Files deleted from the disk but not yet from git are left out.
///
/// # Errors
/// When git does not answer.
pub fn tracked_files() -> Result<Vec<String>, String> {
    let listing = printed_by("git", &["ls-files", "-z"])?;
    let root = root();
    Ok(listing
        .split_terminator('\0')
        .filter(|path| root.join(path).is_file())
        .map(str::to_owned)
        .collect())
}
