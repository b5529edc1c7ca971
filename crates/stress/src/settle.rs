//! From a quick answer to a settled one: cubes are made smaller until the asked figure stands still.
//!
//! Method: every level has about four times the cubes of the last (edge × 0.63), and its grid is moved by half a cube
//! against the last one's, so that the change from level to level holds both the coarseness of cubes and the luck of how they
//! lie. Cut cubes make the error shrink about as the edge does: with the ratio q of two edges, what is still to come is
//! taken as q / (1 − q) times the last change, or times q × the change before where that was the larger. This is the error
//! that is told. It is an estimate and no bound: the first level has none, the second rests on one change.
//!
//! The figure is the greatest utilisation by averages ([`crate::Verdict`]) of each case with the wood's mean; the load's work is
//! followed beside it. Beside the error stands how many cubes go through the thinnest wood that carries: under six the
//! answer is too stiff, whatever the levels say.

use glam::DVec3;
use rondure_solid::Solid;
use rondure_wood::{Elastic, Strength};

use crate::StressError;
use crate::answer::Answer;
use crate::grain::Grain;
use crate::judge::{Field, LENGTH, Verdict};
use crate::load::{Load, Support};
use crate::model::{Filled, Model, Tolerance};
use crate::stiffness::law_of;
use crate::strength::Surface;

/// Edge of a level over that of the last: a fourth root of cubes.
const RATIO: f64 = 0.629_960_524_947_436_6;

/// Utilisation below which an error counts as a share of this: nobody asks for a tenth of next to nothing.
const LITTLE: f64 = 0.05;

/// Cubes through the thinnest wood that carries, below which an answer is called too stiff.
pub const ENOUGH_CUBES: f64 = 6.0;

/// A piece in one set-up, with everything that may act on it.
#[derive(Debug, Clone)]
pub struct SetUp<'a> {
    /// The wood that is there.
    pub solid: &'a Solid,
    /// How the grain runs.
    pub grain: Grain,
    /// Its stiffness, at the moisture it has.
    pub elastic: &'a Elastic,
    /// Its strength, at the moisture it has.
    pub strength: &'a Strength,
    /// What holds it; nothing for a free piece, whose loads must be in balance.
    pub supports: &'a [Support],
    /// Loads that act together, for each case. All cases share the work of the set-up.
    pub cases: &'a [Vec<Load>],
}

/// How far to go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// Edge of the first cubes, mm.
    pub first: f64,
    /// Edge below which cubes are not made, mm.
    pub finest: f64,
    /// Error of the utilisation at which to stop, as a share of it.
    pub within: f64,
    /// More unknowns than this are not taken on: 400 bytes each.
    pub most_unknowns: usize,
    /// Edge of the cube over which stress is averaged, mm.
    pub length: f64,
}

impl Aim {
    /// For a piece: first cubes a thirtieth of its greatest extent, finest a hundred-and-twentieth, an error of a tenth.
    pub fn of(solid: &Solid) -> Self {
        let extent = solid.bounds().size().max_element();
        Self {
            first: extent / 30.0,
            finest: extent / 120.0,
            within: 0.1,
            most_unknowns: 3_000_000,
            length: LENGTH,
        }
    }
}

/// What is heard on the way.
#[derive(Debug)]
pub enum Heard<'a> {
    /// Cubes of this edge are being made, mm.
    Building {
        /// Their edge, mm.
        edge: f64,
    },
    /// A round of the solver is done.
    Round {
        /// Edge of the cubes, mm.
        edge: f64,
        /// The case, from 0.
        case: usize,
        /// Forces still out of balance, as a share of the load.
        residual: f64,
    },
    /// A level is done: an answer that may be shown, with the error as far as it is known.
    Level(&'a Level),
}

/// One case at one fineness.
#[derive(Debug, Clone, PartialEq)]
pub struct Reckoned {
    /// What the wood makes of it.
    pub verdict: Verdict,
    /// Twice the work of the loads, N mm.
    pub work: f64,
    /// Estimated error of the utilisation, as a share of it, or of a twentieth where it is less; none on the first level.
    pub error: Option<f64>,
    /// Estimated error of the work, as a share of it; none on the first level.
    pub work_error: Option<f64>,
    /// Rounds of the solver.
    pub rounds: usize,
}

/// One fineness.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// What the filling gave: edge, cubes, unknowns, dropped wood.
    pub filled: Filled,
    /// Every case.
    pub cases: Vec<Reckoned>,
}

impl Level {
    /// The largest error of all cases; none on the first level.
    pub fn error(&self) -> Option<f64> {
        self.cases
            .iter()
            .map(|case| case.error)
            .try_fold(0.0_f64, |most, error| Some(most.max(error?)))
    }
}

