//! Cards for a finial: its profile as a negative, and its story stick.

use super::stations::{self, Station};
use crate::bench::written;
use crate::figure::{CardLine, Edge, Label, Outline, Template};
use crate::form::coved_ball::finial_outline::{Element, Laid};
use crate::form::coved_ball::finials::End;
use crate::study::Study;
use rondure_solid::{DVec2, Turn};

/// Width of card beyond the widest shape, mm.
const CARD: f64 = 20.0;

fn title(end: End) -> &'static str {
    match end {
        End::Top => "Top finial",
        End::Bottom => "Bottom finial",
    }
}

/// The profile cut out of card: shoulder below, tip above, the axis at 0.
pub fn profile(study: &Study<'_>, end: End, laid: &[Laid]) -> Template {
    // Station and radius in a finial's own plane are up and right here; the swap turns arcs round.
    let point = |p: DVec2| [p.y, p.x];
    let start = laid.first().map_or(DVec2::ZERO, |shape| shape.from);
    let mut edges = Vec::new();
    for shape in laid {
        edges.push(Edge::Line {
            to: point(shape.from),
        });
        edges.extend(shape.elements.iter().map(|element| match *element {
            Element::Line(to) => Edge::Line { to: point(to) },
            Element::Arc(to, centre, turn) => Edge::Arc {
                to: point(to),
                centre: point(centre),
                left: matches!(turn, Turn::Right),
            },
        }));
    }
    // The first of them would lead from the start to itself.
    edges.remove(0);
    let tip = laid.last().map_or(0.0, |shape| shape.to.x);
    let widest = laid.iter().map(|shape| shape.widest).fold(0.0, f64::max);
    let outer = widest + CARD;
    edges.push(Edge::Line { to: [outer, tip] });
    edges.push(Edge::Line { to: [outer, 0.0] });
    Template {
        id: format!("finial.{}.profile", end.word()),
        title: format!("{}: profile template", title(end)),
        note: "Hold it to the finial, lathe stopped, its lower end at the shoulder. The last of the tip is cut after the tail centre is drawn back.".to_owned(),
        outlines: vec![Outline {
            start: point(start),
            edges,
            closed: true,
            line: CardLine::Cut,
        }],
        labels: vec![
            Label::name([outer - 8.5, 3.0], tip - 6.0, title(end)).upright(),
            Label::small(
                [outer - 3.0, 3.0],
                tip - 6.0,
                format!("shoulder to tip {}", written(study.plan, tip)),
            )
            .upright(),
        ],
    }
}

/// The story stick: where every shape begins and how thick the finial is there.
pub fn stick(study: &Study<'_>, end: End, laid: &[Laid]) -> Template {
    let plan = study.plan;
    let mut stations = Vec::new();
    let mut before: Option<f64> = None;
    for shape in laid {
        let here = written(plan, 2.0 * shape.from.y);
        // A step from one diameter to another is two numbers at one station.
        let step = before.filter(|radius| (radius - shape.from.y).abs() > 1e-6);
        let thick = step.map_or_else(
            || format!("Ø {here}"),
            |radius| format!("Ø {} to {here}", written(plan, 2.0 * radius)),
        );
        stations.push(Station {
            at: shape.from.x,
            says: format!("{}: {thick}, {}", written(plan, shape.from.x), shape.name),
        });
        if shape.widest > shape.from.y.max(shape.to.y) + 1e-9 {
            stations.push(Station {
                at: widest_at(shape),
                says: format!("Ø {}, its widest", written(plan, 2.0 * shape.widest)),
            });
        }
        before = Some(shape.to.y);
    }
    if let Some(last) = laid.last() {
        stations.push(Station {
            at: last.to.x,
            says: format!("{}: tip", written(plan, last.to.x)),
        });
    }
    let length = laid.last().map_or(0.0, |shape| shape.to.x);
    let (outlines, labels) = stations::stick([0.0, 0.0], length, title(end), &stations);
    Template {
        id: format!("finial.{}.stick", end.word()),
        title: format!("{}: story stick", title(end)),
        note: "Lay the marked edge along the rough finial, its lower end at the shoulder, and carry the marks over. Beside each stand its distance from the shoulder and the diameter to turn there.".to_owned(),
        outlines,
        labels,
    }
}

/// Station of the widest place of a bead or ball: the centre of its arc.
fn widest_at(shape: &Laid) -> f64 {
    let centre = shape.elements.iter().find_map(|element| match element {
        Element::Arc(_, centre, _) => Some(centre.x),
        Element::Line(_) => None,
    });
    centre.unwrap_or(0.5 * (shape.from.x + shape.to.x))
}
