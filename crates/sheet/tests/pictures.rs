//! Line drawings of a real plan's set-ups, against closed forms, and the handout made of them.
//!
//! The lines themselves (box, tube, ball, hidden parts) are held to the solid in the tests of
//! `rondure-solid`; here is checked that the sheets show the right wood from the right side.

#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a panic there is the report"
)]

use rondure_plan::plan::Plan;
use rondure_plan::{Outcome, evaluate};
use rondure_sheet::handout::{Size, handout};
use rondure_sheet::pictures::{Pictures, Sketch, StrokeKind, setup_pictures};
use rondure_sheet::{HandoutError, HandoutOptions, Texts, pictures, setup_svg};
use rondure_solid::DVec2;
use std::path::Path;

mod reader;

fn plan(change: impl Fn(String) -> String) -> (Plan, Outcome) {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lavender-ball-60.toml");
    let text = change(std::fs::read_to_string(file).unwrap());
    let plan = Plan::read(&text, "plan", &|_: &str| Err("no file".to_owned())).unwrap();
    let outcome = evaluate(&plan).unwrap();
    (plan, outcome)
}

fn middle_size() -> (Plan, Outcome) {
    plan(|text| text)
}

fn small_size() -> (Plan, Outcome) {
    plan(|text| {
        text.replace("\"60 mm\"", "\"50 mm\"")
            .replace("Lavender ball, middle size", "Lavender ball, small")
            .replace("depth = \"5 mm\"", "depth = \"4 mm\"")
            .replace("\"12 mm\"", "\"10 mm\"")
    })
}

/// Least and greatest of the wood's own lines.
fn wood(sketch: &Sketch) -> (DVec2, DVec2) {
    let mut points = sketch.wood.iter().flat_map(|stroke| &stroke.points);
    let first = *points.next().unwrap();
    points.fold((first, first), |(low, high), p| (low.min(*p), high.max(*p)))
}

fn area(outline: &[DVec2]) -> f64 {
    let next = outline.iter().cycle().skip(1);
    outline
        .iter()
        .zip(next)
        .map(|(a, b)| 0.5 * a.perp_dot(*b))
        .sum()
}

#[test]
fn the_whole_ball_is_drawn_round_between_its_centres() {
    let (plan, outcome) = middle_size();
    let drawn = setup_pictures(&plan, &outcome, "mounting.1").unwrap();
    let (low, high) = wood(&drawn.before);
    // A ball of 60 mm, bored through its poles: from any side 60 mm along the axis of the
    // lathe, and the bore of 20 mm takes at most R - sqrt(R² - 10²) = 1.72 mm off its height.
    assert!((high.x - 30.0).abs() < 0.15 && (low.x + 30.0).abs() < 0.15);
    assert!(high.y < 30.1 && high.y > 30.0 - 1.72 - 0.1, "{high}");
    assert_eq!(drawn.before.ends, ["16 mm spur drive", "16 mm ring centre"]);
    let numbers: Vec<&str> = drawn
        .before
        .labels
        .iter()
        .map(|label| label.words.as_str())
        .collect();
    // The eye looks between mark 3 (towards the turner) and its neighbours; 7 is behind the ball.
    for seen in ["1", "2", "3", "4", "5"] {
        assert!(numbers.contains(&seen), "{numbers:?}");
    }
    assert!(!numbers.contains(&"7"), "{numbers:?}");
}

#[test]
fn the_cut_open_ball_has_the_area_of_a_bored_disc() {
    let (plan, outcome) = middle_size();
    let drawn = setup_pictures(&plan, &outcome, "second-end").unwrap();
    let after = drawn.after.unwrap();
    // A disc of radius R without the strip |y| < b along the axis: two circular segments,
    // together 2 (R² acos(b / R) - b sqrt(R² - b²)).
    let (r, b) = (30.0_f64, 10.0_f64);
    let exact = 2.0 * (r * r * (b / r).acos() - b * (r * r - b * b).sqrt());
    let sum: f64 = after.cut.iter().map(|outline| area(outline)).sum();
    // Outlines lie within 0.1 mm: the error is less than that times their length.
    let length = 2.0 * (2.0 * r * (b / r).acos() + 2.0 * (r * r - b * b).sqrt());
    assert!((sum - exact).abs() < 0.1 * length, "{sum} {exact}");
    assert_eq!(after.cut.len(), 2);
    // Nothing of what lies behind the cut stands outside the ball.
    let far = after
        .wood
        .iter()
        .flat_map(|stroke| &stroke.points)
        .map(|p| p.length())
        .fold(0.0, f64::max);
    assert!(far < r + 0.1, "{far}");
}

