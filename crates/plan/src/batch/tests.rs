//! A whole run from its file.

use super::*;
use crate::plan::Plan;

const RUN: &str = r#"
title = "Two sizes"
[[piece]]
plan = "60"
count = 2
[[piece]]
plan = "45"
count = 1
[[stock]]
name = "branch"
shape = "round"
across = "70 mm"
length = "400 mm"
defects = [ { from = "200 mm", to = "220 mm", what = "knot" } ]
[[stock]]
name = "square"
across = "40 mm"
length = "700 mm"
"#;

fn load(path: &str) -> Result<Result<Plan, Problems>, String> {
    let text = match path {
        "60" => include_str!("../../../../examples/lavender-ball-60.toml"),
        "45" => include_str!("../../../../examples/lavender-ball-45.toml"),
        _ => return Err("there is no such file".to_owned()),
    };
    Ok(Plan::read(text, path, &|_| Err("no file".to_owned())))
}

fn batch(text: &str) -> Batch {
    let asked = read(text, "run.toml", &load).unwrap();
    plan_batch(&asked, &Memory::default()).unwrap()
}

/// Worked by hand: the balls are 95, 95 and 72 mm long; the branch is clear from 10 to 198.8 mm and
/// from 221.2 to 390 mm, of which each holds 95 + 1.2 + 72 and neither two of 95.
#[test]
fn blanks_lie_between_the_defects() {
    let found = batch(RUN);
    assert!(found.cutting.left_over.is_empty(), "{:#?}", found.cutting);
    let branch = &found.cutting.sticks[0];
    assert_eq!(branch.name, "branch");
    for cut in &branch.cuts {
        let clear = (cut.from_mm >= 10.0 && cut.to_mm <= 198.8 + 1e-9)
            || (cut.from_mm >= 221.2 - 1e-9 && cut.to_mm <= 390.0 + 1e-9);
        assert!(clear, "{cut:?}");
    }
    for pair in branch.cuts.windows(2) {
        assert!(pair[1].from_mm >= pair[0].to_mm + 1.2 - 1e-9, "{pair:?}");
    }
    let balls = branch
        .cuts
        .iter()
        .filter(|cut| cut.what.ends_with(": ball"));
    assert_eq!(balls.count(), 3);
}

/// Two sizes done abreast change jaws and bits less often than one after the other, and every set-up
/// of every plan is there.
#[test]
fn sizes_share_their_changes() {
    let found = batch(RUN).work;
    assert!(found.proven);
    assert!(
        (found.holdings, found.bits) < found.one_by_one,
        "{found:#?}"
    );
    // Rough, ball, second end, mountings, pierce, two finials, assembly, of each size.
    assert_eq!(found.sheets.len(), 16);
    let last = &found.sheets[15];
    assert_eq!(last.holding, "at the bench");
    assert!(found.sheets.iter().all(|sheet| sheet.minutes > 0.0));
    let sheet = found
        .sheets
        .iter()
        .find(|sheet| sheet.title.starts_with("Mountings, 4"))
        .unwrap();
    assert!(
        sheet
            .settings
            .iter()
            .any(|setting| setting.label.contains("flat"))
    );
}

/// Minutes worked by hand from the figures: set-ups at 60 mm take them as they are, at 45 mm three
/// quarters, with four mountings and two finials each.
#[test]
fn time_is_the_sum_of_its_figures() {
    let found = batch(RUN);
    let one = 15.0 + 45.0 + 20.0 + 4.0 * 25.0 + 30.0 + 2.0 * 35.0 + 15.0;
    let changes = 5.0 * found.work.holdings as f64 + 1.5 * found.work.bits as f64;
    let minutes = (2.0 + 0.75) * one + changes;
    assert!((found.time.minutes - minutes).abs() < 1e-6);
    assert!(
        (found.time.from, found.time.to) == (0.8 * found.time.minutes, 1.2 * found.time.minutes)
    );
}

#[test]
fn wood_that_lacks_is_said() {
    let short = RUN
        .replace("length = \"400 mm\"", "length = \"200 mm\"")
        .replace(
            "from = \"200 mm\", to = \"220 mm\"",
            "from = \"10 mm\", to = \"20 mm\"",
        );
    let found = batch(&short).cutting;
    assert_eq!(found.left_over.len(), 1, "{found:#?}");
    assert!(found.proven && found.says.contains("however it is cut"));
    let other = RUN.replace(
        "name = \"branch\"",
        "name = \"branch\"\nwood = \"black cherry\"",
    );
    assert_eq!(batch(&other).cutting.left_over.len(), 3);
}

#[test]
fn a_bad_file_is_told_all_at_once() {
    let bad = RUN
        .replace("plan = \"45\"", "plan = \"46\"")
        .replace("to = \"220 mm\"", "to = \"120 mm\"")
        + "\n[[noted]]\nsetup = \"mountng\"\ndiameter = \"60 mm\"\nminutes = 3\n";
    let wrong = read(&bad, "run.toml", &load).unwrap_err();
    let keys: Vec<&str> = wrong
        .list
        .iter()
        .map(|problem| problem.key.as_str())
        .collect();
    assert_eq!(
        keys,
        ["piece.2.plan", "stock.1.defects.1.to", "noted.1.setup"]
    );
}
