//! The teacher's sheets: times, wood, tools, and where to stand by.

use super::Class;
use super::front::across;
use crate::drawing::Role;
use crate::flow::{Cell, Flow, Row, columns};
use crate::packet::parts::{BODY, SMALL, cautions, finding, heading, listed, text, ticked};
use crate::text::{Anchor, Style};
use rondure_plan::report::Weight;

/// Lays out the teacher's sheets.
pub(super) fn teacher(flow: &mut Flow<'_>, class: &Class<'_>) {
    let texts = class.texts;
    let title = texts.of("teacher.title");
    flow.part(title);
    let width = flow.width();
    let style = Style::bold(20.0);
    let lines = flow.setter.paragraph(title, style, width);
    let mut rows = columns(vec![Cell {
        role: Role::Heading(1),
        ..Cell::text("teacher", 0.0, style, lines)
    }]);
    let students = class.students.to_string();
    let says = texts.filled("teacher.says", &[("students", &students)]);
    rows.extend(text(flow.setter, "teacher", &says, BODY, 0.0, width));
    rows.push(Row::space(3.0));
    flow.block(rows);
    times(flow, class);
    material(flow, class);
    tools(flow, class);
    dangers(flow, class);
    findings(flow, class);
}

/// Minutes of each set-up and of the whole.
fn times(flow: &mut Flow<'_>, class: &Class<'_>) {
    let texts = class.texts;
    let width = flow.width();
    let mut rows = heading(flow.setter, texts.of("teacher.timing"), width);
    let mut sum = 0.0;
    let setups = &class.first().report.setups;
    let line = |flow: &mut Flow<'_>, words: &str, minutes: f64, style: Style| {
        let shown = texts.filled("teacher.minutes", &[("minutes", &format!("{minutes:.0}"))]);
        let mut rows = vec![across(0.0, width)];
        rows.extend(columns(vec![
            Cell::text(
                "times",
                0.0,
                style,
                flow.setter.paragraph(words, style, width - 34.0),
            ),
            Cell {
                anchor: Anchor::End,
                ..Cell::text("times", width, style, vec![flow.setter.line(&shown, style)])
            },
        ]));
        rows
    };
    for setup in setups {
        let minutes = texts.number("minutes", &setup.id).unwrap_or(0.0);
        sum += minutes;
        let words = format!("{}. {}", setup.number, setup.title);
        rows.extend(line(flow, &words, minutes, BODY));
    }
    rows.extend(line(
        flow,
        texts.of("teacher.total"),
        sum,
        Style::bold(12.0),
    ));
    let length = texts.value("class.hours_per_meeting");
    let count = (sum / 60.0 / length).ceil();
    let places = [
        ("count", format!("{count:.0}")),
        ("hours", length.to_string()),
    ];
    let places = places.each_ref().map(|(key, word)| (*key, word.as_str()));
    let meetings = texts.filled("teacher.sessions", &places);
    rows.extend(text(flow.setter, "times", &meetings, BODY, 0.0, width));
    rows.extend(text(
        flow.setter,
        "times",
        texts.of("teacher.source"),
        SMALL,
        0.0,
        width,
    ));
    rows.push(Row::space(4.0));
    flow.block(rows);
}

/// Blanks for all, with some to spare.
fn material(flow: &mut Flow<'_>, class: &Class<'_>) {
    let texts = class.texts;
    let width = flow.width();
    let each = texts.value("class.one_spare_in");
    let spare = (f64::from(class.students) / each).ceil();
    let count = format!("{:.0}", f64::from(class.students) + spare);
    let mut rows = heading(flow.setter, texts.of("teacher.material"), width);
    for size in class.sizes {
        if class.sizes.len() > 1 {
            let title = &size.report.title;
            rows.extend(text(
                flow.setter,
                "material",
                title,
                Style::bold(12.0),
                0.0,
                width,
            ));
        }
        let blanks: Vec<String> = size
            .report
            .pieces
            .iter()
            .map(|piece| {
                let blank = format!("{}, {} ({})", piece.blank, piece.wood, piece.name);
                texts.filled(
                    "teacher.piece_each",
                    &[("count", &count), ("blank", &blank)],
                )
            })
            .collect();
        rows.extend(listed(flow.setter, "material", &blanks, BODY, 0.0, width));
    }
    let words = texts.filled("teacher.spare", &[("each", &each.to_string())]);
    rows.extend(text(flow.setter, "material", &words, SMALL, 0.0, width));
    rows.push(Row::space(4.0));
    flow.block(rows);
}

/// Tools that any of the sizes needs.
fn tools(flow: &mut Flow<'_>, class: &Class<'_>) {
    let width = flow.width();
    let mut entries: Vec<(String, String)> = Vec::new();
    for size in class.sizes {
        for need in &size.report.needs {
            // Wood is listed by itself.
            let wood = size
                .report
                .pieces
                .iter()
                .any(|piece| need.what.contains(&piece.blank));
            if !wood && !entries.iter().any(|(what, _)| *what == need.what) {
                entries.push((need.what.clone(), need.purpose.clone()));
            }
        }
    }
    let mut rows = heading(flow.setter, class.texts.of("teacher.tools"), width);
    rows.extend(ticked(flow.setter, "tools", &entries, width));
    rows.push(Row::space(3.0));
    flow.block(rows);
}

/// Every caution once, under the first set-up that has it.
fn dangers(flow: &mut Flow<'_>, class: &Class<'_>) {
    let texts = class.texts;
    let width = flow.width();
    let report = class.first().report;
    let mut rows = heading(flow.setter, texts.of("teacher.cautions"), width);
    rows.extend(cautions(
        flow.setter,
        texts,
        "cautions",
        &report.cautions,
        0.0,
        width,
    ));
    rows.push(Row::space(3.0));
    flow.block(rows);
    let mut rows = heading(flow.setter, texts.of("teacher.watch"), width);
    rows.extend(text(
        flow.setter,
        "watch",
        texts.of("teacher.watch_says"),
        BODY,
        0.0,
        width,
    ));
    rows.push(Row::space(2.0));
    let mut said: Vec<String> = Vec::new();
    for setup in &report.setups {
        let fresh: Vec<String> = setup
            .steps
            .iter()
            .flat_map(|step| &step.cautions)
            .filter(|caution| !said.contains(caution))
            .cloned()
            .collect();
        let mut own: Vec<String> = Vec::new();
        for caution in fresh {
            if !own.contains(&caution) {
                own.push(caution);
            }
        }
        if own.is_empty() {
            continue;
        }
        let title = format!("{}. {}", setup.number, setup.title);
        rows.extend(text(
            flow.setter,
            "watch",
            &title,
            Style::bold(12.0),
            0.0,
            width,
        ));
        rows.extend(cautions(
            flow.setter,
            texts,
            "watch",
            &own,
            4.0,
            width - 4.0,
        ));
        rows.push(Row::space(2.0));
        said.extend(own);
        flow.block(std::mem::take(&mut rows));
    }
}

/// What was found that stops a size or needs watching.
fn findings(flow: &mut Flow<'_>, class: &Class<'_>) {
    let texts = class.texts;
    let width = flow.width();
    let mut title = Some(heading(flow.setter, texts.of("cover.know"), width));
    for size in class.sizes {
        let grave = size
            .report
            .findings
            .iter()
            .filter(|found| found.weight != Weight::Note);
        for found in grave {
            let mut rows = title.take().unwrap_or_default();
            let place = (class.sizes.len() > 1).then_some(size.report.title.as_str());
            rows.extend(finding(flow.setter, texts, found, place, 0.0, width));
            flow.block(rows);
        }
    }
}
