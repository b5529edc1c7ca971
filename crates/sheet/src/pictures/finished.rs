//! The finished piece, put together.
//!
//! Each piece is drawn for itself where it goes; what is inside another or behind its wood
//! is left out by rays towards the eye.

use rondure_plan::Outcome;
use rondure_plan::plan::Plan;
use rondure_plan::scene::{Scene, scene};
use rondure_solid::{DMat4, DVec2, DVec3, LineKind, Solid, View};

use super::TOLERANCE;
use super::shaded::tones;
use super::sketch::{Sketch, Stroke, StrokeKind};

/// The way the eye looks at the finished piece: a little past a mark, a little from above.
const EYE: DVec3 = DVec3::new(-0.92, -0.39, -0.2);
/// A ray leaves its own place by this before another piece can hide it, mm: pieces touch.
const CLEAR: f64 = 0.05;

/// A finished piece where it goes.
pub(super) struct Part {
    pub solid: Solid,
    /// Takes its frame to the frame of the first.
    pub place: DMat4,
    /// Whether what lies below its own station 0 stands inside another piece: a tenon.
    pub tenon: bool,
}

/// The finished piece; none where the plan has no pieces.
pub(super) fn finished(plan: &Plan, outcome: &Outcome) -> Option<Sketch> {
    let last = outcome.expanded.process.setups.last()?;
    let scene = scene(plan, outcome, &last.id)?;
    put_together(plan, outcome, &scene)
}

/// The finished piece with its tones; none where the plan has no pieces.
pub(super) fn shaded(plan: &Plan, outcome: &Outcome) -> Option<Sketch> {
    let last = outcome.expanded.process.setups.last()?;
    let scene = scene(plan, outcome, &last.id)?;
    let sketch = put_together(plan, outcome, &scene)?;
    let tones = tones(&parts(outcome, &scene), &view(), sketch.extent()?);
    Some(Sketch { tones, ..sketch })
}

fn view() -> View {
    View {
        direction: EYE,
        up: DVec3::Z,
    }
}

/// The pieces of a scene, the scene's own first.
pub(super) fn parts(outcome: &Outcome, scene: &Scene) -> Vec<Part> {
    let process = &outcome.expanded.process;
    let finished = |id: &str| {
        let index = process.pieces.iter().position(|piece| piece.id == id)?;
        Some(process.finished(index).solid)
    };
    let own = finished(&scene.piece).map(|solid| Part {
        solid,
        place: DMat4::IDENTITY,
        tenon: false,
    });
    let others = scene.others.iter().filter_map(|other| {
        Some(Part {
            solid: finished(&other.piece)?,
            place: DMat4::from_cols_array(&other.piece_from_other),
            tenon: true,
        })
    });
    own.into_iter().chain(others).collect()
}

/// The piece of a scene with the others where they go.
pub(super) fn put_together(plan: &Plan, outcome: &Outcome, scene: &Scene) -> Option<Sketch> {
    let parts = parts(outcome, scene);
    if parts.is_empty() {
        return None;
    }
    let view = view();
    let wood = (0..parts.len())
        .flat_map(|index| lines(&parts, index, &view))
        .collect();
    Some(Sketch {
        id: "finished.drawing".to_owned(),
        words: format!("{}, finished.", plan.title),
        wood,
        ..Sketch::default()
    })
}

/// The lines of one of the parts that no other hides.
fn lines(parts: &[Part], index: usize, view: &View) -> Vec<Stroke> {
    let part = &parts[index];
    let back = part.place.inverse();
    let own = View {
        direction: back.transform_vector3(view.direction),
        up: back.transform_vector3(view.up),
    };
    let (_, _, ahead) = view.axes();
    let shift = view.view_from_space(part.place.transform_point3(DVec3::ZERO));
    let seen = |place: DVec3| {
        if part.tenon && place.z < -TOLERANCE {
            return false;
        }
        let place = part.place.transform_point3(place);
        parts.iter().enumerate().all(|(number, other)| {
            let back = other.place.inverse();
            let from = back.transform_point3(place);
            let to_eye = back.transform_vector3(-ahead);
            let far = 2.0 * other.solid.bounds().size().length() + from.length();
            number == index || other.solid.first_wood(from, to_eye, CLEAR, far).is_none()
        })
    };
    let mut strokes = Vec::new();
    for line in part.solid.drawing(&own, TOLERANCE).lines {
        if !line.visible {
            continue;
        }
        let kind = kind_of(line.kind);
        let ends = line.closed.then_some(0);
        let order = (0..line.points.len()).chain(ends);
        let mut run: Vec<DVec2> = Vec::new();
        let mut keep = |run: &mut Vec<DVec2>| {
            let points = std::mem::take(run);
            if points.len() > 1 {
                strokes.push(Stroke {
                    points,
                    closed: false,
                    kind,
                });
            }
        };
        for place in order {
            if seen(line.places[place]) {
                run.push(line.points[place] + shift);
            } else {
                keep(&mut run);
            }
        }
        keep(&mut run);
    }
    strokes
}

/// How a line of the wood is drawn.
pub(super) fn kind_of(kind: LineKind) -> StrokeKind {
    match kind {
        LineKind::Silhouette => StrokeKind::Outline,
        LineKind::Edge | LineKind::Crease => StrokeKind::Edge,
    }
}
