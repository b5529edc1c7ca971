//! The mountings: one set-up for each pair of opposite marks.
//!
//! In every mounting the marker holes come first, because the cove swallows
//! the marks they keep; then the edge lines, the flat between them, and the
//! cove. From the second mounting on part of the edge lines has no ball left
//! to stand on: the ring gauge finds the edge circle on whatever ridges remain,
//! and divider distances along each finished ridge from the bore's rim check it.

use rondure_solid::ProfileError;

use super::layout::Layout;
use crate::bench::{Bench, bit_name, trimmed};
use crate::caution;
use crate::plan::Plan;
use crate::process::{CutKind, Setup, Step};
use crate::rack::BitKind;
use crate::speed::{Work, speed_for};

/// Bits for marker holes, the first of them the rack has.
pub const MARKER_KINDS: [BitKind; 2] = [BitKind::Twist, BitKind::BradPoint];

/// Where a cove's middle meets the equator, in a turner's words.
pub fn cove_place(layout: &Layout, mounting: u32, after: bool) -> String {
    let n = layout.marks;
    let quarter_marks = n / 4;
    if n.is_multiple_of(4) {
        let mark = if after {
            mounting + quarter_marks
        } else {
            mounting + n - quarter_marks
        } % n;
        format!("mark {}", mark + 1)
    } else {
        // A quarter turn falls midway between two marks.
        let low = if after {
            mounting + quarter_marks
        } else {
            mounting + n - quarter_marks - 1
        } % n;
        format!(
            "the middle between marks {} and {}",
            low + 1,
            (low + 1) % n + 1
        )
    }
}

/// Where a finished ridge between coves `i` and `i + 1` (counted from 0) crosses the edge line of
/// mounting `j`: its straight distance from the bore's rim on that ridge, mm.
pub fn crossing_from_rim(layout: &Layout, i: u32, j: u32) -> Option<f64> {
    // The ridge stands in the mid-plane of the two coves' middles; along it the station of
    // mounting j grows in proportion to the distance x from the z axis.
    let middle = layout.azimuth(i) + std::f64::consts::FRAC_PI_2 + 0.5 * layout.pitch();
    let share = (middle - layout.azimuth(j)).cos().abs();
    let x = layout.half_width / share;
    let rim = layout.bore_radius;
    if !(x > rim && x < layout.radius) {
        return None;
    }
    let (low, high) = (layout.ridge(x)?, layout.ridge(rim)?);
    Some((x - rim).hypot(high - low))
}

/// The set-up of mounting `j`, after the mountings `earlier`; all counted from 0.
pub fn setup(plan: &Plan, layout: &Layout, j: u32, earlier: &[u32]) -> Result<Setup, ProfileError> {
    let number = j + 1;
    let id = format!("mounting.{number}");
    let (here, there) = (j + 1, j + 1 + layout.mountings());
    let broken = speed_for(plan, Work::Broken, 2.0 * layout.radius);

    let mount = Step::new(
        format!("{id}.mount"),
        format!("Set the drive centre at mark {here} and the tail centre at mark {there}. Turn by hand: the middle line of this cove runs through both poles and must not wander."),
    )
    .beware(caution::BETWEEN_CENTRES);

    let edges = edges(plan, layout, j, earlier, &id);

    let mut bench = Bench::new(plan, &id, &format!("{id}.flat"));
    bench.calliper(
        "calliper",
        "calliper over the flat",
        2.0 * layout.flat_radius,
    );
    let flat = Step::new(
        format!("{id}.flat"),
        "Between the edge lines turn a flat, a plain cylinder, until the callipers pass. Begin in the middle and work out to the lines.",
    )
    .with("spindle gouge or beading tool")
    .at(broken)
    .beware(caution::BROKEN_CUT)
    .beware(caution::MEASURE_STOPPED)
    .set(bench.done())
    .remove(format!("flat.{number}"), format!("flat {number}"), CutKind::Cove, layout.flat(j)?);

    let mut bench = Bench::new(plan, &id, &format!("{id}.cove"));
    bench.calliper(
        "calliper",
        "calliper over the cove's bottom",
        2.0 * layout.bottom_radius,
    );
    bench.template("gauge", "cove gauge, radius", layout.arc_radius());
    let tool = plan
        .rack
        .gouge_for_cove(layout.arc_radius())
        .map_or("a gouge smaller than any in the rack", |gouge| {
            gouge.name.as_str()
        });
    let cove = Step::new(
        format!("{id}.cove"),
        "Hollow the flat to a cove: from each edge down to the middle, never uphill, until the callipers pass at the bottom and the card gauge fits. Leave the edge lines.",
    )
    .with(tool)
    .at(broken)
    .beware(caution::BROKEN_CUT)
    .beware(caution::MEASURE_STOPPED)
    .set(bench.done())
    .remove(format!("cove.{number}"), format!("cove {number}"), CutKind::Cove, layout.cove(j)?)
    .in_place_of([format!("flat.{number}")]);

    Ok(Setup {
        piece: super::BALL,
        title: format!("Mounting {number}: between marks {here} and {there}"),
        holding: format!(
            "Between a drive centre at mark {here} and the tail centre at mark {there}, across the blank's axis."
        ),
        steps: vec![mount, markers(plan, layout, j, &id)?, edges, flat, cove],
        id,
    })
}

