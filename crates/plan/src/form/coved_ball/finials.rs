//! Set-ups of the finials, and the assembly.
//!
//! A finial is turned tip first, root last, so that every shape is cut while
//! the wood behind it is still thick. Each step's region holds the steps before
//! it. Frame: station 0 at the shoulder, the tip towards +z, the headstock
//! towards −z.

use rondure_solid::{DVec3, Profile, ProfileError, Region};

use super::finial_outline::{Laid, outside, outside_all, radius_at};
use super::layout::Layout;
use super::rough::square;
use super::whip;
use crate::bench::{Bench, TO_KNOW, bit_name, settable, trimmed, written};
use crate::caution;
use crate::fits::{Fits, fits};
use crate::outline::outside_cylinder;
use crate::plan::{Finial, FinialPart, Hanger, Plan};
use crate::process::{CutKind, Piece, Setup, Step};
use crate::rack::BitKind;
use crate::speed::{Work, speed_for};

/// Bits for the hanger's pilot, the first of them the rack has.
pub const HANGER_KINDS: [BitKind; 2] = [BitKind::Twist, BitKind::BradPoint];
/// Wood gripped in the jaws behind a finial, mm. Common practice, no source.
pub const GRIP: f64 = 20.0;
/// Wood between jaws and tenon for parting, mm. Common practice, no source.
pub const PARTING_ROOM: f64 = 6.0;
/// Waste at the tip for the tail centre, mm. Common practice, no source.
pub const TIP_WASTE: f64 = 4.0;
/// How much wider than its widest shape a finial is roughed, mm. Common practice, no source.
const ROUGH_OVER: f64 = 1.0;

/// Which finial.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Points up and hangs.
    Top,
    /// Points down.
    Bottom,
}

impl End {
    /// The word in identifiers and plans.
    pub fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Bottom => "bottom",
        }
    }

    /// The finial of a plan at this end.
    pub fn of(self, plan: &Plan) -> Option<&Finial> {
        match self {
            Self::Top => plan.finials.top.as_ref(),
            Self::Bottom => plan.finials.bottom.as_ref(),
        }
    }
}

/// Diameter of the tenons as set, mm: the bore less the glue gap, rounded down so that it enters.
pub fn tenon(plan: &Plan) -> f64 {
    let exact = plan.bore.diameter - plan.finials.glue_gap;
    let step = plan.rack.calliper_step;
    let set = settable(plan, exact, step);
    if set > exact + 1e-9 {
        settable(plan, set - step.max(plan.style.step_mm()), step)
    } else {
        set
    }
}

/// Least length of a finial's blank, mm.
pub fn blank_length(finial: &Finial, laid: &[Laid]) -> f64 {
    let tip = laid.last().map_or(0.0, |shape| shape.to.x);
    GRIP + PARTING_ROOM + finial.tenon_length + tip + TIP_WASTE
}

/// Diameter to which a finial is roughed, mm.
pub fn rough_diameter(plan: &Plan, laid: &[Laid]) -> f64 {
    let widest = laid
        .iter()
        .map(|shape| shape.widest)
        .fold(0.5 * tenon(plan), f64::max);
    settable(plan, 2.0 * widest + ROUGH_OVER, plan.rack.calliper_step)
}

/// Thinnest wood round a hanger's hole over its depth, mm on the radius; the rounding of the very tip
/// is left out.
pub fn hanger_wall(hanger: Hanger, laid: &[Laid]) -> f64 {
    let tip = laid.last().map_or(0.0, |shape| shape.to.x);
    let thinnest = (0..=40)
        .map(|part| tip - hanger.depth * (0.1 + 0.9 * f64::from(part) / 40.0))
        .map(|station| radius_at(laid, station))
        .fold(f64::INFINITY, f64::min);
    thinnest - 0.5 * hanger.diameter
}

/// Radius of a finial's tip, mm: of its last ball, or half of what its last shape ends at.
pub fn tip_radius(finial: &Finial, laid: &[Laid]) -> Option<f64> {
    match finial.shape.last()? {
        FinialPart::Ball { diameter } => Some(0.5 * diameter),
        _ => Some(laid.last()?.to.y),
    }
}

/// How much the bore's rim stands above what the shoulder's rim will bear on, mm: a shoulder
/// hollowed by this touches the ridges with its outer edge alone. None where it would hang in air.
pub fn undercut(layout: &Layout, laid: &[Laid]) -> Option<f64> {
    let shoulder = laid.first()?.from.y;
    let (rim, edge) = (layout.ridge(layout.bore_radius)?, layout.ridge(shoulder)?);
    (shoulder > layout.bore_radius).then(|| (rim - edge).max(0.0))
}

