//! Gauges that are held to the ball: rings, the cove's, the half ball.

use std::f64::consts::FRAC_1_SQRT_2;

use super::cards::measures;
use crate::bench::written;
use crate::figure::{CardLine, Edge, Label, Outline, Template};
use crate::study::Study;

/// Width of card beside a working edge, mm: stiff enough in the hand. Common practice, no source.
const CARD: f64 = 15.0;
/// Height of a cove gauge above the edges' level, mm.
const HANDLE: f64 = 34.0;
/// Room between the half-ball's ends and the wood it is held by, mm.
const CLEARANCE: f64 = 2.0;

/// The ring that sits on the ball along an edge line; its inner radius is R cos β.
pub fn edge_ring(study: &Study<'_>) -> Option<Template> {
    let layout = &study.expanded.layout;
    let radius = (layout.radius.powi(2) - layout.half_width.powi(2)).sqrt();
    let bore = written(study.plan, 2.0 * radius);
    let (outlines, labels) = ring(radius, "Edge ring", &format!("bore {bore}"));
    Some(Template {
        id: "gauge.ring.edge".to_owned(),
        title: "Ring gauge for the edge lines".to_owned(),
        note: "Cut out the inner circle exactly. The ring sits on the ball along an edge line, on whatever ridges remain; draw the line round it.".to_owned(),
        outlines,
        labels,
    })
}

/// The ring that shows whether the ball is round, of the bore the report asks for.
pub fn round_ring(study: &Study<'_>) -> Option<Template> {
    let bore = measures(study).find(|measure| measure.id == "ball.round.ring")?;
    let (outlines, labels) = ring(
        0.5 * bore.value,
        "Test ring",
        &format!("bore {}", bore.shown),
    );
    Some(Template {
        id: "gauge.ring.round".to_owned(),
        title: "Test ring for a round ball".to_owned(),
        note: "Hold it to the ball every way, lathe stopped. Where light shows under the ring, the wood beside it is still high.".to_owned(),
        outlines,
        labels,
    })
}

fn ring(radius: f64, name: &str, size: &str) -> (Vec<Outline>, Vec<Label>) {
    let outer = radius + CARD;
    let cross = (0.3 * radius).min(5.0);
    let outlines = vec![
        Outline::circle([0.0, 0.0], radius, CardLine::Cut),
        Outline::circle([0.0, 0.0], outer, CardLine::Cut),
        Outline::straight(&[[-cross, 0.0], [cross, 0.0]], false, CardLine::Mark),
        Outline::straight(&[[0.0, -cross], [0.0, cross]], false, CardLine::Mark),
    ];
    // Words stand in the band above and below: as long as the chord at their outer edge allows.
    let up = radius + 6.0;
    let room = 2.0 * (outer.powi(2) - (up + 4.0).powi(2)).max(0.0).sqrt() - 3.0;
    let labels = vec![
        Label::name([0.0, up], room, name).centred(),
        Label::name([0.0, -up - 3.5], room, size).centred(),
    ];
    (outlines, labels)
}

/// The cove's profile in card: it fills the finished cove.
pub fn cove(study: &Study<'_>) -> Option<Template> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let (w, r, depth) = (layout.half_width, layout.arc_radius(), layout.depth());
    // Both edges at height 0, the cove's bottom `depth` below them.
    let outline = Outline {
        start: [-w, 0.0],
        edges: vec![
            Edge::Arc {
                to: [w, 0.0],
                centre: [0.0, r - depth],
                left: true,
            },
            Edge::Line { to: [w, HANDLE] },
            Edge::Line { to: [-w, HANDLE] },
        ],
        closed: true,
        line: CardLine::Cut,
    };
    let words = |x: f64, text: String| Label::small([x, 2.0], HANDLE - 3.0, text).upright();
    Some(Template {
        id: "gauge.cove".to_owned(),
        title: "Cove gauge".to_owned(),
        note: "It fits the finished cove when its round end touches all along and the line across it lies level with both edges.".to_owned(),
        outlines: vec![
            outline,
            Outline::straight(&[[-w, 0.0], [w, 0.0]], false, CardLine::Help),
            Outline::straight(&[[0.0, -depth], [0.0, 1.5 - depth]], false, CardLine::Mark),
        ],
        labels: vec![
            Label::name([-1.0, 2.0], HANDLE - 3.0, "Cove gauge").upright(),
            words(3.5, format!("radius {}", written(plan, r))),
        ],
    })
}

/// Half a circle of the ball's radius, from the tail's stub to the neck.
pub fn ball(study: &Study<'_>) -> Option<Template> {
    let (plan, layout, stock) = (study.plan, &study.expanded.layout, &study.expanded.stock);
    let r = layout.radius;
    let end = |holding: f64| {
        let x = (holding + CLEARANCE).min(r * FRAC_1_SQRT_2);
        [x, (r * r - x * x).sqrt()]
    };
    let (tail, neck) = (end(stock.stub), end(stock.neck));
    let outer = r + CARD;
    let outline = Outline {
        start: [neck[0], -neck[1]],
        edges: vec![
            Edge::Arc {
                to: tail,
                centre: [0.0, 0.0],
                left: true,
            },
            Edge::Line {
                to: [outer, tail[1]],
            },
            Edge::Line {
                to: [outer, -neck[1]],
            },
        ],
        closed: true,
        line: CardLine::Cut,
    };
    Some(Template {
        id: "gauge.ball".to_owned(),
        title: "Half template for the ball".to_owned(),
        note: "Hold it along the ball, lathe stopped, its ends towards the stub and the neck and the line at the middle line. No light may show under the curve.".to_owned(),
        outlines: vec![
            outline,
            Outline::straight(&[[r, 0.0], [outer, 0.0]], false, CardLine::Mark),
        ],
        labels: vec![
            Label::name([r + 6.0, 2.0], tail[1] - 3.0, "Half ball").upright(),
            Label::small([r + 11.5, 2.0], tail[1] - 3.0, written(plan, 2.0 * r)).upright(),
            Label::small([r + 6.0, -2.0 - neck[1] * 0.55], neck[1] * 0.55, "to the neck").upright(),
        ],
    })
}
