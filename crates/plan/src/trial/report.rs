//! What a trial says: figures, and the same in a turner's words.

use serde::Serialize;
use ts_rs::TS;

use super::accuracy::{ACCURACIES, COUNT, Hand};
use super::making::{Fault, Made};
use super::{Bench, Makings, NoTrial, SOUGHT, Trial, WANTED, WIDEST, aside};
use crate::bench::{settable, trimmed, written};
use crate::form::coved_ball::ball::BORE_KINDS;
use crate::form::coved_ball::piercing::PIERCE_KINDS;
use crate::form::coved_ball::{Layout, sizes};
use crate::plan::Plan;

/// The whole answer of a trial.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct TrialReport {
    /// Makings that were made.
    pub makings: usize,
    /// The seed of their errors.
    #[ts(type = "number")]
    pub seed: u64,
    /// The hand: `careful`, `usual` or `first-time`.
    pub hand: &'static str,
    /// The share that comes out.
    pub share: ShareReport,
    /// What fails, the commonest first among those that spoil the piece; then what only shows.
    pub faults: Vec<FaultReport>,
    /// What is wrong with the plan's own ball, made without any error.
    pub planned: Vec<&'static str>,
    /// Every accuracy, the one that matters most first.
    pub accuracies: Vec<AccuracyReport>,
    /// How many times as rough as now the hand may be in all actions for nine of ten to come out, 0 to 4;
    /// none where not even a perfect hand does it.
    pub nine_of_ten: Option<f64>,
    /// Changes of the plan, the one that gains most first.
    pub changes: Vec<ChangeReport>,
    /// Walls and necks of the makings.
    pub left: Vec<LeftReport>,
    /// Share of makings of which not every wall could be followed.
    pub lost: f64,
    /// The same in words.
    pub says: Vec<String>,
}

/// A share with its interval.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ShareReport {
    /// The share, 0 to 1.
    pub share: f64,
    /// The true share is at least this, 19 times of 20 together with `to`.
    pub from: f64,
    /// The true share is at most this.
    pub to: f64,
    /// In words, e.g. `83 % (82 to 84 %)`.
    pub shown: String,
}

/// How often something is wrong.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct FaultReport {
    /// Stable identifier.
    pub id: &'static str,
    /// What it is.
    pub says: &'static str,
    /// Whether it spoils the piece.
    pub spoils: bool,
    /// Share of makings that have it.
    pub share: f64,
    /// Share of makings of which it is the first thing to go wrong.
    pub first: f64,
}

/// One accuracy and what it matters.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct AccuracyReport {
    /// The plan's key, e.g. `trial.cove_depth`.
    pub key: String,
    /// What is off.
    pub label: &'static str,
    /// What the figure means.
    pub says: &'static str,
    /// The ± figure, mm or degrees.
    pub within: f64,
    /// `mm` or `deg`.
    pub unit: &'static str,
    /// As the turner reads it.
    pub shown: String,
    /// What more would come out if this were perfect: a share of all makings.
    pub gain: f64,
    /// The ± figure with which nine of ten come out, all else as it is; none where this alone does
    /// not do it, or it was not worked out because it matters little.
    pub needed: Option<f64>,
    /// As the turner reads it.
    pub needed_shown: Option<String>,
}

/// A change of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ChangeReport {
    /// In words.
    pub says: String,
    /// The plan's key.
    pub key: &'static str,
    /// The value to write.
    pub write: String,
    /// The share that would come out.
    pub share: f64,
    /// What that is more than now.
    pub gain: f64,
}

/// How thick the makings' walls, or how wide their necks, come out.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct LeftReport {
    /// `web` or `neck`.
    pub what: &'static str,
    /// One making of twenty has less, mm.
    pub low: f64,
    /// Half of them have less, mm.
    pub middle: f64,
    /// The plan's own, mm.
    pub planned: f64,
    /// The plan's limit, mm.
    pub limit: f64,
}

/// A change of the plan to try.
pub(super) struct Change {
    says: String,
    key: &'static str,
    write: String,
}

