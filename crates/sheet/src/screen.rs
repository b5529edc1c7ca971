//! Figures and strips for the screen.

use crate::drawing::{Item, Page, bounds};
use crate::figure::{FigureError, fit};
use crate::strip::{StripError, TAB, rows};
use crate::svg;
use crate::text::Setter;
use kurbo::Vec2;
use rondure_plan::figure::{Figure, Strip};

/// Room a figure on the screen is fitted into, mm: about that of a printed page.
const ROOM: (f64, f64) = (180.0, 180.0);
/// White edge round a picture, mm.
const EDGE: f64 = 3.0;

/// A figure as SVG, at the scale it would have on a page of its own.
pub fn figure_svg(figure: &Figure) -> Result<String, FigureError> {
    let laid = fit(figure, &mut Setter::new(), ROOM.0, ROOM.1)?;
    Ok(svg::write(&framed(vec![laid.item]), &figure.title))
}

/// A strip as SVG, at true size in one row.
pub fn strip_svg(strip: &Strip) -> Result<String, StripError> {
    let rows = rows(strip, &mut Setter::new(), strip.length + TAB)?;
    let items = rows.into_iter().map(|row| row.item).collect();
    Ok(svg::write(&framed(items), &strip.title))
}

/// A page that just holds its items.
fn framed(items: Vec<Item>) -> Page {
    let frame = bounds(&items).unwrap_or_default().inflate(EDGE, EDGE);
    Page {
        width: frame.width(),
        height: frame.height(),
        items: crate::drawing::moved(items, Vec2::new(-frame.x0, -frame.y0)),
    }
}
