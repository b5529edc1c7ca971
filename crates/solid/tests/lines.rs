//! Line drawings against solids whose lines are known by hand.

#![expect(clippy::unwrap_used, reason = "a test may fail loudly")]

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use rondure_solid::{
    DVec2, DVec3, Drawing, DrawnLine, LineKind, Path, Profile, Region, Solid, Turn, View,
};

const TOLERANCE: f64 = 0.05;

fn turned(axis: DVec3, profile: Profile) -> Region {
    Region::revolved(DVec3::ZERO, axis, profile)
}

fn ball(radius: f64) -> Solid {
    Solid::new(turned(DVec3::Z, Profile::ball(radius).unwrap()))
}

fn hole(axis: DVec3, radius: f64) -> Region {
    turned(axis, Profile::cylinder(-100.0, 100.0, radius).unwrap())
}

fn view(x: f64, y: f64, z: f64) -> View {
    View {
        direction: DVec3::new(x, y, z),
        up: if x == 0.0 && y == 0.0 {
            DVec3::Y
        } else {
            DVec3::Z
        },
    }
}

/// Half-spaces that leave the box |x| < a, |y| < b, |z| < c of a ball.
fn brick(a: f64, b: f64, c: f64) -> Solid {
    let mut solid = ball(60.0);
    for (axis, half) in [(DVec3::X, a), (DVec3::Y, b), (DVec3::Z, c)] {
        solid = solid
            .cut(Region::beyond(axis, half))
            .cut(Region::beyond(-axis, half));
    }
    solid
}

/// The pierced ball of the bench: ball R 30, four grooves, a bore, eight radial holes.
fn pierced_ball(holes: bool) -> Solid {
    let w = 30.0 * 22.5f64.to_radians().sin();
    let r = 1.15 * w;
    let deep = (r * r - w * w).sqrt();
    let centre = 30.0 * 22.5f64.to_radians().cos() + deep;
    let groove = Path::from(-w, 40.0)
        .line_to(-w, centre - deep)
        .arc_to(w, centre - deep, DVec2::new(0.0, centre), Turn::Left)
        .line_to(w, 40.0)
        .close()
        .unwrap();
    let around = |k: f64| DVec3::new((k * PI / 4.0).cos(), (k * PI / 4.0).sin(), 0.0);
    let mut solid = ball(30.0);
    for k in 0..4 {
        solid = solid.cut(turned(around(f64::from(k)), groove.clone()));
    }
    solid = solid.cut(hole(DVec3::Z, 9.5));
    if holes {
        for k in 0..8 {
            solid = solid.cut(turned(
                around(f64::from(k)),
                Profile::cylinder(0.0, 40.0, 6.0).unwrap(),
            ));
        }
    }
    solid
}

/// A rod along z with a bead, a cove and smooth joints: cylinder 8, a half-round bead of
/// radius 4 standing on it, a quarter fillet into a cylinder of 14.
fn rod() -> Solid {
    let profile = Path::from(-30.0, 0.0)
        .line_to(-30.0, 8.0)
        .line_to(-4.0, 8.0)
        .arc_to(4.0, 8.0, DVec2::new(0.0, 8.0), Turn::Right)
        .line_to(10.0, 8.0)
        .arc_to(16.0, 14.0, DVec2::new(10.0, 14.0), Turn::Left)
        .line_to(16.0, 20.0)
        .line_to(30.0, 20.0)
        .line_to(30.0, 0.0)
        .close()
        .unwrap();
    Solid::new(turned(DVec3::Z, profile))
}

fn length(line: &DrawnLine) -> f64 {
    let open: f64 = line.points.windows(2).map(|p| p[0].distance(p[1])).sum();
    if line.closed {
        open + line.points[0].distance(*line.points.last().unwrap())
    } else {
        open
    }
}

fn of(drawing: &Drawing, kind: LineKind, visible: bool) -> Vec<&DrawnLine> {
    drawing
        .lines
        .iter()
        .filter(|line| line.kind == kind && line.visible == visible)
        .collect()
}