#[test]
fn what_holds_is_seen_outside_the_wood_and_dashed_within() {
    let (plan, outcome) = middle_size();
    let drawn = setup_pictures(&plan, &outcome, "mounting.1")
        .unwrap()
        .before;
    for stroke in &drawn.over {
        let inside = stroke.points.iter().all(|p| p.length() < 29.0);
        let outside = stroke.points.iter().all(|p| p.length() > 30.2);
        match stroke.kind {
            StrokeKind::Holder => assert!(!inside, "{stroke:?}"),
            StrokeKind::HolderHidden => assert!(!outside, "{stroke:?}"),
            _ => {}
        }
    }
}

#[test]
fn drawings_are_the_same_on_any_count_of_cores() {
    let (plan, outcome) = middle_size();
    let on = |cores| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(cores)
            .build()
            .unwrap()
            .install(|| pictures(&plan, &outcome))
    };
    let one = on(1);
    assert_eq!(one.setups.len(), outcome.report.setups.len());
    assert!(!one.finished.as_ref().unwrap().tones.is_empty());
    assert!(one == on(3));
}

#[test]
fn the_drawing_for_the_screen_takes_the_colour_of_its_text() {
    let (plan, outcome) = middle_size();
    let svg = setup_svg(&plan, &outcome, "mounting.2").unwrap();
    assert!(svg.contains("currentColor") && !svg.contains("#000"));
    assert!(svg.contains(">4</text>"), "mark 4 faces the turner");
    assert_eq!(setup_svg(&plan, &outcome, "mounting.9"), None);
}

fn said(pdf: &[u8]) -> String {
    let read = reader::read(pdf);
    let pages: Vec<String> = read.pages.iter().map(|page| page.text.clone()).collect();
    pages.join(" ").split_whitespace().collect()
}

fn squeezed(words: &str) -> String {
    words.split_whitespace().collect()
}

#[test]
fn a_class_of_two_sizes_reads_both_numbers_and_no_sentence_of_the_wrong_size() {
    let ((_, middle), (_, small)) = (middle_size(), small_size());
    let none = Pictures::default();
    let sizes = [&middle, &small].map(|outcome| Size {
        report: &outcome.report,
        pictures: &none,
    });
    let options = HandoutOptions {
        students: 8,
        compress: false,
        ..HandoutOptions::default()
    };
    let text = said(&handout(&sizes, &options).unwrap());
    for setup in &middle.report.setups {
        assert!(text.contains(&squeezed(&setup.title)), "{}", setup.title);
    }
    assert!(text.contains(&squeezed("A: Lavender ball, middle size")));
    assert!(text.contains(&squeezed("B: Lavender ball, small")));
    // The cylinder is 62 mm for one and 52 mm for the other: each stands behind its letter, and
    // no sentence says 62 mm to all.
    assert!(text.contains("rough cylinder A 62 mm B 52 mm".replace(' ', "").as_str()));
    assert!(!text.contains(&squeezed("to a cylinder of 62 mm")));
    // Eight students and one spare in four: ten blanks.
    assert!(text.contains(&squeezed("10 of 66 mm square")), "{text}");
    assert!(text.contains(&squeezed("common practice, no source")));
    let twice = [(); 2].map(|()| handout(&sizes, &options).unwrap());
    assert!(twice[0] == twice[1]);
}

#[test]
fn a_class_reads_the_words_of_its_own_file() {
    let (_, middle) = middle_size();
    let none = Pictures::default();
    let own = Texts::read(
        "[handout]\nwhy = \"Warum:\"\n[minutes]\nrough = 35\n",
        "club.toml",
    )
    .unwrap();
    let options = HandoutOptions {
        texts: own.texts,
        compress: false,
        ..HandoutOptions::default()
    };
    let size = Size {
        report: &middle.report,
        pictures: &none,
    };
    let text = said(&handout(&[size], &options).unwrap());
    assert!(text.contains("Warum:") && !text.contains("Why:"));
    assert!(text.contains("35min"));
}

#[test]
fn a_size_with_other_marks_is_refused() {
    let (_, middle) = middle_size();
    let (_, other) = plan(|text| text.replace("marks    = 8", "marks    = 6"));
    let none = Pictures::default();
    let sizes = [&middle, &other].map(|outcome| Size {
        report: &outcome.report,
        pictures: &none,
    });
    let refused = handout(&sizes, &HandoutOptions::default());
    assert!(matches!(refused, Err(HandoutError::Differs { .. })));
}
