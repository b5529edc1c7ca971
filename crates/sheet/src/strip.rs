//! Strips at true size, split over rows where the paper is too short.
//!
//! A strip is a band of card as long as once round the work. Each row but the
//! last ends in a join line with a tab beyond it that is glued under the next
//! row; both sides of a join carry the same letter. The last row ends in the
//! line that meets the start when the strip lies round the work, and a tab to
//! fasten it. The rows' lengths, tabs left out, add up to the strip's length.
//! Joins keep clear of marks where the paper allows it.

use crate::drawing::{Group, Item, Role};
use crate::outline::{Layer, Outline};
use crate::text::{Anchor, Setter, Style};
use kurbo::Point;
use rondure_plan::figure::{Strip, StripMark};

/// Length of a tab, mm.
pub const TAB: f64 = 14.0;
/// Height of the band, mm.
const BAND: f64 = 20.0;
/// Room above the band for the join's letters, mm.
const HEAD: f64 = 7.0;
/// Room a row takes, mm.
pub const ROW: f64 = HEAD + BAND + 5.0;
/// Distance a join keeps from marks where it can, mm.
const CLEAR: f64 = 5.0;
/// Most rows a strip may have; longer ones are not for paper.
const MOST_ROWS: usize = 26;

/// Why a strip cannot be drawn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StripError {
    /// Its length is out of range.
    #[error(
        "strip `{id}` is {length} mm long; on this paper a strip must be longer than 0 and at most {most:.0} mm"
    )]
    Length {
        /// The strip.
        id: String,
        /// Its length, mm.
        length: f64,
        /// The longest that can be drawn, mm.
        most: f64,
    },
    /// A mark is not on the strip.
    #[error(
        "strip `{id}`: mark `{label}` stands at {at} mm, outside the strip, which runs from 0 to {length} mm"
    )]
    Mark {
        /// The strip.
        id: String,
        /// The mark.
        label: String,
        /// Where it stands, mm.
        at: f64,
        /// Length of the strip, mm.
        length: f64,
    },
}

/// One row of a strip: the stretch from `from` to `to`, drawn at true size.
#[derive(Debug, Clone)]
pub struct Row {
    /// Where the stretch begins on the strip, mm.
    pub from: f64,
    /// Where it ends, mm.
    pub to: f64,
    /// The drawing; the stretch begins at x = 0, and it is [`ROW`] mm high.
    pub item: Item,
}

/// Splits a strip into rows that, with their tabs, are at most `room` mm wide.
pub fn rows(strip: &Strip, setter: &mut Setter, room: f64) -> Result<Vec<Row>, StripError> {
    let most = (room - TAB) * MOST_ROWS as f64;
    if !(strip.length > 0.0 && strip.length <= most) {
        return Err(StripError::Length {
            id: strip.id.clone(),
            length: strip.length,
            most,
        });
    }
    if let Some(mark) = strip
        .marks
        .iter()
        .find(|mark| !(0.0..=strip.length + 1e-9).contains(&mark.at))
    {
        return Err(StripError::Mark {
            id: strip.id.clone(),
            label: mark.label.clone(),
            at: mark.at,
            length: strip.length,
        });
    }
    let joins = joins(strip, room - TAB);
    let last = joins.len() - 2;
    Ok(joins
        .windows(2)
        .enumerate()
        .map(|(index, ends)| Row {
            from: ends[0],
            to: ends[1],
            item: draw_row(strip, setter, (ends[0], ends[1]), index, index == last),
        })
        .collect())
}

