//! A plan from its file: types, ranges, and the names the rack knows.
//!
//! Usual values that the file may leave out stand here with their sources
//! (trade-facts by number).

use std::cell::RefCell;
use std::ops::RangeInclusive;

use super::air::read_air;
use super::finial::read_finials;
use super::fit::check_fit;
use super::{
    Ball, Blank, BlankShape, Bore, ChosenSpeeds, Cove, Finials, Form, GrainWay, Holding, LimitFrom,
    Limits, LimitsFrom, Markers, Pierce, Plan, PlanSource, Reverse, WoodChoice, read_loads,
};
use crate::rack::{
    CentreKind, Rack, RackLimits, SMALL_WORKSHOP, SMALL_WORKSHOP_INCHES, read_limits,
};
use crate::reader::{Problems, Reader, Section, either, nearest};
use crate::units::{FINEST_FRACTION, FRACTIONS, LengthStyle, LengthUnit};

/// Length of a spigot: 6 to 10 mm, common practice, no source (3.4).
const USUAL_SPIGOT_LENGTH: f64 = 8.0;
/// How much deeper a marker hole goes than the cove; common practice, no source.
const USUAL_MARGIN: f64 = 2.0;
/// Wood between two cuts: 2 to 3 mm, common practice, no source (7.5).
const USUAL_WEB: f64 = 2.5;
/// A neck carries more than a web; common practice, no source.
const USUAL_NECK: f64 = 3.0;
/// Sharpest edge that stands handling, degrees; common practice, no source.
const USUAL_EDGE_ANGLE: f64 = 30.0;
/// Neck of a finial: 2 to 3 mm in dense wood, common practice, no source (5.4).
const USUAL_FINIAL_NECK: f64 = 2.5;
/// Wood round a hanger's hole that a thin brass shank does not split, on the radius; common
/// practice, no source.
const USUAL_HANGER_WALL: f64 = 1.2;
/// How far a finial may give way under a light cut before it chatters; common practice, no source.
const USUAL_FINIAL_BEND: f64 = 0.3;

/// Anything a hand can hold, mm.
const SMALL: RangeInclusive<f64> = 0.5..=200.0;
/// Any speed a lathe is run at, revolutions a minute.
const SPEEDS: RangeInclusive<f64> = 10.0..=10_000.0;

const FORMS: &[(&str, Form)] = &[("coved ball", Form::CovedBall)];
const SHAPES: &[(&str, BlankShape)] =
    &[("square", BlankShape::Square), ("round", BlankShape::Round)];
/// Whether the pith is in the blank.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pith {
    Outside,
    Inside,
}
const PITHS: &[(&str, Pith)] = &[("outside", Pith::Outside), ("inside", Pith::Inside)];
const REVERSES: &[(&str, Reverse)] = &[("pin", Reverse::Pin)];

impl Plan {
    /// Reads a plan file (TOML).
    ///
    /// `file` is the name that problems give it. `load` gives the text of a rack
    /// file by the path written in the plan, or says in words why it cannot.
    ///
    /// # Errors
    /// Everything wrong with the file, and with the rack file it names, at once.
    pub fn read(
        text: &str,
        file: &str,
        load: &dyn Fn(&str) -> Result<String, String>,
    ) -> Result<Self, Problems> {
        let reader = Reader::new(file, text);
        let rack_text = RefCell::new(None);
        let plan = read_plan(&reader, &|path| {
            let loaded = load(path)?;
            *rack_text.borrow_mut() = Some(loaded.clone());
            Ok(loaded)
        });
        let places = reader.close()?;
        let source = PlanSource {
            file: file.to_owned(),
            text: text.to_owned(),
            rack_text: rack_text.into_inner(),
            places: places.given,
            keys: places.asked,
        };
        match plan {
            Some(plan) => Ok(Self { source, ..plan }),
            // With no problem reported every read has succeeded; should that
            // ever fail to hold, an error without a list is still an error.
            None => Err(Problems {
                file: source.file,
                source: source.text,
                list: Vec::new(),
                others: Vec::new(),
            }),
        }
    }
}

