//! Set-up "pierce": the holes at the bottoms of the coves, opposite ones in turn.
//!
//! It comes last: no centre needs the wood any more, and each hole weakens the
//! ball for what follows. Every hole follows its marker hole and takes it out.

use rondure_solid::ProfileError;

use super::layout::Layout;
use super::mountings::cove_place;
use crate::bench::{Bench, TO_KNOW, bit_name, written};
use crate::caution;
use crate::plan::Plan;
use crate::process::{CutKind, Setup, Step};
use crate::rack::BitKind;

/// Bits that pierce end grain and side grain clean, the first of them the rack has.
pub const PIERCE_KINDS: [BitKind; 3] = [BitKind::Forstner, BitKind::BradPoint, BitKind::Twist];

/// How far the bit goes into the bore, mm, so that no skin stays. Common practice, no source.
pub const PAST_BORE: f64 = 1.0;
/// Rows of the table of what stays between holes.
const ROWS: u32 = 4;

/// Depth of a hole from the cove's bottom into the bore, mm.
pub fn depth(layout: &Layout) -> f64 {
    layout.bottom_radius - layout.bore_radius
}

/// Wood between neighbouring holes, 2 ρ sin(δ/2) − 2h, from the coves' bottom inwards to where they
/// run together or the bore begins.
fn between(bench: &mut Bench<'_>, plan: &Plan, layout: &Layout, hole: f64) {
    let half = (0.5 * layout.pitch()).sin();
    let inmost = (hole / half).max(layout.bore_radius);
    for row in 0..=ROWS {
        let share = f64::from(row) / f64::from(ROWS);
        let out = layout.bottom_radius + share * (inmost - layout.bottom_radius);
        let wood = (2.0 * out * half - 2.0 * hole).max(0.0);
        let place = written(plan, out);
        let label = if row == 0 {
            format!("wood between neighbouring holes at the coves' bottom, {place} from the axis")
        } else if row == ROWS && inmost > layout.bore_radius {
            format!("wood between neighbouring holes {place} from the axis: here they run together")
        } else {
            format!("wood between neighbouring holes {place} from the axis")
        };
        bench.observed(&format!("between.{}", row + 1), &label, wood, TO_KNOW);
    }
}

/// The set-up; none where nothing is pierced.
pub fn setup(plan: &Plan, layout: &Layout) -> Result<Option<Setup>, ProfileError> {
    let Some(radius) = layout.pierce_radius else {
        return Ok(None);
    };
    let id = "pierce";
    let diameter = 2.0 * radius;
    let mut steps = Vec::new();
    for j in 0..layout.mountings() {
        let number = j + 1;
        let step = format!("pierce.{number}");
        let (first, second) = (cove_place(layout, j, true), cove_place(layout, j, false));
        let mut bench = Bench::new(plan, id, &step);
        bench.bit("bit", "pierced holes", diameter, &PIERCE_KINDS);
        bench.stop(
            "stop",
            "depth stop, from the cove's bottom into the bore",
            depth(layout) + PAST_BORE,
        );
        if j == 0 {
            between(&mut bench, plan, layout, radius);
        }
        steps.push(
            Step::new(
                step,
                format!("In cove {number} drill the two opposite holes, at {first} and at {second}, each from outside into the bore, on its marker hole and straight at the centre."),
            )
            .with(bit_name(plan, diameter, &PIERCE_KINDS))
            .beware(caution::HAND_DRILL)
            .beware(caution::THIN)
            .set(bench.done())
            .remove(format!("pierce.{number}.a"), format!("the hole at {first}"), CutKind::Pierce, layout.pierced(layout.towards_cove(j, true), radius)?)
            .remove(format!("pierce.{number}.b"), format!("the hole at {second}"), CutKind::Pierce, layout.pierced(layout.towards_cove(j, false), radius)?),
        );
    }
    Ok(Some(Setup {
        id: id.to_owned(),
        piece: super::BALL,
        title: format!("Pierce the {} holes", layout.marks),
        holding: format!(
            "On the wooden pin of {} in the chuck, through the bore, index pin in, each hole brought to the front in turn; the bit goes through the pin too, so make it of soft waste.",
            written(plan, plan.bore.diameter)
        ),
        steps,
    }))
}
