//! The plan: what a turner wants to make, read from a file and checked once.
//!
//! [`Plan::read`] takes the text of a plan file (TOML) to a [`Plan`] with every
//! length in millimetres and every angle in radians, or to
//! [`Problems`](crate::reader::Problems) that list all that is wrong at once. Checked here is what can be told from the
//! numbers alone: types, ranges, names that the rack knows, and that the coves
//! fit on the ball. What the solid has to say (walls, seats, holes that meet)
//! is found later, and points back at the file through [`Plan::span_of`].

mod air;
mod change;
mod file;
mod finial;
mod fit;
mod loads;

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use crate::rack::Rack;
use crate::units::{LengthStyle, LengthUnit};

pub use air::Air;
pub use change::ChangeError;
pub use finial::{Finial, FinialPart, Finials, Hanger};
pub(crate) use loads::read_loads;
pub use loads::{ChosenLoads, FROM_PLAN, FROM_RACK, Loads, Magnitude};

/// A plan, valid in itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What the piece is called.
    pub title: String,
    /// The form to make.
    pub form: Form,
    /// The unit of a bare number in the file.
    pub unit: LengthUnit,
    /// How lengths are shown.
    pub style: LengthStyle,
    /// The tools of the shop.
    pub rack: Rack,
    /// The wood.
    pub wood: WoodChoice,
    /// The air of the shop; none where the plan does not tell.
    pub shop: Option<Air>,
    /// The air where the piece will live; none where the plan does not tell.
    pub home: Option<Air>,
    /// The blank of the ball.
    pub blank: Blank,
    /// The ball.
    pub ball: Ball,
    /// How the pieces are held.
    pub holding: Holding,
    /// The coves.
    pub cove: Cove,
    /// The bore from pole to pole.
    pub bore: Bore,
    /// The marker holes.
    pub markers: Markers,
    /// The pierced holes; none where the coves stay whole.
    pub pierce: Option<Pierce>,
    /// The finials.
    pub finials: Finials,
    /// What must be left of the wood.
    pub limits: Limits,
    /// Lathe speeds, where the turner chooses them.
    pub speeds: ChosenSpeeds,
    /// Forces of the bench, where the turner knows them.
    pub loads: ChosenLoads,
    /// How accurately the turner works, for the trial.
    pub trial: crate::trial::Accuracies,
    /// The file, to point at and to change.
    pub source: PlanSource,
}

/// The forms that can be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A ball with crossing coves, bored, pierced, with finials.
    CovedBall,
}

impl Form {
    /// The word a plan uses for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::CovedBall => "coved ball",
        }
    }
}

/// The wood of every piece.
#[derive(Debug, Clone, PartialEq)]
pub struct WoodChoice {
    /// The wood as the plan names it. Whether that wood is known is for the
    /// table of woods to say.
    pub species: String,
    /// Moisture content, percent of the dry weight, 0 to 200.
    pub moisture: f64,
    /// Which way the grain runs in the blank of the ball.
    pub grain: GrainWay,
}

/// Which way the grain runs in the blank of the ball.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GrainWay {
    /// Along the blank's length, as blanks are sawn.
    Along,
    /// Across it, through mark 1.
    Across,
}

impl GrainWay {
    /// The words a plan uses.
    pub const WORDS: [(&'static str, Self); 2] = [("along", Self::Along), ("across", Self::Across)];

    /// The word a plan uses for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Along => "along",
            Self::Across => "across",
        }
    }
}

/// The blank before turning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blank {
    /// Its cross-section.
    pub shape: BlankShape,
    /// Side of the square, or diameter, mm.
    pub across: f64,
    /// Length along the grain, mm.
    pub length: f64,
    /// How far the pith lies from the blank's axis, mm; none where the blank is clear of it.
    pub pith: Option<f64>,
    /// Thickness of the bark on it, mm; nought on sawn wood.
    pub bark: f64,
    /// Length of the branch or board it is sawn from, mm; none where the plan does not tell.
    pub from: Option<f64>,
}

impl Blank {
    /// What is sound wood across it, mm.
    pub fn sound_across(&self) -> f64 {
        self.across - 2.0 * self.bark
    }
}

/// The cross-section of a blank.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlankShape {
    /// Sawn square.
    Square,
    /// Round already.
    Round,
}

/// The ball before it is coved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ball {
    /// Its diameter, mm.
    pub diameter: f64,
    /// Marks round the equator: even, 4 to 48. Half as many mountings.
    pub marks: u32,
    /// Sides of the polygon it is turned to before the last rounding: 8, 16 or 32.
    pub facets: u32,
}

