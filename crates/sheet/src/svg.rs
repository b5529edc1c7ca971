//! A page to SVG, for the screen.
//!
//! One user unit is one millimetre and the picture's size is given in mm, so a
//! browser prints it at true size when its own scaling is off. Letters are
//! drawn as outlines of the embedded font, with the words beside them for
//! screen readers: the picture looks the same on a machine without the font.
//! Numbers are rounded to 0.001 mm.

use crate::drawing::{Item, Page, Pen, Role, Shade, Shape, Text};
use crate::outline::{self, Edge, Outline};
use crate::pens::pen_of_layer;
use crate::text::{BOLD, REGULAR, Weight};
use kurbo::{Affine, BezPath, PathEl, Point};
use skrifa::{
    FontRef, MetadataProvider,
    instance::{LocationRef, Size},
    outline::{DrawSettings, OutlinePen},
};
use std::fmt::Write as _;

/// Writes one page as a whole SVG document; `title` is its accessible name.
pub fn write(page: &Page, title: &str) -> String {
    let mut out = String::new();
    let (width, height) = (number(page.width), number(page.height));
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"{}\">",
        escape(title)
    );
    for item in &page.items {
        draw(&mut out, item);
    }
    out.push_str("</svg>\n");
    out
}

fn draw(out: &mut String, item: &Item) {
    match item {
        Item::Shape(shape) => draw_shape(out, shape),
        Item::Outline(outline) => draw_outline(out, outline),
        Item::Window(window) => {
            // Nested drawings clip to their frame without a name that could clash on a page.
            let frame = window.frame;
            let (x, y) = (number(frame.x0), number(frame.y0));
            let (width, height) = (number(frame.width()), number(frame.height()));
            let _ = writeln!(
                out,
                "<svg x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" \
                 viewBox=\"{x} {y} {width} {height}\" overflow=\"hidden\">"
            );
            for item in &window.items {
                draw(out, item);
            }
            out.push_str("</svg>\n");
        }
        Item::Text(text) => draw_text(out, text),
        Item::Group(group) => {
            let _ = write!(out, "<g data-name=\"{}\"", escape(&group.name));
            match &group.role {
                Role::Picture(words) => {
                    let _ = write!(out, " role=\"img\" aria-label=\"{}\"", escape(words));
                }
                Role::Decoration => out.push_str(" aria-hidden=\"true\""),
                Role::Heading(_) | Role::Paragraph => {}
            }
            out.push_str(">\n");
            for item in &group.items {
                draw(out, item);
            }
            out.push_str("</g>\n");
        }
    }
}

fn draw_shape(out: &mut String, shape: &Shape) {
    let _ = write!(out, "<path d=\"{}\"", path_data(&shape.path));
    match shape.fill {
        Some(shade) => {
            let _ = write!(out, " fill=\"{}\" fill-rule=\"evenodd\"", grey(shade));
        }
        None => out.push_str(" fill=\"none\""),
    }
    if let Some(pen) = &shape.pen {
        stroke(out, *pen);
    }
    out.push_str("/>\n");
}

fn stroke(out: &mut String, pen: Pen) {
    let _ = write!(
        out,
        " stroke=\"#000\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
        number(pen.width)
    );
    if !pen.dashes.is_empty() {
        let dashes: Vec<String> = pen.dashes.iter().map(|length| number(*length)).collect();
        let _ = write!(out, " stroke-dasharray=\"{}\"", dashes.join(" "));
    }
}

/// An outline as one path, its arcs as arcs, with the name of its layer.
fn draw_outline(out: &mut String, outline: &Outline) {
    let mut data = format!("M{} {}", number(outline.start.x), number(outline.start.y));
    let mut from = outline.start;
    for edge in &outline.edges {
        match *edge {
            Edge::Line(to) => {
                let _ = write!(data, "L{} {}", number(to.x), number(to.y));
            }
            Edge::Arc { centre, sweep, .. } => {
                let radius = (from - centre).hypot();
                // Quarters: written to a thousandth, an arc of half a turn would leave its centre
                // in doubt by the root of twice the radius times that.
                let parts = (sweep.abs() / std::f64::consts::FRAC_PI_2 - 1e-9)
                    .ceil()
                    .clamp(1.0, 4.0) as u32;
                let angle = outline::angle_at(centre, from);
                for part in 1..=parts {
                    let to = outline::on_circle(
                        centre,
                        radius,
                        angle + sweep * f64::from(part) / f64::from(parts),
                    );
                    // y runs down: counter-clockwise as seen is sweep flag 0.
                    let flag = u8::from(sweep < 0.0);
                    let radius = number(radius);
                    let (x, y) = (number(to.x), number(to.y));
                    let _ = write!(data, "A{radius} {radius} 0 0 {flag} {x} {y}");
                }
            }
        }
        from = edge.end();
    }
    if outline.closed {
        data.push('Z');
    }
    let layer = outline.layer.name();
    let _ = write!(
        out,
        "<path data-layer=\"{layer}\" d=\"{data}\" fill=\"none\""
    );
    stroke(out, pen_of_layer(outline.layer));
    out.push_str("/>\n");
}

