//! The arrows on the page ARCHITECTURE.md are the arrows in the code, both ways.
//!
//! The page's table is read row by row and held against what cargo itself says
//! the crates depend on, for building and for testing alike.
#![expect(
    clippy::unwrap_used,
    reason = "a check that cannot read what it checks has failed"
)]

use std::collections::{BTreeMap, BTreeSet};

use rondure_truths::{printed_by, root};
use serde_json::Value;

/// A crate's folder, and the folders of the crates it knows.
type Arrows = BTreeMap<String, BTreeSet<String>>;

const HEADER: &str = "| crate | may know |";

/// The rows of the page's table, in the page's order.
fn rows_on_page() -> Vec<(String, BTreeSet<String>)> {
    let page = std::fs::read_to_string(root().join("ARCHITECTURE.md")).unwrap();
    let mut lines = page.lines().skip_while(|line| *line != HEADER);
    assert!(
        lines.next().is_some(),
        "ARCHITECTURE.md has no table headed `{HEADER}`"
    );
    lines
        .skip(1)
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            let cells: Vec<_> = line.trim_matches('|').split('|').collect();
            let [name, knows] = cells.as_slice() else {
                panic!("not two cells: {line}");
            };
            let knows = knows
                .split(',')
                .map(bare)
                .filter(|name| !name.is_empty())
                .collect();
            (bare(name), knows)
        })
        .collect()
}

/// A crate's name without the code marks round it; `nothing` is no name.
fn bare(cell: &str) -> String {
    let name = cell.trim().trim_matches('`');
    if name == "nothing" {
        String::new()
    } else {
        name.to_owned()
    }
}

/// What cargo says. A crate is called by its folder, as the page calls it.
fn arrows_in_code() -> Arrows {
    let arguments = [
        "metadata",
        "--format-version",
        "1",
        "--no-deps",
        "--offline",
    ];
    let metadata: Value =
        serde_json::from_str(&printed_by(env!("CARGO"), &arguments).unwrap()).unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    let folder = |manifest_or_folder: &str| {
        let path = manifest_or_folder
            .trim_end_matches("Cargo.toml")
            .trim_end_matches(['/', '\\']);
        path.rsplit(['/', '\\']).next().unwrap().to_owned()
    };
    packages
        .iter()
        .map(|package| {
            let knows = package["dependencies"]
                .as_array()
                .unwrap()
                .iter()
                .filter_map(|dependency| dependency["path"].as_str())
                .map(folder)
                .collect();
            (folder(package["manifest_path"].as_str().unwrap()), knows)
        })
        .collect()
}

#[test]
fn page_and_code_show_the_same_arrows() {
    let page: Arrows = rows_on_page().into_iter().collect();
    let code = arrows_in_code();
    let none = BTreeSet::new();
    let mut differences = Vec::new();
    for name in page.keys().chain(code.keys()).collect::<BTreeSet<_>>() {
        if !page.contains_key(name) {
            differences.push(format!("crate `{name}` is not on the page"));
        }
        if !code.contains_key(name) {
            differences.push(format!("the page has `{name}`, which is no crate"));
        }
        let on_page = page.get(name).unwrap_or(&none);
        let in_code = code.get(name).unwrap_or(&none);
        for other in in_code.difference(on_page) {
            differences.push(format!("`{name}` knows `{other}`, but not on the page"));
        }
        for other in on_page.difference(in_code) {
            differences.push(format!(
                "the page lets `{name}` know `{other}`, but it does not"
            ));
        }
    }
    assert!(
        differences.is_empty(),
        "ARCHITECTURE.md:\n{}",
        differences.join("\n")
    );
}

#[test]
fn a_crate_knows_only_crates_above_it() {
    let mut above = BTreeSet::new();
    for (name, knows) in rows_on_page() {
        for other in &knows {
            assert!(
                above.contains(other),
                "`{name}` knows `{other}`, which stands below it"
            );
        }
        assert!(
            above.insert(name.clone()),
            "`{name}` stands twice on the page"
        );
    }
}
