//! A template as one drawing, however large: for the screen and for a card cutter.

use super::check_print::CheckPrint;
use super::{Found, card};
use crate::drawing::{Item, Page, bounds, enlarged, moved};
use crate::dxf::Dxf;
use crate::packet::parts::SMALL;
use crate::ruler;
use crate::strip::{self, StripError};
use crate::text::{Anchor, Setter, Style};
use crate::texts::Texts;
use kurbo::{Point, Rect, Vec2};

/// White edge round a drawing, mm.
const EDGE: f64 = 8.0;
/// Room between the parts of a drawing, mm.
const GAP: f64 = 5.0;
/// Least width of a drawing with its ruler and words, mm.
const LEAST: f64 = 120.0;

/// A template at true size, its own 0, 0 at the origin.
#[derive(Debug)]
pub struct Whole {
    /// Its title.
    pub title: String,
    note: String,
    items: Vec<Item>,
    check: CheckPrint,
}

/// Draws a template whole.
pub fn drawn(
    found: Found<'_>,
    check: CheckPrint,
    setter: &mut Setter,
) -> Result<Whole, StripError> {
    let (title, note, items) = match found {
        Found::Card(template) => (
            &template.title,
            &template.note,
            vec![card::draw(template, setter)],
        ),
        Found::Strip(strip) => {
            let rows = strip::rows(strip, setter, strip.length + strip::TAB)?;
            let items = rows.into_iter().map(|row| row.item).collect();
            (&strip.title, &strip.note, items)
        }
    };
    Ok(Whole {
        title: title.clone(),
        note: note.clone(),
        items: enlarged(items, check.factor()),
        check,
    })
}

impl Whole {
    /// Title, note, ruler and drawing on a page as large as they need.
    pub fn page(&self, setter: &mut Setter, texts: &Texts) -> Page {
        let frame = self.frame();
        let width = frame.width().max(LEAST);
        let mut items = Vec::new();
        let mut y = EDGE;
        let mut write = |items: &mut Vec<Item>, words: &str, style: Style| {
            for line in setter.paragraph(words, style, width) {
                let at = Point::new(EDGE, y + style.leading() * 0.77);
                items.push(line.placed(at, Anchor::Start));
                y += style.leading();
            }
        };
        write(&mut items, &self.title, Style::bold(13.5));
        write(&mut items, &self.note, SMALL);
        write(&mut items, &ruler::says(self.check, texts), SMALL);
        y += GAP;
        items.push(ruler::corrected(setter, texts, self.check).moved(Vec2::new(EDGE, y)));
        y += ruler::SIZE.1 * self.check.factor() + GAP;
        items.extend(moved(
            self.items.clone(),
            Vec2::new(EDGE - frame.x0, y - frame.y0),
        ));
        Page {
            width: width + 2.0 * EDGE,
            height: y + frame.height() + EDGE,
            items,
        }
    }

    /// The drawing with its own 0, 0 kept; title and ruler stand above it.
    pub fn dxf(&self, setter: &mut Setter, texts: &Texts) -> String {
        let frame = self.frame();
        let ruler = ruler::corrected(setter, texts, self.check);
        let above = frame.y0 - GAP - ruler::SIZE.1 * self.check.factor();
        let ruler = ruler.moved(Vec2::new(frame.x0, above));
        let mut y = above - GAP;
        let mut words = Vec::new();
        let mut write = |text: &str, style: Style| {
            let line = setter.line(text, style);
            words.push(line.placed(Point::new(frame.x0, y), Anchor::Start));
            y -= style.leading();
        };
        // From below: the title comes out on top.
        if let Some(corrected) = self.check.words(texts) {
            write(&corrected, SMALL);
        }
        write(&self.title, Style::bold(13.5));
        let mut dxf = Dxf::new(Point::ORIGIN);
        dxf.template(&self.items);
        dxf.template(&words);
        dxf.ruler(&[ruler]);
        dxf.finish()
    }

    fn frame(&self) -> Rect {
        bounds(&self.items).unwrap_or_default()
    }
}