/// How the ball is held while it is rounded and bored, and after.
#[derive(Debug, Clone, PartialEq)]
pub struct Holding {
    /// The jaws, by their name in the rack; none: choose.
    pub jaws: Option<String>,
    /// Diameter of the spigot, mm; none: choose for the jaws.
    pub spigot: Option<f64>,
    /// Length of the spigot, mm.
    pub spigot_length: f64,
    /// Diameter of the wood left between the ball and the headstock, mm; none: choose.
    pub neck: Option<f64>,
    /// The drive centre, by its name in the rack; none: choose.
    pub drive: Option<String>,
    /// The tail centre, by its name in the rack; none: choose.
    pub tail: Option<String>,
    /// How the ball is turned end for end.
    pub reverse: Reverse,
    /// The mountings in the order they are done, by the lower of their two marks from 1; none: as
    /// the marks are numbered.
    pub order: Option<Vec<u32>>,
}

/// How a ball is held when it is turned end for end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reverse {
    /// On a turned pin that fits the bore.
    Pin,
}

/// The coves, all alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cove {
    /// Width of ball surface left between neighbouring coves along the
    /// equator, mm; zero where they touch.
    pub land: f64,
    /// Depth below the flat between the edges, mm.
    pub depth: f64,
}

/// The bore from pole to pole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bore {
    /// Its diameter, mm.
    pub diameter: f64,
}

/// The holes that keep the marks through the cuts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Markers {
    /// Their diameter, mm.
    pub diameter: f64,
    /// How much deeper they go than the bottom of the cove, mm.
    pub margin: f64,
}

/// The holes pierced at the bottoms of the coves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pierce {
    /// Their diameter, mm.
    pub diameter: f64,
}

/// What must be left of the wood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Thinnest wall between two cuts, mm.
    pub web: f64,
    /// Narrowest neck between two bulks of wood, mm.
    pub neck: f64,
    /// Sharpest edge of wood, radians (degrees in the file).
    pub edge_angle: f64,
    /// Narrowest neck of a finial, mm.
    pub finial_neck: f64,
    /// Thinnest wood round a hanger's hole, mm on the radius.
    pub hanger_wall: f64,
    /// Most that a finial may bend under the tool, mm.
    pub finial_bend: f64,
    /// Where each comes from.
    pub from: LimitsFrom,
}

/// Where each limit comes from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct LimitsFrom {
    /// Of the wall.
    pub web: LimitFrom,
    /// Of the neck.
    pub neck: LimitFrom,
    /// Of the edge.
    pub edge_angle: LimitFrom,
    /// Of a finial's neck.
    pub finial_neck: LimitFrom,
    /// Of a hanger's wall.
    pub hanger_wall: LimitFrom,
    /// Of a finial's bend.
    pub finial_bend: LimitFrom,
}

/// Where a limit comes from: the plan's stands before the rack's, the rack's before the usual one.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum LimitFrom {
    /// The usual limit of the trade, which no source prints.
    #[default]
    Usual,
    /// The rack's own.
    Rack,
    /// The plan's own.
    Plan,
}

impl LimitFrom {
    /// In the words of a finding.
    pub fn words(self) -> &'static str {
        match self {
            Self::Usual => "common practice, no source",
            Self::Rack => "the rack's limits",
            Self::Plan => "the plan's limits",
        }
    }
}

/// Lathe speeds that the plan asks for, revolutions a minute; where none, the rim rule and
/// the lathe decide.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ChosenSpeeds {
    /// For a blank that is not round yet.
    pub roughing: Option<f64>,
    /// For round work.
    pub turning: Option<f64>,
    /// For flats and coves, where the cut is broken.
    pub coving: Option<f64>,
    /// For bits in the tailstock.
    pub drilling: Option<f64>,
}

/// The file a plan came from, and where in it each key stands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlanSource {
    /// The name of the file.
    pub file: String,
    /// Its text.
    pub text: String,
    /// The text of the rack file it names; none where the rack is built in.
    pub rack_text: Option<String>,
    /// The bytes of each value that the file gives, by dotted key; parts of a
    /// list count from 1, as in `finials.top.shape.1.fillet`.
    pub places: BTreeMap<String, Range<usize>>,
    /// Every dotted key of a value that the file could have given in its
    /// sections, whether it did or not.
    pub keys: BTreeSet<String>,
}

impl PlanSource {
    /// The bytes of the value at a dotted key, or else of the nearest section
    /// that holds it; none where the file has neither.
    pub fn span_of(&self, key: &str) -> Option<Range<usize>> {
        let mut key = key;
        loop {
            if let Some(place) = self.places.get(key) {
                return Some(place.clone());
            }
            key = key.rsplit_once('.')?.0;
        }
    }
}

impl Plan {
    /// The plan with the value at a dotted key replaced, read again; none where that is no plan.
    pub fn with(&self, key: &str, written: &str) -> Option<Self> {
        let text = self.set(key, written).ok()?;
        let rack = || {
            self.source
                .rack_text
                .clone()
                .ok_or_else(|| "the rack is built in".to_owned())
        };
        Self::read(&text, &self.source.file, &|_| rack()).ok()
    }

    /// The bytes in [`PlanSource::text`] of the value at a dotted key such as
    /// `cove.depth`, or else of the section that would hold it.
    pub fn span_of(&self, key: &str) -> Option<Range<usize>> {
        self.source.span_of(key)
    }
}

#[cfg(test)]
mod tests;
