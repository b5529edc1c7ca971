//! The same form at another size, with the tools at hand.
//!
//! Almost nothing scales in proportion: bits and jaws come in steps, a hanger, a line of glue and
//! the least wall stay what they are ([`Role`]). [`rescale`] finds the numbers that keep the look
//! (the measure stands in `likeness`) while every limit holds on the true solid: none of the
//! findings that stop a job, and nothing to be watched that was not to be watched before (unless
//! no numbers do without; then it is said). Of all
//! settings of bore, pierced holes, depth of coves and land within a third less and half as much
//! again of their wished values it gives the most like (`search`); finials are fitted to each bore
//! (`finial`), markers, holding and stock follow by rule (`settle`). The plan that comes out is
//! read back from its own text and looked through once more before it is given.
//!
//! Where there is none, it says what stands in the way, and which sizes work.

mod finial;
mod hinder;
mod likeness;
mod role;
mod rows;
mod search;
mod settle;
mod sizes;

use serde::Serialize;
use ts_rs::TS;

use crate::bench::written;
use crate::memory::Memory;
use crate::plan::Plan;
use search::{Found, Nothing, Task, search};

pub use hinder::Hindrance;
pub use role::{Keeps, Role};
pub use rows::Number;

/// Solids asked for one size before it is given up.
const MOST_SOLIDS: usize = 40;
/// The same where many sizes are tried for one answer.
const ON_A_LADDER: usize = 6;

/// What is asked for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Wish {
    /// The new diameter of the ball, mm.
    pub diameter_mm: f64,
    /// Numbers that stay as they are.
    pub keeps: Keeps,
    /// Another number of marks; none: as many as before.
    pub marks: Option<u32>,
    /// The title of the new plan; none: the old one with the new diameter.
    pub title: Option<String>,
}

/// A plan at its new size.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Rescaled {
    /// The new plan's title.
    pub title: String,
    /// The old diameter, in the plan's units.
    pub from: String,
    /// The new diameter.
    pub to: String,
    /// How unlike the old piece it looks, on the whole: 0.03 is three per cent off.
    pub unlikeness: f64,
    /// Every number that the size has a part in, in the plan's order.
    pub numbers: Vec<Number>,
    /// What is to be watched that was not before, because no numbers do without; mostly empty.
    pub to_watch: Vec<Hindrance>,
    /// Candidates tried in closed form.
    pub tried: usize,
    /// Solids asked.
    pub solids: usize,
    /// The text of the new plan.
    pub text: String,
}

/// Why there is no such plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct NoSize {
    /// In a sentence.
    pub says: String,
    /// What stands in the way of the numbers that came nearest.
    pub hindrances: Vec<Hindrance>,
    /// What works instead, in sentences; all tried.
    pub ways: Vec<String>,
}

/// The sizes a form can have.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Sizes {
    /// The smallest that works.
    pub smallest: SizeEnd,
    /// The largest that works.
    pub largest: SizeEnd,
}

/// The smallest or the largest size.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SizeEnd {
    /// Its diameter, mm.
    pub diameter_mm: f64,
    /// The same in the plan's units.
    pub shown: String,
    /// What stands in the way of the next size beyond; empty at the end of what a plan can ask for.
    pub beyond: Vec<Hindrance>,
}

/// Finds the numbers of a plan at another size.
///
/// # Errors
/// Where there are none: what stands in the way, and what works instead.
pub fn rescale(old: &Plan, wish: &Wish, memory: &Memory) -> Result<Rescaled, NoSize> {
    let fields = crate::field::fields(old);
    if let Some(unknown) = wish.keeps.unknown(&fields) {
        let may: Vec<&str> = fields
            .iter()
            .filter(|field| field.key != "ball.diameter" && role::role(field).is_some())
            .map(|field| field.key.as_str())
            .collect();
        return Err(refused(format!(
            "\"{unknown}\" is no number of this plan that can be kept. These can: {}.",
            may.join(", ")
        )));
    }
    let marks = wish.marks.unwrap_or(old.ball.marks);
    if !(4..=48).contains(&marks) || marks % 2 == 1 {
        return Err(refused(format!(
            "{marks} marks; allowed is an even number from 4 to 48, since each mounting runs through two marks."
        )));
    }
    let diameter = crate::bench::settable(old, wish.diameter_mm, old.rack.calliper_step);
    if !sizes::DIAMETERS.contains(&diameter) {
        return Err(refused(format!(
            "A diameter of {}; allowed is {} to {}.",
            written(old, wish.diameter_mm),
            written(old, *sizes::DIAMETERS.start()),
            written(old, *sizes::DIAMETERS.end())
        )));
    }
    let tolerated = hinder::tolerated(old, memory);
    let task = Task {
        old,
        keeps: &wish.keeps,
        tolerated: &tolerated,
        memory,
        most_solids: MOST_SOLIDS,
    };
    let strictly = match search(&task, diameter, marks) {
        Ok(found) => return finished(&task, wish, found),
        Err(nothing) => nothing,
    };
    // Nothing stops a job that must be watched; it is only the second choice.
    let watched = hinder::anything_to_watch();
    let task = Task {
        tolerated: &watched,
        ..task
    };
    match search(&task, diameter, marks) {
        Ok(found) => finished(&task, wish, found).map(|new| Rescaled {
            to_watch: strictly.hindrances,
            ..new
        }),
        Err(nothing) => Err(instead(&task, diameter, marks, nothing)),
    }
}

