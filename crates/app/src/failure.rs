//! What could not be done, said once, with the place and the mend.
//!
//! Problems in a file are shown with the lines they are about where a person
//! looks on, and as plain sentences where the output goes to a file.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use miette::{GraphicalReportHandler, LabeledSpan, MietteDiagnostic, NamedSource, Report};
use rondure_plan::reader::{Problem, Problems};

use crate::{plan_file, words};

/// Why a command could not do its work.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The plan or rack has problems.
    #[error("{}", counted(.0))]
    Problems(Problems),
    /// A file could not be read.
    #[error("{file} cannot be read: {why}.\n{mend}")]
    Unreadable {
        /// What the file is called.
        file: String,
        /// What the system says.
        why: String,
        /// What to do.
        mend: &'static str,
    },
    /// A file could not be written.
    #[error("{} was not written: {}.\nAn older file of that name, if there was one, is as it was. Check the folder's name, its permissions and its space.", path.display(), in_words(source))]
    Unwritten {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The output was closed or failed.
    #[error("the output cannot be written: {0}")]
    Output(#[from] io::Error),
    /// Something asked for is not there.
    #[error("{0}")]
    Asked(String),
}

/// What the system says of a file, without its numbers.
pub fn in_words(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        io::ErrorKind::IsADirectory => "it is a folder".to_owned(),
        io::ErrorKind::PermissionDenied => "the system does not allow it".to_owned(),
        _ => {
            let words = error.to_string();
            match words.split_once(" (os error") {
                Some((words, _)) => words.to_lowercase(),
                None => words,
            }
        }
    }
}

fn counted(problems: &Problems) -> String {
    match problems.count() {
        1 => format!("{} has a problem", problems.file),
        count => format!("{} has {count} problems", problems.file),
    }
}

impl Failure {
    /// The failure to read a file, with advice for the usual causes.
    pub fn unreadable(path: &Path, error: &io::Error) -> Self {
        let mend = match error.kind() {
            io::ErrorKind::NotFound => {
                "Check the name, or write a new plan: rondure new \"coved ball\" --diameter 60mm > my.toml"
            }
            io::ErrorKind::IsADirectory => "Name the plan file in it.",
            io::ErrorKind::PermissionDenied => "Check whose file it is, and who may read it.",
            io::ErrorKind::InvalidData => {
                "A plan is plain text (UTF-8), as a text editor saves it."
            }
            _ => "Check the name and the disk.",
        };
        Self::Unreadable {
            file: plan_file::name(path),
            why: in_words(error),
            mend,
        }
    }

    /// Whether the reader of our output has gone.
    pub fn is_closed_pipe(&self) -> bool {
        matches!(self, Self::Output(error) if error.kind() == io::ErrorKind::BrokenPipe)
    }

    /// Says it on the error output.
    pub fn show(&self) {
        let mut out = io::stderr().lock();
        // A closed error output leaves nobody to tell.
        let _ = match self {
            Self::Problems(problems) => show_problems(problems, &mut out),
            other => writeln!(out, "{other}"),
        };
    }
}

fn show_problems(problems: &Problems, out: &mut impl Write) -> io::Result<()> {
    let pictured = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    writeln!(out, "{}:", counted(problems))?;
    if pictured {
        for_each(problems, &mut |file, source, problem| {
            pictured_problem(file, source, problem, out)
        })?;
    } else {
        write!(out, "{problems}")?;
    }
    writeln!(
        out,
        "Nothing was worked out. Mend the file and run it again."
    )
}

fn for_each(
    problems: &Problems,
    each: &mut impl FnMut(&str, &str, &Problem) -> io::Result<()>,
) -> io::Result<()> {
    for problem in &problems.list {
        each(&problems.file, &problems.source, problem)?;
    }
    problems
        .others
        .iter()
        .try_for_each(|other| for_each(other, each))
}

fn pictured_problem(
    file: &str,
    source: &str,
    problem: &Problem,
    out: &mut impl Write,
) -> io::Result<()> {
    let place = if problem.key.is_empty() {
        format!("line {}", problem.line)
    } else {
        format!("line {}, {}", problem.line, problem.key)
    };
    let mut help = format!("allowed is {}", problem.allowed);
    if let Some(mend) = &problem.mend {
        help.push('\n');
        help.push_str(mend);
    }
    let diagnostic = MietteDiagnostic::new(format!("{place}: found {}", problem.found))
        .with_label(LabeledSpan::underline(problem.span.clone()))
        .with_help(help);
    let report =
        Report::new(diagnostic).with_source_code(NamedSource::new(file, source.to_owned()));
    let mut text = String::new();
    if GraphicalReportHandler::new()
        .with_width(words::width_of_terminal())
        .render_report(&mut text, report.as_ref())
        .is_err()
    {
        return writeln!(out, "{problem}");
    }
    writeln!(out, "{text}")
}
