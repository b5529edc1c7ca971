//! The search: the numbers most like the old piece that keep every limit.
//!
//! Bore and pierced holes come from the rack, depth and land from the steps of the callipers, so
//! there are finitely many candidates. How unlike a candidate is depends on its numbers alone and
//! falls apart into a part for the holes and a part for the coves. So the pairs of holes are taken
//! in the order of their own part, under each the coves in the order of theirs, and a candidate
//! goes to the true solid only if it is more like than the best that holds; when the part of the
//! holes alone is no better than that best, nothing that is left can be, and the search ends
//! (branch and bound: the part of the holes bounds all below it). The first that holds under the
//! bound is therefore the most like of all candidates.
//!
//! Between the closed forms and the findings stands a quick look at what is left of the ball
//! ([`Quick`]): a candidate whose wall or neck is below its limit there by more than [`DOUBT`] goes
//! no further. The findings on the true solid alone say that a candidate holds.

use std::collections::BTreeMap;

use rondure_solid::nearby::Changed;

use super::finial::{Refitted, Unfit, may_bend, refit};
use super::hinder::{Hindrance, Tolerated, at_sight, hindrances, judge, of_the_stock};
use super::likeness::Wished;
use super::role::Keeps;
use super::settle::{Reasons, settle};
use crate::bench::settable;
use crate::findings::kind;
use crate::form::coved_ball::ball::{BORE_KINDS, first_bore_depth};
use crate::form::coved_ball::finials::End;
use crate::form::coved_ball::piercing::PIERCE_KINDS;
use crate::form::coved_ball::{Layout, sizes};
use crate::memory::Memory;
use crate::plan::{Pierce, Plan};
use crate::quick::Quick;

/// How far a number may be from its wished one, either way, and the piece still be the same form:
/// half as much again, or a third less. Common practice, no source.
pub const REACH: f64 = 0.405_465_108_108_164_4; // ln 1.5

/// What a quick look may be wrong by, mm; walls and necks of random plans came out as those of the
/// search, to their last digits.
const DOUBT: f64 = 0.02;

/// What is asked for.
#[derive(Debug)]
pub struct Task<'t> {
    /// The plan to rescale.
    pub old: &'t Plan,
    /// What the turner keeps.
    pub keeps: &'t Keeps,
    /// What may be as it was in the old plan.
    pub tolerated: &'t Tolerated,
    /// What is known of solids.
    pub memory: &'t Memory,
    /// Solids that may be asked for one size before it is given up.
    pub most_solids: usize,
}

/// The numbers that were found.
#[derive(Debug, Clone)]
pub struct Found {
    /// The plan with its new numbers; its text is still the old one's.
    pub plan: Plan,
    /// What it was held against.
    pub wished: Wished,
    /// How unlike it is.
    pub unlikeness: f64,
    /// Why numbers are what they are.
    pub reasons: Reasons,
    /// Candidates tried in closed form.
    pub tried: usize,
    /// Solids asked.
    pub solids: usize,
}

/// Nothing was found.
#[derive(Debug, Clone)]
pub struct Nothing {
    /// What stands in the way of the candidate that came nearest.
    pub hindrances: Vec<Hindrance>,
    /// Whether candidates were left untried, because too many solids were asked.
    pub cut_short: bool,
}

/// A pair of holes, with what it costs.
struct Branch {
    bore: f64,
    hole: Option<f64>,
    cost: f64,
    finials: usize,
}

