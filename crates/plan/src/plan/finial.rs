//! A finial: a tenon that fits the bore, then shapes from the shoulder outwards.

use std::ops::RangeInclusive;

use crate::reader::{Section, either};

/// The finials of a ball.
#[derive(Debug, Clone, PartialEq)]
pub struct Finials {
    /// Slack of a tenon in its bore, over the diameter, mm.
    pub glue_gap: f64,
    /// Moisture of the finials' wood when they are turned, percent of its dry weight; none where it is the ball's.
    pub moisture: Option<f64>,
    /// The finial that points up; none where there is none.
    pub top: Option<Finial>,
    /// The finial that points down.
    pub bottom: Option<Finial>,
}

/// One finial.
#[derive(Debug, Clone, PartialEq)]
pub struct Finial {
    /// Side or diameter of its blank, mm.
    pub blank_across: f64,
    /// Length of the tenon that goes into the bore, mm.
    pub tenon_length: f64,
    /// Its shapes from the shoulder outwards; at least one, and the first is a
    /// fillet or a bead, which gives the shoulder its diameter.
    pub shape: Vec<FinialPart>,
    /// A hole in the tip for a hanger.
    pub hanger: Option<Hanger>,
}

impl Finial {
    /// Length from the shoulder to the tip, mm.
    pub fn length(&self) -> f64 {
        self.shape.iter().map(|part| part.length()).sum()
    }
}

/// One shape along a finial. Lengths lie along the axis; diameters are turned
/// diameters; all mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FinialPart {
    /// A short cylinder.
    Fillet {
        /// Along the axis.
        length: f64,
        /// Of the cylinder.
        diameter: f64,
    },
    /// A hollow from the diameter before it to `to`.
    Cove {
        /// Along the axis.
        length: f64,
        /// Diameter at the outer end.
        to: f64,
    },
    /// A round ring.
    Bead {
        /// Along the axis.
        length: f64,
        /// At its widest.
        diameter: f64,
    },
    /// A double curve from the diameter before it to `to`.
    Ogee {
        /// Along the axis.
        length: f64,
        /// Diameter at the outer end.
        to: f64,
    },
    /// A straight cone from the diameter before it to `to`.
    Taper {
        /// Along the axis.
        length: f64,
        /// Diameter at the outer end.
        to: f64,
    },
    /// A ball.
    Ball {
        /// Of the ball.
        diameter: f64,
    },
}

impl FinialPart {
    /// Length along the axis, mm; of a ball, its diameter.
    pub fn length(&self) -> f64 {
        match *self {
            Self::Fillet { length, .. }
            | Self::Cove { length, .. }
            | Self::Bead { length, .. }
            | Self::Ogee { length, .. }
            | Self::Taper { length, .. } => length,
            Self::Ball { diameter } => diameter,
        }
    }
}

/// A hole for a hanger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hanger {
    /// Its diameter, mm.
    pub diameter: f64,
    /// Its depth from the tip, mm.
    pub depth: f64,
}

/// What a finial can measure, mm.
const LENGTHS: RangeInclusive<f64> = 0.2..=300.0;
const DIAMETERS: RangeInclusive<f64> = 0.5..=150.0;
/// A cove, ogee or taper may run out to a point.
const ENDS: RangeInclusive<f64> = 0.0..=150.0;

/// Slack over the diameter for a line of glue: 0.1 to 0.2 mm, from memory
/// (trade-facts 5.6).
const USUAL_GLUE_GAP: f64 = 0.15;

pub(super) fn read_finials(section: Section<'_>) -> Option<Finials> {
    let glue_gap = section.length("glue_gap", 0.0..=1.0).or(USUAL_GLUE_GAP);
    let moisture = section.percent("moisture", 0.0..=200.0).maybe();
    let read = |key| match section.section(key).maybe() {
        Some(finial) => read_finial(finial).map(Some),
        None => Some(None),
    };
    let (top, bottom) = (read("top"), read("bottom"));
    section.finish();
    Some(Finials {
        glue_gap: glue_gap?,
        moisture,
        top: top?,
        bottom: bottom?,
    })
}

