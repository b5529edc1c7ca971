//! What has been reported about reactions to a wood, in plain words, and what holds for all wood dust.
//!
//! The species list rests mainly on one list of 1990 and on timber data pages; it is short, old and not medical advice.
//! A wood without an entry is a wood nobody reported in the pages seen. It is not a safe wood.

use crate::sourced::Status;
use crate::table::{Row, Table, TableError};

const CAUTIONS: &str = include_str!("../data/cautions.csv");

/// The sentence that must stand beside every wood without an entry.
pub const NOT_EVIDENCE_OF_SAFETY: &str =
    "No reaction noted in the sources seen; that is not evidence of safety.";

/// A kind of reaction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reaction {
    /// Irritates on contact.
    Irritant,
    /// Brings on an allergy that returns with ever less dust.
    Sensitizer,
    /// Suspected of causing cancer, of the nose in particular.
    Cancer,
    /// Inflames the lungs as an allergy.
    Pneumonitis,
    /// Poisonous in itself.
    DirectToxin,
    /// Makes sick.
    Nausea,
}

/// Where a reaction shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Site {
    /// Eyes.
    Eyes,
    /// Skin.
    Skin,
    /// Nose, throat and lungs.
    Lungs,
    /// Heart.
    Heart,
    /// Stomach.
    Stomach,
}

/// The part of the tree that causes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Dust.
    Dust,
    /// Leaves and bark.
    LeavesAndBark,
    /// The wood itself.
    Wood,
}

/// How often it was met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Incidence {
    /// Rare.
    Rare,
    /// Common.
    Common,
    /// Not known.
    Unknown,
}

/// One report about one wood or group of woods.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution {
    /// The name the source lists it under; often a whole group, such as "Maple (spalted)".
    pub listed_as: String,
    /// Kinds of reaction.
    pub reactions: Vec<Reaction>,
    /// Where it shows.
    pub sites: Vec<Site>,
    /// Strength on the source's scale of 1 to 4, or none where the source gives none.
    pub strength: Option<u8>,
    /// Parts that cause it.
    pub parts: Vec<Part>,
    /// How often it was met, where the source says.
    pub incidence: Option<Incidence>,
    /// The report in the source's terms, where it is no coded entry.
    pub text: String,
    /// Where it was seen.
    pub source: String,
    /// How far it can be trusted.
    pub status: Status,
    /// How the entry was read for this wood. Mostly empty.
    pub note: String,
    /// A state of the wood it is limited to, such as "spalted". Empty when it holds for all of it.
    pub only_when: String,
    /// Beginnings of botanical names it holds for.
    latin_begins: Vec<String>,
}

/// A sentence with its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Statement {
    /// The sentence.
    pub text: &'static str,
    /// Where it was seen.
    pub source: &'static str,
    /// How far it can be trusted.
    pub status: Status,
}

/// What holds for the dust of every wood.
pub fn dust_advice() -> &'static [Statement] {
    &[
        Statement {
            text: "Dust of every wood can harm, and hardwood dust is linked with cancer of the nose: catch it with powered extraction, above all when sanding.",
            source: "a national turners' association's safety sheet; a UK turning-club summary of HSE guidance",
            status: Status::Verified,
        },
        Statement {
            text: "Wear a mask or powered hood of protection factor 20 (FFP3) for what extraction leaves; a half mask for less than an hour, a powered hood beyond.",
            source: "shopfitters.org; awgb.co.uk dust policy",
            status: Status::Verified,
        },
        Statement {
            text: "UK limits over eight hours: 3 mg/m³ for hardwood dust, 5 mg/m³ for softwood dust; mixed dust counts as hardwood. Extraction is tested every 14 months.",
            source: "hse.gov.uk/woodworking/wooddust.htm; shopfitters.org",
            status: Status::Verified,
        },
        Statement {
            text: "Follow the maker's instructions for the machine and the mask, and the rules where you work; ask a doctor if you react.",
            source: "common practice, no source",
            status: Status::FromMemory,
        },
    ]
}

