//! The `rondure` command: plan files in; reports, solids, packets and the page out.
//!
//! Nothing is worked out here. Each command reads its file, asks the libraries,
//! and writes what they say; files are written beside their place and renamed
//! over it, so that none is ever left half done. [`serve`] is the page's server;
//! it, too, only asks and passes on.
//!
//! Exit status: 0 done and sound, 1 something stops the job, 2 it could not be done.

mod cli;
mod failure;
pub mod hold;
mod keep;
mod labels;
mod new_plan;
mod plan_file;
mod run;
pub mod serve;
mod words;

use std::process::ExitCode;

use clap::Parser;

use cli::{Arguments, Command};
use failure::Failure;
use words::Screen;

/// Does what the command line asks for.
pub fn command() -> ExitCode {
    let arguments = Arguments::parse();
    let mut screen = Screen::for_output();
    let done = match &arguments.command {
        None => run::demo(&mut screen),
        Some(Command::Serve(wanted)) => run::serve(wanted, &mut screen),
        Some(Command::Report(wanted)) => run::report(wanted, &mut screen),
        Some(Command::Stress(wanted)) => run::stress(wanted, &mut screen),
        Some(Command::Solid(wanted)) => run::solid(wanted, &mut screen),
        Some(Command::Trial(wanted)) => run::trial(wanted, &mut screen),
        Some(Command::Packet(wanted)) => run::packet(wanted, &mut screen),
        Some(Command::Handout(wanted)) => run::handout(wanted, &mut screen),
        Some(Command::Template(wanted)) => run::template(wanted, &mut screen),
        Some(Command::New(wanted)) => run::new(wanted, &mut screen),
        Some(Command::Rescale(wanted)) => run::rescale(wanted, &mut screen),
        Some(Command::Order(wanted)) => run::order(wanted, &mut screen),
        Some(Command::Batch(wanted)) => run::batch(wanted, &mut screen),
        Some(Command::Rack(wanted)) => run::rack(wanted, &mut screen),
        Some(Command::Woods(wanted)) => run::woods(wanted, &mut screen),
        Some(Command::Round(wanted)) => run::round(wanted, &mut screen),
    };
    match done.and_then(|verdict| screen.flush().map(|()| verdict).map_err(Failure::from)) {
        Ok(run::Verdict::Sound) => ExitCode::SUCCESS,
        Ok(run::Verdict::Stopped) => ExitCode::from(1),
        // Whoever read our output has read enough.
        Err(failure) if failure.is_closed_pipe() => ExitCode::SUCCESS,
        Err(failure) => {
            failure.show();
            ExitCode::from(2)
        }
    }
}