/// The thinnest wood that carries a load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thin {
    /// How thick, mm: a tenth of what carries is thinner.
    pub thickness: f64,
    /// Cubes through it.
    pub cubes: f64,
    /// Where, mm.
    pub at: DVec3,
}

/// For every case the motion and its loads.
type Motions = Vec<(Vec<f64>, Vec<Load>)>;

/// The answer that was reached.
pub struct Reached {
    /// Every fineness, coarse to fine.
    pub levels: Vec<Level>,
    /// Whether the error asked for was reached.
    pub settled: bool,
    /// For every case the thinnest wood that carries it; none where nothing is stressed.
    pub thin: Vec<Option<Thin>>,
    model: Model,
    motions: Motions,
}

impl Reached {
    /// The finest level.
    ///
    /// # Panics
    /// Never: an answer has at least one level.
    pub fn last(&self) -> &Level {
        let last = self.levels.last();
        #[expect(
            clippy::expect_used,
            reason = "an answer is made with at least one level"
        )]
        last.expect("at least one level")
    }

    /// The finest answer to a case; none beyond the last case.
    pub fn answer(&self, case: usize) -> Option<Answer<'_>> {
        let (motion, loads) = self.motions.get(case)?;
        let reckoned = &self.last().cases[case];
        Some(Answer::kept(
            &self.model,
            motion,
            reckoned.work,
            reckoned.rounds,
            loads,
        ))
    }

    /// The finest model.
    pub fn model(&self) -> &Model {
        &self.model
    }
}

