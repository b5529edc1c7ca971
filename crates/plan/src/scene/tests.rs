//! The scene against the plan's own geometry (DESIGN section 4).

use rondure_solid::{DMat4, DVec3};

use super::{HolderKind, LineKind, MarkKind, Scene, scene};
use crate::evaluate::{Outcome, evaluate};
use crate::plan::Plan;

const PLANS: [&str; 3] = [
    include_str!("../../../../examples/lavender-ball-60.toml"),
    include_str!("../../../../examples/ornament-1-7-8-in.toml"),
    include_str!("../../../../examples/lavender-ball-84.toml"),
];

fn worked(text: &str) -> (Plan, Outcome) {
    let plan = Plan::read(text, "test.toml", &|_| Err("built in".to_owned())).unwrap();
    let outcome = evaluate(&plan).unwrap();
    (plan, outcome)
}

fn scenes(plan: &Plan, outcome: &Outcome) -> Vec<Scene> {
    let setups = &outcome.report.setups;
    setups
        .iter()
        .map(|setup| scene(plan, outcome, &setup.id).unwrap())
        .collect()
}

/// A turn of space keeps lengths and handedness, and the mounting's drive mark lies at the headstock.
#[test]
fn the_piece_is_turned_and_the_mounting_lies_along_the_lathe() {
    for text in PLANS {
        let (plan, outcome) = worked(text);
        for scene in scenes(&plan, &outcome) {
            let lathe_from_piece = DMat4::from_cols_array(&scene.lathe_from_piece);
            assert!((lathe_from_piece.determinant() - 1.0).abs() < 1e-12);
            assert!(
                (lathe_from_piece * lathe_from_piece.transpose())
                    .abs_diff_eq(DMat4::IDENTITY, 1e-12)
            );
            if let Some(number) = scene.setup.strip_prefix("mounting.") {
                let mark = number.parse::<u32>().unwrap() - 1;
                let drive = outcome.expanded.layout.towards(mark);
                let at = lathe_from_piece.transform_vector3(drive);
                assert!(at.distance(DVec3::NEG_X) < 1e-12, "{at}");
                let up = lathe_from_piece.transform_vector3(DVec3::Z);
                assert!(up.distance(DVec3::Y) < 1e-12, "{up}");
            }
        }
    }
}

/// Edge lines are the parallel circles of radius √(R² − w²) at ±w along the mounting, and lie on
/// the wood that is there; in the first mounting both are whole.
#[test]
fn edge_lines_lie_on_the_wood() {
    for text in PLANS {
        let (plan, outcome) = worked(text);
        let layout = &outcome.expanded.layout;
        for scene in scenes(&plan, &outcome) {
            let Some(number) = scene.setup.strip_prefix("mounting.") else {
                continue;
            };
            let along = layout.towards(number.parse::<u32>().unwrap() - 1);
            let index = outcome.expanded.process.setup(&scene.setup).unwrap();
            let before = outcome.expanded.process.state_before(0, index, 0);
            let edges: Vec<_> = scene
                .lines
                .iter()
                .filter(|line| line.kind == LineKind::Edge)
                .collect();
            assert!(edges.len() >= 2, "{}", scene.setup);
            // A cove narrower than the bore has its edge lines broken by it.
            if number == "1" && layout.half_width > layout.bore_radius {
                assert_eq!(edges.len(), 2);
                assert!(edges.iter().all(|line| line.points.len() == 181));
            }
            for point in edges.iter().flat_map(|line| &line.points) {
                let point = DVec3::from_array(*point);
                assert!((point.dot(along).abs() - layout.half_width).abs() < 1e-9);
                assert!((point.length() - layout.radius).abs() < 1e-9);
                assert!(before.solid.depth(point).abs() <= 0.02);
            }
        }
    }
}

/// With n divisible by 4 the later half of the mountings bear at the bottom of an earlier cove,
/// where a marker hole keeps the mark (DESIGN section 4); before the first mounting all marks
/// stand on the ball.
#[test]
fn marks_stand_where_they_can_be_felt() {
    let (plan, outcome) = worked(PLANS[0]);
    let layout = &outcome.expanded.layout;
    let first = scene(&plan, &outcome, "mounting.1").unwrap();
    let marks = |scene: &Scene, kind| scene.marks.iter().filter(|mark| mark.kind == kind).count();
    assert_eq!(
        (
            marks(&first, MarkKind::Mark),
            marks(&first, MarkKind::MarkerHole)
        ),
        (8, 0)
    );
    let third = scene(&plan, &outcome, "mounting.3").unwrap();
    assert_eq!(
        (
            marks(&third, MarkKind::Mark),
            marks(&third, MarkKind::MarkerHole)
        ),
        (4, 4)
    );
    let kept = third.marks.iter().find(|mark| mark.name == "3").unwrap();
    assert_eq!(kept.kind, MarkKind::MarkerHole);
    assert!((DVec3::from_array(kept.at).length() - layout.bottom_radius).abs() < 1e-9);
}

