//! Set-ups "ball" and "second-end": round it, mark it, bore it from both ends.

use rondure_solid::{DVec3, Profile, ProfileError, Region};

use super::layout::Layout;
use super::stock::{Stock, TAIL_WASTE};
use crate::bench::{Bench, TO_KNOW, bit_name, written};
use crate::caution;
use crate::facets::{Stage, ladder};
use crate::findings::MOST_OVERHANG;
use crate::outline::{outside_ball, outside_cylinder, outside_facets};
use crate::plan::Plan;
use crate::process::{CutKind, Setup, Step};
use crate::rack::BitKind;
use crate::speed::{Work, speed_for};

/// How far each half of the bore goes past the middle, mm, so that the halves surely meet.
/// Common practice, no source.
const PAST_MIDDLE: f64 = 3.0;
/// Bits that bore end grain clean at this size, the first of them the rack has.
pub const BORE_KINDS: [BitKind; 3] = [BitKind::Forstner, BitKind::BradPoint, BitKind::Twist];
/// Stations beyond any blank, mm.
const BEYOND: f64 = 10_000.0;

/// Depth of the first half of the bore below the stub's face, mm.
pub fn first_bore_depth(layout: &Layout) -> f64 {
    TAIL_WASTE + layout.radius + PAST_MIDDLE
}

/// The set-up in the chuck.
pub fn setup(plan: &Plan, layout: &Layout, stock: &Stock) -> Result<Setup, ProfileError> {
    let id = "ball";
    let diameter = 2.0 * layout.radius;
    let turning = speed_for(plan, Work::Turning, diameter);
    let stubs = stock.stubs(layout.radius);
    let stages = ladder(diameter, plan.ball.facets);

    let mut bench = Bench::new(plan, id, "ball.cylinder");
    bench.calliper("calliper", "true cylinder", diameter);
    bench.observed(
        "overhang",
        &format!(
            "stands out of the jaws; a spigot this thick carries {} without the tail centre",
            written(plan, MOST_OVERHANG * stock.spigot)
        ),
        stock.overhang(),
        TO_KNOW,
    );
    let cylinder = Step::new(
        "ball.cylinder",
        format!(
            "True the cylinder to {}, the ball's diameter, right up to the collar.",
            written(plan, diameter)
        ),
    )
    .with("spindle gouge or skew")
    .at(turning)
    .beware(caution::MEASURE_STOPPED)
    .set(bench.done())
    .remove(
        "ball.cylinder",
        "the true cylinder",
        CutKind::Ball,
        outside_cylinder(stubs.head_from, stubs.tail_to, layout.radius)?,
    );

    let mut bench = Bench::new(plan, id, "ball.length");
    bench.rule(
        "tail",
        "from the tail end in to the ball's end",
        stock.tail - layout.radius,
    );
    bench.rule(
        "middle",
        "from the ball's tail end to its middle line",
        layout.radius,
    );
    bench.rule("head", "from the ball's tail end to its head end", diameter);
    bench.calliper("stub", "stub left at the tail end", 2.0 * stock.stub);
    bench.calliper("neck", "neck left at the head end", 2.0 * stock.neck);
    let length = Step::new(
        "ball.length",
        "Mark the tail end of the ball, its middle line and its head end: as long as it is thick. Part down outside both ends to the stub and the neck. The middle line stays until the coves take it.",
    )
    .with("rule, pencil, parting tool")
    .at(turning)
    .beware(caution::MEASURE_STOPPED)
    .set(bench.done())
    .remove("ball.neck", "the groove beside the neck", CutKind::Ball, outside_cylinder(stubs.head_from, -layout.radius, stock.neck)?)
    .remove("ball.stub", "the groove beside the stub", CutKind::Ball, outside_cylinder(layout.radius, stubs.tail_to, stock.stub)?);

    let mut steps = vec![cylinder, length];
    let mut before = vec![
        "ball.cylinder".to_owned(),
        "ball.neck".to_owned(),
        "ball.stub".to_owned(),
    ];
    for stage in &stages {
        let cut = format!("ball.facets.{}", stage.sides);
        steps.push(
            facets(plan, stage)
                .at(turning)
                .remove(
                    &cut,
                    format!("the {} facets", stage.sides),
                    CutKind::Ball,
                    outside_facets(layout.radius, stage, stubs)?,
                )
                .in_place_of(std::mem::replace(&mut before, vec![cut])),
        );
    }

    let above = stages.last().map_or(0.0, |stage| stage.above);
    let mut bench = Bench::new(plan, id, "ball.round");
    bench.calliper("calliper", "ball, every way you can reach", diameter);
    bench.calliper(
        "ring",
        "bore of the test ring, about half the ball",
        0.5 * diameter,
    );
    steps.push(
        Step::new(
            "ball.round",
            format!("Take the corners off, {} of wood on the radius at most, and never cut the middles of the facets: they are the finished ball. A ring with a square end touches all round wherever you lay it; light or rocking shows a high spot.", written(plan, above)),
        )
        .with("spindle gouge, test ring")
        .at(turning)
        .beware(caution::MEASURE_STOPPED)
        .set(bench.done())
        .remove("ball.round", "the ball's surface", CutKind::Ball, outside_ball(layout.radius, stubs)?)
        .in_place_of(before),
    );

    steps.push(index_marks(plan, layout));

    let depth = first_bore_depth(layout);
    let mut bench = Bench::new(plan, id, "ball.bore");
    bench.bit("bit", "bore", plan.bore.diameter, &BORE_KINDS);
    let set = bench.stop("stop", "depth stop, from the stub's face", depth);
    steps.push(
        Step::new(
            "ball.bore",
            "Draw the tail centre away. Bore from the tail end past the middle, straight down the axis; the stub goes with it.",
        )
        .with(bit_name(plan, plan.bore.diameter, &BORE_KINDS))
        .at(speed_for(plan, Work::Drilling, plan.bore.diameter))
        .beware(caution::BORING)
        .set(bench.done())
        .remove("bore.first", "the first half of the bore", CutKind::Bore, bore(stock.tail - set, BEYOND, layout.bore_radius)?),
    );

    steps.push(
        Step::new(
            "ball.part",
            format!(
                "Thin the neck close to the collar, stop the lathe and saw the ball off. {}",
                if stock.neck <= layout.bore_radius {
                    "Spigot and collar stay on the waste, and the second bore takes the neck's stump: no trace of the holding is left."
                } else {
                    "Spigot and collar stay on the waste; the neck's stump is thicker than the bore and is turned away at the end of the next set-up."
                }
            ),
        )
        .with("parting tool, fine saw")
        .at(turning)
        .beware(caution::PARTING)
        .remove(
            "ball.part",
            "the sawn neck",
            CutKind::Waste,
            Region::beyond(DVec3::NEG_Z, stock.sawn),
        ),
    );

    let jaws = stock
        .jaws
        .as_ref()
        .map_or_else(|| "the chuck".to_owned(), |jaws| jaws.name.clone());
    Ok(Setup {
        id: id.to_owned(),
        piece: super::BALL,
        title: "Round, mark and bore the ball".to_owned(),
        holding: format!(
            "In {jaws} on the spigot of {}, shoulder hard against the jaws' tops, tail centre up.",
            written(plan, stock.spigot)
        ),
        steps,
    })
}