fn read_plan(reader: &Reader, load: &dyn Fn(&str) -> Result<String, String>) -> Option<Plan> {
    let top = reader.top();
    let unit = top.choice("units", &LengthUnit::WORDS).needed();
    reader.set_unit(unit.unwrap_or(LengthUnit::Millimetre));
    let title = top.text("title").needed();
    let form = top.choice("form", FORMS).needed();
    let fractions = top.one_of("fractions", &FRACTIONS).or(FINEST_FRACTION);
    let rack = top.text("rack").or(SMALL_WORKSHOP.to_owned());
    let rack = rack.and_then(|name| read_rack(reader, &name, load));
    let rack_limits = rack.as_ref().map(|rack| rack.limits);
    let wood = top.section("wood").needed().and_then(read_wood);
    let shop = read_air(top.section_or_empty("shop"));
    let home = read_air(top.section_or_empty("home"));
    let blank = top.section("blank").needed().and_then(read_blank);
    let ball = top.section("ball").needed().and_then(read_ball);
    let holding = read_holding(top.section_or_empty("holding"), rack.as_ref(), ball);
    let cove = top.section("cove").needed().and_then(read_cove);
    let bore = top.section("bore").needed().and_then(read_bore);
    let markers = top.section("markers").needed().and_then(read_markers);
    let pierce = match top.section("pierce").maybe() {
        Some(section) => read_pierce(section).map(Some),
        None => Some(None),
    };
    if let Some(ball) = ball {
        check_fit(reader, ball, cove, bore, markers, pierce.flatten());
    }
    let finials: Option<Finials> = read_finials(top.section_or_empty("finials"));
    let own_limits = read_limits(top.section_or_empty("limits"));
    let speeds = read_speeds(top.section_or_empty("speeds"));
    let loads = read_loads(top.section_or_empty("loads"));
    let trial = crate::trial::Accuracies::read(top.section_or_empty("trial"));
    top.finish();
    let unit = unit?;
    Some(Plan {
        title: title?,
        form: form?,
        unit,
        style: match unit {
            LengthUnit::Millimetre | LengthUnit::Centimetre => LengthStyle::Millimetres,
            LengthUnit::Inch => LengthStyle::Inches {
                denominator: fractions?,
            },
        },
        rack: rack?,
        wood: wood?,
        shop,
        home,
        blank: blank?,
        ball: ball?,
        holding: holding?,
        cove: cove?,
        bore: bore?,
        markers: markers?,
        pierce: pierce?,
        finials: finials?,
        limits: limits(own_limits, rack_limits?),
        speeds,
        loads,
        trial: trial?,
        source: PlanSource::default(),
    })
}

fn read_rack(
    reader: &Reader,
    name: &str,
    load: &dyn Fn(&str) -> Result<String, String>,
) -> Option<Rack> {
    const BUILT_IN: [&str; 2] = [SMALL_WORKSHOP, SMALL_WORKSHOP_INCHES];
    if let Some(rack) = Rack::built_in(name) {
        return Some(rack);
    }
    match load(name) {
        Ok(text) => match Rack::read(&text, name) {
            Ok(rack) => Some(rack),
            Err(problems) => {
                reader.report_other(problems);
                None
            }
        },
        Err(why) => {
            reader.report(
                "rack",
                format!("\"{name}\", which cannot be read ({why})"),
                format!(
                    "\"{}\", or the path of a rack file from where the plan stands",
                    BUILT_IN.join("\", \"")
                ),
                nearest(name, BUILT_IN).map(|meant| format!("did you mean \"{meant}\"?")),
            );
            None
        }
    }
}

fn read_wood(section: Section<'_>) -> Option<WoodChoice> {
    let species = section.text("species").needed();
    // A fresh log of a light wood holds up to twice its dry weight in water (6.9).
    let moisture = section.percent("moisture", 0.0..=200.0).needed();
    let grain = section
        .choice("grain", &GrainWay::WORDS)
        .or(GrainWay::Along);
    section.finish();
    Some(WoodChoice {
        species: species?,
        moisture: moisture?,
        grain: grain?,
    })
}

