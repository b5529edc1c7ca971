//! The order of the mountings: which works best, and why.
//!
//! What a mounting meets depends on which coves are cut before it, not on their order among
//! themselves. And the ball is a body of revolution until the first cove: turned by one mark or
//! seen in a mirror it meets the same. So each set of earlier coves is looked at once, on the true
//! solid (`wood`), and an order is the sum of what its mountings meet.
//!
//! Orders are compared by, in turn: whether every centre finds a seat it can bear on; the narrowest
//! seat; the least wood behind a seat (both to a tenth of a millimetre); where stress was solved,
//! the most of the wood's strength that is used; the share of a turn spent in wood, on the mean of
//! the mountings (to a thousandth); the most entries a turn; and at last the order of the numbers,
//! which is easiest to keep. Up to ten mountings every order is compared, but for those that are
//! the same turned or mirrored, so the best is proven; above that, some hundred orders that
//! spread the coves evenly, and the best of these.

mod wood;

use std::collections::BTreeMap;

use serde::Serialize;
use ts_rs::TS;

use crate::bench::written as length_written;
use crate::form::coved_ball::expand;
use crate::plan::Plan;
use crate::rack::CentreKind;
use crate::reader::Problems;
use wood::{Met, Woods};

/// Mountings up to which every order is compared: (10 − 1)!/2 are 181 440 orders of 257 woods.
const EVERY: u32 = 10;
/// Orders that are told, the best first.
const TOLD: usize = 5;

/// The order a plan asks for: mountings by the lower of their marks, from 1.
pub fn planned(plan: &Plan) -> Vec<u32> {
    plan.holding
        .order
        .clone()
        .unwrap_or_else(|| (1..=plan.ball.marks / 2).collect())
}

/// An order as a plan writes it: `1, 3, 2, 4`.
pub fn written(order: &[u32]) -> String {
    let numbers: Vec<String> = order.iter().map(u32::to_string).collect();
    numbers.join(", ")
}

/// How much of the wood's strength a mounting uses after some coves, as solved elsewhere.
#[derive(Debug, Clone, PartialEq)]
pub struct Used {
    /// The mountings done before, from 1, in any order.
    pub earlier: Vec<u32>,
    /// The mounting, from 1.
    pub mounting: u32,
    /// Share of the strength that is used at the worst place.
    pub share: f64,
}

/// Orders compared.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Orders {
    /// The best, then the next best.
    pub ranked: Vec<Order>,
    /// The one the plan asks for, with its place among all compared, from 1.
    pub planned: Order,
    /// Its place: orders that are better, and one.
    pub place: usize,
    /// Orders compared; those that are the same turned or mirrored count once.
    pub compared: usize,
    /// Whether these are all there are.
    pub every: bool,
    /// Why the best is the best, against the plan's, in a sentence.
    pub why: String,
}

/// One order and what it meets.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Order {
    /// Mountings by the lower of their marks, from 1.
    pub mountings: Vec<u32>,
    /// As a plan writes it.
    pub written: String,
    /// Whether every centre finds a seat.
    pub works: bool,
    /// The narrowest seat, diameter in mm.
    pub narrowest_seat_mm: f64,
    /// The least wood behind a seat, mm.
    pub least_behind_mm: f64,
    /// Most of the wood's strength that is used; none where stress was not solved for all.
    pub most_used: Option<f64>,
    /// Share of a turn spent in wood just under the flat, mean over the mountings.
    pub in_wood: f64,
    /// The least such share.
    pub least_in_wood: f64,
    /// Most entries into wood in one turn.
    pub most_entries: u32,
    /// The same in a turner's words and units.
    pub says: String,
}

/// Compares the orders of a plan's mountings.
///
/// # Errors
/// Where numbers of the plan cannot be laid out.
pub fn orders(plan: &Plan, used: &[Used]) -> Result<Orders, Problems> {
    let mountings = plan.ball.marks / 2;
    // The wood before the first mounting is the same in every order.
    let expanded = expand(plan)?;
    let woods = Woods::new(plan, &expanded);
    let stress: BTreeMap<u64, f64> = used
        .iter()
        .filter(|each| (1..=mountings).contains(&each.mounting))
        .map(|each| {
            let set = each.earlier.iter().fold(0, |set, other| set | bit(*other));
            (key(set, each.mounting - 1, mountings), each.share)
        })
        .collect();
    let every = mountings <= EVERY;
    let all = if every {
        every_order(mountings)
    } else {
        spread(mountings)
    };
    let sets: Vec<u64> = {
        let own = planned(plan);
        let mut sets: Vec<u64> = all
            .iter()
            .chain(std::iter::once(&own))
            .flat_map(|order| keys(order, mountings))
            .collect();
        sets.sort_unstable();
        sets.dedup();
        sets
    };
    let met = woods.look(&sets);
    let rank = |order: &[u32]| Rank::of(plan, order, mountings, &met, &stress);
    let mut ranked: Vec<(Rank, &Vec<u32>)> = all.iter().map(|order| (rank(order), order)).collect();
    ranked.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    let own = planned(plan);
    let own_rank = rank(&own);
    let place = 1 + ranked.iter().filter(|(other, _)| *other > own_rank).count();
    let tell = |order: &[u32], rank: &Rank| told(plan, order, rank);
    let own = tell(&own, &own_rank);
    let best = ranked
        .first()
        .map_or_else(|| own.clone(), |(rank, order)| tell(order, rank));
    Ok(Orders {
        why: why(plan, &best, &own, place),
        ranked: ranked
            .iter()
            .take(TOLD)
            .map(|(rank, order)| tell(order, rank))
            .collect(),
        planned: own,
        place,
        compared: ranked.len(),
        every,
    })
}

