//! Edges along their length against closed forms.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use rondure_solid::{DVec3, EdgeLine, Face, Region, Solid};

use crate::pieces::{ball, bar, coved_ball, hole};

fn length(line: &EdgeLine) -> f64 {
    let open: f64 = line.points.windows(2).map(|p| p[0].distance(p[1])).sum();
    let seam = line.points[0].distance(line.points[line.points.len() - 1]);
    open + if line.closed { seam } else { 0.0 }
}

/// A bored ball has two rims that include acos(b / R) all round.
#[test]
fn the_rims_of_a_napkin_ring_are_even() {
    let (outer, bore) = (30.0_f64, 9.5_f64);
    let ring = Solid::new(ball(outer)).cut(hole(DVec3::ZERO, DVec3::Z, bore));
    let lines = ring.edge_lines(0.01);
    assert_eq!(lines.len(), 2);
    for line in &lines {
        assert!(line.closed && line.faces == [Face(0), Face(1)]);
        // A chord within 0.01 mm of its circle.
        assert!((length(line) - TAU * bore).abs() < 0.05, "{}", length(line));
        for (point, angle) in line.points.iter().zip(&line.angles) {
            assert!((angle - (bore / outer).acos()).abs() < 1e-7);
            assert!((point.truncate().length() - bore).abs() < 1e-7);
            assert!((point.length() - outer).abs() < 1e-7);
        }
    }
}

/// Two equal bores of radius r about x and y: where they cross, x = ±y and x² + z² = r², the
/// directions into the wood have the product z² / r², so the wood includes π − acos(z² / r²): a
/// right angle at z = 0, flat at z = ±r.
#[test]
fn crossing_bores_are_sharpest_between_their_axes() {
    let r = 8.0;
    let solid = Solid::new(ball(30.0))
        .cut(hole(DVec3::ZERO, DVec3::X, r))
        .cut(hole(DVec3::ZERO, DVec3::Y, r));
    let lines: Vec<EdgeLine> = solid
        .edge_lines(0.02)
        .into_iter()
        .filter(|line| line.faces == [Face(1), Face(2)])
        .collect();
    let mut sharpest = f64::INFINITY;
    for line in &lines {
        for (point, angle) in line.points.iter().zip(&line.angles) {
            assert!((point.x.abs() - point.y.abs()).abs() < 1e-6);
            assert!((point.x.hypot(point.z) - r).abs() < 1e-7);
            let product = (point.z / r).powi(2).min(1.0);
            assert!(
                (angle - (PI - product.acos())).abs() < 1e-6,
                "{point} {angle}"
            );
            sharpest = sharpest.min(*angle);
        }
    }
    assert!((sharpest - FRAC_PI_2).abs() < 1e-2);
    // Four quarters of two ellipses with half-axes r and r√2, all but the flat ends at z = ±r.
    let total: f64 = lines.iter().map(length).sum();
    // Ramanujan's second formula for the perimeter (from memory), within 1e-6 here.
    let (a, b) = (r * 2.0_f64.sqrt(), r);
    let h = ((a - b) / (a + b)).powi(2);
    let ellipse = PI * (a + b) * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
    assert!(
        (total - 2.0 * ellipse).abs() < 0.01 * ellipse,
        "{total} {ellipse}"
    );
    // The sharpest place of the edge, as `edges` climbs down to it.
    let found = solid.edges(0.8);
    let edge = found.iter().find(|edge| edge.faces == [Face(1), Face(2)]);
    let edge = edge.unwrap();
    assert!((edge.angle - FRAC_PI_2).abs() < 1e-6 && edge.at.z.abs() < 1e-3);
}

/// A square shoulder is square all round; so is the corner of a bar's own outline.
#[test]
fn shoulders_are_square() {
    let solid = Solid::new(bar(-20.0, 20.0, 5.0)).cut(Region::beyond(DVec3::Z, 10.0));
    let lines = solid.edge_lines(0.01);
    assert_eq!(lines.len(), 2, "the sawn end, and the other end");
    for line in lines {
        assert!(line.closed);
        assert!(
            line.angles
                .iter()
                .all(|angle| (angle - FRAC_PI_2).abs() < 1e-9)
        );
    }
}

/// On a coved ball every line's least angle is no sharper than what `edges` finds for its faces, and
/// near to it: the points lie within the tolerance along the edge.
#[test]
fn no_line_is_sharper_than_the_sharpest_place() {
    let solid = coved_ball(30.0, 8, 4.0, 5.0, 9.5);
    let sharpest = solid.edges(0.8);
    let lines = solid.edge_lines(0.02);
    assert!(!sharpest.is_empty());
    for edge in &sharpest {
        let least = lines
            .iter()
            .filter(|line| line.faces == edge.faces)
            .flat_map(|line| &line.angles)
            .fold(f64::INFINITY, |least, angle| least.min(*angle));
        assert!(least >= edge.angle - 1e-6, "{edge:?} {least}");
        assert!(least <= edge.angle + 0.05, "{edge:?} {least}");
    }
}
