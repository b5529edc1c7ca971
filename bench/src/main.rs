//! Our figures beside the peers', in one run.
//!
//! `rondure-bench run PYTHON ROOT` measures and writes docs/benchmarks.md; `rondure-bench one
//! TOOL` is one measurement in a process of its own, asked and answered in JSON on its input
//! and output. `cargo xtask bench` calls it with what it needs.

mod body;
mod demo;
mod implicit;
mod job;
mod ours;
mod page;
mod run;
mod whole;

use std::io::Read as _;
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let done = match words.as_slice() {
        ["one", tool] => one(tool),
        ["run", python, root, parts @ ..] => whole::run(Path::new(python), Path::new(root), parts),
        _ => Err("what to do: `cargo xtask bench` knows how to call this".to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            println!("{trouble}");
            ExitCode::FAILURE
        }
    }
}

fn one(tool: &str) -> Result<(), String> {
    let told = |error: serde_json::Error| error.to_string();
    if tool == "demo" {
        println!(
            "{}",
            serde_json::to_string(&demo::measure()?).map_err(told)?
        );
        return Ok(());
    }
    let mut text = String::new();
    std::io::stdin()
        .read_to_string(&mut text)
        .map_err(|error| error.to_string())?;
    let job: job::Job = serde_json::from_str(&text).map_err(told)?;
    let samples = match tool {
        "ours" => ours::run(&job),
        "fidget" => implicit::run(&job),
        _ => return Err(format!("no tool is called `{tool}`")),
    };
    println!("{}", serde_json::to_string(&samples).map_err(told)?);
    Ok(())
}