/// Looks for the best numbers at a diameter, mm, with so many marks.
pub fn search(task: &Task<'_>, diameter: f64, marks: u32) -> Result<Found, Nothing> {
    let wished = Wished::of(task.old, diameter, marks);
    let mut base = task.old.clone();
    base.ball.diameter = diameter;
    base.ball.marks = marks;
    if marks != task.old.ball.marks {
        base.holding.order = None;
    }
    let mut hurdles = Hurdles::default();
    let (branches, finials) = branches(task, &base, &wished, &mut hurdles);
    let coves = coves(task, &base, &wished);
    let mut best: Option<(f64, Plan, Reasons, usize)> = None;
    let (mut tried, mut solids, mut cut_short) = (0, 0, false);
    let (quick, mut changed) = (Quick::default(), Changed::default());
    'branches: for branch in &branches {
        let bound = best.as_ref().map_or(f64::INFINITY, |best| best.0);
        if branch.cost >= bound {
            break;
        }
        let mut work = base.clone();
        work.bore.diameter = branch.bore;
        work.pierce = branch.hole.map(|diameter| Pierce { diameter });
        for (end, refitted) in &finials[branch.finials] {
            let place = match end {
                End::Top => &mut work.finials.top,
                End::Bottom => &mut work.finials.bottom,
            };
            *place = Some(refitted.finial.clone());
        }
        if hopeless(&mut work, &coves, task, &mut hurdles, branch.cost) {
            continue;
        }
        for (cost, depth, land) in &coves {
            let cost = branch.cost + cost;
            if cost >= bound {
                break;
            }
            work.cove.depth = *depth;
            work.cove.land = *land;
            let Ok(layout) = sizes::lay_out(&work) else {
                continue;
            };
            tried += 1;
            if let Some(id) = at_sight(&work, &layout, task.tolerated) {
                hurdles.at_sight(id, cost, &work);
                continue;
            }
            if let Some(id) = at_a_glance(&work, &layout, &quick, &mut changed) {
                hurdles.at_sight(id, cost, &work);
                continue;
            }
            if solids >= task.most_solids {
                cut_short = true;
                break 'branches;
            }
            let mut candidate = work.clone();
            let Some(reasons) = settle(&mut candidate, task.old, task.keeps, wished.scale) else {
                continue;
            };
            let (found, asked) = judge(&candidate, task.memory, task.tolerated);
            solids += usize::from(asked);
            if found.is_empty() {
                best = Some((cost, candidate, reasons, branch.finials));
                break;
            }
            let stock = found.iter().any(|each| of_the_stock(&each.id));
            hurdles.met(cost, found);
            if stock {
                // No other coves change that.
                continue 'branches;
            }
        }
    }
    match best {
        Some((cost, plan, mut reasons, index)) => {
            for (end, refitted) in &finials[index] {
                for (part, key, says) in &refitted.reasons {
                    let key = format!("finials.{}.shape.{}.{key}", end.word(), part + 1);
                    reasons.insert(key, says.clone());
                }
            }
            Ok(Found {
                plan,
                wished,
                unlikeness: wished.unlikeness(cost),
                reasons,
                tried,
                solids,
            })
        }
        None => Err(Nothing {
            hindrances: hurdles.told(task, wished.scale),
            cut_short,
        }),
    }
}

/// What a quick look at the wood finds broken.
fn at_a_glance(
    plan: &Plan,
    layout: &Layout,
    quick: &Quick,
    changed: &mut Changed,
) -> Option<&'static str> {
    let left = quick.left(layout, changed).ok()?;
    let below = |found: Option<f64>, limit: f64| found.is_some_and(|found| found < limit - DOUBT);
    if left.lost > 0 {
        None
    } else if left.parts > 1 {
        Some(kind::PIECES_FALL.id)
    } else if below(left.web, plan.limits.web) {
        Some(kind::WEB_THIN.id)
    } else {
        below(left.neck, plan.limits.neck).then_some(kind::NECK_THIN.id)
    }
}

/// Whether not even the shallowest coves with the widest land leave wood between these holes: then
/// no others do, and none need be tried.
fn hopeless(
    work: &mut Plan,
    coves: &[(f64, f64, f64)],
    task: &Task<'_>,
    hurdles: &mut Hurdles,
    cost: f64,
) -> bool {
    let Some((of_coves, depth, land)) = coves
        .iter()
        .copied()
        .min_by(|a, b| a.1.total_cmp(&b.1).then(b.2.total_cmp(&a.2)))
    else {
        return true;
    };
    (work.cove.depth, work.cove.land) = (depth, land);
    let Ok(layout) = sizes::lay_out(work) else {
        return false;
    };
    let hopeless = at_sight(work, &layout, task.tolerated)
        .filter(|id| [kind::COVE_BORE.id, kind::RIM_GAP.id].contains(id));
    if let Some(id) = hopeless {
        hurdles.at_sight(id, cost + of_coves, work);
    }
    hopeless.is_some()
}

