//! Webs against closed forms.

use rondure_solid::{DVec2, DVec3, Face, Path, Profile, Region, Solid, Turn, Web};

use crate::pieces::{ball, bar, cove, coved_ball, hole};

fn between(webs: &[Web], a: usize, b: usize) -> Option<Web> {
    webs.iter()
        .copied()
        .find(|web| web.faces == [Face(a), Face(b)])
}

fn thickness(solid: &Solid, a: usize, b: usize) -> f64 {
    let webs = solid.webs(solid.default_spacing());
    let web = between(&webs, a, b).unwrap_or_else(|| panic!("no web {a} {b} among {webs:?}"));
    if web.ends_at.is_none() {
        assert!((web.feet[0].distance(web.feet[1]) - web.thickness).abs() < 1e-9);
        assert!(solid.depth(web.middle()) > 0.0);
        for foot in web.feet {
            assert!(solid.depth(foot).abs() < 1e-8);
        }
    }
    web.thickness
}

#[test]
fn a_plate_is_as_thick_as_it_was_sawn() {
    let solid = Solid::new(bar(-50.0, 50.0, 40.0))
        .cut(Region::beyond(DVec3::new(1.0, 2.0, 3.0), 3.0))
        .cut(Region::beyond(DVec3::new(-1.0, -2.0, -3.0), 1.5));
    assert!((thickness(&solid, 1, 2) - 4.5).abs() < 1e-6);
}

#[test]
fn a_tube_wall_is_outer_less_inner_radius() {
    for inner in [9.0, 11.0, 11.95] {
        let solid = Solid::new(bar(-40.0, 40.0, 12.0)).cut(hole(DVec3::ZERO, DVec3::Z, inner));
        assert!((thickness(&solid, 0, 1) - (12.0 - inner)).abs() < 1e-6);
    }
}

#[test]
fn a_hole_beside_a_hole_leaves_the_distance_less_the_radii() {
    for gap in [5.0, 1.0, 0.05] {
        let solid = Solid::new(ball(30.0))
            .cut(hole(DVec3::new(-4.0 - 0.5 * gap, 1.0, 0.0), DVec3::Z, 4.0))
            .cut(hole(DVec3::new(3.0 + 0.5 * gap, 1.0, 0.0), DVec3::Z, 3.0));
        assert!((thickness(&solid, 1, 2) - gap).abs() < 1e-6, "gap {gap}");
    }
}

#[test]
fn skew_holes_leave_the_distance_of_their_lines_less_the_radii() {
    // |(p − q) · (u × v)| / |u × v|, the distance of two lines.
    let (p, u) = (DVec3::new(1.0, -6.0, 2.0), DVec3::new(0.9, 0.1, 0.3));
    let (q, v) = (DVec3::new(-2.0, 5.0, 1.0), DVec3::new(0.2, 0.3, 1.0));
    let normal = u.cross(v).normalize();
    let lines = (p - q).dot(normal).abs();
    for (a, b) in [(3.0, 2.0), (3.0, lines - 3.05)] {
        let solid = Solid::new(ball(30.0)).cut(hole(p, u, a)).cut(hole(q, v, b));
        assert!((thickness(&solid, 1, 2) - (lines - a - b)).abs() < 1e-6);
    }
}

#[test]
fn a_bore_beside_a_cove_leaves_the_bottom_radius_less_the_bore() {
    let (region, arc, centre) = cove(DVec3::X, 30.0, 9.0, 4.0);
    let bottom = centre - arc;
    let solid = Solid::new(ball(30.0))
        .cut(region)
        .cut(hole(DVec3::ZERO, DVec3::X, bottom - 1.25));
    assert!((thickness(&solid, 1, 2) - 1.25).abs() < 1e-6);
}

#[test]
fn a_ring_groove_leaves_a_post_of_twice_its_radius() {
    let groove = Path::from(-6.0, 10.0)
        .arc_to(6.0, 10.0, DVec2::new(0.0, 10.0), Turn::Left)
        .line_to(6.0, 30.0)
        .line_to(-6.0, 30.0)
        .close()
        .unwrap();
    let axis = DVec3::new(0.3, 0.2, 1.0);
    let solid = Solid::new(ball(20.0)).cut(Region::revolved(DVec3::ZERO, axis, groove));
    // Bottom at 10 − 6 = 4.
    assert!((thickness(&solid, 1, 1) - 8.0).abs() < 1e-6);
}

#[test]
fn a_thin_post_between_the_boxes_is_found() {
    let groove = Path::from(-6.0, 6.2)
        .arc_to(6.0, 6.2, DVec2::new(0.0, 6.2), Turn::Left)
        .line_to(6.0, 30.0)
        .line_to(-6.0, 30.0)
        .close()
        .unwrap();
    let solid = Solid::new(ball(20.0)).cut(Region::revolved(
        DVec3::new(0.3, 0.4, 0.5),
        DVec3::new(0.3, 0.2, 1.0),
        groove,
    ));
    assert!((thickness(&solid, 1, 1) - 0.4).abs() < 1e-6);
}

