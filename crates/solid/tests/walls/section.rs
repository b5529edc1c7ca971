//! Rays, sections and thickness against closed forms.

use std::f64::consts::PI;

use crate::pieces::{ball, bar, cove, coved_ball, hole};
use rondure_solid::{DVec2, DVec3, Face, Plane, Profile, Region, Section, Solid};

fn plane(origin: DVec3, right: DVec3, up: DVec3) -> Plane {
    Plane::new(origin, right, up)
}

/// Area within its bound, every point on the surface, every chord's middle within the tolerance.
fn check(solid: &Solid, plane: &Plane, section: &Section, area: f64, tolerance: f64) {
    assert!(
        (section.area - area).abs() <= section.area_error + 1e-7,
        "area {} for {area}, bound {}",
        section.area,
        section.area_error
    );
    for outline in &section.loops {
        let count = outline.points.len();
        assert_eq!(count, outline.faces.len());
        for k in 0..count {
            let (a, b) = (outline.points[k], outline.points[(k + 1) % count]);
            let at = solid.depth(plane.space_from_plane(a));
            assert!(at.abs() < 1e-8 || outline.faces[k] == outline.faces[(k + count - 1) % count]);
            assert!(at.abs() < tolerance);
            let middle = plane.space_from_plane(a.midpoint(b));
            assert!(solid.depth(middle).abs() <= tolerance);
            assert!(solid.depth_to(outline.faces[k], middle).abs() <= tolerance);
        }
    }
}

#[test]
fn a_ray_through_a_bored_ball_meets_two_walls() {
    // Line across z at height y: ball roots ±√(R² − y²), bore roots ±√(b² − y²).
    let solid = Solid::new(ball(30.0)).cut(hole(DVec3::ZERO, DVec3::Z, 9.5));
    for y in [0.0_f64, 3.0, 9.499_999, 9.5] {
        let spans = solid.ray(DVec3::new(-50.0, y, 0.0), DVec3::X, 0.0, 100.0);
        let outer = (900.0 - y * y).sqrt();
        let inner = (90.25 - y * y).sqrt();
        if y < 9.5 {
            assert_eq!(spans.len(), 2, "y {y}");
            assert!((spans[0].enter - (50.0 - outer)).abs() < 1e-9);
            assert!((spans[0].leave - (50.0 - inner)).abs() < 1e-9, "y {y}");
            assert!((spans[1].enter - (50.0 + inner)).abs() < 1e-9);
            assert!((spans[1].leave - (50.0 + outer)).abs() < 1e-9);
            assert_eq!(spans[0].enter_face, Some(Face(0)));
            assert_eq!(spans[0].leave_face, Some(Face(1)));
        } else {
            assert!((spans[0].enter - (50.0 - outer)).abs() < 1e-9);
            assert!((spans.last().unwrap().leave - (50.0 + outer)).abs() < 1e-9);
        }
    }
    let first = solid
        .first_wood(DVec3::new(0.0, 0.0, 0.0), DVec3::Y, 0.0, 100.0)
        .unwrap();
    assert!((first.enter - 9.5).abs() < 1e-9 && (first.leave - 30.0).abs() < 1e-9);
}

#[test]
fn a_ray_that_begins_and_ends_in_wood_says_so() {
    let spans = Solid::new(ball(30.0)).ray(DVec3::ZERO, DVec3::new(1.0, 2.0, 3.0), -5.0, 5.0);
    assert_eq!(spans.len(), 1);
    assert_eq!((spans[0].enter, spans[0].leave), (-5.0, 5.0));
    assert_eq!((spans[0].enter_face, spans[0].leave_face), (None, None));
}

#[test]
fn a_line_in_a_face_is_in_air() {
    let solid = Solid::new(ball(30.0)).cut(Region::beyond(DVec3::Z, 4.0));
    assert!(
        solid
            .ray(DVec3::new(-50.0, 1.0, 4.0), DVec3::X, 0.0, 100.0)
            .is_empty()
    );
    // A tangent to the ball just inside: half chord √(2 R e); a depth placed to 1e-9 is a
    // way placed to 1e-9 / slope, here 1.2e-5 at either end.
    let e = 1e-7;
    let spans = solid.ray(DVec3::new(-50.0, 0.0, -30.0 + e), DVec3::X, 0.0, 100.0);
    assert_eq!(spans.len(), 1);
    let half = (60.0 * e - e * e).sqrt();
    assert!((spans[0].leave - spans[0].enter - 2.0 * half).abs() < 4e-5);
}

