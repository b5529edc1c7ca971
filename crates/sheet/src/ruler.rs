//! The check ruler: 100 mm and 4 in, to be measured on the print.
//!
//! A printer that fits the page to its own margins prints a strip a few per
//! cent short. The ruler shows it: lay a real rule on it, and throw the sheet
//! away if either line is off.

use crate::drawing::{Group, Item, Role, Shape, line};
use crate::pens::{RULE, THIN};
use crate::template::CheckPrint;
use crate::text::{Anchor, Setter, Style};
use crate::texts::Texts;
use kurbo::{BezPath, Point};

/// Length of the metric line, mm.
pub const METRIC: f64 = 100.0;
/// Length of the inch line, mm: 4 in of 25.4 mm.
pub const INCHES: f64 = 4.0 * 25.4;
/// Room the ruler takes, mm: width and height.
pub const SIZE: (f64, f64) = (112.0, 28.0);

/// What a sheet says about its ruler, and about its correction where it has one.
pub fn says(check: CheckPrint, texts: &Texts) -> String {
    match check.words(texts) {
        Some(corrected) => format!("{corrected} {}", texts.of("ruler.measure")),
        None => texts.of("ruler.warning").to_owned(),
    }
}

/// The ruler enlarged for a printer that does not print true.
pub fn corrected(setter: &mut Setter, texts: &Texts, check: CheckPrint) -> Item {
    ruler(setter, texts).enlarged(check.factor())
}

/// Draws both lines, beginning at the origin: zero of each stands at x = 2 mm.
pub fn ruler(setter: &mut Setter, texts: &Texts) -> Item {
    let zero = 2.0;
    let small = Style::regular(8.5);
    let mut items = Vec::new();
    let mut letter = |items: &mut Vec<Item>, words: &str, x: f64, y: f64, anchor: Anchor| {
        items.push(setter.line(words, small).placed(Point::new(x, y), anchor));
    };

    let base = 12.0;
    items.push(Shape::stroked(
        line(Point::new(zero, base), Point::new(zero + METRIC, base)),
        RULE,
    ));
    let height = |mm: u32| match mm {
        mm if mm.is_multiple_of(10) => 6.0,
        mm if mm.is_multiple_of(5) => 4.0,
        _ => 2.5,
    };
    let ticks = (0..=100).map(|mm| (zero + f64::from(mm), height(mm)));
    items.push(Shape::stroked(upright(ticks, base, -1.0), THIN));
    for mm in (0..=100).step_by(10) {
        let anchor = Anchor::Middle;
        letter(
            &mut items,
            &mm.to_string(),
            zero + f64::from(mm),
            base - 7.0,
            anchor,
        );
    }
    letter(&mut items, "mm", zero + METRIC + 4.0, base, Anchor::Start);

    let base = 15.5;
    items.push(Shape::stroked(
        line(Point::new(zero, base), Point::new(zero + INCHES, base)),
        RULE,
    ));
    let height = |sixteenth: u32| match sixteenth {
        s if s.is_multiple_of(16) => 6.0,
        s if s.is_multiple_of(8) => 4.5,
        s if s.is_multiple_of(4) => 3.5,
        s if s.is_multiple_of(2) => 2.5,
        _ => 1.6,
    };
    let ticks = (0..=64).map(|s| (zero + f64::from(s) * 25.4 / 16.0, height(s)));
    items.push(Shape::stroked(upright(ticks, base, 1.0), THIN));
    for inch in 0..=4 {
        let x = zero + f64::from(inch) * 25.4;
        letter(&mut items, &inch.to_string(), x, base + 9.5, Anchor::Middle);
    }
    letter(
        &mut items,
        "in",
        zero + INCHES + 3.0,
        base + 2.5,
        Anchor::Start,
    );

    let words = texts.of("ruler.spoken").to_owned();
    Group::item("check ruler", Role::Picture(words), items)
}

fn upright(ticks: impl Iterator<Item = (f64, f64)>, base: f64, way: f64) -> BezPath {
    let mut path = BezPath::new();
    for (x, height) in ticks {
        path.move_to((x, base));
        path.line_to((x, base + way * height));
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::bounds;

    #[test]
    fn the_ruler_stays_in_its_room() {
        let item = ruler(&mut Setter::new(), &Texts::default());
        let frame = bounds(&[item]).unwrap();
        assert!(frame.x0 >= 0.0 && frame.y0 >= 0.0, "{frame:?}");
        assert!(frame.x1 <= SIZE.0 && frame.y1 <= SIZE.1, "{frame:?}");
    }
}