type Finials = Vec<(End, Refitted)>;

/// The pairs of holes in the order of what they cost, and the finials they go with.
fn branches(
    task: &Task<'_>,
    base: &Plan,
    wished: &Wished,
    hurdles: &mut Hurdles,
) -> (Vec<Branch>, Vec<Finials>) {
    let rack = &base.rack;
    let near = |size: f64, wished: f64| (size / wished).ln().abs() <= REACH;
    let bores: Vec<f64> = if task.keeps.holds("bore.diameter") {
        vec![task.old.bore.diameter]
    } else {
        // Before the coves are laid out: the depth of the first half follows from the ball alone.
        let mut bare = base.clone();
        bare.cove.depth = 0.1;
        let deep = sizes::lay_out(&bare)
            .map(|layout| first_bore_depth(&layout))
            .unwrap_or(0.0);
        let (reach, short): (Vec<f64>, Vec<f64>) = rack
            .bit_sizes(&BORE_KINDS)
            .into_iter()
            .filter(|size| near(*size, wished.bore))
            .partition(|size| {
                rack.bits.iter().any(|bit| {
                    BORE_KINDS.contains(&bit.kind)
                        && (bit.diameter - size).abs() < 1e-9
                        && bit.reach >= deep
                })
            });
        if reach.is_empty() {
            hurdles.before(
                if short.is_empty() {
                    kind::BIT_MISSING.id
                } else {
                    kind::BIT_REACH.id
                },
                "bore",
                wished.bore,
                base,
            );
        }
        reach
    };
    let holes: Vec<Option<f64>> = match (task.old.pierce, wished.hole) {
        (Some(old), Some(wished)) => {
            if task.keeps.holds("pierce.diameter") {
                vec![Some(old.diameter)]
            } else {
                let sizes: Vec<Option<f64>> = rack
                    .bit_sizes(&PIERCE_KINDS)
                    .into_iter()
                    .filter(|size| near(*size, wished))
                    .map(Some)
                    .collect();
                if sizes.is_empty() {
                    hurdles.before(kind::BIT_MISSING.id, "pierced holes", wished, base);
                }
                sizes
            }
        }
        _ => vec![None],
    };
    let mut finials: Vec<Finials> = Vec::new();
    let mut branches = Vec::new();
    for bore in bores {
        match refit_both(task, base, wished.scale, bore) {
            Err(unfit) => hurdles.unfit(unfit),
            Ok(both) => {
                let turned: f64 = both.iter().map(|(_, each)| each.unlike).sum();
                for hole in &holes {
                    let pierced = hole.map_or(0.0, |hole| wished.of_hole(hole));
                    branches.push(Branch {
                        bore,
                        hole: *hole,
                        cost: wished.of_bore(bore) + pierced + turned,
                        finials: finials.len(),
                    });
                }
                finials.push(both);
            }
        }
    }
    branches.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    (branches, finials)
}

fn refit_both(task: &Task<'_>, base: &Plan, scale: f64, bore: f64) -> Result<Finials, Unfit> {
    let mut both = Vec::new();
    let mut plan = base.clone();
    plan.bore.diameter = bore;
    for end in [End::Top, End::Bottom] {
        if let Some(old) = end.of(task.old) {
            let section = format!("finials.{}", end.word());
            let bends = if task.tolerated.contains(kind::FINIAL_WHIP.id) {
                f64::INFINITY
            } else {
                may_bend(task.old, old)
            };
            let new = refit(&plan, &section, old, scale, 0.5 * bore, bends, task.keeps)?;
            both.push((end, new));
        }
    }
    Ok(both)
}

