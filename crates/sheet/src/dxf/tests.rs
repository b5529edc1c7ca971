//! The writer against the format's own rules; the files as a whole are read by an
//! independent library in the outside checks.

use super::*;
use crate::outline::Layer;
use crate::text::{Anchor, Setter, Style};

/// Pairs of group code and value.
fn pairs(text: &str) -> Vec<(i32, &str)> {
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len() % 2, 0);
    lines
        .chunks(2)
        .map(|pair| (pair[0].trim().parse().unwrap(), pair[1]))
        .collect()
}

#[test]
fn a_half_round_outline_is_a_closed_polyline_with_the_right_bulge() {
    let (right, left) = (Point::new(10.0, 0.0), Point::new(-10.0, 0.0));
    let outline = Outline {
        start: right,
        edges: vec![
            Edge::arc(right, left, Point::ORIGIN, true),
            Edge::Line(right),
        ],
        closed: true,
        layer: Layer::Cut,
    };
    let mut dxf = Dxf::new(Point::ORIGIN);
    dxf.template(&[Item::Outline(outline)]);
    let text = dxf.finish();
    let all = pairs(&text);
    // Half a turn in two halves: the bulge is tan(90°/4) each (DXF reference, LWPOLYLINE).
    let bulges: Vec<f64> = all
        .iter()
        .filter(|(code, _)| *code == 42)
        .filter_map(|(_, value)| value.parse().ok())
        .filter(|value| *value != 2.5)
        .collect();
    assert_eq!(bulges.len(), 2);
    for bulge in bulges {
        assert!((bulge - (std::f64::consts::PI / 8.0).tan()).abs() < 1e-6);
    }
    // The arc's top is above: y runs up.
    assert!(text.contains("10\n0.0\n20\n10.0\n42"));
}

#[test]
fn handles_are_given_once() {
    let mut setter = Setter::new();
    let mut dxf = Dxf::new(Point::ORIGIN);
    let words = setter
        .line("Ø 60 mm, 50 %", Style::regular(9.0))
        .placed(Point::ORIGIN, Anchor::Start);
    dxf.ruler(&[
        crate::ruler::ruler(&mut setter, &crate::texts::Texts::default()),
        words,
    ]);
    let text = dxf.finish();
    let mut handles: Vec<&str> = pairs(&text)
        .into_iter()
        .filter(|(code, _)| *code == 5 || *code == 105)
        .map(|(_, value)| value)
        .collect();
    let seed = handles.remove(0);
    let count = handles.len();
    handles.sort_unstable();
    handles.dedup();
    assert_eq!(handles.len(), count);
    assert!(!handles.contains(&seed));
    assert!(text.contains("\\U+00D8 60 mm, 50 %%%"));
}
