//! The file of a run (TOML): plans and numbers, stock with its defects, times.

use super::times::{CHANGES, Noted, USUAL};
use crate::plan::{BlankShape, Plan};
use crate::reader::{Problems, Reader, Section, either};
use crate::units::LengthUnit;

/// End of a stick that is sawn off before anything is measured, mm: end checks. Common practice, no
/// source.
const USUAL_TRIM: f64 = 10.0;

/// A run as its file says it.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// What the run is called.
    pub title: String,
    /// What is wanted.
    pub pieces: Vec<Wanted>,
    /// What is at hand.
    pub stock: Vec<Stick>,
    /// Width of a saw cut, mm; none: the first plan's rack.
    pub saw_kerf: Option<f64>,
    /// Sawn off each end of a stick, mm.
    pub trim: f64,
    /// Minutes by kind of set-up, then of changes.
    pub minutes: Vec<(String, f64)>,
    /// Times noted.
    pub noted: Vec<Noted>,
}

/// Pieces of one plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The plan.
    pub plan: Plan,
    /// How many.
    pub count: u32,
}

/// Sticks that are alike: branches, billets, or boards to be ripped.
#[derive(Debug, Clone, PartialEq)]
pub struct Stick {
    /// What the turner calls it.
    pub name: String,
    /// Its section.
    pub shape: BlankShape,
    /// Side, thickness or least diameter, mm.
    pub across: f64,
    /// Width of a board, which is ripped into squares of its thickness, mm; none of a stick.
    pub width: Option<f64>,
    /// Its length, mm.
    pub length: f64,
    /// How many.
    pub count: u32,
    /// Its wood; none: any plan's.
    pub wood: Option<String>,
    /// From and to along its length, mm, with what is wrong.
    pub defects: Vec<(f64, f64, String)>,
}

/// A plan by the path a file of a run names, or why it cannot be read.
pub type Load<'l> = &'l dyn Fn(&str) -> Result<Result<Plan, Problems>, String>;

const SHAPES: &[(&str, BlankShape)] =
    &[("square", BlankShape::Square), ("round", BlankShape::Round)];

/// Reads the file of a run. `plan` reads a plan by the path written there, or says why it cannot.
///
/// # Errors
/// Everything wrong with the file, and with the plans it names, at once.
pub fn read(text: &str, file: &str, plan: Load<'_>) -> Result<Asked, Problems> {
    let reader = Reader::new(file, text);
    let asked = read_run(&reader, plan);
    reader.close()?;
    asked.ok_or(Problems {
        file: file.to_owned(),
        source: text.to_owned(),
        list: Vec::new(),
        others: Vec::new(),
    })
}

fn read_run(reader: &Reader, plan: Load<'_>) -> Option<Asked> {
    let top = reader.top();
    let unit = top
        .choice("units", &LengthUnit::WORDS)
        .or(LengthUnit::Millimetre);
    reader.set_unit(unit.unwrap_or(LengthUnit::Millimetre));
    let title = top.text("title").needed();
    let saw_kerf = top.length("saw_kerf", 0.0..=20.0).maybe();
    let trim = top.length("trim", 0.0..=500.0).or(USUAL_TRIM);
    let pieces = parts(&top, "piece", |part| wanted(part, plan));
    let stock = parts(&top, "stock", stick);
    let minutes = minutes(top.section_or_empty("minutes"));
    let noted = top.parts("noted").or(Vec::new()).and_then(|parts| {
        let all: Vec<Option<Noted>> = parts.into_iter().map(noted).collect();
        all.into_iter().collect()
    });
    top.finish();
    Some(Asked {
        title: title?,
        pieces: pieces?,
        stock: stock?,
        saw_kerf,
        trim: trim?,
        minutes: minutes?,
        noted: noted?,
    })
}