/// What holds for every drawing: points on the wood, in the view's frame, chords within
/// the tolerance of the surface.
fn drawn(solid: &Solid, view: &View) -> Drawing {
    let drawing = solid.drawing(view, TOLERANCE);
    for line in &drawing.lines {
        assert_eq!(line.points.len(), line.places.len());
        assert_eq!(line.points.len(), line.angles.len());
        assert!(line.points.len() > 1);
        for (point, place) in line.points.iter().zip(&line.places) {
            assert!(view.view_from_space(*place).distance(*point) < 1e-9);
            assert!(solid.depth(*place).abs() < TOLERANCE, "{line:?}");
        }
    }
    check_sight(solid, view);
    drawing
}

/// Seen lines are unobstructed and hidden ones obstructed, densely re-sampled by rays of
/// their own on a drawing ten times finer.
///
/// A sample lies beside the true line by up to the tolerance, so that a ray that grazes a
/// surface of radius R may cross √(8 R · 0.005) ≈ 1 mm of wood; and near a change either
/// answer may come. Such places are few.
fn check_sight(solid: &Solid, view: &View) {
    let (_, _, ahead) = view.axes();
    let (mut wrong, mut whole) = (0.0, 0.0);
    for line in &solid.drawing(view, 0.1 * TOLERANCE).lines {
        for pair in line.places.windows(2) {
            let way = pair[0].distance(pair[1]);
            let steps = (way / 0.7).ceil();
            for k in 0..steps as usize {
                let p = pair[0].lerp(pair[1], (k as f64 + 0.5) / steps);
                let spans = solid.ray(p, -ahead, 0.0, 200.0);
                let wood: f64 = spans.iter().map(|span| span.leave - span.enter).sum();
                whole += way / steps;
                let as_told = if line.visible {
                    wood < 1.2
                } else {
                    wood > 1e-3
                };
                if !as_told {
                    wrong += way / steps;
                }
            }
        }
    }
    assert!(wrong <= 0.003 * whole, "{wrong} of {whole} mm");
}

/// A box seen over a corner: 12 edges, the three at the far corner hidden.
#[test]
fn a_box_shows_nine_edges_and_hides_three() {
    let (a, b, c) = (20.0, 15.0, 10.0);
    let solid = brick(a, b, c);
    let eye = view(-1.0, -0.5, -0.8);
    let drawing = drawn(&solid, &eye);
    assert_eq!(drawing.lines.len(), 12, "{:#?}", drawing.lines);
    let hidden = of(&drawing, LineKind::Edge, false);
    assert_eq!(
        (of(&drawing, LineKind::Edge, true).len(), hidden.len()),
        (9, 3)
    );
    let far = DVec3::new(-a, -b, -c);
    for line in &hidden {
        assert!(
            line.places.iter().any(|p| p.distance(far) < 1e-6),
            "{line:?}"
        );
    }
    let mut sum = 0.0;
    for line in &drawing.lines {
        assert_eq!(line.points.len(), 2);
        sum += line.places[0].distance(line.places[1]);
        for (place, angle) in line.places.iter().zip(&line.angles) {
            assert!(
                (place.abs() - DVec3::new(a, b, c)).abs().max_element() < 1e-6,
                "{place}"
            );
            assert!((angle - FRAC_PI_2).abs() < 1e-9);
        }
    }
    assert!((sum - 8.0 * (a + b + c)).abs() < 1e-5);
}

/// Seen square to a face a box is one rectangle: what stands behind falls on it.
#[test]
fn a_box_seen_from_the_front_is_a_rectangle() {
    let drawing = drawn(&brick(20.0, 15.0, 10.0), &view(0.0, 1.0, 0.0));
    assert_eq!(drawing.lines.len(), 4, "{:#?}", drawing.lines);
    let sum: f64 = drawing.lines.iter().map(length).sum();
    assert!((sum - 120.0).abs() < 1e-5);
    assert!(drawing.lines.iter().all(|line| line.visible));
}

/// A ball is one circle from everywhere.
#[test]
fn a_ball_is_one_circle() {
    for eye in [
        view(0.0, 0.0, -1.0),
        view(1.0, 0.0, 0.0),
        view(-0.3, 0.8, 0.2),
    ] {
        let drawing = drawn(&ball(30.0), &eye);
        assert_eq!(drawing.lines.len(), 1, "{:#?}", drawing.lines);
        let line = &drawing.lines[0];
        assert!(line.closed && line.visible && line.kind == LineKind::Silhouette);
        for point in &line.points {
            assert!((point.length() - 30.0).abs() < 1e-9);
        }
        assert!((length(line) - TAU * 30.0).abs() < 0.4);
    }
}

