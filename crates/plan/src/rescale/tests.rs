//! Plans with a planted best answer, limits one by one, and what must hold of every size.

use proptest::prelude::*;

use super::*;
use crate::form::coved_ball::sizes::lay_out;
use crate::plan::Pierce;
use crate::report::Weight;

pub(super) fn demo() -> Plan {
    read(include_str!("../../../../examples/lavender-ball-60.toml"))
}

fn read(text: &str) -> Plan {
    Plan::read(text, "test", &|_| Err("no file".to_owned())).unwrap()
}

fn at(plan: &Plan, diameter_mm: f64, keeps: &[&str]) -> Result<Rescaled, NoSize> {
    let wish = Wish {
        diameter_mm,
        keeps: Keeps::new(keeps.iter().map(|key| (*key).to_owned())),
        ..Wish::default()
    };
    rescale(plan, &wish, &Memory::default())
}

fn number<'r>(rescaled: &'r Rescaled, key: &str) -> &'r Number {
    let mut numbers = rescaled.numbers.iter();
    numbers
        .find(|number| number.key == key)
        .unwrap_or_else(|| panic!("no {key}"))
}

/// Planted: at its own size the best answer is the plan itself.
#[test]
fn its_own_size_changes_nothing() {
    let old = demo();
    let same = at(&old, 60.0, &[]).unwrap();
    assert_eq!(same.unlikeness, 0.0);
    for number in &same.numbers {
        assert_eq!(number.old, number.chosen, "{}", number.key);
    }
}

/// Planted: at one and a half times everything in proportion is in the rack and on the tools
/// (20 → 30, 12 → 18, 2 → 3, 5 → 7.5), so nothing shaped may differ.
#[test]
fn where_proportion_can_be_set_it_is_set() {
    let larger = at(&demo(), 90.0, &[]).unwrap();
    assert_eq!(larger.unlikeness, 0.0);
    for number in larger.numbers.iter().filter(|n| n.role == Role::Scaling) {
        assert_eq!(number.proportional, number.chosen, "{}", number.key);
    }
    assert_eq!(number(&larger, "bore.diameter").chosen, "30 mm");
    assert_eq!(
        number(&larger, "finials.top.hanger.diameter").chosen,
        "1.5 mm"
    );
    assert_eq!(number(&larger, "limits.web").chosen, "2.5 mm");
}

/// Planted: the wall asked for is set so that the proportional hole is just too large, on coves that
/// touch, where nothing but the wood between the rims stands in the way. By DESIGN section 4 that is
/// 2 ρ_b sin(δ/2) − 2h; a smaller bit, a shallower cove or both buy it, and every bit and depth is
/// worked out here for the least loss.
#[test]
fn a_wall_is_bought_at_the_least_loss_of_look() {
    const WALL: f64 = 6.0;
    let old = read(&demo().set("limits.web", "6 mm").unwrap());
    let old = read(&old.set("cove.land", "0").unwrap());
    let new = at(&old, 60.0, &["bore", "cove.land", "finials"]).unwrap();
    let layout = lay_out(&read(&new.text)).unwrap();
    assert!(layout.rim_gap().unwrap() >= WALL);
    let mut best = f64::INFINITY;
    for tenths in 34..=75 {
        for hole in [8.0, 8.5, 9.0, 9.5, 10.0, 10.5, 11.0, 11.5, 12.0, 12.5, 13.0] {
            let mut other = old.clone();
            other.cove.depth = f64::from(tenths) / 10.0;
            other.pierce = Some(Pierce { diameter: hole });
            if lay_out(&other).unwrap().rim_gap().unwrap() >= WALL {
                let sum = (other.cove.depth / 5.0).ln().powi(2) + (hole / 12.0).ln().powi(2);
                // Depth, land, hole, half a bore, two finials.
                best = best.min((sum / 5.5).sqrt());
            }
        }
    }
    assert!(
        (new.unlikeness - best).abs() < 1e-12,
        "{} against {best}",
        new.unlikeness
    );
    for key in ["cove.depth", "pierce.diameter"] {
        let number = number(&new, key);
        assert!(number.old != number.chosen);
        assert!(
            number.reason.as_ref().unwrap().contains("rim.gap"),
            "{number:?}"
        );
    }
}

/// What stands in the way is said, with sizes that work; those are tried here again.
#[test]
fn a_size_without_an_answer_says_why_and_what_works() {
    let none = at(&demo(), 15.0, &[]).unwrap_err();
    assert!(!none.hindrances.is_empty() && none.says.contains("15 mm"));
    let kept = at(&demo(), 30.0, &["bore", "pierce"]).unwrap_err();
    let ids: Vec<&str> = kept
        .hindrances
        .iter()
        .map(|each| each.id.as_str())
        .collect();
    assert!(
        ids.iter()
            .any(|id| ["cove.bore", "rim.gap", "plan", "finial.shoulder"].contains(id)),
        "{ids:?}"
    );
    let larger: f64 = kept.ways[0]
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .find_map(|word| word.parse().ok())
        .unwrap();
    assert!(larger > 30.0 && at(&demo(), larger, &["bore", "pierce"]).is_ok());
    assert!(at(&demo(), larger - 1.0, &["bore", "pierce"]).is_err());
}

