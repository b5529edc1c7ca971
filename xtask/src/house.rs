//! Where things stand, and how a command is run there.
//!
//! Commands run from the workspace's root and build into the folder this
//! program itself was built into, so that nothing is compiled twice.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::tally::Tally;

/// The workspace on disk.
pub struct House {
    /// The workspace's root.
    pub root: PathBuf,
    /// Cargo's build folder.
    pub target: PathBuf,
}

impl House {
    /// Finds the root above the present folder, and the build folder above this program.
    ///
    /// # Errors
    /// When started from outside the workspace or from a moved program.
    pub fn find() -> Result<Self, String> {
        let here = std::env::current_dir()
            .map_err(|error| format!("The present folder cannot be read: {error}."))?;
        let root = here
            .ancestors()
            .find(|folder| folder.join("xtask/Cargo.toml").is_file());
        let program = std::env::current_exe()
            .map_err(|error| format!("This program's own place cannot be read: {error}."))?;
        // <build folder>/<profile>/xtask
        let target = program.ancestors().nth(2);
        match (root, target) {
            (Some(root), Some(target)) => Ok(Self {
                root: root.to_owned(),
                target: target.to_owned(),
            }),
            _ => Err(format!(
                "No workspace stands above {}. Change into the project's folder and run `cargo xtask` there.",
                here.display()
            )),
        }
    }

    /// The built `rondure` of the release profile.
    pub fn binary(&self) -> PathBuf {
        self.target
            .join("release")
            .join(format!("rondure{}", std::env::consts::EXE_SUFFIX))
    }

    /// Cargo, as it was called to build this program.
    pub fn cargo(&self, arguments: &[&str]) -> Command {
        let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
        let mut command = self.command(Path::new(&cargo));
        command
            .args(arguments)
            .env("CARGO_TARGET_DIR", &self.target);
        command
    }

    /// Any program, run from the root.
    pub fn command(&self, program: &Path) -> Command {
        let mut command = Command::new(program);
        command.current_dir(&self.root);
        command
    }
}

/// Runs a command and tells whether it ended well.
///
/// # Errors
/// When it cannot be started.
pub fn ends_well(command: &mut Command) -> Result<bool, String> {
    say(command);
    command
        .status()
        .map(|status| status.success())
        .map_err(|error| not_started(command, &error))
}

/// Runs a command, passes its output on and counts the checks it reports.
///
/// # Errors
/// When it cannot be started or its output cannot be read.
pub fn counted(command: &mut Command) -> Result<Tally, String> {
    say(command);
    let mut child = command
        .stdout(Stdio::piped())
        .spawn()
        .map_err(|error| not_started(command, &error))?;
    let mut tally = Tally::default();
    if let Some(output) = child.stdout.take() {
        let mut output = BufReader::new(output);
        let mut line = Vec::new();
        while output
            .read_until(b'\n', &mut line)
            .map_err(|error| error.to_string())?
            > 0
        {
            // A test may print any bytes; they are shown, not judged.
            let text = String::from_utf8_lossy(&line);
            print!("{text}");
            tally += Tally::of_line(&text).unwrap_or_default();
            line.clear();
        }
    }
    let status = child.wait().map_err(|error| error.to_string())?;
    Ok(tally.settled(status.success()))
}

fn say(command: &Command) {
    let program = Path::new(command.get_program())
        .file_stem()
        .unwrap_or_default();
    let arguments: Vec<_> = command
        .get_args()
        .map(|word| word.to_string_lossy())
        .collect();
    println!("$ {} {}", program.to_string_lossy(), arguments.join(" "));
}

fn not_started(command: &Command, error: &std::io::Error) -> String {
    format!(
        "`{}` could not be started: {error}.",
        command.get_program().to_string_lossy()
    )
}