fn parts<T>(
    top: &Section<'_>,
    key: &'static str,
    read: impl Fn(Section<'_>) -> Option<T>,
) -> Option<Vec<T>> {
    let all: Vec<Option<T>> = top.parts(key).needed()?.into_iter().map(read).collect();
    all.into_iter().collect()
}

fn wanted(section: Section<'_>, plan: Load<'_>) -> Option<Wanted> {
    let path = section.text("plan").needed();
    let count = section.count("count", 1..=999).or(1);
    let key = section.dotted("plan");
    let reader = section.reader();
    section.finish();
    let path = path?;
    match plan(&path) {
        Ok(Ok(plan)) => Some(Wanted {
            plan,
            count: count?,
        }),
        Ok(Err(problems)) => {
            reader.report_other(problems);
            None
        }
        Err(why) => {
            reader.report(
                &key,
                format!("\"{path}\", which cannot be read ({why})"),
                "the path of a plan file from where this file stands",
                None,
            );
            None
        }
    }
}

fn stick(section: Section<'_>) -> Option<Stick> {
    let name = section.text("name").needed();
    let shape = section.choice("shape", SHAPES).or(BlankShape::Square);
    let across = section.length("across", 5.0..=1000.0).needed();
    let width = section.length("width", 5.0..=2000.0).maybe();
    let length = section.length("length", 10.0..=10_000.0).needed();
    let count = section.count("count", 1..=999).or(1);
    let wood = section.text("wood").maybe();
    let defects = section.parts("defects").or(Vec::new());
    let defects: Option<Vec<_>> = defects.and_then(|parts| {
        let all: Vec<_> = parts.into_iter().map(|part| defect(part, length)).collect();
        all.into_iter().collect()
    });
    if width.is_some() && shape == Some(BlankShape::Round) {
        section.reader().report(
            &section.dotted("width"),
            "a width on round stock",
            "a width only on a board, which is square stock",
            Some("delete the width, or write shape = \"square\"".to_owned()),
        );
    }
    section.finish();
    Some(Stick {
        name: name?,
        shape: shape?,
        across: across?,
        width,
        length: length?,
        count: count?,
        wood,
        defects: defects?,
    })
}

fn defect(section: Section<'_>, length: Option<f64>) -> Option<(f64, f64, String)> {
    let from = section.length("from", 0.0..=10_000.0).needed();
    let to = section.length("to", 0.0..=10_000.0).needed();
    let what = section.text("what").or("a defect".to_owned());
    if let (Some(from), Some(to)) = (from, to)
        && (to <= from || length.is_some_and(|length| to > length))
    {
        let reader = section.reader();
        reader.report(
            &section.dotted("to"),
            reader.show(to),
            format!(
                "more than {} and no more than the length",
                reader.show(from)
            ),
            Some("measure both from the same end".to_owned()),
        );
    }
    section.finish();
    Some((from?, to?, what?))
}

fn kinds() -> Vec<&'static str> {
    USUAL.iter().map(|(kind, _)| *kind).collect()
}

fn minutes(section: Section<'_>) -> Option<Vec<(String, f64)>> {
    let all: Vec<Option<(String, f64)>> = USUAL
        .into_iter()
        .chain(CHANGES)
        .map(|(kind, usual)| {
            Some((
                kind.to_owned(),
                section.number(kind, 0.0..=10_000.0).or(usual)?,
            ))
        })
        .collect();
    section.finish();
    all.into_iter().collect()
}

fn noted(section: Section<'_>) -> Option<Noted> {
    let kind = section.text("setup").needed();
    let diameter = section.length("diameter", 5.0..=500.0).needed();
    let minutes = section.number("minutes", 0.1..=10_000.0).needed();
    if let Some(kind) = kind
        .as_ref()
        .filter(|kind| !kinds().contains(&kind.as_str()))
    {
        section.reader().report(
            &section.dotted("setup"),
            format!("\"{kind}\""),
            either(&kinds()),
            None,
        );
    }
    section.finish();
    Some(Noted {
        kind: kind?,
        diameter: diameter?,
        minutes: minutes?,
    })
}