/// A tube, 40 long, 12 and 8 of radius.
fn tube() -> Solid {
    Solid::new(turned(
        DVec3::Z,
        Profile::cylinder(-20.0, 20.0, 12.0).unwrap(),
    ))
    .cut(hole(DVec3::Z, 8.0))
}

/// From the side: two rims as straight lines, two outlines, two hidden lines of the bore.
#[test]
fn a_tube_from_the_side_hides_its_bore() {
    let drawing = drawn(&tube(), &view(0.3, 1.0, 0.0));
    let seen: Vec<_> = drawing.lines.iter().filter(|line| line.visible).collect();
    let hidden: Vec<_> = drawing.lines.iter().filter(|line| !line.visible).collect();
    assert_eq!((seen.len(), hidden.len()), (4, 2), "{:#?}", drawing.lines);
    for line in hidden {
        assert_eq!(line.kind, LineKind::Silhouette);
        assert!((length(line) - 40.0).abs() < 1e-6);
        assert!(line.points.iter().all(|p| (p.x.abs() - 8.0).abs() < 1e-9));
    }
    for line in of(&drawing, LineKind::Silhouette, true) {
        assert!((length(line) - 40.0).abs() < 1e-6);
        assert!(line.points.iter().all(|p| (p.x.abs() - 12.0).abs() < 1e-9));
    }
    for line in of(&drawing, LineKind::Crease, true) {
        assert!((length(line) - 24.0).abs() < 0.02, "{}", length(line));
        assert!(line.points.iter().all(|p| (p.y.abs() - 20.0).abs() < 1e-9));
    }
}

/// Along its axis: two circles, and nothing drawn twice.
#[test]
fn a_tube_from_its_end_is_two_circles() {
    let drawing = drawn(&tube(), &view(0.0, 0.0, -1.0));
    assert_eq!(drawing.lines.len(), 2, "{:#?}", drawing.lines);
    for (line, radius) in drawing.lines.iter().zip([8.0, 12.0]) {
        assert!(line.closed && line.visible, "{line:?}");
        assert!(
            line.points
                .iter()
                .all(|p| (p.length() - radius).abs() < 1e-6)
        );
        assert!(line.places.iter().all(|p| (p.z - 20.0).abs() < 1e-6));
    }
}

/// A bored ball from the side and a little above. Its rim is the circle of radius b at
/// z = ±√(R² − b²): an ellipse in the view, b wide and b sin(elevation) high.
#[test]
fn a_bored_ball_shows_its_rim_and_hides_its_bore() {
    let (radius, bore) = (30.0_f64, 9.5_f64);
    let solid = ball(radius).cut(hole(DVec3::Z, bore));
    let up = 0.4_f64;
    let eye = view(up.cos(), 0.0, -up.sin());
    let drawing = drawn(&solid, &eye);
    let height = (radius * radius - bore * bore).sqrt();
    for line in drawing
        .lines
        .iter()
        .filter(|line| line.kind == LineKind::Edge)
    {
        for (point, place) in line.points.iter().zip(&line.places) {
            let side = place.z.signum();
            let flat = DVec2::new(point.x, (point.y - side * height * up.cos()) / up.sin());
            assert!((flat.length() - bore).abs() < 1e-6, "{point}");
        }
    }
    // The upper rim whole and seen: the ball is outside of it everywhere at this elevation.
    let rims = of(&drawing, LineKind::Edge, true);
    assert_eq!(rims.len(), 1, "{:#?}", drawing.lines);
    assert!(rims[0].closed);
    // The lower rim and the bore's two lines hidden; from rim to rim at θ = ±90°, which
    // leaves a point of the upper rim, so parts near the top are seen through the mouth.
    let hidden: f64 = of(&drawing, LineKind::Silhouette, false)
        .iter()
        .map(|l| {
            l.places
                .windows(2)
                .map(|p| p[0].distance(p[1]))
                .sum::<f64>()
        })
        .sum();
    assert!(
        (hidden - 4.0 * height).abs() < 1e-5,
        "{hidden} {}",
        4.0 * height
    );
    assert_eq!(of(&drawing, LineKind::Edge, false).len(), 1);
    // The ball's own outline stays whole: the rims lie inside of it.
    let outline = of(&drawing, LineKind::Silhouette, true);
    assert!(
        outline
            .iter()
            .any(|l| l.closed && (length(l) - TAU * radius).abs() < 0.4)
    );
    // Wood between the ball's inward direction and the bore's: π − acos(−b / R).
    let expected = PI - (-bore / radius).acos();
    assert!(
        rims[0]
            .angles
            .iter()
            .all(|angle| (angle - expected).abs() < 1e-6)
    );
}

