//! Programs of Debian's that the checks ask: installed where they are missing and that is allowed.

use std::path::{Path, PathBuf};

use crate::house::{House, ends_well};

/// Where a program stands, by the folders that commands are looked for in.
fn found(program: &str) -> Option<PathBuf> {
    let folders = std::env::var_os("PATH")?;
    std::env::split_paths(&folders)
        .map(|folder| folder.join(program))
        .find(|place| place.is_file())
}

/// Makes sure of programs, each given with the package it comes in.
///
/// # Errors
/// When one is missing and cannot be installed here; the words say how to mend it.
pub fn ready(house: &House, programs: &[(&str, &str)]) -> Result<(), String> {
    let missing: Vec<&str> = programs
        .iter()
        .filter(|(program, _)| found(program).is_none())
        .map(|(_, package)| *package)
        .collect();
    if missing.is_empty() {
        return Ok(());
    }
    let advice = format!(
        "These checks need programs that are not there. Install them: apt-get install {}",
        missing.join(" ")
    );
    if !Path::new("/usr/bin/apt-get").is_file() {
        return Err(advice);
    }
    // Fails at once where this is not root; the advice then says what to do.
    let apt = |arguments: &[&str]| {
        let mut command = house.command("apt-get".as_ref());
        command
            .args(arguments)
            .env("DEBIAN_FRONTEND", "noninteractive");
        ends_well(&mut command)
    };
    let options = ["install", "--quiet=2", "--yes", "--no-install-recommends"];
    let installed =
        apt(&["update", "--quiet=2"])? && apt(&[&options, missing.as_slice()].concat())?;
    let there = programs.iter().all(|(program, _)| found(program).is_some());
    if installed && there {
        Ok(())
    } else {
        Err(advice)
    }
}
