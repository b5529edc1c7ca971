//! The packet, read back by a reader that shares nothing with the writer.

#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a panic there is the report"
)]

use kurbo::Rect;
use proptest::prelude::*;
use rondure_plan::figure::{Dimension, Figures, Strip, StripMark};
use rondure_plan::report::Report;
use rondure_sheet::drawing::{Item, Page, Text};
use rondure_sheet::{
    PacketError, PacketOptions, Paper, StripError, figure_svg, packet, packet::sheets, strip_svg,
};

mod reader;
mod sample;

/// What is drawn must stand within this of what was asked, mm.
const TRUE: f64 = 0.05;

fn written(report: &Report, figures: &Figures, paper: Paper) -> reader::Pdf {
    let options = PacketOptions {
        compress: false,
        ..on(paper)
    };
    reader::read(&packet(report, figures, &options).unwrap())
}

fn on(paper: Paper) -> PacketOptions {
    PacketOptions {
        paper,
        ..PacketOptions::default()
    }
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn pages_have_the_size_of_their_paper() {
    // ISO 216: A4 is 210 by 297 mm; Letter is 8 1/2 by 11 in.
    for (paper, width, height) in [(Paper::A4, 595.28, 841.89), (Paper::Letter, 612.0, 792.0)] {
        let pdf = written(&sample::report(), &sample::figures(), paper);
        assert!(pdf.pages.len() > 10);
        for page in &pdf.pages {
            assert!((page.size.0 - width).abs() < 0.005, "{:?}", page.size);
            assert!((page.size.1 - height).abs() < 0.005, "{:?}", page.size);
        }
    }
}

#[test]
fn the_same_report_gives_the_same_bytes() {
    let make = || {
        packet(
            &sample::inches(),
            &sample::figures(),
            &PacketOptions::default(),
        )
        .unwrap()
    };
    assert!(make() == make());
}

#[test]
fn nothing_the_report_says_is_missing() {
    for report in [sample::report(), sample::inches()] {
        let pdf = written(&report, &sample::figures(), Paper::A4);
        let pages: String = pdf.pages.iter().map(|page| page.text.as_str()).collect();
        let all = squeezed(&pages);
        let present = |words: &str| {
            assert!(all.contains(&squeezed(words)), "missing: {words}\n{all}");
        };
        for setup in &report.setups {
            present(&setup.title);
            present(&setup.holding);
            for step in &setup.steps {
                present(&step.says);
                step.cautions.iter().for_each(|caution| present(caution));
                step.tool.iter().for_each(|tool| present(tool));
            }
        }
        for measure in &report.measures {
            measure.shown.split_whitespace().for_each(present);
            measure.label.split_whitespace().for_each(present);
        }
        for finding in &report.findings {
            present(&finding.says);
            finding.mend.iter().for_each(|mend| present(&mend.says));
        }
        report.cautions.iter().for_each(|caution| present(caution));
        for need in &report.needs {
            need.what.split_whitespace().for_each(present);
            present(&need.purpose);
        }
        for piece in &report.pieces {
            present(&piece.blank);
        }
    }
}

#[test]
fn every_page_says_what_it_belongs_to() {
    let pdf = written(&sample::report(), &sample::figures(), Paper::A4);
    let count = pdf.pages.len();
    for (index, page) in pdf.pages.iter().enumerate() {
        let foot = format!(
            "Lavender ball, 60 mmLengths in mmPage {} of {count}",
            index + 1
        );
        assert!(page.furniture.contains(&foot), "{}", page.furniture);
    }
}

#[test]
fn every_set_up_has_a_bookmark() {
    let report = sample::report();
    let pdf = written(&report, &sample::figures(), Paper::Letter);
    let expected = report
        .setups
        .iter()
        .map(|setup| format!("{}. {}", setup.number, setup.title));
    for title in expected {
        assert!(
            pdf.bookmarks.contains(&title),
            "{title}: {:?}",
            pdf.bookmarks
        );
    }
}

/// Lengths of level straight lines, and places of upright ones that end on a height.
fn level(page: &reader::Page) -> Vec<(f64, (f64, f64))> {
    page.paths
        .iter()
        .filter(|path| path.len() == 2 && (path[0].1 - path[1].1).abs() < 1e-4)
        .map(|path| (path[1].0 - path[0].0, path[0]))
        .collect()
}

fn ticks(page: &reader::Page, height: f64) -> Vec<f64> {
    let mut found: Vec<f64> = page
        .paths
        .iter()
        .filter(|path| path.len() == 2 && (path[0].0 - path[1].0).abs() < 1e-4)
        .filter(|path| (path[0].1 - height).abs() < 1e-3)
        .map(|path| path[0].0)
        .collect();
    found.sort_by(f64::total_cmp);
    found
}

#[test]
fn the_check_ruler_is_true() {
    for paper in [Paper::A4, Paper::Letter] {
        let pdf = written(&sample::report(), &sample::figures(), paper);
        let full_size: Vec<&reader::Page> = pdf
            .pages
            .iter()
            .filter(|page| page.text.contains("Print at 100 %"))
            .collect();
        // One for the template, one for the strip.
        assert_eq!(full_size.len(), 2);
        for page in full_size {
            // 100 mm by millimetres; 4 in of 25.4 mm by sixteenths.
            for (length, count, pitch) in [(100.0, 101, 1.0), (101.6, 65, 25.4 / 16.0)] {
                let (_, (left, height)) = *level(page)
                    .iter()
                    .find(|(found, _)| (found - length).abs() < TRUE)
                    .unwrap();
                let ticks = ticks(page, height);
                assert_eq!(ticks.len(), count);
                for (index, tick) in ticks.iter().enumerate() {
                    let expected = left + index as f64 * pitch;
                    assert!((tick - expected).abs() < TRUE, "{tick} {expected}");
                }
            }
        }
    }
}

/// Left ends and lengths, tabs left out, of the bands of strips, from top to bottom: outlines of
/// six corners 20 mm high, of which the first two are the ends of the upper edge.
fn bands(page: &reader::Page) -> Vec<(f64, f64)> {
    page.paths
        .iter()
        .filter(|path| path.len() == 7 && path[0] == path[6])
        .filter(|path| {
            let heights = path.iter().map(|corner| corner.1);
            let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| {
                (low.min(y), high.max(y))
            });
            (high - low - 20.0).abs() < 1e-3
        })
        .map(|path| (path[0].0, path[1].0 - path[0].0))
        .collect()
}