fn bit(mounting: u32) -> u64 {
    1 << (mounting - 1)
}

/// The keys of what an order's mountings meet.
fn keys(order: &[u32], mountings: u32) -> Vec<u64> {
    let mut set = 0;
    order
        .iter()
        .map(|mounting| {
            let key = key(set, mounting - 1, mountings);
            set |= bit(*mounting);
            key
        })
        .collect()
}

/// What a mounting (from 0) meets after a set of others, as a set seen from itself: turned so that
/// it is number 0, and the lesser of the set and its mirror image.
fn key(set: u64, mounting: u32, mountings: u32) -> u64 {
    let whole = (1_u64 << mountings) - 1;
    let turned = ((set >> mounting) | (set << (mountings - mounting))) & whole;
    let mirrored = (1..mountings)
        .filter(|other| turned & (1 << other) != 0)
        .fold(0, |set, other| set | (1 << (mountings - other)));
    turned.min(mirrored)
}

/// Every order but for turning and mirroring: the first mounting is 1, and of an order and its
/// mirror image the one whose first other number is less.
fn every_order(mountings: u32) -> Vec<Vec<u32>> {
    fn go(order: &mut Vec<u32>, mountings: u32, all: &mut Vec<Vec<u32>>) {
        if order.len() == mountings as usize {
            let mirrored = |mounting: u32| match mounting {
                1 => 1,
                other => mountings + 2 - other,
            };
            let image = order.iter().map(|mounting| mirrored(*mounting));
            if order.iter().copied().le(image) {
                all.push(order.clone());
            }
            return;
        }
        for next in 1..=mountings {
            if !order.contains(&next) {
                order.push(next);
                go(order, mountings, all);
                order.pop();
            }
        }
    }
    let mut all = Vec::new();
    go(&mut vec![1], mountings, &mut all);
    all
}

/// Orders that go round in even strides, and those that halve the widest gap.
fn spread(mountings: u32) -> Vec<Vec<u32>> {
    let mut all: Vec<Vec<u32>> = Vec::new();
    for stride in 1..mountings {
        // Round and round in strides, from the next start that is left.
        let mut order: Vec<u32> = Vec::new();
        for start in 0..mountings {
            let mut at = start;
            while !order.contains(&(at + 1)) {
                order.push(at + 1);
                at = (at + stride) % mountings;
            }
        }
        all.push(order);
        // The mounting farthest from all that are done, beginning with two a stride apart.
        let mut order = vec![1, stride + 1];
        while order.len() < mountings as usize {
            let away = |mounting: u32| {
                let gaps = order.iter().map(|done| {
                    let gap = mounting.abs_diff(*done);
                    gap.min(mountings - gap)
                });
                gaps.min().unwrap_or(0)
            };
            let next = (1..=mountings)
                .filter(|mounting| !order.contains(mounting))
                .max_by_key(|mounting| (away(*mounting), std::cmp::Reverse(*mounting)));
            order.extend(next);
        }
        all.push(order);
    }
    all.sort_unstable();
    all.dedup();
    all
}

/// What an order meets; more is better, field by field.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Rank {
    works: bool,
    /// Tenths of a millimetre.
    seat: i64,
    behind: i64,
    /// Thousandths of the strength, less than nothing.
    unused: i64,
    /// Thousandths of a turn, and per mille of the worst.
    in_wood: i64,
    least_in_wood: i64,
    entries: i64,
    solved: bool,
}

