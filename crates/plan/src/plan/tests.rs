use super::*;
use crate::rack::SMALL_WORKSHOP;
use crate::reader::{Problem, Problems};
use crate::units::LengthUnit;
use proptest::prelude::*;

const PLAN: &str = r#"# Lavender ball, middle size
title = "Lavender ball"
form = "coved ball"
units = "mm"
rack = "small workshop"

[wood]
species = "field maple"   # from the hedge
moisture = 9

[blank]
shape = "square"
across = 66
length = 95

[ball]
diameter = 60
marks = 8
facets = 32

[holding]
drive = "13 mm ring drive"

[cove]
land = 0
depth = "5 mm"

[bore]
diameter = "3/8 in"

[markers]
diameter = 2.5

[pierce]
diameter = 12

[finials.top]
blank_across = 20
tenon_length = 12
shape = [
  { fillet = "2 mm", diameter = "14 mm" },
  { cove = "8 mm", to = "6 mm" },
  { bead = "6 mm", diameter = "9 mm" },
  { ogee = "12 mm", to = "5 mm" },
  { taper = "40 mm", to = "3 mm" },
  { ball = "5 mm" },
]
hanger = { diameter = "1.6 mm", depth = "6 mm" }

[limits]
web = 2
"#;

/// The same with every layout that TOML has.
const INCHES: &str = r#"title = "Ornament"
form = "coved ball"
units = "in"
fractions = 32
wood = { species = "cherry", moisture = "9 %" }
blank = { shape = "round", across = 2.75, length = '3-1/2"' }
ball = { diameter = "2 3/8", marks = 12 }
cove.land = 0
cove.depth = ".125"
bore = { diameter = "3/8" }
markers = { diameter = "3/32", margin = "1/16" }
limits = { edge_angle = "45°" }
"#;

fn no_files(path: &str) -> Result<String, String> {
    Err(format!("there is no file {path}"))
}

fn read(text: &str) -> Result<Plan, Problems> {
    Plan::read(text, "my.toml", &no_files)
}

fn good(text: &str) -> Plan {
    read(text).unwrap_or_else(|problems| panic!("{problems}"))
}

/// The problems of the plan with one piece of its text replaced.
fn wrong(piece: &str, with: &str) -> Problems {
    assert!(PLAN.contains(piece), "{piece}");
    match read(&PLAN.replacen(piece, with, 1)) {
        Ok(_) => panic!("`{with}` was accepted"),
        Err(problems) => problems,
    }
}

fn only(problems: &Problems) -> &Problem {
    match &problems.list[..] {
        [one] if problems.others.is_empty() => one,
        _ => panic!("one problem expected:\n{problems}"),
    }
}

#[test]
fn a_plan_is_read_to_millimetres_and_radians() {
    let plan = good(PLAN);
    assert_eq!(plan.title, "Lavender ball");
    assert_eq!(plan.form, Form::CovedBall);
    assert_eq!(plan.style, LengthStyle::Millimetres);
    assert_eq!(plan.rack.name, SMALL_WORKSHOP);
    assert_eq!(plan.wood.species, "field maple");
    assert_eq!(
        plan.ball,
        Ball {
            diameter: 60.0,
            marks: 8,
            facets: 32
        }
    );
    assert_eq!(
        plan.cove,
        Cove {
            land: 0.0,
            depth: 5.0
        }
    );
    assert_eq!(plan.bore.diameter, 9.525);
    assert_eq!(
        plan.markers,
        Markers {
            diameter: 2.5,
            margin: 2.0
        }
    );
    assert_eq!(plan.pierce, Some(Pierce { diameter: 12.0 }));
    assert_eq!(plan.holding.drive.as_deref(), Some("13 mm ring drive"));
    assert_eq!(
        (plan.holding.jaws.as_ref(), plan.holding.spigot_length),
        (None, 8.0)
    );
    assert_eq!(plan.limits.web, 2.0);
    assert!((plan.limits.edge_angle - std::f64::consts::FRAC_PI_6).abs() < 1e-15);
    assert_eq!(plan.finials.glue_gap, 0.15);
    assert_eq!(plan.finials.bottom, None);
    let top = plan.finials.top.clone().unwrap();
    assert_eq!(top.shape.len(), 6);
    assert_eq!(
        top.shape[1],
        FinialPart::Cove {
            length: 8.0,
            to: 6.0
        }
    );
    assert_eq!(top.shape[5], FinialPart::Ball { diameter: 5.0 });
    assert_eq!(top.length(), 73.0);
    assert_eq!(
        top.hanger,
        Some(Hanger {
            diameter: 1.6,
            depth: 6.0
        })
    );
    // Every value can be pointed at.
    let at = |key| plan.span_of(key).map(|span| &plan.source.text[span]);
    assert_eq!(at("cove.depth"), Some("\"5 mm\""));
    assert_eq!(at("ball.marks"), Some("8"));
    assert_eq!(at("finials.top.shape.3.diameter"), Some("\"9 mm\""));
    assert_eq!(at("limits.web"), Some("2"));
    assert_eq!(at("limits.neck"), Some("[limits]"), "left out: its section");
    assert_eq!(at("cake"), None);
}

