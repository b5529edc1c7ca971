//! Every key of a plan has its field, and a field's writing is the plan's own.

use std::collections::BTreeSet;

use super::{FieldKind, fields};
use crate::plan::Plan;

const DEMO: &str = include_str!("../../../../examples/lavender-ball-60.toml");
const INCHES: &str = include_str!("../../../../examples/ornament-1-7-8-in.toml");

fn read(text: &str) -> Plan {
    Plan::read(text, "test.toml", &|_| Err("built in".to_owned())).unwrap()
}

/// Keys that say what the plan is, not one of its sizes; and keys of shapes, which name the
/// shape by the key that is given.
fn asked(plan: &Plan) -> BTreeSet<String> {
    let not_given_shape =
        |key: &str| key.contains(".shape.") && !plan.source.places.contains_key(key);
    let unread = ["form", "fractions"];
    plan.source
        .keys
        .iter()
        .filter(|key| !unread.contains(&key.as_str()) && !not_given_shape(key))
        .filter(|key| {
            !plan
                .source
                .keys
                .iter()
                .any(|other| other.starts_with(&format!("{key}.")))
        })
        .cloned()
        .collect()
}

#[test]
fn every_key_that_a_plan_may_give_has_a_field() {
    for text in [DEMO, INCHES] {
        let plan = read(text);
        let listed: BTreeSet<String> = fields(&plan)
            .into_iter()
            .map(|field| field.key)
            .filter(|key| key != "fractions")
            .collect();
        assert_eq!(listed, asked(&plan));
    }
}

#[test]
fn what_a_field_says_is_written_is_what_the_file_gives() {
    let plan = read(DEMO);
    let fields = fields(&plan);
    let find = |key: &str| fields.iter().find(|field| field.key == key).unwrap();
    assert_eq!(find("cove.depth").written.as_deref(), Some("5 mm"));
    assert_eq!(find("ball.marks").written.as_deref(), Some("8"));
    assert_eq!(find("holding.jaws").written, None);
    assert_eq!(find("finials.top.shape.2.cove").value, Some(9.0));
    assert_eq!(
        find("finials.top.shape.2.to").label,
        "2: cove, diameter where it ends"
    );
}

/// Setting a field to each of its offers, and to both ends of its slider, gives text that reads
/// as a plan or is refused with a reason at that key or a key it depends on, never otherwise.
#[test]
fn offers_and_sliders_write_what_the_plan_can_read() {
    for text in [DEMO, INCHES] {
        let plan = read(text);
        for field in fields(&plan) {
            let mut tries: Vec<String> = field
                .offers
                .iter()
                .take(8)
                .map(|offer| offer.written.clone())
                .collect();
            if let Some(range) = field.range {
                assert!(range.from < range.to, "{}", field.key);
                let unit = match field.kind {
                    FieldKind::Length => field.unit,
                    _ => "",
                };
                tries.extend(
                    [range.from, range.to].map(|end| format!("{end} {unit}").trim().to_owned()),
                );
            }
            for written in tries {
                let text = plan.set(&field.key, &written).unwrap();
                if let Err(problems) =
                    Plan::read(&text, "test.toml", &|_| Err("built in".to_owned()))
                {
                    for problem in problems.list {
                        assert!(
                            !problem.key.is_empty() && !problem.allowed.is_empty(),
                            "{written}: {problem}"
                        );
                    }
                }
            }
        }
    }
}

/// In this demo every value stands within its slider, and no slider moves with its own value.
#[test]
fn sliders_hold_the_value_and_stand_still() {
    for text in [DEMO, INCHES] {
        let plan = read(text);
        for field in fields(&plan) {
            let (Some(range), Some(value)) = (field.range, field.value) else {
                continue;
            };
            assert!(
                (range.from - range.step..=range.to + range.step).contains(&value),
                "{}: {value} in {range:?}",
                field.key
            );
            let middle = 0.5 * (range.from + value);
            let unit = if field.kind == FieldKind::Length {
                field.unit
            } else {
                ""
            };
            let Some(changed) = plan.with(&field.key, format!("{middle} {unit}").trim()) else {
                continue;
            };
            let moved = fields(&changed)
                .into_iter()
                .find(|other| other.key == field.key)
                .unwrap();
            assert_eq!(moved.range, field.range, "{}", field.key);
        }
    }
}