/// Stations where rows begin and end: 0, the joins, the length.
fn joins(strip: &Strip, room: f64) -> Vec<f64> {
    let count = (strip.length / room - 1e-9).ceil().max(1.0);
    let mut found = vec![0.0];
    let mut from = 0.0;
    let mut left = count;
    while left > 1.5 {
        let aim = from + (strip.length - from) / left;
        // The rest must still fit into the rows that are left.
        let least = (strip.length - room * (left - 1.0)).max(from);
        let most = from + room;
        let clearance = |at: f64| {
            strip
                .marks
                .iter()
                .map(|mark| (mark.at - at).abs())
                .fold(CLEAR, f64::min)
        };
        let mut best = (clearance(aim), aim);
        for step in 1..=40 {
            for way in [1.0, -1.0] {
                let at = aim + way * f64::from(step) * 0.5;
                if (least..=most).contains(&at) && clearance(at) > best.0 {
                    best = (clearance(at), at);
                }
            }
            if best.0 >= CLEAR {
                break;
            }
        }
        from = best.1;
        found.push(from);
        left -= 1.0;
    }
    found.push(strip.length);
    found
}

fn draw_row(
    strip: &Strip,
    setter: &mut Setter,
    (from, to): (f64, f64),
    index: usize,
    last: bool,
) -> Item {
    let length = to - from;
    let (top, bottom) = (HEAD, HEAD + BAND);
    // The band with its tab; the line between them is where the next row begins.
    let band = [
        Point::new(0.0, top),
        Point::new(length, top),
        Point::new(length + TAB, top + 2.0),
        Point::new(length + TAB, bottom - 2.0),
        Point::new(length, bottom),
        Point::new(0.0, bottom),
    ];
    let join = [Point::new(length, top), Point::new(length, bottom)];
    let mut items = vec![
        Item::Outline(Outline::straight(&band, true, Layer::Cut)),
        Item::Outline(Outline::straight(&join, false, Layer::Mark)),
    ];
    let small = Style::regular(8.5);
    let name = |index: usize| char::from(b'A' + index as u8);
    let starts = if index == 0 {
        "start".to_owned()
    } else {
        format!("join {}", name(index - 1))
    };
    let (ends, tab) = if last {
        (
            "end: meets start".to_owned(),
            "tab: start covers this".to_owned(),
        )
    } else {
        (
            format!("join {}", name(index)),
            format!("glue under row {}", index + 2),
        )
    };
    let at_start = setter.line(&starts, small);
    let at_end = setter.line(&ends, small);
    let above = top - 2.2;
    if length > at_start.width + at_end.width + 4.0 {
        items.push(at_start.placed(Point::new(0.0, above), Anchor::Start));
    }
    items.push(at_end.placed(Point::new(length + TAB, above), Anchor::End));
    for (line_of_tab, words) in setter
        .paragraph(&tab, Style::regular(8.0), BAND - 5.0)
        .into_iter()
        .enumerate()
    {
        // Read from the right, centred on the tab's middle.
        let x = length + 5.0 + 3.8 * line_of_tab as f64;
        let middle = Point::new(x, (top + bottom) / 2.0);
        items.push(words.turned(middle, Anchor::Middle, std::f64::consts::FRAC_PI_2, 0.0));
    }
    let on_row = |mark: &&StripMark| {
        mark.at >= from - 1e-9 && (mark.at < to - 1e-9 || (last && mark.at <= to + 1e-9))
    };
    let marks: Vec<&StripMark> = strip.marks.iter().filter(on_row).collect();
    for (place, mark) in marks.iter().enumerate() {
        let x = mark.at - from;
        let height = if mark.main { BAND } else { BAND * 0.45 };
        let drawn = [Point::new(x, bottom), Point::new(x, bottom - height)];
        items.push(Item::Outline(Outline::straight(&drawn, false, Layer::Mark)));
        // The next line in the way of this label, and the next line of all.
        let following = &marks[place + 1..];
        let next = following
            .iter()
            .find(|other| other.main || !mark.main)
            .map_or(length, |other| other.at - from);
        let nearest = following.first().map_or(length, |other| other.at - from);
        items.push(mark_label(setter, mark, x, (next - x, nearest - x)));
    }
    let words = format!(
        "{}, row {}: from {from:.1} to {to:.1} mm",
        strip.title,
        index + 1
    );
    Group::item(
        format!("{}/{}", strip.id, index + 1),
        Role::Picture(words),
        items,
    )
}

