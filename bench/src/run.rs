//! The whole run: each tool's fineness is sought, then all are timed in turns.

use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use crate::body::Body;
use crate::job::{Job, Sample, Task};
use crate::ours;

/// A tool, and the way it is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tool {
    Ours,
    /// manifold3d with all vertices on the surface.
    Manifold,
    /// manifold3d with polygons as large as their circles.
    Balanced,
    Fidget,
}

/// All tools, in the order of the tables.
pub const TOOLS: [Tool; 4] = [Tool::Ours, Tool::Manifold, Tool::Balanced, Tool::Fidget];

/// Where the tools are.
pub struct Shop {
    /// A Python that sees manifold3d.
    pub python: PathBuf,
    /// `bench/manifold.py`.
    pub script: PathBuf,
}

/// What is asked of every tool.
#[derive(Debug, Clone)]
pub struct Question {
    pub task: Task,
    pub body: Body,
    /// Largest error of the volume, and of the inertia where it is asked for, as a share.
    pub target: f64,
    /// Ours must promise the target by its bound; otherwise it need only meet it, as the peers,
    /// who promise nothing.
    pub promised: bool,
}

/// A tool's answer: the fineness that just meets the target, and how long it takes there.
#[derive(Debug, Clone)]
pub struct Answer {
    pub setting: String,
    /// Error of the volume as a share of it.
    pub error: f64,
    pub triangles: usize,
    pub milliseconds: f64,
    pub busy: Option<f64>,
    pub peak: Option<f64>,
}

/// Volume and inertia known far better than any target.
#[derive(Debug, Clone, Copy)]
pub struct Truth {
    pub volume: f64,
    pub inertia: [f64; 3],
}

impl Tool {
    /// The last step of its ladder that is tried: a minute and more beyond it.
    fn last_step(self) -> u32 {
        match self {
            Self::Ours | Self::Manifold | Self::Balanced => 28,
            Self::Fidget => 20,
        }
    }
}

impl Shop {
    /// One job in a process of its own.
    fn ask(&self, tool: Tool, job: &Job) -> Result<Vec<Sample>, String> {
        let mut command = match tool {
            Tool::Ours | Tool::Fidget => {
                let this = std::env::current_exe().map_err(|error| error.to_string())?;
                let mut command = Command::new(this);
                let name = if tool == Tool::Ours { "ours" } else { "fidget" };
                command.args(["one", name]);
                command
            }
            Tool::Manifold | Tool::Balanced => {
                let mut command = Command::new(&self.python);
                command.arg(&self.script);
                if tool == Tool::Balanced {
                    command.arg("balanced");
                }
                command
            }
        };
        let mut child = command
            .env("RAYON_NUM_THREADS", job.cores.to_string())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .map_err(|error| format!("{tool:?} could not be started: {error}"))?;
        let text = serde_json::to_vec(job).map_err(|error| error.to_string())?;
        if let Some(mut input) = child.stdin.take() {
            input.write_all(&text).map_err(|error| error.to_string())?;
        }
        let output = child
            .wait_with_output()
            .map_err(|error| error.to_string())?;
        if !output.status.success() {
            return Err(format!("{tool:?} failed on {:?}", job.task));
        }
        serde_json::from_slice(&output.stdout).map_err(|error| format!("{tool:?}: {error}"))
    }

    /// The first step of a tool's ladder that meets the target together with the one after
    /// it, so that no lucky zero of the error counts. Every fourth step is tried first.
    fn seek(&self, tool: Tool, question: &Question, truth: &Truth) -> Result<u32, String> {
        if tool == Tool::Ours && question.promised {
            return Ok(ours::step_asking(question.target));
        }
        let meets = |step: u32| -> Result<bool, String> {
            let job = question.job(vec![step, step + 1], 0.0, 2);
            let samples = self.ask(tool, &job)?;
            let good = |sample: &Sample| {
                sample.trouble.is_none() && question.error(sample, truth) <= question.target
            };
            Ok(samples.len() == 2 && samples.iter().all(good))
        };
        let mut step = 0;
        while !meets(step)? {
            step += 4;
            if step > tool.last_step() {
                return Err(format!("{tool:?} does not reach {:.0e}", question.target));
            }
        }
        for earlier in step.saturating_sub(3)..step {
            if meets(earlier)? {
                return Ok(earlier);
            }
        }
        Ok(step)
    }

    /// Asks every tool, at the fineness that just meets the target; `rounds` processes of each
    /// in turns, the median of their medians. One list per number of cores.
    pub fn compare(
        &self,
        question: &Question,
        truth: &Truth,
        cores: &[usize],
        rounds: usize,
    ) -> Result<Vec<[Option<Answer>; 4]>, String> {
        let mut steps = [None; 4];
        for (place, tool) in TOOLS.into_iter().enumerate() {
            match self.seek(tool, question, truth) {
                Ok(step) => steps[place] = Some(step),
                Err(trouble) => println!("  {trouble}"),
            }
        }
        let mut answers = Vec::new();
        for count in cores {
            let mut samples: [Vec<Sample>; 4] = Default::default();
            for _ in 0..rounds {
                for (place, tool) in TOOLS.into_iter().enumerate() {
                    if let Some(step) = steps[place] {
                        let job = question.job(vec![step], 0.3, *count);
                        samples[place].extend(self.ask(tool, &job)?);
                    }
                }
            }
            answers.push(samples.map(|samples| question.answer(&samples, truth)));
        }
        Ok(answers)
    }
}

impl Question {
    fn job(&self, steps: Vec<u32>, seconds: f64, cores: usize) -> Job {
        Job {
            task: self.task,
            body: self.body.clone(),
            steps,
            seconds,
            cores,
        }
    }

    /// The error that counts, as a share.
    fn error(&self, sample: &Sample, truth: &Truth) -> f64 {
        let volume = volume_error(sample, truth);
        if self.task == Task::Mesh {
            return volume;
        }
        let largest = truth.inertia.into_iter().fold(0.0, f64::max);
        sample
            .inertia
            .iter()
            .zip(&truth.inertia)
            .map(|(found, truth)| (found - truth).abs() / largest)
            .fold(volume, f64::max)
    }

    fn answer(&self, samples: &[Sample], truth: &Truth) -> Option<Answer> {
        let first = samples.first()?;
        Some(Answer {
            setting: first.setting.clone(),
            error: volume_error(first, truth),
            triangles: first.triangles,
            milliseconds: median(samples.iter().map(|s| median(s.milliseconds.clone())))?,
            busy: median(samples.iter().map(|sample| sample.busy)),
            peak: median(samples.iter().map(|sample| sample.peak)),
        })
    }
}

fn volume_error(sample: &Sample, truth: &Truth) -> f64 {
    (sample.volume / truth.volume - 1.0).abs()
}

/// The middle one, of those there are.
pub fn median<T: Into<Option<f64>>>(values: impl IntoIterator<Item = T>) -> Option<f64> {
    let mut values: Vec<f64> = values.into_iter().filter_map(Into::into).collect();
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}