/// Proportions, as guidance: largest to smallest about three to one (woodcentral.com 59678; trade
/// facts 5.1), parts by the golden section (australianburls.com FinialTips; trade facts 5.2).
fn guidance(bench: &mut Bench<'_>, laid: &[Laid]) {
    let tip = laid.last().map_or(0.0, |shape| shape.to.x);
    let widest = laid.iter().map(|shape| shape.widest).fold(0.0, f64::max);
    let thinnest = laid
        .iter()
        .take(laid.len().saturating_sub(1))
        .map(|shape| shape.to.y)
        .fold(widest, f64::min);
    bench.number(
        "guide.ratio",
        "widest over thinnest; as guidance, about 3 looks well",
        widest / thinnest,
        "ratio",
        1,
        TO_KNOW,
    );
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    bench.observed(
        "guide.golden",
        "from the shoulder to the golden section; as guidance, a part may end there",
        (1.0 - golden) * tip,
        TO_KNOW,
    );
}

/// The finial as a piece.
pub fn piece(plan: &Plan, end: End, finial: &Finial, laid: &[Laid]) -> Result<Piece, ProfileError> {
    let length = blank_length(finial, laid);
    let head = -(GRIP + PARTING_ROOM + finial.tenon_length);
    let across = finial.blank_across;
    let reach = across * std::f64::consts::FRAC_1_SQRT_2;
    Ok(Piece {
        id: format!("finial.{}", end.word()),
        name: format!("{} finial", end.word()),
        blank_says: format!(
            "{} square, {} long",
            written(plan, across),
            written(plan, length)
        ),
        blank: Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::cylinder(head, head + length, reach)?,
        ),
        sides: square(across),
    })
}