fn markers(plan: &Plan, layout: &Layout, j: u32, id: &str) -> Result<Step, ProfileError> {
    let number = j + 1;
    let step = format!("{id}.markers");
    let (first, second) = (cove_place(layout, j, true), cove_place(layout, j, false));
    let mut bench = Bench::new(plan, id, &step);
    bench.bit("bit", "marker holes", plan.markers.diameter, &MARKER_KINDS);
    let depth = layout.radius - layout.marker_end;
    bench.stop(
        "depth",
        "depth of the full hole, from the ball's surface",
        depth,
    );
    let point = super::layout::POINT_118 * plan.markers.diameter;
    bench.stop(
        "stop",
        "collar on the bit, from its tip (118° point)",
        depth + point,
    );
    Ok(Step::new(
        step,
        format!("Drill the two marker holes at {first} and at {second}, straight at the ball's centre, with the drill in a guide on the rest at centre height. The cove is about to take these marks; the holes keep them."),
    )
    .with(bit_name(plan, plan.markers.diameter, &MARKER_KINDS))
    .beware(caution::HAND_DRILL)
    .set(bench.done())
    .remove(format!("marker.{number}.a"), format!("the marker hole at {first}"), CutKind::Marker, layout.marker(layout.towards_cove(j, true))?)
    .remove(format!("marker.{number}.b"), format!("the marker hole at {second}"), CutKind::Marker, layout.marker(layout.towards_cove(j, false))?))
}

