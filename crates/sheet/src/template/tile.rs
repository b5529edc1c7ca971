//! A drawing larger than the paper, seen through windows that overlap.
//!
//! The windows are alike, in rows and columns, and cover the drawing; each
//! overlaps its neighbours by [`OVERLAP`]. In the middle of every overlap stand
//! crosses with a letter of their own. Both sheets show the same cross, so laying
//! cross on cross, A on A and B on B, puts the sheets in place. Nothing is
//! enlarged or moved from window to window.

use crate::drawing::{Item, Shape, Window, line};
use crate::pens::THIN;
use crate::text::{Anchor, Setter, Style};
use kurbo::{Point, Rect, Vec2};

/// How far neighbouring windows overlap, mm.
pub const OVERLAP: f64 = 14.0;
/// Half the width of a cross, mm.
const CROSS: f64 = 4.5;
/// Least side of a window: two crosses, each a quarter in from its corner, mm.
const LEAST: f64 = 4.0 * CROSS + 2.0;
/// Room left round the drawing within the windows, mm.
const EDGE: f64 = 1.0;

/// Windows over a drawing, mm in the drawing's own frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Tiling {
    /// Columns of windows.
    pub columns: usize,
    /// Rows of windows.
    pub rows: usize,
    /// All that the windows cover.
    pub frame: Rect,
    size: (f64, f64),
}

/// A cross that two sheets share.
#[derive(Debug, Clone, PartialEq)]
pub struct Cross {
    /// Its middle, mm in the drawing's frame.
    pub at: Point,
    /// Its letter.
    pub letter: String,
}

impl Tiling {
    /// As few windows as cover a drawing, each no larger than `room`: width and height, mm.
    pub fn new(drawing: Rect, room: (f64, f64)) -> Self {
        let frame = drawing.inflate(EDGE, EDGE);
        // A sheet of a slender drawing still has room for its crosses.
        let short = |length: f64| (0.5 * (LEAST - length)).max(0.0);
        let frame = frame.inflate(short(frame.width()), short(frame.height()));
        let (columns, width) = divided(frame.width(), room.0);
        let (rows, height) = divided(frame.height(), room.1);
        Self {
            columns,
            rows,
            frame,
            size: (width, height),
        }
    }

    /// How many windows there are.
    pub fn count(&self) -> usize {
        self.columns * self.rows
    }

    /// A window by its number, row by row from the top left.
    pub fn window(&self, number: usize) -> Rect {
        let (column, row) = (number % self.columns, number / self.columns);
        let x = self.frame.x0 + column as f64 * (self.size.0 - OVERLAP);
        let y = self.frame.y0 + row as f64 * (self.size.1 - OVERLAP);
        Rect::new(x, y, x + self.size.0, y + self.size.1)
    }

    /// Two crosses for every two windows side by side or one above the other.
    pub fn crosses(&self) -> Vec<Cross> {
        let mut places = Vec::new();
        for number in 0..self.count() {
            let window = self.window(number);
            let half = OVERLAP / 2.0;
            // A quarter in from the corners, where no other overlap reaches.
            if number % self.columns + 1 < self.columns {
                for share in [0.25, 0.75] {
                    places.push(Point::new(
                        window.x1 - half,
                        window.y0 + share * window.height(),
                    ));
                }
            }
            if number / self.columns + 1 < self.rows {
                for share in [0.25, 0.75] {
                    places.push(Point::new(
                        window.x0 + share * window.width(),
                        window.y1 - half,
                    ));
                }
            }
        }
        places
            .into_iter()
            .enumerate()
            .map(|(index, at)| Cross {
                at,
                letter: letters(index),
            })
            .collect()
    }

    /// The sheet of one window, its top left corner at the origin.
    pub fn sheet(&self, number: usize, items: &[Item], setter: &mut Setter) -> Item {
        let window = self.window(number);
        let mut seen = items.to_vec();
        for cross in self.crosses() {
            if window.contains(cross.at) {
                seen.extend(cross.drawn(setter));
            }
        }
        Item::Window(Window {
            frame: window,
            items: seen,
        })
        .moved(Vec2::new(-window.x0, -window.y0))
    }
}

impl Cross {
    fn drawn(&self, setter: &mut Setter) -> Vec<Item> {
        let arm = |by: Vec2| Shape::stroked(line(self.at - by, self.at + by), THIN);
        let letter = setter.line(&self.letter, Style::bold(10.0));
        vec![
            arm(Vec2::new(CROSS, 0.0)),
            arm(Vec2::new(0.0, CROSS)),
            letter.placed(self.at + Vec2::new(1.0, -1.0), Anchor::Start),
        ]
    }
}

/// How many windows a length takes, and how long each is.
fn divided(length: f64, room: f64) -> (usize, f64) {
    if length <= room {
        return (1, length);
    }
    let count = ((length - OVERLAP) / (room - OVERLAP) - 1e-9)
        .ceil()
        .max(2.0);
    (count as usize, (length + (count - 1.0) * OVERLAP) / count)
}

/// A, B, … Z, AA, AB, …
pub fn letters(index: usize) -> String {
    let last = char::from(b'A' + (index % 26) as u8);
    match index / 26 {
        0 => last.to_string(),
        more => format!("{}{last}", letters(more - 1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn letters_go_on_after_z() {
        let names: Vec<String> = [0, 25, 26, 27, 51, 52].into_iter().map(letters).collect();
        assert_eq!(names, ["A", "Z", "AA", "AB", "AZ", "BA"]);
    }

    proptest! {
        #[test]
        fn windows_fit_cover_the_drawing_and_overlap(
            width in 1.0f64..900.0, height in 1.0f64..900.0,
            across in 150.0f64..200.0, up in 150.0f64..260.0,
            at in (0.0f64..=1.0, 0.0f64..=1.0)
        ) {
            let drawing = Rect::new(-30.0, -40.0, width - 30.0, height - 40.0);
            let tiling = Tiling::new(drawing, (across, up));
            let windows: Vec<Rect> = (0..tiling.count()).map(|n| tiling.window(n)).collect();
            for window in &windows {
                prop_assert!(window.width() <= across + 1e-9 && window.height() <= up + 1e-9);
            }
            let point = Point::new(
                drawing.x0 + at.0 * drawing.width(),
                drawing.y0 + at.1 * drawing.height(),
            );
            let inside = windows.iter().filter(|w| w.inflate(1e-9, 1e-9).contains(point));
            prop_assert!(inside.count() >= 1);
            // Every cross stands whole on exactly the two sheets it joins.
            for cross in tiling.crosses() {
                let whole = Rect::from_center_size(cross.at, (2.0 * CROSS, 2.0 * CROSS));
                let sheets = windows.iter().filter(|w| w.union(whole) == **w).count();
                prop_assert_eq!(sheets, 2);
                prop_assert_eq!(windows.iter().filter(|w| w.contains(cross.at)).count(), 2);
            }
        }
    }
}