#[test]
fn radial_holes_run_together_and_leave_no_web() {
    // DESIGN section 4: holes of radius h meet inside radius h / sin(δ/2).
    let (marks, h) = (8_usize, 3.0);
    let delta = std::f64::consts::TAU / marks as f64;
    let pierced = |bore: f64| {
        let mut solid = Solid::new(ball(30.0));
        for mark in 0..marks {
            let azimuth = delta * mark as f64;
            solid = solid.cut(Region::revolved(
                DVec3::ZERO,
                DVec3::new(azimuth.cos(), azimuth.sin(), 0.0),
                Profile::cylinder(0.0, 60.0, h).unwrap(),
            ));
        }
        if bore > 0.0 {
            solid = solid.cut(hole(DVec3::ZERO, DVec3::Z, bore));
        }
        solid
    };
    let within = h / (0.5 * delta).sin();
    for bore in [0.0, within - 0.5] {
        let solid = pierced(bore);
        let webs = solid.webs(solid.default_spacing());
        for a in 1..=marks {
            for b in a + 1..=marks {
                assert_eq!(between(&webs, a, b), None, "bore {bore}");
            }
        }
    }
    // A bore wider than that leaves ribs, thinnest at the bore: from the rim of one hole on
    // the bore to the other hole, b sin(δ − asin(h/b)) − h.
    let bore = within + 1.0;
    let solid = pierced(bore);
    let webs = solid.webs(solid.default_spacing());
    let expected = bore * (delta - (h / bore).asin()).sin() - h;
    let ribs: Vec<Web> = (1..=marks)
        .filter_map(|a| {
            let b = a % marks + 1;
            between(&webs, a.min(b), a.max(b))
        })
        .collect();
    assert_eq!(ribs.len(), marks, "symmetrical copies are all kept");
    for rib in ribs {
        assert_eq!(rib.ends_at, Some(Face(marks + 1)));
        assert!(
            (rib.thickness - expected).abs() < 1e-6,
            "{rib:?} for {expected}"
        );
    }
}

#[test]
fn a_tapering_wall_is_thinnest_where_it_ends() {
    // A cone of half-angle a inside a bar sawn off at z = 10: from the bar's rim to the cone,
    // (R − ρ) cos a, with ρ the cone's radius at the saw cut.
    let taper = Profile::cone(-20.0, 5.0, 20.0, 17.0).unwrap();
    let solid = Solid::new(bar(-15.0, 15.0, 20.0))
        .cut(Region::revolved(DVec3::ZERO, DVec3::Z, taper))
        .cut(Region::beyond(DVec3::Z, 10.0));
    let (rise, run) = (12.0_f64, 40.0_f64);
    let at_cut = 5.0 + rise * 30.0 / run;
    let cosine = run / rise.hypot(run);
    let webs = solid.webs(solid.default_spacing());
    let web = between(&webs, 0, 1).unwrap();
    assert_eq!(web.ends_at, Some(Face(2)));
    assert!(
        (web.thickness - (20.0 - at_cut) * cosine).abs() < 1e-6,
        "{web:?}"
    );
}

#[test]
fn an_undercut_both_meets_the_saw_cut_and_leaves_a_web() {
    // A shaft of radius 2 opens through the sawn face at z = −5; the undercut's floor at z = 0
    // runs parallel to it.
    let undercut = Path::from(-40.0, 0.0)
        .line_to(-40.0, 2.0)
        .line_to(0.0, 2.0)
        .line_to(0.0, 10.0)
        .line_to(3.0, 10.0)
        .line_to(3.0, 0.0)
        .close()
        .unwrap();
    let solid = Solid::new(ball(30.0))
        .cut(Region::revolved(DVec3::ZERO, DVec3::Z, undercut))
        .cut(Region::beyond(DVec3::NEG_Z, 5.0));
    let webs = solid.webs(solid.default_spacing());
    let web = between(&webs, 1, 2).unwrap();
    assert!((web.thickness - 5.0).abs() < 1e-6, "{web:?}");
    assert!(web.meets);
    // Two holes side by side never meet.
    let apart = Solid::new(ball(30.0))
        .cut(hole(DVec3::X * 5.0, DVec3::Z, 4.0))
        .cut(hole(DVec3::X * -5.0, DVec3::Z, 4.0));
    let webs = apart.webs(apart.default_spacing());
    assert!(!between(&webs, 1, 2).unwrap().meets);
}

#[test]
fn webs_and_necks_together_are_the_same_as_apart() {
    let solid = coved_ball(30.0, 12, 4.0, 2.5, 9.5);
    let spacing = solid.default_spacing();
    let (webs, necks) = solid.walls(spacing);
    assert_eq!(webs, solid.webs(spacing));
    assert_eq!(necks, solid.necks(spacing));
}

#[test]
fn webs_of_a_coved_ball_hold_against_depth() {
    // Along every unbroken web the depth is nowhere more than the way to its nearer end,
    // and no lattice of random places in the wood has a smaller sum.
    let solid = coved_ball(30.0, 12, 4.0, 2.5, 9.5);
    let webs = solid.webs(solid.default_spacing());
    assert!(!webs.is_empty());
    for pair in webs.windows(2) {
        assert!(pair[0].thickness <= pair[1].thickness);
    }
    for web in webs.iter().filter(|web| web.ends_at.is_none()) {
        for step in 1..20 {
            let share = f64::from(step) / 20.0;
            let depth = solid.depth(web.feet[0].lerp(web.feet[1], share));
            assert!(depth > 0.0 && depth <= share.min(1.0 - share) * web.thickness + 1e-9);
        }
        if web.faces[0] != web.faces[1] {
            // A place nearby has no smaller sum.
            for k in 0..26 {
                let k = k + i32::from(k >= 13);
                let step = DVec3::new(
                    f64::from(k % 3 - 1),
                    f64::from(k / 3 % 3 - 1),
                    f64::from(k / 9 - 1),
                );
                let p = web.middle() + 0.1 * step.normalize();
                let sum = solid.depth_to(web.faces[0], p) + solid.depth_to(web.faces[1], p);
                assert!(sum >= web.thickness - 1e-9, "{web:?}");
            }
        }
    }
}

#[test]
fn webs_are_the_same_on_one_core_and_two() {
    let solid = coved_ball(30.0, 12, 4.0, 2.5, 9.5);
    let on = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| solid.webs(solid.default_spacing()))
    };
    assert_eq!(on(1), on(2));
}