#[test]
fn a_film_across_the_way_is_found() {
    // A plate 0.001 mm thick, met squarely.
    let solid = Solid::new(bar(-10.0, 10.0, 20.0))
        .cut(Region::beyond(DVec3::Z, 0.001))
        .cut(Region::beyond(DVec3::NEG_Z, 0.0));
    let spans = solid.ray(DVec3::new(1.0, 2.0, 40.0), DVec3::NEG_Z, 0.0, 80.0);
    assert_eq!(spans.len(), 1);
    assert!(
        (spans[0].leave - spans[0].enter - 0.001).abs() < 1e-9,
        "{spans:?}"
    );
}

#[test]
fn circles_and_rings_have_their_areas() {
    // Ball at height h: π(R² − h²); bored: less π b².
    let solid = Solid::new(ball(30.0)).cut(hole(DVec3::ZERO, DVec3::Z, 9.5));
    for (height, tolerance) in [(0.0_f64, 0.01), (12.0, 0.001), (25.0, 0.02)] {
        let plane = plane(DVec3::Z * height, DVec3::X, DVec3::Y);
        let section = solid.section(&plane, tolerance);
        let area = PI * (900.0 - height * height - 90.25);
        check(&solid, &plane, &section, area, tolerance);
        assert!(section.area_error < 600.0 * tolerance);
        assert_eq!(section.loops.len(), 2);
        assert!(section.loops.iter().any(|outline| outline.area > 0.0));
        assert!(section.loops.iter().any(|outline| outline.area < 0.0));
    }
    // Along the axis the bore leaves two circle segments, each
    // R² acos(b/R) − b √(R² − b²) (closed form of a circular segment).
    let plane = plane(DVec3::ZERO, DVec3::X, DVec3::Z);
    let section = solid.section(&plane, 0.01);
    let b: f64 = 9.5;
    let segment = 900.0 * (b / 30.0).acos() - b * (900.0 - b * b).sqrt();
    check(&solid, &plane, &section, 2.0 * segment, 0.01);
    assert_eq!(section.loops.len(), 2);
    // The corners at (±b, ±√(R² − b²)) are among the points, exactly.
    let corner = DVec2::new(b, (900.0 - b * b).sqrt());
    let nearest = section
        .loops
        .iter()
        .flat_map(|outline| &outline.points)
        .map(|point| point.abs().distance(corner))
        .fold(f64::INFINITY, f64::min);
    assert!(nearest < 1e-8, "corner off by {nearest}");
}

#[test]
fn an_oblique_section_of_a_bar_is_an_ellipse() {
    // Tilt 60° from the axis' normal: π r² / cos 60°.
    let solid = Solid::new(bar(-100.0, 100.0, 7.0));
    let up = DVec3::new(0.0, 0.5, 0.75_f64.sqrt());
    let plane = plane(DVec3::new(1.0, 2.0, 3.0), DVec3::X, up);
    let section = solid.section(&plane, 0.005);
    check(&solid, &plane, &section, PI * 49.0 * 2.0, 0.005);
    assert_eq!(section.loops.len(), 1);
}

#[test]
fn the_equator_of_a_coved_ball_without_lands_has_its_closed_form() {
    // One cove cuts the section through its axis in two arcs of radius r about (0, ±ρ_c):
    // what is lost of the disc is the cap beyond the flat and the circular segment below it.
    let (radius, half_width, depth) = (30.0_f64, 9.0_f64, 4.0);
    let (region, arc, _) = cove(DVec3::X, radius, half_width, depth);
    let solid = Solid::new(ball(radius)).cut(region);
    let segment = |r: f64, w: f64| r * r * (w / r).asin() - w * (r * r - w * w).sqrt();
    let area = PI * 900.0 - 2.0 * (segment(radius, half_width) + segment(arc, half_width));
    let plane = plane(DVec3::ZERO, DVec3::X, DVec3::Y);
    let section = solid.section(&plane, 0.01);
    check(&solid, &plane, &section, area, 0.01);
}

