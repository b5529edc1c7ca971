//! Files of words: the built-in one, and ones with planted faults.

use super::*;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

#[test]
fn the_built_in_file_overrides_itself_whole() {
    let read = Texts::read(Texts::file(), "en.toml").unwrap();
    assert_eq!(read.texts, Texts::default());
    assert!(read.left_out.is_empty(), "{:?}", read.left_out);
    assert!(read.texts.entries.len() > 100);
}

#[test]
fn one_line_overrides_one_text_and_the_rest_is_named() {
    let read = Texts::read("[setup]\ntool = \"Werkzeug:\"\n", "de.toml").unwrap();
    assert_eq!(read.texts.of("setup.tool"), "Werkzeug:");
    assert_eq!(read.texts.of("setup.speed"), "Speed:");
    assert!(!read.left_out.contains(&"setup.tool".to_owned()));
    assert_eq!(read.left_out.len() + 1, Texts::default().entries.len());
}

#[test]
fn faults_are_told_all_at_once_with_line_and_mend() {
    let text = "[setup]\ntoll = \"x\"\nspeed = 3\nnumber = \"Set-up {number}: {piece}\"\nheld = \"Held {x}:\"\n[minutes]\nrough = -1\n";
    let problems = Texts::read(text, "club.toml").unwrap_err();
    let said: Vec<String> = problems.list.iter().map(ToString::to_string).collect();
    let lines: Vec<usize> = problems.list.iter().map(|problem| problem.line).collect();
    assert_eq!(lines, [2, 3, 4, 5, 7], "{said:?}");
    assert!(said[0].contains("did you mean setup.tool?"), "{}", said[0]);
    assert!(said[2].contains("{count}"), "{}", said[2]);
    assert!(said[3].contains("{x}"), "{}", said[3]);
}

#[test]
fn text_that_is_no_toml_is_told_with_its_line() {
    let problems = Texts::read("[setup]\ntool = Tool\n", "club.toml").unwrap_err();
    assert_eq!(problems.list[0].line, 2);
}

#[test]
fn what_is_filled_in_is_not_filled_again() {
    let texts = Texts::read("[setup]\ncarried = \"{title} ({number})\"\n", "x")
        .unwrap()
        .texts;
    let words = texts.filled("setup.carried", &[("number", "3"), ("title", "{number}")]);
    assert_eq!(words, "{number} (3)");
}

#[test]
fn identifiers_find_the_words_of_their_kind() {
    let texts = Texts::default();
    assert!(
        texts
            .about("why", "mounting.3.cove")
            .unwrap()
            .contains("downhill")
    );
    assert!(
        texts
            .about("why", "ball.facets.16")
            .unwrap()
            .contains("Straight")
    );
    assert!(
        texts
            .about("why", "finial.top.shape.5")
            .unwrap()
            .contains("tip")
    );
    assert!(texts.about("why", "pierce.4").unwrap().contains("scent"));
    assert_eq!(texts.number("minutes", "mounting.2"), Some(35.0));
    assert!(!texts.list("goes_wrong", "second-end").is_empty());
    assert_eq!(texts.about("why", "nothing.of.this"), None);
}

/// Every key the code asks for is in the file, and every single text of the file is asked for.
#[test]
fn code_and_file_know_the_same_keys() {
    let mut code = String::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if !path.ends_with("texts/tests.rs") {
                code.push_str(&fs::read_to_string(path).unwrap());
            }
        }
    }
    let texts = Texts::default();
    // Sections that are looked up by kinds of set-ups and steps.
    let by_kind = ["why.", "do.", "see.", "goes_wrong.", "minutes."];
    for key in texts.entries.keys() {
        if by_kind.iter().any(|section| key.starts_with(section)) {
            continue;
        }
        assert!(code.contains(&format!("\"{key}\"")), "no sheet says {key}");
    }
    let asked: BTreeSet<&str> = ["texts.of(\"", "texts.filled(\"", "texts.value(\""]
        .iter()
        .flat_map(|call| code.split(call).skip(1))
        .filter_map(|after| after.split('"').next())
        .collect();
    for key in asked {
        assert!(texts.entries.contains_key(key), "{key} is not in the file");
    }
}
