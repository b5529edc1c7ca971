//! A sample report, written by hand: a pierced ball for dried lavender, as a
//! small museum shop orders it. 60 mm, field maple, eight marks. It stands in for
//! the plan so that the sheets can be tested on their own; the numbers follow
//! the closed forms of the coved ball but are not checked here.

use rondure_plan::figure::{Dimension, Figure, Figures, Line, LineKind, Strip, StripMark};
use rondure_plan::report::{
    AfterSetup, Finding, Measure, Mend, Need, PieceReport, Report, SetupReport, SolidReport, Speed,
    StepReport, Weight,
};
use std::f64::consts::{PI, TAU};

const RADIUS: f64 = 30.0;
const MARKS: usize = 8;
const EDGE: f64 = 20.0 * PI / 180.0;
const DEPTH: f64 = 6.0;
const BORE: f64 = 5.0;

/// Bottom of a cove, its arc's radius and the arc's centre, mm.
fn cove() -> (f64, f64, f64) {
    let half = RADIUS * EDGE.sin();
    let arc = (half * half + DEPTH * DEPTH) / (2.0 * DEPTH);
    let bottom = RADIUS * EDGE.cos() - DEPTH;
    (bottom, arc, bottom + arc)
}

pub fn report() -> Report {
    let mut setups = vec![
        setup(
            "round",
            "ball",
            "Round the ball",
            "Between centres, grain along the lathe. Both ends are marked at their middle; the drive centre bites at least 3 mm deep.",
            vec![
                step(
                    "round.cylinder",
                    "Turn the blank to a cylinder, as long as it is thick, with both end faces square.",
                    Some("spindle roughing gouge"),
                    Some((1800.0, 2600.0)),
                    &[
                        "Stand out of the line of the blank when the lathe starts, and keep the rest within 3 mm of the work.",
                    ],
                ),
                step(
                    "round.octagon",
                    "Mark the octagon from both ends along the cylinder and in from the edge on the end faces, then cut straight from mark to mark.",
                    Some("spindle gouge 10 mm"),
                    Some((2000.0, 3000.0)),
                    &[],
                ),
                step(
                    "round.sixteen",
                    "Mark each side of every corner, measured along the facet, and cut the sixteen facets.",
                    Some("spindle gouge 10 mm"),
                    Some((2000.0, 3000.0)),
                    &[],
                ),
                step(
                    "round.ball",
                    "Round the ball by taking off the corners a little at a time. Try a ring gauge on it from every side: it must touch all round without rocking.",
                    Some("skew chisel 19 mm"),
                    Some((2000.0, 3000.0)),
                    &[],
                ),
            ],
        ),
        setup(
            "bore",
            "ball",
            "Bore from both poles",
            "In a cup chuck of the same wood, one pole out, a soft pad behind. Bore half the depth, turn the ball round, and bore to meet.",
            vec![
                step(
                    "bore.first",
                    "Bore from the first pole, a little past the middle.",
                    Some("brad-point bit 10 mm"),
                    Some((500.0, 800.0)),
                    &[
                        "Clear the chips often; a packed bit seizes and can tear the ball from the chuck.",
                    ],
                ),
                step(
                    "bore.second",
                    "Turn the ball round, bring the second pole true, and bore until the holes meet.",
                    Some("brad-point bit 10 mm"),
                    Some((500.0, 800.0)),
                    &[],
                ),
            ],
        ),
        setup(
            "marks",
            "ball",
            "Eight marks round the equator",
            "On a pin chuck in the bore, the index head locked, the lathe unplugged.",
            vec![
                step(
                    "marks.equator",
                    "Draw the equator with a pencil held to the rest at centre height.",
                    Some("pencil"),
                    None,
                    &[],
                ),
                step(
                    "marks.index",
                    "Mark every third hole of the 24-hole index head, or wrap the strip round the equator and prick its long marks.",
                    Some("index head 24"),
                    None,
                    &[
                        "The lathe stands still for this. Take the lock out of the index head before it runs again.",
                    ],
                ),
            ],
        ),
    ];
    for mounting in 1..=MARKS / 2 {
        let id = format!("mounting.{mounting}");
        let title = format!(
            "Mounting {mounting}: between marks {mounting} and {}",
            mounting + MARKS / 2
        );
        let holding = if mounting <= 2 {
            "Between centres through the two marks, a cup drive of 12 mm and a ring tail centre of 10 mm, with thin leather discs. Only enough squeeze to drive."
        } else {
            "Between centres through the two marks. The centres now bear on the bottoms of earlier coves: use the 10 mm cup drive and the 10 mm ring, with leather, and a light squeeze."
        };
        setups.push(setup(&id, "ball", &title, holding, vec![
            step(&format!("{id}.marker"), "Drill the two marker holes at a quarter turn either side, before anything is cut here: they keep the marks of a later mounting.", Some("twist bit 2 mm"), None, &["The lathe stands still, locked, for drilling by hand."]),
            step(&format!("{id}.edges"), "Draw both edge lines with the lathe running slowly.", Some("pencil"), Some((400.0, 600.0)), &[]),
            step(&format!("{id}.flat"), "Cut the flat between the edge lines down to the calliper.", Some("parting tool 3 mm"), Some((1500.0, 2200.0)), &["The cut is broken: the tool meets wood and air in every turn. Keep the rest close, the tool sharp and your fingers behind the rest."]),
            step(&format!("{id}.cove"), "Cut the cove from both edges towards the middle, down to the calliper; try the cove template.", Some("spindle gouge 6 mm"), Some((1500.0, 2200.0)), &[]),
        ]));
    }
    setups.push(setup("holes", "ball", "Pierce the eight holes", "In a padded vee block on the drill press, each marker hole upwards in turn.", vec![
        step("holes.pierce", "Drill each hole at the bottom of its cove into the hollow, with a backing plug of scrap wood in the bore.", Some("Forstner bit 8 mm"), Some((1200.0, 1800.0)), &["Hold the block, never the ball, by hand."]),
    ]));
    setups.push(setup("finial.top", "finial.top", "Top finial with its hanger", "In small jaws on a tenon, the tail centre up while roughing.", vec![
        step("finial.top.tenon", "Cut the tenon to the bore, a sliding fit.", Some("parting tool 3 mm"), Some((2200.0, 3000.0)), &[]),
        step("finial.top.shape", "Turn the finial from the tip towards the jaws, finishing each part before the next.", Some("spindle gouge 6 mm"), Some((2500.0, 3200.0)), &[]),
        step("finial.top.hanger", "Drill the hanger hole in the tip.", Some("twist bit 1.5 mm"), None, &[]),
    ]));
    for (index, setup) in setups.iter_mut().enumerate() {
        setup.number = index + 1;
        let volume = 113_000.0 - 5_500.0 * index as f64;
        setup.after = AfterSetup {
            volume_mm3: volume,
            volume_error_mm3: 40.0,
            mass_g: Some(volume * 0.69e-3),
        };
    }
    Report {
        title: "Lavender ball, 60 mm".to_owned(),
        form: "coved ball".to_owned(),
        units: "mm".to_owned(),
        pieces: vec![
            piece("ball", "Ball", "blank 64 mm square, 90 mm long, planed true", 48.2, Some(3.1), Some(7.4)),
            piece("finial.top", "Top finial", "blank 20 mm square, 70 mm long", 3.4, None, None),
        ],
        measures: all_measures(),
        findings: findings(),
        needs: needs(),
        cautions: vec!["Maple dust irritates skin and lungs: wear a mask that fits, and collect dust at the tool.".to_owned()],
        setups,
    }
}

