//! The batches: what each set-up of each plan holds, uses and sets, in the order of the run.

use super::file::Asked;
use super::times::{self, Figure};
use super::work::{self, Chain, Job};
use super::{Setting, Sheet, Work};
use crate::bench::written;
use crate::form::coved_ball::Expanded;
use crate::plan::Plan;

/// One set-up as it stands in the run.
struct OneJob {
    piece: usize,
    kind: &'static str,
    title: String,
    times: u32,
    diameter: f64,
    job: Job,
    settings: Vec<Setting>,
}

/// The order of work over the run.
pub(super) fn work(asked: &Asked, expanded: &[Expanded], figures: &[Figure]) -> Work {
    let mut chains = Vec::new();
    let mut jobs: Vec<Vec<OneJob>> = Vec::new();
    let mut by_piece: Vec<Vec<usize>> = Vec::new();
    for (piece, (wanted, expanded)) in asked.pieces.iter().zip(expanded).enumerate() {
        let made = chains_of(piece, &wanted.plan, expanded);
        let first = chains.len();
        let assembly = made.len() - 1;
        by_piece.push((first..first + made.len()).collect());
        for (number, chain) in made.into_iter().enumerate() {
            chains.push(Chain {
                jobs: chain.iter().map(|one| one.job.clone()).collect(),
                after: if number == assembly {
                    (first..first + assembly).collect()
                } else {
                    Vec::new()
                },
            });
            jobs.push(chain);
        }
    }
    let worked = work::order(&chains);
    let one_by_one = by_piece.iter().fold((0, 0), |sum, own| {
        let alone: Vec<Chain> = own
            .iter()
            .map(|chain| Chain {
                after: chains[*chain]
                    .after
                    .iter()
                    .map(|other| other - own[0])
                    .collect(),
                ..chains[*chain].clone()
            })
            .collect();
        let alone = work::order(&alone);
        (sum.0 + alone.holdings, sum.1 + alone.bits)
    });
    let used = |kind: &str| {
        figures
            .iter()
            .find(|figure| figure.kind == kind)
            .map_or(0.0, |figure| figure.used)
    };
    let (mut holding, mut bit) = (String::new(), String::new());
    let mut sheets = Vec::new();
    for (chain, place) in worked.order {
        let one = &jobs[chain][place];
        let wanted = &asked.pieces[one.piece];
        let change_holding = one.job.holding != holding;
        holding.clone_from(&one.job.holding);
        let mut changes = 0;
        for each in &one.job.bits {
            changes += usize::from(*each != bit);
            bit.clone_from(each);
        }
        let each = times::reckoned(used(one.kind), one.diameter) * f64::from(one.times);
        sheets.push(Sheet {
            title: one.title.clone(),
            piece: wanted.plan.title.clone(),
            count: wanted.count,
            holding: one.job.holding.clone(),
            change_holding,
            bits: one.job.bits.clone(),
            settings: one.settings.clone(),
            minutes: each * f64::from(wanted.count)
                + f64::from(u8::from(change_holding)) * used("change_jaws")
                + changes as f64 * used("change_bit"),
        });
    }
    Work {
        sheets,
        holdings: worked.holdings,
        bits: worked.bits,
        one_by_one,
        proven: worked.proven,
    }
}

/// The chains of one piece: the ball, each finial, and last the assembly.
fn chains_of(piece: usize, plan: &Plan, expanded: &Expanded) -> Vec<Vec<OneJob>> {
    let process = &expanded.process;
    let jaws = expanded
        .stock
        .jaws
        .as_ref()
        .map_or_else(|| "the chuck".to_owned(), |jaws| jaws.name.clone());
    let pin = format!("pin of {}", written(plan, plan.bore.diameter));
    let mut chains: Vec<Vec<OneJob>> = process.pieces.iter().map(|_| Vec::new()).collect();
    let mut last = Vec::new();
    let mut mountings = 0;
    for setup in &process.setups {
        let (kind, holding) = match setup.id.split('.').next() {
            Some("rough") => ("rough", "between centres".to_owned()),
            Some("ball") => ("ball", jaws.clone()),
            Some("second-end") => ("second-end", pin.clone()),
            Some("mounting") => ("mounting", "between centres, across the ball".to_owned()),
            Some("pierce") => ("pierce", pin.clone()),
            Some("finial") => {
                let across = match setup.id.as_str() {
                    "finial.top" => plan.finials.top.as_ref(),
                    _ => plan.finials.bottom.as_ref(),
                };
                let jaws = across.and_then(|finial| plan.rack.jaws_for_spigot(finial.blank_across));
                (
                    "finial",
                    jaws.map_or_else(|| "the chuck".to_owned(), |jaws| jaws.name.clone()),
                )
            }
            _ => ("assembly", "at the bench".to_owned()),
        };
        let measures = || setup.steps.iter().flat_map(|step| &step.measures);
        let mut bits: Vec<String> = measures()
            .filter(|measure| measure.id.ends_with(".bit"))
            .map(|measure| measure.tool.clone())
            .collect();
        if kind == "finial" {
            let hanger = setup
                .steps
                .iter()
                .filter(|step| step.id.ends_with(".hanger"));
            bits.extend(hanger.filter_map(|step| step.tool.clone()));
        }
        bits.dedup();
        let mut settings: Vec<Setting> = Vec::new();
        for measure in measures() {
            let setting = Setting {
                label: measure.label.clone(),
                shown: measure.shown.clone(),
                tool: measure.tool.clone(),
            };
            if !settings.contains(&setting) {
                settings.push(setting);
            }
        }
        let chain = if kind == "assembly" {
            &mut last
        } else {
            &mut chains[setup.piece]
        };
        if kind == "mounting" {
            mountings += 1;
            // All mountings of a ball are one batch: it goes from mark to mark, the tools stay.
            if let Some(before) = chain
                .last_mut()
                .filter(|job: &&mut OneJob| job.kind == kind)
            {
                before.times += 1;
                before.title = format!("Mountings, {mountings} of each ball");
                for setting in settings {
                    if !before.settings.contains(&setting) {
                        before.settings.push(setting);
                    }
                }
                continue;
            }
        }
        chain.push(OneJob {
            piece,
            kind,
            title: setup.title.clone(),
            times: 1,
            diameter: 2.0 * expanded.layout.radius,
            job: Job { holding, bits },
            settings,
        });
    }
    chains.push(last);
    chains
}