impl Caution {
    /// The report as one plain sentence, without its source.
    pub fn in_words(&self) -> String {
        let mut sentence = format!("{}: ", self.listed_as);
        if !self.only_when.is_empty() {
            sentence.push_str(&format!("only when {}: ", self.only_when));
        }
        if self.text.is_empty() || !self.reactions.is_empty() {
            let kinds: Vec<_> = self.reactions.iter().map(|r| r.words()).collect();
            let kinds = if kinds.is_empty() {
                "reaction of a kind not stated".to_owned()
            } else {
                kinds.join(", ")
            };
            sentence.push_str(&kinds);
            let sites: Vec<_> = self.sites.iter().map(|s| s.words()).collect();
            if !sites.is_empty() {
                sentence.push_str(&format!("; acts on {}", sites.join(", ")));
            }
            let parts: Vec<_> = self.parts.iter().map(|p| p.words()).collect();
            if !parts.is_empty() {
                sentence.push_str(&format!("; from {}", parts.join(", ")));
            }
            if let Some(strength) = self.strength {
                sentence.push_str(&format!("; strength {strength} of 4"));
            }
            if let Some(incidence) = self.incidence {
                sentence.push_str(incidence.words());
            }
        }
        if !self.text.is_empty() {
            if !self.reactions.is_empty() {
                sentence.push_str("; ");
            }
            sentence.push_str(&self.text);
        }
        if !self.note.is_empty() {
            sentence.push_str(&format!(" ({})", self.note));
        }
        sentence.push('.');
        sentence
    }
}

impl Reaction {
    /// The reaction in plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Irritant => "irritant",
            Self::Sensitizer => "sensitizer (an allergy that can grow with each exposure)",
            Self::Cancer => "suspected of causing cancer",
            Self::Pneumonitis => "allergic inflammation of the lungs",
            Self::DirectToxin => "poisonous in itself",
            Self::Nausea => "nausea",
        }
    }

    fn read(code: &str) -> Option<Self> {
        Some(match code {
            "I" => Self::Irritant,
            "S" => Self::Sensitizer,
            "C" => Self::Cancer,
            "P" => Self::Pneumonitis,
            "DT" => Self::DirectToxin,
            "N" => Self::Nausea,
            _ => return None,
        })
    }
}

impl Site {
    /// The site in plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Eyes => "eyes",
            Self::Skin => "skin",
            Self::Lungs => "lungs and airways",
            Self::Heart => "heart",
            Self::Stomach => "stomach",
        }
    }

    fn read(code: &str) -> Option<Self> {
        Some(match code {
            "E" => Self::Eyes,
            "S" => Self::Skin,
            "R" => Self::Lungs,
            "C" => Self::Heart,
            "N" => Self::Stomach,
            _ => return None,
        })
    }
}

impl Part {
    /// The part in plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Dust => "dust",
            Self::LeavesAndBark => "leaves and bark",
            Self::Wood => "the wood itself",
        }
    }

    fn read(code: &str) -> Option<Self> {
        Some(match code {
            "D" => Self::Dust,
            "LB" => Self::LeavesAndBark,
            "W" => Self::Wood,
            _ => return None,
        })
    }
}

impl Incidence {
    fn words(self) -> &'static str {
        match self {
            Self::Rare => ", rare",
            Self::Common => ", common",
            Self::Unknown => ", how often is not known",
        }
    }
}

/// Reads the built-in list.
pub(crate) fn read() -> Result<Vec<Caution>, TableError> {
    let table = Table::read("cautions.csv", CAUTIONS)?;
    table.rows().map(read_row).collect()
}

fn read_row(row: Row<'_>) -> Result<Caution, TableError> {
    let strength = match row.text("strength")? {
        "" | "?" => None,
        plus if plus.len() <= 4 && plus.bytes().all(|b| b == b'+') => Some(plus.len() as u8),
        other => return Err(row.error(format!("strength {other:?} is not known"))),
    };
    let incidence = match row.text("incidence")? {
        "" => None,
        "R" => Some(Incidence::Rare),
        "C" => Some(Incidence::Common),
        "U" => Some(Incidence::Unknown),
        other => return Err(row.error(format!("incidence {other:?} is not known"))),
    };
    let status = row.text("status")?;
    Ok(Caution {
        listed_as: row.text("listed_as")?.to_owned(),
        reactions: codes(row, "reactions", Reaction::read)?,
        sites: codes(row, "sites", Site::read)?,
        strength,
        parts: codes(row, "parts", Part::read)?,
        incidence,
        text: row.text("text")?.to_owned(),
        source: row.text("source")?.to_owned(),
        status: Status::read(status)
            .ok_or_else(|| row.error(format!("status {status:?} is not known")))?,
        note: row.text("note")?.to_owned(),
        only_when: row.text("only_when")?.to_owned(),
        latin_begins: row
            .text("latin_begins")?
            .split(';')
            .map(str::to_owned)
            .collect(),
    })
}