/// The same job with some measures written in inch fractions, and long words.
pub fn inches() -> Report {
    let mut report = report();
    report.units = "in".to_owned();
    report.title = "Lavender ball, 2 3/8 in, for the museum shop's midsummer order of forty pieces in three sizes".to_owned();
    let shown = [
        "2 7/16 in",
        "23/32 in",
        "17/64 in",
        "2 3/8 in",
        "1 1/4 in",
        "3",
        "3/8 in",
        "13/32 in",
        "2 7/32 in",
        "1 3/4 in (44.4 mm)",
        "29/64 in",
    ];
    for (measure, shown) in report.measures.iter_mut().zip(shown.iter().cycle()) {
        measure.shown = (*shown).to_owned();
    }
    report.setups[0].steps[0].says =
        "Turn the blank to a cylinder 2 7/16 in thick and square both end faces. ".repeat(9);
    report.setups[1].steps[0].cautions = vec![
        "Clear the chips often; a packed bit seizes and can tear the ball from the chuck. "
            .repeat(60),
    ];
    report
}

fn setup(id: &str, piece: &str, title: &str, holding: &str, steps: Vec<StepReport>) -> SetupReport {
    SetupReport {
        id: id.to_owned(),
        number: 0,
        piece: piece.to_owned(),
        title: title.to_owned(),
        holding: holding.to_owned(),
        steps,
        after: AfterSetup {
            volume_mm3: 0.0,
            volume_error_mm3: 0.0,
            mass_g: None,
        },
    }
}

