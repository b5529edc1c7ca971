//! A rack from its file, and the racks that are built in.

use std::collections::BTreeSet;

use super::{
    Bit, BitKind, Centre, CentreKind, Gouge, Jaws, Lathe, Rack, RackLimits, SMALL_WORKSHOP,
    SMALL_WORKSHOP_INCHES, Span, Speeds,
};
use crate::plan::read_loads;
use crate::reader::{Problems, Reader, Section};
use crate::units::LengthUnit;

const CENTRE_KINDS: &[(&str, CentreKind)] =
    &[("drive", CentreKind::Drive), ("tail", CentreKind::Tail)];

const BIT_KINDS: &[(&str, BitKind)] = &[
    ("twist", BitKind::Twist),
    ("brad-point", BitKind::BradPoint),
    ("forstner", BitKind::Forstner),
];

impl Rack {
    /// The file of the built-in [`SMALL_WORKSHOP`], a starting point for one's own.
    pub const SMALL_WORKSHOP_FILE: &str = include_str!("small_workshop.toml");

    /// The file of the built-in [`SMALL_WORKSHOP_INCHES`].
    pub const SMALL_WORKSHOP_INCHES_FILE: &str = include_str!("small_workshop_inches.toml");

    /// The built-in rack in metric sizes.
    ///
    /// # Panics
    /// Never in a build whose tests have passed: the file is part of the program.
    pub fn small_workshop() -> Self {
        Self::read(Self::SMALL_WORKSHOP_FILE, SMALL_WORKSHOP).expect("the built-in rack is valid")
    }

    /// The built-in rack in inch sizes.
    ///
    /// # Panics
    /// Never in a build whose tests have passed: the file is part of the program.
    pub fn small_workshop_inches() -> Self {
        Self::read(Self::SMALL_WORKSHOP_INCHES_FILE, SMALL_WORKSHOP_INCHES)
            .expect("the built-in rack is valid")
    }

    /// The built-in rack of that name.
    pub fn built_in(name: &str) -> Option<Self> {
        match name {
            SMALL_WORKSHOP => Some(Self::small_workshop()),
            SMALL_WORKSHOP_INCHES => Some(Self::small_workshop_inches()),
            _ => None,
        }
    }

    /// Reads a rack file (TOML); `file` is the name that problems give it.
    ///
    /// # Errors
    /// Everything wrong with the file, at once.
    pub fn read(text: &str, file: &str) -> Result<Self, Problems> {
        let reader = Reader::new(file, text);
        let rack = read_rack(&reader);
        let source = text.to_owned();
        reader.close()?;
        // With no problem reported every read has succeeded; should that ever
        // fail to hold, an error without a list is still an error.
        rack.ok_or(Problems {
            file: file.to_owned(),
            source,
            list: Vec::new(),
            others: Vec::new(),
        })
    }
}

fn read_rack(reader: &Reader) -> Option<Rack> {
    let top = reader.top();
    let unit = top.choice("units", &LengthUnit::WORDS).needed();
    reader.set_unit(unit.unwrap_or(LengthUnit::Millimetre));
    let name = top.text("name").needed();
    let lathe = top.section("lathe").needed().and_then(read_lathe);
    let jaws = each(&top, "jaws", read_jaws);
    let centres = each(&top, "centres", read_centre);
    if let (Some(jaws), Some(centres)) = (&jaws, &centres) {
        names_once(reader, "jaws", jaws.iter().map(|jaws| &jaws.name));
        names_once(reader, "centres", centres.iter().map(|centre| &centre.name));
    }
    let bits = each(&top, "bits", read_bits);
    let gouges = each(&top, "gouges", read_gouge);
    let bench = top.section("bench").needed().and_then(read_bench);
    let limits = read_limits(top.section_or_empty("limits"));
    let loads = read_loads(top.section_or_empty("loads"));
    top.finish();
    let mut bits: Vec<Bit> = bits?.into_iter().flatten().collect();
    bits.sort_by(|a, b| {
        a.diameter
            .total_cmp(&b.diameter)
            .then(a.kind.cmp(&b.kind))
            .then(a.reach.total_cmp(&b.reach))
    });
    let bench = bench?;
    Some(Rack {
        name: name?,
        lathe: lathe?,
        jaws: jaws?,
        centres: centres?,
        bits,
        gouges: gouges?,
        calliper_step: bench.calliper_step,
        rule_step: bench.rule_step,
        dividers_reach: bench.dividers_reach,
        drill_chuck: bench.drill_chuck,
        saw_kerf: bench.saw_kerf,
        parting_width: bench.parting_width,
        limits,
        loads,
    })
}

