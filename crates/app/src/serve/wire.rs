//! What goes over the wire, both ways, beside the report itself.
//!
//! Lengths are millimetres and angles degrees, as in the report. The page's types are
//! made from these (`tests/types.rs`), so that page and server cannot drift apart.

use rondure_plan::field::Field;
use rondure_plan::reader::Problems;
use rondure_plan::report::{Report, Weight};
use rondure_plan::rescale::{NoSize, Rescaled};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What the page asks first.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct About {
    /// The program's version.
    pub version: String,
    /// The shelf's folder, as it is shown.
    pub shelf: String,
    /// The forms that can be made.
    pub forms: Vec<String>,
    /// The racks that are built in, by name.
    pub racks: Vec<String>,
}

/// How a plan on the shelf fares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Nothing stops the job, and there is nothing to watch.
    Sound,
    /// Nothing stops it; some things are to be watched.
    Watch,
    /// Something stops it.
    Stops,
    /// It cannot be read as a plan.
    Unreadable,
}

impl Verdict {
    /// The verdict of a report.
    pub fn of(report: &Report) -> Self {
        match report.findings.iter().map(|finding| finding.weight).min() {
            Some(Weight::Stops) => Self::Stops,
            Some(Weight::Watch) => Self::Watch,
            Some(Weight::Note) | None => Self::Sound,
        }
    }
}

/// A plan as the shelf lists it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Card {
    /// Its file's name without `.toml`.
    pub name: String,
    /// Its title; its name where it cannot be read.
    pub title: String,
    /// What it is, in a few words: `60 mm, field maple`.
    pub says: String,
    /// How it fares.
    pub verdict: Verdict,
    /// When its file last changed, milliseconds since 1970 began.
    pub changed_at: u64,
    /// A fingerprint of its text.
    pub revision: String,
}

/// A plan as it is worked on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Sheet {
    /// Its file's name without `.toml`.
    pub name: String,
    /// The file's text.
    pub text: String,
    /// A fingerprint of that text; a change names the one it was made on.
    pub revision: String,
    /// Whether there is a change to take back.
    pub can_undo: bool,
    /// Whether there is a change taken back that can be made again.
    pub can_redo: bool,
    /// What the turner has ticked off, by identifier.
    pub ticks: Vec<String>,
}

/// A new plan.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct NewPlan {
    /// What its file is to be called; without it, a name is made from the title.
    #[ts(optional)]
    pub name: Option<String>,
    /// The form, as a plan names it.
    pub form: String,
    /// The diameter in the turner's writing.
    pub diameter: String,
    /// `mm` or `in`.
    pub units: String,
}

/// A plan's text changed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Keep {
    /// The new text.
    pub text: String,
    /// The revision that was changed.
    pub revision: String,
    /// Whether this goes on with the change before, as each step of a slider does: both are
    /// taken back together.
    #[serde(default)]
    #[ts(as = "Option<bool>", optional)]
    pub joins: bool,
}

/// A step back, or forth again.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Since {
    /// The revision it starts from.
    pub revision: String,
}

/// A tick set or taken off.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Tick {
    /// What is ticked: the identifier of a measure or a step.
    pub id: String,
    /// Whether it is on.
    pub on: bool,
}

/// Where a copy goes, or a plan's new name.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct To {
    /// The name, without `.toml`.
    pub to: String,
}

/// A plan's text, to be made at another size.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Rescale {
    /// The plan's text.
    pub text: String,
    /// The new diameter in the turner's writing.
    pub diameter: String,
    /// Keys or sections that stay as they are.
    pub keep: Vec<String>,
}

/// The same piece at another size: its plan, or why there is none.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Resized {
    /// The new plan.
    pub plan: Option<Rescaled>,
    /// Why there is none.
    pub none: Option<NoSize>,
}

/// A plan in the bin.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Binned {
    /// What restores it.
    pub id: String,
    /// The name it had.
    pub name: String,
    /// Its title.
    pub title: String,
    /// When it was removed, milliseconds since 1970 began.
    pub removed_at: u64,
}

/// A plan that comes with the program.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Example {
    /// What takes it.
    pub name: String,
    /// Its title.
    pub title: String,
    /// What it is, in a few words.
    pub says: String,
    /// How it fares.
    pub verdict: Verdict,
}

