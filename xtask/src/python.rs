//! The Python environment of the outside checks.
//!
//! It lives in the build folder and holds exactly the versions pinned in
//! `tests/outside/requirements.txt`. A copy of those pins, written after a
//! complete install, is the stamp: while it equals the file nothing is fetched.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::house::{House, ends_well};

const PINS: &str = "tests/outside/requirements.txt";

/// A ready interpreter that sees the pinned packages and nothing else.
///
/// # Errors
/// When there is no Python with `venv`, or the pinned packages cannot be installed.
pub fn ready(house: &House) -> Result<PathBuf, String> {
    let folder = house.target.join("python");
    let interpreter = folder.join(if cfg!(windows) {
        "Scripts/python.exe"
    } else {
        "bin/python"
    });
    let stamp = folder.join("installed-pins.txt");
    let pins = fs::read_to_string(house.root.join(PINS))
        .map_err(|error| format!("{PINS} cannot be read: {error}."))?;
    if interpreter.exists() && fs::read_to_string(&stamp).is_ok_and(|installed| installed == pins) {
        return Ok(interpreter);
    }

    let mut environment = house.command(Path::new("python3"));
    environment.args(["-m", "venv", "--clear"]).arg(&folder);
    must_end_well(
        &mut environment,
        "The outside checks need Python 3.11 or later, with its `venv` module.",
    )?;
    let mut install = house.command(&interpreter);
    install.args([
        "-m",
        "pip",
        "--disable-pip-version-check",
        "--no-input",
        "install",
        "--quiet",
    ]);
    // Every package is pinned, those that others need too; none is compiled here.
    install.args(["--no-deps", "--only-binary", ":all:", "--requirement", PINS]);
    must_end_well(
        &mut install,
        "The pinned packages could not be installed; is the network up?",
    )?;
    fs::write(&stamp, pins)
        .map_err(|error| format!("{} cannot be written: {error}.", stamp.display()))?;
    Ok(interpreter)
}

fn must_end_well(command: &mut Command, advice: &str) -> Result<(), String> {
    match ends_well(command) {
        Ok(true) => Ok(()),
        Ok(false) => Err(advice.to_owned()),
        Err(trouble) => Err(format!("{trouble} {advice}")),
    }
}
