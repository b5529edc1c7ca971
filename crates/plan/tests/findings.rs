//! Every kind of finding: a plan that raises it, one just inside its limit that does not, and mends
//! that clear it.
//!
//! The limits in the rows are worked out by hand from DESIGN section 4 and the demo plan (ball 60 mm,
//! 8 marks, edge to edge 21.1, flat 56.2, bottom 46.2, bore 20, hole 12 mm) or read from the rack.

#![expect(
    clippy::unwrap_used,
    reason = "a change that cannot be written is a failed check"
)]

use rondure_plan::findings::{find, kind};
use rondure_plan::form::coved_ball::expand;
use rondure_plan::plan::Plan;
use rondure_plan::rack::Rack;
use rondure_plan::report::Finding;
use rondure_plan::study::Study;

const DEMO: &str = include_str!("../../../examples/lavender-ball-60.toml");

/// What is changed in the demo plan, and in its rack (text for text).
#[derive(Clone, Copy)]
struct Change {
    plan: &'static [(&'static str, &'static str)],
    rack: &'static [(&'static str, &'static str)],
}

const fn plan(changes: &'static [(&'static str, &'static str)]) -> Change {
    Change {
        plan: changes,
        rack: &[],
    }
}

const fn rack(changes: &'static [(&'static str, &'static str)]) -> Change {
    Change {
        plan: &[],
        rack: changes,
    }
}

struct Row {
    id: &'static str,
    raises: Change,
    quiet: Change,
    /// Whether some mend must be one that changes the plan.
    mends_plan: bool,
}

const fn row(id: &'static str, raises: Change, quiet: Change) -> Row {
    Row {
        id,
        raises,
        quiet,
        mends_plan: true,
    }
}

/// A row whose mends lie outside the plan.
const fn told(id: &'static str, raises: Change, quiet: Change) -> Row {
    Row {
        id,
        raises,
        quiet,
        mends_plan: false,
    }
}

/// All gouges of the rack made to cut no cove tighter than a radius.
const BLUNT_14: &[(&str, &str)] = &[
    ("smallest_cove = 1.5", "smallest_cove = 14"),
    ("smallest_cove = 3", "smallest_cove = 14"),
    ("smallest_cove = 5", "smallest_cove = 14"),
    ("smallest_cove = 7", "smallest_cove = 14"),
];
const BLUNT_13_5: &[(&str, &str)] = &[("smallest_cove = 1.5", "smallest_cove = 13.5")];