/// A plan to work out.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Work {
    /// The plan's text.
    pub text: String,
    /// Its name on the shelf; messages then call it so.
    #[ts(optional)]
    pub name: Option<String>,
    /// A value to be set in the text first.
    #[ts(optional)]
    pub set: Option<Set>,
    /// Whether mends that must be tried on the solid are left out, which is sooner.
    #[serde(default)]
    #[ts(as = "Option<bool>", optional)]
    pub quick: bool,
}

/// A plan worked out.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Worked {
    /// Its report.
    pub report: Report,
    /// Its values as fields.
    pub fields: Vec<Field>,
    /// The dimensioned drawings of its packet.
    pub drawings: Vec<Named>,
    /// Whether findings lack mends that a question without `quick` would bring.
    pub mends_untried: bool,
    /// The revision that this text has on the shelf.
    pub revision_of_text: String,
}

/// A thing by its identifier and its title.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Named {
    /// What asks for it.
    pub id: String,
    /// What it is, in the turner's words.
    pub title: String,
}

/// A drawing of a plan's packet.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct DrawingOf {
    /// The plan's text.
    pub text: String,
    /// The drawing's identifier.
    pub drawing: String,
}

/// A value of a plan, as it is to be.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Set {
    /// The dotted key.
    pub key: String,
    /// The value as the turner writes it.
    pub written: String,
}

/// One value to be set in a plan's text.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
pub struct Change {
    /// The plan's text.
    pub text: String,
    /// The value.
    #[serde(flatten)]
    pub set: Set,
}

/// What came of a value to be set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Changed {
    /// The new text; none where the value makes no plan.
    pub text: Option<String>,
    /// Why it makes none.
    pub problems: Vec<Problem>,
}

/// A plan and one of its set-ups.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct AtSetup {
    /// The plan's text.
    pub text: String,
    /// The set-up's identifier.
    pub setup: String,
}

/// A plan's text alone.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct OfPlan {
    /// The plan's text.
    pub text: String,
}

/// Before a set-up's first step, or after its last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, TS)]
#[serde(rename_all = "lowercase")]
pub enum Moment {
    /// Before its first step.
    Before,
    /// After its last.
    After,
}

/// The wood that is meant.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
pub struct Wood {
    /// The plan's text.
    pub text: String,
    /// The set-up; without it, the finished piece.
    pub setup: Option<String>,
    /// The piece's identifier; without it, the piece of the set-up, or else the plan's first.
    pub piece: Option<String>,
    /// The moment at the set-up; of no matter where there is none.
    pub moment: Moment,
}

/// A surface that is asked for.
#[derive(Debug, Clone, PartialEq, Deserialize, TS)]
pub struct MeshOf {
    /// The wood.
    #[serde(flatten)]
    pub wood: Wood,
    /// A value to be set in the text first. Where it makes no plan there is no surface, and
    /// that is no fault: one that is dragged passes by many.
    #[ts(optional)]
    pub set: Option<Set>,
    /// How far it may stray from the true surface, mm.
    pub chord: f64,
    /// Whether the wall's thickness is worked out at every vertex.
    #[serde(default)]
    #[ts(as = "Option<bool>", optional)]
    pub thickness: bool,
}

/// A place that is asked about.
#[derive(Debug, Clone, PartialEq, Deserialize, TS)]
pub struct Probe {
    /// The wood.
    #[serde(flatten)]
    pub wood: Wood,
    /// The place, mm in the piece's frame.
    pub at: [f64; 3],
}

/// What is known of a place on the surface.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Probed {
    /// Diameter of the largest ball in the wood that touches here, mm.
    pub thickness_mm: f64,
    /// Distance from the lathe's axis, mm; where no set-up is asked for, from the blank's.
    pub radius_mm: f64,
    /// Place along that axis from the piece's origin, mm.
    pub station_mm: f64,
    /// The surface, as a turner calls it.
    pub surface: String,
    /// The same in words, with units.
    pub shown: Vec<String>,
}

/// A plane through the piece.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct CuttingPlane {
    /// A point of it, mm in the piece's frame.
    pub origin: [f64; 3],
    /// The way it faces; any length but 0.
    pub normal: [f64; 3],
}

/// A section that is asked for.
#[derive(Debug, Clone, PartialEq, Deserialize, TS)]
pub struct SectionOf {
    /// The wood.
    #[serde(flatten)]
    pub wood: Wood,
    /// Where it is cut.
    pub plane: CuttingPlane,
}

