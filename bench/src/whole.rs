//! Everything that is measured, and the page it is written to.

use std::path::Path;
use std::process::Command;

use rondure_solid::{Accuracy, moments};

use crate::body::Body;
use crate::demo::Demo;
use crate::job::Task;
use crate::page::{self, Row};
use crate::run::{Question, Shop, Truth};
use crate::{ours, run::TOOLS};

/// Processes of each tool for each figure.
const ROUNDS: usize = 5;

/// Numbers of holes in the larger ball.
const HOLES: [u32; 4] = [10, 40, 160, 640];

/// Measures the parts named (all, if none is) and writes them to the page below `root`.
pub fn run(python: &Path, root: &Path, parts: &[&str]) -> Result<(), String> {
    let shop = Shop {
        python: python.to_owned(),
        script: root.join("bench/manifold.py"),
    };
    let wanted = |part: &str| parts.is_empty() || parts.contains(&part);
    let mut blocks = vec![("machine", machine(&shop)?)];
    if wanted("pierced") {
        blocks.extend(pierced(&shop)?);
    }
    if wanted("drilled") {
        blocks.extend(drilled(&shop)?);
    }
    if wanted("demo") {
        blocks.push(("demo", page::demo(&[(1, demo(1)?), (2, demo(2)?)])));
    }
    for (name, block) in &blocks {
        println!("\n{name}\n{block}");
    }
    page::rewrite(&root.join("docs/benchmarks.md"), &blocks)
}

fn pierced(shop: &Shop) -> Result<Vec<(&'static str, String)>, String> {
    let body = Body::pierced_ball();
    let truth = truth(&body)?;
    let questions = [
        ("mesh, volume within 1e-3", Task::Mesh, 1e-3, false),
        ("mesh, volume within 1e-4", Task::Mesh, 1e-4, false),
        ("volume and inertia within 1e-4", Task::Moments, 1e-4, false),
        ("the same, ours with its bound", Task::Moments, 1e-4, true),
    ];
    let mut lists = [Vec::new(), Vec::new()];
    for (name, task, target, promised) in questions {
        println!("pierced ball: {name}");
        let question = Question {
            task,
            body: body.clone(),
            target,
            promised,
        };
        let answers = shop.compare(&question, &truth, &[1, 2], ROUNDS)?;
        for (list, answers) in lists.iter_mut().zip(answers) {
            list.push(Row {
                name: name.to_owned(),
                answers,
            });
        }
    }
    let [one, two] = lists;
    Ok(vec![
        ("pierced ball, one core", page::times(&one)),
        ("pierced ball, two cores", page::times(&two)),
        ("settings", page::settings(&two)),
        ("memory", page::resources(&two)),
    ])
}

fn drilled(shop: &Shop) -> Result<Vec<(&'static str, String)>, String> {
    let mut lists = [Vec::new(), Vec::new()];
    for count in HOLES {
        let body = Body::drilled_ball(count);
        let truth = truth(&body)?;
        for (list, (task, target)) in lists
            .iter_mut()
            .zip([(Task::Mesh, 1e-3), (Task::Moments, 1e-4)])
        {
            println!("drilled ball, {count} holes: {task:?}");
            let question = Question {
                task,
                body: body.clone(),
                target,
                promised: task == Task::Moments,
            };
            let answers = shop.compare(&question, &truth, &[2], 3)?;
            list.extend(answers.into_iter().map(|answers| Row {
                name: format!("{count} holes"),
                answers,
            }));
        }
    }
    let factor = f64::from(HOLES[3]) / f64::from(HOLES[0]);
    let block = |rows: &[Row]| format!("{}\n{}", page::times(rows), page::growth(rows, factor));
    let [meshes, moments] = lists;
    Ok(vec![
        ("drilled ball, mesh", block(&meshes)),
        ("drilled ball, moments", block(&moments)),
        ("drilled ball, settings", page::settings(&meshes)),
    ])
}

/// Our own bracket, a thousand times narrower than any target; peers are held against it.
fn truth(body: &Body) -> Result<Truth, String> {
    let found = moments(&ours::solid(body)?, Accuracy { relative: 1e-7 });
    if !found.reached {
        return Err("the volume to compare with is not known well enough".to_owned());
    }
    let outcome = ours::of_moments(&found);
    Ok(Truth {
        volume: outcome.volume,
        inertia: outcome.inertia,
    })
}

fn demo(cores: usize) -> Result<Demo, String> {
    println!("demo: {cores} cores");
    let this = std::env::current_exe().map_err(|error| error.to_string())?;
    let output = Command::new(this)
        .args(["one", "demo"])
        .env("RAYON_NUM_THREADS", cores.to_string())
        .output()
        .map_err(|error| error.to_string())?;
    serde_json::from_slice(&output.stdout)
        .map_err(|_| String::from_utf8_lossy(&output.stdout).into_owned())
}

/// Processor, system and versions, in words without a path.
fn machine(shop: &Shop) -> Result<String, String> {
    let said = |program: &Path, arguments: &[&str]| {
        Command::new(program)
            .args(arguments)
            .output()
            .map(|output| String::from_utf8_lossy(&output.stdout).trim().to_owned())
            .map_err(|error| format!("{}: {error}", program.display()))
    };
    let processor = std::fs::read_to_string("/proc/cpuinfo")
        .ok()
        .and_then(|text| {
            let line = text.lines().find(|line| line.starts_with("model name"))?;
            Some(line.split_once(':')?.1.trim().to_owned())
        })
        .unwrap_or_else(|| "processor unknown".to_owned());
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let manifold = said(
        &shop.python,
        &[
            "-c",
            "from importlib.metadata import version; print(version('manifold3d'))",
        ],
    )?;
    let lock = include_str!("../Cargo.lock");
    let fidget = lock
        .split("name = \"fidget\"\nversion = \"")
        .nth(1)
        .and_then(|rest| rest.split('"').next())
        .unwrap_or("unknown");
    Ok(format!(
        "- Machine: {processor}, {cores} cores, {} {}\n- Compilers: {}; {}\n- Peers: manifold3d {manifold}, fidget {fidget}; {} ways of use\n- Command: `cargo xtask bench`\n",
        std::env::consts::OS,
        std::env::consts::ARCH,
        said(Path::new("rustc"), &["--version"])?,
        said(&shop.python, &["--version"])?,
        TOOLS.len(),
    ))
}