fn step(
    id: &str,
    says: &str,
    tool: Option<&str>,
    speed: Option<(f64, f64)>,
    cautions: &[&str],
) -> StepReport {
    StepReport {
        id: id.to_owned(),
        says: says.to_owned(),
        tool: tool.map(str::to_owned),
        speed_rpm: speed.map(|(from, to)| Speed { from, to }),
        cautions: cautions
            .iter()
            .map(|caution| (*caution).to_owned())
            .collect(),
    }
}

fn piece(
    id: &str,
    name: &str,
    blank: &str,
    mass: f64,
    web: Option<f64>,
    neck: Option<f64>,
) -> PieceReport {
    PieceReport {
        id: id.to_owned(),
        name: name.to_owned(),
        wood: "field maple".to_owned(),
        blank: blank.to_owned(),
        solid: SolidReport {
            volume_mm3: mass / 0.69e-3,
            volume_error_mm3: 35.0,
            mass_g: Some(mass),
            mass_spread_g: Some(mass * 0.08),
            centre_of_mass_mm: [0.0; 3],
            pieces: 1,
            least_web_mm: web,
            least_neck_mm: neck,
            says: vec![format!(
                "about {mass:.0} g, give or take {:.0} g",
                mass * 0.08
            )],
        },
    }
}

fn measure(step: &str, name: &str, label: &str, value: f64, tool: &str, shown: &str) -> Measure {
    let setup = match step.split_once('.') {
        Some(("mounting", rest)) => format!("mounting.{}", rest.split('.').next().unwrap_or(rest)),
        Some(("finial", _)) => "finial.top".to_owned(),
        Some((setup, _)) => setup.to_owned(),
        None => step.to_owned(),
    };
    Measure {
        id: format!("{step}.{name}"),
        setup,
        step: step.to_owned(),
        label: label.to_owned(),
        value,
        exact: value,
        unit: "mm",
        tool: tool.to_owned(),
        shown: shown.to_owned(),
    }
}

