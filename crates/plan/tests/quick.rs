//! Changed balls, followed from known ones, against the search on each.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use rondure_plan::form::coved_ball::Layout;
use rondure_plan::quick::{Quick, wood};
use rondure_solid::nearby::Changed;
use rondure_solid::{Accuracy, Face, Fineness, pieces};

/// Balls as plans may ask for them: coves from shallow to deep, holes from small to those that run
/// through.
fn layouts() -> impl Strategy<Value = Layout> {
    let sizes = (0.0..0.08f64, 0.05..0.35f64, 0.2..0.45f64, 0.08..0.9f64);
    (
        prop_oneof![Just(8u32), Just(12), Just(10)],
        15.0..60.0f64,
        sizes,
    )
        .prop_filter_map(
            "a ball that can be laid out",
            |(marks, radius, (land, depth, bore, hole))| {
                let pitch = std::f64::consts::TAU / f64::from(marks);
                let half = 0.5 * (pitch - land);
                let (half_width, flat_radius) = (radius * half.sin(), radius * half.cos());
                let bottom_radius = flat_radius - depth * radius;
                let bore_radius = bore * radius;
                let fits =
                    depth * radius < half_width && bottom_radius > bore_radius + 0.05 * radius;
                fits.then_some(Layout {
                    marks,
                    radius,
                    half_width,
                    flat_radius,
                    bottom_radius,
                    bore_radius,
                    pierce_radius: Some(hole * half_width),
                    marker_radius: 0.02 * radius,
                    marker_end: 0.7 * bottom_radius,
                })
            },
        )
}

/// The same ball with every size off by up to 0.03 of the radius.
fn changed_a_little(layout: &Layout, by: [f64; 4]) -> Layout {
    let off = by.map(|by| by * layout.radius);
    Layout {
        half_width: layout.half_width - off[0].abs(),
        bottom_radius: layout.bottom_radius + off[1],
        bore_radius: layout.bore_radius + off[2],
        pierce_radius: layout
            .pierce_radius
            .map(|radius| (radius + off[3]).max(0.3)),
        flat_radius: (layout.radius.powi(2) - (layout.half_width - off[0].abs()).powi(2)).sqrt(),
        ..layout.clone()
    }
}

/// Over random plans, each known, and each changed a little and followed: walls whose feet stand on the
/// wood, least passage and number of parts as the search finds them, to a thousandth of the
/// radius, for all but a few in a hundred.
#[test]
fn changed_balls_are_those_of_the_search() {
    let mut changed = Changed::default();
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let plans = 60;
    let (mut off, mut one_only) = (Vec::new(), 0);
    for _ in 0..plans {
        let quick = Quick::default();
        let by = proptest::array::uniform4(-0.03..0.03f64);
        let (base, by) = (layouts(), by).new_tree(&mut runner).unwrap().current();
        quick.learn(&base).unwrap();
        let layout = changed_a_little(&base, by);
        let left = quick.left(&layout, &mut changed).unwrap();
        let solid = wood(&layout).unwrap();
        let spacing = solid.default_spacing();
        let is_cove = |face: Face| (2..2 + layout.mountings() as usize).contains(&face.0);
        let (webs, necks) = solid.walls(spacing);
        let web = (webs.iter())
            .filter(|web| !web.meets || web.ends_at.is_none())
            .filter(|web| !web.faces.iter().all(|face| is_cove(*face)))
            .find(|web| web.feet.iter().all(|foot| solid.depth(*foot) > -1e-6))
            .map(|web| web.thickness);
        let neck = (necks.iter())
            .find(|neck| neck.bulks[0].volume > 0.005 * neck.bulks[1].volume)
            .map(|neck| 2.0 * neck.radius);
        let near = |a: f64, b: f64| (a - b).abs() < 1e-3 * layout.radius;
        let parts = pieces(&solid, Fineness::default(), Accuracy { relative: 1e-2 }).pieces;
        // Crumbs of a ridge are no parts that fall off.
        let whole: f64 = parts.iter().map(|part| part.moments.volume).sum();
        let parts = (parts
            .iter()
            .filter(|part| part.moments.volume > 0.005 * whole))
        .count();
        // A passage that is closed is no neck.
        let open = left.neck.filter(|neck| *neck > 0.0);
        let same_neck = match (open, neck) {
            (Some(a), Some(b)) => near(a, b),
            (None, None) => true,
            _ => false,
        };
        // The search may take the land for a wall, or miss one that ends at a rim.
        let same_web = match (left.web, web) {
            (Some(a), Some(b)) => near(a, b),
            _ => true,
        };
        one_only += usize::from(left.web.is_some() != web.is_some());
        if !same_neck || !same_web || (left.parts > 1) != (parts > 1) || left.lost > 0 {
            off.push(format!(
                "{layout:?}: {left:?}, searched web {web:?} neck {neck:?} parts {parts}"
            ));
        }
    }
    assert!(
        one_only * 5 <= plans,
        "{one_only} with a wall on one side only"
    );
    assert!(
        off.len() * 20 <= plans,
        "{} of {plans} off:\n{}",
        off.len(),
        off.join("\n")
    );
}
