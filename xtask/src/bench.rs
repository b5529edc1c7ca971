//! `cargo xtask bench`: our figures beside the peers', written to docs/benchmarks.md.
//!
//! The crate in `bench/` is a workspace of its own, so that no other command compiles the
//! peers; it is built here, and told where the Python of the outside checks is. The part `stress` is
//! a script: it runs our example, CalculiX and scikit-fem on the same cubes.

use std::path::{Path, PathBuf};

use crate::house::{House, ends_well};
use crate::{apt, python, stages};

/// What the script of the part `stress` wants beside the outside checks' packages: the direct solver.
const SOLVER: &str = "bench/requirements.txt";

/// Builds and runs the bench; `parts` are those of the bench to run, all when none is named.
///
/// # Errors
/// When the bench cannot be built, the peers cannot be had, or a measurement fails.
pub fn run(house: &House, parts: &[&str]) -> Result<(), String> {
    let asked_for_some = !parts.is_empty();
    let python = python::ready(house)?;
    if parts.is_empty() || parts.contains(&"stress") {
        stress(house, &python)?;
    }
    let parts: Vec<&str> = parts
        .iter()
        .copied()
        .filter(|part| *part != "stress")
        .collect();
    if parts.is_empty() && asked_for_some {
        return Ok(());
    }
    let mut build = house.cargo(&["build", "--release", "--manifest-path", "bench/Cargo.toml"]);
    if !ends_well(&mut build)? {
        return Err("The bench could not be built; are the registries within reach?".to_owned());
    }
    let program = house
        .target
        .join("release")
        .join(format!("rondure-bench{}", std::env::consts::EXE_SUFFIX));
    let mut bench = house.command(&program);
    bench
        .arg("run")
        .arg(&python)
        .arg(Path::new("."))
        .args(parts);
    if ends_well(&mut bench)? {
        Ok(())
    } else {
        Err("The bench stopped; what it said stands above.".to_owned())
    }
}

/// The part `stress`.
fn stress(house: &House, python: &Path) -> Result<(), String> {
    apt::ready(house, &[("ccx", "calculix-ccx")])?;
    let folder = house.target.join("bench-python");
    let library = folder.join("lib");
    if packages(&library).is_none() {
        let mut install = house.command(python);
        install
            .args([
                "-m",
                "pip",
                "--disable-pip-version-check",
                "--no-input",
                "install",
            ])
            .args([
                "--quiet",
                "--no-deps",
                "--only-binary",
                ":all:",
                "--requirement",
                SOLVER,
            ])
            .arg("--prefix")
            .arg(&folder);
        // Without it scikit-fem solves by scipy, which the table then says.
        if !ends_well(&mut install)? {
            println!("  pypardiso could not be had; scikit-fem will solve by scipy");
        }
    }
    let mut script = house.command(python);
    script
        .arg("bench/stress.py")
        .arg(stages::pierced(house)?)
        .arg(house.target.join("stress"))
        .arg("docs/benchmarks.md")
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .env("PYTHONPATH", packages(&library).unwrap_or_default())
        .env("LD_LIBRARY_PATH", &library)
        .env("PYPARDISO_MKL_RT", library.join("libmkl_rt.so.3"));
    if ends_well(&mut script)? {
        Ok(())
    } else {
        Err("The part `stress` stopped; what it said stands above.".to_owned())
    }
}

/// The packages below the folder `lib` of an installation.
fn packages(library: &Path) -> Option<PathBuf> {
    let versions = std::fs::read_dir(library).ok()?;
    let mut packages = versions
        .filter_map(|version| Some(version.ok()?.path().join("site-packages")))
        .filter(|packages| packages.join("pypardiso").is_dir());
    packages.next()
}
