//! A small map that shows which sheet holds which part of a template.

use super::tile::Tiling;
use crate::drawing::{Group, Item, Role, Shape, rectangle};
use crate::pens::{SEEN, THIN};
use crate::text::{Anchor, Setter, Style};
use crate::texts::Texts;
use kurbo::{Affine, Point, Vec2};

/// The map in a room of `width` by `height` mm, its top left corner at the origin; the frame of
/// the sheet `here` is drawn wide.
pub fn key_map(
    tiling: &Tiling,
    items: &[Item],
    here: Option<usize>,
    (width, height): (f64, f64),
    setter: &mut Setter,
    texts: &Texts,
) -> Item {
    let frame = tiling.frame;
    let factor = (width / frame.width()).min(height / frame.height());
    let by = Vec2::new(-frame.x0, -frame.y0) * factor;
    let mut drawn = Vec::new();
    outlines(items, factor, by, &mut drawn);
    let count = tiling.count();
    // The sheet that is meant last, so that its wide frame lies over the others.
    let mut order: Vec<usize> = (0..count).filter(|number| Some(*number) != here).collect();
    order.extend(here);
    for number in order {
        let window = tiling.window(number);
        let corner = (window.origin().to_vec2() * factor + by).to_point();
        let (wide, high) = (window.width() * factor, window.height() * factor);
        let pen = if Some(number) == here { SEEN } else { THIN };
        drawn.push(Shape::stroked(
            rectangle(corner.x, corner.y, wide, high),
            pen,
        ));
        let style = Style::bold((high.min(wide) * 1.3).clamp(6.0, 12.0));
        let line = setter.line(&(number + 1).to_string(), style);
        let middle = corner + Vec2::new(wide / 2.0, high / 2.0 + line.ascent * 0.45);
        drawn.push(line.placed(Point::new(middle.x, middle.y), Anchor::Middle));
    }
    let count = count.to_string();
    let words = here.map_or_else(
        || texts.filled("tiles.map", &[("count", &count)]),
        |here| {
            let number = (here + 1).to_string();
            texts.filled("tiles.map_here", &[("number", &number), ("count", &count)])
        },
    );
    Group::item("key map", Role::Picture(words), drawn)
}

/// The outlines among items, small and thin.
fn outlines(items: &[Item], factor: f64, by: Vec2, drawn: &mut Vec<Item>) {
    for item in items {
        match item {
            Item::Outline(outline) => {
                let place = Affine::translate(by) * Affine::scale(factor);
                drawn.push(Shape::stroked(place * outline.to_path(), THIN));
            }
            Item::Group(group) => outlines(&group.items, factor, by, drawn),
            Item::Shape(_) | Item::Text(_) | Item::Window(_) => {}
        }
    }
}
