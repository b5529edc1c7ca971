//! The first look: large cubes, and every push at every place it may come.

use std::sync::Arc;

use rayon::prelude::*;
use rondure_plan::form::coved_ball::Expanded;
use rondure_plan::hold::{HeldLook, Load, Look, Way};
use rondure_plan::plan::Plan;
use rondure_solid::{DVec3, moments};
use rondure_stress::{Answer, Field, Model, StressError, Tolerance, Verdict};

use super::model::{self, Stuff};
use super::{NotHeld, words};

/// Cubes of wood at a first look, about.
const FEW: f64 = 2_500.0;
/// Of every case so many worst ways are looked at again with fine cubes.
const AGAIN: usize = 2;
/// At a first look a hundredth of the load out of balance changes no figure that is shown.
const ROUGH: Tolerance = Tolerance {
    relative: 2e-2,
    rounds: 200,
};
/// Average length of a model, mm, where the cubes allow it.
pub(super) const LENGTH: f64 = rondure_stress::LENGTH;

/// A look that was swept.
#[derive(Debug)]
pub(crate) struct Swept {
    /// What is known of it.
    pub held: HeldLook,
    /// Volume of the wood, mm³.
    pub volume: f64,
    /// For every case of the look, its worst ways, worst first, by their places in it.
    pub worst: Vec<Vec<usize>>,
    /// For every case the verdict on its worst way.
    pub verdicts: Vec<Option<Judged>>,
}

/// A verdict on one way of one case.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    /// The way's place in its case.
    pub way: usize,
    /// The load as taken, N.
    pub newtons: f64,
    /// How far the pushed place gives, mm for each N.
    pub gives: f64,
    /// The verdict, under the load as taken.
    pub verdict: Verdict,
}

/// What a sweep gives: the answer, or in words why the look cannot be asked.
pub(crate) type Answered = Result<Arc<Swept>, String>;

/// Sweeps a look.
///
/// # Errors
/// Where whoever asked says stop.
pub(super) fn sweep(
    plan: &Plan,
    expanded: &Expanded,
    look: &Look,
    stuff: &Stuff,
    weight: Option<f64>,
    goes_on: &(dyn Fn() -> bool + Sync),
) -> Result<Answered, NotHeld> {
    let volume = moments(&look.state.solid, rondure_plan::study::FINISHED).volume;
    let edge = (volume / FEW).cbrt();
    let model = match model::model(plan, look, stuff, edge) {
        Ok(model) => model,
        Err(StressError::Cancelled) => return Err(NotHeld::Stopped),
        Err(error) => return Ok(Err(error.to_string())),
    };
    let asked = Asked {
        look,
        stuff,
        model: &model,
        weight,
        tolerance: ROUGH,
        goes_on,
    };
    let every: Vec<Vec<usize>> = look
        .cases
        .iter()
        .map(|case| (0..case.ways.len()).collect())
        .collect();
    let judged = asked.judge(&every)?;
    let mut worst = Vec::new();
    let mut verdicts = Vec::new();
    let mut problem = None;
    for case in judged {
        match case {
            Ok(mut ways) => {
                ways.sort_by(|a, b| {
                    b.verdict.utilisation[1]
                        .total_cmp(&a.verdict.utilisation[1])
                        .then(a.way.cmp(&b.way))
                });
                worst.push(ways.iter().take(AGAIN).map(|each| each.way).collect());
                verdicts.push(ways.into_iter().next());
            }
            Err(error) => {
                problem = Some(error.to_string());
                worst.push(Vec::new());
                verdicts.push(None);
            }
        }
    }
    if verdicts.iter().all(Option::is_none) {
        return Ok(Err(
            problem.unwrap_or_else(|| "nothing pushes there".to_owned())
        ));
    }
    let held = words::held(&words::Told {
        plan,
        expanded,
        look,
        edge,
        verdicts: &verdicts,
        before: None,
        weight,
    });
    Ok(Ok(Arc::new(Swept {
        held,
        volume,
        worst,
        verdicts,
    })))
}

/// A model that is asked about the cases of its look.
pub(super) struct Asked<'a> {
    pub look: &'a Look,
    pub stuff: &'a Stuff,
    pub model: &'a Model,
    pub weight: Option<f64>,
    pub tolerance: Tolerance,
    pub goes_on: &'a (dyn Fn() -> bool + Sync),
}

