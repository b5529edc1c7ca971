//! A set-up as it sits on the lathe: headstock on the left, axis level.
//!
//! The wood before the set-up is seen from a little above the turner's eye, the view turned about
//! the lathe's axis only, so that the axis stays level and lengths along it true. The wood after it
//! is cut open through the axis.

use rondure_plan::Outcome;
use rondure_plan::plan::Plan;
use rondure_plan::process::State;
use rondure_plan::scene::{HolderKind, LineKind as SceneLine, MarkKind, Scene};
use rondure_solid::{DMat4, DVec2, DVec3, Plane, Region, Solid, View};

use super::held::{Axes, cut_short, ground, outlines};
use super::sketch::{Label, Sketch, Stroke, StrokeKind};
use super::{TOLERANCE, finished};

/// How far the eye is raised above the level of the axis, degrees.
const RAISED: f64 = 25.0;
/// Centres and jaws are drawn this far beyond the wood, mm.
const BEYOND: f64 = 16.0;
/// The axis goes on past that, mm.
const AXIS_BEYOND: f64 = 3.0;
/// A line this far before the wood is looked at from outside it, mm: it may lie 0.02 mm deep.
const CLEAR: f64 = 0.05;

/// The lathe's own axes in the piece's frame: x, y, z.
fn lathe_axes(scene: &Scene) -> [DVec3; 3] {
    // A turn's inverse is its transpose.
    let turn = DMat4::from_cols_array(&scene.lathe_from_piece).transpose();
    [turn.x_axis, turn.y_axis, turn.z_axis].map(|axis| axis.truncate())
}

/// How the eye sees the lathe when it is raised.
fn seen_from(scene: &Scene, raised: f64) -> Axes {
    let [along, up, front] = lathe_axes(scene);
    let (sin, cos) = raised.to_radians().sin_cos();
    Axes {
        along,
        up: up * cos - front * sin,
        eye: front * cos + up * sin,
    }
}

impl Axes {
    fn view(&self) -> View {
        View {
            direction: -self.eye,
            up: self.up,
        }
    }

    fn flat(&self, p: DVec3) -> DVec2 {
        DVec2::new(p.dot(self.along), p.dot(self.up))
    }
}

fn setup_index(outcome: &Outcome, scene: &Scene) -> usize {
    scene
        .number
        .saturating_sub(1)
        .min(outcome.expanded.process.setups.len().saturating_sub(1))
}

/// The wood as it comes into the set-up, held as it is there.
pub(super) fn before(plan: &Plan, outcome: &Outcome, scene: &Scene) -> Sketch {
    let process = &outcome.expanded.process;
    let index = setup_index(outcome, scene);
    let words = format!("{}. {}", scene.title, scene.holding);
    if !scene.on_lathe
        && let Some(whole) = finished::put_together(plan, outcome, scene)
    {
        return Sketch {
            id: format!("{}.drawing", scene.setup),
            words,
            ..whole
        };
    }
    let state = process.state_before(process.setups[index].piece, index, 0);
    let solid = &state.solid;
    let axes = seen_from(scene, RAISED);
    let far = 2.0 * solid.bounds().size().length() + 50.0;
    let mut sketch = Sketch {
        id: format!("{}.drawing", scene.setup),
        words,
        wood: wood_lines(solid, &axes.view()),
        ..Sketch::default()
    };
    // Bodies of centres and jaws go on behind what holds; the drawing ends soon beyond the wood.
    let (low, high) = sketch.extent().unwrap_or_default();
    let shown = (low.x - BEYOND, high.x + BEYOND);
    for holder in &scene.holders {
        let holder = cut_short(holder, shown);
        let holder = &holder;
        sketch.grounds.extend(ground(holder));
        sketch.over.extend(outlines(holder, solid, &axes, far));
        let head = holder.kind != HolderKind::TailCentre;
        sketch.ends[usize::from(!head)] = holder.name.clone();
    }
    for line in &scene.lines {
        let points: Vec<DVec3> = line.points.iter().map(|p| DVec3::from(*p)).collect();
        match line.kind {
            SceneLine::Axis => sketch.over.push(Stroke {
                points: vec![
                    DVec2::new(shown.0 - AXIS_BEYOND, 0.0),
                    DVec2::new(shown.1 + AXIS_BEYOND, 0.0),
                ],
                closed: false,
                kind: StrokeKind::Axis,
            }),
            SceneLine::Drill => {}
            _ => sketch.over.extend(pencil(&points, solid, &axes, far)),
        }
    }
    for path in &scene.paths {
        for side in [1.0, -1.0] {
            sketch.over.push(Stroke {
                points: path
                    .points
                    .iter()
                    .map(|p| DVec2::new(p[0], side * p[1]))
                    .collect(),
                closed: false,
                kind: StrokeKind::Path,
            });
        }
    }
    for mark in &scene.marks {
        let (at, out) = (DVec3::from(mark.at), DVec3::from(mark.out));
        if mark.kind == MarkKind::Pole || axes.behind_wood(solid, at + out * CLEAR, CLEAR, far) {
            continue;
        }
        sketch.labels.push(Label {
            at: axes.flat(at),
            away: axes.flat(out),
            words: mark.name.clone(),
        });
    }
    sketch
}

