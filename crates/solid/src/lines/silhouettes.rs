//! Silhouettes: where a face's normal is square to the view.
//!
//! A turned sheet's normal is n_t along its axis and n_ρ along the radius. With the
//! view's shares a along and c across the axis, and φ the angle about the axis from
//! the view's own, the silhouette is n_t a + n_ρ c cos φ = 0: two straight lines
//! on a cylinder or cone, one circle on a ball, and n ∥ ±(c cos φ, −a) on any turned
//! arc, known for every φ without a search.

use std::f64::consts::{FRAC_PI_2, TAU};

use glam::DVec3;
use rayon::prelude::*;

use crate::lines::LineKind;
use crate::lines::run::{Run, Shape, stretches};
use crate::lines::scene::Scene;
use crate::patch::{Curve, Whole};

/// A view's share along or across an axis below this is none.
const NONE: f64 = 1e-9;

/// The silhouettes of all faces, seen along the unit vector `view`.
pub(super) fn silhouettes(scene: &Scene<'_>, view: DVec3) -> Vec<Run> {
    let mut shapes = Vec::new();
    for number in 0..scene.sheets.len() {
        of_sheet(scene, number, view, &mut shapes);
    }
    let runs: Vec<Vec<Run>> = shapes
        .par_iter()
        .map(|(number, shape, range)| {
            let on = [*number; 2];
            stretches(scene, LineKind::Silhouette, on, shape, *range, |p| {
                scene.surface(*number, p, &[])
            })
        })
        .collect();
    runs.into_iter().flatten().collect()
}

fn of_sheet(
    scene: &Scene<'_>,
    number: usize,
    view: DVec3,
    shapes: &mut Vec<(usize, Shape, (f64, f64))>,
) {
    let sheet = &scene.sheets[number];
    if let (Whole::Sphere { centre }, Curve::Arc { radius, .. }) = (sheet.whole, sheet.curve) {
        let u = view.any_orthonormal_vector();
        let v = view.cross(u);
        shapes.push((
            number,
            Shape::Circle {
                centre,
                u,
                v,
                radius,
            },
            (0.0, TAU),
        ));
        return;
    }
    let along = view.dot(sheet.axis);
    let across_way = view - sheet.axis * along;
    let across = across_way.length();
    let begin = across_way.dot(sheet.v).atan2(across_way.dot(sheet.u));
    let meridian = |theta: f64| {
        let shape = Shape::Meridian {
            sheet: number,
            theta,
        };
        (number, shape, (0.0, sheet.length))
    };
    match sheet.curve {
        Curve::Line { .. } => {
            let (normal, _) = sheet.out();
            let (straight, slanted) = (normal.x * along, normal.y * across);
            if slanted.abs() > NONE && (straight / slanted).abs() < 1.0 - 1e-12 {
                let phi = (-straight / slanted).acos();
                shapes.extend([meridian(begin - phi), meridian(begin + phi)]);
            }
        }
        Curve::Arc { centre, radius, .. } if along.abs() < NONE => {
            shapes.extend([meridian(begin - FRAC_PI_2), meridian(begin + FRAC_PI_2)]);
            // Seen square to the axis, the rounded top of a bead is a line too.
            for side in [-1.0, 1.0] {
                let q = centre + glam::DVec2::new(side * radius, 0.0);
                let at_end = [0.0, sheet.length]
                    .into_iter()
                    .any(|s| sheet.curve.at(s).0.distance(q) < 1e-9);
                // Two parts that go on without a corner share it: the one that ends there draws it.
                let begins = sheet.curve.at(0.0).0.distance(q) < 1e-9;
                let shared = begins
                    && scene.of_face[sheet.face.0].clone().any(|k| {
                        let other = &scene.sheets[k];
                        k != number && other.curve.at(other.length).0.distance(q) < 1e-9
                    });
                if at_end && !shared && q.y > NONE {
                    let shape = Shape::Circle {
                        centre: sheet.origin + sheet.axis * q.x,
                        u: sheet.u,
                        v: sheet.v,
                        radius: q.y,
                    };
                    shapes.push((number, shape, (0.0, TAU)));
                }
            }
        }
        Curve::Arc { .. } => {
            for side in [-1.0, 1.0] {
                let shape = Shape::Contour {
                    sheet: number,
                    begin,
                    along,
                    across,
                    side,
                };
                shapes.push((number, shape, (0.0, TAU)));
            }
        }
    }
}
