use super::*;

fn folder(test: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("rondure-shelf-{test}-{}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    folder
}

fn name(name: &str) -> Name {
    Name::new(name).unwrap()
}

/// The text a refusal holds against an older revision.
fn newer(refused: Refused) -> Sheet {
    match refused {
        Refused::Newer(sheet) => *sheet,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_change_is_kept_and_a_change_of_an_older_text_is_refused() {
    let shelf = Shelf::open(&folder("keep")).unwrap();
    let ball = name("ball");
    shelf.create(&ball, "one").unwrap();
    let first = shelf.sheet(&ball).unwrap();
    assert_eq!((first.can_undo, first.can_redo), (false, false));
    let second = shelf.keep(&ball, "two", &first.revision).unwrap();
    assert_eq!((second.text.as_str(), second.can_undo), ("two", true));
    // Another tab that still shows the first.
    let refused = shelf.keep(&ball, "three", &first.revision).unwrap_err();
    assert_eq!(newer(refused), second);
    let refused = shelf.step(&ball, Way::Back, &first.revision).unwrap_err();
    assert_eq!(newer(refused), second);
    assert_eq!(
        fs::read_to_string(shelf.folder().join("ball.toml")).unwrap(),
        "two"
    );
}

#[test]
fn undo_and_redo_go_on_after_a_restart() {
    let folder = folder("undo");
    let ball = name("ball");
    let shelf = Shelf::open(&folder).unwrap();
    shelf.create(&ball, "0").unwrap();
    let mut sheet = shelf.sheet(&ball).unwrap();
    for text in ["1", "2", "3"] {
        sheet = shelf.keep(&ball, text, &sheet.revision).unwrap();
    }
    sheet = shelf.step(&ball, Way::Back, &sheet.revision).unwrap();
    assert_eq!(sheet.text, "2");
    drop(shelf);
    let shelf = Shelf::open(&folder).unwrap();
    assert_eq!(shelf.sheet(&ball).unwrap(), sheet);
    for text in ["1", "0", "0"] {
        sheet = shelf.step(&ball, Way::Back, &sheet.revision).unwrap();
        assert_eq!(sheet.text, text);
    }
    for text in ["1", "2", "3", "3"] {
        sheet = shelf.step(&ball, Way::Forth, &sheet.revision).unwrap();
        assert_eq!(sheet.text, text);
    }
    assert_eq!((sheet.can_undo, sheet.can_redo), (true, false));
}

#[test]
fn a_kill_before_the_renaming_leaves_the_older_text() {
    let folder = folder("part");
    let ball = name("ball");
    let shelf = Shelf::open(&folder).unwrap();
    shelf.create(&ball, "whole").unwrap();
    let before = shelf.sheet(&ball).unwrap();
    // What the killed process had written so far, of the plan, its journal and its ticks.
    let beside = [
        folder.join("ball.toml.4711.part"),
        folder.join(HISTORY).join("ball.jsonl.4711.part"),
        folder.join(HISTORY).join("ball.ticks.json.4711.part"),
    ];
    for path in &beside {
        fs::write(path, "hal").unwrap();
    }
    let shelf = Shelf::open(&folder).unwrap();
    assert_eq!(shelf.sheet(&ball).unwrap(), before);
    assert_eq!(shelf.list().unwrap().len(), 1);
    assert!(beside.iter().all(|path| !path.exists()));
}

#[test]
fn a_kill_between_the_renaming_and_the_journal_loses_nothing() {
    let folder = folder("between");
    let ball = name("ball");
    let shelf = Shelf::open(&folder).unwrap();
    shelf.create(&ball, "one").unwrap();
    let first = shelf.sheet(&ball).unwrap();
    let second = shelf.keep(&ball, "two", &first.revision).unwrap();
    // A change: its text is there, its record is not.
    shelf.write(&ball, "three").unwrap();
    let shelf = Shelf::open(&folder).unwrap();
    let third = shelf.sheet(&ball).unwrap();
    assert_eq!((third.text.as_str(), third.can_undo), ("three", true));
    let back = shelf.step(&ball, Way::Back, &third.revision).unwrap();
    assert_eq!(back.text, second.text);
    // A step back: the same, and what was taken back can still be made again.
    shelf.write(&ball, "one").unwrap();
    let sheet = Shelf::open(&folder).unwrap().sheet(&ball).unwrap();
    assert_eq!((sheet.can_undo, sheet.can_redo), (false, true));
    let forth = shelf.step(&ball, Way::Forth, &sheet.revision).unwrap();
    assert_eq!(forth.text, "two");
}

#[test]
fn a_torn_journal_costs_only_its_last_record() {
    let folder = folder("torn");
    let ball = name("ball");
    let shelf = Shelf::open(&folder).unwrap();
    shelf.create(&ball, "one").unwrap();
    let first = shelf.sheet(&ball).unwrap();
    let second = shelf.keep(&ball, "two", &first.revision).unwrap();
    let journal = shelf.journal_path(&ball);
    let bytes = fs::read(&journal).unwrap();
    fs::write(&journal, &bytes[..bytes.len() - 3]).unwrap();
    let shelf = Shelf::open(&folder).unwrap();
    let sheet = shelf.sheet(&ball).unwrap();
    assert_eq!(sheet, second);
    assert_eq!(
        shelf.step(&ball, Way::Back, &sheet.revision).unwrap().text,
        "one"
    );
}

#[test]
fn a_change_by_hand_is_a_change_like_any_other() {
    let shelf = Shelf::open(&folder("hand")).unwrap();
    let ball = name("ball");
    shelf.create(&ball, "one").unwrap();
    let seen = shelf.sheet(&ball).unwrap();
    fs::write(shelf.folder().join("ball.toml"), "by hand").unwrap();
    let now = newer(shelf.keep(&ball, "two", &seen.revision).unwrap_err());
    assert_eq!(now.text, "by hand");
    assert_eq!(
        shelf.step(&ball, Way::Back, &now.revision).unwrap().text,
        "one"
    );
}

#[test]
fn the_bin_gives_a_plan_back_with_its_history_and_ticks() {
    let shelf = Shelf::open(&folder("bin")).unwrap();
    let ball = name("ball");
    shelf.create(&ball, "one").unwrap();
    let sheet = shelf.sheet(&ball).unwrap();
    shelf.keep(&ball, "two", &sheet.revision).unwrap();
    let kept = shelf.tick(&ball, "rough.mount", true).unwrap();
    shelf.remove(&ball).unwrap();
    assert!(shelf.list().unwrap().is_empty() && shelf.sheet(&ball).is_err());
    // Meanwhile another plan takes the name; it has none of the old one's history.
    shelf.create(&ball, "other").unwrap();
    assert!(!shelf.sheet(&ball).unwrap().can_undo);
    let bin = shelf.bin().unwrap();
    assert_eq!((bin.len(), bin[0].text.as_str()), (1, "two"));
    let restored = shelf.restore(&bin[0].id).unwrap();
    assert_eq!(restored.name.as_str(), "ball 2");
    let sheet = shelf.sheet(&restored.name).unwrap();
    assert_eq!((sheet.text, sheet.ticks), (kept.text, kept.ticks));
    assert!(sheet.can_undo && shelf.bin().unwrap().is_empty());
    for id in ["../../etc", "1", "01", "", "."] {
        assert!(shelf.restore(id).is_err(), "{id}");
    }
}

#[test]
fn a_new_name_takes_history_and_ticks_along_and_never_another_plans_place() {
    let shelf = Shelf::open(&folder("rename")).unwrap();
    let (ball, other) = (name("ball"), name("other"));
    shelf.create(&ball, "one").unwrap();
    shelf.create(&other, "another").unwrap();
    let sheet = shelf.sheet(&ball).unwrap();
    shelf.keep(&ball, "two", &sheet.revision).unwrap();
    shelf.tick(&ball, "a", true).unwrap();
    shelf.tick(&ball, "b", true).unwrap();
    shelf.tick(&ball, "a", false).unwrap();
    assert!(shelf.rename(&ball, &other).is_err() && shelf.copy(&ball, &other).is_err());
    let new = name("new");
    shelf.rename(&ball, &new).unwrap();
    let sheet = shelf.sheet(&new).unwrap();
    assert!(sheet.can_undo && sheet.ticks == ["b"]);
    let copy = shelf.copy(&new, &ball).unwrap();
    let copied = shelf.sheet(&copy.name).unwrap();
    assert!(copied.text == "two" && !copied.can_undo && copied.ticks.is_empty());
    assert_eq!(shelf.sheet(&other).unwrap().text, "another");
}

#[cfg(unix)]
#[test]
fn links_lead_nowhere() {
    use std::os::unix::fs::symlink;
    let outside = folder("outside");
    fs::create_dir_all(&outside).unwrap();
    fs::write(outside.join("secret.toml"), "secret").unwrap();
    let shelf = Shelf::open(&folder("links")).unwrap();
    symlink(
        outside.join("secret.toml"),
        shelf.folder().join("link.toml"),
    )
    .unwrap();
    let link = name("link");
    assert!(shelf.list().unwrap().is_empty());
    assert!(shelf.sheet(&link).is_err() && shelf.create(&link, "x").is_err());
    assert!(shelf.rack("link.toml").is_err() && shelf.rack("../x.toml").is_err());
    assert!(shelf.keep(&link, "x", &revision("secret")).is_err());
    assert_eq!(
        fs::read_to_string(outside.join("secret.toml")).unwrap(),
        "secret"
    );
    // Nor does a history that is a link.
    let elsewhere = folder("elsewhere");
    fs::create_dir_all(&elsewhere).unwrap();
    symlink(&outside, elsewhere.join(HISTORY)).unwrap();
    assert!(Shelf::open(&elsewhere).is_err());
}

#[test]
fn two_at_once_do_not_lose_a_change() {
    let shelf = Shelf::open(&folder("two")).unwrap();
    let ball = name("ball");
    shelf.create(&ball, "").unwrap();
    // Each appends its letter to whatever it finds, again where it was refused.
    std::thread::scope(|scope| {
        for letter in ['a', 'b'] {
            let (shelf, ball) = (&shelf, &ball);
            scope.spawn(move || {
                for _ in 0..10 {
                    let mut sheet = shelf.sheet(ball).unwrap();
                    loop {
                        let text = format!("{}{letter}", sheet.text);
                        match shelf.keep(ball, &text, &sheet.revision) {
                            Ok(_) => break,
                            Err(refused) => sheet = newer(refused),
                        }
                    }
                }
            });
        }
    });
    let text = shelf.sheet(&ball).unwrap().text;
    assert_eq!(
        (text.matches('a').count(), text.matches('b').count()),
        (10, 10)
    );
}
