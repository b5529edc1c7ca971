//! The rows of the list: every value a plan may give, in the order a turner decides them.
//!
//! Reaches of sliders follow from the other sizes (DESIGN section 4): a cove is
//! no deeper than half its width, holes no wider than the cove's bottom between
//! two neighbours, a bore no wider than two thirds of the ball.

use std::f64::consts::{PI, TAU};
use std::ops::RangeInclusive;

use super::list::{List, Row};
use super::{FieldKind, FieldRange, offers};
use crate::form::coved_ball::ball::BORE_KINDS;
use crate::form::coved_ball::finials::HANGER_KINDS;
use crate::form::coved_ball::mountings::MARKER_KINDS;
use crate::form::coved_ball::piercing::PIERCE_KINDS;
use crate::plan::{BlankShape, Finial, FinialPart, GrainWay, Loads, Plan, Reverse};
use crate::rack::CentreKind;
use crate::trial::{ACCURACIES, Hand};
use crate::units::{FRACTIONS, LengthStyle};

/// Reach of the ball's diameter, mm: pieces that are held in the hand.
const BALLS: RangeInclusive<f64> = 20.0..=130.0;
/// Reach of the blank beyond the ball, as shares of its diameter.
const ACROSS: [f64; 2] = [1.0, 1.6];
const LENGTH: [f64; 2] = [1.2, 3.0];
/// Reach of lengths along a finial, mm.
const ALONG: RangeInclusive<f64> = 0.5..=80.0;
/// Moisture from a heated room to a log just felled that is worth a slider, percent.
const MOISTURE: FieldRange = FieldRange {
    from: 4.0,
    to: 60.0,
    step: 0.5,
};

/// Reach of what a hand is off by, mm.
const OFF: RangeInclusive<f64> = 0.0..=4.0;
/// The same of an angle, degrees.
const OFF_ANGLE: FieldRange = FieldRange {
    from: 0.0,
    to: 10.0,
    step: 0.1,
};

const PERCENT: (FieldKind, &str) = (FieldKind::Percent, "%");
const DEGREES: (FieldKind, &str) = (FieldKind::Angle, "deg");
const TURNS: (FieldKind, &str) = (FieldKind::Speed, "rpm");

fn row<'r>(key: &'r str, label: &'r str, says: &'static str) -> Row<'r> {
    Row { key, label, says }
}

/// Every field of the plan.
pub(super) fn write(list: &mut List<'_>) {
    piece(list);
    wood(list);
    blank(list);
    ball(list);
    holes(list);
    finials(list);
    holding(list);
    limits(list);
    speeds(list);
    loads(list);
    trial(list);
}

fn piece(list: &mut List<'_>) {
    let plan = list.plan;
    list.section("The piece");
    list.text(
        &row("title", "Title", "What stands on every sheet."),
        &plan.title,
    );
    list.choice(
        &row(
            "units",
            "Units",
            "What a bare number in the plan means, and how lengths are shown.",
        ),
        Some(plan.unit.word()),
        offers::words(["mm", "cm", "in"]),
    );
    if let LengthStyle::Inches { denominator } = plan.style {
        let parts = FRACTIONS.map(|parts| parts.to_string());
        list.count(
            &row(
                "fractions",
                "Finest fraction of an inch",
                "The finest division on the rule.",
            ),
            denominator,
            offers::words(parts.iter().map(String::as_str)),
        );
    }
    list.choice(
        &row("rack", "Rack", "The tools and stock of the shop."),
        Some(&plan.rack.name),
        offers::racks(plan),
    );
}

