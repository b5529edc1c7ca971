//! Runs the [`rondure`] command.

use std::process::ExitCode;

fn main() -> ExitCode {
    rondure::command()
}