const ROWS: &[Row] = &[
    // Least across: ball and 2 mm for truing.
    row(
        "blank.across",
        plan(&[("blank.across", "61.5 mm")]),
        plan(&[("blank.across", "62 mm")]),
    ),
    // Least length: 6 tail waste + 60 + 6 neck + 4 collar + 8 spigot.
    row(
        "blank.length",
        plan(&[("blank.length", "83.5 mm")]),
        plan(&[("blank.length", "84 mm")]),
    ),
    // Bore 10 on the radius, 2 mm of wood that checks round the pith.
    row(
        "pith.left",
        plan(&[("blank.pith", "inside"), ("blank.pith_off", "8.5 mm")]),
        plan(&[("blank.pith", "inside"), ("blank.pith_off", "8 mm")]),
    ),
    // A 66 mm square sweeps 66 √2 = 93.3 mm.
    told(
        "lathe.swing",
        rack(&[("swing_over_bed = 300", "swing_over_bed = 93")]),
        rack(&[("swing_over_bed = 300", "swing_over_bed = 94")]),
    ),
    row(
        "lathe.length",
        rack(&[("between_centres = 500", "between_centres = 94")]),
        rack(&[("between_centres = 500", "between_centres = 95")]),
    ),
    row(
        "jaws.large",
        plan(&[("holding.jaws", "large jaws")]),
        plan(&[("holding.jaws", "50 mm jaws")]),
    ),
    row(
        "spigot.grip",
        plan(&[("holding.spigot", "44.9 mm")]),
        plan(&[("holding.spigot", "45 mm")]),
    ),
    row(
        "spigot.depth",
        plan(&[("holding.spigot_length", "12.5 mm")]),
        plan(&[("holding.spigot_length", "12 mm")]),
    ),
    // 150 / 45 of a 48 mm spigot is 160 mm beside the jaws.
    row(
        "holding.overhang",
        plan(&[("blank.length", "169 mm")]),
        plan(&[("blank.length", "168 mm")]),
    ),
    row(
        "neck.shows",
        plan(&[("holding.neck", "20.5 mm")]),
        plan(&[("holding.neck", "20 mm")]),
    ),
    // 24, 36 and 48 holes give no ten.
    row(
        "index.marks",
        plan(&[("ball.marks", "10")]),
        plan(&[("ball.marks", "12")]),
    ),
    // A bore wider than the coves' bottoms leaves later centres nothing on their axis.
    row(
        "seat.air",
        plan(&[("bore.diameter", "50 mm")]),
        plan(&[("bore.diameter", "45 mm")]),
    ),
    // Ten marks: each mark lies between two coves, on a land of 2 mm.
    row(
        "seat.ridge",
        plan(&[("ball.marks", "10")]),
        plan(&[("ball.marks", "12")]),
    ),
    row(
        "centre.wide",
        plan(&[("holding.drive", "22 mm toothed drive")]),
        plan(&[("holding.drive", "16 mm spur drive")]),
    ),
    // 6.9 + 0.5 goes to 7.5 on a half-millimetre rule: 0.6 below the cove; 6.9 + 1 to 8.
    row(
        "marker.shallow",
        plan(&[("markers.margin", "0.5 mm")]),
        plan(&[("markers.margin", "1 mm")]),
    ),
    row(
        "marker.shows",
        plan(&[("markers.diameter", "12.5 mm")]),
        plan(&[("markers.diameter", "12 mm")]),
    ),
    // Tip at 30 − 19.5 − 0.75 = 9.75 mm with 12.5; at 10.25 with 12; the bore's wall is at 10.
    row(
        "marker.bore",
        plan(&[("markers.margin", "12.5 mm")]),
        plan(&[("markers.margin", "12 mm")]),
    ),
    // The cove's bottom is at 23.1 mm.
    row(
        "cove.bore",
        plan(&[("bore.diameter", "46.3 mm")]),
        plan(&[("bore.diameter", "46 mm")]),
    ),
    // The arc's radius is (10.55² + 5²) / 10 = 13.63 mm.
    row("cove.gouge", rack(BLUNT_14), rack(BLUNT_13_5)),
    // 2 · 23.1 · sin 22.5° = 17.68, less the hole, against 2.5.
    row(
        "rim.gap",
        plan(&[("pierce.diameter", "15.5 mm")]),
        plan(&[("pierce.diameter", "15 mm")]),
    ),
    // 4 / sin 22.5° = 10.45 is outside the bore's 10, 3.75 / sin 22.5° = 9.80 inside.
    told(
        "holes.meet",
        plan(&[("pierce.diameter", "8 mm")]),
        plan(&[("pierce.diameter", "7.5 mm")]),
    ),
    row(
        "web.thin",
        plan(&[("limits.web", "6.5 mm"), ("pierce.diameter", "10 mm")]),
        plan(&[("limits.web", "2.5 mm")]),
    ),
    row(
        "neck.thin",
        plan(&[("limits.neck", "7.5 mm")]),
        plan(&[("limits.neck", "6 mm")]),
    ),
    // A bore wider than the coves' bottoms takes the poles, where all ribs meet.
    row(
        "pieces.fall",
        plan(&[("bore.diameter", "50 mm")]),
        plan(&[("bore.diameter", "40 mm")]),
    ),
    // The sharpest edge of the demo is the ridge between two coves; holes that run together leave 45°.
    row(
        "edge.feather",
        plan(&[("limits.edge_angle", "42")]),
        plan(&[("limits.edge_angle", "41.5")]),
    ),
    row(
        "bit.missing",
        plan(&[("pierce.diameter", "11.8 mm")]),
        plan(&[("pierce.diameter", "11.5 mm")]),
    ),
    // A 1.5 mm twist bit reaches 12 mm; 4 mm of waste stand before the tip.
    row(
        "bit.reach",
        plan(&[("finials.top.hanger.depth", "8.5 mm")]),
        plan(&[("finials.top.hanger.depth", "8 mm")]),
    ),
    // The lands beside the hole stand at 30 cos 22.5° = 27.7 mm and the ridges above them higher within
    // 20 mm of the axis; the tip stops at 9 mm.
    row(
        "drill.fouls",
        rack(&[("reach = 55", "reach = 18")]),
        rack(&[("reach = 55", "reach = 22")]),
    ),
    // 9000 rpm · in over 60 mm is 3810 rpm.
    row(
        "speed.rule",
        plan(&[("speeds.turning", "3820")]),
        plan(&[("speeds.turning", "3600")]),
    ),
    row(
        "speed.lathe",
        plan(&[("speeds.coving", "240")]),
        plan(&[("speeds.coving", "250")]),
    ),
    // Widest shape 24 mm and 1 mm for roughing.
    row(
        "finial.blank",
        plan(&[("finials.top.blank_across", "24.5 mm")]),
        plan(&[("finials.top.blank_across", "25 mm")]),
    ),
    // Small jaws end at 25 mm, middle jaws begin at 32.
    row(
        "finial.jaws",
        plan(&[("finials.bottom.blank_across", "28 mm")]),
        plan(&[("finials.bottom.blank_across", "32 mm")]),
    ),
    row(
        "finial.neck",
        plan(&[("finials.bottom.shape.4.to", "2.4 mm")]),
        plan(&[("finials.bottom.shape.4.to", "2.5 mm")]),
    ),
    // Beam by the formulas of `beam`, from the demo's taper 45 mm from 7 to 3 mm.
    row(
        "finial.whip",
        plan(&[("finials.bottom.shape.4.taper", "70 mm")]),
        plan(&[("finials.bottom.shape.4.taper", "66 mm")]),
    ),
    row(
        "finial.rings",
        plan(&[("finials.bottom.shape.4.taper", "160 mm")]),
        plan(&[("finials.bottom.shape.4.taper", "150 mm")]),
    ),
    // A tip of 1 mm radius and more is blunt.
    row(
        "finial.tip",
        plan(&[
            ("finials.bottom.shape.4.to", "1.2 mm"),
            ("finials.bottom.shape.5.ball", "1.9 mm"),
        ]),
        plan(&[
            ("finials.bottom.shape.4.to", "1.2 mm"),
            ("finials.bottom.shape.5.ball", "2 mm"),
        ]),
    ),
    // Bore 20 and 1 mm of cover each side.
    row(
        "finial.shoulder",
        plan(&[("finials.top.shape.1.diameter", "21.5 mm")]),
        plan(&[("finials.top.shape.1.diameter", "22 mm")]),
    ),
    told("finial.rim", plan(&[]), plan(&[("bore.diameter", "10 mm")])),
    row(
        "finial.tenon",
        plan(&[("finials.bottom.tenon_length", "16 mm")]),
        plan(&[("finials.bottom.tenon_length", "15 mm")]),
    ),
    told(
        "hanger.wall",
        plan(&[("finials.top.hanger.diameter", "3 mm")]),
        plan(&[("finials.top.hanger.diameter", "1.5 mm")]),
    ),
    // Field maple shrinks 3.9 / 8.25 % over 30 points: crossed, 20 mm loses 0.029 mm a point; the slack is 0.2.
    row(
        "fit.tight",
        plan(&[("wood.moisture", "16"), ("home.moisture", "9")]),
        plan(&[("wood.moisture", "15"), ("home.moisture", "9")]),
    ),
    row(
        "fit.loose",
        plan(&[("finials.glue_gap", "0.6 mm"), ("home.moisture", "9")]),
        plan(&[("finials.glue_gap", "0.5 mm"), ("home.moisture", "9")]),
    ),
    // 60 mm goes oval by 0.087 mm a point; the limit is 0.5.
    row(
        "ball.oval",
        plan(&[("wood.moisture", "15"), ("home.moisture", "9")]),
        plan(&[("wood.moisture", "14"), ("home.moisture", "9")]),
    ),
    row(
        "wood.unsettled",
        plan(&[("shop.moisture", "11.1")]),
        plan(&[("shop.moisture", "11")]),
    ),
    told(
        "wood.caution",
        plan(&[]),
        plan(&[("wood.species", "field elm")]),
    ),
];

