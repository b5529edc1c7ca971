//! What is known of the wood's dust.

use super::kind::{self, advice};
use crate::report::Finding;
use crate::study::Study;

/// Reported reactions, in plain words.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    let Ok(wood) = rondure_wood::find(&study.plan.wood.species) else {
        return Vec::new();
    };
    wood.cautions
        .iter()
        .map(|caution| {
            kind::WOOD_CAUTION
                .says(caution.in_words())
                .against(0.0, 0.0, "count")
                .mended_by([advice("Extract dust at the source, wear a mask, and stop if skin, eyes or breath complain. No reaction noted is not evidence of safety.")])
        })
        .collect()
}
