//! The figures of a coved ball: sections of the true solid with their sizes, cards
//! and the index strip at true size.

mod cards;
mod finial_cards;
mod gauges;
mod settings;
mod stations;

use std::f64::consts::{FRAC_PI_2, TAU};

use rayon::prelude::*;
use rondure_solid::{DVec3, Plane, Solid};

use crate::bench::written;
use crate::facets::ladder;
use crate::figure::{Dimension, Figure, Figures, Line, LineKind, Strip, StripMark};
use crate::form::coved_ball::finial_outline::Laid;
use crate::form::coved_ball::finials::{End, tenon};
use crate::form::coved_ball::{BALL, mountings};
use crate::study::Study;

/// How far a drawn outline may stray from the true one, mm: below the width of a drawn line.
const TOLERANCE: f64 = 0.02;

/// Draws all figures.
pub fn draw(study: &Study<'_>) -> Figures {
    let makers: [fn(&Study<'_>) -> Option<Figure>; 4] = [equator, axial, coving, rounding];
    let mut drawings: Vec<Figure> = makers.par_iter().filter_map(|make| make(study)).collect();
    drawings.extend(
        study
            .expanded
            .finials
            .iter()
            .map(|(end, index, laid)| finial(study, *end, *index, laid)),
    );
    Figures {
        drawings,
        strips: vec![strip(study)],
        templates: cards::draw(study),
    }
}

fn section(study: &Study<'_>, solid: &Solid, origin: DVec3, right: DVec3, up: DVec3) -> Vec<Line> {
    study
        .section(solid, &Plane::new(origin, right, up), TOLERANCE)
        .loops
        .iter()
        .map(|outline| Line {
            points: outline
                .points
                .iter()
                .map(|point| point.to_array())
                .collect(),
            closed: true,
            kind: LineKind::Section,
        })
        .collect()
}

fn circle(radius: f64, kind: LineKind) -> Line {
    let points = (0..360)
        .map(|degree| at(radius, f64::from(degree).to_radians()))
        .collect();
    Line {
        points,
        closed: true,
        kind,
    }
}

fn straight(from: [f64; 2], to: [f64; 2], kind: LineKind) -> Line {
    Line {
        points: vec![from, to],
        closed: false,
        kind,
    }
}

fn at(radius: f64, angle: f64) -> [f64; 2] {
    [radius * angle.cos(), radius * angle.sin()]
}

fn axes(reach: f64) -> [Line; 2] {
    [
        straight([-reach, 0.0], [reach, 0.0], LineKind::Axis),
        straight([0.0, -reach], [0.0, reach], LineKind::Axis),
    ]
}

fn note(at: [f64; 2], text_at: [f64; 2], label: impl Into<String>) -> Dimension {
    Dimension::Note {
        at,
        text_at,
        label: label.into(),
    }
}

fn equator(study: &Study<'_>) -> Option<Figure> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let r = layout.radius;
    let mut lines = section(
        study,
        &study.finished(BALL).solid,
        DVec3::ZERO,
        DVec3::X,
        DVec3::Y,
    );
    lines.push(circle(r, LineKind::Thin));
    lines.extend(axes(1.12 * r));
    let mut dimensions = vec![Dimension::Length {
        from: [-r, 0.0],
        to: [r, 0.0],
        offset: -1.35 * r,
        label: format!("ball {}", written(plan, 2.0 * r)),
    }];
    for mark in 0..layout.marks {
        let angle = layout.azimuth(mark);
        dimensions.push(note(
            at(r, angle),
            at(1.16 * r, angle),
            format!("{}", mark + 1),
        ));
    }
    dimensions.push(Dimension::Diameter {
        centre: [0.0, 0.0],
        radius: layout.bore_radius,
        angle: 0.5 * layout.pitch(),
        label: format!("bore {}", written(plan, plan.bore.diameter)),
    });
    if let Some(pierce) = layout.pierce_radius {
        let along = layout.azimuth(0) + FRAC_PI_2;
        let (sin, cos) = along.sin_cos();
        let out = layout.bottom_radius;
        dimensions.push(Dimension::Length {
            from: [out * cos + pierce * sin, out * sin - pierce * cos],
            to: [out * cos - pierce * sin, out * sin + pierce * cos],
            offset: -0.55 * r,
            label: format!("hole {}", written(plan, 2.0 * pierce)),
        });
    }
    Some(Figure {
        id: "ball.section.equator".to_owned(),
        title: "Finished ball, cut across at its middle line".to_owned(),
        note: "Seen from the tail end. Numbers are the marks; the thin circle is the ball before coving.".to_owned(),
        full_size: false,
        lines,
        dimensions,
    })
}

fn axial(study: &Study<'_>) -> Option<Figure> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let r = layout.radius;
    let across = layout.towards_cove(0, true);
    let mut lines = section(
        study,
        &study.finished(BALL).solid,
        DVec3::ZERO,
        across,
        DVec3::Z,
    );
    lines.push(circle(r, LineKind::Thin));
    lines.extend(axes(1.12 * r));
    let low = layout.rim_low()?;
    let b = layout.bore_radius;
    let mut dimensions = vec![
        Dimension::Length {
            from: [-b, low],
            to: [b, low],
            offset: 0.45 * r,
            label: format!("bore {}", written(plan, 2.0 * b)),
        },
        Dimension::Length {
            from: [layout.bottom_radius, 0.0],
            to: [-layout.bottom_radius, 0.0],
            offset: 1.25 * r,
            label: format!(
                "over the cove's bottom {}",
                written(plan, 2.0 * layout.bottom_radius)
            ),
        },
        Dimension::Length {
            from: [b, -low],
            to: [b, low],
            offset: -(1.3 * r - b),
            label: format!("rim to rim {}", written(plan, 2.0 * low)),
        },
    ];
    if let Some(pierce) = layout.pierce_radius {
        dimensions.push(Dimension::Length {
            from: [-layout.bottom_radius, pierce],
            to: [-layout.bottom_radius, -pierce],
            offset: -0.6 * r,
            label: format!("hole {}", written(plan, 2.0 * pierce)),
        });
    }
    Some(Figure {
        id: "ball.section.axis".to_owned(),
        title: "Finished ball, cut along its axis through the middle of cove 1".to_owned(),
        note: "The axis of the blank stands upright.".to_owned(),
        full_size: false,
        lines,
        dimensions,
    })
}

fn coving(study: &Study<'_>) -> Option<Figure> {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let (r, w) = (layout.radius, layout.half_width);
    let setup = study.expanded.process.setup("mounting.1")?;
    let state = study.expanded.process.state_after(setup);
    // The mounting's axis lies level, as on the lathe.
    let mut lines = section(
        study,
        &state.solid,
        DVec3::ZERO,
        layout.towards(0),
        layout.towards_cove(0, true),
    );
    lines.push(straight([-1.2 * r, 0.0], [1.2 * r, 0.0], LineKind::Axis));
    for side in [-w, w] {
        lines.push(straight([side, -1.1 * r], [side, 1.1 * r], LineKind::Thin));
    }
    let s = layout.arc_centre();
    Some(Figure {
        id: "mounting.section".to_owned(),
        title: "Every mounting: edges, flat and cove".to_owned(),
        note: "The ball after mounting 1, cut across at its middle line. The lathe's axis lies level; the circle in the middle is the bore.".to_owned(),
        full_size: false,
        lines,
        dimensions: vec![
            Dimension::Length { from: [-w, layout.flat_radius], to: [w, layout.flat_radius], offset: 0.35 * r, label: format!("edge to edge {}", written(plan, 2.0 * w)) },
            Dimension::Length {
                from: [w, -layout.flat_radius],
                to: [w, layout.flat_radius],
                offset: -(1.55 * r - w),
                label: format!("over the flat {}", written(plan, 2.0 * layout.flat_radius)),
            },
            Dimension::Length {
                from: [0.0, -layout.bottom_radius],
                to: [0.0, layout.bottom_radius],
                offset: -1.25 * r,
                label: format!("over the bottom {}", written(plan, 2.0 * layout.bottom_radius)),
            },
            Dimension::Radius {
                centre: [0.0, -s],
                radius: layout.arc_radius(),
                angle: FRAC_PI_2 + 0.3,
                label: format!("gauge radius {}", written(plan, layout.arc_radius())),
            },
            note([-r, 0.0], [-1.3 * r, 0.25 * r], "drive centre, mark 1".to_owned()),
            note([r, 0.0], [1.3 * r, -0.25 * r], format!("tail centre, mark {}", layout.mountings() + 1)),
        ],
    })
}

fn rounding(study: &Study<'_>) -> Option<Figure> {
    let (plan, layout, stock) = (study.plan, &study.expanded.layout, &study.expanded.stock);
    let r = layout.radius;
    let process = &study.expanded.process;
    let setup = process.setup("ball")?;
    let round = process.setups[setup]
        .steps
        .iter()
        .position(|step| step.id == "ball.round")?;
    let state = process.state_before(BALL, setup, round + 1);
    // The lathe's axis level, headstock on the left: z runs to the right.
    let mut lines = section(study, &state.solid, DVec3::ZERO, DVec3::Z, DVec3::X);
    for stage in ladder(2.0 * r, plan.ball.facets) {
        for side in [1.0, -1.0] {
            let head = stage
                .corners
                .iter()
                .map(|corner| [corner.from_end - r, 0.5 * side * corner.diameter]);
            let tail = stage
                .corners
                .iter()
                .rev()
                .map(|corner| [r - corner.from_end, 0.5 * side * corner.diameter]);
            lines.push(Line {
                points: head.chain(tail).collect(),
                closed: false,
                kind: LineKind::Thin,
            });
        }
    }
    lines.push(straight(
        [stock.head - 4.0, 0.0],
        [stock.tail + 4.0, 0.0],
        LineKind::Axis,
    ));
    let neck_at = -r - 0.5 * stock.neck_length;
    Some(Figure {
        id: "ball.rounding".to_owned(),
        title: "Rounding the ball on its spigot".to_owned(),
        note: "Headstock on the left. Thin lines are the facets; their middles touch the finished ball.".to_owned(),
        full_size: false,
        lines,
        dimensions: vec![
            Dimension::Length { from: [-r, -r], to: [r, -r], offset: -0.25 * r, label: format!("ball {}", written(plan, 2.0 * r)) },
            Dimension::Length {
                from: [r - ladder(2.0 * r, 8).first()?.mark, r],
                to: [r, r],
                offset: 0.2 * r,
                label: format!("first mark {}", written(plan, ladder(2.0 * r, 8).first()?.mark)),
            },
            Dimension::Length {
                from: [stock.head, 0.5 * stock.spigot],
                to: [stock.head, -0.5 * stock.spigot],
                offset: -0.25 * r,
                label: format!("spigot {}", written(plan, stock.spigot)),
            },
            note([neck_at, stock.neck], [neck_at, 1.15 * r], format!("neck {}", written(plan, 2.0 * stock.neck))),
            note([stock.tail, 0.0], [stock.tail + 0.12 * r, 0.5 * r], format!("stub {}", written(plan, 2.0 * stock.stub))),
        ],
    })
}

fn finial(study: &Study<'_>, end: End, index: usize, laid: &[Laid]) -> Figure {
    let plan = study.plan;
    // The shoulder at the top of the sheet's figure for the bottom finial, at the bottom for the top one.
    let up = if end == End::Top {
        DVec3::Z
    } else {
        DVec3::NEG_Z
    };
    let sign = up.z;
    let mut lines = section(
        study,
        &study.finished(index).solid,
        DVec3::ZERO,
        DVec3::X,
        up,
    );
    let tip = laid.last().map_or(0.0, |shape| shape.to.x);
    let tenon_length = end.of(plan).map_or(0.0, |finial| finial.tenon_length);
    lines.push(straight(
        [0.0, sign * (-tenon_length - 5.0)],
        [0.0, sign * (tip + 5.0)],
        LineKind::Axis,
    ));
    let widest = laid
        .iter()
        .map(|shape| shape.widest)
        .fold(0.5 * tenon(plan), f64::max);
    let mut dimensions = vec![
        note(
            [0.5 * tenon(plan), -sign * 0.5 * tenon_length],
            [widest + 10.0, -sign * 0.5 * tenon_length],
            format!(
                "tenon {} × {}",
                written(plan, tenon(plan)),
                written(plan, tenon_length)
            ),
        ),
        Dimension::Length {
            from: [-widest, 0.0],
            to: [-widest, sign * tip],
            offset: sign * 8.0,
            label: written(plan, tip),
        },
    ];
    for shape in laid {
        let (station, radius) = if shape.widest > shape.from.y.max(shape.to.y) {
            (0.5 * (shape.from.x + shape.to.x), shape.widest)
        } else {
            (shape.to.x, shape.to.y)
        };
        dimensions.push(note(
            [radius, sign * station],
            [widest + 10.0, sign * station],
            format!(
                "{} to {}, {}",
                shape.name,
                written(plan, shape.to.x),
                written(plan, 2.0 * radius)
            ),
        ));
    }
    Figure {
        id: format!("finial.{}.section", end.word()),
        title: format!("{} finial", if end == End::Top { "Top" } else { "Bottom" }),
        note: "Heights are measured from the shoulder; widths are diameters.".to_owned(),
        full_size: true,
        lines,
        dimensions,
    }
}

fn strip(study: &Study<'_>) -> Strip {
    let (plan, layout) = (study.plan, &study.expanded.layout);
    let length = TAU * layout.radius;
    let mut marks: Vec<StripMark> = (0..layout.marks)
        .map(|mark| StripMark {
            at: length * f64::from(mark) / f64::from(layout.marks),
            label: format!("{}", mark + 1),
            main: true,
        })
        .collect();
    if !layout.marks.is_multiple_of(4) {
        // Middles of coves fall between marks; they get short lines of their own.
        for j in 0..layout.mountings() {
            for after in [true, false] {
                let quarter = if after { 0.25 } else { 0.75 };
                let turn = (f64::from(j) / f64::from(layout.marks) + quarter).fract();
                marks.push(StripMark {
                    at: length * turn,
                    label: format!("cove {}", j + 1),
                    main: false,
                });
            }
        }
        marks.sort_by(|a, b| a.at.total_cmp(&b.at));
    }
    Strip {
        id: "ball.strip.equator".to_owned(),
        title: format!(
            "Strip for the middle line of a ball of {}",
            written(plan, 2.0 * layout.radius)
        ),
        note: format!(
            "Wrap it round the middle line, start on end (it is {} long, π times the ball), and prick the marks through. {}",
            written(plan, length),
            match plan.pierce {
                Some(_) => format!(
                    "Cove 1 has its middle at {}.",
                    mountings::cove_place(layout, 0, true)
                ),
                None => String::new(),
            }
        ),
        length,
        marks,
    }
}