/// A label right of its line: level where there is room, upright where not. A main mark's
/// stands in the upper half of the band, a helper's in the lower; an upright one takes the
/// whole height where no other line is near. What does not fit ends in an ellipsis.
fn mark_label(setter: &mut Setter, mark: &StripMark, x: f64, (room, nearest): (f64, f64)) -> Item {
    let (top, bottom) = (HEAD, HEAD + BAND);
    let middle = bottom - BAND * 0.45;
    let (style, upright) = if mark.main {
        (Style::bold(12.0), Style::bold(9.0))
    } else {
        (Style::regular(9.0), Style::regular(8.0))
    };
    let level = setter.line(&mark.label, style);
    if level.width + 2.5 <= room {
        let y = if mark.main {
            top + 1.2 + level.ascent
        } else {
            bottom - 3.2
        };
        return level.placed(Point::new(x + 1.3, y), Anchor::Start);
    }
    let (low, high) = match (mark.main, nearest > 6.0) {
        (true, false) => (middle - 1.5, top + 1.2),
        (false, false) => (bottom - 1.2, middle + 0.5),
        (_, true) => (bottom - 1.2, top + 1.2),
    };
    let text = setter.line_within(&mark.label, upright, low - high);
    let at = Point::new(x + 1.2 + text.ascent, low);
    text.turned(at, Anchor::Start, std::f64::consts::FRAC_PI_2, 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn strip(length: f64, count: usize) -> Strip {
        Strip {
            id: "ball.strip.equator".to_owned(),
            title: "Equator strip".to_owned(),
            note: String::new(),
            length,
            marks: (0..count)
                .map(|k| StripMark {
                    at: length * k as f64 / count as f64,
                    label: format!("{}", k + 1),
                    main: k % 2 == 0,
                })
                .collect(),
        }
    }

    proptest! {
        #[test]
        fn rows_cover_the_strip_once_and_fit(
            length in 1.0f64..900.0, count in 1usize..40, room in 150.0f64..200.0
        ) {
            let strip = strip(length, count);
            let rows = rows(&strip, &mut Setter::new(), room).unwrap();
            let sum: f64 = rows.iter().map(|row| row.to - row.from).sum();
            prop_assert!((sum - length).abs() < 1e-9);
            for row in &rows {
                prop_assert!(row.to > row.from);
                prop_assert!(row.to - row.from + TAB <= room + 1e-9);
            }
            for pair in rows.windows(2) {
                prop_assert_eq!(pair[0].to, pair[1].from);
            }
            prop_assert_eq!(rows.len(), ((length / (room - TAB)).ceil() as usize).max(1));
        }
    }

    #[test]
    fn a_join_keeps_off_the_marks() {
        // Eight marks round a 60 mm ball; the middle of the strip is a mark.
        let strip = strip(std::f64::consts::PI * 60.0, 8);
        let rows = rows(&strip, &mut Setter::new(), 180.0).unwrap();
        assert_eq!(rows.len(), 2);
        let join = rows[0].to;
        let nearest = strip
            .marks
            .iter()
            .map(|mark| (mark.at - join).abs())
            .fold(f64::INFINITY, f64::min);
        assert!(nearest >= CLEAR, "{nearest}");
    }

    #[test]
    fn nonsense_is_refused() {
        let mut setter = Setter::new();
        for length in [0.0, -3.0, f64::NAN, f64::INFINITY, 1e6] {
            assert!(matches!(
                rows(&strip(length, 0), &mut setter, 180.0),
                Err(StripError::Length { .. })
            ));
        }
        let mut off = strip(100.0, 4);
        off.marks[2].at = 100.5;
        assert!(matches!(
            rows(&off, &mut setter, 180.0),
            Err(StripError::Mark { .. })
        ));
    }
}
