//! Every card of a coved ball, in the order of the work.

use crate::figure::Template;
use crate::report::Measure;
use crate::study::Study;

use super::{finial_cards, gauges, settings, stations};

/// Draws the cards.
pub fn draw(study: &Study<'_>) -> Vec<Template> {
    let first: [fn(&Study<'_>) -> Option<Template>; 5] = [
        stations::facets,
        gauges::round_ring,
        gauges::ball,
        gauges::edge_ring,
        gauges::cove,
    ];
    let mut cards: Vec<Template> = first.iter().filter_map(|make| make(study)).collect();
    for (end, _, laid) in &study.expanded.finials {
        cards.push(finial_cards::profile(study, *end, laid));
        cards.push(finial_cards::stick(study, *end, laid));
    }
    let last: [fn(&Study<'_>) -> Option<Template>; 3] =
        [settings::depths, settings::dividers, settings::callipers];
    cards.extend(last.iter().filter_map(|make| make(study)));
    cards
}

/// Every number to set, in order.
pub fn measures<'a>(study: &'a Study<'_>) -> impl Iterator<Item = &'a Measure> {
    let setups = study.expanded.process.setups.iter();
    setups.flat_map(|setup| setup.steps.iter().flat_map(|step| &step.measures))
}
