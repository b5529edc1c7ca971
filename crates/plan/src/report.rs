//! The report: everything a face (command line, page, packet, export) may show.
//!
//! One finished document, free of geometry code: lengths in millimetres, angles
//! in degrees, masses in grams, whatever units the plan shows. The turner's own
//! writing stands beside each number as `shown`. Identifiers are stable, dotted
//! and lower case. A face shows what stands here and works nothing out.

use serde::Serialize;
use ts_rs::TS;

/// The whole report on one plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Report {
    /// The plan's title.
    pub title: String,
    /// The form's name, e.g. `coved ball`.
    pub form: String,
    /// How lengths are shown: `mm` or `in`.
    pub units: String,
    /// The pieces that are turned, in the order they are begun.
    pub pieces: Vec<PieceReport>,
    /// The set-ups, in the order they are done, over all pieces.
    pub setups: Vec<SetupReport>,
    /// Every number to set or mark, in the order it is needed.
    pub measures: Vec<Measure>,
    /// Everything to know before cutting, the gravest first.
    pub findings: Vec<Finding>,
    /// Tools and stock of the rack that the job needs.
    pub needs: Vec<Need>,
    /// Cautions that hold for the whole job.
    pub cautions: Vec<String>,
}

/// One piece and the solid that is left when it is finished.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PieceReport {
    /// Stable identifier, e.g. `ball`.
    pub id: String,
    /// What a turner calls it.
    pub name: String,
    /// The wood, as named in the table of woods.
    pub wood: String,
    /// The blank in words, with sizes and units.
    pub blank: String,
    /// The finished solid.
    pub solid: SolidReport,
}

/// What is left of a piece at one moment.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SolidReport {
    /// Volume of wood, mm³.
    pub volume_mm3: f64,
    /// The true volume lies within this of `volume_mm3`.
    pub volume_error_mm3: f64,
    /// Mass at the plan's moisture, grams; none where the weight of the wood is not known.
    pub mass_g: Option<f64>,
    /// Spread of that mass from tree to tree, grams either way.
    pub mass_spread_g: Option<f64>,
    /// Centre of mass in the piece's frame, mm.
    pub centre_of_mass_mm: [f64; 3],
    /// Number of separate parts the wood is in.
    pub pieces: usize,
    /// Thinnest wall between two cuts, mm; none where no two cuts face each other.
    pub least_web_mm: Option<f64>,
    /// Narrowest neck (diameter of the largest ball that passes), mm; none where
    /// the wood is one bulk.
    pub least_neck_mm: Option<f64>,
    /// The same in a turner's words and units, for faces to show.
    pub says: Vec<String>,
}

/// One set-up: how the piece is held, and what is done there.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SetupReport {
    /// Stable identifier, e.g. `mounting.3`.
    pub id: String,
    /// Its place in the whole job, from 1.
    pub number: usize,
    /// Identifier of the piece.
    pub piece: String,
    /// What it is, e.g. `Mounting 3: between marks 2 and 6`.
    pub title: String,
    /// How the piece is held, in a sentence.
    pub holding: String,
    /// The steps, in order.
    pub steps: Vec<StepReport>,
    /// The wood left after the last step of this set-up.
    pub after: AfterSetup,
}

/// The wood left after a set-up.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, TS)]
pub struct AfterSetup {
    /// Volume of wood, mm³.
    pub volume_mm3: f64,
    /// The true volume lies within this of `volume_mm3`.
    pub volume_error_mm3: f64,
    /// Mass at the plan's moisture, grams; none where the weight of the wood is not known.
    pub mass_g: Option<f64>,
}

/// One action at the lathe.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct StepReport {
    /// Stable identifier, e.g. `mounting.3.cove`.
    pub id: String,
    /// What to do, in a sentence or two.
    pub says: String,
    /// The tool, as the rack names it.
    pub tool: Option<String>,
    /// Lathe speed to start from, revolutions a minute; none where the lathe stands still.
    pub speed_rpm: Option<Speed>,
    /// What can hurt here.
    pub cautions: Vec<String>,
}

/// A range of lathe speeds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, TS)]
pub struct Speed {
    /// Lowest, revolutions a minute.
    pub from: f64,
    /// Highest, revolutions a minute.
    pub to: f64,
}

/// A number to set or mark.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Measure {
    /// Stable identifier, e.g. `mounting.3.flat.calliper`.
    pub id: String,
    /// Identifier of the set-up.
    pub setup: String,
    /// Identifier of the step.
    pub step: String,
    /// What it is, e.g. `calliper over the flat`.
    pub label: String,
    /// The number that is set, after rounding to what the tool holds; mm, degrees or a count.
    pub value: f64,
    /// The number before that rounding.
    pub exact: f64,
    /// `mm`, `deg`, `rpm`, `count`, `share`, `ratio`, `N`, `Hz`, `g` or `g·mm`.
    pub unit: &'static str,
    /// The tool that sets it; `to know` of a number that nobody sets.
    pub tool: String,
    /// As the turner reads it, with its unit.
    pub shown: String,
}

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, TS)]
#[serde(rename_all = "lowercase")]
pub enum Weight {
    /// The job cannot be done as planned.
    Stops,
    /// It can be done, with care or with a loss.
    Watch,
    /// Worth knowing.
    Note,
}

/// Something to know before cutting.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Finding {
    /// Stable identifier of the kind, e.g. `seat.ridge`.
    pub id: &'static str,
    /// How grave it is.
    pub weight: Weight,
    /// Identifier of the set-up; none for the job as a whole.
    pub setup: Option<String>,
    /// Identifier of the step.
    pub step: Option<String>,
    /// What is the matter, in words, with its numbers and their units.
    pub says: String,
    /// The value found.
    pub value: f64,
    /// The limit it is held against.
    pub limit: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// Where the limit comes from: a source, `common practice, no source`, the plan or the rack.
    pub limit_from: String,
    /// The place, mm in the piece's frame.
    pub at: Option<[f64; 3]>,
    /// The two ends of the length found, mm in the piece's frame: the feet of a wall, the
    /// ends of a neck's ball across its thinnest.
    pub gap: Option<[[f64; 3]; 2]>,
    /// What would mend it, with the mended value worked out.
    pub mend: Vec<Mend>,
}

/// One way to mend a finding.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Mend {
    /// What to change, in words, with the new value and its unit.
    pub says: String,
    /// The plan's key to change, e.g. `cove.depth`; none where it is not a matter of the plan.
    pub key: Option<String>,
    /// The new value as it would be written in the plan.
    pub write: Option<String>,
}

/// A tool or stock that the job needs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Need {
    /// What it is, e.g. `Forstner bit 19 mm`.
    pub what: String,
    /// What for.
    pub purpose: String,
}

impl Report {
    /// Whether anything stops the job.
    pub fn stops(&self) -> bool {
        self.findings
            .iter()
            .any(|finding| finding.weight == Weight::Stops)
    }

    /// The measures of one step, in order.
    pub fn measures_of<'a>(&'a self, step: &'a str) -> impl Iterator<Item = &'a Measure> {
        self.measures
            .iter()
            .filter(move |measure| measure.step == step)
    }

    /// The findings of one set-up, in order.
    pub fn findings_of<'a>(&'a self, setup: &'a str) -> impl Iterator<Item = &'a Finding> {
        self.findings
            .iter()
            .filter(move |finding| finding.setup.as_deref() == Some(setup))
    }
}