fn wood(list: &mut List<'_>) {
    let plan = list.plan;
    list.section("Wood");
    list.choice(
        &row("wood.species", "Wood", "The wood of every piece."),
        Some(&plan.wood.species),
        offers::woods(),
    );
    list.number(
        &row(
            "wood.moisture",
            "Moisture when turned",
            "Water in the wood, in percent of its dry weight.",
        ),
        PERCENT,
        Some(plan.wood.moisture),
        Some(MOISTURE),
    );
    list.choice(
        &row(
            "wood.grain",
            "Grain",
            "Along the blank's length, or across it through mark 1. It decides where the wood splits.",
        ),
        Some(plan.wood.grain.word()),
        offers::words(GrainWay::WORDS.map(|(word, _)| word)),
    );
    for (place, heading, says, air) in [
        (
            "shop",
            "Air of the shop",
            "What the wood comes to where it is made.",
            plan.shop,
        ),
        (
            "home",
            "Air where it will live",
            "What the wood comes to in the end; sizes that fit are held against it.",
            plan.home,
        ),
    ] {
        list.section(heading);
        let climate = air.and_then(|air| air.climate);
        let key = |end: &str| format!("{place}.{end}");
        let (temperature, humidity, moisture) =
            (key("temperature"), key("humidity"), key("moisture"));
        list.open(
            &row(
                &temperature,
                "Temperature",
                "Such as 21 °C or 70 °F; left out, a room at 20 °C.",
            ),
            (FieldKind::Text, ""),
            climate.map(|(celsius, _)| celsius),
            |celsius| temperature_words(plan, celsius),
        );
        list.open(
            &row(
                &humidity,
                "Relative humidity",
                "Left out where a temperature is given, 50 %.",
            ),
            PERCENT,
            climate.map(|(_, humidity)| humidity),
            |humidity| format!("{} %", crate::bench::trimmed(humidity, 1)),
        );
        list.open(
            &row(&moisture, "Moisture of wood there", says),
            PERCENT,
            air.map(|air| air.moisture),
            |moisture| format!("{} %", crate::bench::trimmed(moisture, 1)),
        );
    }
}

fn temperature_words(plan: &Plan, celsius: f64) -> String {
    match plan.style {
        LengthStyle::Millimetres => format!("{} °C", crate::bench::trimmed(celsius, 0)),
        LengthStyle::Inches { .. } => {
            format!("{} °F", crate::bench::trimmed(1.8 * celsius + 32.0, 0))
        }
    }
}

fn blank(list: &mut List<'_>) {
    let plan = list.plan;
    let (diameter, none) = (plan.ball.diameter, Vec::new);
    let of = |shares: [f64; 2]| Some(shares[0] * diameter..=shares[1] * diameter);
    list.section("Blank");
    list.choice(
        &row("blank.shape", "Shape", "Sawn square, or round already."),
        Some(match plan.blank.shape {
            BlankShape::Square => "square",
            BlankShape::Round => "round",
        }),
        offers::words(["square", "round"]),
    );
    let across = row("blank.across", "Across", "Side of the square, or diameter.");
    list.length(&across, Some(plan.blank.across), of(ACROSS), none());
    let length = row(
        "blank.length",
        "Length",
        "Along the grain, spigot and waste included.",
    );
    list.length(&length, Some(plan.blank.length), of(LENGTH), none());
    list.choice(
        &row(
            "blank.pith",
            "Pith",
            "Whether the heart of the tree is in the blank.",
        ),
        Some(if plan.blank.pith.is_some() {
            "inside"
        } else {
            "outside"
        }),
        offers::words(["outside", "inside"]),
    );
    let off = row(
        "blank.pith_off",
        "Pith off the middle",
        "How far it lies from the blank's axis.",
    );
    list.length(
        &off,
        Some(plan.blank.pith.unwrap_or(0.0)),
        Some(0.0..=0.5 * diameter),
        none(),
    );
    let bark = row("blank.bark", "Bark", "Its thickness, on a round log.");
    list.length(&bark, Some(plan.blank.bark), Some(0.0..=15.0), none());
    let (unit, scale) = match plan.style {
        LengthStyle::Millimetres => ("mm", 1.0),
        LengthStyle::Inches { .. } => ("in", crate::units::MILLIMETRES_PER_INCH),
    };
    list.open(
        &row(
            "blank.from",
            "Branch or board",
            "Its length, to tell how many blanks it gives.",
        ),
        (FieldKind::Length, unit),
        plan.blank.from.map(|from| from / scale),
        |from| crate::bench::written(plan, from * scale),
    );
}

/// Half the width of a cove with this land, mm.
fn half_width(plan: &Plan, land: f64) -> f64 {
    let radius = 0.5 * plan.ball.diameter;
    radius
        * (PI / f64::from(plan.ball.marks) - 0.5 * land / radius)
            .max(0.0)
            .sin()
}