/// Joints without a corner give no line: along the rod only the bead's feet, the shoulder
/// and the ends are lines.
#[test]
fn smooth_joints_give_no_line() {
    let drawing = drawn(&rod(), &view(1.0, 0.2, -0.7));
    let corner = |z: f64, r: f64| {
        drawing
            .lines
            .iter()
            .filter(|l| l.kind == LineKind::Crease)
            .any(|l| {
                l.places
                    .iter()
                    .all(|p| (p.z - z).abs() < 1e-6 && (p.truncate().length() - r).abs() < 1e-6)
            })
    };
    for (z, r) in [
        (-30.0, 8.0),
        (-4.0, 8.0),
        (4.0, 8.0),
        (16.0, 20.0),
        (30.0, 20.0),
    ] {
        assert!(corner(z, r), "no corner at {z}, {r}");
    }
    // The fillet runs into the cylinder at z = 10 and squarely into the shoulder at z = 16.
    for (z, r) in [(10.0, 8.0), (16.0, 14.0)] {
        assert!(!corner(z, r), "a line at {z}, {r}");
    }
    let heights = drawing.lines.iter().filter(|l| l.kind == LineKind::Crease);
    for line in heights {
        // The bead's foot turns by a right angle inwards: the wood includes 270°.
        let foot = (line.places[0].z.abs() - 4.0).abs() < 1e-6;
        let expected = if foot { 1.5 * PI } else { FRAC_PI_2 };
        assert!(
            line.angles.iter().all(|a| (a - expected).abs() < 1e-6),
            "{line:?}"
        );
    }
}

/// Seen square to its axis the rod is its own profile: lines at every radius that ends.
#[test]
fn a_rod_from_the_side_is_its_profile() {
    let drawing = drawn(&rod(), &view(0.0, 1.0, 0.0));
    let reach = |z: f64| {
        drawing
            .lines
            .iter()
            .flat_map(|l| &l.points)
            .filter(|p| (p.y - z).abs() < 1e-6)
            .map(|p| p.x.abs())
            .fold(0.0, f64::max)
    };
    assert!((reach(-30.0) - 8.0).abs() < 1e-6);
    assert!((reach(30.0) - 20.0).abs() < 1e-6);
    let outline: f64 = of(&drawing, LineKind::Silhouette, true)
        .iter()
        .map(|l| length(l))
        .sum();
    // Each side: cylinder 26 + half bead 4π + 6 + quarter fillet 3π + cylinder 14.
    let side = 26.0 + 4.0 * PI + 6.0 + 3.0 * PI + 14.0;
    assert!(
        (outline - 2.0 * side).abs() < 0.3,
        "{outline} {}",
        2.0 * side
    );
}

/// Holes of one radius drilled from both sides meet end to end and are drawn as one: the
/// same lines as one hole right through.
#[test]
fn bores_that_meet_draw_no_joint() {
    let eye = view(0.6, 1.0, -0.4);
    let through = drawn(&ball(30.0).cut(hole(DVec3::X, 6.0)), &eye);
    let half = |from, to| turned(DVec3::X, Profile::cylinder(from, to, 6.0).unwrap());
    for parts in [
        [half(-50.0, 0.0), half(0.0, 50.0)],
        [half(-50.0, 8.0), half(-8.0, 50.0)],
    ] {
        let [first, second] = parts;
        let drawing = drawn(&ball(30.0).cut(first).cut(second), &eye);
        assert_eq!(of(&drawing, LineKind::Crease, false).len(), 0);
        assert_eq!(of(&drawing, LineKind::Crease, true).len(), 0);
        for kind in [LineKind::Edge, LineKind::Silhouette] {
            for visible in [true, false] {
                let sum = |d: &Drawing| of(d, kind, visible).iter().map(|l| length(l)).sum::<f64>();
                let (one, two) = (sum(&through), sum(&drawing));
                assert!((one - two).abs() < 0.05, "{kind:?} {visible} {one} {two}");
            }
        }
    }
}