fn codes<T>(
    row: Row<'_>,
    column: &str,
    read: impl Fn(&str) -> Option<T>,
) -> Result<Vec<T>, TableError> {
    row.text(column)?
        .split_whitespace()
        .map(|code| read(code).ok_or_else(|| row.error(format!("{column}: {code:?} is not known"))))
        .collect()
}

/// The reports that hold for a botanical name: the genus or species listed is where the name begins, word by word.
pub(crate) fn of(latin: &str, cautions: &[Caution]) -> Vec<Caution> {
    let holds = |begin: &String| {
        latin
            .strip_prefix(begin.as_str())
            .is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
    };
    cautions
        .iter()
        .filter(|caution| caution.latin_begins.iter().any(holds))
        .cloned()
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{find, woods};

    /// woodbin.com/ref/wood-toxicity-table, as kept in the trade facts: the strongest entry of each wood.
    #[test]
    fn the_strong_ones_are_marked_as_in_the_published_list() {
        let strongest = |name: &str| {
            find(name)
                .unwrap()
                .cautions
                .iter()
                .filter_map(|c| c.strength)
                .max()
        };
        for name in ["European yew", "Brazilian rosewood", "Indian rosewood"] {
            assert_eq!(strongest(name), Some(4), "{name}");
        }
        for name in [
            "black locust",
            "greenheart",
            "iroko",
            "mansonia",
            "obeche",
            "olive",
            "satinwood",
            "western redcedar",
        ] {
            assert_eq!(strongest(name), Some(3), "{name}");
        }
        for name in [
            "European beech",
            "silver birch",
            "boxwood",
            "Gaboon ebony",
            "white oak",
            "black walnut",
            "teak",
            "zebrawood",
        ] {
            assert_eq!(strongest(name), Some(2), "{name}");
        }
    }

    #[test]
    fn speaks_plainly() {
        let beech = &find("European beech").unwrap().cautions[0];
        assert_eq!(
            beech.in_words(),
            "Beech: sensitizer (an allergy that can grow with each exposure), suspected of causing cancer; \
             acts on eyes, skin, lungs and airways; from leaves and bark, dust; strength 2 of 4, common."
        );
        let ash = find("European ash").unwrap();
        assert_eq!(
            ash.cautions[0].in_words(),
            "Ash: skin irritation, decrease in lung function reported."
        );
    }

    #[test]
    fn a_report_holds_for_its_genus_and_no_further() {
        assert!(
            find("field maple")
                .unwrap()
                .cautions
                .iter()
                .any(|c| c.listed_as == "Maple (spalted)")
        );
        // Walnut is listed for the black walnut alone, blackwood for the African.
        assert!(find("butternut").unwrap().cautions.is_empty());
        assert!(find("plum").unwrap().cautions.is_empty());
    }

    #[test]
    fn every_report_has_a_source_and_reaches_a_wood_or_waits_for_one() {
        let all = read().unwrap();
        assert_eq!(all.len(), 66);
        for caution in &all {
            assert!(!caution.source.is_empty());
            assert!(
                !caution.reactions.is_empty()
                    || !caution.text.is_empty()
                    || !caution.sites.is_empty()
            );
        }
        let reached = woods().iter().filter(|w| !w.cautions.is_empty()).count();
        assert!(reached > 90, "{reached}");
    }

    #[test]
    fn uk_limits_stand_with_their_source() {
        let limits = dust_advice()
            .iter()
            .find(|s| s.text.contains("UK limits"))
            .unwrap();
        assert!(limits.text.contains("3 mg/m³") && limits.source.contains("hse.gov.uk"));
    }
}