/// Walls and necks that a shop may ask for, mm.
pub(crate) const WALLS: std::ops::RangeInclusive<f64> = 0.2..=50.0;
/// Angles of an edge that a shop may ask for, degrees.
pub(crate) const EDGES: std::ops::RangeInclusive<f64> = 1.0..=170.0;
/// How far a finial may be let bend, mm.
pub(crate) const BENDS: std::ops::RangeInclusive<f64> = 0.01..=10.0;

/// The limits a rack or a plan gives; none where it leaves one out.
pub(crate) fn read_limits(section: Section<'_>) -> RackLimits {
    let limits = RackLimits {
        web: section.length("web", WALLS).maybe(),
        neck: section.length("neck", WALLS).maybe(),
        edge_angle: section.degrees("edge_angle", EDGES).maybe(),
        finial_neck: section.length("finial_neck", WALLS).maybe(),
        hanger_wall: section.length("hanger_wall", WALLS).maybe(),
        finial_bend: section.length("finial_bend", BENDS).maybe(),
    };
    section.finish();
    limits
}

/// Reports names that stand twice, since a plan chooses by name.
fn names_once<'n>(reader: &Reader, list: &str, names: impl Iterator<Item = &'n String>) {
    let mut seen = BTreeSet::new();
    for (index, name) in names.enumerate() {
        if !seen.insert(name) {
            reader.report(
                &format!("{list}.{}.name", index + 1),
                format!("\"{name}\" a second time"),
                "a name of its own for each",
                Some("give one of them another name".to_owned()),
            );
        }
    }
}

/// Reads every part of a list, which may be left out; none where one is bad.
fn each<T>(
    top: &Section<'_>,
    key: &'static str,
    read: impl Fn(Section<'_>) -> Option<T>,
) -> Option<Vec<T>> {
    let parts: Vec<_> = top
        .parts(key)
        .or(Vec::new())?
        .into_iter()
        .map(read)
        .collect();
    parts.into_iter().collect()
}

fn read_lathe(section: Section<'_>) -> Option<Lathe> {
    const SPEEDS: std::ops::RangeInclusive<f64> = 1.0..=20_000.0;
    let swing_over_bed = section.length("swing_over_bed", 20.0..=3000.0).needed();
    let between_centres = section.length("between_centres", 20.0..=10_000.0).needed();
    let index = section.counts("index", 2..=720).or(Vec::new());
    let speeds = if section.gives("speeds") {
        let steps = section.speeds("speeds", SPEEDS).needed();
        for key in ["lowest_speed", "highest_speed"] {
            if section.gives(key) {
                section.reader().report(
                    &section.dotted("speeds"),
                    format!("both speeds and {key}"),
                    "either speeds, or lowest_speed with highest_speed",
                    Some(format!("delete {key}")),
                );
            }
        }
        section.allow(&["lowest_speed", "highest_speed"]);
        steps.map(|mut steps| {
            steps.sort_by(f64::total_cmp);
            Speeds::Steps(steps)
        })
    } else {
        let lowest = section.speed("lowest_speed", SPEEDS).needed();
        let highest = section.speed("highest_speed", SPEEDS).needed();
        section.allow(&["speeds"]);
        if let (Some(lowest), Some(highest)) = (lowest, highest)
            && lowest > highest
        {
            section.reader().report(
                &section.dotted("lowest_speed"),
                format!("{lowest}, above the highest speed of {highest}"),
                "a lowest speed up to the highest",
                Some("exchange the two".to_owned()),
            );
        }
        lowest
            .zip(highest)
            .map(|(lowest, highest)| Speeds::Range { lowest, highest })
    };
    section.finish();
    let mut index = index?;
    index.sort_unstable();
    index.dedup();
    Some(Lathe {
        swing_over_bed: swing_over_bed?,
        between_centres: between_centres?,
        speeds: speeds?,
        index,
    })
}

fn read_jaws(section: Section<'_>) -> Option<Jaws> {
    let name = section.text("name").needed();
    let spigot = section.section("spigot").maybe().map(read_span);
    let recess = section.section("recess").maybe().map(read_span);
    let depth = section.length("depth", 1.0..=200.0).needed();
    let full_circle = section.length("full_circle", 1.0..=1000.0).needed();
    if !section.gives("spigot") && !section.gives("recess") {
        section.reader().report(
            &section.dotted("spigot"),
            "jaws with neither spigot nor recess",
            "spigot = { smallest = …, largest = … }, or recess, or both",
            None,
        );
    }
    section.finish();
    Some(Jaws {
        name: name?,
        spigot: flip(spigot)?,
        recess: flip(recess)?,
        depth: depth?,
        full_circle: full_circle?,
    })
}

/// Nothing given is well; something bad given is not.
#[expect(
    clippy::option_option,
    reason = "left out, bad and good are three cases"
)]
fn flip<T>(read: Option<Option<T>>) -> Option<Option<T>> {
    match read {
        None => Some(None),
        Some(None) => None,
        Some(good) => Some(good),
    }
}