impl Rank {
    fn of(
        plan: &Plan,
        order: &[u32],
        mountings: u32,
        met: &BTreeMap<u64, Met>,
        stress: &BTreeMap<u64, f64>,
    ) -> Self {
        let keys = keys(order, mountings);
        let all: Vec<&Met> = keys.iter().filter_map(|key| met.get(key)).collect();
        let least =
            |of: fn(&Met) -> f64| all.iter().map(|met| of(met)).fold(f64::INFINITY, f64::min);
        let seat = least(|met| met.seat);
        let used: Option<Vec<f64>> = keys.iter().map(|key| stress.get(key).copied()).collect();
        let count = all.len().max(1) as f64;
        let mean = all.iter().map(|met| met.in_wood).sum::<f64>() / count;
        Self {
            works: all.iter().all(|met| met.bears)
                && [CentreKind::Drive, CentreKind::Tail]
                    .into_iter()
                    .all(|kind| has_centre(plan, kind, 2.0 * seat)),
            seat: (20.0 * seat).round() as i64,
            behind: (10.0 * least(|met| met.behind)).round() as i64,
            unused: used.as_ref().map_or(0, |used| {
                -(1000.0 * used.iter().copied().fold(0.0, f64::max)).round() as i64
            }),
            in_wood: (1000.0 * mean).round() as i64,
            least_in_wood: (1000.0 * least(|met| met.in_wood)).round() as i64,
            entries: -all
                .iter()
                .map(|met| i64::from(met.entries))
                .max()
                .unwrap_or(0),
            solved: used.is_some(),
        }
    }
}

fn has_centre(plan: &Plan, kind: CentreKind, seat: f64) -> bool {
    let named = match kind {
        CentreKind::Drive => &plan.holding.drive,
        CentreKind::Tail => &plan.holding.tail,
    };
    match named {
        Some(name) => plan
            .rack
            .centre_named(name)
            .is_some_and(|centre| centre.diameter <= seat),
        None => plan.rack.centre_for_seat(kind, seat).is_some(),
    }
}

fn told(plan: &Plan, order: &[u32], rank: &Rank) -> Order {
    let (seat, behind) = (rank.seat as f64 / 10.0, rank.behind as f64 / 10.0);
    let (in_wood, least) = (
        rank.in_wood as f64 / 1000.0,
        rank.least_in_wood as f64 / 1000.0,
    );
    let entries = u32::try_from(-rank.entries).unwrap_or(0);
    Order {
        mountings: order.to_vec(),
        written: written(order),
        works: rank.works,
        narrowest_seat_mm: seat,
        least_behind_mm: behind,
        most_used: rank.solved.then_some(-rank.unused as f64 / 1000.0),
        in_wood,
        least_in_wood: least,
        most_entries: entries,
        says: format!(
            "seats at least {} across with {} of wood behind; the tool is in wood for {:.0} % of a turn on the mean, {:.0} % at the least, with up to {entries} entries a turn",
            length_written(plan, seat),
            length_written(plan, behind),
            100.0 * in_wood,
            100.0 * least
        ),
    }
}

/// Why the best is better than the plan's.
fn why(plan: &Plan, best: &Order, own: &Order, place: usize) -> String {
    if !best.works {
        return "No order gives every centre a seat: see the findings on seats.".to_owned();
    }
    if place == 1 {
        return "The plan's own order is as good as any.".to_owned();
    }
    let millimetres = |mm: f64| length_written(plan, mm);
    if !own.works {
        format!(
            "Order {}: every centre finds a seat, which the plan's order does not give.",
            best.written
        )
    } else if best.narrowest_seat_mm > own.narrowest_seat_mm {
        format!(
            "Order {}: its narrowest seat is {} across instead of {}.",
            best.written,
            millimetres(best.narrowest_seat_mm),
            millimetres(own.narrowest_seat_mm)
        )
    } else if best.least_behind_mm > own.least_behind_mm {
        format!(
            "Order {}: at least {} of wood stands behind each seat instead of {}.",
            best.written,
            millimetres(best.least_behind_mm),
            millimetres(own.least_behind_mm)
        )
    } else if let (Some(most), Some(was)) = (best.most_used, own.most_used)
        && most < was
    {
        format!(
            "Order {}: at most {:.0} % of the wood's strength is used instead of {:.0} %.",
            best.written,
            100.0 * most,
            100.0 * was
        )
    } else if best.in_wood > own.in_wood {
        format!(
            "Order {}: the tool is in wood for {:.1} % of a turn on the mean instead of {:.1} %, since neighbouring coves are cut later.",
            best.written,
            100.0 * best.in_wood,
            100.0 * own.in_wood
        )
    } else if best.least_in_wood > own.least_in_wood {
        format!(
            "Order {}: at the worst mounting the tool is in wood for {:.1} % of a turn instead of {:.1} %.",
            best.written,
            100.0 * best.least_in_wood,
            100.0 * own.least_in_wood
        )
    } else {
        format!(
            "Order {}: up to {} entries a turn instead of {}.",
            best.written, best.most_entries, own.most_entries
        )
    }
}

#[cfg(test)]
mod tests;