fn read_finial(section: Section<'_>) -> Option<Finial> {
    let blank_across = section.length("blank_across", 5.0..=150.0).needed();
    let tenon_length = section.length("tenon_length", 2.0..=100.0).needed();
    let hanger = match section.section("hanger").maybe() {
        Some(hanger) => read_hanger(hanger).map(Some),
        None => Some(None),
    };
    let parts = section.parts("shape").needed();
    let count = parts.as_ref().map_or(0, Vec::len);
    let shape: Option<Vec<_>> = parts.map(|parts| {
        let place = |index| Place {
            first: index == 0,
            last: index + 1 == count,
            blank_across,
        };
        parts
            .into_iter()
            .enumerate()
            .map(|(index, part)| read_part(part, place(index)))
            .collect()
    });
    let shape: Option<Vec<_>> = shape.and_then(|parts| parts.into_iter().collect());
    if let (Some(Some(hanger)), Some(shape)) = (hanger, &shape) {
        let length: f64 = shape.iter().map(FinialPart::length).sum();
        if hanger.depth >= length {
            let reader = section.reader();
            reader.report(
                &section.dotted("hanger.depth"),
                reader.show(hanger.depth),
                format!("less than the finial's length of {}", reader.show(length)),
                Some("make the hole shallower".to_owned()),
            );
        }
    }
    section.finish();
    Some(Finial {
        blank_across: blank_across?,
        tenon_length: tenon_length?,
        shape: shape?,
        hanger: hanger?,
    })
}

fn read_hanger(section: Section<'_>) -> Option<Hanger> {
    let diameter = section.length("diameter", 0.3..=20.0).needed();
    let depth = section.length("depth", 0.5..=100.0).needed();
    section.finish();
    Some(Hanger {
        diameter: diameter?,
        depth: depth?,
    })
}

/// The shapes, each named by the key that gives its length.
const SHAPES: [&str; 6] = ["fillet", "cove", "bead", "ogee", "taper", "ball"];

/// Where a part stands in its finial.
struct Place {
    first: bool,
    last: bool,
    blank_across: Option<f64>,
}

fn read_part(section: Section<'_>, place: Place) -> Option<FinialPart> {
    section.allow(&SHAPES);
    let given: Vec<_> = SHAPES
        .into_iter()
        .filter(|shape| section.gives(shape))
        .collect();
    let part = match given[..] {
        [shape] => read_shape(&section, shape, &place),
        [] => {
            section.allow(&["diameter", "to"]);
            let path = section.path().to_owned();
            let reader = section.reader();
            // A misspelt shape is told of as such, and needs no second word.
            if section.finish() == 0 {
                reader.report(
                    &path,
                    "a part without a shape",
                    format!("one of {} with its length", either(&SHAPES)),
                    None,
                );
            }
            return None;
        }
        _ => {
            section.allow(&["diameter", "to"]);
            section.reader().report(
                section.path(),
                format!("{} in one part", given.join(" and ")),
                format!("one of {} in each part", either(&SHAPES)),
                Some("write each as a part { … } of its own".to_owned()),
            );
            None
        }
    };
    section.finish();
    part
}

fn read_shape(section: &Section<'_>, shape: &'static str, place: &Place) -> Option<FinialPart> {
    let reader = section.reader();
    if place.first && !matches!(shape, "fillet" | "bead") {
        reader.report(
            section.path(),
            format!("a {shape} at the shoulder"),
            "a fillet or a bead as the first part, which gives the shoulder its diameter",
            Some("begin with { fillet = …, diameter = … }".to_owned()),
        );
    }
    if shape == "ball" {
        let diameter = section.length("ball", DIAMETERS).needed();
        fits_blank(section, "ball", diameter, place);
        return Some(FinialPart::Ball {
            diameter: diameter?,
        });
    }
    let length = section.length(shape, LENGTHS).needed();
    if matches!(shape, "fillet" | "bead") {
        let diameter = section.length("diameter", DIAMETERS).needed();
        fits_blank(section, "diameter", diameter, place);
        let (length, diameter) = (length?, diameter?);
        return Some(if shape == "fillet" {
            FinialPart::Fillet { length, diameter }
        } else {
            FinialPart::Bead { length, diameter }
        });
    }
    let to = section.length("to", ENDS).needed();
    fits_blank(section, "to", to, place);
    if to == Some(0.0) && !place.last {
        reader.report(
            &section.dotted("to"),
            "a point before the tip",
            "zero only in the last part",
            Some("give the diameter that the next part begins with".to_owned()),
        );
    }
    let (length, to) = (length?, to?);
    Some(match shape {
        "cove" => FinialPart::Cove { length, to },
        "ogee" => FinialPart::Ogee { length, to },
        _ => FinialPart::Taper { length, to },
    })
}

fn fits_blank(section: &Section<'_>, key: &str, diameter: Option<f64>, place: &Place) {
    if let (Some(diameter), Some(across)) = (diameter, place.blank_across)
        && diameter > across
    {
        let reader = section.reader();
        reader.report(
            &section.dotted(key),
            reader.show(diameter),
            format!("up to {}, the blank's width", reader.show(across)),
            Some("use a larger blank, or turn it thinner".to_owned()),
        );
    }
}
