use super::*;

fn keys(problems: &Problems) -> Vec<&str> {
    problems
        .list
        .iter()
        .map(|problem| problem.key.as_str())
        .collect()
}

#[test]
fn every_kind_of_value() {
    let text = "length = '6 cm'\ncount = 3\nnumber = 2.5\nshare = '8 %'\nangle = '30 deg'\n\
                speed = '850 rpm'\nword = 'B '\ntext = ' x '\nyes = true\nlist = [1, '2 in']\n\
                [part.inner]\nx = 1\n[[row]]\nx = 1\n[[row]]\nx = 2\n";
    let reader = Reader::new("x.toml", text);
    let top = reader.top();
    assert_eq!(top.length("length", 0.0..=100.0).needed(), Some(60.0));
    assert_eq!(top.count("count", 0..=9).needed(), Some(3));
    assert_eq!(top.number("number", 0.0..=9.0).needed(), Some(2.5));
    assert_eq!(top.percent("share", 0.0..=9.0).needed(), Some(8.0));
    assert_eq!(top.degrees("angle", 0.0..=90.0).needed(), Some(30.0));
    assert_eq!(top.speed("speed", 0.0..=900.0).needed(), Some(850.0));
    assert_eq!(top.choice("word", &[("a", 1), ("b", 2)]).needed(), Some(2));
    assert_eq!(top.text("text").needed().as_deref(), Some("x"));
    assert_eq!(top.boolean("yes").needed(), Some(true));
    assert_eq!(
        top.lengths("list", 0.0..=90.0).needed(),
        Some(vec![1.0, 50.8])
    );
    assert_eq!(top.count("absent", 0..=9).or(4), Some(4));
    assert_eq!(top.count("absent", 0..=9).maybe(), None);
    let part = top.section("part").needed().unwrap();
    let inner = part.section("inner").needed().unwrap();
    assert_eq!(inner.path(), "part.inner");
    assert_eq!(inner.count("x", 0..=9).needed(), Some(1));
    let rows: Vec<_> = top
        .parts("row")
        .needed()
        .unwrap()
        .iter()
        .map(|row| (row.path().to_owned(), row.count("x", 0..=9).needed()))
        .collect();
    assert_eq!(
        rows,
        [("row.1".to_owned(), Some(1)), ("row.2".to_owned(), Some(2))]
    );
    assert_eq!((inner.finish(), part.finish(), top.finish()), (0, 0, 0));
    let places = reader.close().unwrap();
    assert_eq!(&text[places.given["list.2"].clone()], "'2 in'");
    assert!(places.asked.contains("absent") && !places.given.contains_key("absent"));
}

#[test]
fn lists_report_each_part() {
    let reader = Reader::new("x.toml", "a = [1, 'x', -2]\nb = []\nc = 3\nd = ['9', 2]\n");
    let top = reader.top();
    assert_eq!(top.lengths("a", 0.5..=9.0).needed(), None);
    assert_eq!(top.lengths("b", 0.5..=9.0).needed(), None);
    assert_eq!(top.counts("c", 0..=9).needed(), None);
    assert_eq!(top.counts("d", 0..=9).needed(), None);
    top.finish();
    let problems = reader.close().unwrap_err();
    assert_eq!(keys(&problems), ["a.2", "a.3", "b", "c", "d.1"]);
    assert_eq!(problems.list[3].mend.as_deref(), Some("write [3]"));
    assert_eq!(problems.list[2].found, "an empty list");
}

#[test]
fn a_misspelt_key_is_told_once() {
    let reader = Reader::new("x.toml", "widht = 3\nspare = 1\n");
    let top = reader.top();
    assert_eq!(top.count("width", 0..=9).needed(), None);
    assert_eq!(top.count("height", 0..=9).needed(), None);
    assert_eq!(top.finish(), 2);
    let problems = reader.close().unwrap_err();
    assert_eq!(keys(&problems), ["height", "widht", "spare"]);
    assert_eq!(
        problems.list[1].mend.as_deref(),
        Some("did you mean width?")
    );
}

#[test]
fn broken_lines_hide_neither_each_other_nor_the_rest() {
    let text = "a = 1 mm\n[s]\nb = c = d\nx = 'long'\ny = 2\ny = 3\n= 4\n";
    let reader = Reader::new("x.toml", text);
    let top = reader.top();
    assert_eq!(top.length("a", 0.0..=9.0).needed(), None);
    let section = top.section("s").needed().unwrap();
    assert_eq!(section.length("x", 0.0..=9.0).needed(), None);
    assert_eq!(section.count("y", 0..=9).needed(), Some(2));
    section.finish();
    top.finish();
    let problems = reader.close().unwrap_err();
    let lines: Vec<_> = problems.list.iter().map(|problem| problem.line).collect();
    assert_eq!(lines, [1, 3, 4, 6, 7], "{problems}");
}

#[test]
fn nearest_words() {
    assert_eq!(nearest("diamter", ["depth", "diameter"]), Some("diameter"));
    assert_eq!(nearest("Depht", ["depth", "diameter"]), Some("depth"));
    assert_eq!(nearest("colour", ["depth", "diameter"]), None);
    assert_eq!(nearest("x", ["to"]), None);
    assert_eq!(either(&["a", "b", "c"]), "a, b or c");
    assert_eq!(either::<&str>(&[]), "nothing");
}