#[test]
fn a_strip_is_as_long_as_asked_over_all_its_rows() {
    // Closed form: once round a ball of diameter d is π d.
    for diameter in [48.0, 60.0, 84.0, 300.0] {
        let length = std::f64::consts::PI * diameter;
        let marks = (0..16)
            .map(|k| StripMark {
                at: length * f64::from(k) / 16.0,
                label: format!("{}", k + 1),
                main: true,
            })
            .collect();
        let strip = Strip {
            length,
            marks,
            ..sample::strip()
        };
        let figures = Figures {
            drawings: Vec::new(),
            strips: vec![strip],
            ..Figures::default()
        };
        for paper in [Paper::A4, Paper::Letter] {
            let pdf = written(&sample::report(), &figures, paper);
            let bands: Vec<(f64, f64)> = pdf.pages.iter().flat_map(bands).collect();
            let sum: f64 = bands.iter().map(|(_, width)| width).sum();
            assert!((sum - length).abs() < TRUE, "{diameter}: {sum} {length}");
            // The marks too: full-height lines between the bands' ends.
            let mut stations = Vec::new();
            let mut before = 0.0;
            for page in &pdf.pages {
                for (left, width) in self::bands(page) {
                    let own: Vec<f64> = page
                        .paths
                        .iter()
                        .filter(|path| path.len() == 2 && (path[0].0 - path[1].0).abs() < 1e-4)
                        .filter(|path| ((path[0].1 - path[1].1).abs() - 20.0).abs() < 1e-3)
                        .map(|path| path[0].0)
                        .collect();
                    stations.push((own, left, before, width));
                    before += width;
                }
            }
            for k in 0..16 {
                let at = length * f64::from(k) / 16.0;
                let row = stations
                    .iter()
                    .find(|(_, _, before, width)| at >= before - 1e-3 && at < before + width - 1e-3)
                    .unwrap();
                let x = row.1 + at - row.2;
                assert!(
                    row.0.iter().any(|found| (found - x).abs() < TRUE),
                    "mark {k}"
                );
            }
        }
    }
}