fn read(text: &str, rack: &str) -> Plan {
    Plan::read(text, "demo.toml", &|_| Ok(rack.to_owned()))
        .unwrap_or_else(|problems| panic!("{problems}"))
}

fn changed(change: Change) -> Plan {
    let mut rack = Rack::SMALL_WORKSHOP_FILE.to_owned();
    for (from, to) in change.rack {
        assert!(rack.contains(from), "the rack has no `{from}`");
        rack = rack.replace(from, to);
    }
    let mut plan = read(DEMO, &rack);
    if !change.rack.is_empty() {
        plan = read(&plan.set("rack", "shop.toml").unwrap(), &rack);
    }
    for (key, value) in change.plan {
        plan = read(&plan.set(key, value).unwrap(), &rack);
    }
    plan
}

fn found(plan: &Plan) -> Vec<Finding> {
    let expanded = expand(plan).unwrap_or_else(|problems| panic!("{problems}"));
    find(&Study::new(plan, expanded))
}

#[test]
fn every_kind_has_its_row() {
    let rows: Vec<&str> = ROWS.iter().map(|row| row.id).collect();
    let kinds: Vec<&str> = kind::ALL.iter().map(|kind| kind.id).collect();
    assert_eq!(rows, kinds);
}

#[test]
fn each_is_raised_and_each_is_quiet_inside_its_limit() {
    let mut wrong = Vec::new();
    for row in ROWS {
        let raised = found(&changed(row.raises));
        if raised.iter().all(|finding| finding.id != row.id) {
            wrong.push(format!("{} is not raised", row.id));
        }
        let quiet = found(&changed(row.quiet));
        wrong.extend(
            quiet
                .iter()
                .filter(|finding| finding.id == row.id)
                .map(|finding| format!("{} is raised inside its limit: {}", row.id, finding.says)),
        );
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn mends_clear_what_they_mend() {
    let mut wrong = Vec::new();
    for row in ROWS {
        let plan = changed(row.raises);
        let raised = found(&plan);
        let Some(finding) = raised.iter().find(|finding| finding.id == row.id) else {
            wrong.push(format!("{} is not raised", row.id));
            continue;
        };
        let changes: Vec<_> = finding
            .mend
            .iter()
            .filter_map(|mend| Some((mend.key.as_ref()?, mend.write.as_ref()?)))
            .collect();
        if row.mends_plan && changes.is_empty() {
            wrong.push(format!(
                "{}: no mend changes the plan: {}",
                row.id, finding.says
            ));
        }
        for (key, write) in changes {
            let mended = plan
                .with(key, write)
                .unwrap_or_else(|| panic!("{}: {key} = {write} is no plan", row.id));
            let left = found(&mended);
            wrong.extend(left.iter().filter(|other| other.id == row.id).map(|other| {
                format!(
                    "{}: {key} = {write} does not clear it: {}",
                    row.id, other.says
                )
            }));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// The demo itself: nothing stops it.
#[test]
fn the_demo_is_sound() {
    let found = found(&read(DEMO, Rack::SMALL_WORKSHOP_FILE));
    let ids: Vec<&str> = found.iter().map(|finding| finding.id).collect();
    assert_eq!(
        ids,
        ["holes.meet", "finial.rim", "wood.caution", "wood.caution"]
    );
}