#[test]
fn inches_and_what_may_be_left_out() {
    let plan = good(INCHES);
    assert_eq!(plan.style, LengthStyle::Inches { denominator: 32 });
    assert_eq!(
        plan.ball,
        Ball {
            diameter: 60.325,
            marks: 12,
            facets: 32
        }
    );
    assert_eq!(plan.blank.length, 88.9);
    assert_eq!(plan.cove.depth, 3.175);
    assert_eq!(plan.wood.moisture, 9.0);
    assert_eq!(plan.pierce, None);
    assert_eq!(plan.rack.name, SMALL_WORKSHOP);
    assert!((plan.limits.edge_angle - std::f64::consts::FRAC_PI_4).abs() < 1e-15);
}

/// One wrong thing: the text it replaces, what stands there, the key, the
/// line, and words of what was found, what is allowed and the mend.
type Wrong = (
    &'static str,
    &'static str,
    &'static str,
    usize,
    &'static str,
    &'static str,
    &'static str,
);

#[rustfmt::skip] // One row for each wrong thing.
const WRONGS: &[Wrong] = &[
    // Lengths.
    ("diameter = 60", "diameter = \"60 nm\"", "ball.diameter", 17, "the unit `nm`", "a length from 10 mm to 300 mm", "did you mean 60 mm?"),
    ("diameter = 60", "diameter = 600", "ball.diameter", 17, "600 (mm)", "10 mm to 300 mm", "make it shorter"),
    ("diameter = 60", "diameter = 2.375", "ball.diameter", 17, "2.375 (mm)", "10 mm to 300 mm", "did you mean \"2.375 cm\"?"),
    ("diameter = 60", "diameter = -60", "ball.diameter", 17, "negative", "10 mm to 300 mm", "did you mean 60?"),
    ("diameter = 60", "diameter = nan", "ball.diameter", 17, "not a number", "10 mm", ""),
    ("diameter = 60", "diameter = inf", "ball.diameter", 17, "without end", "10 mm", ""),
    ("diameter = 60", "diameter = \"2 3/8\"", "ball.diameter", 17, "without a unit", "10 mm", "did you mean 2 3/8 in?"),
    ("diameter = 60", "diameter = true", "ball.diameter", 17, "true, which is a yes or no", "10 mm", ""),
    ("diameter = 60", "diameter = [60]", "ball.diameter", 17, "the list [60]", "10 mm", ""),
    ("diameter = 60", "diameter = 1979-05-27", "ball.diameter", 17, "the date 1979-05-27", "10 mm", ""),
    ("diameter = 60", "diameter = {}", "ball.diameter", 17, "the section {}", "10 mm", ""),
    ("depth = \"5 mm\"", "depth = 0", "cove.depth", 26, "0 (mm)", "0.1 mm to", "make it longer"),
    // Whole numbers.
    ("marks = 8", "marks = 7", "ball.marks", 18, "7, an odd number", "even number from 4 to 48", "write 6 or 8"),
    ("marks = 8", "marks = 2", "ball.marks", 18, "2", "from 4 to 48", ""),
    ("marks = 8", "marks = -8", "ball.marks", 18, "-8", "from 4 to 48", ""),
    ("marks = 8", "marks = 8.0", "ball.marks", 18, "8.0", "a whole number", "write 8, without quotes or decimals"),
    ("marks = 8", "marks = \"8\"", "ball.marks", 18, "the text \"8\"", "a whole number", "write 8, without quotes or decimals"),
    ("marks = 8", "marks = 99999999999999", "ball.marks", 18, "99999999999999", "a whole number", ""),
    ("facets = 32", "facets = 12", "ball.facets", 19, "12", "8, 16 or 32", ""),
    // Words.
    ("units = \"mm\"", "units = \"nm\"", "units", 4, "the text \"nm\"", "\"mm\", \"cm\" or \"in\"", "did you mean \"mm\"?"),
    ("shape = \"square\"", "shape = \"sqaure\"", "blank.shape", 12, "sqaure", "\"square\" or \"round\"", "did you mean \"square\"?"),
    ("form = \"coved ball\"", "form = \"cubed ball\"", "form", 3, "cubed ball", "\"coved ball\"", "did you mean \"coved ball\"?"),
    ("title = \"Lavender ball\"", "title = \"\"", "title", 2, "empty text", "text in quotes", ""),
    ("title = \"Lavender ball\"", "title = 12", "title", 2, "12", "text in quotes", "write \"12\""),
    ("moisture = 9", "moisture = 250", "wood.moisture", 9, "250", "from 0 to 200 %", ""),
    // Names of the rack.
    ("13 mm ring drive", "13 mm rim drive", "holding.drive", 22, "not in the rack", "\"8 mm ring drive\", \"13 mm ring drive\"", "did you mean \"13 mm ring drive\"?"),
    ("drive = \"13 mm ring drive\"", "jaws = \"vice\"", "holding.jaws", 22, "\"vice\", not in the rack", "\"50 mm jaws\" or \"large jaws\"", "delete the line to let jaws be chosen"),
    ("drive = \"13 mm ring drive\"", "reverse = \"cup\"", "holding.reverse", 22, "cup", "\"pin\"", ""),
    ("rack = \"small workshop\"", "rack = \"smal workshop\"", "rack", 5, "there is no file smal workshop", "\"small workshop, inches\"", "did you mean \"small workshop\"?"),
    // Keys.
    ("diameter = 60", "diamter = 60", "ball.diamter", 17, "`diamter`, not a key of [ball]", "diameter, facets or marks", "did you mean diameter?"),
    ("[limits]", "[limit]", "limit", 50, "`limit`, not a key of the top of the file", "wood", "did you mean limits?"),
    ("marks = 8", "marks = 8\ncolour = \"green\"", "ball.colour", 19, "`colour`, not a key of [ball]", "diameter, facets or marks", ""),
    ("marks = 8\n", "", "ball.marks", 16, "no marks in [ball]", "a whole number from 4 to 48", "add `marks = …` to [ball]"),
    ("title = \"Lavender ball\"\n", "", "title", 1, "no title at the top of the file", "text in quotes", "add a line `title = …` above the first section"),
    ("[bore]\ndiameter = \"3/8 in\"\n", "", "bore", 1, "no section [bore]", "a section [bore]", "add the section [bore]"),
    ("[bore]\ndiameter = \"3/8 in\"", "[[bore]]\ndiameter = \"3/8 in\"", "bore", 28, "a list of sections", "a section [bore]", ""),
    // TOML itself.
    ("diameter = 60", "diameter = 60 mm", "ball.diameter", 17, "`diameter = 60 mm`", "a number, or text in quotes", "write diameter = \"60 mm\""),
    ("diameter = 60", "diameter = \"2 3/8\"\"", "ball.diameter", 17, "`diameter = \"2 3/8\"\"`", "text in quotes", "write diameter = '2 3/8\"'"),
    ("diameter = 60", "diameter = 2 3/8 in # ball", "ball.diameter", 17, "2 3/8 in", "text in quotes", "write diameter = \"2 3/8 in\""),
    ("shape = \"square\"", "shape = square", "blank.shape", 12, "`shape = square`", "text in quotes", "write shape = \"square\""),
    ("shape = \"square\"", "shape = \"square", "blank.shape", 12, "`shape = \"square`", "text in quotes", "close the quotes"),
    ("marks = 8", "marks =", "ball.marks", 18, "`marks =` without a value", "key = value", "write marks = …, or delete the line"),
    ("marks = 8", "marks", "", 18, "`marks`", "a line `key = value`", ""),
    ("marks = 8", "marks = 8\nmarks = 10", "ball.marks", 19, "marks a second time", "each key and each section once", "delete one of the two"),
    ("[bore]", "[ball]", "", 28, "[ball] a second time", "each key and each section once", "delete one of the two"),
    ("[bore]", "[bore", "", 28, "`[bore`", "a heading [section]", ""),
    // How the numbers fit together.
    ("land = 0", "land = 24", "cove.land", 25, "24 mm", "less than 23.5 mm", "write land = 0"),
    ("depth = \"5 mm\"", "depth = 12", "cove.depth", 26, "12 mm", "up to 11.4 mm, half the width of a cove", "write depth = \"11.4 mm\""),
    ("diameter = \"3/8 in\"", "diameter = 60", "bore.diameter", 29, "60 mm", "less than the ball's diameter of 60 mm", "smaller"),
    ("diameter = 12", "diameter = 23", "pierce.diameter", 35, "23 mm", "up to 22.9 mm, the width of a cove", "smaller bit"),
    ("diameter = 2.5", "diameter = 23", "markers.diameter", 32, "23 mm", "up to 22.9 mm", "smaller bit"),
    // Finials.
    ("{ fillet = \"2 mm\", diameter = \"14 mm\" },", "", "finials.top.shape.1", 42, "a cove at the shoulder", "a fillet or a bead", "begin with"),
    ("{ ball = \"5 mm\" }", "{ bal = \"5 mm\" }", "finials.top.shape.6.bal", 46, "`bal`, not a key of part 6 of finials.top.shape", "ball", "did you mean ball?"),
    ("{ ball = \"5 mm\" }", "{ }", "finials.top.shape.6", 46, "a part without a shape", "fillet, cove, bead, ogee, taper or ball", ""),
    ("{ ball = \"5 mm\" }", "{ ball = 5, bead = 5, diameter = 5 }", "finials.top.shape.6", 46, "bead and ball in one part", "in each part", "of its own"),
    ("{ ball = \"5 mm\" }", "\"ball\"", "finials.top.shape.6", 46, "the text \"ball\"", "a part { … }", ""),
    ("{ ball = \"5 mm\" }", "{ ball = 25 }", "finials.top.shape.6.ball", 46, "25 mm", "up to 20 mm, the blank's width", "larger blank"),
    ("taper = \"40 mm\", to = \"3 mm\"", "taper = \"40 mm\"", "finials.top.shape.5.to", 45, "no to in part 5", "a length from 0 mm", "add `to = …`"),
    ("taper = \"40 mm\", to = \"3 mm\"", "taper = \"40 mm\", to = 0", "finials.top.shape.5.to", 45, "a point before the tip", "zero only in the last part", "the next part begins with"),
    ("depth = \"6 mm\"", "depth = \"80 mm\"", "finials.top.hanger.depth", 48, "80 mm", "less than the finial's length of 73 mm", "shallower"),
    ("[limits]", "[limits]\nedge_angle = \"steep\"", "limits.edge_angle", 51, "steep", "from 1 to 170 degrees", ""),
];