#[test]
fn sections_agree_with_depth_all_over() {
    // Even-odd count of the loops against the sign of the depth, away from the outline.
    let solid = coved_ball(30.0, 12, 4.0, 2.5, 9.5);
    let plane = plane(
        DVec3::new(1.0, -2.0, 6.0),
        DVec3::new(1.0, 0.3, 0.1),
        DVec3::new(0.0, 0.4, 1.0),
    );
    let tolerance = 0.02;
    let section = solid.section(&plane, tolerance);
    let mut tried = 0;
    for x in -40..40 {
        for y in -40..40 {
            let q = DVec2::new(f64::from(x) * 0.77 + 0.013, f64::from(y) * 0.77 - 0.021);
            let depth = solid.depth(plane.space_from_plane(q));
            if depth.abs() < tolerance {
                continue;
            }
            tried += 1;
            let mut winding = 0;
            for outline in &section.loops {
                let count = outline.points.len();
                for k in 0..count {
                    let (a, b) = (outline.points[k], outline.points[(k + 1) % count]);
                    if (a.y <= q.y) != (b.y <= q.y) {
                        let side = (b - a).perp_dot(q - a);
                        if b.y > a.y && side > 0.0 {
                            winding += 1;
                        } else if b.y <= a.y && side < 0.0 {
                            winding -= 1;
                        }
                    }
                }
            }
            assert_eq!(winding, i32::from(depth > 0.0), "at {q}");
        }
    }
    assert!(tried > 5000);
}

#[test]
fn a_wall_of_a_twentieth_is_not_lost() {
    let solid = Solid::new(bar(-20.0, 20.0, 15.0)).cut(hole(DVec3::ZERO, DVec3::Z, 14.95));
    let plane = plane(DVec3::new(0.0, 0.0, 3.0), DVec3::X, DVec3::Y);
    let section = solid.section(&plane, 0.02);
    assert_eq!(section.loops.len(), 2);
    check(
        &solid,
        &plane,
        &section,
        PI * (225.0 - 14.95_f64.powi(2)),
        0.02,
    );
    // A flat web of 0.05 mm between two slots, at a slant to the grid.
    let tilt = DVec3::new(0.8, 0.6, 0.0);
    let slot = |from: f64| {
        Region::revolved(
            tilt * from,
            tilt,
            Profile::cylinder(0.0, 6.0, 100.0).unwrap(),
        )
    };
    let solid = Solid::new(bar(-20.0, 20.0, 15.0))
        .cut(slot(0.025))
        .cut(slot(-6.025));
    let section = solid.section(&plane, 0.02);
    let web = section
        .loops
        .iter()
        .map(|outline| outline.area)
        .fold(f64::INFINITY, f64::min);
    // Two circle segments stay outside, and the web between: about 0.05 · 2R.
    assert_eq!(section.loops.len(), 3);
    assert!((web - 0.05 * 30.0).abs() < 1e-3, "web {web}");
}

#[test]
fn a_plane_lying_in_a_cut_is_in_air() {
    let solid = Solid::new(ball(30.0)).cut(Region::beyond(DVec3::Z, 4.0));
    let plane = plane(DVec3::Z * 4.0, DVec3::X, DVec3::Y);
    let section = solid.section(&plane, 0.01);
    assert_eq!(section.loops.len(), 0);
    assert!(section.area.abs() <= section.area_error + 1e-9);
}

/// A hair below a saw cut, nearer than the tolerance: the whole disc is wood, and the cut above,
/// along the plane everywhere, asks for no small cells (the outline alone has points).
#[test]
fn a_plane_a_hair_off_a_cut_is_full_of_wood() {
    let solid = Solid::new(ball(30.0)).cut(Region::beyond(DVec3::Z, 4.0));
    for off in [1e-2, 1e-4, 1e-7] {
        let height = 4.0 - off;
        let plane = plane(DVec3::Z * height, DVec3::X, DVec3::Y);
        let section = solid.section(&plane, 0.02);
        assert_eq!(section.loops.len(), 1);
        let radius = (900.0 - height * height).sqrt();
        let points = section.loops[0].points.len();
        assert!((40..1500).contains(&points), "{points} points");
        assert!((section.area - PI * radius * radius).abs() <= section.area_error);
        assert!(section.area_error < 2.0 * PI * radius * 0.02);
        // The blank may be as near as the cut only where the outline runs.
        for point in &section.loops[0].points {
            assert!((point.length() - radius).abs() < 1e-6, "{point}");
        }
    }
}

