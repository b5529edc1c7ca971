//! `rondure batch`.

use rondure_plan::Memory;
use rondure_plan::batch::{Batch, Sheet, plan_batch, read};

use crate::cli;
use crate::failure::Failure;
use crate::plan_file;
use crate::run::Verdict;
use crate::words::Screen;

/// Plans a run of pieces.
pub fn batch(wanted: &cli::Batch, screen: &mut Screen) -> Result<Verdict, Failure> {
    let text = plan_file::text(&wanted.file)?;
    let folder = wanted
        .file
        .parent()
        .map(std::path::Path::to_owned)
        .unwrap_or_default();
    let plan = |path: &str| match plan_file::plan(&folder.join(path)) {
        Ok(plan) => Ok(Ok(plan)),
        Err(Failure::Problems(problems)) => Ok(Err(problems)),
        Err(other) => Err(other.to_string()),
    };
    let asked = read(&text, &plan_file::name(&wanted.file), &plan).map_err(Failure::Problems)?;
    let batch = plan_batch(&asked, &Memory::default()).map_err(Failure::Problems)?;
    if wanted.json {
        let text =
            serde_json::to_string_pretty(&batch).map_err(|error| Failure::Output(error.into()))?;
        screen.line(&text)?;
    } else {
        tell(&batch, screen)?;
    }
    let sound = batch.cutting.left_over.is_empty()
        && batch.pieces.iter().all(|piece| piece.stops.is_empty());
    Ok(if sound {
        Verdict::Sound
    } else {
        Verdict::Stopped
    })
}

fn tell(batch: &Batch, screen: &mut Screen) -> Result<(), Failure> {
    screen.title(&batch.title)?;
    for piece in &batch.pieces {
        screen.line(&format!("{:>4} × {}", piece.count, piece.title))?;
        for stop in &piece.stops {
            screen.indented(&format!("stopped: {stop}"), "       ", "       ")?;
        }
    }
    screen.heading("Time")?;
    screen.paragraph(&batch.time.says)?;
    screen.heading("Cutting list")?;
    screen.paragraph(&batch.cutting.says)?;
    screen.paragraph("Lengths hold spigot, neck and waste. Measure from the end you marked; the saw cut lies between. Mark each blank with its piece and its grain.")?;
    for stick in &batch.cutting.sticks {
        screen.line(&format!("\n{}", screen.strong(&stick.name)))?;
        let widest = stick.cuts.iter().map(|cut| cut.shown.chars().count());
        let widest = widest.max().unwrap_or(0);
        for cut in &stick.cuts {
            screen.line(&format!("  {:>widest$}  {}", cut.shown, cut.what))?;
        }
    }
    if !batch.cutting.left_over.is_empty() {
        screen.heading("Not in this stock")?;
        for left in &batch.cutting.left_over {
            screen.indented(left, "* ", "  ")?;
        }
    }
    let work = &batch.work;
    screen.heading("Order of work")?;
    let (holdings, bits) = work.one_by_one;
    screen.paragraph(&format!(
        "{} changes of what holds the work and {} of bits{}; size after size it would be {holdings} and {bits}.",
        work.holdings,
        work.bits,
        if work.proven { ", and no order has fewer" } else { "" }
    ))?;
    for (number, sheet) in work.sheets.iter().enumerate() {
        tell_sheet(number + 1, sheet, screen)?;
    }
    Ok(())
}

fn tell_sheet(number: usize, sheet: &Sheet, screen: &mut Screen) -> Result<(), Failure> {
    let head = format!(
        "{number}. {}: {} × {}",
        sheet.title, sheet.count, sheet.piece
    );
    screen.line(&format!("\n{}", screen.strong(&head)))?;
    screen.line(&format!(
        "   {}{}; about {:.0} min",
        if sheet.change_holding {
            "Change to "
        } else {
            "Still "
        },
        sheet.holding,
        sheet.minutes
    ))?;
    let widest = sheet.settings.iter().map(|each| each.shown.chars().count());
    let widest = widest.max().unwrap_or(0);
    for setting in &sheet.settings {
        screen.indented(
            &format!("{} ({})", setting.label, setting.tool),
            &format!("     {:>widest$}  ", setting.shown),
            &" ".repeat(widest + 7),
        )?;
    }
    Ok(())
}