/// A face that touches another without cutting into it draws no line: a cylinder tangent to
/// the ball at its equator.
#[test]
fn a_face_that_only_touches_draws_nothing() {
    let profile = Profile::cylinder(-40.0, 40.0, 30.0).unwrap();
    let round = turned(
        DVec3::Z,
        Path::from(-30.0, 0.0)
            .arc_to(30.0, 0.0, DVec2::ZERO, Turn::Right)
            .line_to(50.0, 0.0)
            .line_to(50.0, 60.0)
            .line_to(-50.0, 60.0)
            .line_to(-50.0, 0.0)
            .close()
            .unwrap(),
    );
    let solid = Solid::new(turned(DVec3::Z, profile)).cut(round);
    for eye in [
        view(0.0, 0.0, -1.0),
        view(1.0, 0.0, 0.0),
        view(-0.3, 0.8, 0.2),
    ] {
        let drawing = drawn(&solid, &eye);
        assert_eq!(drawing.lines.len(), 1, "{:#?}", drawing.lines);
        assert!(drawing.lines[0].closed);
    }
}

/// The pierced ball's edges, by hand. Neighbouring grooves at half-width R sin(δ/2) touch
/// at the equator, so each of the 8 ridges between neighbours runs from the bore's rim above
/// to that below: with neighbours' symmetry each lies in its mid-plane (DESIGN section 4),
/// azimuth 22.5° + k 45°.
#[test]
fn the_coved_balls_ridges_lie_in_their_planes() {
    let solid = pierced_ball(false);
    let drawing = drawn(&solid, &view(-0.7, -1.0, -0.55));
    let grooves = |line: &&DrawnLine| {
        line.kind == LineKind::Edge && line.faces.iter().all(|f| (1..=4).contains(&f.0))
    };
    let mut found = [0.0_f64; 8];
    for line in drawing.lines.iter().filter(grooves) {
        for pair in line.places.windows(2) {
            let middle = pair[0].midpoint(pair[1]);
            let turn = middle.y.atan2(middle.x).rem_euclid(TAU) / (PI / 4.0) - 0.5;
            assert!(
                (turn - turn.round()).abs() < 1e-3,
                "{turn} {middle} {line:?}"
            );
            found[turn.round() as usize % 8] += pair[0].distance(pair[1]);
        }
    }
    // All ridges are as long as each other, and as the closed form's curve
    // z² = (ρc − √(r² − x² sin²(δ/2)))² − x² cos²(δ/2) from the equator to the bore.
    let w = 30.0 * 22.5f64.to_radians().sin();
    let r = 1.15 * w;
    let centre = 30.0 * 22.5f64.to_radians().cos() + (r * r - w * w).sqrt();
    let (sin, cos) = 22.5f64.to_radians().sin_cos();
    let z = |x: f64| {
        let root = (r * r - x * x * sin * sin).sqrt();
        ((centre - root).powi(2) - x * x * cos * cos)
            .max(0.0)
            .sqrt()
    };
    // x from the bore's 9.5 to the equator's 30, denser towards the equator.
    let at = |k: f64| {
        let x = 30.0 - 20.5 * (1.0 - k).powi(2);
        DVec2::new(x, z(x))
    };
    let expected: f64 = 2.0
        * (0..20_000)
            .map(|k| at(f64::from(k) / 20_000.0).distance(at(f64::from(k + 1) / 20_000.0)))
            .sum::<f64>();
    for sum in found {
        assert!((sum - expected).abs() < 0.3, "{found:?} for {expected}");
    }
}