fn read_blank(section: Section<'_>) -> Option<Blank> {
    let shape = section.choice("shape", SHAPES).needed();
    let across = section.length("across", 5.0..=500.0).needed();
    let length = section.length("length", 5.0..=1000.0).needed();
    let pith = section.choice("pith", PITHS).or(Pith::Outside);
    let off = section.length("pith_off", 0.0..=250.0).or(0.0);
    let bark = section.length("bark", 0.0..=100.0).or(0.0);
    let from = section.length("from", 1.0..=10_000.0).maybe();
    section.finish();
    Some(Blank {
        pith: (pith? == Pith::Inside).then_some(off?),
        bark: bark?,
        from,
        shape: shape?,
        across: across?,
        length: length?,
    })
}

fn read_ball(section: Section<'_>) -> Option<Ball> {
    let diameter = section.length("diameter", 10.0..=300.0).needed();
    let marks = section.count("marks", 4..=48).needed();
    if let Some(marks) = marks
        && !marks.is_multiple_of(2)
    {
        section.reader().report(
            &section.dotted("marks"),
            format!("{marks}, an odd number"),
            "an even number from 4 to 48, since each mounting runs through two marks",
            Some(format!("write {} or {}", marks - 1, marks + 1)),
        );
    }
    let facets = section.one_of("facets", &[8, 16, 32]).or(32);
    section.finish();
    Some(Ball {
        diameter: diameter?,
        marks: marks?,
        facets: facets?,
    })
}

fn read_holding(section: Section<'_>, rack: Option<&Rack>, ball: Option<Ball>) -> Option<Holding> {
    let jaws = section.text("jaws").maybe();
    let spigot = section.length("spigot", SMALL).maybe();
    let spigot_length = section
        .length("spigot_length", 2.0..=50.0)
        .or(USUAL_SPIGOT_LENGTH);
    let neck = section.length("neck", SMALL).maybe();
    let drive = section.text("drive").maybe();
    let tail = section.text("tail").maybe();
    let reverse = section.choice("reverse", REVERSES).or(Reverse::Pin);
    let order = read_order(&section, ball);
    if let Some(rack) = rack {
        let jaw_names: Vec<_> = rack.jaws.iter().map(|jaws| jaws.name.as_str()).collect();
        in_rack(&section, "jaws", jaws.as_deref(), &jaw_names);
        for (key, name, kind) in [
            ("drive", &drive, CentreKind::Drive),
            ("tail", &tail, CentreKind::Tail),
        ] {
            let names: Vec<_> = rack
                .centres
                .iter()
                .filter(|centre| centre.kind == kind)
                .map(|centre| centre.name.as_str())
                .collect();
            in_rack(&section, key, name.as_deref(), &names);
        }
    }
    section.finish();
    Some(Holding {
        jaws,
        spigot,
        spigot_length: spigot_length?,
        neck,
        drive,
        tail,
        reverse: reverse?,
        order: order?,
    })
}

/// The order of the mountings, such as `1, 3, 2, 4`; the inner none where it is left out.
fn read_order(section: &Section<'_>, ball: Option<Ball>) -> Option<Option<Vec<u32>>> {
    let Some(written) = section.text("order").maybe() else {
        return Some(None);
    };
    // Without the marks nothing can be said of it, and they are told of already.
    let mountings = ball?.marks / 2;
    let numbers: Option<Vec<u32>> = written
        .split(|between: char| between == ',' || between.is_whitespace())
        .filter(|word| !word.is_empty())
        .map(|word| word.parse().ok())
        .collect();
    let whole: Vec<u32> = (1..=mountings).collect();
    let holds = numbers.as_ref().is_some_and(|numbers| {
        let mut sorted = numbers.clone();
        sorted.sort_unstable();
        sorted == whole
    });
    if holds {
        return Some(numbers);
    }
    section.reader().report(
        &section.dotted("order"),
        format!("\"{written}\""),
        format!("the mountings 1 to {mountings}, each once, in the order they are done"),
        Some(format!(
            "write order = \"{}\", changed about as you like, or delete the line",
            whole
                .iter()
                .map(u32::to_string)
                .collect::<Vec<_>>()
                .join(", ")
        )),
    );
    None
}

