//! Drawings to scale, and cards and strips at true size with their check ruler.

use super::PacketError;
use super::parts::{BODY, SMALL, heading, led, text};
use crate::drawing::{Role, moved};
use crate::figure::{FigureError, Laid, fit};
use crate::flow::{Cell, Flow, Row, columns, height};
use crate::ruler;
use crate::scale::FULL;
use crate::strip::{ROW, rows as strip_rows};
use crate::template::{CheckPrint, card_rows, tiled};
use crate::text::Style;
use kurbo::Vec2;
use rondure_plan::figure::{Figure, Figures, Strip, Template};

/// Height of a figure so that two with their titles stand on a page, mm.
const HALF_PAGE: f64 = 96.0;

/// Lays out the drawings, two to a page where they allow it; those at true size are corrected
/// for the printer.
pub fn drawings(
    flow: &mut Flow<'_>,
    figures: &Figures,
    check: CheckPrint,
) -> Result<(), PacketError> {
    let (full, scaled): (Vec<&Figure>, Vec<&Figure>) =
        figures.drawings.iter().partition(|figure| figure.full_size);
    if !scaled.is_empty() {
        let title = flow.texts.of("drawings.title");
        flow.part(title);
        let width = flow.width();
        let mut rows = heading(flow.setter, title, width);
        let words = flow.texts.of("drawings.lines");
        rows.extend(text(flow.setter, "drawings", words, SMALL, 0.0, width));
        rows.push(Row::space(2.0));
        flow.block(rows);
        for figure in scaled {
            let laid = roomy(flow, figure)?;
            let rows = figure_rows(flow, figure, laid);
            flow.block(rows);
        }
    }
    let mut first = true;
    for figure in full {
        // What stands above the figure on a page of its own: heading, ruler, title and note.
        let words = height(&figure_rows(flow, figure, None));
        let factor = check.factor();
        let room = flow.height() - ruler::SIZE.1 * factor - 40.0 - words;
        let width = flow.width();
        let laid = within(figure, flow, (width / factor, room / factor))?.map(|laid| {
            // What is not at true size is not measured and needs no correction.
            if laid.scale == FULL {
                laid.enlarged(factor)
            } else {
                laid
            }
        });
        let mut rows = Vec::new();
        if let Some(laid) = laid.as_ref().filter(|laid| laid.scale != FULL) {
            let scale = laid.scale.words();
            let words = flow
                .texts
                .filled("drawings.smaller_says", &[("scale", &scale)]);
            let lead = flow.texts.of("drawings.smaller");
            rows = led(flow.setter, &figure.id, lead, &words, 0.0, flow.width());
            rows.push(Row::space(3.0));
        }
        rows.extend(figure_rows(flow, figure, laid));
        // Figures share a page and its ruler while there is room.
        if first || height(&rows) > flow.left() {
            flow.part(flow.texts.of("true_size.drawings"));
            let mut head = ruler_rows(flow, check);
            head.push(Row::space(4.0));
            flow.block(head);
            first = false;
        }
        flow.block(rows);
    }
    Ok(())
}

/// Half a page where the figure keeps its size or grows there, else up to a whole page.
fn roomy(flow: &mut Flow<'_>, figure: &Figure) -> Result<Option<Laid>, PacketError> {
    let half = fit_or_none(figure, flow, HALF_PAGE)?;
    if half
        .as_ref()
        .is_some_and(|laid| laid.scale.factor() >= FULL.factor())
    {
        return Ok(half);
    }
    let whole = fit_or_none(figure, flow, flow.height() - 50.0)?;
    let larger = match (&half, &whole) {
        (Some(half), Some(whole)) => whole.scale.factor() > half.scale.factor(),
        (half, _) => half.is_none(),
    };
    Ok(if larger { whole } else { half })
}

/// The figure laid out, or none where no scale fits it into the room.
fn fit_or_none(
    figure: &Figure,
    flow: &mut Flow<'_>,
    room: f64,
) -> Result<Option<Laid>, PacketError> {
    let width = flow.width();
    within(figure, flow, (width, room))
}

/// The same in a room of a width and a height, mm.
fn within(
    figure: &Figure,
    flow: &mut Flow<'_>,
    (width, room): (f64, f64),
) -> Result<Option<Laid>, PacketError> {
    match fit(figure, flow.setter, width, room) {
        Ok(laid) => Ok(Some(laid)),
        Err(FigureError::TooLarge { .. }) => Ok(None),
        Err(error) => Err(error.into()),
    }
}

