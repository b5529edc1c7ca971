//! Looking for the value that mends a finding.
//!
//! Values are tried on the true solid: the plan is changed, read and expanded
//! again, and the check that made the finding is asked again.

use super::Check;
use crate::bench::written;
use crate::rack::BitKind;
use crate::study::Study;

/// Whether the plan with one value changed is valid and the check no longer finds `id` in it.
///
/// On a trial itself nothing clears: a mend of a mend is not looked for. Nor does anything where
/// mends are left out.
pub fn clears(study: &Study<'_>, check: Check, id: &str, key: &str, write: &str) -> bool {
    study
        .changed(key, write, |changed| {
            check(changed).iter().all(|finding| finding.id != id)
        })
        .unwrap_or(false)
}

/// The first of some values that clears a finding, where the values go from bad to good: all
/// before it are taken not to clear and all after it to clear.
pub fn first_of<T: Copy>(
    study: &Study<'_>,
    check: Check,
    id: &str,
    key: &str,
    values: impl IntoIterator<Item = T>,
    write: impl Fn(&T) -> String,
) -> Option<T> {
    let values: Vec<T> = values.into_iter().collect();
    let good = |index: usize| clears(study, check, id, key, &write(&values[index]));
    let last = values.len().checked_sub(1)?;
    // Growing strides find a good value without trying the hopelessly distant ones.
    let (mut low, mut high) = (None, 0);
    while !good(high) {
        if high == last {
            return None;
        }
        low = Some(high);
        high = (2 * high + 1).min(last);
    }
    while high - low.map_or(0, |low| low + 1) > 0 {
        let from = low.map_or(0, |low| low + 1);
        let middle = from + (high - from) / 2;
        if good(middle) {
            high = middle;
        } else {
            low = Some(middle);
        }
    }
    Some(values[high])
}

/// The length nearest to `bad` between it and `good`, in steps of `step` mm, that clears a finding;
/// none where not even `good` does. Assumes that what clears at one value clears nearer to `good`.
pub fn nearest_length(
    study: &Study<'_>,
    check: Check,
    id: &str,
    key: &str,
    bad: f64,
    good: f64,
    step: f64,
) -> Option<f64> {
    let way = if good > bad { 1.0 } else { -1.0 };
    let most = ((good - bad).abs() / step).floor() as i64;
    let value = |steps: i64| {
        // Whole multiples of the step, so that the written value is a round one.
        let raw = bad + way * steps as f64 * step;
        let snapped = if way > 0.0 {
            (raw / step).ceil()
        } else {
            (raw / step).floor()
        } * step;
        crate::bench::settable(study.plan, snapped, step)
    };
    let good_enough =
        |steps: i64| clears(study, check, id, key, &written(study.plan, value(steps)));
    let (mut low, mut high) = (0, most);
    if most < 1 || !good_enough(high) {
        return None;
    }
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if good_enough(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(value(high))
}

/// Diameters of the rack's bits of some kinds, ascending, each once, mm.
pub fn bit_sizes(study: &Study<'_>, kinds: &[BitKind]) -> Vec<f64> {
    study.plan.rack.bit_sizes(kinds)
}

/// Mark counts near the plan's that suit, nearest first: even, on the index head, 4 to 48.
pub fn mark_counts(study: &Study<'_>, suits: impl Fn(u32) -> bool) -> Vec<u32> {
    let now = study.plan.ball.marks;
    let mut counts: Vec<u32> = (4..=48)
        .step_by(2)
        .filter(|count| {
            *count != now && suits(*count) && study.plan.rack.index_for(*count).is_some()
        })
        .collect();
    counts.sort_by_key(|count| (count.abs_diff(now), *count));
    counts
}