/// Works a set-up out from coarse to fine until the error of every case is within the aim, or the finest cubes or the
/// most unknowns are reached ([`Reached::settled`] tells which). `heard` is told of every step and says whether to go on; when
/// it says stop after a level is done, that level is the answer.
///
/// # Errors
/// Where there is no wood, a load or support meets none at the finest cubes, the solver does not come to an end, or
/// `heard` says stop before there is any answer.
pub fn settle(
    set_up: &SetUp<'_>,
    aim: Aim,
    heard: &dyn Fn(&Heard<'_>) -> bool,
) -> Result<Reached, StressError> {
    let mut levels: Vec<Level> = Vec::new();
    let mut best: Option<(Model, Motions)> = None;
    let mut edge = aim.first.max(aim.finest);
    let mut shift = DVec3::ZERO;
    let mut settled = false;
    loop {
        let last = edge <= aim.finest * 1.0001;
        match level(set_up, aim, edge, shift, levels.as_slice(), heard) {
            Ok((done, model, motions)) => {
                let enough = done.error().is_some_and(|error| error <= aim.within);
                let unknowns = done.filled.unknowns;
                let go_on = heard(&Heard::Level(&done));
                levels.push(done);
                best = Some((model, motions));
                settled = enough;
                // A single small change may be luck: two are asked for, unless there is no finer level.
                let next = unknowns as f64 / RATIO.powi(3);
                if (enough && levels.len() > 2) || last || !go_on || next > aim.most_unknowns as f64
                {
                    break;
                }
            }
            // A patch smaller than a cube may meet none of them; smaller cubes will do.
            Err(StressError::OffWood { .. }) if !last => {}
            Err(StressError::NoWood) if !last => {}
            Err(StressError::Cancelled) if best.is_some() => break,
            Err(error) => return Err(error),
        }
        edge = (edge * RATIO).max(aim.finest);
        shift = DVec3::splat(0.5) - shift;
    }
    let (model, motions) = best.ok_or(StressError::Cancelled)?;
    let mut reached = Reached {
        levels,
        settled,
        thin: Vec::new(),
        model,
        motions,
    };
    let surface = Surface::of(set_up.strength, rondure_wood::End::Mean);
    reached.thin = (0..set_up.cases.len())
        .map(|case| {
            let field = reached.answer(case)?.field(aim.length);
            thinnest(set_up.solid, &field, &surface, reached.model.filled().edge)
        })
        .collect();
    Ok(reached)
}

type Done = (Level, Model, Motions);

fn level(
    set_up: &SetUp<'_>,
    aim: Aim,
    edge: f64,
    shift: DVec3,
    before: &[Level],
    heard: &dyn Fn(&Heard<'_>) -> bool,
) -> Result<Done, StressError> {
    if !heard(&Heard::Building { edge }) {
        return Err(StressError::Cancelled);
    }
    let law = law_of(set_up.elastic);
    let model = Model::with(
        set_up.solid,
        &set_up.grain,
        law,
        edge,
        set_up.supports,
        shift,
    )?;
    let mut cases = Vec::new();
    let mut motions = Vec::new();
    for (case, loads) in set_up.cases.iter().enumerate() {
        let watch = |residual: f64| {
            heard(&Heard::Round {
                edge,
                case,
                residual,
            })
        };
        let answer = model.solve(loads, Tolerance::USUAL, &watch)?;
        let verdict = answer.field(aim.length).verdict(set_up.strength, None);
        let history = |figure: &dyn Fn(&Reckoned) -> f64, now: f64, least: f64| {
            let old: Vec<(f64, f64)> = before
                .iter()
                .map(|level| (level.filled.edge, figure(&level.cases[case])))
                .chain([(edge, now)])
                .collect();
            to_come(&old, least)
        };
        let used = verdict.utilisation[1];
        let error = history(&|old| old.verdict.utilisation[1], used, LITTLE);
        let work_error = history(&|old| old.work, answer.work, 0.0);
        cases.push(Reckoned {
            error,
            work_error,
            work: answer.work,
            rounds: answer.rounds,
            verdict,
        });
        motions.push((answer.into_motion(), loads.clone()));
    }
    let level = Level {
        filled: model.filled(),
        cases,
    };
    Ok((level, model, motions))
}

/// The change that is still to come, as a share of the last figure or of `least`, from figures at falling edges.
fn to_come(figures: &[(f64, f64)], least: f64) -> Option<f64> {
    let [.., (old_edge, old), (edge, now)] = figures[..] else {
        return None;
    };
    let whole = now.abs().max(least);
    if whole == 0.0 {
        return Some(if old == 0.0 { 0.0 } else { 1.0 });
    }
    let ratio = edge / old_edge;
    let mut change = (now - old).abs();
    if let [.., (oldest_edge, oldest), _, _] = figures[..] {
        change = change.max((old - oldest).abs() * old_edge / oldest_edge);
    }
    Some(change * ratio / (1.0 - ratio) / whole)
}

/// Places looked at for the thinnest wood.
const LOOKS: usize = 400;

/// The thinnest wood among places with at least half of the greatest utilisation: the way straight in from the surface nearest
/// to each, to where it leaves the wood.
fn thinnest(solid: &Solid, field: &Field, surface: &Surface, edge: f64) -> Option<Thin> {
    let far = solid.bounds().size().length();
    let used = field.utilisation(surface);
    let most = used.iter().copied().fold(0.0, f64::max);
    let mut places: Vec<(f64, usize)> = used
        .iter()
        .enumerate()
        .filter(|(_, used)| **used > 0.0 && **used >= 0.5 * most)
        .map(|(index, used)| (*used, index))
        .collect();
    places.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    places.truncate(LOOKS);
    let mut found: Vec<(f64, f64, DVec3)> = places
        .iter()
        .map(|&(_, index)| &field.places[index])
        .map(|place| {
            let touch = solid.nearest(place.at);
            let through = solid.first_wood(touch.foot, touch.inward, 0.0, far);
            let length = through.map_or(0.0, |span| span.leave - span.enter);
            let middle = touch.foot + touch.inward * (0.5 * length);
            (length, place.volume, middle)
        })
        // At an edge no way leads straight in.
        .filter(|(thickness, _, _)| *thickness > 0.0)
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let whole: f64 = found.iter().map(|(_, volume, _)| volume).sum();
    let mut below = 0.0;
    for (thickness, volume, at) in found {
        below += volume;
        if below >= 0.1 * whole {
            return Some(Thin {
                thickness,
                cubes: thickness / edge,
                at,
            });
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A figure that comes in as the edge does: the estimate is the true rest.
    #[test]
    fn the_rest_of_a_straight_line_is_found() {
        let figure = |edge: f64| 10.0 + 3.0 * edge;
        let figures: Vec<(f64, f64)> = [2.0, 1.26, 0.7938]
            .map(|edge| (edge, figure(edge)))
            .to_vec();
        let rest = to_come(&figures, 0.0).unwrap();
        assert!(
            (rest * figure(0.7938) - 3.0 * 0.7938).abs() < 1e-12,
            "{rest}"
        );
        assert_eq!(to_come(&figures[..1], 0.0), None);
        // A lucky pair does not hide a jump before it.
        let lucky = to_come(&[(2.0, 5.0), (1.26, 9.0), (0.7938, 9.0)], 0.0).unwrap();
        assert!(lucky > 0.4, "{lucky}");
        // Half of next to nothing is next to nothing.
        let idle = to_come(&[(2.0, 0.002), (1.0, 0.001)], LITTLE).unwrap();
        assert!((idle - 0.02).abs() < 1e-12, "{idle}");
    }
}
