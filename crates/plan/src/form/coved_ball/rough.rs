//! Set-up "rough": the blank between centres, to a cylinder with a spigot.

use rondure_solid::{DVec3, ProfileError, Region};

use super::stock::{COLLAR, Stock};
use crate::bench::{Bench, TO_KNOW, written};
use crate::caution;
use crate::outline::outside_cylinder;
use crate::plan::{BlankShape, Plan};
use crate::process::{Cut, CutKind, Setup, Step};
use crate::speed::{Work, speed_for};

/// The sides of a square billet, as cuts into the round region that holds it.
pub fn sides(plan: &Plan) -> Vec<Cut> {
    match plan.blank.shape {
        BlankShape::Round => Vec::new(),
        BlankShape::Square => square(plan.blank.across),
    }
}

/// The four sides of a billet of side `across` mm.
pub fn square(across: f64) -> Vec<Cut> {
    [DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y]
        .into_iter()
        .enumerate()
        .map(|(number, normal)| Cut {
            id: format!("blank.side.{}", number + 1),
            name: format!("side {} of the blank", number + 1),
            kind: CutKind::Waste,
            region: Region::beyond(normal, 0.5 * across),
        })
        .collect()
}

/// What the length of the blank is for.
fn allowances(plan: &Plan, stock: &Stock) -> String {
    let ball = plan.ball.diameter;
    let waste = stock.least_length - ball - stock.neck_length - COLLAR - stock.spigot_length;
    let spare = plan.blank.length - stock.least_length;
    let spare = if spare > 0.5 * plan.rack.rule_step {
        format!(", and {} to spare", written(plan, spare))
    } else {
        String::new()
    };
    format!(
        "Of the blank's length {} are ball, {} the neck to saw through, {} the collar that bears on the jaws, {} spigot and {} waste for the tail centre{spare}.",
        written(plan, ball),
        written(plan, stock.neck_length),
        written(plan, COLLAR),
        written(plan, stock.spigot_length),
        written(plan, waste)
    )
}

/// Wood round the pith that checks with it, mm on the radius. Common practice, no source.
pub const HEART: f64 = 2.0;

/// Where the pith is and where it goes.
fn pith_words(plan: &Plan) -> String {
    match plan.blank.pith {
        None => String::new(),
        Some(off) if off < 0.05 => {
            " Set both centres on the pith: it runs down the middle, and the bore takes it out."
                .to_owned()
        }
        Some(off) => format!(
            " The pith runs {} beside the axis, {}.",
            written(plan, off),
            if off + HEART <= 0.5 * plan.bore.diameter {
                "and the bore takes it out"
            } else {
                "where no bore reaches it; mark on both ends where it comes out"
            }
        ),
    }
}

/// How many blanks the branch or board gives. Its two ends are trimmed where they have checked.
fn stock_list(bench: &mut Bench<'_>, plan: &Plan, stock: &Stock) {
    let least = plan.blank.length.max(stock.least_length);
    bench.rule("length", "blank, sawn to", least);
    let Some(from) = plan.blank.from else { return };
    let kerf = plan.rack.saw_kerf;
    let sound = from - 2.0 * END_CHECKS;
    let count = ((sound + kerf) / (least + kerf)).floor().max(0.0);
    let left = (sound - count * (least + kerf)).max(0.0);
    bench.count(
        "blanks",
        &format!(
            "blanks from {}, {} trimmed off each end for checks, {} for each saw cut",
            written(plan, from),
            written(plan, END_CHECKS),
            written(plan, kerf)
        ),
        count as u32,
        TO_KNOW,
        format!("{count}"),
    );
    bench.observed("left", "left over", left, TO_KNOW);
}

/// Sawn off each end of a branch or board for the checks that drying makes, mm: 1 in (woodbarter.com;
/// trade facts 6.10, there for the pith; for ends common practice, no source).
const END_CHECKS: f64 = 25.0;

/// The set-up.
pub fn setup(plan: &Plan, stock: &Stock) -> Result<Setup, ProfileError> {
    let id = "rough";
    let roughing = speed_for(plan, Work::Roughing, stock.reach(plan) * 2.0);
    let mut bench = Bench::new(plan, id, "rough.centres");
    stock_list(&mut bench, plan, stock);
    let centres = Step::new(
        "rough.centres",
        format!(
            "{} Find and prick the centre of both ends: diagonals on a square blank, dividers on a round one.{} Mount between centres, the end with the sounder grain at the headstock.",
            allowances(plan, stock),
            pith_words(plan)
        ),
    )
    .set(bench.done())
    .with("rule, awl")
    .beware(caution::BETWEEN_CENTRES);

    let mut bench = Bench::new(plan, id, "rough.cylinder");
    let rough = bench.calliper("calliper", "rough cylinder", stock.rough);
    let cylinder = Step::new(
        "rough.cylinder",
        format!(
            "Turn the whole blank to a cylinder of {}. It is trued again in the chuck.",
            written(plan, rough)
        ),
    )
    .with("roughing gouge")
    .at(roughing)
    .beware(caution::MEASURE_STOPPED)
    .set(bench.done())
    .remove(
        "rough.cylinder",
        "the rough cylinder",
        CutKind::Waste,
        outside_cylinder(stock.head - 1.0, stock.tail + 1.0, 0.5 * rough)?,
    );

    let mut bench = Bench::new(plan, id, "rough.spigot");
    bench.calliper("calliper", "spigot", stock.spigot);
    let length = bench.rule("length", "spigot's length", stock.spigot_length);
    let jaws = stock
        .jaws
        .as_ref()
        .map_or("the chuck", |jaws| jaws.name.as_str());
    let spigot = Step::new(
        "rough.spigot",
        format!("At the headstock end turn the spigot for {jaws}, with a clean inside corner and a square shoulder that will bear on the jaws' tops."),
    )
    .with("parting tool")
    .at(speed_for(plan, Work::Turning, stock.rough))
    .beware(caution::MEASURE_STOPPED)
    .set(bench.done())
    .remove(
        "rough.spigot",
        "the spigot's shoulder",
        CutKind::Waste,
        outside_cylinder(stock.head - 1.0, stock.head + length, 0.5 * stock.spigot)?,
    );

    Ok(Setup {
        id: id.to_owned(),
        piece: super::BALL,
        title: "Rough the blank between centres".to_owned(),
        holding: "Between a drive centre and the tail centre, on the blank's own axis.".to_owned(),
        steps: vec![centres, cylinder, spigot],
    })
}