fn ball(list: &mut List<'_>) {
    let plan = list.plan;
    let radius = 0.5 * plan.ball.diameter;
    let share = TAU * radius / f64::from(plan.ball.marks);
    list.section("Ball");
    let diameter = row("ball.diameter", "Diameter", "The ball before it is coved.");
    list.length(&diameter, Some(plan.ball.diameter), Some(BALLS), Vec::new());
    list.count(
        &row(
            "ball.marks",
            "Marks round the middle",
            "An even number; half as many mountings and coves.",
        ),
        plan.ball.marks,
        offers::marks(plan),
    );
    list.count(
        &row(
            "ball.facets",
            "Facets before rounding",
            "Sides of the polygon the ball is turned to first.",
        ),
        plan.ball.facets,
        offers::words(["8", "16", "32"]),
    );
    list.section("Coves");
    let land = row(
        "cove.land",
        "Land between coves",
        "Ball surface left between neighbours; 0 where they touch.",
    );
    list.length(
        &land,
        Some(plan.cove.land),
        Some(0.0..=0.6 * share),
        Vec::new(),
    );
    let half = half_width(plan, plan.cove.land);
    let deepest = half.min((radius * radius - half * half).max(0.0).sqrt());
    let depth = row(
        "cove.depth",
        "Depth below the flat",
        "From the flat between the edge lines to the cove's bottom.",
    );
    list.length(
        &depth,
        Some(plan.cove.depth),
        Some(0.5..=deepest),
        Vec::new(),
    );
}

fn holes(list: &mut List<'_>) {
    let plan = list.plan;
    let radius = 0.5 * plan.ball.diameter;
    list.section("Holes");
    let bore = row(
        "bore.diameter",
        "Bore",
        "From pole to pole; the finials' tenons sit in it.",
    );
    list.length(
        &bore,
        Some(plan.bore.diameter),
        Some(4.0..=1.3 * radius),
        offers::bits(plan, &BORE_KINDS),
    );
    if let Some(pierce) = plan.pierce {
        let widest = 2.0 * half_width(plan, plan.cove.land);
        let hole = row(
            "pierce.diameter",
            "Pierced holes",
            "At the bottoms of the coves, into the bore.",
        );
        list.length(
            &hole,
            Some(pierce.diameter),
            Some(2.0..=widest),
            offers::bits(plan, &PIERCE_KINDS),
        );
    }
    let marker = row(
        "markers.diameter",
        "Marker holes",
        "They keep a mark through the cut that would take it.",
    );
    list.length(
        &marker,
        Some(plan.markers.diameter),
        Some(1.0..=6.0),
        offers::bits(plan, &MARKER_KINDS),
    );
    let margin = row(
        "markers.margin",
        "Marker holes deeper by",
        "How far they go below the cove's bottom.",
    );
    list.length(
        &margin,
        Some(plan.markers.margin),
        Some(0.5..=8.0),
        Vec::new(),
    );
}

fn finials(list: &mut List<'_>) {
    let plan = list.plan;
    if plan.finials.top.is_none() && plan.finials.bottom.is_none() {
        return;
    }
    list.section("Finials");
    let gap = row(
        "finials.glue_gap",
        "Room for glue",
        "Slack of the tenon in the bore, over the diameter.",
    );
    list.length(
        &gap,
        Some(plan.finials.glue_gap),
        Some(0.0..=0.6),
        Vec::new(),
    );
    list.open(
        &row(
            "finials.moisture",
            "Moisture of the finials' wood",
            "When they are turned; left out, that of the ball's wood.",
        ),
        PERCENT,
        plan.finials.moisture.or(Some(plan.wood.moisture)),
        |moisture| format!("{} %", crate::bench::trimmed(moisture, 1)),
    );
    if let Some(top) = &plan.finials.top {
        list.section("Top finial");
        finial(list, "finials.top", top);
    }
    if let Some(bottom) = &plan.finials.bottom {
        list.section("Bottom finial");
        finial(list, "finials.bottom", bottom);
    }
}