/// Holders do not stand in the wood, except the point of a centre and the wood inside jaws.
#[test]
fn holders_touch_the_wood_and_do_not_run_through_it() {
    for text in PLANS {
        let (plan, outcome) = worked(text);
        for scene in scenes(&plan, &outcome) {
            let index = outcome.expanded.process.setup(&scene.setup).unwrap();
            let setup = &outcome.expanded.process.setups[index];
            let before = outcome.expanded.process.state_before(setup.piece, index, 0);
            let piece_from_lathe = DMat4::from_cols_array(&scene.lathe_from_piece).transpose();
            if !scene.on_lathe {
                assert!(scene.holders.is_empty());
                continue;
            }
            assert!(!scene.holders.is_empty(), "{}", scene.setup);
            for holder in &scene.holders {
                assert!(holder.profile.iter().all(|corner| corner[1] >= 0.0));
                if !matches!(
                    holder.kind,
                    HolderKind::DriveCentre | HolderKind::TailCentre
                ) {
                    continue;
                }
                // The ring's corner, all round: it touches, within the spacing of the places felt.
                let ring = holder.profile[2];
                let deepest = (0..96)
                    .map(|place| {
                        let (sin, cos) =
                            (std::f64::consts::TAU * f64::from(place) / 96.0).sin_cos();
                        let point = DVec3::new(ring[0], ring[1] * cos, ring[1] * sin);
                        before.solid.depth(piece_from_lathe.transform_point3(point))
                    })
                    .fold(f64::NEG_INFINITY, f64::max);
                assert!(deepest < 0.2, "{} {}: {deepest}", scene.setup, holder.name);
            }
        }
    }
}

/// A cove is cut from each edge down to its middle: two runs from (±w, flat) to (0, bottom).
#[test]
fn coves_are_cut_downhill_from_both_edges() {
    let (plan, outcome) = worked(PLANS[0]);
    let layout = &outcome.expanded.layout;
    let scene = scene(&plan, &outcome, "mounting.2").unwrap();
    let runs: Vec<_> = scene
        .paths
        .iter()
        .filter(|path| path.step == "mounting.2.cove")
        .collect();
    assert_eq!(runs.len(), 2);
    for run in &runs {
        let (first, last) = (run.points[0], run.points[run.points.len() - 1]);
        assert!(
            (first[0].abs() - layout.half_width).abs() < 0.6,
            "{first:?}"
        );
        assert!((first[1] - layout.flat_radius).abs() < 0.6);
        assert!(
            last[0].abs() < 1e-9 && (last[1] - layout.bottom_radius).abs() < 1e-9,
            "{last:?}"
        );
        assert!(
            run.points
                .windows(2)
                .all(|pair| pair[1][1] <= pair[0][1] + 1e-9)
        );
    }
    assert!(runs[0].points[0][0] * runs[1].points[0][0] < 0.0);
}

/// Every step that turns wood away has a way for its tool, and every hole a way for its bit.
#[test]
fn every_cut_has_a_way() {
    for text in PLANS {
        let (plan, outcome) = worked(text);
        for scene in scenes(&plan, &outcome) {
            for step in scene.steps.iter().filter(|step| step.cuts) {
                let way = scene.paths.iter().any(|path| path.step == step.id)
                    || scene
                        .lines
                        .iter()
                        .any(|line| line.step.as_deref() == Some(&step.id));
                // A saw and what is already clean leave none.
                let none = ["ball.part", "second-end.pole"].contains(&step.id.as_str())
                    || step.id.ends_with(".part");
                assert!(way || none, "{}", step.id);
            }
        }
    }
}

/// Put together, each finial's shoulder rests on the highest of the bore's rim.
#[test]
fn finials_stand_on_the_rim() {
    let (plan, outcome) = worked(PLANS[0]);
    let layout = &outcome.expanded.layout;
    let scene = scene(&plan, &outcome, "assembly").unwrap();
    let rim = layout.ridge(layout.bore_radius).unwrap();
    let tops: Vec<DVec3> = scene
        .others
        .iter()
        .map(|other| DMat4::from_cols_array(&other.piece_from_other).transform_point3(DVec3::Z))
        .collect();
    assert_eq!(scene.others[0].piece, "finial.top");
    assert!(tops[0].distance(DVec3::Z * (rim + 1.0)) < 1e-12);
    assert!(tops[1].distance(DVec3::NEG_Z * (rim + 1.0)) < 1e-12);
    assert!(!scene.on_lathe);
}