#[test]
fn what_cannot_be_asked_is_refused_in_words() {
    let keeps = at(&demo(), 45.0, &["boar"]).unwrap_err();
    assert!(keeps.says.contains("\"boar\"") && keeps.says.contains("bore.diameter"));
    assert!(at(&demo(), 45.0, &["ball.diameter"]).is_err());
    assert!(
        at(&demo(), 1000.0, &[])
            .unwrap_err()
            .says
            .contains("300 mm")
    );
    let wish = Wish {
        diameter_mm: 45.0,
        marks: Some(7),
        ..Wish::default()
    };
    let odd = rescale(&demo(), &wish, &Memory::default()).unwrap_err();
    assert!(odd.says.contains("even"));
}

/// Remarks, order and units of the plan stay.
#[test]
fn remarks_and_units_stay() {
    let new = at(&demo(), 45.0, &[]).unwrap();
    for remark in [
        "# ball surface left between neighbouring coves",
        "# percent",
        "# mm, cm or in",
    ] {
        assert!(new.text.contains(remark), "{remark}");
    }
    assert!(new.text.contains("diameter = \"45 mm\""));
    let inches = read(include_str!("../../../../examples/ornament-1-7-8-in.toml"));
    let new = at(&inches, 2.25 * 25.4, &[]).unwrap();
    assert!(new.text.contains("units = \"in\"") && !new.text.contains(" mm\""));
    // The file wrote lengths bare.
    assert!(new.text.contains("diameter = \"2 1/4\""), "{}", new.text);
}

/// The examples at other sizes are what the code gives. `RONDURE_WRITE_EXAMPLES=1` writes them.
#[test]
fn the_examples_are_what_the_code_gives() {
    for (size, name) in [
        (45.0, "lavender-ball-45.toml"),
        (90.0, "lavender-ball-90.toml"),
    ] {
        let wish = Wish {
            diameter_mm: size,
            title: Some(format!("Lavender ball, {size} mm")),
            ..Wish::default()
        };
        let text = rescale(&demo(), &wish, &Memory::default()).unwrap().text;
        let path = format!("{}/../../examples/{name}", env!("CARGO_MANIFEST_DIR"));
        if std::env::var_os("RONDURE_WRITE_EXAMPLES").is_some() {
            std::fs::write(&path, &text).unwrap();
        }
        assert_eq!(std::fs::read_to_string(&path).unwrap(), text, "{name}");
    }
}

/// The closed forms only save work: what they refuse, the findings refuse too.
#[test]
fn at_sight_never_refuses_what_holds() {
    let memory = Memory::default();
    let none = hinder::Tolerated::new();
    for depth in [3.0, 5.0, 8.0] {
        for hole in [9.0, 12.0, 14.0, 16.0] {
            for bore in [12.0, 20.0, 35.0] {
                let mut plan = demo();
                plan.cove.depth = depth;
                plan.pierce = Some(Pierce { diameter: hole });
                plan.bore.diameter = bore;
                let layout = lay_out(&plan).unwrap();
                if let Some(id) = hinder::at_sight(&plan, &layout, &none) {
                    let found = hinder::judge(&plan, &memory, &none).0;
                    assert!(found.iter().any(|each| each.id == id), "{id}: {found:?}");
                }
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Whatever the size and what is kept: the new plan reads, nothing stops it, keeps are kept,
    /// and no number is farther from its wish than the search's reach.
    #[test]
    fn every_answer_holds(tenths in 300..1500_u32, keep in 0..4_usize) {
        let keeps: &[&str] = [&[][..], &["cove.land"], &["markers", "bore"], &["finials.top"]][keep];
        let old = demo();
        let size = f64::from(tenths) / 10.0;
        if let Ok(new) = at(&old, size, keeps) {
            let plan = read(&new.text);
            prop_assert_eq!(plan.ball.diameter, size);
            let found = crate::evaluate_quick(&plan, &Memory::default()).unwrap().report.findings;
            prop_assert!(found.iter().all(|finding| finding.weight != Weight::Stops), "{:?}", found);
            let held = Keeps::new(keeps.iter().map(|key| (*key).to_owned()));
            for number in &new.numbers {
                if held.holds(&number.key) {
                    prop_assert!(number.kept && number.old == number.chosen, "{:?}", number);
                } else if number.key.starts_with("cove.depth") || number.key.starts_with("pierce") {
                    let difference = number.difference.unwrap();
                    prop_assert!((0.66..1.51).contains(&(1.0 + difference)), "{:?}", number);
                }
            }
        } else {
            prop_assert!(!(40.0..=150.0).contains(&size) || keep > 1, "no answer for {size}");
        }
    }
}
