//! Cards on paper: one below another, or over several sheets.

use super::check_print::CheckPrint;
use super::key_map::key_map;
use super::{card, tile::Tiling};
use crate::drawing::{Group, Item, Role, bounds, enlarged, moved};
use crate::flow::{Cell, Flow, Row, columns, height};
use crate::packet::full_size::ruler_rows;
use crate::packet::parts::{BODY, led, text};
use crate::ruler;
use crate::text::{Setter, Style};
use kurbo::{Rect, Vec2};
use rondure_plan::figure::Template;

/// Room below a card, mm.
const BELOW: f64 = 7.0;
/// Heading and ruler of a sheet of a tiled card, mm.
const HEAD: f64 = 56.0;

/// A card's drawing corrected for the printer, and the box round it.
pub fn lay_card(template: &Template, check: CheckPrint, setter: &mut Setter) -> (Vec<Item>, Rect) {
    let items = enlarged(vec![card::draw(template, setter)], check.factor());
    let frame = bounds(&items).unwrap_or_default();
    (items, frame)
}

/// Title, note and drawing of a card that fits a width; none where it must be tiled.
pub fn card_rows(
    flow: &mut Flow<'_>,
    template: &Template,
    check: CheckPrint,
    room: f64,
) -> Option<Vec<Row>> {
    let width = flow.width();
    let (items, frame) = lay_card(template, check, flow.setter);
    let mut rows = head(flow, template);
    if frame.width() > width || frame.height() + BELOW + height(&rows) > room {
        return None;
    }
    let by = Vec2::new((width - frame.width()) / 2.0 - frame.x0, -frame.y0);
    rows.push(Row {
        height: frame.height() + BELOW,
        items: moved(items, by),
    });
    Some(rows)
}

/// Lays a card over several sheets: first a sheet that says how they are joined, then one a window.
pub fn tiled(flow: &mut Flow<'_>, template: &Template, check: CheckPrint) {
    let (items, frame) = lay_card(template, check, flow.setter);
    let room = (flow.width(), flow.height() - HEAD);
    let tiling = Tiling::new(frame, room);
    let count = tiling.count();
    let width = flow.width();

    flow.part(&template.title);
    let mut rows = head(flow, template);
    let texts = flow.texts;
    let of = count.to_string();
    let sheets = [("count", of.as_str())];
    rows.extend(led(
        flow.setter,
        &template.id,
        &texts.filled("tiles.lead", &sheets),
        &texts.filled("tiles.says", &sheets),
        0.0,
        width,
    ));
    rows.push(Row::space(4.0));
    flow.block(rows);
    let ruler = ruler_rows(flow, check);
    flow.block(ruler);
    flow.gap(4.0);
    let size = (0.6 * width, (flow.left() - 10.0).clamp(20.0, 110.0));
    let map = key_map(&tiling, &items, None, size, flow.setter, texts);
    flow.block(vec![Row {
        height: size.1,
        items: vec![map],
    }]);

    for number in 0..count {
        flow.turn();
        let place = (number + 1).to_string();
        let places = [("number", place.as_str()), ("count", &of)];
        let words = texts.filled("tiles.sheet", &places);
        let line = flow.setter.line(&words, Style::bold(13.5));
        let mut rows = columns(vec![Cell {
            role: Role::Heading(2),
            ..Cell::text(&words, 0.0, Style::bold(13.5), vec![line])
        }]);
        let beside = ruler::SIZE.0 + 6.0;
        let size = (width - beside, ruler::SIZE.1 - 1.0);
        let map = key_map(&tiling, &items, Some(number), size, flow.setter, texts);
        let mut check_ruler = vec![ruler::corrected(flow.setter, texts, check)];
        check_ruler.push(map.moved(Vec2::new(beside, 0.0)));
        rows.push(Row {
            height: ruler::SIZE.1 * check.factor() + 3.0,
            items: check_ruler,
        });
        let sheet = tiling.sheet(number, &items, flow.setter);
        let name = format!("{}/{}", template.id, number + 1);
        let spoken = format!("{}, {words}", template.title);
        let window = tiling.window(number);
        let by = Vec2::new((width - window.width()) / 2.0, 0.0);
        rows.push(Row {
            height: window.height(),
            items: vec![Group::item(name, Role::Picture(spoken), vec![sheet]).moved(by)],
        });
        flow.block(rows);
    }
}

/// Title and note.
fn head(flow: &mut Flow<'_>, template: &Template) -> Vec<Row> {
    let width = flow.width();
    let style = Style::bold(13.5);
    let title = flow.setter.paragraph(&template.title, style, width - 34.0);
    let scale = flow.setter.line(flow.texts.of("true_size.scale"), BODY);
    let mut rows = columns(vec![
        Cell {
            role: Role::Heading(2),
            ..Cell::text(&template.id, 0.0, style, title)
        },
        Cell {
            anchor: crate::text::Anchor::End,
            ..Cell::text(&template.id, width, BODY, vec![scale])
        },
    ]);
    rows.extend(text(
        flow.setter,
        &template.id,
        &template.note,
        crate::packet::parts::SMALL,
        0.0,
        width,
    ));
    rows.push(Row::space(3.0));
    rows
}
