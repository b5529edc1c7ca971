//! A verdict in a turner's words and units.

use rondure_plan::bench::written;
use rondure_plan::form::coved_ball::Expanded;
use rondure_plan::hold::{Band, Failing, HeldCase, HeldLook, Load, Look};
use rondure_plan::plan::{Loads, Plan};
use rondure_plan::units::show_force;
use rondure_solid::{DVec3, Face};
use rondure_stress as stress;

use super::model::{Stuff, directions};
use super::sweep::{Judged, Swept, pushed_at};

/// Forces above this are more than any lathe for small work gives, N.
const BEYOND_REASON: f64 = 50_000.0;
/// Falls above this are not worth a number, mm.
const HIGH: f64 = 20_000.0;

/// All that a look's answer is told from.
pub(super) struct Told<'a> {
    pub plan: &'a Plan,
    pub expanded: &'a Expanded,
    pub look: &'a Look,
    pub edge: f64,
    pub verdicts: &'a [Option<Judged>],
    /// The look with cubes at least twice as large.
    pub before: Option<&'a Swept>,
    pub weight: Option<f64>,
}

/// A look's answer.
pub(super) fn held(told: &Told<'_>) -> HeldLook {
    let (look, process) = (told.look, &told.expanded.process);
    let mut cases: Vec<HeldCase> = look
        .cases
        .iter()
        .enumerate()
        .zip(told.verdicts)
        .filter_map(|((index, _), judged)| Some(case(told, index, judged.as_ref()?)))
        .collect();
    // A fall comes last: its figure leaves out all that softens one, and it is no part of the making.
    cases.sort_by(|a, b| {
        (a.load == Load::Drop)
            .cmp(&(b.load == Load::Drop))
            .then(b.used[1].total_cmp(&a.used[1]))
            .then_with(|| a.id.cmp(&b.id))
    });
    HeldLook {
        id: look.id.clone(),
        piece: process.pieces[look.piece].id.clone(),
        setup: look.setup.clone(),
        number: process.setup(&look.setup).map_or(0, |index| index + 1),
        step: look.step.clone(),
        title: look.title.clone(),
        cases,
        cube_mm: told.edge,
        first_look: told.before.is_none(),
    }
}

fn case(told: &Told<'_>, index: usize, judged: &Judged) -> HeldCase {
    let (plan, look) = (told.plan, told.look);
    let case = &look.cases[index];
    let verdict = &judged.verdict;
    let stands = verdict
        .stands
        .map(|factor| stands(told, case.load, judged, factor));
    let at = verdict.at;
    let thickness = thickness(look, at, told.edge);
    let before = told
        .before
        .and_then(|swept| swept.verdicts.get(index)?.as_ref())
        .map(|judged| judged.verdict.utilisation[1]);
    let mean = verdict.utilisation[1];
    let failing = failing(verdict.kind);
    HeldCase {
        id: format!("{}.{}", look.id, case.load.word()),
        load: case.load,
        says: case.says.clone(),
        way: case.ways[judged.way].says.clone(),
        taken: case.magnitude.value,
        taken_shown: shown(plan, case.load, case.magnitude.value),
        taken_from: case.magnitude.from.to_owned(),
        stands_shown: [stands[0], stands[1]].map(|stands| match stands {
            Some(value) => shown(plan, case.load, value),
            None => "more than it will ever meet".to_owned(),
        }),
        stands,
        used: verdict.utilisation,
        band: match verdict.band {
            stress::Band::Sound => Band::Sound,
            stress::Band::Near => Band::Near,
            stress::Band::Over => Band::Over,
        },
        at: tidy(at),
        direction: tidy(direction(told, at, verdict)),
        failing,
        place: place(look, at),
        thickness_mm: thickness,
        cubes_through: thickness / told.edge,
        // With large cubes alone nothing is known of the error; three cubes through a rib may be a quarter off.
        error: before.map_or(0.5, |before| {
            if mean > 0.0 {
                (mean - before).abs() / mean
            } else {
                0.0
            }
        }),
        pushed_at: tidy(pushed_at(&case.ways[judged.way])),
    }
}

/// What the wood stands, N or mm, from the factor on the load as taken.
fn stands(told: &Told<'_>, load: Load, judged: &Judged, factor: f64) -> Option<f64> {
    let newtons = factor * judged.newtons;
    if !newtons.is_finite() {
        return None;
    }
    match load {
        Load::Drop => {
            let height = newtons * newtons * judged.gives / (2.0 * told.weight?);
            (height < HIGH).then_some(height)
        }
        _ => (newtons < BEYOND_REASON).then_some(newtons),
    }
}