fn all_measures() -> Vec<Measure> {
    let (bottom, arc, _) = cove();
    let mut all = vec![
        measure(
            "round.cylinder",
            "diameter",
            "cylinder, diameter and length",
            62.0,
            "callipers",
            "62.0 mm",
        ),
        measure(
            "round.octagon",
            "along",
            "octagon, in from each corner",
            18.2,
            "rule",
            "18.2 mm",
        ),
        measure(
            "round.sixteen",
            "along",
            "sixteen facets, each side of a corner along the facet",
            6.7,
            "dividers",
            "6.7 mm",
        ),
        measure(
            "round.ball",
            "diameter",
            "finished ball",
            60.0,
            "callipers",
            "60.0 mm",
        ),
        measure(
            "bore.first",
            "depth",
            "depth of the first bore",
            32.0,
            "depth stop on the bit",
            "32.0 mm",
        ),
        measure(
            "marks.index",
            "holes",
            "holes of the index head from mark to mark",
            3.0,
            "index head 24",
            "3",
        ),
    ];
    for mounting in 1..=MARKS / 2 {
        let id = format!("mounting.{mounting}");
        let edge = 2.0 * RADIUS * EDGE.cos();
        let half = RADIUS * EDGE.sin();
        all.push(measure(
            &format!("{id}.marker"),
            "depth",
            "marker hole, depth from the ball's surface",
            9.5,
            "depth stop on the bit",
            "9.5 mm",
        ));
        all.push(measure(
            &format!("{id}.edges"),
            "half",
            "edge line, either side of the middle, along the axis",
            half,
            "dividers",
            &format!("{half:.1} mm"),
        ));
        all.push(measure(
            &format!("{id}.flat"),
            "calliper",
            "calliper over the flat",
            edge,
            "callipers",
            &format!("{edge:.1} mm"),
        ));
        all.push(measure(
            &format!("{id}.cove"),
            "calliper",
            "calliper over the bottom of the cove",
            2.0 * bottom,
            "callipers",
            &format!("{:.1} mm", 2.0 * bottom),
        ));
        all.push(measure(
            &format!("{id}.cove"),
            "radius",
            "radius of the cove template",
            arc,
            "template",
            &format!("{arc:.1} mm"),
        ));
    }
    all.push(measure(
        "holes.pierce",
        "diameter",
        "pierced hole",
        8.0,
        "Forstner bit 8 mm",
        "8.0 mm",
    ));
    all.push(measure(
        "finial.top.tenon",
        "diameter",
        "tenon",
        9.9,
        "callipers",
        "9.9 mm",
    ));
    all.push(measure(
        "finial.top.tenon",
        "length",
        "length of the tenon",
        8.0,
        "rule",
        "8.0 mm",
    ));
    all.push(measure(
        "finial.top.hanger",
        "depth",
        "hanger hole, depth",
        6.0,
        "depth stop on the bit",
        "6.0 mm",
    ));
    all
}

fn findings() -> Vec<Finding> {
    vec![
        finding(
            "bit.missing",
            Weight::Stops,
            Some("holes"),
            Some("holes.pierce"),
            "The pierced holes want a Forstner bit of 8.5 mm, which is not in the rack.",
            8.5,
            "the rack",
            vec![
                mend(
                    "Use the nearest bit of the rack, 8 mm: the wood between neighbouring holes grows by 0.5 mm.",
                    Some(("holes.diameter", "\"8 mm\"")),
                ),
                mend("Put a bit of 8.5 mm into the rack.", None),
            ],
        ),
        finding(
            "seat.cove",
            Weight::Watch,
            Some("mounting.3"),
            None,
            "At this mounting both centres bear on the bottoms of earlier coves, 22.2 mm from the middle; the cup drive is 12 mm wide and the cove is 13.4 mm wide at that depth.",
            12.0,
            "common practice, no source",
            vec![mend("Use the 10 mm cup drive, with a leather disc.", None)],
        ),
        finding(
            "web.thin",
            Weight::Watch,
            None,
            None,
            "The thinnest wall stands between the bore and the bottom of each cove, 3.1 mm.",
            3.1,
            "the plan",
            vec![],
        ),
        finding(
            "weight.note",
            Weight::Note,
            Some("mounting.4"),
            Some("mounting.4.cove"),
            "After this cove the ball weighs about half of what it did when round; lower the speed if it hums.",
            0.5,
            "common practice, no source",
            vec![],
        ),
    ]
}

#[expect(
    clippy::too_many_arguments,
    reason = "a test helper that mirrors the struct"
)]
fn finding(
    id: &'static str,
    weight: Weight,
    setup: Option<&str>,
    step: Option<&str>,
    says: &str,
    value: f64,
    from: &str,
    mend: Vec<Mend>,
) -> Finding {
    Finding {
        id,
        weight,
        setup: setup.map(str::to_owned),
        step: step.map(str::to_owned),
        says: says.to_owned(),
        value,
        limit: value,
        unit: "mm",
        limit_from: from.to_owned(),
        at: None,
        gap: None,
        mend,
    }
}