fn facets(plan: &Plan, stage: &Stage) -> Step {
    let step = format!("ball.facets.{}", stage.sides);
    let mut bench = Bench::new(plan, "ball", &step);
    let where_from = if stage.sides == 8 {
        bench.rule(
            "mark",
            "mark in from each corner, along the wall and along the end",
            stage.mark,
        );
        "Mark in from both corners along the wall and along the end faces, and turn straight from mark to mark."
    } else {
        bench.rule(
            "mark",
            "mark each side of every corner, measured along the facet",
            stage.mark,
        );
        "Mark each side of every corner, measured along the facets and not along the lathe, and turn straight from mark to mark."
    };
    for (number, corner) in stage
        .corners
        .iter()
        .enumerate()
        .filter(|(_, corner)| corner.from_end > 1e-9)
    {
        bench.rule(
            &format!("corner.{}.station", number + 1),
            &format!("corner {}: from either end", number + 1),
            corner.from_end,
        );
        bench.calliper(
            &format!("corner.{}.calliper", number + 1),
            &format!("corner {}: diameter", number + 1),
            corner.diameter,
        );
    }
    Step::new(
        step,
        format!(
            "{} sides. {where_from} The corners then stand {} above the ball.",
            stage.sides,
            written(plan, stage.above)
        ),
    )
    .with("spindle gouge")
    .beware(caution::MEASURE_STOPPED)
    .set(bench.done())
}

fn index_marks(plan: &Plan, layout: &Layout) -> Step {
    let count = layout.marks;
    let mut bench = Bench::new(plan, "ball", "ball.marks");
    let mut list = String::new();
    let tool = match plan.rack.index_for(count) {
        Some(choice) => {
            let every = choice.every;
            bench.count(
                "index",
                &format!("hole of the ring, for {count} marks"),
                every,
                &format!("index head ({} holes)", choice.holes),
                format!("every {}", ordinal(every)),
            );
            list = tick_off((0..count).map(|mark| mark * every));
            if count % 4 == 2 {
                list.push_str(&between(choice.every));
            }
            format!("index head ({} holes), pencil", choice.holes)
        }
        None => {
            if let Some(near) = plan.rack.nearest_holes(count) {
                let miss = bench.rule(
                    "error",
                    &format!(
                        "most that a mark misses by on the nearest holes of the {}-hole ring",
                        near.holes
                    ),
                    std::f64::consts::TAU * layout.radius * near.error,
                );
                list = format!(
                    " Where {} may be seen, use the strip; else the nearest holes of the {}-hole ring.{}",
                    written(plan, miss),
                    near.holes,
                    tick_off(near.at.into_iter())
                );
            }
            "printed strip, awl, index head, pencil".to_owned()
        }
    };
    bench.dividers(
        "chord",
        "straight from mark to mark, to check",
        2.0 * layout.radius * (0.5 * layout.pitch()).sin(),
    );
    bench.template(
        "strip",
        "paper strip once round",
        std::f64::consts::TAU * layout.radius,
    );
    Step::new(
        "ball.marks",
        format!(
            "On the middle line make {count} marks with the index head and number them 1 to {count}, always the same way round, seen from the tail end anticlockwise.{list} Prick each with an awl. Number both sides of the line, so that the numbers survive turning the ball end for end."
        ),
    )
    .with(tool)
    .beware(caution::INDEX_PIN)
    .set(bench.done())
}

