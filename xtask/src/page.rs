//! The page: its types, its logic, and the whole of it in a browser.
//!
//! The build of the binary installs the page's packages into `web/node_modules`, so they
//! are there once `rondure` is built. The browser is Debian's Chromium; where it is missing
//! and this program may install packages, it does.

use std::path::PathBuf;
use std::process::Command;

use crate::apt;
use crate::house::{House, counted, ends_well};
use crate::tally::Tally;

/// Where a browser is looked for, after the variable.
const PLACES: [&str; 2] = ["/usr/bin/chromium", "/usr/bin/chromium-browser"];
const VARIABLE: &str = "RONDURE_CHROMIUM";

/// Runs every check of the page.
///
/// # Errors
/// When the command does not build, or what the checks need is not there.
pub fn checked(house: &House) -> Result<Tally, String> {
    let mut build = house.cargo(&["build", "--quiet", "--release", "--package", "rondure"]);
    if !ends_well(&mut build)? {
        return Err("The `rondure` command does not build.".to_owned());
    }
    if !house.root.join("web/node_modules").is_dir() {
        return Err(
            "web/node_modules is not there: the page was not built here. Unset RONDURE_WEB_DIST and build again."
                .to_owned(),
        );
    }
    let mut tally = Tally::one(ends_well(&mut npm(house, "check"))?);
    tally += counted(&mut npm(house, "test"))?;
    if tally.failed > 0 {
        return Ok(tally);
    }
    let chromium = chromium(house)?;
    let mut browser = npm(house, "e2e");
    browser
        .env("RONDURE_BINARY", house.binary())
        .env("RONDURE_E2E_OUT", house.target.join("page"))
        .env(VARIABLE, chromium);
    tally += counted(&mut browser)?;
    Ok(tally)
}

/// One of the scripts that web/package.json names.
fn npm(house: &House, script: &str) -> Command {
    // On Windows npm is a batch file, which only the shell can start.
    let mut command = if cfg!(windows) {
        let mut shell = house.command("cmd".as_ref());
        shell.args(["/c", "npm"]);
        shell
    } else {
        house.command("npm".as_ref())
    };
    command
        .args(["run", "--silent", script])
        .current_dir(house.root.join("web"));
    command
}

/// The browser; installed where it is missing and that is allowed.
fn chromium(house: &House) -> Result<PathBuf, String> {
    if let Some(found) = found() {
        return Ok(found);
    }
    let advice = format!(
        "The page is tested in Chromium. Install it (apt-get install chromium), or name one in {VARIABLE}."
    );
    apt::ready(house, &[("chromium", "chromium")]).map_err(|_| advice.clone())?;
    found().ok_or(advice)
}

fn found() -> Option<PathBuf> {
    std::env::var_os(VARIABLE)
        .map(PathBuf::from)
        .into_iter()
        .chain(PLACES.into_iter().map(PathBuf::from))
        .find(|place| place.is_file())
}
