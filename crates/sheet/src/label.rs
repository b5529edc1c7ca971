//! The place a label takes on paper: its box, and what it would cross.

use crate::text::TextLine;
use kurbo::{Point, Rect, Vec2};

/// How far a label reaches along a line from `origin`: its least and its greatest station.
pub fn span(text: &TextLine, at: Point, turn: f64, origin: Point, along: Vec2) -> (f64, f64) {
    let reading = Vec2::new(turn.cos(), -turn.sin());
    let start = (at - origin).dot(along);
    let end = (at + reading * text.width - origin).dot(along);
    (start.min(end), start.max(end))
}

/// The corners of a label's box with `air` around it.
pub fn corners(text: &TextLine, at: Point, turn: f64, air: f64) -> [Point; 4] {
    let reading = Vec2::new(turn.cos(), -turn.sin());
    let up = Vec2::new(reading.y, -reading.x);
    let end = at + reading * (text.width + air);
    let at = at - reading * air;
    let (low, high) = (text.descent + air, text.ascent + air);
    [
        at - up * low,
        end - up * low,
        end + up * high,
        at + up * high,
    ]
}

/// How many segments share a point with a label's box.
pub fn count_crossings(segments: &[(Point, Point)], corners: &[Point; 4]) -> usize {
    let reach =
        Rect::from_points(corners[0], corners[2]).union(Rect::from_points(corners[1], corners[3]));
    segments
        .iter()
        .filter(|(a, b)| {
            let near = Rect::from_points(*a, *b).inflate(1e-9, 1e-9);
            near.x0 <= reach.x1
                && near.x1 >= reach.x0
                && near.y0 <= reach.y1
                && near.y1 >= reach.y0
                && overlap(&[*a, *b, *b, *a], corners)
        })
        .count()
}

/// Whether two convex four-cornered areas share a point: no side of either parts them.
pub fn overlap(first: &[Point; 4], second: &[Point; 4]) -> bool {
    let sides = |area: &[Point; 4]| {
        let area = *area;
        (0..4).map(move |index| area[(index + 1) % 4] - area[index])
    };
    sides(first).chain(sides(second)).all(|side| {
        let across = Vec2::new(-side.y, side.x);
        if across.hypot2() < 1e-18 {
            return true;
        }
        let reach = |area: &[Point; 4]| {
            area.iter()
                .map(|corner| corner.to_vec2().dot(across))
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                    (low.min(value), high.max(value))
                })
        };
        let ((low, high), (other_low, other_high)) = (reach(first), reach(second));
        low <= other_high && other_low <= high
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(x: f64, y: f64, width: f64, height: f64) -> [Point; 4] {
        [
            Point::new(x, y),
            Point::new(x + width, y),
            Point::new(x + width, y + height),
            Point::new(x, y + height),
        ]
    }

    #[test]
    fn areas_overlap_when_no_side_parts_them() {
        assert!(overlap(
            &area(0.0, 0.0, 4.0, 4.0),
            &area(3.0, 3.0, 4.0, 4.0)
        ));
        assert!(!overlap(
            &area(0.0, 0.0, 4.0, 4.0),
            &area(4.1, 0.0, 4.0, 4.0)
        ));
        // A slanting segment whose box covers the corner but that passes it by.
        let slant = [
            Point::new(3.0, -2.0),
            Point::new(7.0, 2.0),
            Point::new(7.0, 2.0),
            Point::new(3.0, -2.0),
        ];
        assert!(!overlap(&area(0.0, 0.0, 4.0, 4.0), &slant));
    }
}
