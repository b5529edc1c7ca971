//! Edges that are circles: corners of one outline, and faces turned about one axis.

use std::f64::consts::TAU;

use glam::{DVec2, DVec3};
use rayon::prelude::*;

use crate::lines::LineKind;
use crate::lines::run::{Run, Shape, stretches};
use crate::lines::scene::{ON, SMOOTH, Scene};
use crate::lines::sheet::Sheet;
use crate::meetings::{Tolerance, meetings};
use crate::patch::Whole;
use crate::solid::Face;

/// Faces that only touch have no edge there.
const CROSS: Tolerance = Tolerance {
    parallel: 1e-12,
    centre: 1e-9,
    touching: f64::MIN_POSITIVE,
};

struct Circle {
    sheets: [usize; 2],
    origin: DVec3,
    axis: DVec3,
    at: DVec2,
    kind: LineKind,
}

/// The axis about which two sheets are both turned.
pub(super) fn shared_axis(a: &Sheet, b: &Sheet) -> Option<(DVec3, DVec3)> {
    let (origin, axis) = match (a.whole, b.whole) {
        (Whole::Neither, _) => (a.origin, a.axis),
        (_, Whole::Neither) => (b.origin, b.axis),
        (Whole::Sphere { centre }, Whole::Sphere { centre: other }) => {
            (centre, (other - centre).try_normalize().unwrap_or(a.axis))
        }
        (Whole::Sphere { centre }, Whole::Plane) => (centre, b.axis),
        (Whole::Plane, Whole::Sphere { centre }) => (centre, a.axis),
        (Whole::Plane, Whole::Plane) => (a.origin, a.axis),
    };
    (a.about(origin, axis).is_some() && b.about(origin, axis).is_some()).then_some((origin, axis))
}

/// All edges that are circles or parts of them.
pub(super) fn circles(scene: &Scene<'_>) -> Vec<Run> {
    let mut all = creases(scene);
    for (j, b) in scene.sheets.iter().enumerate() {
        for (i, a) in scene.sheets[..j].iter().enumerate() {
            if a.face == b.face {
                continue;
            }
            let Some((origin, axis)) = shared_axis(a, b) else {
                continue;
            };
            let (Some(first), Some(second)) = (a.about(origin, axis), b.about(origin, axis)) else {
                continue;
            };
            for at in meetings(&first, &second, CROSS) {
                let circle = Circle {
                    sheets: [i, j],
                    origin,
                    axis,
                    at,
                    kind: LineKind::Edge,
                };
                if at.y > ON {
                    all.push(circle);
                }
            }
        }
    }
    let runs: Vec<Vec<Run>> = all.par_iter().map(|circle| drawn(scene, circle)).collect();
    runs.into_iter().flatten().collect()
}

/// Corners within one outline.
fn creases(scene: &Scene<'_>) -> Vec<Circle> {
    let mut found = Vec::new();
    for range in &scene.of_face {
        for i in range.clone() {
            for j in range.clone().filter(|j| *j != i) {
                let (a, b) = (&scene.sheets[i], &scene.sheets[j]);
                let (end, way, _) = a.curve.at(a.length);
                let (begin, next, _) = b.curve.at(0.0);
                let meets = end.distance(begin) < ON && end.y > ON;
                if meets && way.angle_to(next).abs() > SMOOTH {
                    found.push(Circle {
                        sheets: [i, j],
                        origin: a.origin,
                        axis: a.axis,
                        at: end,
                        kind: LineKind::Crease,
                    });
                }
            }
        }
    }
    found
}

fn drawn(scene: &Scene<'_>, circle: &Circle) -> Vec<Run> {
    let [a, b] = circle.sheets.map(|k| &scene.sheets[k]);
    let u = circle.axis.any_orthonormal_vector();
    let centre = circle.origin + circle.axis * circle.at.x;
    let shape = Shape::Circle {
        centre,
        u,
        v: circle.axis.cross(u),
        radius: circle.at.y,
    };
    let constant: Vec<Face> = scene
        .solid
        .faces()
        .filter(|face| {
            scene.of_face[face.0]
                .clone()
                .all(|k| scene.sheets[k].about(circle.origin, circle.axis).is_some())
        })
        .collect();
    let sample = centre + u * circle.at.y;
    if constant
        .iter()
        .any(|face| scene.solid.depth_to(*face, sample) < -ON)
    {
        return Vec::new();
    }
    let senses = [a.sense(sample), b.sense(sample)];
    if circle.kind == LineKind::Edge {
        let flat = senses[0].inward.cross(senses[1].inward).length() < SMOOTH;
        if flat || senses.iter().any(|sense| sense.slack < -ON) {
            return Vec::new();
        }
    }
    let look = |p: DVec3| match circle.kind {
        LineKind::Crease => {
            let senses = [a.sense(p), b.sense(p)];
            scene.joint(circle.sheets, p, senses, crease_ways(a, b, p), &constant)
        }
        _ => scene.edge(circle.sheets, p, &constant),
    };
    stretches(scene, circle.kind, circle.sheets, &shape, (0.0, TAU), look)
}

/// Directions from a point of a corner back along the first part and on along the second.
pub(super) fn crease_ways(a: &Sheet, b: &Sheet, p: DVec3) -> [DVec3; 2] {
    let from_axis = p - a.origin;
    let radial = (from_axis - a.axis * from_axis.dot(a.axis)).normalize_or(a.u);
    let (_, back, _) = a.curve.at(a.length);
    let (_, on, _) = b.curve.at(0.0);
    [-back, on].map(|way| a.axis * way.x + radial * way.y)
}