fn finial(list: &mut List<'_>, at: &str, finial: &Finial) {
    let plan = list.plan;
    let wide = || Some(1.0..=finial.blank_across);
    let key = |end: &str| format!("{at}.{end}");
    let across = key("blank_across");
    let across = row(&across, "Blank across", "Side of its square blank.");
    list.length(
        &across,
        Some(finial.blank_across),
        Some(8.0..=60.0),
        Vec::new(),
    );
    let tenon = key("tenon_length");
    let tenon = row(&tenon, "Tenon", "Length that goes into the bore.");
    list.length(
        &tenon,
        Some(finial.tenon_length),
        Some(3.0..=30.0),
        Vec::new(),
    );
    for (index, part) in finial.shape.iter().enumerate() {
        let at = key(&format!("shape.{}", index + 1));
        let (shape, length, end) = match *part {
            FinialPart::Fillet { length, diameter } => {
                ("fillet", length, Some(("diameter", diameter)))
            }
            FinialPart::Bead { length, diameter } => ("bead", length, Some(("diameter", diameter))),
            FinialPart::Cove { length, to } => ("cove", length, Some(("to", to))),
            FinialPart::Ogee { length, to } => ("ogee", length, Some(("to", to))),
            FinialPart::Taper { length, to } => ("taper", length, Some(("to", to))),
            FinialPart::Ball { diameter } => ("ball", diameter, None),
        };
        let number = index + 1;
        let name = format!(
            "{number}: {shape}, {}",
            if end.is_none() { "diameter" } else { "length" }
        );
        let long = format!("{at}.{shape}");
        let long = row(&long, &name, "Counted from the shoulder outwards.");
        list.length(
            &long,
            Some(length),
            if end.is_none() { wide() } else { Some(ALONG) },
            Vec::new(),
        );
        if let Some((word, size)) = end {
            let name = match word {
                "to" => format!("{number}: {shape}, diameter where it ends"),
                _ => format!("{number}: {shape}, diameter"),
            };
            let across = format!("{at}.{word}");
            list.length(
                &row(&across, &name, "Turned diameter."),
                Some(size),
                wide(),
                Vec::new(),
            );
        }
    }
    if let Some(hanger) = finial.hanger {
        let (hole, depth) = (key("hanger.diameter"), key("hanger.depth"));
        let hole = row(
            &hole,
            "Hanger's hole",
            "Pilot hole for the hanger, in the tip.",
        );
        list.length(
            &hole,
            Some(hanger.diameter),
            Some(0.5..=6.0),
            offers::bits(plan, &HANGER_KINDS),
        );
        let depth = row(&depth, "Hanger's hole, depth", "From the tip.");
        list.length(
            &depth,
            Some(hanger.depth),
            Some(1.0..=finial.length().min(30.0)),
            Vec::new(),
        );
    }
}

fn holding(list: &mut List<'_>) {
    let plan = list.plan;
    let holding = &plan.holding;
    let widest = plan.ball.diameter;
    list.section("Holding");
    list.choice(
        &row("holding.jaws", "Jaws", "The jaws that grip the spigot."),
        holding.jaws.as_deref(),
        offers::jaws(plan),
    );
    let spigot = row(
        "holding.spigot",
        "Spigot",
        "Its diameter; best near the jaws' full circle.",
    );
    list.length(&spigot, holding.spigot, Some(10.0..=widest), Vec::new());
    let length = row(
        "holding.spigot_length",
        "Spigot's length",
        "It must not reach the bottom of the jaws.",
    );
    list.length(
        &length,
        Some(holding.spigot_length),
        Some(4.0..=25.0),
        Vec::new(),
    );
    let neck = row(
        "holding.neck",
        "Neck",
        "Wood left between the ball and the headstock; the bore takes it out.",
    );
    list.length(&neck, holding.neck, Some(4.0..=0.6 * widest), Vec::new());
    for (key, label, chosen, kind) in [
        (
            "holding.drive",
            "Drive centre",
            &holding.drive,
            CentreKind::Drive,
        ),
        (
            "holding.tail",
            "Tail centre",
            &holding.tail,
            CentreKind::Tail,
        ),
    ] {
        list.choice(
            &row(key, label, "For the mountings across the ball."),
            chosen.as_deref(),
            offers::centres(plan, kind),
        );
    }
    list.choice(
        &row(
            "holding.reverse",
            "Turned end for end",
            "How the ball is held for its second end.",
        ),
        Some(match holding.reverse {
            Reverse::Pin => "pin",
        }),
        offers::words(["pin"]),
    );
    let order = crate::order::written(&crate::order::planned(plan));
    list.text(
        &row(
            "holding.order",
            "Order of the mountings",
            "Each by the lower of its two marks; `rondure order` compares them.",
        ),
        &order,
    );
}