#[test]
fn every_page_with_a_strip_has_its_ruler_and_nothing_is_off_the_paper() {
    let strip = Strip {
        length: 2400.0,
        marks: Vec::new(),
        ..sample::strip()
    };
    let figures = Figures {
        drawings: Vec::new(),
        strips: vec![strip],
        ..Figures::default()
    };
    let pdf = written(&sample::report(), &figures, Paper::Letter);
    let with_strip: Vec<&reader::Page> = pdf
        .pages
        .iter()
        .filter(|page| !bands(page).is_empty())
        .collect();
    assert!(with_strip.len() > 1);
    for page in with_strip {
        assert!(
            level(page)
                .iter()
                .any(|(length, _)| (length - 100.0).abs() < TRUE)
        );
    }
}

fn texts<'a>(items: &'a [Item], name: &'a str, found: &mut Vec<(&'a str, &'a Text)>) {
    for item in items {
        match item {
            Item::Text(text) => found.push((name, text)),
            Item::Group(group) => texts(&group.items, &group.name, found),
            Item::Window(window) => texts(&window.items, name, found),
            Item::Shape(_) | Item::Outline(_) => {}
        }
    }
}

fn all_texts(page: &Page) -> Vec<(&str, &Text)> {
    let mut found = Vec::new();
    texts(&page.items, "", &mut found);
    found
}

