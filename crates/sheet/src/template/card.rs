//! A card's plain data as drawn items: y turned down, words set.

use crate::drawing::{Group, Item, Role};
use crate::outline::{Edge, Layer, Outline};
use crate::text::{Anchor, Setter, Style};
use kurbo::Point;
use rondure_plan::figure::{self, CardLine, Label, Template};

/// Letters of a card's name, points.
const NAME: Style = Style::bold(11.0);
/// Other letters, points: 3 mm high, the least for paper held at the lathe.
const SMALL: Style = Style::regular(8.5);

/// The card at true size, its own 0, 0 at the origin.
pub fn draw(card: &Template, setter: &mut Setter) -> Item {
    let mut items: Vec<Item> = card
        .outlines
        .iter()
        .map(|outline| Item::Outline(outline_of(outline)))
        .collect();
    items.extend(card.labels.iter().map(|label| words(label, setter)));
    Group::item(card.id.clone(), Role::Picture(spoken(card)), items)
}

fn point([x, y]: [f64; 2]) -> Point {
    Point::new(x, -y)
}

fn outline_of(outline: &figure::Outline) -> Outline {
    let mut from = point(outline.start);
    let edges = outline
        .edges
        .iter()
        .map(|edge| {
            let edge = match *edge {
                figure::Edge::Line { to } => Edge::Line(point(to)),
                figure::Edge::Arc { to, centre, left } => {
                    Edge::arc(from, point(to), point(centre), left)
                }
            };
            from = edge.end();
            edge
        })
        .collect();
    Outline {
        start: point(outline.start),
        edges,
        closed: outline.closed,
        layer: match outline.line {
            CardLine::Cut => Layer::Cut,
            CardLine::Mark => Layer::Mark,
            CardLine::Help => Layer::Help,
        },
    }
}

fn words(label: &Label, setter: &mut Setter) -> Item {
    let style = if label.name { NAME } else { SMALL };
    let line = setter.line_within(&label.text, style, label.room);
    let anchor = if label.centred {
        Anchor::Middle
    } else {
        Anchor::Start
    };
    let angle = if label.upright {
        std::f64::consts::FRAC_PI_2
    } else {
        0.0
    };
    line.turned(point(label.at), anchor, angle, 0.0)
}

/// The words that stand for a card: its title and what is written on it.
fn spoken(card: &Template) -> String {
    let labels: Vec<&str> = card
        .labels
        .iter()
        .map(|label| label.text.as_str())
        .filter(|text| !text.is_empty())
        .collect();
    format!("{}: {}", card.title, labels.join(", "))
}
