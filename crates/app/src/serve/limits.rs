//! Where, over a value's slider, each finding begins and ends.
//!
//! The slider's range is sampled evenly, all samples in parallel; then wherever two
//! neighbouring samples differ in what is found, the place between is looked at, down to the
//! slider's own step. What is told is what was found at values that were tried: a span
//! begins and ends at a tried value, and a finding that comes and goes between two samples
//! with none of it at either may be missed.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;
use rondure_plan::Memory;
use rondure_plan::bench::trimmed;
use rondure_plan::field::{Field, FieldKind, FieldRange, fields};
use rondure_plan::findings;
use rondure_plan::form::coved_ball::expand;
use rondure_plan::plan::Plan;
use rondure_plan::reader::Problems;
use rondure_plan::report::Weight;
use rondure_plan::study::Study;

use super::answer::Refused;
use super::jobs::{Job, cancelled};
use super::wire::{Limits, Span};

/// Samples of the whole range before borders are looked for.
const SAMPLES: usize = 17;
/// Most samples in all; a plan whose findings come and go at every step stays bounded.
const MOST: usize = 160;
/// What a value is found to be that makes no plan.
const UNREADABLE: &str = "unreadable";

/// What is found at one value, by kind of finding.
type Found = BTreeMap<&'static str, (Weight, String)>;

/// Looks for the limits of one value of a plan.
///
/// # Errors
/// Where the value has no slider, or the job is cancelled.
pub fn limits(plan: &Plan, memory: &Memory, key: &str, job: &Job) -> Result<Limits, Refused> {
    let (field, range) = slider(plan, key)?;
    let count = steps(&range);
    let mut tried: BTreeMap<usize, Found> = BTreeMap::new();
    let mut wanted: Vec<usize> = (0..SAMPLES).map(|k| k * count / (SAMPLES - 1)).collect();
    wanted.dedup();
    let done = Mutex::new(0);
    while !wanted.is_empty() && tried.len() < MOST {
        let of = tried.len() + wanted.len();
        let found: Vec<Option<(usize, Found)>> = wanted
            .par_iter()
            .map(|&step| {
                job.give_way();
                if job.is_cancelled() {
                    return None;
                }
                let found = found(plan, memory, &field, value(&range, step));
                // Counted and told in one, so that it never goes back.
                let mut done = done.lock().unwrap_or_else(PoisonError::into_inner);
                *done += 1;
                job.progress(*done, of);
                drop(done);
                Some((step, found))
            })
            .collect();
        for sample in found {
            let (step, found) = sample.ok_or_else(cancelled)?;
            tried.insert(step, found);
        }
        wanted = borders(&tried);
        if !wanted.is_empty() {
            job.part(&told(key, &range, &tried));
        }
    }
    Ok(told(key, &range, &tried))
}

fn slider(plan: &Plan, key: &str) -> Result<(Field, FieldRange), Refused> {
    let field = fields(plan)
        .into_iter()
        .find(|field| field.key == key)
        .ok_or_else(|| Refused::missing(format!("The plan has no value {key}.")))?;
    let range = field.range.ok_or_else(|| {
        Refused::cannot(format!("{key} has no slider, so no range to look through."))
    })?;
    if !(range.step > 0.0 && range.to > range.from) {
        return Err(Refused::cannot(format!("The range of {key} is empty.")));
    }
    Ok((field, range))
}

/// Steps from one end of the range to the other; the last may be shorter.
fn steps(range: &FieldRange) -> usize {
    ((range.to - range.from) / range.step - 1e-6)
        .ceil()
        .max(1.0) as usize
}

/// The value at a step, to the millionth: what is written into the plan, and no more.
fn value(range: &FieldRange, step: usize) -> f64 {
    let value = (range.from + step as f64 * range.step).min(range.to);
    (1e6 * value).round() / 1e6
}

/// The value as a turner would write it in the plan.
fn written(field: &Field, value: f64) -> String {
    let number = trimmed(value, 6);
    match field.kind {
        FieldKind::Length => format!("{number} {}", field.unit),
        _ => number,
    }
}