#[test]
fn nothing_is_cut_off_and_no_words_stand_on_others() {
    for report in [sample::report(), sample::inches()] {
        for paper in [Paper::A4, Paper::Letter] {
            let (width, height) = paper.size();
            let printable = Rect::new(10.0, 8.0, width - 10.0, height - 8.0);
            for page in &sheets(&report, &sample::figures(), &on(paper))
                .unwrap()
                .pages
            {
                for item in &page.items {
                    let frame = item.bounds().unwrap_or(printable);
                    assert!(printable.union(frame) == printable, "{item:?}");
                }
                let level: Vec<&Text> = all_texts(page)
                    .into_iter()
                    .map(|(_, text)| text)
                    .filter(|text| text.angle == 0.0)
                    .collect();
                for (index, first) in level.iter().enumerate() {
                    for second in &level[index + 1..] {
                        let shared = first.bounds().intersect(second.bounds());
                        let clear = shared.width() < 0.05 || shared.height() < 0.15;
                        assert!(clear, "{} | {}", first.line.words, second.line.words);
                    }
                }
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn any_words_are_set_within_the_paper(words in "\\PC{0,60}", many in 1usize..20) {
        let mut report = sample::report();
        let long = words.repeat(many);
        report.title.clone_from(&long);
        report.setups[0].title.clone_from(&long);
        report.setups[0].steps[0].says.clone_from(&long);
        report.setups[0].steps[1].tool = Some(long.clone());
        report.measures[0].label.clone_from(&long);
        report.measures[1].shown.clone_from(&long);
        report.measures[2].tool.clone_from(&long);
        report.findings[0].says.clone_from(&long);
        report.pieces[0].blank.clone_from(&long);
        report.needs[0].what.clone_from(&long);
        let mut figures = sample::figures();
        figures.strips[0].marks[2].label.clone_from(&words);
        figures.strips[0].title.clone_from(&long);
        figures.drawings[0].dimensions.push(Dimension::Note {
            at: [0.0, 30.0],
            text_at: [-20.0, 40.0],
            label: words,
        });
        let (width, height) = Paper::Letter.size();
        let paper = Rect::new(0.0, 0.0, width, height);
        for page in &sheets(&report, &figures, &on(Paper::Letter)).unwrap().pages {
            for frame in page.items.iter().filter_map(Item::bounds) {
                prop_assert!(paper.union(frame) == paper, "{:?}", frame);
            }
        }
        prop_assert!(packet(&report, &figures, &PacketOptions::default()).is_ok());
    }
}

#[test]
fn values_and_instructions_can_be_read_at_arms_length() {
    let report = sample::report();
    let sheets = sheets(&report, &sample::figures(), &on(Paper::A4)).unwrap();
    let all: Vec<(&str, &Text)> = sheets.pages.iter().flat_map(all_texts).collect();
    for measure in &report.measures {
        let found = all
            .iter()
            .filter(|(name, text)| *name == measure.id && text.line.words.trim() == measure.shown);
        let sizes: Vec<f64> = found.map(|(_, text)| text.line.size).collect();
        assert!(
            sizes.iter().any(|size| *size >= 14.0),
            "{}: {sizes:?}",
            measure.id
        );
    }
    for step in report.setups.iter().flat_map(|setup| &setup.steps) {
        let sizes = all
            .iter()
            .filter(|(name, _)| *name == step.id)
            .map(|(_, text)| text.line.size);
        assert!(sizes.fold(f64::INFINITY, f64::min) >= 12.0, "{}", step.id);
    }
}

#[test]
fn an_empty_report_makes_a_cover() {
    let report = Report {
        title: String::new(),
        form: String::new(),
        units: "mm".to_owned(),
        pieces: Vec::new(),
        setups: Vec::new(),
        measures: Vec::new(),
        findings: Vec::new(),
        needs: Vec::new(),
        cautions: Vec::new(),
    };
    let pdf = written(&report, &Figures::default(), Paper::A4);
    assert_eq!(pdf.pages.len(), 1);
    assert!(squeezed(&pdf.pages[0].text).contains("qualified teaching"));
}

#[test]
fn a_mark_off_its_strip_is_refused_by_name() {
    let mut figures = sample::figures();
    figures.strips[0].marks[3].at = 200.0;
    let refused = packet(&sample::report(), &figures, &PacketOptions::default());
    let Err(PacketError::Strip(error @ StripError::Mark { .. })) = refused else {
        panic!("a mark beyond the end must be refused");
    };
    let says = error.to_string();
    assert!(
        says.contains("ball.strip.equator") && says.contains("200 mm"),
        "{says}"
    );
}

/// Numbers of every path made of straight lines only.
fn svg_paths(svg: &str) -> Vec<Vec<f64>> {
    svg.split(" d=\"")
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap())
        .filter(|data| !data.contains(['C', 'Q']))
        .map(|data| {
            data.split(|c: char| c.is_ascii_alphabetic() || c == ' ')
                .filter(|n| !n.is_empty())
                .map(|n| n.parse().unwrap())
                .collect()
        })
        .collect()
}

#[test]
fn the_strip_on_screen_is_as_long_as_on_paper() {
    let strip = sample::strip();
    let svg = strip_svg(&strip).unwrap();
    assert_eq!(svg, strip_svg(&strip).unwrap());
    let band = svg_paths(&svg)
        .into_iter()
        .find(|n| n.len() == 12 && (n[9] - n[1] - 20.0).abs() < 1e-3)
        .unwrap();
    assert!((band[2] - band[0] - strip.length).abs() < 0.002, "{band:?}");
}

#[test]
fn a_figure_on_screen_names_its_sizes() {
    let figures = sample::figures();
    let svg = figure_svg(&figures.drawings[0]).unwrap();
    assert!(svg.starts_with("<svg") && svg.trim_end().ends_with("</svg>"));
    assert!(svg.contains("Ø 60.0 mm"));
    assert_eq!(svg.matches("<g").count(), svg.matches("</g>").count());
}