/// Depths and lands that can be set, in the order of what they cost.
fn coves(task: &Task<'_>, base: &Plan, wished: &Wished) -> Vec<(f64, f64, f64)> {
    let step = base.rack.calliper_step.max(base.style.step_mm());
    let settings = |from: f64, to: f64| -> Vec<f64> {
        let (first, last) = ((from / step).ceil() as i64, (to / step).floor() as i64);
        let mut all: Vec<f64> = (first.max(0)..=last)
            .map(|count| settable(base, count as f64 * step, step))
            .collect();
        all.dedup();
        all
    };
    let (less, more) = ((-REACH).exp(), REACH.exp());
    let depths = if task.keeps.holds("cove.depth") {
        vec![task.old.cove.depth]
    } else {
        let mut all = settings(less * wished.depth, more * wished.depth);
        all.retain(|depth| *depth > 0.0);
        all
    };
    let lands = if task.keeps.holds("cove.land") {
        vec![task.old.cove.land]
    } else if wished.land <= 0.0 {
        // Coves that touch: to let them part is another look, but a small one.
        settings(0.0, wished.depth)
    } else {
        settings(less * wished.land, more * wished.land)
    };
    let lands: Vec<f64> = lands
        .into_iter()
        .filter(|land| wished.land(*land).abs() <= REACH)
        .collect();
    let mut all: Vec<(f64, f64, f64)> = depths
        .iter()
        .flat_map(|depth| {
            lands
                .iter()
                .map(|land| (wished.of_coves(*depth, *land), *depth, *land))
        })
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

/// A reason without the finding's name in brackets, where that is told beside it.
fn without_name(says: &str) -> &str {
    match says.rsplit_once(" (") {
        Some((words, name)) if name.ends_with(')') && name.contains('.') => words,
        _ => says,
    }
}

/// What stood in the way, the fewest at once first, then at the most like candidate.
#[derive(Default)]
struct Hurdles {
    before: Vec<Hindrance>,
    sight: BTreeMap<&'static str, (f64, Plan)>,
    met: Option<(usize, f64, Vec<Hindrance>)>,
}

impl Hurdles {
    fn before(&mut self, id: &'static str, what: &str, wished: f64, plan: &Plan) {
        let says = format!(
            "The rack has no bit near {} for the {what}{}.",
            crate::bench::written(plan, wished),
            if id == kind::BIT_REACH.id {
                " that reaches deep enough"
            } else {
                ""
            }
        );
        self.before.push(Hindrance {
            id: id.to_owned(),
            says,
        });
    }

    fn unfit(&mut self, unfit: Unfit) {
        if self.before.iter().all(|other| other.id != unfit.id) {
            self.before.push(Hindrance {
                id: unfit.id.to_owned(),
                says: format!("A finial cannot follow: {}.", without_name(&unfit.says)),
            });
        }
    }

    fn at_sight(&mut self, id: &'static str, cost: f64, plan: &Plan) {
        if self.sight.get(id).is_none_or(|(least, _)| cost < *least) {
            self.sight.insert(id, (cost, plan.clone()));
        }
    }

    fn met(&mut self, cost: f64, found: Vec<Hindrance>) {
        let better = self
            .met
            .as_ref()
            .is_none_or(|(count, least, _)| (found.len(), cost) < (*count, *least));
        if better {
            self.met = Some((found.len(), cost, found));
        }
    }

    /// In words: what a solid said if any was asked, else what the nearest at sight would say.
    fn told(self, task: &Task<'_>, scale: f64) -> Vec<Hindrance> {
        if let Some((_, _, found)) = self.met {
            return found;
        }
        let nearest = self.sight.into_values().min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, mut plan)) = nearest else {
            return self.before;
        };
        // What is settled last may fail to settle; what stands in the way is said all the same.
        let _ = settle(&mut plan, task.old, task.keeps, scale);
        hindrances(&plan, task.memory, task.tolerated)
    }
}