/// The set-up that turns it.
pub fn setup(
    plan: &Plan,
    index: usize,
    end: End,
    finial: &Finial,
    laid: &[Laid],
    layout: &Layout,
) -> Result<Setup, ProfileError> {
    let id = format!("finial.{}", end.word());
    let rough = rough_diameter(plan, laid);
    let turning = speed_for(plan, Work::Turning, rough);
    let tenon_room = finial.tenon_length + PARTING_ROOM;
    let tip = laid.last().map_or(0.0, |shape| shape.to.x);

    let mut bench = Bench::new(plan, &id, &format!("{id}.rough"));
    bench.calliper("calliper", "rough cylinder", rough);
    guidance(&mut bench, laid);
    let mut steps = vec![
        Step::new(format!("{id}.rough"), "Grip one end in the jaws, bring the tail centre up to the other, and turn all that stands out to a cylinder.")
            .with("roughing gouge")
            .at(speed_for(plan, Work::Roughing, finial.blank_across * std::f64::consts::SQRT_2))
            .beware(caution::MEASURE_STOPPED)
            .set(bench.done())
            .remove(format!("{id}.rough"), "the rough cylinder", CutKind::Waste, outside_cylinder(-tenon_room, tip + TIP_WASTE + 1.0, 0.5 * rough)?),
    ];

    if let Some(hanger) = finial.hanger {
        let mut bench = Bench::new(plan, &id, &format!("{id}.hanger"));
        bench.bit(
            "bit",
            "pilot hole for the hanger",
            hanger.diameter,
            &HANGER_KINDS,
        );
        let set = bench.stop(
            "stop",
            "depth stop, from the blank's end",
            hanger.depth + TIP_WASTE,
        );
        bench.fine(
            "wall",
            "wood left round it at the thinnest",
            hanger_wall(hanger, laid),
            TO_KNOW,
        );
        steps.push(
            Step::new(format!("{id}.hanger"), "Drill the hanger's hole from the tailstock now, while the wood round it is thick; then bring the tail centre back into it.")
                .with(bit_name(plan, hanger.diameter, &HANGER_KINDS))
                .at(speed_for(plan, Work::Drilling, hanger.diameter))
                .beware(caution::BORING)
                .set(bench.done())
                .remove(
                    format!("{id}.hanger"),
                    "the hanger's hole",
                    CutKind::Hanger,
                    Region::revolved(DVec3::ZERO, DVec3::Z, Profile::cylinder(tip + TIP_WASTE - set, tip + 1000.0, 0.5 * hanger.diameter)?),
                ),
        );
    }

    let mut before = Vec::<String>::new();
    for (number, shape) in laid.iter().enumerate().rev() {
        let cut = format!("{id}.shape.{}", number + 1);
        let region = outside(laid, number)?;
        steps.push(
            shape_step(plan, &id, number, shape)
                .at(turning)
                .remove(
                    &cut,
                    format!("the {} of the {} finial", shape.name, end.word()),
                    CutKind::Outline,
                    region,
                )
                .in_place_of(std::mem::replace(&mut before, vec![cut])),
        );
    }

    let tenon = tenon(plan);
    let mut bench = Bench::new(plan, &id, &format!("{id}.tenon"));
    bench.calliper("calliper", "tenon", tenon);
    bench.rule("length", "tenon's length", finial.tenon_length);
    if let Some(hollow) = undercut(layout, laid) {
        bench.fine(
            "undercut",
            "hollow the shoulder by this at the tenon, so that its rim alone bears",
            hollow,
            "straight edge",
        );
    }
    let cut = format!("{id}.tenon");
    steps.push(
        Step::new(format!("{id}.tenon"), "Turn the tenon, trying it in the ball's bore: it enters without force and without a rattle. Undercut the shoulder a little so that its rim meets the ball.")
            .with("parting tool, callipers")
            .at(turning)
            .beware(caution::MEASURE_STOPPED)
            .set(bench.done())
            .remove(&cut, format!("the tenon of the {} finial", end.word()), CutKind::Outline, outside_all(laid, 0.5 * tenon, finial.tenon_length, false)?)
            .in_place_of(std::mem::replace(&mut before, vec![cut])),
    );
    let mut bench = Bench::new(plan, &id, &format!("{id}.part"));
    if let Some(whip) =
        whip::of(plan, finial, laid).filter(|whip| whip.slenderness >= whip::SLENDER)
    {
        bench.fine(
            "bend",
            &format!(
                "the tip gives way now under a side push of {} N, the weight of 100 g",
                whip::SIDE_PUSH
            ),
            whip.bend,
            TO_KNOW,
        );
        bench.number(
            "swing",
            &format!(
                "its own swing; the lathe turns up to {} times a second",
                trimmed(turning.to / 60.0, 0)
            ),
            whip.frequency,
            "Hz",
            0,
            TO_KNOW,
        );
        bench.number("slender", &format!("times as long as its thinnest place is thick (a spindle between centres begins to bow from {})", whip::BOWS), whip.slenderness, "ratio", 1, TO_KNOW);
    }
    steps.push(
        Step::new(
            format!("{id}.part"),
            "Sand and finish, then part off behind the tenon: thin it, stop the lathe and saw.",
        )
        .with("parting tool, fine saw")
        .at(turning)
        .beware(caution::PARTING)
        .set(bench.done())
        .remove(
            format!("{id}.part"),
            format!("the outline of the {} finial", end.word()),
            CutKind::Outline,
            outside_all(laid, 0.5 * tenon, finial.tenon_length, true)?,
        )
        .in_place_of(before)
        .in_place_of([
            format!("{id}.rough"),
            "blank.side.1".into(),
            "blank.side.2".into(),
            "blank.side.3".into(),
            "blank.side.4".into(),
        ]),
    );

    let jaws = plan
        .rack
        .jaws_for_spigot(finial.blank_across)
        .map_or("the chuck", |jaws| jaws.name.as_str());
    Ok(Setup {
        piece: index,
        title: format!("Turn the {} finial", end.word()),
        holding: format!("The square blank in {jaws}, tail centre up until the tip is cut."),
        steps,
        id,
    })
}

fn shape_step(plan: &Plan, id: &str, number: usize, shape: &Laid) -> Step {
    let step = format!("{id}.shape.{}", number + 1);
    let mut bench = Bench::new(plan, id, &step);
    bench.rule("from", "begins, from the shoulder", shape.from.x);
    bench.rule("to", "ends, from the shoulder", shape.to.x);
    bench.calliper("root", "diameter where it begins", 2.0 * shape.from.y);
    if shape.widest > shape.from.y.max(shape.to.y) {
        bench.calliper("widest", "widest diameter", 2.0 * shape.widest);
    }
    if shape.to.y > 0.0 {
        bench.calliper("tip", "diameter where it ends", 2.0 * shape.to.y);
    }
    Step::new(
        step,
        format!(
            "Cut and finish the {}, from the tip side towards the root.",
            shape.name
        ),
    )
    .with("spindle gouge")
    .beware(caution::SLENDER)
    .set(bench.done())
}

