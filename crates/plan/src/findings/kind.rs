//! The kinds of findings: their identifiers, weights and meaning.
//!
//! Identifiers are stable; docs/findings.md is written from this table.

use crate::plan::LimitFrom;
use crate::report::{Finding, Mend, Weight};

/// A kind of finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kind {
    /// Stable identifier.
    pub id: &'static str,
    /// How grave it is.
    pub weight: Weight,
    /// What it means, in one sentence.
    pub means: &'static str,
    /// Where its limit comes from.
    pub limit_from: &'static str,
}

/// Marks a limit that the trade knows and no source prints.
pub const COMMON_PRACTICE: &str = "common practice, no source";
/// Marks a limit that the plan or the rack may set.
pub const THE_PLAN: &str = "the plan's limits, else the rack's, else common practice, no source";
/// Marks a limit that the rack sets.
pub const THE_RACK: &str = "the rack";
/// Marks a limit that geometry sets.
pub const GEOMETRY: &str = "geometry";

macro_rules! kinds {
    ($($name:ident = $id:literal, $weight:ident, $limit:expr, $means:literal;)*) => {
        $(#[doc = $means] pub const $name: Kind = Kind { id: $id, weight: Weight::$weight, means: $means, limit_from: $limit };)*
        /// Every kind, in the order of this table.
        pub const ALL: &[Kind] = &[$($name),*];
    };
}

kinds! {
    BLANK_ACROSS = "blank.across", Stops, GEOMETRY, "The blank is too thin for the ball and the wood that truing takes.";
    BLANK_LENGTH = "blank.length", Stops, GEOMETRY, "The blank is too short for ball, neck, spigot and tail waste.";
    PITH_LEFT = "pith.left", Watch, GEOMETRY, "The pith stays in the ball: the bore does not take it out.";
    LATHE_SWING = "lathe.swing", Stops, THE_RACK, "The blank does not swing clear of the bed.";
    LATHE_LENGTH = "lathe.length", Stops, THE_RACK, "The blank does not fit between centres.";
    JAWS_LARGE = "jaws.large", Stops, THE_RACK, "The smallest grip of the jaws is larger than any spigot the blank can give.";
    SPIGOT_GRIP = "spigot.grip", Stops, THE_RACK, "The spigot lies outside what the jaws grip.";
    SPIGOT_DEPTH = "spigot.depth", Stops, THE_RACK, "The spigot is longer than the jaws are deep and would bottom before its shoulder bears.";
    OVERHANG = "holding.overhang", Watch, "a chuck manual: at most 3.3 times the spigot at 45 mm (derived, trade facts 3.2)", "The work stands far out of the jaws for the size of its spigot.";
    NECK_SHOWS = "neck.shows", Watch, GEOMETRY, "The neck is thicker than the bore, so the bore leaves a ring of it to be turned away.";
    INDEX_MARKS = "index.marks", Watch, THE_RACK, "No ring of the index head divides a turn into this many marks.";
    SEAT_AIR = "seat.air", Stops, GEOMETRY, "A centre comes to where no wood is.";
    SEAT_RIDGE = "seat.ridge", Stops, COMMON_PRACTICE, "A centre comes to a ridge, which is no seat.";
    CENTRE_WIDE = "centre.wide", Stops, GEOMETRY, "A centre is wider than the seat it bears on.";
    MARKER_SHALLOW = "marker.shallow", Stops, COMMON_PRACTICE, "A marker hole ends so close below the cove's bottom that its mark may be cut away.";
    MARKER_SHOWS = "marker.shows", Watch, GEOMETRY, "A marker hole shows on the finished piece.";
    MARKER_BORE = "marker.bore", Watch, GEOMETRY, "A marker hole reaches the bore, and has no bottom for a centre's point.";
    COVE_BORE = "cove.bore", Stops, GEOMETRY, "The cove reaches the bore at the equator before anything is pierced.";
    COVE_GOUGE = "cove.gouge", Watch, THE_RACK, "The cove is tighter than any gouge in the rack cuts.";
    RIM_GAP = "rim.gap", Stops, THE_PLAN, "The wood between neighbouring hole rims on the cove's bottom circle is too narrow.";
    HOLES_MEET = "holes.meet", Note, GEOMETRY, "Neighbouring holes run together inside: only the ribs outside that radius hold the halves together.";
    WEB_THIN = "web.thin", Stops, THE_PLAN, "A wall between two cuts is thinner than the limit.";
    NECK_THIN = "neck.thin", Stops, THE_PLAN, "What joins two bulks of wood is narrower than the limit.";
    PIECES_FALL = "pieces.fall", Stops, GEOMETRY, "The wood is cut into separate parts.";
    EDGE_FEATHER = "edge.feather", Watch, THE_PLAN, "An edge of wood is sharper than the limit.";
    BIT_MISSING = "bit.missing", Stops, THE_RACK, "The rack has no bit of this diameter.";
    BIT_REACH = "bit.reach", Stops, THE_RACK, "The bit does not reach as deep as the hole.";
    DRILL_FOULS = "drill.fouls", Watch, THE_RACK, "The drill chuck meets the ridges beside the hole before the bit is deep enough.";
    SPEED_RULE = "speed.rule", Stops, "rim rule 6000 to 9000 rpm · in; common practice, no primary source (trade facts 2.1)", "The speed the plan asks for is above the rim rule.";
    SPEED_LATHE = "speed.lathe", Watch, THE_RACK, "The speed lies outside what the lathe runs at.";
    FINIAL_BLANK = "finial.blank", Stops, GEOMETRY, "The finial's blank is too thin for its widest shape.";
    FINIAL_JAWS = "finial.jaws", Stops, THE_RACK, "No jaws in the rack grip the finial's blank.";
    FINIAL_NECK = "finial.neck", Watch, THE_PLAN, "The finial's thinnest neck is thinner than the limit.";
    FINIAL_WHIP = "finial.whip", Watch, THE_PLAN, "The finial's tip gives way under a light side push.";
    FINIAL_RINGS = "finial.rings", Watch, COMMON_PRACTICE, "The finial's own swing comes near the lathe's speed.";
    FINIAL_TIP = "finial.tip", Watch, COMMON_PRACTICE, "The finial's tip is sharp.";
    FINIAL_SHOULDER = "finial.shoulder", Stops, GEOMETRY, "The finial's shoulder does not cover the bore.";
    FINIAL_RIM = "finial.rim", Note, COMMON_PRACTICE, "The bore's rim rises and falls under the finial's shoulder, which meets it only on the ridges.";
    FINIAL_TENON = "finial.tenon", Watch, GEOMETRY, "The tenon reaches past the wood of the bore and shows through the pierced holes.";
    HANGER_WALL = "hanger.wall", Watch, THE_PLAN, "The wood round the hanger's hole is thin and may split.";
    FIT_TIGHT = "fit.tight", Watch, GEOMETRY, "Where the piece will live, the tenon wedges in its bore.";
    FIT_LOOSE = "fit.loose", Watch, "epoxy fills to about 0.5 to 1 mm, from memory (trade facts 5.6)", "The tenon has more slack than a line of glue bridges.";
    BALL_OVAL = "ball.oval", Watch, "a ball finished by hand is true to 0.5 mm on 60 (trade facts 1.18); common practice, no source", "The ball goes visibly oval where it will live.";
    WOOD_UNSETTLED = "wood.unsettled", Watch, COMMON_PRACTICE, "The wood is not settled in the air of the shop, and moves while it is worked.";
    WOOD_CAUTION = "wood.caution", Note, "docs/woods.md", "The wood's dust is known to irritate or worse.";
}

/// Marks a limit that the strength of the wood sets.
pub const THE_WOOD: &str = "the wood's strength, docs/strength.md";

macro_rules! hold_kinds {
    ($($name:ident = $id:literal, $weight:ident, $means:literal;)*) => {
        $(#[doc = $means] pub const $name: Kind = Kind { id: $id, weight: Weight::$weight, means: $means, limit_from: THE_WOOD };)*
        /// The kinds that need the solver's answer, in the order of this table.
        pub const HOLD: &[Kind] = &[$($name),*];
    };
}

hold_kinds! {
    HOLD_OVER = "hold.over", Watch, "A load as taken is more than the wood's mean stands.";
    HOLD_NEAR = "hold.near", Watch, "A load as taken is more than weak wood stands, one tree in twenty.";
    HOLD_SPLIT = "hold.split", Note, "A load as taken uses more than half of what weak wood stands before it splits at a feather edge or beside a hole.";
    HOLD_FALL = "hold.fall", Note, "The finished piece may not stand the fall that is taken.";
}

impl Kind {
    /// A finding of this kind.
    pub fn says(&'static self, words: impl Into<String>) -> Finding {
        Finding {
            id: self.id,
            weight: self.weight,
            setup: None,
            step: None,
            says: words.into(),
            value: 0.0,
            limit: 0.0,
            unit: "mm",
            limit_from: self.limit_from.to_owned(),
            at: None,
            gap: None,
            mend: Vec::new(),
        }
    }
}

impl Finding {
    /// With the value found and the limit it is held against.
    #[must_use]
    pub fn against(mut self, value: f64, limit: f64, unit: &'static str) -> Self {
        (self.value, self.limit, self.unit) = (value, limit, unit);
        self
    }

    /// In a set-up.
    #[must_use]
    pub fn in_setup(mut self, setup: impl Into<String>) -> Self {
        self.setup = Some(setup.into());
        self
    }

    /// In a step.
    #[must_use]
    pub fn in_step(mut self, step: impl Into<String>) -> Self {
        self.step = Some(step.into());
        self
    }

    /// From one end to the other of the length found, mm in the piece's frame.
    #[must_use]
    pub fn gap(mut self, ends: [rondure_solid::DVec3; 2]) -> Self {
        self.gap = Some(ends.map(|end| end.to_array()));
        self
    }

    /// At a place in the piece, mm.
    #[must_use]
    pub fn at(mut self, place: rondure_solid::DVec3) -> Self {
        // Negative zeros would only puzzle a reader.
        self.at = Some(
            (place + rondure_solid::DVec3::ZERO)
                .to_array()
                .map(|x| if x.abs() < 5e-10 { 0.0 } else { x }),
        );
        self
    }

    /// With where its limit comes from, where that is not the same for every plan.
    #[must_use]
    pub fn limited_by(mut self, from: LimitFrom) -> Self {
        self.limit_from = from.words().to_owned();
        self
    }

    /// With ways to mend it.
    #[must_use]
    pub fn mended_by(mut self, mends: impl IntoIterator<Item = Mend>) -> Self {
        self.mend.extend(mends);
        self
    }
}

/// A mend that changes one value of the plan.
pub fn change(key: &str, write: impl Into<String>, says: impl Into<String>) -> Mend {
    Mend {
        says: says.into(),
        key: Some(key.to_owned()),
        write: Some(write.into()),
    }
}

/// A mend outside the plan.
pub fn advice(says: impl Into<String>) -> Mend {
    Mend {
        says: says.into(),
        key: None,
        write: None,
    }
}
