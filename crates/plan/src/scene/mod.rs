//! The scene of a set-up: the piece as it sits on the lathe, and what is drawn on it.
//!
//! Which way the piece lies, what holds it, where its marks and lines are on the
//! wood that is there, and the way each tool goes. Faces draw it; nothing of it
//! enters a number of the report.
//!
//! **Lathe frame**: x along the axis from the headstock to the tailstock, y up,
//! z towards the turner; the origin is the piece's own. Profiles and paths are in
//! (x, r), r the distance from the axis; marks and lines are in the piece's frame.
//!
//! Marks and lines are shown where the wood before the set-up still carries them,
//! to 0.02 mm; a mark whose surface is cut away is shown where its marker hole
//! keeps it, at the bottom of the cove. Centres and jaws have the rack's
//! diameters; their bodies are only drawn to be recognised.

mod drawn;
mod held;
mod paths;

use serde::Serialize;

use crate::evaluate::Outcome;
use crate::plan::Plan;
use crate::report::Report;

/// A set-up as it is seen at the lathe.
#[derive(Debug, Clone, PartialEq, Serialize, ts_rs::TS)]
pub struct Scene {
    /// Identifier of the set-up.
    pub setup: String,
    /// Its place in the whole job, from 1.
    pub number: usize,
    /// Identifier of the piece.
    pub piece: String,
    /// What the set-up is.
    pub title: String,
    /// How the piece is held, in a sentence.
    pub holding: String,
    /// Whether the piece turns on the lathe; not when it is in the hand.
    pub on_lathe: bool,
    /// Takes the piece's frame to the lathe's: four columns of four, mm.
    pub lathe_from_piece: [f64; 16],
    /// What holds the piece.
    pub holders: Vec<Holder>,
    /// Marks on the wood.
    pub marks: Vec<Mark>,
    /// Lines on the wood.
    pub lines: Vec<Line>,
    /// The way of each tool.
    pub paths: Vec<ToolPath>,
    /// The steps, in order.
    pub steps: Vec<SceneStep>,
    /// Other pieces that are put to this one, when it is put together.
    pub others: Vec<Placed>,
}

/// Something that holds the piece: a body turned about the lathe's axis.
#[derive(Debug, Clone, PartialEq, Serialize, ts_rs::TS)]
pub struct Holder {
    /// What it is.
    pub kind: HolderKind,
    /// What the shop calls it.
    pub name: String,
    /// Its closed outline, (x, r) in the lathe's frame, mm.
    pub profile: Vec<[f64; 2]>,
}

/// Sorts of holders.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum HolderKind {
    /// In the headstock: it turns the wood.
    DriveCentre,
    /// In the tailstock: it bears the wood.
    TailCentre,
    /// The jaws of a chuck.
    Jaws,
    /// A wooden pin in the chuck, with the hollowed face behind it.
    Pin,
}

/// A mark on the wood.
#[derive(Debug, Clone, PartialEq, Serialize, ts_rs::TS)]
pub struct Mark {
    /// What sort of mark it is.
    pub kind: MarkKind,
    /// Its number or name.
    pub name: String,
    /// Where, mm in the piece's frame.
    pub at: [f64; 3],
    /// Unit vector out of the wood there.
    pub out: [f64; 3],
}

/// Sorts of marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum MarkKind {
    /// A pricked mark on the ball's middle line.
    Mark,
    /// A mark kept by its marker hole at the bottom of a cove.
    MarkerHole,
    /// An end of the blank's axis.
    Pole,
}

/// A line on the wood, or a way through it.
#[derive(Debug, Clone, PartialEq, Serialize, ts_rs::TS)]
pub struct Line {
    /// What sort of line it is.
    pub kind: LineKind,
    /// What a turner calls it.
    pub name: String,
    /// Identifier of the step that draws or uses it; none where it stands for the whole set-up.
    pub step: Option<String>,
    /// Its points, mm in the piece's frame.
    pub points: Vec<[f64; 3]>,
}

/// Sorts of lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum LineKind {
    /// An edge line of a cove.
    Edge,
    /// The ball's middle line, on which the marks are.
    Middle,
    /// The middle line of a cove, through both poles.
    CoveMiddle,
    /// A station marked with the rule on a turning piece.
    Station,
    /// The lathe's axis.
    Axis,
    /// The way of a bit.
    Drill,
}

/// The way of a tool in one step, in the plane of the lathe's axis.
#[derive(Debug, Clone, PartialEq, Serialize, ts_rs::TS)]
pub struct ToolPath {
    /// Identifier of the step.
    pub step: String,
    /// The tool, as the step names it.
    pub tool: Option<String>,
    /// Points (x, r) in the lathe's frame, mm, in the order they are cut.
    pub points: Vec<[f64; 2]>,
}

/// A step of the set-up.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ts_rs::TS)]
pub struct SceneStep {
    /// Its identifier.
    pub id: String,
    /// Whether it takes wood away.
    pub cuts: bool,
}

/// Another piece, and where it goes.
#[derive(Debug, Clone, PartialEq, Serialize, ts_rs::TS)]
pub struct Placed {
    /// Identifier of that piece.
    pub piece: String,
    /// Takes its frame to the frame of the scene's piece: four columns of four, mm.
    pub piece_from_other: [f64; 16],
}

/// The scene of a set-up; none where the plan has no such set-up.
pub fn scene(plan: &Plan, outcome: &Outcome, setup: &str) -> Option<Scene> {
    let expanded = &outcome.expanded;
    let index = expanded.process.setup(setup)?;
    let doing = &expanded.process.setups[index];
    let before = expanded.process.state_before(doing.piece, index, 0);
    let view = View {
        plan,
        report: &outcome.report,
        expanded,
        index,
        before,
    };
    let held = held::held(&view);
    Some(Scene {
        setup: doing.id.clone(),
        number: index + 1,
        piece: expanded.process.pieces[doing.piece].id.clone(),
        title: doing.title.clone(),
        holding: doing.holding.clone(),
        on_lathe: held.on_lathe,
        lathe_from_piece: held.lathe_from_piece(),
        marks: drawn::marks(&view),
        lines: drawn::lines(&view, &held),
        paths: if held.on_lathe {
            paths::paths(&view, &held)
        } else {
            Vec::new()
        },
        steps: doing
            .steps
            .iter()
            .map(|step| SceneStep {
                id: step.id.clone(),
                cuts: !step.removes.is_empty(),
            })
            .collect(),
        others: held::others(&view),
        holders: held.holders,
    })
}

/// What a scene is made from.
struct View<'a> {
    plan: &'a Plan,
    report: &'a Report,
    expanded: &'a crate::form::coved_ball::Expanded,
    /// Which set-up.
    index: usize,
    /// The wood before it.
    before: crate::process::State,
}

impl View<'_> {
    fn setup(&self) -> &crate::process::Setup {
        &self.expanded.process.setups[self.index]
    }

    /// The mounting across the ball that this set-up is, counted from 0.
    fn mounting(&self) -> Option<u32> {
        let number: u32 = self.setup().id.strip_prefix("mounting.")?.parse().ok()?;
        number.checked_sub(1)
    }
}

#[cfg(test)]
mod tests;