fn limits(list: &mut List<'_>) {
    let limits = list.plan.limits;
    list.section("Least wood");
    for (key, label, says, value) in [
        (
            "limits.web",
            "Wall",
            "The thinnest wall between two cuts that you accept.",
            limits.web,
        ),
        (
            "limits.neck",
            "Neck",
            "The narrowest place the wood may hang together by.",
            limits.neck,
        ),
        (
            "limits.finial_neck",
            "Neck of a finial",
            "Its thinnest place.",
            limits.finial_neck,
        ),
        (
            "limits.hanger_wall",
            "Wall round a hanger",
            "The thinnest wood round the hanger's hole.",
            limits.hanger_wall,
        ),
        (
            "limits.finial_bend",
            "Bend of a finial",
            "How far its tip may give way under a light cut.",
            limits.finial_bend,
        ),
    ] {
        list.length(
            &row(key, label, says),
            Some(value),
            Some(if key == "limits.finial_bend" {
                0.05..=2.0
            } else {
                0.5..=10.0
            }),
            Vec::new(),
        );
    }
    list.number(
        &row(
            "limits.edge_angle",
            "Edge",
            "The sharpest edge of wood that you accept.",
        ),
        DEGREES,
        Some(limits.edge_angle.to_degrees()),
        Some(FieldRange {
            from: 10.0,
            to: 90.0,
            step: 1.0,
        }),
    );
}

fn speeds(list: &mut List<'_>) {
    let speeds = list.plan.speeds;
    list.section("Speeds you choose");
    for (key, label, says, value) in [
        (
            "speeds.roughing",
            "Roughing",
            "A blank that is not round yet.",
            speeds.roughing,
        ),
        ("speeds.turning", "Turning", "Round work.", speeds.turning),
        (
            "speeds.coving",
            "Coving",
            "Flats and coves, where the cut is broken.",
            speeds.coving,
        ),
        (
            "speeds.drilling",
            "Drilling",
            "Bits in the tailstock.",
            speeds.drilling,
        ),
    ] {
        list.number(&row(key, label, says), TURNS, value, None);
    }
}

fn loads(list: &mut List<'_>) {
    let loads = Loads::of(&list.plan.loads, &list.plan.rack.loads);
    list.section("Forces you know");
    for (key, label, says, load, most) in [
        (
            "loads.tail",
            "Tail centre",
            "How hard the tail centre pushes; snug is enough.",
            loads.tail,
            1000.0,
        ),
        (
            "loads.grip",
            "Grip of the jaws",
            "All jaws together, drawn up by the key.",
            loads.grip,
            4000.0,
        ),
        (
            "loads.cut",
            "Cut",
            "How hard the tool pushes, sideways and round.",
            loads.cut,
            200.0,
        ),
        (
            "loads.drill",
            "Drill",
            "How hard a bit of 10 mm is fed; others by their diameter.",
            loads.drill,
            400.0,
        ),
        (
            "loads.finial",
            "On a finial",
            "Sanding and fine cuts on slender work.",
            loads.finial,
            50.0,
        ),
        (
            "loads.hand",
            "Hand",
            "How hard a hand may squeeze the finished piece.",
            loads.hand,
            400.0,
        ),
    ] {
        list.number(
            &row(key, label, says),
            (FieldKind::Force, "N"),
            Some(load.value),
            Some(FieldRange {
                from: 0.0,
                to: most,
                step: most / 200.0,
            }),
        );
    }
    list.length(
        &row(
            "loads.drop",
            "Drop",
            "How far the finished piece may fall on to a hard floor.",
        ),
        Some(loads.drop.value),
        Some(100.0..=2000.0),
        Vec::new(),
    );
}

fn trial(list: &mut List<'_>) {
    let own = list.plan.trial;
    list.section("Your hand");
    list.choice(
        &row(
            "trial.hand",
            "Hand",
            "How used you are to the job; what its figures below stand for where you give none.",
        ),
        Some(own.hand.word()),
        offers::words(Hand::WORDS.map(|(word, _)| word)),
    );
    for (accuracy, figure) in ACCURACIES.iter().zip(own.within()) {
        let key = format!("trial.{}", accuracy.key);
        let label = format!("± {}", accuracy.label);
        let row = row(&key, &label, accuracy.says);
        if accuracy.angle {
            list.number(&row, DEGREES, Some(figure), Some(OFF_ANGLE));
        } else {
            list.length(&row, Some(figure), Some(OFF), Vec::new());
        }
    }
}
