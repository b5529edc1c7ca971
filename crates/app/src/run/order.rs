//! `rondure order`.

use rondure_plan::order::orders;

use crate::cli;
use crate::failure::Failure;
use crate::plan_file;
use crate::run::Verdict;
use crate::words::Screen;

/// Compares the orders of a plan's mountings.
pub fn order(wanted: &cli::Order, screen: &mut Screen) -> Result<Verdict, Failure> {
    let plan = plan_file::plan(&wanted.plan)?;
    let found = orders(&plan, &[]).map_err(Failure::Problems)?;
    if wanted.json {
        let text =
            serde_json::to_string_pretty(&found).map_err(|error| Failure::Output(error.into()))?;
        screen.line(&text)?;
    } else {
        screen.title(&format!("{}: order of the mountings", plan.title))?;
        screen.paragraph(&found.why)?;
        screen.heading(&if found.every {
            format!("The best of {} orders, all there are", found.compared)
        } else {
            format!("The best of {} orders; there are more", found.compared)
        })?;
        for order in &found.ranked {
            screen.line(&order.written)?;
            let works = if order.works { "" } else { "does not work; " };
            screen.indented(&format!("{works}{}", order.says), "    ", "    ")?;
        }
        screen.heading(&format!("The plan's own: {}", found.planned.written))?;
        let place = if found.place == 1 {
            "as good as any; ".to_owned()
        } else {
            match found.place - 1 {
                1 => "one is better; ".to_owned(),
                more => format!("{more} are better; "),
            }
        };
        screen.indented(&format!("{place}{}", found.planned.says), "    ", "    ")?;
        if let Some(best) = found
            .ranked
            .first()
            .filter(|best| best.works && found.place > 1)
        {
            screen.line("")?;
            screen.paragraph(&format!(
                "To take the best, write order = \"{}\" under [holding] in the plan.",
                best.written
            ))?;
        }
    }
    Ok(if found.planned.works {
        Verdict::Sound
    } else {
        Verdict::Stopped
    })
}