/// Changes that leave more wood: a step less of cove, one bit smaller, more land, fewer marks.
pub(super) fn changes(plan: &Plan) -> Vec<Change> {
    let step = 5.0 * plan.rack.calliper_step.max(plan.style.step_mm());
    let mut list = Vec::new();
    let shallower = settable(plan, plan.cove.depth - step, step);
    if shallower > 0.0 {
        let write = written(plan, shallower);
        list.push(Change {
            says: format!("Cut the coves {write} deep"),
            key: "cove.depth",
            write,
        });
    }
    let smaller =
        |now: f64, sizes: Vec<f64>| sizes.into_iter().rev().find(|size| *size < now - 1e-9);
    if let Some(pierce) = plan.pierce
        && let Some(size) = smaller(pierce.diameter, plan.rack.bit_sizes(&PIERCE_KINDS))
    {
        let write = written(plan, size);
        list.push(Change {
            says: format!("Pierce {write}"),
            key: "pierce.diameter",
            write,
        });
    }
    if let Some(size) = smaller(plan.bore.diameter, plan.rack.bit_sizes(&BORE_KINDS)) {
        let write = written(plan, size);
        list.push(Change {
            says: format!("Bore {write}"),
            key: "bore.diameter",
            write,
        });
    }
    let write = written(plan, settable(plan, plan.cove.land + 2.0 * step, step));
    list.push(Change {
        says: format!("Leave {write} of land between the coves"),
        key: "cove.land",
        write,
    });
    if plan.ball.marks > 8 {
        let fewer = (plan.ball.marks - 4).to_string();
        list.push(Change {
            says: format!("Make {fewer} marks"),
            key: "ball.marks",
            write: fewer,
        });
    }
    list
}

/// Works out everything beside the share, and writes it.
pub(super) fn write(
    trial: &Trial<'_>,
    layout: &Layout,
    hand: Hand,
    all: &Makings,
    perfect: Made,
    changes: Vec<Change>,
) -> Result<TrialReport, NoTrial> {
    let plan = trial.plan;
    let share = all.come_out();
    let small = aside(trial.asked.makings);
    let bench =
        Bench::new(layout, plan.limits, small, trial.asked.seed).map_err(NoTrial::Undrawable)?;
    let now = trial.share(&bench, &trial.within)?;
    let mut accuracies = accuracies(trial, &bench, now)?;
    let nine_of_ten = trial.scale(&bench, WIDEST, |scale| {
        trial.within.map(|figure| scale * figure)
    })?;
    if now < WANTED {
        for accuracy in accuracies.iter_mut().take(SOUGHT) {
            let k = accuracy.0;
            let needed = trial.scale(&bench, 1.0, |scale| {
                let mut within = trial.within;
                within[k] *= scale;
                within
            })?;
            let figure = needed.map(|scale| scale * trial.within[k]);
            accuracy.1.needed = figure;
            accuracy.1.needed_shown = figure.map(|figure| shown(plan, k, figure));
        }
    }
    let mut tried = Vec::new();
    for change in changes {
        let Some(changed) = plan.with(change.key, &change.write) else {
            continue;
        };
        let Ok(layout) = sizes::lay_out(&changed) else {
            continue;
        };
        let bench = Bench::new(&layout, changed.limits, small, trial.asked.seed)
            .map_err(NoTrial::Undrawable)?;
        let share = if now < 1.0 {
            trial.share(&bench, &trial.within)?
        } else {
            now
        };
        tried.push(ChangeReport {
            says: change.says,
            key: change.key,
            write: change.write,
            share,
            gain: share - now,
        });
    }
    tried.sort_by(|a, b| b.gain.total_cmp(&a.gain));
    (trial.watch)(trial.of, trial.of);
    let mut report = TrialReport {
        makings: all.made.len(),
        seed: trial.asked.seed,
        hand: hand.word(),
        share: ShareReport {
            share: share.share,
            from: share.from,
            to: share.to,
            shown: format!(
                "{} ({} to {})",
                percent(share.share),
                percent(share.from),
                percent(share.to)
            ),
        },
        faults: faults(all),
        planned: Fault::ALL
            .into_iter()
            .filter(|fault| perfect.faults.has(*fault))
            .map(Fault::says)
            .collect(),
        accuracies: accuracies.into_iter().map(|(_, report)| report).collect(),
        nine_of_ten,
        changes: tried,
        left: left(plan, all, perfect),
        lost: all.share(|made| made.lost).share,
        says: Vec::new(),
    };
    report.says = says(&report);
    Ok(report)
}

fn accuracies(
    trial: &Trial<'_>,
    bench: &Bench,
    now: f64,
) -> Result<Vec<(usize, AccuracyReport)>, NoTrial> {
    let mut list = Vec::with_capacity(COUNT);
    for (k, accuracy) in ACCURACIES.iter().enumerate() {
        let mut within = trial.within;
        within[k] = 0.0;
        // Where all come out there is nothing to gain.
        let gain = if now < 1.0 {
            trial.share(bench, &within)? - now
        } else {
            0.0
        };
        list.push((
            k,
            AccuracyReport {
                key: format!("trial.{}", accuracy.key),
                label: accuracy.label,
                says: accuracy.says,
                within: trial.within[k],
                unit: if accuracy.angle { "deg" } else { "mm" },
                shown: shown(trial.plan, k, trial.within[k]),
                gain,
                needed: None,
                needed_shown: None,
            },
        ));
    }
    list.sort_by(|a, b| b.1.gain.total_cmp(&a.1.gain).then(a.0.cmp(&b.0)));
    Ok(list)
}

