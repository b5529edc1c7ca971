//! A card's plain data as drawn items: y turned down, words set.
//!
//! No word is ever cut off. Words longer than the room the card has for them stand below it in
//! full, and a letter in brackets stands in their place.

use super::tile::letters;
use crate::drawing::{Group, Item, Role, bounds};
use crate::outline::{Edge, Layer, Outline};
use crate::text::{Anchor, Setter, Style};
use kurbo::Point;
use rondure_plan::figure::{self, CardLine, Label, Template};

/// Letters of a card's name, points.
const NAME: Style = Style::bold(11.0);
/// Other letters, points: 3 mm high, the least for paper held at the lathe.
const SMALL: Style = Style::regular(8.5);

/// Least width of the lines of words below a card, mm.
const LINE: f64 = 70.0;

/// The card at true size, its own 0, 0 at the origin.
pub fn draw(card: &Template, setter: &mut Setter) -> Item {
    let mut items: Vec<Item> = card
        .outlines
        .iter()
        .map(|outline| Item::Outline(outline_of(outline)))
        .collect();
    let mut below = Vec::new();
    for label in &card.labels {
        items.push(words(label, &mut below, setter));
    }
    let written = list(&below, &items, setter);
    items.extend(written);
    Group::item(card.id.clone(), Role::Picture(spoken(card)), items)
}

/// The words that found no room, in lines below all that is drawn.
fn list(words: &[&str], drawn: &[Item], setter: &mut Setter) -> Vec<Item> {
    let frame = bounds(drawn).unwrap_or_default();
    let mut y = frame.y1 + 2.0;
    let mut items = Vec::new();
    for (index, words) in words.iter().enumerate() {
        let words = format!("{} {words}", bracketed(index));
        for line in setter.paragraph(&words, SMALL, frame.width().max(LINE)) {
            y += SMALL.leading();
            items.push(line.placed(Point::new(frame.x0, y), Anchor::Start));
        }
    }
    items
}

/// What stands in the place of long words: (a), (b), …
fn bracketed(index: usize) -> String {
    format!("({})", letters(index).to_lowercase())
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

/// A label in its place, or a letter there and the words on the list of those `below`.
fn words<'a>(label: &'a Label, below: &mut Vec<&'a str>, setter: &mut Setter) -> Item {
    let style = if label.name { NAME } else { SMALL };
    let mut line = setter.line(&label.text, style);
    if line.width > label.room {
        let known = below.iter().position(|words| *words == label.text);
        let index = known.unwrap_or(below.len());
        if known.is_none() {
            below.push(&label.text);
        }
        line = setter.line(&bracketed(index), style);
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(item: &Item) -> Vec<String> {
        match item {
            Item::Group(group) => group.items.iter().flat_map(texts).collect(),
            Item::Text(text) => vec![text.line.words.to_string()],
            _ => Vec::new(),
        }
    }

    /// Words with too little room stand below in full, equal ones once, under the same letter.
    #[test]
    fn no_word_is_cut_off() {
        let label = |text: &str, room: f64| Label {
            at: [0.0, 0.0],
            text: text.to_owned(),
            centred: false,
            upright: false,
            name: false,
            room,
        };
        let card = Template {
            id: "card".to_owned(),
            title: String::new(),
            note: String::new(),
            outlines: vec![figure::Outline::circle([0.0, 0.0], 5.0, CardLine::Cut)],
            labels: vec![
                label("short", 40.0),
                label("to the neck", 4.0),
                label("on the ridge", 4.0),
                label("to the neck", 4.0),
            ],
        };
        let drawn = texts(&draw(&card, &mut Setter::new()));
        assert_eq!(
            drawn,
            [
                "short",
                "(a)",
                "(b)",
                "(a)",
                "(a) to the neck",
                "(b) on the ridge"
            ]
        );
    }
}