/// Work that takes its time.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS)]
#[serde(tag = "kind", rename_all = "lowercase", deny_unknown_fields)]
pub enum JobOf {
    /// Where, over a value's slider, each finding begins and ends.
    Limits {
        /// The plan's text.
        text: String,
        /// The dotted key of the value.
        key: String,
    },
}

/// A job that was begun.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Begun {
    /// What its events and its end are asked for by.
    pub id: String,
}

/// How far a job has come: the event `progress`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS)]
pub struct Progress {
    /// Parts done.
    pub done: usize,
    /// Parts there are, as far as is known.
    pub of: usize,
}

/// What came of a job: the event `done`.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Done<Result> {
    /// What was found.
    pub result: Result,
}

/// Where findings begin over a value's slider: the event `part`, and the result of `done`.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Limits {
    /// The dotted key of the value.
    pub key: String,
    /// The slider's lower end, in the field's unit.
    pub from: f64,
    /// The slider's upper end.
    pub to: f64,
    /// Where each finding holds, by its end nearest to `from`.
    pub spans: Vec<Span>,
}

/// A stretch of a slider over which one finding holds.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Span {
    /// Its lower end, in the field's unit.
    pub from: f64,
    /// Its upper end.
    pub to: f64,
    /// Identifier of the kind of finding; `unreadable` where such a value makes no plan.
    pub id: String,
    /// How grave it is.
    pub weight: Weight,
    /// What it says where it begins.
    pub says: String,
}

/// Something that was not done, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Refusal {
    /// What is the matter, what is allowed, and how to mend it.
    pub says: String,
    /// What is wrong with the plan's text; left out where it is not a matter of the plan.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Problem>>", optional)]
    pub problems: Vec<Problem>,
}

/// One thing wrong with a plan's text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Problem {
    /// The file it is in: the plan's, or that of the rack it names.
    pub file: String,
    /// The dotted key; empty where the line has none.
    pub key: String,
    /// The line, from 1.
    pub line: usize,
    /// The character of that line, from 1.
    pub column: usize,
    /// Where it begins in the text, in UTF-16 units, as a page counts.
    pub start: usize,
    /// Where it ends.
    pub end: usize,
    /// What was found.
    pub found: String,
    /// What is allowed there.
    pub allowed: String,
    /// How to mend it.
    pub mend: Option<String>,
}

impl Problem {
    /// The problems of a file and of those it refers to, in order. A place in another file
    /// is no place in the text that was sent: there it stands at the text's beginning.
    pub fn all_of(problems: &Problems) -> Vec<Self> {
        let mut all = Vec::new();
        gather(problems, true, &mut all);
        all
    }
}

fn gather(problems: &Problems, own: bool, all: &mut Vec<Problem>) {
    let units = |byte: usize| {
        let mut byte = byte.min(problems.source.len());
        while !problems.source.is_char_boundary(byte) {
            byte -= 1;
        }
        problems.source[..byte].encode_utf16().count()
    };
    all.extend(problems.list.iter().map(|problem| {
        let place = if own {
            units(problem.span.start)..units(problem.span.end)
        } else {
            0..0
        };
        Problem {
            file: problems.file.clone(),
            key: problem.key.clone(),
            line: problem.line,
            column: problem.column,
            start: place.start,
            end: place.end,
            found: problem.found.clone(),
            allowed: problem.allowed.clone(),
            mend: problem.mend.clone(),
        }
    }));
    for other in &problems.others {
        gather(other, false, all);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rondure_plan::plan::Plan;

    #[test]
    fn places_are_counted_as_a_page_counts() {
        // The ball sign is one character, two UTF-16 units and four bytes.
        let text = "title = \"🟠 ½\"\nform = \"coved bal\"\n";
        let problems = Plan::read(text, "my.toml", &|_| Err(String::new())).unwrap_err();
        let all = Problem::all_of(&problems);
        let form = all.iter().find(|problem| problem.key == "form").unwrap();
        let units: Vec<u16> = text.encode_utf16().collect();
        let meant = String::from_utf16(&units[form.start..form.end]).unwrap();
        assert_eq!(meant, "\"coved bal\"");
        assert_eq!((form.line, form.column), (2, 8));
    }
}
