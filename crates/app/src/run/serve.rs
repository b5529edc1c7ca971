//! `rondure serve`, and `rondure` alone: the page.

use std::io;
use std::net::{IpAddr, Ipv4Addr};
use std::path::{Path, PathBuf};

use rondure_plan::bench::written;
use rondure_plan::plan::Plan;

use crate::cli;
use crate::failure::{Failure, in_words};
use crate::run::{Verdict, worked_out};
use crate::serve::examples::DEMO;
use crate::serve::shelf::Name;
use crate::serve::{Server, listen};
use crate::words::{Screen, tell};

/// The shelf's folder below the person's own.
const SHELF: &str = "Rondure";

/// Says how the demo fares, and shows it on the page.
pub fn demo(screen: &mut Screen) -> Result<Verdict, Failure> {
    let no_files = |path: &str| Err(format!("the demo names no file, yet asks for {path}"));
    let plan = Plan::read(DEMO.text, "the demo plan", &no_files).map_err(Failure::Problems)?;
    let report = worked_out(&plan)?.report;
    screen.title(&report.title)?;
    screen.paragraph(&format!(
        "The demo plan: a ball of {} in {}, from an order of a small museum shop.",
        written(&plan, plan.ball.diameter),
        plan.wood.species
    ))?;
    tell::in_short(&report, screen)?;
    screen.heading("What to do next")?;
    for (command, does) in [
        (
            "rondure report my.toml",
            "the same for a plan of your own, in full",
        ),
        ("rondure --help", "everything that works without the page"),
    ] {
        screen.pair(command, does)?;
    }
    screen.heading("The page")?;
    let usual = cli::Serve {
        shelf: None,
        port: None,
        host: IpAddr::V4(Ipv4Addr::LOCALHOST),
        no_open: false,
    };
    start(&usual, Some(DEMO.name), screen)
}

/// Serves the page.
pub fn serve(wanted: &cli::Serve, screen: &mut Screen) -> Result<Verdict, Failure> {
    start(wanted, None, screen)
}

fn start(wanted: &cli::Serve, plan: Option<&str>, screen: &mut Screen) -> Result<Verdict, Failure> {
    if rondure_web_ui::find("").is_none() {
        return Err(Failure::Asked(
            "This build of Rondure carries no page: it was made without the feature `web`. Build it with its usual features, or use the other commands: rondure --help".to_owned(),
        ));
    }
    let folder = wanted.shelf.clone().unwrap_or_else(usual_shelf);
    let server = Server::open(&folder).map_err(|error| no_shelf(&folder, &error))?;
    let listener =
        listen::bind(wanted.host, wanted.port).map_err(|error| no_port(wanted, &error))?;
    let address = listener.local_addr()?;
    let mut page = listen::url(address);
    // The plan may have been renamed or removed since the first start.
    if let Some(name) = plan
        && Name::new(name).is_ok_and(|name| server.shelf.stored(&name).is_ok())
    {
        page.push_str(&format!("#/plan/{name}"));
    }
    screen.pair("your plans", &server.shelf.folder().display().to_string())?;
    screen.pair("open in a browser", &page)?;
    screen.pair("to end", "Ctrl-C; every change is kept at once")?;
    if !wanted.host.is_loopback() {
        screen.paragraph("Everyone who can reach this machine can read and change the plans on this shelf. There is no password.")?;
    }
    screen.flush()?;
    let runtime = listen::runtime()?;
    if !wanted.no_open && has_screen() {
        // Where no browser starts, the address stands above.
        let _ = open::that_detached(&page);
    }
    listen::serve(runtime, listener, server)?;
    screen.line("")?;
    screen.paragraph("Ended. Your plans are on the shelf.")?;
    Ok(Verdict::Sound)
}

/// A folder of the person's own: among the documents, where there is a folder for them.
fn usual_shelf() -> PathBuf {
    match std::env::home_dir().filter(|home| home.is_dir()) {
        Some(home) => {
            let documents = home.join("Documents");
            if documents.is_dir() {
                documents.join(SHELF)
            } else {
                home.join(SHELF)
            }
        }
        None => PathBuf::from(SHELF),
    }
}

/// Whether somebody may be looking on.
fn has_screen() -> bool {
    let named = |variable| std::env::var_os(variable).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux") || named("DISPLAY") || named("WAYLAND_DISPLAY")
}

fn no_shelf(folder: &Path, error: &io::Error) -> Failure {
    Failure::Asked(format!(
        "The shelf {} cannot be used: {}.\nIt has to be a folder that you may write to; name another with rondure serve --shelf.",
        folder.display(),
        in_words(error)
    ))
}

fn no_port(wanted: &cli::Serve, error: &io::Error) -> Failure {
    let place = match wanted.port {
        Some(port) => format!("{} port {port}", wanted.host),
        None => wanted.host.to_string(),
    };
    Failure::Asked(format!(
        "The page cannot be served at {place}: {}.\nAllowed is an address of this machine and a port that is free; without --port a free one is found, and without --host only this machine can open the page.",
        in_words(error)
    ))
}
