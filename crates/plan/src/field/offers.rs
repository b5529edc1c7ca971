//! What the rack and the tables offer for a value.

use super::Offer;
use crate::bench::written;
use crate::plan::Plan;
use crate::rack::{BitKind, CentreKind, SMALL_WORKSHOP, SMALL_WORKSHOP_INCHES};

fn plain(word: &str) -> Offer {
    Offer {
        written: word.to_owned(),
        label: word.to_owned(),
    }
}

/// Words that say themselves what they are.
pub(super) fn words<'w>(words: impl IntoIterator<Item = &'w str>) -> Vec<Offer> {
    words.into_iter().map(plain).collect()
}

/// The bits of some kinds, each diameter once, small to large.
pub(super) fn bits(plan: &Plan, kinds: &[BitKind]) -> Vec<Offer> {
    plan.rack
        .bit_sizes(kinds)
        .into_iter()
        .map(|size| Offer {
            written: written(plan, size),
            label: crate::bench::bit_name(plan, size, kinds),
        })
        .collect()
}

/// The jaws, with the spigots they take.
pub(super) fn jaws(plan: &Plan) -> Vec<Offer> {
    let list = plan.rack.jaws.iter().map(|jaws| Offer {
        written: jaws.name.clone(),
        label: jaws.spigot.map_or_else(
            || jaws.name.clone(),
            |grip| {
                format!(
                    "{}, spigots of {} to {}",
                    jaws.name,
                    written(plan, grip.smallest),
                    written(plan, grip.largest)
                )
            },
        ),
    });
    list.collect()
}

/// The centres of one kind.
pub(super) fn centres(plan: &Plan, kind: CentreKind) -> Vec<Offer> {
    let centres = plan
        .rack
        .centres
        .iter()
        .filter(|centre| centre.kind == kind);
    centres
        .map(|centre| Offer {
            written: centre.name.clone(),
            label: format!("{}, {} across", centre.name, written(plan, centre.diameter)),
        })
        .collect()
}

/// Counts of marks that the index head gives: even, 4 to 48.
pub(super) fn marks(plan: &Plan) -> Vec<Offer> {
    (4..=48_u32)
        .step_by(2)
        .filter_map(|count| {
            let choice = plan.rack.index_for(count)?;
            Some(Offer {
                written: count.to_string(),
                label: format!("{count}, every {} of {} holes", choice.every, choice.holes),
            })
        })
        .collect()
}

/// The woods of the table.
pub(super) fn woods() -> Vec<Offer> {
    rondure_wood::list()
        .iter()
        .map(|row| Offer {
            written: row.name.to_owned(),
            label: format!("{} ({})", row.name, row.latin),
        })
        .collect()
}

/// The built-in racks, and the plan's own where it is neither.
pub(super) fn racks(plan: &Plan) -> Vec<Offer> {
    let mut racks = words([SMALL_WORKSHOP, SMALL_WORKSHOP_INCHES]);
    let source = &plan.source;
    let own = source
        .places
        .get("rack")
        .and_then(|place| source.text.get(place.clone()));
    if let Some(own) = own
        .map(|own| own.trim_matches(['"', '\'']))
        .filter(|own| racks.iter().all(|rack| rack.written != *own))
    {
        racks.push(plain(own));
    }
    racks
}