/// Title, scale, note and the drawing, centred.
fn figure_rows(flow: &mut Flow<'_>, figure: &Figure, laid: Option<Laid>) -> Vec<Row> {
    let width = flow.width();
    let style = Style::bold(13.5);
    let title = flow.setter.paragraph(&figure.title, style, width - 34.0);
    let scale = laid.as_ref().map_or(String::new(), |laid| {
        flow.texts
            .filled("drawings.scale", &[("scale", &laid.scale.words())])
    });
    let scale = flow.setter.line(&scale, BODY);
    let mut rows = columns(vec![
        Cell {
            role: Role::Heading(2),
            ..Cell::text(&figure.id, 0.0, style, title)
        },
        Cell {
            anchor: crate::text::Anchor::End,
            ..Cell::text(&figure.id, width, BODY, vec![scale])
        },
    ]);
    if !figure.note.is_empty() {
        rows.extend(text(
            flow.setter,
            &figure.id,
            &figure.note,
            SMALL,
            0.0,
            width,
        ));
    }
    rows.push(Row::space(2.0));
    match laid {
        Some(laid) => {
            let by = Vec2::new((width - laid.width) / 2.0, 0.0);
            rows.push(Row {
                height: laid.height + 6.0,
                items: moved(vec![laid.item], by),
            });
        }
        None => {
            let words = flow.texts.of("drawings.left_out");
            rows.extend(text(flow.setter, &figure.id, words, BODY, 0.0, width));
        }
    }
    rows
}

/// The check ruler with its warning beside it.
pub fn ruler_rows(flow: &mut Flow<'_>, check: CheckPrint) -> Vec<Row> {
    let (width, texts) = (flow.width(), flow.texts);
    let setter = &mut *flow.setter;
    let x = ruler::SIZE.0 * check.factor() + 5.0;
    // A correction takes more words to say.
    let size = if check.words(texts).is_some() {
        8.5
    } else {
        10.5
    };
    let style = Style::bold(size);
    let lines = setter.paragraph(&ruler::says(check, texts), style, width - x);
    let mut items = vec![ruler::corrected(setter, texts, check)];
    let mut y = 0.0;
    for row in columns(vec![Cell::text("check ruler", x, style, lines)]) {
        items.extend(moved(row.items, Vec2::new(0.0, y)));
        y += row.height;
    }
    vec![Row {
        height: (ruler::SIZE.1 * check.factor()).max(y) + 4.0,
        items,
    }]
}

/// Lays out cards at true size; they share a page and its ruler while there is room, and what no
/// page holds is printed over several.
pub fn cards(flow: &mut Flow<'_>, cards: &[Template], check: CheckPrint) {
    let mut fresh = false;
    for card in cards {
        let head = ruler_rows(flow, check);
        // A page that carries on a part repeats its heading.
        let room = flow.height() - height(&head) - 15.0;
        let Some(rows) = card_rows(flow, card, check, room) else {
            tiled(flow, card, check);
            fresh = false;
            continue;
        };
        if !fresh || height(&rows) > flow.left() {
            flow.part(flow.texts.of("true_size.templates"));
            let mut rows = head;
            rows.push(Row::space(4.0));
            flow.block(rows);
            fresh = true;
        }
        flow.block(rows);
    }
}

/// Lays out the strips, each with its check ruler; a strip that runs over a page repeats it.
pub fn strips(
    flow: &mut Flow<'_>,
    strips: &[Strip],
    inches: bool,
    check: CheckPrint,
) -> Result<(), PacketError> {
    let factor = check.factor();
    let row_height = ROW * factor;
    let mut first = true;
    for strip in strips {
        let rows = strip_rows(strip, flow.setter, flow.width() / factor)?;
        let parts: Vec<f64> = rows.iter().map(|row| row.to - row.from).collect();
        let head = strip_head(flow, strip, &parts, inches, check);
        let total = height(&head) + rows.len() as f64 * row_height + 6.0;
        if first || total > flow.left() {
            flow.part(&strip.title);
        } else {
            flow.gap(6.0);
        }
        first = false;
        flow.block(head);
        for row in rows {
            let drawn = Row {
                height: row_height,
                items: vec![row.item.enlarged(factor)],
            };
            let mut block = Vec::new();
            if row_height > flow.left() {
                flow.turn();
                block = ruler_rows(flow, check);
            }
            block.push(drawn);
            flow.block(block);
        }
    }
    Ok(())
}

fn strip_head(
    flow: &mut Flow<'_>,
    strip: &Strip,
    parts: &[f64],
    inches: bool,
    check: CheckPrint,
) -> Vec<Row> {
    let width = flow.width();
    let mut rows = heading(flow.setter, &strip.title, width);
    if !strip.note.is_empty() {
        rows.extend(text(flow.setter, &strip.id, &strip.note, BODY, 0.0, width));
    }
    let length = if inches {
        format!("{:.2} in ({:.1} mm)", strip.length / 25.4, strip.length)
    } else {
        format!("{:.1} mm", strip.length)
    };
    let join = if parts.len() > 1 {
        let parts: Vec<String> = parts.iter().map(|part| format!("{part:.1}")).collect();
        let (count, and) = (parts.len().to_string(), flow.texts.of("true_size.and"));
        let places = [("count", count.as_str()), ("lengths", &parts.join(and))];
        format!(" {}", flow.texts.filled("true_size.strip_rows", &places))
    } else {
        String::new()
    };
    let says = flow
        .texts
        .filled("true_size.length_says", &[("length", &length)]);
    let words = format!("{says}{join}");
    let lead = flow.texts.of("true_size.length");
    rows.extend(led(flow.setter, &strip.id, lead, &words, 0.0, width));
    rows.push(Row::space(3.0));
    rows.extend(ruler_rows(flow, check));
    rows
}