/// In the plane of a final ridge two coves' outlines are one line, that of DESIGN section 4: it is
/// followed as one.
#[test]
fn a_plane_in_a_ridge_follows_it() {
    let (radius, depth) = (30.0_f64, 4.0);
    let delta = std::f64::consts::TAU / 8.0;
    let solid = coved_ball(radius, 8, depth, 0.0, 0.0);
    let (sine, cosine) = (0.5 * delta).sin_cos();
    let (_, arc, centre) = cove(DVec3::X, radius, radius * sine, depth);
    let azimuth = std::f64::consts::FRAC_PI_2 + 0.5 * delta;
    let across = DVec3::new(azimuth.cos(), azimuth.sin(), 0.0);
    let plane = plane(DVec3::ZERO, across, DVec3::Z);
    let section = solid.section(&plane, 0.02);
    assert_eq!(section.loops.len(), 1);
    let points = &section.loops[0].points;
    assert!(
        (40..3000).contains(&points.len()),
        "{} points",
        points.len()
    );
    for point in points {
        let root = (arc * arc - point.x * point.x * sine * sine).sqrt();
        let squared = (centre - root).powi(2) - point.x * point.x * cosine * cosine;
        let off = (point.y.abs() - squared.max(0.0).sqrt()).abs();
        // Upright at the equator: there the way across is what counts.
        assert!(
            off < 1e-6 || point.y.abs() < 0.5 && off < 0.1,
            "{point} {off}"
        );
    }
}

#[test]
fn the_final_ridge_lies_on_both_coves() {
    // DESIGN section 4: z² = (ρ_c − √(r² − x² sin²(δ/2)))² − x² cos²(δ/2), x the distance from
    // the z axis in the mid-plane of two neighbouring coves.
    let (radius, marks, depth) = (30.0_f64, 12, 4.0);
    let delta = std::f64::consts::TAU / f64::from(marks);
    let half_width = radius * (0.5 * delta).sin();
    let solid = coved_ball(radius, marks as usize, depth, 0.0, 0.0);
    let (_, arc, centre) = cove(DVec3::X, radius, half_width, depth);
    // Coves are centred at azimuth φ_j + 90°: those of mountings 0 and 1 meet at 90° + δ/2.
    let azimuth = std::f64::consts::FRAC_PI_2 + 0.5 * delta;
    let (sine, cosine) = ((0.5 * delta).sin(), (0.5 * delta).cos());
    for step in 0..=28 {
        let x = f64::from(step);
        let root = (arc * arc - x * x * sine * sine).sqrt();
        let squared = (centre - root).powi(2) - x * x * cosine * cosine;
        if squared < 0.0 {
            continue;
        }
        let p = DVec3::new(x * azimuth.cos(), x * azimuth.sin(), squared.sqrt());
        assert!(solid.depth_to(Face(1), p).abs() < 1e-9, "x {x}");
        assert!(solid.depth_to(Face(2), p).abs() < 1e-9, "x {x}");
        assert!(solid.depth(p).abs() < 1e-9, "x {x}");
    }
    // Poles end at |z| = ρ_b.
    assert!(solid.depth(DVec3::Z * (centre - arc)).abs() < 1e-9);
}

#[test]
fn thickness_is_the_largest_ball_touching() {
    let plate = Solid::new(bar(-50.0, 50.0, 40.0))
        .cut(Region::beyond(DVec3::Z, 3.0))
        .cut(Region::beyond(DVec3::NEG_Z, 1.5));
    let found = plate.thickness(DVec3::new(5.0, 4.0, 2.9));
    assert!((found.thickness - 4.5).abs() < 1e-9);
    assert_eq!(found.faces, [Face(1), Face(2)]);
    // Tube: outer − inner radius, from either side.
    let tube = Solid::new(bar(-90.0, 90.0, 12.0)).cut(hole(DVec3::ZERO, DVec3::Z, 9.0));
    for from in [9.1, 11.9] {
        let found = tube.thickness(DVec3::new(from, 0.0, 2.0));
        assert!((found.thickness - 3.0).abs() < 1e-9);
    }
    // A ball is as thick as it is wide, everywhere.
    let found = Solid::new(ball(30.0)).thickness(DVec3::new(20.0, 5.0, 6.0));
    assert!((found.thickness - 60.0).abs() < 1e-6);
    // A wedge of half-angle a under its tip: at distance s along the face, diameter 2 s tan a.
    let half = 0.3_f64;
    let wedge = Solid::new(ball(100.0))
        .cut(Region::beyond(DVec3::new(half.sin(), half.cos(), 0.0), 0.0))
        .cut(Region::beyond(
            DVec3::new(half.sin(), -half.cos(), 0.0),
            0.0,
        ));
    let s = 10.0;
    let found = wedge.thickness(DVec3::new(-s * half.cos(), s * half.sin() - 1e-9, 1.0));
    assert!((found.thickness - 2.0 * s * half.tan()).abs() < 1e-6);
}