/// A ± figure as the turner reads it. Finer than the callipers set, since it is no setting.
fn shown(plan: &Plan, k: usize, figure: f64) -> String {
    if ACCURACIES[k].angle {
        format!("±{}°", trimmed(figure, 1))
    } else {
        match plan.style {
            crate::units::LengthStyle::Millimetres => format!("±{} mm", trimmed(figure, 2)),
            crate::units::LengthStyle::Inches { .. } => {
                format!(
                    "±{} in",
                    trimmed(figure / crate::units::MILLIMETRES_PER_INCH, 3)
                )
            }
        }
    }
}

fn faults(all: &Makings) -> Vec<FaultReport> {
    let mut list: Vec<FaultReport> = (Fault::ALL.into_iter())
        .map(|fault| FaultReport {
            id: fault.id(),
            says: fault.says(),
            spoils: fault.spoils(),
            share: all.share(|made| made.faults.has(fault)).share,
            first: all.share(|made| made.faults.first() == Some(fault)).share,
        })
        .filter(|fault| fault.share > 0.0)
        .collect();
    list.sort_by(|a, b| b.spoils.cmp(&a.spoils).then(b.share.total_cmp(&a.share)));
    list
}

fn left(plan: &Plan, all: &Makings, perfect: Made) -> Vec<LeftReport> {
    let of = |what, size: fn(&Made) -> Option<f64>, limit| {
        let mut sizes: Vec<f64> = all.made.iter().filter_map(size).collect();
        sizes.sort_by(f64::total_cmp);
        let at = |share: f64| sizes.get((share * sizes.len() as f64) as usize).copied();
        Some(LeftReport {
            what,
            low: at(0.05)?,
            middle: at(0.5)?,
            planned: size(&perfect)?,
            limit,
        })
    };
    [
        of("web", |made| made.web, plan.limits.web),
        of("neck", |made| made.neck, plan.limits.neck),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// A share in percent, whole but near its ends.
fn percent(share: f64) -> String {
    let percent = 100.0 * share;
    let places = match percent.min(100.0 - percent) {
        0.0 => 0,
        near if near < 0.1 => 2,
        near if near < 1.0 => 1,
        _ => 0,
    };
    format!("{} %", trimmed(percent, places))
}

fn says(report: &TrialReport) -> Vec<String> {
    let mut says = vec![format!(
        "Of {} makings by a {} hand {} come out.",
        report.makings, report.hand, report.share.shown
    )];
    if !report.planned.is_empty() {
        says.push(format!(
            "The plan's own ball, made without any error, already has: {}. Mend that first.",
            report.planned.join("; ")
        ));
    }
    if let Some(worst) = report.faults.iter().find(|fault| fault.spoils) {
        says.push(format!(
            "What fails most: {} ({} of makings).",
            worst.says,
            percent(worst.share)
        ));
    }
    if let Some(most) = report.accuracies.first().filter(|most| most.gain > 0.005) {
        says.push(format!(
            "What matters most: {}, now {}. Perfect, it would bring {} more through.",
            most.label,
            most.shown,
            percent(most.gain)
        ));
    }
    says.push(match report.nine_of_ten {
        None => "Not even a perfect hand brings nine of ten through: change the plan.".to_owned(),
        Some(scale) if scale >= WIDEST => {
            "Nine of ten come out even with a hand four times as rough.".to_owned()
        }
        Some(scale) if scale >= 1.0 => format!(
            "Nine of ten come out with a hand up to {} times as rough as this.",
            trimmed(scale, 1)
        ),
        Some(scale) => format!(
            "For nine of ten every figure must be {} of what it is.",
            percent(scale)
        ),
    });
    if let Some(needed) = report.accuracies.iter().find(|each| each.needed.is_some())
        && let Some(figure) = &needed.needed_shown
    {
        says.push(format!(
            "Or, all else as it is: {} within {figure}.",
            needed.label
        ));
    }
    if let Some(change) = report.changes.first().filter(|change| change.gain > 0.005) {
        says.push(format!(
            "The change that buys most: {}: then {} come out.",
            change.says,
            percent(change.share)
        ));
    }
    says
}
