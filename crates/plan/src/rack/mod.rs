//! The rack: the lathe, jaws, centres, bits and gouges that a shop owns.
//!
//! A number nobody can set is no answer, so every measure is fitted to what
//! stands here. A rack is a file of its own that plans refer to; two small
//! workshops, one metric and one in inches, are built in as starting points.
//! All lengths are millimetres, all speeds revolutions a minute. Sizes are
//! taken as the file gives them; nothing here knows whether a tool is sharp.

mod choose;
mod file;

use crate::plan::ChosenLoads;

pub use choose::{Combined, IndexChoice, NearestHoles};
pub(crate) use file::read_limits;

/// The name of the rack that a plan uses when it names none.
pub const SMALL_WORKSHOP: &str = "small workshop";

/// The name of the built-in rack in inch sizes.
pub const SMALL_WORKSHOP_INCHES: &str = "small workshop, inches";

/// The tools of one shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Rack {
    /// What the shop calls it.
    pub name: String,
    /// The lathe.
    pub lathe: Lathe,
    /// Chuck jaws, in the order of the file.
    pub jaws: Vec<Jaws>,
    /// Drive and tail centres, in the order of the file.
    pub centres: Vec<Centre>,
    /// Drills, by diameter, then kind.
    pub bits: Vec<Bit>,
    /// Gouges, in the order of the file.
    pub gouges: Vec<Gouge>,
    /// The smallest difference the callipers can be set to, mm.
    pub calliper_step: f64,
    /// The smallest division of the rule, mm.
    pub rule_step: f64,
    /// The widest opening of the dividers, mm; none where the shop has none.
    pub dividers_reach: Option<f64>,
    /// Widest part of the drill chuck, mm.
    pub drill_chuck: f64,
    /// Width of the saw's cut, mm.
    pub saw_kerf: f64,
    /// Width of the parting tool's cut, mm.
    pub parting_width: f64,
    /// What this shop asks to be left of the wood, where it asks other than usual.
    pub limits: RackLimits,
    /// Forces of this bench, where the shop knows them.
    pub loads: ChosenLoads,
}

/// What a shop asks to be left of the wood; none: as usual. A plan's own limits stand before these.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct RackLimits {
    /// Thinnest wall between two cuts, mm.
    pub web: Option<f64>,
    /// Narrowest neck between two bulks of wood, mm.
    pub neck: Option<f64>,
    /// Sharpest edge of wood, degrees.
    pub edge_angle: Option<f64>,
    /// Narrowest neck of a finial, mm.
    pub finial_neck: Option<f64>,
    /// Thinnest wood round a hanger's hole, mm on the radius.
    pub hanger_wall: Option<f64>,
    /// Most that a finial may bend under the tool, mm.
    pub finial_bend: Option<f64>,
}

/// The lathe.
#[derive(Debug, Clone, PartialEq)]
pub struct Lathe {
    /// The largest diameter that turns clear of the bed, mm.
    pub swing_over_bed: f64,
    /// The longest piece between centres, mm.
    pub between_centres: f64,
    /// The speeds it runs at.
    pub speeds: Speeds,
    /// Holes of each ring of the index head, ascending; empty without one.
    pub index: Vec<u32>,
}

/// The speeds of a lathe, revolutions a minute.
#[derive(Debug, Clone, PartialEq)]
pub enum Speeds {
    /// Any speed between two.
    Range {
        /// The lowest.
        lowest: f64,
        /// The highest.
        highest: f64,
    },
    /// The steps of a belt, ascending and at least one.
    Steps(Vec<f64>),
}

/// One set of chuck jaws.
#[derive(Debug, Clone, PartialEq)]
pub struct Jaws {
    /// What the shop calls them.
    pub name: String,
    /// Round spigots they close on; none where they only open.
    pub spigot: Option<Span>,
    /// Recesses they open into; none where they only close.
    pub recess: Option<Span>,
    /// How deep a spigot or recess may be, mm.
    pub depth: f64,
    /// The diameter at which the jaws close to near a full circle, mm.
    pub full_circle: f64,
}

/// A range of diameters, both ends included, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// The smallest.
    pub smallest: f64,
    /// The largest.
    pub largest: f64,
}

impl Span {
    /// Whether a diameter, mm, lies within.
    pub fn holds(self, diameter: f64) -> bool {
        self.smallest <= diameter && diameter <= self.largest
    }
}

/// A drive or tail centre.
#[derive(Debug, Clone, PartialEq)]
pub struct Centre {
    /// What the shop calls it.
    pub name: String,
    /// Which end it stands at.
    pub kind: CentreKind,
    /// Diameter of the ring or the spurs, mm.
    pub diameter: f64,
    /// Diameter of the point in the middle, mm.
    pub point_diameter: f64,
}

/// Which end a centre stands at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CentreKind {
    /// In the headstock: it turns the wood.
    Drive,
    /// In the tailstock: it bears the wood.
    Tail,
}

/// A drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Bit {
    /// What kind of point it has.
    pub kind: BitKind,
    /// Diameter of the hole it leaves, mm.
    pub diameter: f64,
    /// How deep it can drill, mm.
    pub reach: f64,
}

/// What kind of point a drill has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BitKind {
    /// A cone, commonly of 118 degrees.
    Twist,
    /// A brad point and two spurs: nearly flat at the bottom.
    BradPoint,
    /// A rim and a small brad: flat at the bottom.
    Forstner,
}

impl BitKind {
    /// What a turner calls it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Twist => "twist bit",
            Self::BradPoint => "brad-point bit",
            Self::Forstner => "Forstner bit",
        }
    }
}

/// A gouge or scraper that cuts coves.
#[derive(Debug, Clone, PartialEq)]
pub struct Gouge {
    /// What the shop calls it.
    pub name: String,
    /// Radius of the tightest cove it cuts cleanly, mm.
    pub smallest_cove: f64,
}
