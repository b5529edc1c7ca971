//! The lists of measures and findings in docs/ are those of the code.
//!
//! Run with `RONDURE_WRITE_DOCS=1` to write them anew.

#![expect(
    clippy::unwrap_used,
    reason = "a list that cannot be written is a failed check"
)]

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

use rondure_plan::evaluate;
use rondure_plan::findings::kind;
use rondure_plan::plan::Plan;
use rondure_plan::report::Weight;

const PLANS: [&str; 3] = [
    include_str!("../../../examples/lavender-ball-60.toml"),
    include_str!("../../../examples/ornament-1-7-8-in.toml"),
    include_str!("../../../examples/lavender-ball-84.toml"),
];

fn same(file: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../docs")
        .join(file);
    if std::env::var_os("RONDURE_WRITE_DOCS").is_some() {
        std::fs::write(&path, text).unwrap();
    }
    let found = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        found == text,
        "docs/{file} is not what the code says; run the tests once with RONDURE_WRITE_DOCS=1"
    );
}

#[test]
fn findings_are_listed() {
    let mut text = String::from(
        "# Findings\n\nEvery kind of finding, with its stable identifier. *Stops*: the job cannot be done as planned. *Watch*: it can, with care or with a loss. *Note*: worth knowing. This list is written from the code.\n\n| id | weight | means | limit from |\n|---|---|---|---|\n",
    );
    for kind in kind::ALL.iter().chain(kind::HOLD) {
        let weight = match kind.weight {
            Weight::Stops => "stops",
            Weight::Watch => "watch",
            Weight::Note => "note",
        };
        writeln!(
            text,
            "| `{}` | {weight} | {} | {} |",
            kind.id, kind.means, kind.limit_from
        )
        .unwrap();
    }
    same("findings.md", &text);
}

/// An identifier with its counted parts written as letters, so that one row stands for all.
fn pattern(id: &str) -> String {
    let numbered = |part: &str| part.chars().all(|c| c.is_ascii_digit() || c == '-');
    let parts: Vec<&str> = id
        .split('.')
        .map(|part| if numbered(part) { "N" } else { part })
        .collect();
    parts.join(".")
}

#[test]
fn measures_are_listed() {
    let mut rows: BTreeMap<String, (String, &str, String)> = BTreeMap::new();
    let mut order = Vec::new();
    for text in PLANS {
        let plan = Plan::read(text, "plan.toml", &|_| Err("no files here".to_owned()))
            .unwrap_or_else(|wrong| panic!("{wrong}"));
        let outcome = evaluate(&plan).unwrap_or_else(|wrong| panic!("{wrong}"));
        for measure in outcome.report.measures {
            let id = pattern(&measure.id);
            if let std::collections::btree_map::Entry::Vacant(row) = rows.entry(id) {
                order.push(row.key().clone());
                row.insert((measure.label, measure.unit, measure.tool));
            }
        }
    }
    let mut text = String::from(
        "# Measures\n\nEvery number to set or mark, with its stable identifier, as the example plans give them. `N` stands for a number: of a mounting, a shape, a corner, a pair of coves. Labels and tools are those of the first that occurs. This list is written from the code.\n\n| id | label | unit | tool |\n|---|---|---|---|\n",
    );
    for id in order {
        let (label, unit, tool) = &rows[&id];
        writeln!(text, "| `{id}` | {label} | {unit} | {tool} |").unwrap();
    }
    same("measures.md", &text);
}

/// `rondure report --explain` has words for every measure.
#[test]
fn no_measure_lacks_its_words() {
    let mut missing = std::collections::BTreeSet::new();
    for text in PLANS {
        let plan = Plan::read(text, "plan.toml", &|_| Err("no files here".to_owned()))
            .unwrap_or_else(|wrong| panic!("{wrong}"));
        let outcome = evaluate(&plan).unwrap_or_else(|wrong| panic!("{wrong}"));
        missing.extend(
            outcome
                .report
                .measures
                .iter()
                .filter(|measure| rondure_plan::explain::explain(&measure.id).is_none())
                .map(|measure| pattern(&measure.id)),
        );
    }
    assert!(missing.is_empty(), "{missing:?}");
}

/// Identifiers are dotted, lower case, and each measure has its own.
#[test]
fn identifiers_are_well_made() {
    for text in PLANS {
        let plan = Plan::read(text, "plan.toml", &|_| Err("no files here".to_owned()))
            .unwrap_or_else(|wrong| panic!("{wrong}"));
        let report = evaluate(&plan)
            .unwrap_or_else(|wrong| panic!("{wrong}"))
            .report;
        let mut seen = std::collections::BTreeSet::new();
        for measure in &report.measures {
            assert!(seen.insert(&measure.id), "{} twice", measure.id);
            assert!(
                measure
                    .id
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || ".-".contains(c)),
                "{}",
                measure.id
            );
            assert!(
                measure.id.starts_with(&measure.step) && measure.step.starts_with(&measure.setup),
                "{}",
                measure.id
            );
            assert!(
                measure.shown.chars().any(|c| c.is_ascii_digit()),
                "{} shows no number",
                measure.id
            );
        }
        for setup in &report.setups {
            for step in &setup.steps {
                assert!(seen.insert(&step.id), "{} twice", step.id);
            }
        }
    }
}
