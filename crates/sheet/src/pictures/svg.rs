//! A sketch as SVG for the screen, in the colour of the text around it.
//!
//! One user unit is a millimetre. What stands before the wood is filled with the page's own
//! ground (`Canvas`, or the custom property `--ground` where a page sets one).

use std::fmt::Write as _;

use kurbo::Point;
use rondure_solid::DVec2;

use super::sketch::{Sketch, Stroke};
use crate::hatch::hatch;

/// White edge around the drawing, mm.
const EDGE: f64 = 2.0;
/// Height of a mark's number, mm of the piece's size's share.
const LETTERS: f64 = 0.035;
/// Pens are this share of the drawing's larger side for each mm on a page.
const PENS: f64 = 0.009;

/// The sketch as a whole SVG document; `title` is its accessible name.
pub(super) fn write(sketch: &Sketch, title: &str) -> String {
    let (low, high) = sketch.extent().unwrap_or_default();
    let size = (high - low).max_element().max(1.0);
    let air = EDGE.max(1.6 * LETTERS * size);
    let (width, height) = (high.x - low.x + 2.0 * air, high.y - low.y + 2.0 * air);
    let place = |p: DVec2| (p.x - low.x + air, high.y - p.y + air);
    let mut out = String::new();
    let title = escaped(title);
    // Writing to a String does not fail.
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.2} {height:.2}\" role=\"img\" \
         aria-label=\"{title}\" fill=\"none\" stroke=\"currentColor\" stroke-linejoin=\"round\">"
    );
    let path = |points: &[DVec2], closed: bool| {
        let mut data = String::new();
        for (number, &point) in points.iter().enumerate() {
            let (x, y) = place(point);
            let _ = write!(data, "{}{x:.2} {y:.2}", if number == 0 { 'M' } else { 'L' });
        }
        if closed {
            data.push('Z');
        }
        data
    };
    let hatching = hatch(
        &sketch
            .cut
            .iter()
            .map(|outline| {
                outline
                    .iter()
                    .map(|p| Point::from(place(*p)))
                    .collect::<Vec<Point>>()
            })
            .collect::<Vec<_>>(),
        0.018 * size,
    );
    if !hatching.is_empty() {
        let mut data = String::new();
        for element in hatching.elements() {
            let _ = match element {
                kurbo::PathEl::MoveTo(p) => write!(data, "M{:.2} {:.2}", p.x, p.y),
                kurbo::PathEl::LineTo(p) => write!(data, "L{:.2} {:.2}", p.x, p.y),
                _ => Ok(()),
            };
        }
        let pen = 0.13 * PENS * size;
        let _ = writeln!(out, "<path d=\"{data}\" stroke-width=\"{pen:.3}\"/>");
    }
    let stroke = |out: &mut String, stroke: &Stroke| {
        let pen = stroke.kind.pen();
        let _ = write!(
            out,
            "<path d=\"{}\" stroke-width=\"{:.3}\"",
            path(&stroke.points, stroke.closed),
            pen.width * PENS * size
        );
        if !pen.dashes.is_empty() {
            let dashes: Vec<String> = pen
                .dashes
                .iter()
                .map(|dash| format!("{:.2}", dash * PENS * size))
                .collect();
            let _ = write!(out, " stroke-dasharray=\"{}\"", dashes.join(" "));
        }
        out.push_str("/>\n");
    };
    for line in &sketch.wood {
        stroke(&mut out, line);
    }
    for ground in &sketch.grounds {
        let _ = writeln!(
            out,
            "<path d=\"{}\" stroke=\"none\" fill=\"var(--ground, Canvas)\"/>",
            path(ground, true)
        );
    }
    for line in &sketch.over {
        stroke(&mut out, line);
    }
    let letters = LETTERS * size;
    for label in &sketch.labels {
        let away = label
            .away
            .try_normalize()
            .filter(|_| label.away.length() > 0.35);
        let away = away.unwrap_or(DVec2::Y) * 1.1 * letters;
        let (dot_x, dot_y) = place(label.at);
        let (x, y) = place(label.at + away);
        let _ = writeln!(
            out,
            "<circle cx=\"{dot_x:.2}\" cy=\"{dot_y:.2}\" r=\"{:.2}\" fill=\"currentColor\" stroke=\"none\"/>\
             <text x=\"{x:.2}\" y=\"{:.2}\" font-size=\"{letters:.2}\" font-weight=\"700\" text-anchor=\"middle\" \
             fill=\"currentColor\" stroke=\"none\">{}</text>",
            0.2 * letters,
            y + 0.36 * letters,
            escaped(&label.words)
        );
    }
    out.push_str("</svg>\n");
    out
}

fn escaped(words: &str) -> String {
    words
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;")
}
