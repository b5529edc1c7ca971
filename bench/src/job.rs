//! One measurement in a process of its own: what is asked, what comes back.

use std::time::Instant;

use serde::{Deserialize, Serialize};

use crate::body::Body;

/// What to time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Task {
    /// From the list of shapes to triangles in memory.
    Mesh,
    /// From the list of shapes to volume and inertia.
    Moments,
}

/// A measurement asked of a tool.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Job {
    pub task: Task,
    pub body: Body,
    /// Steps on the tool's ladder of fineness, from coarse to fine; each is run.
    pub steps: Vec<u32>,
    /// Repeat each step for about so many seconds after the first run; 0: no repeats.
    pub seconds: f64,
    pub cores: usize,
}

/// What came of one step.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Sample {
    pub step: u32,
    /// The tool's own word for this fineness.
    pub setting: String,
    /// Time of each run, the first left out where there are others, ms.
    pub milliseconds: Vec<f64>,
    /// Processor time over wall time in those runs, where the system tells.
    pub busy: Option<f64>,
    pub volume: f64,
    /// Second moments about the origin's axes: xx, yy, zz of the inertia tensor, mm⁵.
    pub inertia: [f64; 3],
    pub triangles: usize,
    /// What the first run added to the process's memory at its peak, MB, where the system tells.
    pub peak: Option<f64>,
    /// Why there is no result.
    pub trouble: Option<String>,
}

/// What a tool makes of a body.
#[derive(Debug, Clone, Default)]
pub struct Outcome {
    pub volume: f64,
    pub inertia: [f64; 3],
    pub triangles: usize,
}

/// Runs one step and its repeats. `run` gives what is timed; `look` what is read from it after.
pub fn measure<T>(
    job: &Job,
    step: u32,
    setting: String,
    run: impl Fn() -> Result<T, String>,
    look: impl Fn(&T) -> Outcome,
) -> Sample {
    let before = memory("VmRSS");
    let begun = Instant::now();
    let first = run();
    let mut milliseconds = vec![begun.elapsed().as_secs_f64() * 1e3];
    let peak = memory("VmHWM")
        .zip(before)
        .map(|(peak, before)| peak - before);
    let (outcome, trouble) = match &first {
        Ok(made) => (look(made), None),
        Err(trouble) => (Outcome::default(), Some(trouble.clone())),
    };
    drop(first);
    let mut busy = None;
    if trouble.is_none() && job.seconds > 0.0 {
        let (whole, processor) = (Instant::now(), processor_time());
        let mut repeats = Vec::new();
        while repeats.is_empty() || whole.elapsed().as_secs_f64() < job.seconds {
            let begun = Instant::now();
            let made = run();
            repeats.push(begun.elapsed().as_secs_f64() * 1e3);
            drop(made);
        }
        let wall = whole.elapsed().as_secs_f64();
        busy = processor_time()
            .zip(processor)
            .map(|(end, begin)| (end - begin) / wall);
        milliseconds = repeats;
    }
    Sample {
        step,
        setting,
        milliseconds,
        busy,
        volume: outcome.volume,
        inertia: outcome.inertia,
        triangles: outcome.triangles,
        peak,
        trouble,
    }
}

/// A line of the process's status, MB. Linux tells; elsewhere there is none.
fn memory(name: &str) -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with(name))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}

/// Processor time used so far, s: user and system, in ticks of 10 ms.
fn processor_time() -> Option<f64> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    let fields: Vec<&str> = stat.rsplit_once(')')?.1.split_whitespace().collect();
    let ticks = |place: usize| fields.get(place)?.parse::<f64>().ok();
    Some((ticks(11)? + ticks(12)?) / 100.0)
}

/// Volume and inertia inside triangles, from cones to the origin.
pub fn inside(triangles: impl Iterator<Item = [[f64; 3]; 3]>) -> Outcome {
    let mut count = 0;
    let mut volume = 0.0;
    let mut square = [0.0; 3];
    for [a, b, c] in triangles {
        count += 1;
        let cross = [
            b[1] * c[2] - b[2] * c[1],
            b[2] * c[0] - b[0] * c[2],
            b[0] * c[1] - b[1] * c[0],
        ];
        let six = a[0] * cross[0] + a[1] * cross[1] + a[2] * cross[2];
        volume += six / 6.0;
        for (k, square) in square.iter_mut().enumerate() {
            let sum = a[k] + b[k] + c[k];
            let squares = a[k] * a[k] + b[k] * b[k] + c[k] * c[k];
            // ∫ x² over a cone to the origin: |det| / 120 (Σ xᵢ² + (Σ xᵢ)²).
            *square += six / 120.0 * (squares + sum * sum);
        }
    }
    let [xx, yy, zz] = square;
    Outcome {
        volume,
        inertia: [yy + zz, zz + xx, xx + yy],
        triangles: count,
    }
}