fn mend(says: &str, change: Option<(&str, &str)>) -> Mend {
    Mend {
        says: says.to_owned(),
        key: change.map(|(key, _)| key.to_owned()),
        write: change.map(|(_, write)| write.to_owned()),
    }
}

fn needs() -> Vec<Need> {
    [
        ("spindle roughing gouge", "rounding the blank"),
        ("spindle gouge 6 mm", "coves and the finial"),
        ("parting tool 3 mm", "flats and tenons"),
        ("brad-point bit 10 mm", "the bore"),
        ("twist bit 2 mm", "marker holes"),
        (
            "cup drive 12 mm and ring tail centre 10 mm",
            "all mountings of the ball",
        ),
        ("index head 24", "the eight marks"),
    ]
    .iter()
    .map(|(what, purpose)| Need {
        what: (*what).to_owned(),
        purpose: (*purpose).to_owned(),
    })
    .collect()
}

pub fn figures() -> Figures {
    Figures {
        drawings: vec![equator(), side(), template()],
        strips: vec![strip()],
        ..Figures::default()
    }
}

pub fn strip() -> Strip {
    let length = TAU * RADIUS;
    let marks = (0..2 * MARKS)
        .map(|k| StripMark {
            at: length * k as f64 / (2 * MARKS) as f64,
            label: if k % 2 == 0 {
                format!("{}", k / 2 + 1)
            } else {
                "cove".to_owned()
            },
            main: k % 2 == 0,
        })
        .collect();
    Strip {
        id: "ball.strip.equator".to_owned(),
        title: "Index strip for the equator".to_owned(),
        note: "Cut it out, wrap it round the equator of the finished ball with the start line on the end line, and prick the long marks.".to_owned(),
        length,
        marks,
    }
}

fn ring(radius: f64, centre: [f64; 2]) -> Vec<[f64; 2]> {
    (0..120)
        .map(|k| {
            let angle = TAU * f64::from(k) / 120.0;
            [
                centre[0] + radius * angle.cos(),
                centre[1] + radius * angle.sin(),
            ]
        })
        .collect()
}

/// The ball cut across its equator, with all coves.
fn equator() -> Figure {
    let (bottom, arc, centre) = cove();
    let pitch = TAU / MARKS as f64;
    let outline: Vec<[f64; 2]> = (0..960)
        .map(|k| {
            let angle = TAU * f64::from(k) / 960.0;
            let off = (angle / pitch - (angle / pitch).round()) * pitch;
            let inside = arc * arc - (centre * off.sin()).powi(2);
            let radius = if off.abs() <= EDGE && inside >= 0.0 {
                (centre * off.cos() - inside.sqrt()).min(RADIUS)
            } else {
                RADIUS
            };
            [radius * angle.cos(), radius * angle.sin()]
        })
        .collect();
    let axis = |angle: f64| Line {
        points: vec![
            [-34.0 * angle.cos(), -34.0 * angle.sin()],
            [34.0 * angle.cos(), 34.0 * angle.sin()],
        ],
        closed: false,
        kind: LineKind::Axis,
    };
    Figure {
        id: "ball.section.equator".to_owned(),
        title: "The ball cut across its equator".to_owned(),
        note: "After the last mounting, before the holes are pierced.".to_owned(),
        full_size: false,
        lines: vec![
            Line {
                points: outline,
                closed: true,
                kind: LineKind::Section,
            },
            Line {
                points: ring(BORE, [0.0; 2]),
                closed: true,
                kind: LineKind::Section,
            },
            Line {
                points: ring(RADIUS, [0.0; 2]),
                closed: true,
                kind: LineKind::Thin,
            },
            axis(0.0),
            axis(PI / 2.0),
        ],
        dimensions: vec![
            Dimension::Diameter {
                centre: [0.0; 2],
                radius: RADIUS,
                angle: PI / 8.0,
                label: "Ø 60.0 mm".to_owned(),
            },
            Dimension::Length {
                from: [-bottom, 0.0],
                to: [bottom, 0.0],
                offset: -40.0,
                label: "44.4 mm".to_owned(),
            },
            Dimension::Diameter {
                centre: [0.0; 2],
                radius: BORE,
                angle: -PI / 4.0,
                label: "Ø 10.0 mm".to_owned(),
            },
            Dimension::Radius {
                centre: [0.0, centre],
                radius: arc,
                angle: -2.2,
                label: "R 11.8 mm".to_owned(),
            },
            Dimension::Note {
                at: [21.2, 21.2],
                text_at: [34.0, 30.0],
                label: "mark 2".to_owned(),
            },
        ],
    }
}

