//! The stages of the whole test, in the order they run: quick answers first.

use std::path::PathBuf;
use std::process::Command;

use crate::house::{House, counted, ends_well};
use crate::tally::Tally;
use crate::{apt, node, page, python};

/// One stage.
pub struct Stage {
    /// What it is called on the command line.
    pub name: &'static str,
    /// What it looks at, in one line.
    pub says: &'static str,
    act: fn(&House) -> Result<Tally, String>,
}

/// Every stage, in order.
pub const STAGES: &[Stage] = &[
    Stage {
        name: "format",
        says: "the code is laid out as rustfmt lays it out",
        act: format,
    },
    Stage {
        name: "lint",
        says: "clippy has nothing to say",
        act: lint,
    },
    Stage {
        name: "docs",
        says: "the code's documentation builds without a warning",
        act: docs,
    },
    Stage {
        name: "test",
        says: "every crate's tests and the truths across crates",
        act: test,
    },
    Stage {
        name: "outside",
        says: "solids and meshes against independent geometry libraries",
        act: outside,
    },
    Stage {
        name: "files",
        says: "written 3MF, glTF and STL opened by their reference tools",
        act: files,
    },
    Stage {
        name: "stress",
        says: "the stress solver against CalculiX and scikit-fem on the same cubes",
        act: stress,
    },
    Stage {
        name: "paper",
        says: "the packet read back and measured, page by page",
        act: paper,
    },
    Stage {
        name: "templates",
        says: "every template as PDF, SVG and DXF, against one another and closed forms",
        act: templates,
    },
    Stage {
        name: "page",
        says: "the page's types and logic, and the page itself in a browser",
        act: page::checked,
    },
];

impl Stage {
    /// Runs the stage. What kept it from running counts as one failed check.
    pub fn run(&self, house: &House) -> (Tally, Option<String>) {
        match (self.act)(house) {
            Ok(tally) => (tally, None),
            Err(trouble) => (Tally::one(false), Some(trouble)),
        }
    }
}

fn format(house: &House) -> Result<Tally, String> {
    ends_well(&mut house.cargo(&["fmt", "--all", "--check"])).map(Tally::one)
}

fn lint(house: &House) -> Result<Tally, String> {
    let arguments = [
        "clippy",
        "--quiet",
        "--workspace",
        "--all-targets",
        "--",
        "--deny",
        "warnings",
    ];
    ends_well(&mut house.cargo(&arguments)).map(Tally::one)
}

fn docs(house: &House) -> Result<Tally, String> {
    let mut command = house.cargo(&["doc", "--quiet", "--workspace", "--no-deps"]);
    ends_well(command.env("RUSTDOCFLAGS", "--deny warnings")).map(Tally::one)
}

fn test(house: &House) -> Result<Tally, String> {
    // The release profile, so that one build serves these tests, the checks that run the
    // binary, and the README's first command. The workspace's default member is the app
    // alone, so all are asked for. One failing crate does not hide the others, and the
    // count stays whole.
    let arguments = [
        "test",
        "--quiet",
        "--release",
        "--workspace",
        "--no-fail-fast",
    ];
    // The same random cases on every machine and every day: a failure can be run again. Set the
    // variable yourself to look at others.
    let mut command = house.cargo(&arguments);
    if std::env::var_os("PROPTEST_RNG_SEED").is_none() {
        command.env("PROPTEST_RNG_SEED", "20261125");
    }
    counted(&mut command)
}

fn outside(house: &House) -> Result<Tally, String> {
    let mut tally = checked_by_python(house, "tests/outside/checker.py", None)?;
    if tally.failed == 0 {
        tally += checked_by_python(house, "tests/outside/solids.py", Some("outside"))?;
        tally += checked_by_python(house, "tests/outside/sizes.py", Some("outside"))?;
    }
    Ok(tally)
}

fn files(house: &House) -> Result<Tally, String> {
    // The solids an example writes, since no plan has a hollow or stands far from the origin.
    let arguments = ["build", "--quiet", "--release", "--example", "files"];
    if !ends_well(house.cargo(&arguments).args(["--package", "rondure-mesh"]))? {
        return Err("The example `files` of rondure-mesh does not build.".to_owned());
    }
    let example = format!("files{}", std::env::consts::EXE_SUFFIX);
    let mut command = script(house, "tests/outside/files.py")?;
    command
        .arg(house.target.join("release/examples").join(example))
        .arg(house.target.join("files"))
        .arg(node::ready(house)?);
    counted(&mut command)
}

fn stress(house: &House) -> Result<Tally, String> {
    apt::ready(house, &[("ccx", "calculix-ccx")])?;
    let mut command = script(house, "tests/outside/stress.py")?;
    command
        .arg(pierced(house)?)
        .arg(house.target.join("stress"));
    counted(&mut command)
}

/// The example of rondure-stress that solves the pierced ball and writes its cubes.
///
/// # Errors
/// When it does not build.
pub fn pierced(house: &House) -> Result<PathBuf, String> {
    let arguments = ["build", "--quiet", "--release", "--example", "pierced"];
    if !ends_well(
        house
            .cargo(&arguments)
            .args(["--package", "rondure-stress"]),
    )? {
        return Err("The example `pierced` of rondure-stress does not build.".to_owned());
    }
    let example = format!("pierced{}", std::env::consts::EXE_SUFFIX);
    Ok(house.target.join("release/examples").join(example))
}

fn templates(house: &House) -> Result<Tally, String> {
    apt::ready(house, &[("qpdf", "qpdf"), ("pdfinfo", "poppler-utils")])?;
    checked_by_python(house, "tests/outside/drawings.py", Some("templates"))
}

fn paper(house: &House) -> Result<Tally, String> {
    checked_by_python(house, "tests/outside/paper.py", Some("paper"))
}

/// Runs one of the outside checks. With `scratch`, it is given the release binary, since
/// that is what a turner runs, and a folder of that name below the build folder.
fn checked_by_python(house: &House, script: &str, scratch: Option<&str>) -> Result<Tally, String> {
    let mut command = self::script(house, script)?;
    if let Some(scratch) = scratch {
        let mut build = house.cargo(&["build", "--quiet", "--release", "--package", "rondure"]);
        if !ends_well(&mut build)? {
            return Err("The `rondure` command does not build.".to_owned());
        }
        command.arg(house.binary()).arg(house.target.join(scratch));
    }
    counted(&mut command)
}

/// A script of the outside checks, ready to be given its arguments.
fn script(house: &House, path: &str) -> Result<Command, String> {
    let mut command = house.command(&python::ready(house)?);
    command
        .arg(path)
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .env("PYTHONUTF8", "1");
    Ok(command)
}