fn read_span(section: Section<'_>) -> Option<Span> {
    let smallest = section.length("smallest", 1.0..=1000.0).needed();
    let largest = section.length("largest", 1.0..=1000.0).needed();
    if let (Some(smallest), Some(largest)) = (smallest, largest)
        && smallest > largest
    {
        let reader = section.reader();
        reader.report(
            &section.dotted("smallest"),
            format!(
                "{}, above the largest of {}",
                reader.show(smallest),
                reader.show(largest)
            ),
            "a smallest up to the largest",
            Some("exchange the two".to_owned()),
        );
    }
    section.finish();
    Some(Span {
        smallest: smallest?,
        largest: largest?,
    })
}

fn read_centre(section: Section<'_>) -> Option<Centre> {
    let name = section.text("name").needed();
    let kind = section.choice("kind", CENTRE_KINDS).needed();
    let diameter = section.length("diameter", 1.0..=200.0).needed();
    let point_diameter = section.length("point_diameter", 0.0..=50.0).needed();
    section.finish();
    Some(Centre {
        name: name?,
        kind: kind?,
        diameter: diameter?,
        point_diameter: point_diameter?,
    })
}

fn read_bits(section: Section<'_>) -> Option<Vec<Bit>> {
    let kind = section.choice("kind", BIT_KINDS).needed();
    let reach = section.length("reach", 1.0..=1000.0).needed();
    let diameters = section.lengths("diameters", 0.3..=200.0).needed();
    section.finish();
    let (kind, reach) = (kind?, reach?);
    Some(
        diameters?
            .into_iter()
            .map(|diameter| Bit {
                kind,
                diameter,
                reach,
            })
            .collect(),
    )
}

fn read_gouge(section: Section<'_>) -> Option<Gouge> {
    let name = section.text("name").needed();
    let smallest_cove = section.length("smallest_cove", 0.1..=500.0).needed();
    section.finish();
    Some(Gouge {
        name: name?,
        smallest_cove: smallest_cove?,
    })
}

struct Bench {
    calliper_step: f64,
    rule_step: f64,
    dividers_reach: Option<f64>,
    drill_chuck: f64,
    saw_kerf: f64,
    parting_width: f64,
}

/// Width of a drill chuck for bits up to 13 mm. Common practice, no source.
const USUAL_DRILL_CHUCK: f64 = 40.0;

fn read_bench(section: Section<'_>) -> Option<Bench> {
    let calliper_step = section.length("calliper_step", 0.001..=10.0).needed();
    let rule_step = section.length("rule_step", 0.01..=25.4).needed();
    let dividers_reach = section.length("dividers_reach", 10.0..=2000.0).maybe();
    let drill_chuck = section
        .length("drill_chuck", 5.0..=100.0)
        .or(USUAL_DRILL_CHUCK);
    let saw_kerf = section.length("saw_kerf", 0.1..=10.0).needed();
    let parting_width = section.length("parting_width", 0.5..=20.0).needed();
    section.finish();
    Some(Bench {
        calliper_step: calliper_step?,
        rule_step: rule_step?,
        dividers_reach,
        drill_chuck: drill_chuck?,
        saw_kerf: saw_kerf?,
        parting_width: parting_width?,
    })
}