/// What the wood will do where the piece lives.
fn home(plan: &Plan, fits: &Fits) -> Step {
    let mut bench = Bench::new(plan, "assembly", "assembly.home");
    bench.fine(
        "bore.across",
        "bore then, across the growth rings",
        fits.bore.across_rings,
        TO_KNOW,
    );
    bench.fine(
        "bore.along",
        "bore then, along the growth rings",
        fits.bore.along_rings,
        TO_KNOW,
    );
    bench.fine(
        "tenon.across",
        "tenon then, across the growth rings",
        fits.tenon.across_rings,
        TO_KNOW,
    );
    bench.fine(
        "tenon.along",
        "tenon then, along the growth rings",
        fits.tenon.along_rings,
        TO_KNOW,
    );
    bench.fine(
        "slack.least",
        "slack then at the least, rings of tenon and bore crossed; below 0 it wedges",
        fits.slack_least,
        TO_KNOW,
    );
    bench.fine(
        "slack.most",
        "slack then at the most",
        fits.slack_most,
        TO_KNOW,
    );
    bench.fine(
        "tenon.then",
        "largest tenon, turned today, that still enters then",
        fits.tenon_then,
        TO_KNOW,
    );
    bench.fine(
        "ball.across",
        "ball then, across the growth rings",
        fits.ball.across_rings,
        TO_KNOW,
    );
    bench.fine(
        "ball.along",
        "ball then, along the growth rings",
        fits.ball.along_rings,
        TO_KNOW,
    );
    Step::new(
        "assembly.home",
        format!(
            "Nothing to do here, but to know: from {} % when turned the wood comes to {} % where it will live. Set the finials with their growth rings the way of the ball's, and both move alike.",
            trimmed(fits.from, 1), trimmed(fits.to, 1)
        ),
    )
    .set(bench.done())
}

/// The assembly.
pub fn assembly(plan: &Plan, layout: &Layout) -> Setup {
    let id = "assembly";
    let mut bench = Bench::new(plan, id, "assembly.dry");
    if let (Some(high), Some(low)) = (layout.ridge(layout.bore_radius), layout.rim_low()) {
        bench.rule(
            "rim",
            "how much the bore's rim rises and falls under the shoulder",
            high - low,
        );
        for quarter in 1..=4 {
            let beside = 0.5 * layout.pitch() * (1.0 - 0.25 * f64::from(quarter));
            if let Some(rim) = layout.rim_at(beside) {
                let label = match quarter {
                    2 => {
                        "gap under a flat shoulder half way from a ridge to the middle of the cove"
                            .to_owned()
                    }
                    4 => "gap under a flat shoulder at the middle of the cove".to_owned(),
                    _ => format!(
                        "gap under a flat shoulder {quarter}/4 of the way from a ridge to the middle of the cove"
                    ),
                };
                bench.fine(&format!("gap.{quarter}"), &label, high - rim, TO_KNOW);
            }
        }
    }
    let dry = Step::new(
        "assembly.dry",
        "Push the finials in dry. The bore's rim is uneven: the shoulder meets it only on the ridges. Turn each finial until it stands straight from all sides, and mark where it sat.",
    )
    .set(bench.done());
    let mut bench = Bench::new(plan, id, "assembly.glue");
    bench.calliper(
        "gap",
        "slack of tenon in bore, over the diameter",
        plan.bore.diameter - tenon(plan),
    );
    let glue = Step::new(
        "assembly.glue",
        "Put glue in the bore, not on the tenon, so that none is pushed out under the shoulder. Set each finial to its mark, straighten, and leave it standing until the glue has set.",
    )
    .with("glue")
    .beware(caution::GLUE)
    .set(bench.done());
    let mut steps = vec![dry, glue];
    steps.extend(fits(plan).map(|fits| home(plan, &fits)));
    if plan
        .finials
        .top
        .as_ref()
        .is_some_and(|top| top.hanger.is_some())
    {
        steps.push(Step::new(
            "assembly.hang",
            "Screw the hanger in by hand with a little wax; do not force it, thin tops split.",
        ));
    }
    Setup {
        id: id.to_owned(),
        piece: super::BALL,
        title: "Put it together".to_owned(),
        holding: "In the hand.".to_owned(),
        steps,
    }
}