/// What is found with the value; on trial, so no mends are worked out.
fn found(plan: &Plan, memory: &Memory, field: &Field, value: f64) -> Found {
    let Ok(text) = plan.set(&field.key, &written(field, value)) else {
        return unreadable(format!("{} cannot be set", field.key));
    };
    let rack = |_: &str| {
        plan.source
            .rack_text
            .clone()
            .ok_or_else(|| "the rack is built in".to_owned())
    };
    let changed = match Plan::read(&text, &plan.source.file, &rack) {
        Ok(changed) => changed,
        Err(problems) => return unreadable(first(&problems)),
    };
    let expanded = match expand(&changed) {
        Ok(expanded) => expanded,
        Err(problems) => return unreadable(first(&problems)),
    };
    let mut study = Study::with_memory(&changed, expanded, memory);
    study.trial = true;
    let mut found = Found::new();
    // The gravest come first, and the first of a kind stays.
    for finding in findings::find(&study) {
        if finding.weight != Weight::Note {
            found
                .entry(finding.id)
                .or_insert((finding.weight, finding.says));
        }
    }
    found
}

fn unreadable(says: String) -> Found {
    Found::from([(UNREADABLE, (Weight::Stops, says))])
}

fn first(problems: &Problems) -> String {
    match problems.list.first() {
        Some(problem) => format!("found {}; allowed is {}", problem.found, problem.allowed),
        None => "this makes no plan".to_owned(),
    }
}

/// Steps halfway between neighbours that differ in what is found, or in how grave it is.
fn borders(tried: &BTreeMap<usize, Found>) -> Vec<usize> {
    let kinds = |found: &Found| -> Vec<(&'static str, Weight)> {
        found
            .iter()
            .map(|(id, (weight, _))| (*id, *weight))
            .collect()
    };
    tried
        .iter()
        .zip(tried.iter().skip(1))
        .filter(|((low, left), (high, right))| *high - *low > 1 && kinds(left) != kinds(right))
        .map(|((low, _), (high, _))| low.midpoint(*high))
        .collect()
}

/// Neighbouring samples with the same finding of the same weight, as one span.
fn told(key: &str, range: &FieldRange, tried: &BTreeMap<usize, Found>) -> Limits {
    let mut open: BTreeMap<(&'static str, Weight), Span> = BTreeMap::new();
    let mut spans = Vec::new();
    for (&step, found) in tried {
        let at = value(range, step);
        let ended: Vec<_> = open
            .keys()
            .filter(|(id, weight)| found.get(id).is_none_or(|(now, _)| now != weight))
            .copied()
            .collect();
        spans.extend(ended.iter().filter_map(|kind| open.remove(kind)));
        for (&id, (weight, says)) in found {
            open.entry((id, *weight))
                .or_insert_with(|| Span {
                    from: at,
                    to: at,
                    id: id.to_owned(),
                    weight: *weight,
                    says: says.clone(),
                })
                .to = at;
        }
    }
    spans.extend(open.into_values());
    spans.sort_by(|a, b| {
        a.from
            .total_cmp(&b.from)
            .then(a.weight.cmp(&b.weight))
            .then(a.id.cmp(&b.id))
    });
    Limits {
        key: key.to_owned(),
        from: range.from,
        to: range.to,
        spans,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn samples(list: &[(usize, &[(&'static str, Weight)])]) -> BTreeMap<usize, Found> {
        let found = |kinds: &[(&'static str, Weight)]| {
            kinds
                .iter()
                .map(|(id, weight)| (*id, (*weight, String::new())))
                .collect()
        };
        list.iter()
            .map(|(step, kinds)| (*step, found(kinds)))
            .collect()
    }

    #[test]
    fn borders_are_halved_down_to_a_step() {
        let (thin, stops) = (("web.thin", Weight::Watch), ("web.thin", Weight::Stops));
        let tried = samples(&[(0, &[]), (8, &[]), (16, &[thin]), (24, &[stops]), (25, &[])]);
        assert_eq!(borders(&tried), [12, 20]);
    }

    #[test]
    fn spans_join_neighbours_of_one_weight() {
        let (thin, stops) = (("web.thin", Weight::Watch), ("web.thin", Weight::Stops));
        let range = FieldRange {
            from: 2.0,
            to: 4.0,
            step: 0.1,
        };
        let tried = samples(&[(0, &[thin]), (5, &[thin]), (6, &[stops]), (20, &[stops])]);
        let limits = told("cove.depth", &range, &tried);
        let ends: Vec<_> = limits
            .spans
            .iter()
            .map(|span| (span.from, span.to, span.weight))
            .collect();
        assert_eq!(ends, [(2.0, 2.5, Weight::Watch), (2.6, 4.0, Weight::Stops)]);
        assert_eq!((steps(&range), value(&range, 20)), (20, 4.0));
        // 2 + 12 × 0.1 is not 3.2 in binary numbers.
        assert_eq!(value(&range, 12), 3.2);
    }
}