impl Asked<'_> {
    /// For every case the verdicts on some of its ways; where no way of a case could be asked, why.
    pub fn judge(
        &self,
        ways: &[Vec<usize>],
    ) -> Result<Vec<Result<Vec<Judged>, StressError>>, NotHeld> {
        // The holding's own squeeze stands under every case that acts on top of it.
        let holding = self
            .look
            .cases
            .iter()
            .zip(ways)
            .find(|(case, _)| matches!(case.load, Load::Squeeze | Load::Grip));
        let fixed = match holding {
            Some((case, _)) => match self.solve(&case.ways[0]) {
                Ok((field, _)) => Some((field, case.magnitude.value)),
                Err(StressError::Cancelled) => return Err(NotHeld::Stopped),
                Err(_) => None,
            },
            None => None,
        };
        let mut judged = Vec::new();
        for (case, chosen) in self.look.cases.iter().zip(ways) {
            let under = fixed.as_ref().filter(|_| case.while_held);
            let answered: Vec<Result<Judged, StressError>> = chosen
                .par_iter()
                .map(|&way| self.one(case, way, under))
                .collect();
            let mut good = Vec::new();
            let mut problem = None;
            for each in answered {
                match each {
                    Ok(each) => good.push(each),
                    Err(StressError::Cancelled) => return Err(NotHeld::Stopped),
                    Err(error) => problem = Some(error),
                }
            }
            judged.push(match problem {
                Some(error) if good.is_empty() => Err(error),
                _ => Ok(good),
            });
        }
        Ok(judged)
    }

    /// The verdict on one way of a case.
    fn one(
        &self,
        case: &rondure_plan::hold::Case,
        way: usize,
        under: Option<&(Field, f64)>,
    ) -> Result<Judged, StressError> {
        let (field, gives) = self.solve(&case.ways[way])?;
        let newtons = match case.load {
            // Half of force times give is the work of the fall: F² c / 2 = W h.
            Load::Drop => {
                (2.0 * self.weight.unwrap_or(0.0) * case.magnitude.value / gives.max(1e-12)).sqrt()
            }
            _ => case.magnitude.value,
        };
        let pushes = &case.ways[way].pushes;
        let answers = self
            .look
            .grip
            .answer(pushes, model::middle(&self.look.state.solid));
        let edge = self.model.filled().edge;
        let held: Vec<_> = self
            .look
            .cases
            .iter()
            .filter(|_| under.is_some())
            .filter(|case| matches!(case.load, Load::Squeeze | Load::Grip))
            .flat_map(|case| &case.ways[0].pushes)
            .cloned()
            .collect();
        let touched = model::contacts(pushes)
            .chain(model::contacts(&answers))
            .chain(model::contacts(&held));
        let counts = model::away_from(&field, touched, edge);
        let fixed = under.map(|(fixed, by)| model::kept(fixed, &counts, *by));
        let verdict =
            model::kept(&field, &counts, newtons).verdict(&self.stuff.strength, fixed.as_ref());
        Ok(Judged {
            way,
            newtons,
            gives,
            verdict,
        })
    }

    /// The stress of one way at one newton, and how far what is pushed gives, mm.
    fn solve(&self, way: &Way) -> Result<(Field, f64), StressError> {
        let answer = self.answer(way)?;
        Ok((answer.field(LENGTH), answer.work))
    }

    /// The model under one way at one newton.
    pub fn answer(&self, way: &Way) -> Result<Answer<'_>, StressError> {
        let filled = self.model.filled();
        let mut pushes = way.pushes.clone();
        pushes.extend(
            self.look
                .grip
                .answer(&way.pushes, model::middle(&self.look.state.solid)),
        );
        let loads = model::loads(&pushes, filled.edge, filled.volume);
        self.model
            .solve(&loads, self.tolerance, &|_| (self.goes_on)())
    }
}

/// Where a way pushes.
pub(super) fn pushed_at(way: &Way) -> DVec3 {
    model::contacts(&way.pushes)
        .next()
        .map_or(DVec3::ZERO, |contact| contact.middle())
}