/// Holes in the order of the marks, to tick off one by one.
fn tick_off(holes: impl Iterator<Item = u32>) -> String {
    let holes: Vec<String> = holes.map(|hole| hole.to_string()).collect();
    format!(
        " Count holes from the one where mark 1 is, 0, and tick off: {}.",
        holes.join(", ")
    )
}

/// Where the coves' middles lie when they fall between marks.
fn between(every: u32) -> String {
    if every.is_multiple_of(2) {
        format!(
            " The coves' middles lie half way between marks, {} holes on from each: prick those too, without a number.",
            every / 2
        )
    } else {
        " The coves' middles lie half way between marks, between two holes: halve them with the dividers and prick those too, without a number.".to_owned()
    }
}

/// "1st", "2nd", "3rd", "4th" …
pub fn ordinal(number: u32) -> String {
    let suffix = match (number % 10, number % 100) {
        (1, last) if last != 11 => "st",
        (2, last) if last != 12 => "nd",
        (3, last) if last != 13 => "rd",
        _ => "th",
    };
    format!("{number}{suffix}")
}

/// The set-up with the ball turned end for end.
pub fn second_end(plan: &Plan, layout: &Layout, stock: &Stock) -> Result<Setup, ProfileError> {
    let id = "second-end";
    let turning = speed_for(plan, Work::Turning, 2.0 * layout.radius);
    let mut bench = Bench::new(plan, id, "second-end.pin");
    bench.calliper(
        "calliper",
        "pin, a push fit in the bore",
        plan.bore.diameter,
    );
    bench.rule("length", "pin's length", 0.6 * layout.radius);
    let pin = Step::new(
        "second-end.pin",
        "In waste wood in the chuck turn a pin that the bore pushes on to without a rattle, with a hollowed face behind it that touches the ball in a ring. Push the ball on, bored end first, and bring the tail centre up to the neck's centre.",
    )
    .with("spindle gouge, callipers")
    .at(turning)
    .beware(caution::MEASURE_STOPPED)
    .set(bench.done());

    let mut bench = Bench::new(plan, id, "second-end.bore");
    bench.bit("bit", "bore", plan.bore.diameter, &BORE_KINDS);
    bench.stop("stop", "depth stop, from the sawn face", stock.sawn);
    let through = Step::new(
        "second-end.bore",
        "Draw the tail centre away and bore until you break into the first half, feeding gently at the end. The pin must stop short of the bit.",
    )
    .with(bit_name(plan, plan.bore.diameter, &BORE_KINDS))
    .at(speed_for(plan, Work::Drilling, plan.bore.diameter))
    .beware(caution::BORING)
    .set(bench.done())
    .remove("bore", "the bore", CutKind::Bore, bore(-BEYOND, BEYOND, layout.bore_radius)?)
    .in_place_of(["bore.first"]);

    let clean = crate::outline::Stubs {
        head: 0.0,
        head_from: -BEYOND,
        tail: 0.0,
        tail_to: BEYOND,
    };
    let pole = Step::new(
        "second-end.pole",
        "Take away whatever is left of the neck and finish this end of the ball to the ring.",
    )
    .with("spindle gouge, test ring")
    .at(turning)
    .remove(
        "ball",
        "the ball's surface",
        CutKind::Ball,
        outside_ball(layout.radius, clean)?,
    )
    .in_place_of(["ball.round", "ball.part", "rough.cylinder", "rough.spigot"]);

    Ok(Setup {
        id: id.to_owned(),
        piece: super::BALL,
        title: "Bore the second end".to_owned(),
        holding: "Turned end for end on a wooden pin in the chuck that fits the bore, tail centre up until the bit goes in.".to_owned(),
        steps: vec![pin, through, pole],
    })
}

fn bore(from: f64, to: f64, radius: f64) -> Result<Region, ProfileError> {
    Ok(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::cylinder(from, to, radius)?,
    ))
}

#[cfg(test)]
mod tests {
    use super::ordinal;

    #[test]
    fn ordinals_are_english() {
        let words: Vec<String> = [1, 2, 3, 4, 11, 12, 13, 21, 22, 101, 111]
            .map(ordinal)
            .into();
        assert_eq!(
            words,
            [
                "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "101st",
                "111th"
            ]
        );
    }
}