fn edges(plan: &Plan, layout: &Layout, j: u32, earlier: &[u32], id: &str) -> Step {
    let step = format!("{id}.edges");
    let mut bench = Bench::new(plan, id, &step);
    bench.calliper(
        "width",
        "from edge line to edge line",
        2.0 * layout.half_width,
    );
    bench.dividers(
        "half",
        "from the middle line to each edge line",
        layout.half_width,
    );
    bench.template(
        "ring",
        "ring gauge, bore",
        2.0 * (layout.radius.powi(2) - layout.half_width.powi(2)).sqrt(),
    );
    // Ridges that are already finished: both their coves were cut before.
    let mut ridges: Vec<(f64, Vec<String>)> = Vec::new();
    let mountings = layout.mountings();
    for i in 0..mountings {
        let next = (i + 1) % mountings;
        if !(earlier.contains(&i) && earlier.contains(&next)) {
            continue;
        }
        // An edge line that meets the ridge at the bore's rim is seen there: no divider holds nothing.
        let least = 0.5 * plan.rack.rule_step.max(plan.style.step_mm());
        if let Some(distance) = crossing_from_rim(layout, i, j).filter(|far| *far > least) {
            let name = format!("{} and {}", i + 1, next + 1);
            match ridges
                .iter_mut()
                .find(|(other, _)| (other - distance).abs() < 1e-6)
            {
                Some((_, names)) => names.push(name),
                None => ridges.push((distance, vec![name])),
            }
        }
    }
    for (distance, names) in &ridges {
        let which = names.join(", ");
        bench.dividers(
            &format!("ridge.{}", names.join("-").replace(" and ", "-")),
            &format!("on the ridge between coves {which}: from the bore's rim to the edge line"),
            *distance,
        );
    }
    let degrees = trimmed(2.0 * layout.half_angle().to_degrees(), 1);
    let words = if earlier.is_empty() {
        "Draw the two edge lines, equally far each side of the middle line through the poles. The ring gauge sits on the ball exactly along each."
    } else {
        "Draw the two edge lines with the ring gauge: it sits along each on whatever ball and ridges are left. Check against the middle line, and on finished ridges with the dividers from the bore's rim."
    };
    Step::new(
        step,
        format!("{words} (The cove spans {degrees}° of the ball.)"),
    )
    .with("pencil, ring gauge, dividers")
    .beware(caution::MEASURE_STOPPED)
    .set(bench.done())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layout(marks: u32) -> Layout {
        Layout {
            marks,
            radius: 30.0,
            half_width: 30.0 * (0.5 * std::f64::consts::TAU / f64::from(marks) - 0.02).sin(),
            flat_radius: 28.0,
            bottom_radius: 23.0,
            bore_radius: 9.0,
            pierce_radius: Some(6.0),
            marker_radius: 1.25,
            marker_end: 21.0,
        }
    }

    /// DESIGN section 4: with n divisible by 4 a cove's middle lands on a mark, with
    /// n ≡ 2 (mod 4) midway between two.
    #[test]
    fn coves_land_a_quarter_turn_from_their_marks() {
        assert_eq!(cove_place(&layout(8), 0, true), "mark 3");
        assert_eq!(cove_place(&layout(8), 0, false), "mark 7");
        assert_eq!(cove_place(&layout(8), 3, true), "mark 6");
        assert_eq!(
            cove_place(&layout(10), 0, true),
            "the middle between marks 3 and 4"
        );
        assert_eq!(
            cove_place(&layout(10), 0, false),
            "the middle between marks 8 and 9"
        );
        for n in [8, 10, 12, 14, 16] {
            let layout = layout(n);
            for after in [true, false] {
                let middle = layout.towards_cove(1, after);
                let place = cove_place(&layout, 1, after);
                let marks: Vec<u32> = place
                    .split(|c: char| !c.is_ascii_digit())
                    .filter_map(|word| word.parse().ok())
                    .collect();
                let sum: rondure_solid::DVec3 =
                    marks.iter().map(|mark| layout.towards(mark - 1)).sum();
                assert!(sum.normalize().distance(middle) < 1e-12, "{n}: {place}");
            }
        }
    }

    /// The crossing lies on the ridge and on the edge line: worked again from the point itself.
    #[test]
    fn ridge_crossings_lie_on_the_edge_line() {
        let layout = layout(12);
        let (i, j) = (0, 5);
        let distance = crossing_from_rim(&layout, i, j).unwrap();
        let middle = layout.azimuth(i) + std::f64::consts::FRAC_PI_2 + 0.5 * layout.pitch();
        let on_ridge = |x: f64| {
            rondure_solid::DVec3::new(x * middle.cos(), x * middle.sin(), layout.ridge(x).unwrap())
        };
        let x = layout.half_width / (middle - layout.azimuth(j)).cos().abs();
        let point = on_ridge(x);
        assert!((point.dot(layout.towards(j)).abs() - layout.half_width).abs() < 1e-12);
        assert!((point.distance(on_ridge(layout.bore_radius)) - distance).abs() < 1e-12);
        for cove in [i, i + 1] {
            assert!(layout.cove(cove).unwrap().signed_distance(point).abs() < 1e-9);
        }
    }
}
