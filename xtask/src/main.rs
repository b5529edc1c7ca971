//! What a developer runs: `cargo xtask test` passes every check of the project.
//!
//! Stages run in order and the first that fails ends the run, with its name and
//! the command that runs it alone. The last line counts the checks that were
//! really made, as each stage's own tools report them.
#![expect(
    clippy::print_stdout,
    reason = "a developer's command talks on the terminal"
)]

mod apt;
mod bench;
mod house;
mod node;
mod page;
mod python;
mod stages;
mod tally;

use std::process::ExitCode;
use std::time::Instant;

use house::House;
use stages::{STAGES, Stage};
use tally::Tally;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match words.as_slice() {
        [] | ["help" | "--help" | "-h", ..] => {
            help();
            ExitCode::SUCCESS
        }
        ["test", names @ ..] => match chosen(names) {
            Ok(stages) => run(&stages),
            Err(unknown) => {
                println!(
                    "No stage is called `{unknown}`. The stages are: {}.",
                    names_of(STAGES)
                );
                ExitCode::from(2)
            }
        },
        ["bench", parts @ ..] => match House::find().and_then(|house| bench::run(&house, parts)) {
            Ok(()) => ExitCode::SUCCESS,
            Err(trouble) => {
                println!("{trouble}");
                ExitCode::FAILURE
            }
        },
        [unknown, ..] => {
            println!("No command is called `{unknown}`; `cargo xtask help` lists them.");
            ExitCode::from(2)
        }
    }
}

fn help() {
    println!(
        "cargo xtask test             every stage, in order, stopping at the first that fails"
    );
    println!("cargo xtask test STAGE...    those stages only");
    println!("cargo xtask bench            our figures beside the peers', to docs/benchmarks.md");
    println!("cargo xtask bench PART...    those only: pierced, drilled, demo, stress");
    println!("cargo xtask help             this text");
    println!();
    println!("Stages:");
    for stage in STAGES {
        println!("  {:<8} {}", stage.name, stage.says);
    }
}

/// The stages named, in the order they always run; all of them when none is named.
fn chosen(names: &[&str]) -> Result<Vec<&'static Stage>, String> {
    if let Some(unknown) = names
        .iter()
        .find(|name| STAGES.iter().all(|stage| stage.name != **name))
    {
        return Err((*unknown).to_owned());
    }
    Ok(STAGES
        .iter()
        .filter(|stage| names.is_empty() || names.contains(&stage.name))
        .collect())
}

fn names_of<'a>(stages: impl IntoIterator<Item = &'a Stage>) -> String {
    stages
        .into_iter()
        .map(|stage| stage.name)
        .collect::<Vec<_>>()
        .join(", ")
}

fn run(stages: &[&'static Stage]) -> ExitCode {
    let house = match House::find() {
        Ok(house) => house,
        Err(trouble) => {
            println!("{trouble}");
            return ExitCode::FAILURE;
        }
    };
    let mut total = Tally::default();
    for (index, stage) in stages.iter().enumerate() {
        println!(
            "\n== {} ({} of {}): {}",
            stage.name,
            index + 1,
            stages.len(),
            stage.says
        );
        let begun = Instant::now();
        let (tally, trouble) = stage.run(&house);
        total += tally;
        let seconds = begun.elapsed().as_secs_f64();
        println!("== {}: {tally}, {seconds:.0} s", stage.name);
        if tally.failed > 0 {
            if let Some(trouble) = trouble {
                println!("\n{trouble}");
            }
            println!(
                "\nStage `{}` failed. To run it alone: cargo xtask test {0}",
                stage.name
            );
            let left = &stages[index + 1..];
            if !left.is_empty() {
                println!("Not run: {}.", names_of(left.iter().copied()));
            }
            println!("{total}");
            return ExitCode::FAILURE;
        }
    }
    println!("\n{total}");
    ExitCode::SUCCESS
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stages_run_in_their_own_order_whatever_order_they_are_named_in() {
        let names: Vec<_> = chosen(&["paper", "format"])
            .unwrap()
            .iter()
            .map(|stage| stage.name)
            .collect();
        assert_eq!(names, ["format", "paper"]);
        assert_eq!(chosen(&[]).unwrap().len(), STAGES.len());
        assert_eq!(
            chosen(&["format", "sanding"]).err().as_deref(),
            Some("sanding")
        );
    }
}
