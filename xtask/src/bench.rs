//! `cargo xtask bench`: our figures beside the peers', written to docs/benchmarks.md.
//!
//! The crate in `bench/` is a workspace of its own, so that no other command compiles the
//! peers; it is built here, and told where the Python of the outside checks is.

use std::path::Path;

use crate::house::{House, ends_well};
use crate::python;

/// Builds and runs the bench; `parts` are those of the bench to run, all when none is named.
///
/// # Errors
/// When the bench cannot be built, the peers cannot be had, or a measurement fails.
pub fn run(house: &House, parts: &[&str]) -> Result<(), String> {
    let python = python::ready(house)?;
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