/// The smallest and the largest size of a plan's form with its rack; none where no size works.
pub fn sizes(old: &Plan, keeps: &Keeps, memory: &Memory) -> Option<Sizes> {
    let tolerated = hinder::anything_to_watch();
    let task = Task {
        old,
        keeps,
        tolerated: &tolerated,
        memory,
        most_solids: ON_A_LADDER,
    };
    let [smallest, largest] = sizes::ends(&task, old.ball.marks)?.map(|(size, why)| SizeEnd {
        diameter_mm: size,
        shown: written(old, size),
        beyond: why.map(|nothing| nothing.hindrances).unwrap_or_default(),
    });
    Some(Sizes { smallest, largest })
}

fn refused(says: String) -> NoSize {
    NoSize {
        says,
        hindrances: Vec::new(),
        ways: Vec::new(),
    }
}

fn finished(task: &Task<'_>, wish: &Wish, found: Found) -> Result<Rescaled, NoSize> {
    let old = task.old;
    let to = written(old, found.plan.ball.diameter);
    let title = wish
        .title
        .clone()
        .unwrap_or_else(|| format!("{}, {to}", old.title));
    let text = rows::text(old, &found.plan, &title)
        .map_err(|error| refused(format!("The new plan cannot be written: {error}.")))?;
    let rack = old.source.rack_text.clone();
    let load = |_: &str| {
        rack.clone()
            .ok_or_else(|| "the rack is built in".to_owned())
    };
    let new = Plan::read(&text, &old.source.file, &load)
        .map_err(|problems| refused(format!("The new plan cannot be read back: {problems}")))?;
    let found = Found { plan: new, ..found };
    let left = hinder::hindrances(&found.plan, task.memory, task.tolerated);
    if !left.is_empty() {
        return Err(NoSize {
            hindrances: left,
            ..refused("The new plan, read back, does not hold.".to_owned())
        });
    }
    Ok(Rescaled {
        from: written(old, old.ball.diameter),
        to,
        title,
        unlikeness: found.unlikeness,
        to_watch: Vec::new(),
        numbers: rows::rows(task, &found),
        tried: found.tried,
        solids: found.solids,
        text,
    })
}

/// What stands in the way of a size, and what works instead.
fn instead(task: &Task<'_>, diameter: f64, marks: u32, nothing: Nothing) -> NoSize {
    let old = task.old;
    let task = &Task {
        most_solids: ON_A_LADDER,
        ..*task
    };
    let mut ways = Vec::new();
    let [smaller, larger] = sizes::nearest(task, marks, diameter);
    let near = |size: f64| (size - diameter).abs();
    let mut sizes: Vec<f64> = [smaller, larger].into_iter().flatten().collect();
    sizes.sort_by(|a, b| near(*a).total_cmp(&near(*b)));
    match sizes[..] {
        [nearest, other] => ways.push(format!(
            "The nearest size that works is {}; the other way, {}.",
            written(old, nearest),
            written(old, other)
        )),
        [nearest] => ways.push(format!(
            "The nearest size that works is {}.",
            written(old, nearest)
        )),
        _ => ways.push("No size near it works either.".to_owned()),
    }
    let mut counts: Vec<u32> = [2, 4]
        .into_iter()
        .flat_map(|by| [marks.checked_sub(by), marks.checked_add(by)])
        .flatten()
        .filter(|count| (4..=48).contains(count) && old.rack.index_for(*count).is_some())
        .collect();
    counts.retain(|count| search(task, diameter, *count).is_ok());
    if let Some(count) = counts.first() {
        ways.push(format!(
            "At {} it works with {count} marks instead of {marks}.",
            written(old, diameter)
        ));
    }
    NoSize {
        says: format!(
            "With the rack \"{}\" there are no numbers for {} that keep the look and hold{}.",
            old.rack.name,
            written(old, diameter),
            if nothing.cut_short {
                ", among those tried"
            } else {
                ""
            }
        ),
        hindrances: nothing.hindrances,
        ways,
    }
}

#[cfg(test)]
mod tests;