/// The wood after the set-up, cut open through the lathe's axis; none where nothing is cut.
pub(super) fn after(outcome: &Outcome, scene: &Scene) -> Option<Sketch> {
    let process = &outcome.expanded.process;
    let index = setup_index(outcome, scene);
    if !process.setups[index].cuts() {
        return None;
    }
    let State { solid, .. } = process.state_after(index);
    Some(section(
        &solid,
        &seen_from(scene, 0.0),
        format!("{}.section", scene.setup),
        format!(
            "{}: the wood left, cut open through the lathe's axis.",
            scene.title
        ),
    ))
}

/// A solid cut open through the lathe's axis, what lies behind the cut drawn as well.
fn section(solid: &Solid, axes: &Axes, id: String, words: String) -> Sketch {
    let opened = solid.cut(Region::beyond(axes.eye, 0.0));
    let mut wood = wood_lines(&opened, &axes.view());
    let plane = Plane::new(DVec3::ZERO, axes.along, axes.up);
    let cut: Vec<Vec<DVec2>> = solid
        .section(&plane, TOLERANCE)
        .loops
        .into_iter()
        .map(|outline| outline.points)
        .collect();
    wood.extend(cut.iter().map(|outline| Stroke {
        points: outline.clone(),
        closed: true,
        kind: StrokeKind::Outline,
    }));
    Sketch {
        id,
        words,
        wood,
        cut,
        ..Sketch::default()
    }
}

/// The lines of the wood that the eye sees.
fn wood_lines(solid: &Solid, view: &View) -> Vec<Stroke> {
    solid
        .drawing(view, TOLERANCE)
        .lines
        .into_iter()
        .filter(|line| line.visible)
        .map(|line| Stroke {
            points: line.points,
            closed: line.closed,
            kind: finished::kind_of(line.kind),
        })
        .collect()
}

/// The runs of a pencil line that no wood hides.
fn pencil(points: &[DVec3], solid: &Solid, axes: &Axes, far: f64) -> Vec<Stroke> {
    let mut runs: Vec<Vec<DVec2>> = vec![Vec::new()];
    for &point in points {
        let seen =
            !axes.behind_wood(solid, point, CLEAR + 0.25, far) && faces_eye(solid, point, axes);
        match runs.last_mut() {
            Some(run) if seen => run.push(axes.flat(point)),
            Some(run) if run.is_empty() => {}
            _ => runs.push(Vec::new()),
        }
    }
    runs.retain(|run| run.len() > 1);
    runs.into_iter()
        .map(|points| Stroke {
            points,
            closed: false,
            kind: StrokeKind::Pencil,
        })
        .collect()
}

/// Whether the surface at a place is turned towards the eye.
fn faces_eye(solid: &Solid, point: DVec3, axes: &Axes) -> bool {
    solid.nearest(point).inward.dot(axes.eye) < 0.02
}
