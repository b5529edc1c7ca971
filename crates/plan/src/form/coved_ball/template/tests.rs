//! Every text is judged again by the same reading and findings that a turner's plan goes through.

use super::*;

/// What is found in a text that is more than a note.
fn judged(text: &str) -> Vec<Finding> {
    let plan = Plan::read(text, "new.toml", &|_| Err("built in".to_owned()))
        .unwrap_or_else(|wrong| panic!("{wrong}\n{text}"));
    let expanded = expand(&plan).unwrap_or_else(|wrong| panic!("{wrong}\n{text}"));
    let mut study = Study::new(&plan, expanded);
    study.trial = true;
    let mut found = findings::find(&study);
    found.retain(|finding| finding.weight != Weight::Note);
    found
}

fn wish(diameter: f64, marks: u32, unit: LengthUnit) -> Wish {
    Wish {
        marks,
        unit,
        ..Wish::new(diameter)
    }
}

/// Sound: nothing found, or only the feather of holes that meet where 360°/n is below the usual
/// limit of 30°, and then the text says so.
fn sound(diameter: f64, marks: u32, unit: LengthUnit) {
    let text = plan_text(&wish(diameter, marks, unit))
        .unwrap_or_else(|why| panic!("{diameter} mm, {marks} marks: {why}"));
    let found = judged(&text);
    let ids: Vec<_> = found.iter().map(|finding| finding.id).collect();
    let expected: &[&str] = if marks > 12 { &["edge.feather"] } else { &[] };
    assert_eq!(ids, expected, "{diameter} mm, {marks} marks: {found:?}");
    let warned = text.contains("One finding to watch stays");
    assert_eq!(warned, marks > 12, "{text}");
    if let Some(feather) = found.first() {
        assert!((feather.value - 360.0 / f64::from(marks)).abs() < 0.1);
    }
}

#[test]
fn plans_in_millimetres_are_sound() {
    for (diameter, marks) in [(40.0, 8), (120.0, 8), (48.0, 12), (60.0, 16)] {
        sound(diameter, marks, LengthUnit::Millimetre);
    }
}

#[test]
fn plans_in_inches_are_sound() {
    for (diameter, marks) in [(44.45, 8), (84.0, 12)] {
        sound(diameter, marks, LengthUnit::Inch);
    }
}

/// The whole range that new plans are meant for; run by name after a change of the proportions.
#[test]
#[ignore = "a minute of work"]
fn the_whole_range_is_sound() {
    for unit in [LengthUnit::Millimetre, LengthUnit::Inch] {
        for step in 0..=10 {
            sound(40.0 + 8.0 * f64::from(step), 8, unit);
        }
        for diameter in [48.0, 60.0, 84.0, 100.0] {
            for marks in [12, 16] {
                sound(diameter, marks, unit);
            }
        }
    }
}

/// The sizes of the 60 mm ball that the examples carry.
#[test]
fn the_ball_of_60_mm_has_the_sizes_of_the_example() {
    let text = plan_text(&Wish::new(60.0)).unwrap();
    let load = |_: &str| Err("built in".to_owned());
    let new = Plan::read(&text, "new.toml", &load).unwrap();
    let example = include_str!("../../../../../../examples/lavender-ball-60.toml");
    let old = Plan::read(example, "old.toml", &load).unwrap();
    assert_eq!(new.cove, old.cove);
    assert_eq!(new.bore, old.bore);
    assert_eq!(new.markers, old.markers);
    assert_eq!(new.pierce, old.pierce);
    assert_eq!(new.finials, old.finials);
    assert_eq!(text, plan_text(&Wish::new(60.0)).unwrap());
}

#[test]
fn unsuitable_marks_are_refused_with_marks_that_work() {
    let why = plan_text(&wish(60.0, 7, LengthUnit::Millimetre)).unwrap_err();
    assert!(why.says.contains("two opposite marks"), "{why}");
    assert_eq!(why.mend, "At 60 mm, 8 marks work.");
    let why = plan_text(&wish(60.0, 10, LengthUnit::Millimetre)).unwrap_err();
    assert!(why.says.contains("4 does not divide"), "{why}");
    assert_eq!(why.mend, "At 60 mm, 8 marks work.");
    let why = plan_text(&wish(60.0, 20, LengthUnit::Millimetre)).unwrap_err();
    assert!(why.says.contains("index head"), "{why}");
    assert_eq!(why.mend, "At 60 mm, 16 marks work.");
}

/// What a refusal names has been tried; here it is tried once more.
#[test]
fn a_tiny_ball_is_refused_with_a_ball_that_works() {
    let tiny = wish(20.0, 12, LengthUnit::Millimetre);
    let why = plan_text(&tiny).unwrap_err();
    let (_, after) = why
        .mend
        .split_once("With 12 marks, ")
        .unwrap_or_else(|| panic!("{why}"));
    let diameter: f64 = after.trim_end_matches(" mm works.").parse().unwrap();
    assert!(diameter > 20.0);
    sound(diameter, 12, LengthUnit::Millimetre);
}

#[test]
fn a_wood_or_diameter_that_is_none_is_refused() {
    let wood = Wish {
        wood: "field mapel".to_owned(),
        ..Wish::new(60.0)
    };
    let why = plan_text(&wood).unwrap_err();
    assert!(why.mend.contains("field maple"), "{why}");
    for diameter in [f64::NAN, 5.0] {
        let why = plan_text(&Wish::new(diameter)).unwrap_err();
        assert!(why.says.contains("10 mm to 300 mm"), "{why}");
        assert!(why.mend.contains(" works."), "{why}");
    }
}

/// A title is the turner's own, whatever marks it holds.
#[test]
fn a_title_is_kept_to_the_letter() {
    let title = "For \"the\" shop \\ 1 = one # two";
    let shop = Shop::of(LengthUnit::Millimetre);
    let wish = Wish {
        title: Some(title.to_owned()),
        ..Wish::new(60.0)
    };
    let draft = Draft::new(&shop, &wish).unwrap();
    let plan = read(&text::write(&shop, &wish, &draft, false)).unwrap();
    assert_eq!(plan.title, title);
}
