//! `rondure rescale`.

use std::io::Write;

use rondure_plan::Memory;
use rondure_plan::rescale::{
    Hindrance, Keeps, NoSize, Number, Rescaled, Sizes, Wish, rescale as search, sizes,
};
use serde_json::json;

use crate::cli;
use crate::failure::Failure;
use crate::run::{Verdict, length};
use crate::words::Screen;
use crate::{keep, plan_file};

/// Finds the numbers of a plan at another size.
pub fn rescale(wanted: &cli::Rescale, screen: &mut Screen) -> Result<Verdict, Failure> {
    let plan = plan_file::plan(&wanted.plan)?;
    let memory = Memory::default();
    let keeps = Keeps::new(wanted.keep.iter().map(|key| key.trim().to_owned()));
    let found = match &wanted.diameter {
        None => None,
        Some(written) => Some(search(
            &plan,
            &Wish {
                diameter_mm: length("--diameter", written, plan.unit)?,
                keeps: keeps.clone(),
                marks: wanted.marks,
                title: wanted.title.clone(),
            },
            &memory,
        )),
    };
    let ends = wanted.range.then(|| sizes(&plan, &keeps, &memory));
    if let (Some(Ok(new)), Some(path)) = (&found, &wanted.output) {
        keep::whole(path, |file| file.write_all(new.text.as_bytes()))?;
    }
    if wanted.json {
        let (new, none) = match &found {
            Some(Ok(new)) => (Some(new), None),
            Some(Err(none)) => (None, Some(none)),
            None => (None, None),
        };
        let document = json!({ "rescaled": new, "none": none, "sizes": ends });
        let text = serde_json::to_string_pretty(&document)
            .map_err(|error| Failure::Output(error.into()))?;
        screen.line(&text)?;
    } else {
        match &found {
            Some(Ok(new)) => tell(new, screen)?,
            Some(Err(none)) => tell_none(none, screen)?,
            None => screen.title(&plan.title)?,
        }
        match &ends {
            Some(Some(ends)) => tell_sizes(ends, screen)?,
            Some(None) => screen.paragraph("No size of this form works with this rack.")?,
            None => {}
        }
        if let (Some(Ok(_)), Some(path)) = (&found, &wanted.output) {
            screen.line(&format!("\nWritten: {}", path.display()))?;
        }
    }
    Ok(match found {
        Some(Err(_)) => Verdict::Stopped,
        _ => Verdict::Sound,
    })
}

fn tell(new: &Rescaled, screen: &mut Screen) -> Result<(), Failure> {
    screen.title(&new.title)?;
    screen.paragraph(&format!(
        "From {} to {}. Its proportions are {} off on the whole; no limit is broken on the true solid.",
        new.from,
        new.to,
        percent(new.unlikeness)
    ))?;
    if !new.to_watch.is_empty() {
        screen.paragraph("No numbers do without something to watch. Nearest without it stood:")?;
        tell_hindrances(&new.to_watch, screen)?;
    }
    let widest = |of: fn(&Number) -> &str, head: &str| {
        let rows = new.numbers.iter().map(|number| of(number).chars().count());
        rows.max().unwrap_or(0).max(head.chars().count())
    };
    let label = widest(|number| &number.label, "");
    let (old, wish) = (
        widest(|n| &n.old, "old"),
        widest(|n| &n.proportional, "in proportion"),
    );
    let chosen = widest(|n| &n.chosen, "chosen");
    let mut section = "";
    for number in &new.numbers {
        if number.section != section {
            section = number.section;
            screen.heading(section)?;
            screen.line(&format!(
                "{:label$}  {:>old$}  {:>wish$}  {:>chosen$}",
                "", "old", "in proportion", "chosen"
            ))?;
        }
        let row = format!(
            "{:label$}  {:>old$}  {:>wish$}  {:>chosen$}",
            number.label, number.old, number.proportional, number.chosen
        );
        screen.line(&row)?;
        if let Some(reason) = &number.reason {
            screen.indented(reason, "      ", "      ")?;
        }
    }
    Ok(())
}

fn tell_none(none: &NoSize, screen: &mut Screen) -> Result<(), Failure> {
    screen.paragraph(&none.says)?;
    if !none.hindrances.is_empty() {
        screen.heading("In the way")?;
        tell_hindrances(&none.hindrances, screen)?;
    }
    if !none.ways.is_empty() {
        screen.heading("What works")?;
        for way in &none.ways {
            screen.indented(way, "* ", "  ")?;
        }
    }
    Ok(())
}

fn tell_hindrances(list: &[Hindrance], screen: &mut Screen) -> Result<(), Failure> {
    for each in list {
        screen.indented(&format!("{} ({})", each.says, each.id), "* ", "  ")?;
    }
    Ok(())
}

fn tell_sizes(ends: &Sizes, screen: &mut Screen) -> Result<(), Failure> {
    screen.heading("Sizes of this form with this rack")?;
    for (word, end) in [("Smallest", &ends.smallest), ("Largest", &ends.largest)] {
        screen.line(&format!("{word}: {}", end.shown))?;
        if !end.beyond.is_empty() {
            screen.line("  In the way of the next:")?;
            tell_hindrances(&end.beyond, screen)?;
        }
    }
    Ok(())
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}
