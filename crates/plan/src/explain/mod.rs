//! The why of every finding and measure, in plain words, with the drawing that shows it.
//!
//! Identifiers are those of docs/findings.md and docs/measures.md; a test holds that none lacks its
//! words. What a plan makes of it (the value, the limit, the mends) stands in its report; here stands
//! what any plan's figure means, why the trade asks for it, and how it is worked out.

mod findings;
mod measures;
mod picture;

pub use picture::picture;

/// What an identifier means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Explanation {
    /// Why it matters and how it is worked out.
    pub why: &'static str,
    /// Which drawing shows it: its identifier among the plan's figures, `END` standing for the
    /// finial's end; empty where no drawing helps.
    pub drawing: &'static str,
}

/// The explanation of a finding or a measure; none where there is no such identifier.
pub fn explain(id: &str) -> Option<Explanation> {
    findings::WORDS
        .iter()
        .find(|(known, ..)| *known == id)
        .or_else(|| measures::WORDS.iter().find(|(known, ..)| fits(known, id)))
        .map(|(_, drawing, why)| Explanation { why, drawing })
}

/// Every identifier that is explained, findings first; `*` stands for one part of it, such as the
/// number of a mounting.
pub fn identifiers() -> impl Iterator<Item = &'static str> {
    findings::WORDS
        .iter()
        .chain(measures::WORDS)
        .map(|(id, ..)| *id)
}

/// Whether an identifier has the parts of a pattern, `*` standing for any one.
fn fits(pattern: &str, id: &str) -> bool {
    let mut wanted = pattern.split('.');
    let mut parts = id.split('.');
    loop {
        match (wanted.next(), parts.next()) {
            (None, None) => return true,
            (Some(wanted), Some(part)) if wanted == "*" || wanted == part => {}
            _ => return false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::kind;

    #[test]
    fn no_finding_lacks_its_words() {
        let known: Vec<&str> = findings::WORDS.iter().map(|(id, ..)| *id).collect();
        let kinds: Vec<&str> = kind::ALL
            .iter()
            .chain(kind::HOLD)
            .map(|kind| kind.id)
            .collect();
        let missing: Vec<_> = kinds.iter().filter(|id| !known.contains(id)).collect();
        let idle: Vec<_> = known.iter().filter(|id| !kinds.contains(id)).collect();
        assert!(
            missing.is_empty() && idle.is_empty(),
            "{missing:?} {idle:?}"
        );
    }

    /// A why is more than a label: a sentence or two, ended, and of its own.
    #[test]
    fn words_are_sentences_of_their_own() {
        let mut seen = std::collections::BTreeSet::new();
        for (id, _, why) in findings::WORDS.iter().chain(measures::WORDS) {
            assert!(why.len() > 60 && why.ends_with('.'), "{id}: {why}");
            assert!(seen.insert(id), "{id} twice");
        }
    }

    #[test]
    fn patterns_stand_for_one_part() {
        assert!(fits("mounting.*.edges.half", "mounting.3.edges.half"));
        assert!(!fits("mounting.*.edges", "mounting.3.edges.half"));
        assert!(explain("mounting.12.cove.gauge").is_some());
        assert!(explain("cove.colour").is_none());
    }
}