#[test]
fn the_catalogue_of_errors() {
    let mut missed = Vec::new();
    for &(piece, with, key, line, found, allowed, mend) in WRONGS {
        let problems = wrong(piece, with);
        let as_told = |problem: &Problem| {
            problem.key == key
                && problem.line == line
                && problem.found.contains(found)
                && problem.allowed.contains(allowed)
                && match &problem.mend {
                    Some(given) => !mend.is_empty() && given.contains(mend),
                    None => mend.is_empty(),
                }
                && problem.span.end <= problems.source.len()
        };
        if !matches!(&problems.list[..], [one] if as_told(one)) {
            missed.push(format!("`{with}`\n{problems}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn problems_read_as_sentences() {
    let problems = wrong("diameter = 60", "diamter = 60");
    assert_eq!(
        only(&problems).to_string(),
        "line 17, ball.diamter: found `diamter`, not a key of [ball]; \
         allowed is diameter, facets or marks; did you mean diameter?"
    );
    let problems = wrong("marks = 8", "marks = 7");
    assert_eq!(
        problems.to_string(),
        "my.toml, line 18, ball.marks: found 7, an odd number; allowed is an even number from \
         4 to 48, since each mounting runs through two marks; write 6 or 8.\n"
    );
}

#[test]
fn everything_wrong_is_told_at_once_in_the_order_of_the_file() {
    let text = PLAN
        .replace("units = \"mm\"", "unit = \"mm\"")
        .replace("moisture = 9", "moisture = 9 percent")
        .replace("across = 66", "across = 66 mm")
        .replace("diameter = 60", "diameter = \"60 nm\"")
        .replace("marks = 8", "marks = 9")
        .replace("land = 0", "land = \"-1\"")
        .replace("tenon_length", "tenon_lenght")
        .replace("web = 2", "web = 2\nweb = 3");
    let problems = read(&text).unwrap_err();
    let told: Vec<_> = problems
        .list
        .iter()
        .map(|problem| (problem.line, problem.key.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            (4, "unit"),
            (9, "wood.moisture"),
            (13, "blank.across"),
            (17, "ball.diameter"),
            (18, "ball.marks"),
            (25, "cove.land"),
            (39, "finials.top.tenon_lenght"),
            (52, "limits.web"),
        ],
        "{problems}"
    );
}

#[test]
fn a_list_left_open_is_told_once() {
    let text = PLAN.replace("  { ball = \"5 mm\" },\n]", "  { ball = \"5 mm\" },\n");
    let problems = read(&text).unwrap_err();
    let problem = only(&problems);
    assert!((40..=50).contains(&problem.line), "{problem}");
}

#[test]
fn files_of_other_editors_read_alike() {
    let carriage_returns = PLAN.replace('\n', "\r\n");
    let marked = format!("\u{feff}{PLAN}");
    for text in [&carriage_returns, &marked] {
        let plan = good(text);
        assert_eq!(
            Plan {
                source: good(PLAN).source,
                ..plan.clone()
            },
            good(PLAN)
        );
        let span = plan.span_of("cove.depth").unwrap();
        assert_eq!(&text[span], "\"5 mm\"");
        let changed = plan.set("cove.depth", "4 mm").unwrap();
        assert_eq!(
            changed,
            text.replace("depth = \"5 mm\"", "depth = \"4 mm\"")
        );
        assert_eq!(
            good(&plan.set("limits.neck", "4 mm").unwrap()).limits.neck,
            4.0
        );
        let wrong = text.replace("marks = 8", "marks = 7");
        assert_eq!(only(&read(&wrong).unwrap_err()).line, 18);
    }
}

#[test]
fn an_empty_file_names_all_that_is_missing() {
    let problems = read("").unwrap_err();
    let keys: Vec<_> = problems
        .list
        .iter()
        .map(|problem| problem.key.as_str())
        .collect();
    assert_eq!(
        keys,
        [
            "units", "title", "form", "wood", "blank", "ball", "cove", "bore", "markers"
        ]
    );
}

#[test]
fn a_rack_of_ones_own() {
    let text = PLAN.replace("rack = \"small workshop\"", "rack = \"shed.toml\"");
    let shed = Rack::SMALL_WORKSHOP_FILE.replace("name = \"small workshop\"", "name = \"shed\"");
    let plan = Plan::read(&text, "my.toml", &|path| {
        assert_eq!(path, "shed.toml");
        Ok(shed.clone())
    })
    .unwrap();
    assert_eq!(plan.rack.name, "shed");

    let broken = shed
        .replace("swing_over_bed = 300", "swing_over_bed = \"wide\"")
        .replace("index = [24, 36, 48]", "index = [24, 0]")
        .replace("highest_speed = 3600", "highest_speed = 100")
        .replace("name = \"middle jaws\"", "name = \"small jaws\"")
        .replace("kind = \"forstner\"", "kind = \"fostner\"")
        .replace("smallest = 32", "smallest = 60");
    let text = text.replace("marks = 8", "marks = 9");
    let problems = Plan::read(&text, "my.toml", &|_| Ok(broken.clone())).unwrap_err();
    assert_eq!(only_of(&problems.list), ["ball.marks"]);
    let [rack] = &problems.others[..] else {
        panic!("{problems}")
    };
    assert_eq!(rack.file, "shed.toml");
    assert_eq!(
        only_of(&rack.list),
        [
            "lathe.swing_over_bed",
            "lathe.lowest_speed",
            "lathe.index.2",
            "jaws.2.name",
            "jaws.2.spigot.smallest",
            "bits.16.kind",
            "bits.17.kind"
        ],
        "{problems}"
    );
    assert_eq!(problems.count(), 8);
    assert!(problems.to_string().contains("shed.toml, line 1"));
}

fn only_of(list: &[Problem]) -> Vec<&str> {
    list.iter().map(|problem| problem.key.as_str()).collect()
}

#[test]
fn a_value_is_set_and_all_else_kept() {
    let plan = good(PLAN);
    for (key, written, before, after) in [
        (
            "cove.depth",
            "4.5 mm",
            "depth = \"5 mm\"",
            "depth = \"4.5 mm\"",
        ),
        ("ball.marks", "12", "marks = 8", "marks = 12"),
        (
            "wood.species",
            "holly",
            "\"field maple\"   # from",
            "\"holly\"   # from",
        ),
        ("bore.diameter", "7/16\"", "\"3/8 in\"", "'7/16\"'"),
        ("bore.diameter", "10.5", "\"3/8 in\"", "10.5"),
        (
            "finials.top.shape.5.to",
            "2.5 mm",
            "to = \"3 mm\"",
            "to = \"2.5 mm\"",
        ),
        (
            "title",
            "The \"big\" o'ne \\",
            "\"Lavender ball\"",
            "'''The \"big\" o'ne \\'''",
        ),
        // Left out before.
        (
            "limits.neck",
            "4 mm",
            "web = 2\n",
            "web = 2\nneck = \"4 mm\"\n",
        ),
        (
            "finials.glue_gap",
            "0.2",
            "[finials.top]",
            "[finials]\nglue_gap = 0.2\n\n[finials.top]",
        ),
        (
            "fractions",
            "32",
            "rack = \"small workshop\"\n",
            "rack = \"small workshop\"\nfractions = 32\n",
        ),
    ] {
        let text = plan.set(key, written).unwrap();
        let changed = good(&text);
        let span = changed.span_of(key).unwrap();
        assert!(after.contains(&text[span]), "{key}: {text}");
        if key != "title" && key != "finials.glue_gap" {
            assert_eq!(text, PLAN.replacen(before, after, 1), "{key}");
        }
    }
    assert_eq!(
        good(&plan.set("title", "The \"big\" o'ne \\").unwrap()).title,
        "The \"big\" o'ne \\"
    );
    assert_eq!(
        good(&plan.set("finials.glue_gap", "0.2").unwrap())
            .finials
            .glue_gap,
        0.2
    );
}

#[test]
fn whatever_was_left_out_can_be_set() {
    for before in [PLAN, INCHES, INCHES.trim_end()] {
        let plan = good(before);
        let left_out: Vec<_> = plan
            .source
            .keys
            .iter()
            .filter(|key| !plan.source.places.contains_key(*key))
            .collect();
        assert!(left_out.len() >= 8, "{left_out:?}");
        for key in left_out {
            let written = match key.rsplit('.').next().unwrap_or_default() {
                _ if key.starts_with("loads.") && key != "loads.drop" => "35 N",
                "drop" => "350 mm",
                "grain" => "across",
                "fractions" | "facets" => "16",
                "rack" => "small workshop",
                "jaws" => "50 mm jaws",
                "drive" => "8 mm ring drive",
                "tail" => "6 mm ring centre",
                "reverse" => "pin",
                "order" if plan.ball.marks == 8 => "4, 3, 2, 1",
                "order" => "6, 5, 4, 3, 2, 1",
                "glue_gap" => "0.3 mm",
                "edge_angle" => "41",
                "moisture" | "humidity" => "12",
                "temperature" => "21 °C",
                "pith" => "inside",
                "hand" => "careful",
                "bore_angle" | "hole_angle" => "3.5",
                "roughing" | "turning" | "coving" | "drilling" => "850",
                _ => "3.5 mm",
            };
            let text = plan.set(key, written).unwrap();
            let changed = good(&text);
            let span = changed.source.places[key].clone();
            assert!(text[span].contains(written), "{key}\n{text}");
            for (other, place) in &plan.source.places {
                let now = &changed.source.text[changed.source.places[other].clone()];
                let then = &plan.source.text[place.clone()];
                // Only a section written inline holds the new key in its own text.
                assert!(
                    now == then || key.starts_with(&format!("{other}.")),
                    "{key}, {other}"
                );
            }
            for line in before.lines() {
                let line = line.trim_end_matches(['}', ' ']);
                assert!(text.contains(line), "{key}: `{line}` is gone\n{text}");
            }
        }
    }
}

#[test]
fn what_cannot_be_set_says_why() {
    let plan = good(PLAN);
    assert_eq!(
        plan.set("cove.dept", "4").unwrap_err().to_string(),
        "cove.dept is not a key of this plan; did you mean cove.depth?"
    );
    assert!(matches!(
        plan.set("cove", "4"),
        Err(ChangeError::NotOneValue { .. })
    ));
    assert!(matches!(
        plan.set("finials.top.shape", "4"),
        Err(ChangeError::NotOneValue { .. })
    ));
    for written in ["", " ", "a\nb", "a\u{7}b"] {
        assert!(matches!(
            plan.set("title", written),
            Err(ChangeError::Unwritable { .. })
        ));
    }
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,80}") {
        if let Err(problems) = read(&text) {
            prop_assert!(problems.count() > 0);
        }
    }

    #[test]
    fn any_near_plan_is_read_or_refused(text in "((\\[{1,2}|)[a-z.]{0,9}\\]{0,2}( ?= ?[-0-9.\"'{}\\[\\],a-z /]{0,9}|)\r?\n){0,8}") {
        if let Err(problems) = read(&text) {
            prop_assert!(problems.count() > 0);
        }
    }

    /// A plan with a piece cut out and another put in.
    #[test]
    fn a_damaged_plan_is_read_or_refused(from in 0..PLAN.len(), length in 0..40_usize, put in "[\\[\\]{}=\"'#,.\n a-z0-9½-]{0,6}") {
        let mut text = PLAN.to_owned();
        text.replace_range(from..(from + length).min(PLAN.len()), &put);
        match read(&text) {
            Ok(plan) => {
                for span in plan.source.places.values() {
                    prop_assert!(plan.source.text.get(span.clone()).is_some());
                }
            }
            Err(problems) => {
                prop_assert!(problems.count() > 0);
                for problem in &problems.list {
                    prop_assert!(text.get(problem.span.clone()).is_some(), "{:?}", problem);
                    prop_assert!(problem.line >= 1 && problem.line <= text.matches('\n').count() + 1);
                }
            }
        }
    }

    #[test]
    fn what_is_set_is_read(tenths in 1..90_u32, written in "[ -~½]{1,12}") {
        let plan = good(PLAN);
        let mm = f64::from(tenths) / 10.0;
        let text = plan.set("cove.depth", &format!("{mm} mm")).unwrap();
        prop_assert_eq!(good(&text).cove.depth, mm);
        if !written.trim().is_empty() {
            let text = plan.set("wood.species", &written).unwrap();
            // A bare number or true is written without quotes, and is then no name.
            if let Ok(changed) = read(&text) {
                prop_assert_eq!(changed.wood.species, written.trim());
            }
        }
    }
}

/// A bare 2 is 2 mm in one plan and 2 in in another: changing the unit changes no length.
#[test]
fn another_unit_leaves_every_length_as_it_was() {
    let plan = good(&PLAN.replace("{ cove = \"8 mm\"", "{ cove = 8"));
    for unit in [
        LengthUnit::Inch,
        LengthUnit::Centimetre,
        LengthUnit::Millimetre,
    ] {
        let changed = good(&plan.in_units(unit).unwrap());
        assert_eq!(changed.unit, unit);
        assert_eq!(
            (
                changed.ball,
                changed.blank,
                changed.cove,
                changed.bore,
                changed.limits
            ),
            (plan.ball, plan.blank, plan.cove, plan.bore, plan.limits)
        );
        assert_eq!(changed.finials, plan.finials);
        // And back again.
        assert_eq!(
            good(&changed.in_units(LengthUnit::Millimetre).unwrap()).finials,
            plan.finials
        );
    }
}