/// A load in the turner's units.
pub(super) fn shown(plan: &Plan, load: Load, value: f64) -> String {
    match load {
        Load::Drop => format!("a fall of {}", written(plan, value.round().max(1.0))),
        _ => show_force(value, plan.style),
    }
}

fn failing(kind: stress::Kind) -> Failing {
    match kind {
        stress::Kind::Splitting => Failing::Splitting,
        stress::Kind::Tearing => Failing::Tearing,
        stress::Kind::CrushingAlong => Failing::CrushingAlong,
        stress::Kind::CrushingAcross => Failing::CrushingAcross,
        stress::Kind::Shear => Failing::Shear,
        stress::Kind::RollingShear => Failing::RollingShear,
    }
}

/// The direction in which the wood parts or gives.
fn direction(told: &Told<'_>, at: DVec3, verdict: &stress::Verdict) -> DVec3 {
    let [along, radial, tangential] = directions(told.plan, told.look.piece, at);
    let s = &verdict.stress;
    let larger = |first: f64, second: f64, a: DVec3, b: DVec3| if first >= second { a } else { b };
    match verdict.kind {
        stress::Kind::Tearing | stress::Kind::CrushingAlong => along,
        stress::Kind::Splitting => larger(s[1], s[2], radial, tangential),
        stress::Kind::CrushingAcross => larger(-s[1], -s[2], radial, tangential),
        stress::Kind::Shear => larger(s[3].abs(), s[5].abs(), radial, tangential),
        stress::Kind::RollingShear => radial,
    }
}

/// Wood through a place, mm: the largest ball that fits there or a cube beside it, since the place itself may lie on
/// an edge, where no ball fits.
fn thickness(look: &Look, at: DVec3, edge: f64) -> f64 {
    let solid = &look.state.solid;
    let ways = [
        DVec3::ZERO,
        DVec3::X,
        DVec3::NEG_X,
        DVec3::Y,
        DVec3::NEG_Y,
        DVec3::Z,
        DVec3::NEG_Z,
    ];
    ways.into_iter()
        .map(|way| at + edge * way)
        .filter(|place| solid.depth(*place) > 0.0)
        .map(|place| {
            solid
                .thickness(place)
                .thickness
                .max(2.0 * solid.depth(place))
        })
        .fold(0.0, f64::max)
}

/// Where a place is, by the cuts beside it.
fn place(look: &Look, at: DVec3) -> String {
    let found = look.state.solid.thickness(at);
    let [near, far] = found.faces.map(|face| look.state.name_of(face));
    let outside = |face: Face| face == Face::BLANK;
    if near == far || outside(found.faces[1]) {
        format!("at {near}")
    } else if outside(found.faces[0]) {
        format!("at {far}")
    } else if found.thickness < 0.5 {
        format!("at the edge of {near} and {far}")
    } else {
        format!("between {near} and {far}")
    }
}

/// Negative zeros and digits of noise would only puzzle a reader.
fn tidy(v: DVec3) -> [f64; 3] {
    v.to_array().map(|x| {
        let rounded = (x * 1e4).round() / 1e4;
        if rounded == 0.0 { 0.0 } else { rounded }
    })
}

/// What the answer rests on.
pub(super) fn rests_on(plan: &Plan, stuff: &Stuff) -> Vec<String> {
    let loads = Loads::of(&plan.loads, &plan.rack.loads);
    let force = |value| show_force(value, plan.style);
    let guesses: Vec<String> = [
        ("tail centre", force(loads.tail.value), loads.tail.from),
        ("jaws", force(loads.grip.value), loads.grip.from),
        ("tool", force(loads.cut.value), loads.cut.from),
        ("10 mm bit", force(loads.drill.value), loads.drill.from),
        (
            "sanding a finial",
            force(loads.finial.value),
            loads.finial.from,
        ),
        ("hand", force(loads.hand.value), loads.hand.from),
        ("fall", written(plan, loads.drop.value), loads.drop.from),
    ]
    .into_iter()
    .map(|(what, shown, from)| format!("{what} {shown} ({from})"))
    .collect();
    vec![
        format!("Wood: {}.", stuff.strength.says),
        format!("Stiffness: {}.", stuff.elastic.says),
        format!("Loads as taken: {}. The load it stands does not depend on them.", guesses.join("; ")),
        "Sound: even wood as weak as one tree in twenty stands the load. Near: the wood's mean stands it, the weak end does not. Over: the mean does not.".to_owned(),
        "Clear wood with straight grain as the plan gives it; no knots, no cracks, no run-out, no vibration, no blow of a catch. Stress is averaged over 1 mm of wood or one cube. The dent under a centre, jaw or tool is not judged.".to_owned(),
        "This compares designs and steps. It does not replace a face shield, a low speed, and stopping when something sounds wrong.".to_owned(),
    ]
}