/// Reports a name that the rack does not have.
fn in_rack(section: &Section<'_>, key: &str, name: Option<&str>, names: &[&str]) {
    let Some(name) = name.filter(|name| !names.contains(name)) else {
        return;
    };
    let quoted: Vec<_> = names.iter().map(|name| format!("\"{name}\"")).collect();
    section.reader().report(
        &section.dotted(key),
        format!("\"{name}\", not in the rack"),
        either(&quoted),
        Some(match nearest(name, names.iter().copied()) {
            Some(meant) => format!("did you mean \"{meant}\"?"),
            None => format!("delete the line to let {key} be chosen"),
        }),
    );
}

fn read_cove(section: Section<'_>) -> Option<Cove> {
    let land = section.length("land", 0.0..=200.0).needed();
    let depth = section.length("depth", 0.1..=150.0).needed();
    section.finish();
    Some(Cove {
        land: land?,
        depth: depth?,
    })
}

fn read_bore(section: Section<'_>) -> Option<Bore> {
    let diameter = section.length("diameter", SMALL).needed();
    section.finish();
    Some(Bore {
        diameter: diameter?,
    })
}

fn read_markers(section: Section<'_>) -> Option<Markers> {
    let diameter = section.length("diameter", 0.5..=25.0).needed();
    let margin = section.length("margin", 0.2..=50.0).or(USUAL_MARGIN);
    section.finish();
    Some(Markers {
        diameter: diameter?,
        margin: margin?,
    })
}

fn read_pierce(section: Section<'_>) -> Option<Pierce> {
    let diameter = section.length("diameter", SMALL).needed();
    section.finish();
    Some(Pierce {
        diameter: diameter?,
    })
}

fn read_speeds(section: Section<'_>) -> ChosenSpeeds {
    let speeds = ChosenSpeeds {
        roughing: section.speed("roughing", SPEEDS).maybe(),
        turning: section.speed("turning", SPEEDS).maybe(),
        coving: section.speed("coving", SPEEDS).maybe(),
        drilling: section.speed("drilling", SPEEDS).maybe(),
    };
    section.finish();
    speeds
}

/// The plan's own limits, else the rack's, else the usual ones.
fn limits(own: RackLimits, rack: RackLimits) -> Limits {
    let choose = |own: Option<f64>, rack: Option<f64>, usual: f64| match (own, rack) {
        (Some(own), _) => (own, LimitFrom::Plan),
        (None, Some(rack)) => (rack, LimitFrom::Rack),
        (None, None) => (usual, LimitFrom::Usual),
    };
    let web = choose(own.web, rack.web, USUAL_WEB);
    let neck = choose(own.neck, rack.neck, USUAL_NECK);
    let edge_angle = choose(own.edge_angle, rack.edge_angle, USUAL_EDGE_ANGLE);
    let finial_neck = choose(own.finial_neck, rack.finial_neck, USUAL_FINIAL_NECK);
    let hanger_wall = choose(own.hanger_wall, rack.hanger_wall, USUAL_HANGER_WALL);
    let finial_bend = choose(own.finial_bend, rack.finial_bend, USUAL_FINIAL_BEND);
    Limits {
        web: web.0,
        neck: neck.0,
        edge_angle: edge_angle.0.to_radians(),
        finial_neck: finial_neck.0,
        hanger_wall: hanger_wall.0,
        finial_bend: finial_bend.0,
        from: LimitsFrom {
            web: web.1,
            neck: neck.1,
            edge_angle: edge_angle.1,
            finial_neck: finial_neck.1,
            hanger_wall: hanger_wall.1,
            finial_bend: finial_bend.1,
        },
    }
}
