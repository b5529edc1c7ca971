//! What every file in the project owes the reader.
//!
//! No file names a package registry's host or a path of one machine; every
//! relative link in a page leads somewhere; every module says what it is for.
#![expect(
    clippy::unwrap_used,
    reason = "a check that cannot read what it checks has failed"
)]

use rondure_truths::{root, tracked_files};

/// Text of a tracked file; none for pictures and other bytes.
fn text_of(path: &str) -> Option<String> {
    String::from_utf8(std::fs::read(root().join(path)).unwrap()).ok()
}

/// Tracked files that are text, with their text.
fn texts(wanted: impl Fn(&str) -> bool) -> impl Iterator<Item = (String, String)> {
    tracked_files()
        .unwrap()
        .into_iter()
        .filter(move |path| wanted(path))
        .filter_map(|path| text_of(&path).map(|text| (path, text)))
}

#[test]
fn no_file_names_a_registry_or_a_machine() {
    // Written in halves, so that this file does not name them either.
    let unwanted = [
        ["crates", ".io"],
        ["npmjs", ".org"],
        ["npmjs", ".com"],
        ["pypi", ".org"],
        ["pythonhosted", ".org"],
        ["proxy.golang", ".org"],
        ["/wor", "k/"],
        ["/roo", "t/"],
        ["/hom", "e/"],
    ]
    .map(|halves| halves.concat());
    // Cargo writes its registry's name into its own lock file, with no way not to.
    let mut found = Vec::new();
    for (path, text) in texts(|path| !path.ends_with("Cargo.lock")) {
        for (index, line) in text.lines().enumerate() {
            if let Some(name) = unwanted.iter().find(|name| line.contains(name.as_str())) {
                found.push(format!("{path}:{}: {name}", index + 1));
            }
        }
    }
    assert!(found.is_empty(), "take these out:\n{}", found.join("\n"));
}

#[test]
fn every_relative_link_leads_somewhere() {
    let mut checked = 0;
    let mut broken = Vec::new();
    for (path, text) in texts(|path| path.ends_with(".md")) {
        let page = root().join(&path);
        for target in links(&text) {
            checked += 1;
            if !page.parent().unwrap().join(&target).exists() {
                broken.push(format!("{path}: {target}"));
            }
        }
    }
    assert!(
        broken.is_empty(),
        "these links lead nowhere:\n{}",
        broken.join("\n")
    );
    assert!(
        checked > 0,
        "no relative link was found: does the reader of links still work?"
    );
}

/// Targets of the inline links to files, without what follows `#`. Code blocks,
/// comments, and links to the same page or to other hosts are left out.
fn links(page: &str) -> Vec<String> {
    let mut shown = String::new();
    let mut rest = page;
    while let Some((before, comment)) = rest.split_once("<!--") {
        shown.push_str(before);
        rest = comment.split_once("-->").map_or("", |(_, after)| after);
    }
    shown.push_str(rest);

    let mut targets = Vec::new();
    let mut in_code = false;
    for line in shown.lines() {
        if line.trim_start().starts_with("```") {
            in_code = !in_code;
        } else if !in_code {
            let ends = line
                .split("](")
                .skip(1)
                .filter_map(|rest| rest.split_once(')'));
            let files = ends.filter_map(|(target, _)| target.split('#').next());
            targets.extend(
                files
                    .filter(|file| !file.is_empty() && !file.contains(':'))
                    .map(str::to_owned),
            );
        }
    }
    targets
}

#[test]
fn links_are_read_as_a_reader_sees_them() {
    let page = "See [a](docs/a.md#part), [b](b.md) and [c](https://example.org/c.md).\n\
                <!-- [not yet](d.md)\n-->\n```\n[code](e.md)\n```\n[here](#part) ![f](f.png)\n";
    assert_eq!(links(page), ["docs/a.md", "b.md", "f.png"]);
}

#[test]
fn every_module_says_what_it_is_for() {
    let silent: Vec<_> = texts(|path| path.ends_with(".rs"))
        .filter(|(path, _)| {
            let tests = ["tests", "tests.rs", "benches"];
            !path.split('/').any(|part| tests.contains(&part))
        })
        .filter(|(_, text)| !text.starts_with("//! "))
        .map(|(path, _)| path)
        .collect();
    assert!(
        silent.is_empty(),
        "these do not open with `//!`:\n{}",
        silent.join("\n")
    );
}
