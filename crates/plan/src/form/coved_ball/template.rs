//! A new plan to begin from: a coved ball of a wished diameter, with every number set.
//!
//! First sizes come from proportions (see `draft`), fitted to the bits and jaws of the built-in
//! rack of the unit. The text is then read, expanded and looked through for findings like any
//! plan; what is found turns one size down a step, in a fixed order, until nothing is left but
//! notes and the one watch that the number of marks itself makes unavoidable. So a text that
//! comes out has been proved on the true solid. The proportions are taste, not law: other sizes
//! may work as well. The same wish gives the same text.

mod draft;
mod text;

use std::fmt;

use super::stock::stock;
use super::{expand, sizes};
use crate::bench::trimmed;
use crate::findings::{self, kind};
use crate::plan::Plan;
use crate::rack::{Rack, SMALL_WORKSHOP, SMALL_WORKSHOP_INCHES};
use crate::report::{Finding, Weight};
use crate::study::Study;
use crate::units::{FINEST_FRACTION, LengthStyle, LengthUnit, show_length};
use draft::Draft;

/// Turns of a size before a draft is given up; the sizes run out of steps before.
const ROUNDS: usize = 48;
/// Diameters tried, each a twentieth larger, in looking for one that works.
const LARGER: i32 = 16;
/// How far an edge may lie below the angle between two marks and still be the edge of two
/// holes that meet, degrees: edges are found to a little.
const EDGE_FOUND: f64 = 0.1;

/// What the turner wants.
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// Diameter of the ball, mm.
    pub diameter_mm: f64,
    /// Marks round the equator.
    pub marks: u32,
    /// The wood, by its name in the table of woods.
    pub wood: String,
    /// Inches, or millimetres (which also serve for centimetres).
    pub unit: LengthUnit,
    /// The title; none: one is made from the diameter.
    pub title: Option<String>,
}

impl Wish {
    /// A ball of a diameter, mm, with 8 marks, in field maple, in millimetres.
    pub fn new(diameter_mm: f64) -> Self {
        Self {
            diameter_mm,
            marks: 8,
            wood: "field maple".to_owned(),
            unit: LengthUnit::Millimetre,
            title: None,
        }
    }
}

/// Why no plan can be written for a wish, and what would work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmakeable {
    /// What stands against it.
    pub says: String,
    /// What works instead.
    pub mend: String,
}

impl fmt::Display for Unmakeable {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} {}", self.says, self.mend)
    }
}

impl std::error::Error for Unmakeable {}

/// The text of a new plan that runs and is sound.
///
/// # Errors
/// Where the marks, the diameter or the wood suit no such plan, with what works instead: marks
/// and diameters it names have been tried.
pub fn plan_text(wish: &Wish) -> Result<String, Unmakeable> {
    let shop = Shop::of(wish.unit);
    check_wood(&wish.wood)?;
    if !(10.0..=300.0).contains(&wish.diameter_mm) {
        let (least, most) = (shop.write(10.0), shop.write(300.0));
        return Err(Unmakeable {
            says: format!(
                "A plan holds a ball of {least} to {most}, not one of {} mm.",
                trimmed(wish.diameter_mm, 2)
            ),
            mend: works(&shop, wish),
        });
    }
    if !suits(wish.marks, &shop.rack) {
        let why = if wish.marks.is_multiple_of(4) {
            "no ring of the index head gives them"
        } else if wish.marks.is_multiple_of(2) {
            "4 does not divide them, and later seats would fall on ridges"
        } else {
            "each mounting runs through two opposite marks"
        };
        return Err(Unmakeable {
            says: format!("{} marks do not suit: {why}.", wish.marks),
            mend: works(&shop, wish),
        });
    }
    attempt(&shop, wish).map_err(|says| Unmakeable {
        says,
        mend: works(&shop, wish),
    })
}

/// The built-in rack of a unit, and how lengths are written in it.
struct Shop {
    rack: Rack,
    rack_name: &'static str,
    unit: LengthUnit,
    style: LengthStyle,
}

impl Shop {
    fn of(unit: LengthUnit) -> Self {
        match unit {
            LengthUnit::Inch => Self {
                rack: Rack::small_workshop_inches(),
                rack_name: SMALL_WORKSHOP_INCHES,
                unit,
                style: LengthStyle::Inches {
                    denominator: FINEST_FRACTION,
                },
            },
            LengthUnit::Millimetre | LengthUnit::Centimetre => Self {
                rack: Rack::small_workshop(),
                rack_name: SMALL_WORKSHOP,
                unit: LengthUnit::Millimetre,
                style: LengthStyle::Millimetres,
            },
        }
    }

    /// A length in the turner's writing, with its unit.
    fn write(&self, mm: f64) -> String {
        show_length(mm, self.style).text
    }

    /// The nearest length that can be written, mm.
    fn writable(&self, mm: f64) -> f64 {
        show_length(mm, self.style).value_mm
    }
}

fn check_wood(wood: &str) -> Result<(), Unmakeable> {
    rondure_wood::find(wood).map(|_| ()).map_err(|unknown| {
        let mend = match unknown.nearest.as_slice() {
            [] => "`rondure woods` lists those it knows.".to_owned(),
            near => format!(
                "Did you mean {}? `rondure woods` lists them all.",
                near.join(", or ")
            ),
        };
        Unmakeable {
            says: format!("\"{wood}\" is not in the table of woods."),
            mend,
        }
    })
}