fn draw_text(out: &mut String, text: &Text) {
    let place = Affine::translate(text.at.to_vec2()) * Affine::rotate(-text.angle);
    let _ = writeln!(
        out,
        "<path role=\"text\" aria-label=\"{}\" fill=\"{}\" d=\"{}\"/>",
        escape(text.line.words.trim()),
        grey(text.shade),
        path_data(&(place * outlines(text)))
    );
}

/// The letters of a line as one path, its baseline starting at the origin.
fn outlines(text: &Text) -> BezPath {
    let mut whole = BezPath::new();
    for run in &text.line.runs {
        let face = match run.weight {
            Weight::Regular => REGULAR,
            Weight::Bold => BOLD,
        };
        let Ok(font) = FontRef::new(face) else {
            continue;
        };
        let glyphs = font.outline_glyphs();
        let size = run.size / crate::drawing::POINTS_PER_MM;
        for glyph in &run.glyphs {
            let Some(outline) = glyphs.get(skrifa::GlyphId::new(glyph.id)) else {
                continue;
            };
            let mut pen = Outliner {
                path: BezPath::new(),
                at: Point::new(glyph.x, -glyph.y),
            };
            let settings = DrawSettings::unhinted(Size::new(size as f32), LocationRef::default());
            // A glyph that cannot be drawn leaves a gap of its width; the label still holds the words.
            if outline.draw(settings, &mut pen).is_ok() {
                whole.extend(pen.path);
            }
        }
    }
    whole
}

/// Collects an outline; the font's y runs up, the page's runs down.
struct Outliner {
    path: BezPath,
    at: Point,
}

impl Outliner {
    fn point(&self, x: f32, y: f32) -> Point {
        Point::new(self.at.x + f64::from(x), self.at.y - f64::from(y))
    }
}

impl OutlinePen for Outliner {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.point(x, y));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.point(x, y));
    }
    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.path.quad_to(self.point(cx, cy), self.point(x, y));
    }
    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        self.path
            .curve_to(self.point(ax, ay), self.point(bx, by), self.point(x, y));
    }
    fn close(&mut self) {
        self.path.close_path();
    }
}

fn path_data(path: &BezPath) -> String {
    let mut data = String::new();
    let mut push = |letter: char, points: &[Point]| {
        data.push(letter);
        for (index, point) in points.iter().enumerate() {
            if index > 0 {
                data.push(' ');
            }
            data.push_str(&number(point.x));
            data.push(' ');
            data.push_str(&number(point.y));
        }
    };
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => push('M', &[p]),
            PathEl::LineTo(p) => push('L', &[p]),
            PathEl::QuadTo(a, p) => push('Q', &[a, p]),
            PathEl::CurveTo(a, b, p) => push('C', &[a, b, p]),
            PathEl::ClosePath => push('Z', &[]),
        }
    }
    data
}

/// Rounded to 0.001, without trailing noughts.
fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

fn grey(shade: Shade) -> String {
    let level = (shade.clamp(0.0, 1.0) * 255.0).round() as u8;
    format!("#{level:02x}{level:02x}{level:02x}")
}

fn escape(words: &str) -> String {
    words
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::{Anchor, Setter, Style};
    use kurbo::Shape as _;

    #[test]
    fn numbers_are_short_and_exact_to_a_thousandth() {
        assert_eq!(number(100.0), "100");
        assert_eq!(number(101.6), "101.6");
        assert_eq!(number(-0.0001), "0");
        assert_eq!(number(1.0 / 3.0), "0.333");
    }

    #[test]
    fn letters_stand_on_their_baseline_at_their_size() {
        let mut setter = Setter::new();
        let Item::Text(text) = setter
            .line("H", Style::regular(72.0))
            .placed(Point::ORIGIN, Anchor::Start)
        else {
            panic!("text expected");
        };
        let bounds = outlines(&text).bounding_box();
        // The font's own capital height is 2048 of 2816 units; 72 points are 25.4 mm.
        let capital = 2048.0 / 2816.0 * 25.4;
        assert!(
            (bounds.height() - capital).abs() < 0.05,
            "{}",
            bounds.height()
        );
        assert!(bounds.y1.abs() < 1e-3);
    }

    #[test]
    fn words_are_escaped() {
        assert_eq!(escape("3/8\" < 10 & 4"), "3/8&quot; &lt; 10 &amp; 4");
    }
}
