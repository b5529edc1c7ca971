//! The Node.js environment of the outside checks: the glTF validator and what asks it.
//!
//! It lives in the build folder, a copy of `tests/outside/node` with the packages its lock
//! file names beside it. A copy of that lock file, written after a complete install, is the
//! stamp: while it equals the original nothing is fetched.

use std::fs;
use std::path::PathBuf;

use crate::house::{House, ends_well};

const FROM: &str = "tests/outside/node";
const SCRIPT: &str = "validate.js";
const LOCK: &str = "package-lock.json";
const ADVICE: &str = "The checks of written files need Node.js 20 or later, with npm.";

/// The script that asks the validator, with all it needs beside it.
///
/// # Errors
/// When there is no npm, or the locked packages cannot be installed.
pub fn ready(house: &House) -> Result<PathBuf, String> {
    let from = house.root.join(FROM);
    let folder = house.target.join("node");
    let lock = fs::read_to_string(from.join(LOCK))
        .map_err(|error| format!("{FROM}/{LOCK} cannot be read: {error}."))?;
    fs::create_dir_all(&folder)
        .map_err(|error| format!("{} cannot be made: {error}.", folder.display()))?;
    for name in ["package.json", LOCK, SCRIPT] {
        fs::copy(from.join(name), folder.join(name))
            .map_err(|error| format!("{FROM}/{name} cannot be copied: {error}."))?;
    }
    let stamp = folder.join("installed-lock.json");
    if fs::read_to_string(&stamp).is_ok_and(|installed| installed == lock) {
        return Ok(folder.join(SCRIPT));
    }

    let arguments = [
        "ci",
        "--ignore-scripts",
        "--no-audit",
        "--no-fund",
        "--silent",
    ];
    // On Windows npm is a batch file, which only the shell can start.
    let mut install = if cfg!(windows) {
        let mut shell = house.command("cmd".as_ref());
        shell.args(["/c", "npm"]);
        shell
    } else {
        house.command("npm".as_ref())
    };
    install.args(arguments).current_dir(&folder);
    match ends_well(&mut install) {
        Ok(true) => {}
        Ok(false) => {
            return Err(format!(
                "The locked packages could not be installed; is the network up? {ADVICE}"
            ));
        }
        Err(trouble) => return Err(format!("{trouble} {ADVICE}")),
    }
    fs::write(&stamp, lock)
        .map_err(|error| format!("{} cannot be written: {error}.", stamp.display()))?;
    Ok(folder.join(SCRIPT))
}
