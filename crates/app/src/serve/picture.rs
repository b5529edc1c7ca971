//! The small picture of a plan on the shelf: the lines of the finished piece, put together,
//! seen from the side.
//!
//! From the side no piece stands before another, so each is drawn for itself: the ball, and of
//! a finial what is past its shoulder. One user unit is a millimetre; lines take the colour of
//! the text around them.

use std::fmt::Write;

use rondure_plan::Outcome;
use rondure_plan::form::coved_ball::BALL;
use rondure_plan::plan::Plan;
use rondure_plan::scene::scene;
use rondure_solid::{DVec2, DVec3, Solid, View};

use rondure_plan::process::State;
use rondure_plan::scene::Scene;

use super::look::{placed, turned};

/// How far a line may stray, as a share of the piece's size: a picture is some hundred points high.
const TOLERANCE: f64 = 2e-3;
/// The eye, a little past a mark, so that a ball of any count of coves shows its depth.
const EYE: DVec3 = DVec3::new(-0.92, -0.39, 0.0);
/// Width of a line, as a share of the picture's larger side.
const PEN: f64 = 0.008;

/// The picture as SVG.
pub fn picture(plan: &Plan, outcome: &Outcome) -> String {
    let process = &outcome.expanded.process;
    let view = View {
        direction: EYE,
        up: DVec3::Z,
    };
    let mut lines = seen(&process.finished(BALL).solid, &view, f64::NEG_INFINITY);
    let others = process
        .setups
        .last()
        .and_then(|last| scene(plan, outcome, &last.id))
        .map_or(Vec::new(), |scene| scene.others);
    for other in others {
        let Some(piece) = process
            .pieces
            .iter()
            .position(|piece| piece.id == other.piece)
        else {
            continue;
        };
        // The way the eye looks, seen from the other piece: the turning's inverse is its transpose.
        let [x, y, z] =
            [DVec3::X, DVec3::Y, DVec3::Z].map(|axis| turned(&other.piece_from_other, axis));
        let own = |v: DVec3| DVec3::new(v.dot(x), v.dot(y), v.dot(z));
        let view_of_other = View {
            direction: own(view.direction),
            up: own(view.up),
        };
        let shift = view.view_from_space(placed(&other.piece_from_other, DVec3::ZERO));
        lines.extend(
            seen(&process.finished(piece).solid, &view_of_other, 0.0)
                .into_iter()
                .map(|line| line.into_iter().map(|point| point + shift).collect()),
        );
    }
    svg(&plan.title, &lines)
}

/// A set-up as SVG: the wood before its first step as it sits on the lathe, and what holds it,
/// as the turner sees it from in front: the headstock to the left.
pub fn setup_picture(state: &State, scene: &Scene) -> String {
    let [x, y, z] =
        [DVec3::X, DVec3::Y, DVec3::Z].map(|axis| turned(&scene.lathe_from_piece, axis));
    // The lathe's direction in the piece's frame: the turning's inverse is its transpose.
    let own = |v: DVec3| DVec3::new(v.dot(x), v.dot(y), v.dot(z));
    let view = View {
        direction: own(DVec3::NEG_Z),
        up: own(DVec3::Y),
    };
    let origin = placed(&scene.lathe_from_piece, DVec3::ZERO);
    let shift = DVec2::new(origin.x, origin.y);
    let mut lines: Vec<Vec<DVec2>> = seen(&state.solid, &view, f64::NEG_INFINITY)
        .into_iter()
        .map(|line| line.into_iter().map(|point| point + shift).collect())
        .collect();
    for holder in &scene.holders {
        for side in [1.0, -1.0] {
            let outline = holder.profile.iter().chain(holder.profile.first());
            lines.push(outline.map(|[x, r]| DVec2::new(*x, side * r)).collect());
        }
    }
    svg(&scene.title, &lines)
}

/// The lines that are seen of a solid, as far as they lie past a station along its z.
fn seen(solid: &Solid, view: &View, past: f64) -> Vec<Vec<DVec2>> {
    let tolerance = TOLERANCE * solid.bounds().size().max_element();
    let mut lines = Vec::new();
    for line in solid.drawing(view, tolerance).lines {
        if !line.visible {
            continue;
        }
        let mut points = line.points;
        let mut places = line.places;
        if line.closed
            && let (Some(&point), Some(&place)) = (points.first(), places.first())
        {
            points.push(point);
            places.push(place);
        }
        let mut run = Vec::new();
        for (point, place) in points.into_iter().zip(places) {
            if place.z >= past - tolerance {
                run.push(point);
            } else {
                lines.push(std::mem::take(&mut run));
            }
        }
        lines.push(run);
    }
    lines.retain(|line| line.len() > 1);
    lines
}

fn svg(title: &str, lines: &[Vec<DVec2>]) -> String {
    let mut ends = lines.iter().flatten().copied();
    let first = ends.next().unwrap_or_default();
    let (low, high) = ends.fold((first, first), |(low, high), point| {
        (low.min(point), high.max(point))
    });
    let size = high - low;
    let pen = PEN * size.max_element().max(1.0);
    let (width, height) = (size.x + 2.0 * pen, size.y + 2.0 * pen);
    let mut path = String::new();
    for line in lines {
        for (number, point) in line.iter().enumerate() {
            let sign = if number == 0 { 'M' } else { 'L' };
            // Writing to a String does not fail. Down is positive on the screen.
            let _ = write!(
                path,
                "{sign}{:.2} {:.2}",
                point.x - low.x + pen,
                high.y - point.y + pen
            );
        }
    }
    let title = title
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;");
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.2} {height:.2}\" role=\"img\" aria-label=\"{title}\"><path d=\"{path}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"{pen:.3}\" stroke-linecap=\"round\" stroke-linejoin=\"round\"/></svg>\n"
    )
}
