//! The answer: what the wood stands at every look, and where it comes nearest to breaking.

use serde::Serialize;
use ts_rs::TS;

use super::Load;

/// How near the wood comes to breaking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, TS)]
#[serde(rename_all = "lowercase")]
pub enum Band {
    /// Even the weak end of the wood, one tree in twenty, stands it.
    Sound,
    /// The wood's mean stands it, its weak end does not.
    Near,
    /// The wood's mean does not stand it.
    Over,
}

impl Band {
    /// In one word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sound => "sound",
            Self::Near => "near",
            Self::Over => "over",
        }
    }
}

/// How wood fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, TS)]
#[serde(rename_all = "kebab-case")]
pub enum Failing {
    /// Pulled apart across the grain: a split along the fibres.
    Splitting,
    /// Fibres torn along the grain.
    Tearing,
    /// Fibres crushed along the grain.
    CrushingAlong,
    /// Dented across the grain.
    CrushingAcross,
    /// Slid along the grain, which opens a split too.
    Shear,
    /// Fibres rolled over each other in the cross-section.
    RollingShear,
}

impl Failing {
    /// In a turner's words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Splitting => "splits along the grain",
            Self::Tearing => "snaps across the fibres",
            Self::CrushingAlong => "crushes along the grain",
            Self::CrushingAcross => "dents across the grain",
            Self::Shear => "shears along the grain",
            Self::RollingShear => "shears between the fibres",
        }
    }
}

/// The answer for a whole plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Held {
    /// The looks, in the order of the job.
    pub looks: Vec<HeldLook>,
    /// Places in `looks`, the one that comes nearest to breaking first.
    pub ranked: Vec<usize>,
    /// What it rests on, in sentences.
    pub rests_on: Vec<String>,
    /// Looks that could not be worked out, with the reason.
    pub left_out: Vec<String>,
}

impl Held {
    /// The look and case that come nearest to breaking.
    pub fn weakest(&self) -> Option<(&HeldLook, &HeldCase)> {
        let look = self.looks.get(*self.ranked.first()?)?;
        Some((look, look.worst()?))
    }
}

/// One look: the wood of a moment under all that pushes it.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct HeldLook {
    /// Stable identifier, e.g. `mounting.3.cove`.
    pub id: String,
    /// Identifier of the piece.
    pub piece: String,
    /// Identifier of the set-up.
    pub setup: String,
    /// Number of the set-up in the job, from 1.
    pub number: usize,
    /// Identifier of the step.
    pub step: String,
    /// What it is, in a turner's words.
    pub title: String,
    /// The cases, the one that comes nearest to breaking first; a fall comes last.
    pub cases: Vec<HeldCase>,
    /// Edge of the cubes that the wood was filled with, mm.
    pub cube_mm: f64,
    /// Whether this is only a first look with large cubes.
    pub first_look: bool,
}

impl HeldLook {
    /// The case that comes nearest to breaking; a fall counts only where there is nothing else.
    pub fn worst(&self) -> Option<&HeldCase> {
        self.cases.first()
    }
}

/// One load on one look.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct HeldCase {
    /// Stable identifier, e.g. `mounting.3.cove.squeeze`.
    pub id: String,
    /// What sort of load.
    pub load: Load,
    /// What pushes, in a turner's words.
    pub says: String,
    /// Where the worst push comes, in words; empty where there is but one.
    pub way: String,
    /// How strong it is taken to be, N; of a drop its height, mm.
    pub taken: f64,
    /// The same in the turner's units.
    pub taken_shown: String,
    /// Where that comes from.
    pub taken_from: String,
    /// What the wood stands: its weak end (one tree in twenty), its mean, its strong end; N, of a drop mm. None where no
    /// force in reason breaks it.
    pub stands: [Option<f64>; 3],
    /// The same at the weak end and the mean in the turner's units.
    pub stands_shown: [String; 2],
    /// Share of the strength used up by the load as taken: weak end, mean, strong end.
    pub used: [f64; 3],
    /// The verdict.
    pub band: Band,
    /// The weakest place, mm in the piece's frame.
    pub at: [f64; 3],
    /// The pull that fails there: the direction in which the wood parts or gives, a unit vector in the piece's frame.
    pub direction: [f64; 3],
    /// What would happen there.
    pub failing: Failing,
    /// Where that is, in a turner's words: `beside the hole at mark 3`.
    pub place: String,
    /// Wood through the weakest place, mm.
    pub thickness_mm: f64,
    /// Cubes through it: six are to be trusted, three are 6 to 25 % too stiff.
    pub cubes_through: f64,
    /// How far the answer may be off by the cubes' own error, as a share of it.
    pub error: f64,
    /// Where the push comes, mm in the piece's frame.
    pub pushed_at: [f64; 3],
}

impl HeldCase {
    /// What, where, how and how much, in sentences.
    pub fn in_words(&self) -> String {
        let way = if self.way.is_empty() {
            String::new()
        } else {
            format!(" ({})", self.way)
        };
        format!(
            "Under {}{way} it {} {}. Weak wood stands {}, the wood's mean {}; it is taken as {}, which uses {} of weak wood and {} of the mean.",
            self.says,
            self.failing.words(),
            self.place,
            self.stands_shown[0],
            self.stands_shown[1],
            self.taken_shown,
            percent(self.used[0]),
            percent(self.used[1]),
        )
    }
}

/// A share in whole percent; what is far over is not worth its digits.
pub fn percent(share: f64) -> String {
    if share > 10.0 {
        "more than ten times".to_owned()
    } else if share < 0.005 {
        "less than 1 %".to_owned()
    } else {
        format!("{:.0} %", 100.0 * share)
    }
}