/// Marks that the index head gives and that bring every later seat to the bottom of a cove.
fn suits(marks: u32, rack: &Rack) -> bool {
    (4..=48).contains(&marks) && marks.is_multiple_of(4) && rack.index_for(marks).is_some()
}

/// A sound text for a wish with suitable marks, or what still stands against it.
fn attempt(shop: &Shop, wish: &Wish) -> Result<String, String> {
    let mut draft = Draft::new(shop, wish)?;
    let mut last = String::new();
    for _ in 0..ROUNDS {
        let (text, found) = look(shop, wish, &mut draft)?;
        let Some(worst) = found.first() else {
            return Ok(text);
        };
        last.clone_from(&worst.says);
        if !draft.ease(shop, worst.id) {
            break;
        }
    }
    Err(format!("No sizes were found that hold. {last}"))
}

/// The text of a draft, its blank fitted, and what is found in it that should not be.
fn look(shop: &Shop, wish: &Wish, draft: &mut Draft) -> Result<(String, Vec<Finding>), String> {
    let plan = read(&text::write(shop, wish, draft, false))?;
    let layout = sizes::lay_out(&plan).map_err(|wrong| told(&wrong))?;
    draft.fit_blank(shop, &stock(&plan, &layout));

    let text = text::write(shop, wish, draft, false);
    let plan = read(&text)?;
    let expanded = expand(&plan).map_err(|wrong| told(&wrong.list))?;
    let mut study = Study::new(&plan, expanded);
    // Mends are worked out here, not by the findings.
    study.trial = true;
    let found = findings::find(&study);
    let (accepted, wrong): (Vec<_>, Vec<_>) = found
        .into_iter()
        .filter(|finding| finding.weight != Weight::Note)
        .partition(|finding| unavoidable(&plan, finding));
    if accepted.is_empty() {
        return Ok((text, wrong));
    }
    Ok((text::write(shop, wish, draft, true), wrong))
}

/// Neighbouring holes that meet inside leave an edge of the angle between two marks, whatever their
/// size: where that is below the limit, only other marks change it.
fn unavoidable(plan: &Plan, finding: &Finding) -> bool {
    let pitch = 360.0 / f64::from(plan.ball.marks);
    finding.id == kind::EDGE_FEATHER.id
        && pitch < plan.limits.edge_angle.to_degrees()
        && finding.value >= pitch - EDGE_FOUND
}

fn read(text: &str) -> Result<Plan, String> {
    let no_file = |_: &str| Err("the rack is built in".to_owned());
    Plan::read(text, "new plan", &no_file).map_err(|wrong| told(&wrong.list))
}

fn told(wrong: &[crate::reader::Problem]) -> String {
    wrong
        .first()
        .map_or_else(String::new, |problem| format!("In the new plan, {problem}"))
}

/// What works instead: marks near the wished ones, and a larger diameter; all tried.
fn works(shop: &Shop, wish: &Wish) -> String {
    let mut ways = Vec::new();
    let mut counts: Vec<u32> = (4..=48)
        .filter(|marks| *marks != wish.marks && suits(*marks, &shop.rack))
        .collect();
    counts.sort_by_key(|marks| (marks.abs_diff(wish.marks), *marks));
    if (10.0..=300.0).contains(&wish.diameter_mm) {
        let here = shop.write(wish.diameter_mm);
        let near = counts.iter().take(4).find(|marks| {
            let other = Wish {
                marks: **marks,
                ..wish.clone()
            };
            attempt(shop, &other).is_ok()
        });
        ways.extend(near.map(|marks| format!("At {here}, {marks} marks work.")));
    }
    if suits(wish.marks, &shop.rack) {
        let size = sizes_to_try(shop, wish.diameter_mm).find(|diameter| {
            let other = Wish {
                diameter_mm: *diameter,
                ..wish.clone()
            };
            attempt(shop, &other).is_ok()
        });
        ways.extend(
            size.map(|size| format!("With {} marks, {} works.", wish.marks, shop.write(size))),
        );
    }
    if ways.is_empty() {
        ways.push(format!(
            "Begin with 8 marks and a ball of {}, and change that plan in small steps.",
            shop.write(match shop.unit {
                LengthUnit::Inch => 63.5,
                _ => 60.0,
            })
        ));
    }
    ways.join(" ")
}

/// Diameters away from one that failed, nearest first: up from it, or down where it is a large one.
fn sizes_to_try(shop: &Shop, diameter: f64) -> impl Iterator<Item = f64> {
    let grid = draft::Grid::of(shop.unit);
    let from = if diameter.is_finite() {
        diameter.clamp(16.0, 300.0)
    } else {
        60.0
    };
    let growth: f64 = if from > 120.0 { 1.0 / 1.05 } else { 1.05 };
    (1..=LARGER)
        .map(move |steps| draft::near(from * growth.powi(steps), grid.coarse))
        .filter(|size| (10.0..=300.0).contains(size))
}

/// Degrees between two marks, as a turner writes them.
fn pitch_words(marks: u32) -> String {
    trimmed(360.0 / f64::from(marks), 1)
}

#[cfg(test)]
mod tests;