/// Each of the eight radial holes opens into its groove with one closed rim, cut by nothing:
/// w > 6, and the bore's mouth is far. Inside neighbouring holes run together within
/// 6 / sin 22.5° = 15.7 of the centre.
#[test]
fn every_pierced_hole_has_its_rim() {
    let solid = pierced_ball(true);
    for eye in [
        view(-0.7, -1.0, -0.55),
        view(0.0, 1.0, 0.0),
        view(0.0, 0.0, -1.0),
    ] {
        let drawing = drawn(&solid, &eye);
        for hole in 6..=13 {
            let rims: Vec<_> = drawing
                .lines
                .iter()
                .filter(|l| l.faces[1].0 == hole && (1..=4).contains(&l.faces[0].0))
                .collect();
            assert!(rims.iter().all(|l| l.kind == LineKind::Edge));
            assert!(!rims.is_empty() || eye.direction.z == -1.0 || eye.direction.y == 1.0);
        }
    }
    // By count, seen obliquely: the holes' rims as closed space curves once hidden and seen
    // stretches are put together. A rim about the hole's axis turns once: the sum of the
    // turns of its stretches is 2π.
    let drawing = solid.drawing(&view(-0.7, -1.0, -0.55), TOLERANCE);
    for hole in 6..=13 {
        let azimuth = f64::from(hole as u32 - 6) * PI / 4.0;
        let across = DVec3::new(-azimuth.sin(), azimuth.cos(), 0.0);
        let turn = |p: DVec3| p.z.atan2(p.dot(across));
        let mut sum = 0.0;
        for line in drawing
            .lines
            .iter()
            .filter(|l| l.faces[1].0 == hole && (1..=4).contains(&l.faces[0].0))
        {
            let mut places = line.places.clone();
            if line.closed {
                places.push(places[0]);
            }
            sum += places
                .windows(2)
                .map(|p| {
                    let way = turn(p[1]) - turn(p[0]);
                    (way - TAU * (way / TAU).round()).abs()
                })
                .sum::<f64>();
        }
        assert!((sum - TAU).abs() < 0.02, "hole {hole}: {sum}");
    }
}

/// Turning solid and view together changes nothing but rounding.
#[test]
fn a_drawing_turns_with_its_solid() {
    let (about, angle) = (DVec3::new(0.3, -0.5, 0.8).normalize(), 0.83_f64);
    let turn = |v: DVec3| {
        v * angle.cos() + about.cross(v) * angle.sin() + about * about.dot(v) * (1.0 - angle.cos())
    };
    let make = |turn: &dyn Fn(DVec3) -> DVec3| {
        let cove = Path::from(-9.0, 25.0)
            .arc_to(9.0, 25.0, DVec2::new(0.0, 28.0), Turn::Left)
            .line_to(9.0, 60.0)
            .line_to(-9.0, 60.0)
            .close()
            .unwrap();
        ball(28.0)
            .cut(turned(turn(DVec3::X), cove.clone()))
            .cut(turned(turn(DVec3::new(0.5, 0.8, 0.0)), cove))
            .cut(hole(turn(DVec3::Z), 7.0))
            .cut(hole(turn(DVec3::new(0.2, 1.0, 0.1)), 4.0))
    };
    let eye = View {
        direction: DVec3::new(-0.6, -0.9, -0.5),
        up: DVec3::Z,
    };
    let turned_eye = View {
        direction: turn(eye.direction),
        up: turn(eye.up),
    };
    let first = drawn(&make(&|v| v), &eye);
    let second = drawn(&make(&turn), &turned_eye);
    // Where two lines fall nearly together either may be left out beside the other, so what is
    // compared is ink: each point of one drawing lies on a line of the other, seen on seen.
    for (one, other) in [(&first, &second), (&second, &first)] {
        for line in &one.lines {
            for point in &line.points {
                let near = other
                    .lines
                    .iter()
                    .filter(|l| l.visible || !line.visible)
                    .map(|l| distance(l, *point))
                    .fold(f64::INFINITY, f64::min);
                assert!(near < 1.5 * TOLERANCE, "{near} {point} {line:?}");
            }
        }
    }
}

/// Distance of a point from a line.
fn distance(line: &DrawnLine, p: DVec2) -> f64 {
    let mut points = line.points.clone();
    if line.closed {
        points.push(points[0]);
    }
    let to = |a: DVec2, b: DVec2| {
        let way = b - a;
        let share = (p - a).dot(way) / way.length_squared().max(1e-300);
        p.distance(a + way * share.clamp(0.0, 1.0))
    };
    points
        .windows(2)
        .map(|pair| to(pair[0], pair[1]))
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn the_lines_are_the_same_on_one_core_and_two() {
    let solid = pierced_ball(true);
    let on = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| solid.drawing(&view(-0.7, -1.0, -0.55), TOLERANCE))
    };
    assert_eq!(on(1), on(2));
}

#[test]
fn a_piece_cut_away_altogether_has_no_lines() {
    let gone = ball(10.0).cut(hole(DVec3::Z, 40.0));
    assert!(
        gone.drawing(&view(0.0, 1.0, 0.0), TOLERANCE)
            .lines
            .is_empty()
    );
}