/// The ball from the side, with a hidden bore.
fn side() -> Figure {
    let edge = RADIUS * EDGE.cos();
    let half = RADIUS * EDGE.sin();
    let hidden = |x: f64| Line {
        points: vec![[x, -29.5], [x, 29.5]],
        closed: false,
        kind: LineKind::Hidden,
    };
    Figure {
        id: "ball.side".to_owned(),
        title: "The first flat, from the side".to_owned(),
        note: String::new(),
        full_size: false,
        lines: vec![
            Line {
                points: ring(RADIUS, [0.0; 2]),
                closed: true,
                kind: LineKind::Seen,
            },
            Line {
                points: vec![[-half, -edge], [-half, edge]],
                closed: false,
                kind: LineKind::Seen,
            },
            Line {
                points: vec![[half, -edge], [half, edge]],
                closed: false,
                kind: LineKind::Seen,
            },
            hidden(-BORE),
            hidden(BORE),
            Line {
                points: vec![[-38.0, 0.0], [38.0, 0.0]],
                closed: false,
                kind: LineKind::Axis,
            },
        ],
        dimensions: vec![
            Dimension::Length {
                from: [-half, edge],
                to: [half, edge],
                offset: 12.0,
                label: "20.5 mm".to_owned(),
            },
            Dimension::Length {
                from: [half, edge],
                to: [half, -edge],
                offset: 34.0,
                label: "56.4 mm".to_owned(),
            },
            Dimension::Length {
                from: [-BORE, -29.5],
                to: [BORE, -29.5],
                offset: -8.0,
                label: "10.0 mm".to_owned(),
            },
            Dimension::Length {
                from: [-RADIUS, 0.0],
                to: [RADIUS, 0.0],
                offset: -44.0,
                label: "60.0 mm".to_owned(),
            },
        ],
    }
}

/// A card template for the cove.
fn template() -> Figure {
    let (_, arc, _) = cove();
    let half = RADIUS * EDGE.sin();
    let mut points: Vec<[f64; 2]> = vec![
        [-half - 15.0, 0.0],
        [-half - 15.0, 40.0],
        [half + 15.0, 40.0],
        [half + 15.0, 0.0],
    ];
    let reach = (half / arc).asin();
    points.extend(
        (0..=40)
            .map(|k| {
                let angle = reach - 2.0 * reach * f64::from(k) / 40.0;
                [arc * angle.sin(), arc * angle.cos() - arc * reach.cos()]
            })
            .map(|[x, y]| [x, -y]),
    );
    Figure {
        id: "ball.template.cove".to_owned(),
        title: "Template for the cove".to_owned(),
        note: "Glue to card, cut along the wide line, and try it in the cove.".to_owned(),
        full_size: true,
        lines: vec![Line {
            points,
            closed: true,
            kind: LineKind::Seen,
        }],
        dimensions: vec![
            Dimension::Length {
                from: [-half, 0.0],
                to: [half, 0.0],
                offset: 12.0,
                label: "20.5 mm".to_owned(),
            },
            Dimension::Radius {
                centre: [0.0, arc * reach.cos()],
                radius: arc,
                angle: -PI / 2.0,
                label: "R 11.8 mm".to_owned(),
            },
        ],
    }
}
