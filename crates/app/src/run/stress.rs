//! `rondure stress`.

use std::io::{IsTerminal, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use rondure_plan::form::coved_ball::expand;
use rondure_plan::hold::Band;

use crate::failure::Failure;
use crate::hold::{Heard, Memory, NotHeld, Wanted, hold};
use crate::run::{Verdict, no_setup};
use crate::words::{Screen, held as tell};
use crate::{cli, plan_file};

/// Tells whether a plan's wood holds.
pub fn stress(wanted: &cli::Stress, screen: &mut Screen) -> Result<Verdict, Failure> {
    let plan = plan_file::plan(&wanted.plan)?;
    let expanded = expand(&plan).map_err(Failure::Problems)?;
    if let Some(setup) = &wanted.setup
        && expanded.process.setup(setup).is_none()
    {
        let setups = expanded.process.setups.iter();
        return Err(no_setup(setup, setups.map(|other| other.id.as_str())));
    }
    let stopped = on_interrupt();
    let asked = Wanted {
        setup: wanted.setup.as_deref(),
        first_look: wanted.quick,
    };
    let follow = std::io::stderr().is_terminal() && !wanted.json;
    let mut known = None;
    let memory = Memory::default();
    let answer = hold(&plan, &expanded, asked, &memory, &|heard| {
        if let (true, Heard::Progress { done, of }) = (follow, heard) {
            // Where the line cannot be written there is nobody to follow.
            let _ = write!(std::io::stderr(), "\r{done} of {of} looks ");
            let _ = std::io::stderr().flush();
        }
        !stopped.load(Ordering::Relaxed)
    });
    if follow {
        let _ = write!(std::io::stderr(), "\r                    \r");
    }
    let held = match answer {
        Ok(held) => held,
        // What was worked out before the stop is remembered, and told.
        Err(NotHeld::Stopped) => {
            let held = hold(&plan, &expanded, asked, &memory.closed(), &|_| true)
                .map_err(|why| Failure::Asked(why.to_string()))?;
            known = Some("Stopped. What was worked out until then:");
            held
        }
        Err(why) => return Err(Failure::Asked(format!("{why}."))),
    };
    if wanted.json {
        let text =
            serde_json::to_string_pretty(&held).map_err(|error| Failure::Output(error.into()))?;
        screen.line(&text)?;
    } else {
        if let Some(words) = known {
            screen.paragraph(words)?;
        }
        tell::held(&plan.title, &held, screen)?;
    }
    let over = held
        .weakest()
        .is_some_and(|(_, case)| case.band == Band::Over);
    Ok(if over {
        Verdict::Stopped
    } else {
        Verdict::Sound
    })
}

/// Set when the person presses Ctrl-C; the second time ends the program.
fn on_interrupt() -> Arc<AtomicBool> {
    let stopped = Arc::new(AtomicBool::new(false));
    let told = Arc::clone(&stopped);
    // Where no thread or signal can be had, Ctrl-C ends the program as ever.
    let _ = std::thread::Builder::new()
        .name("interrupt".to_owned())
        .spawn(move || {
            let Ok(runtime) = tokio::runtime::Builder::new_current_thread()
                .enable_all()
                .build()
            else {
                return;
            };
            runtime.block_on(async {
                if tokio::signal::ctrl_c().await.is_ok() {
                    told.store(true, Ordering::Relaxed);
                    if tokio::signal::ctrl_c().await.is_ok() {
                        std::process::exit(130);
                    }
                }
            });
        });
    stopped
}
