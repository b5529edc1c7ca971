//! The woods as rows of a table that a command line can print.

use crate::density::Density;
use crate::species::{Wood, woods};

/// One wood in brief.
#[derive(Clone, Debug, PartialEq)]
pub struct ListRow {
    /// The name in natural order.
    pub name: &'static str,
    /// The botanical name.
    pub latin: &'static str,
    /// Density at 12 % moisture, where a source gives the weight.
    pub weight_12: Option<Density>,
    /// Radial shrinkage green to ovendry, percent, where known.
    pub radial_shrinkage: Option<f64>,
    /// Tangential shrinkage green to ovendry, percent, where known.
    pub tangential_shrinkage: Option<f64>,
    /// Reported reactions: "+" to "++++" by the strongest, "noted" where no strength is given, empty where none were
    /// found, which is not evidence of safety.
    pub caution: &'static str,
    /// Whether every value of the row was seen at its source for this very wood.
    pub verified: bool,
}

/// All woods in brief, in the order of their names.
pub fn list() -> Vec<ListRow> {
    woods().iter().map(row).collect()
}

fn row(wood: &'static Wood) -> ListRow {
    let shown = [
        &wood.specific_gravity_basic,
        &wood.specific_gravity_12,
        &wood.radial_shrinkage,
        &wood.tangential_shrinkage,
    ];
    ListRow {
        name: &wood.name,
        latin: &wood.latin,
        weight_12: wood.density(12.0).ok(),
        radial_shrinkage: wood.radial_shrinkage.as_ref().map(|s| s.value),
        tangential_shrinkage: wood.tangential_shrinkage.as_ref().map(|s| s.value),
        caution: mark(wood),
        verified: shown
            .into_iter()
            .flatten()
            .all(|figure| figure.status == crate::Status::Verified),
    }
}

fn mark(wood: &Wood) -> &'static str {
    let reported = wood
        .cautions
        .iter()
        // An entry that only says that no reaction was noted is no caution.
        .filter(|caution| !caution.text.starts_with("no reactions noted"));
    let mut any = false;
    let mut strongest = 0;
    for caution in reported {
        any = true;
        // What holds only for spalted wood is noted, but does not mark the sound wood.
        if caution.only_when.is_empty() {
            strongest = strongest.max(caution.strength.unwrap_or(0));
        }
    }
    match (any, strongest) {
        (false, _) => "",
        (true, 0) => "noted",
        (true, 1) => "+",
        (true, 2) => "++",
        (true, 3) => "+++",
        (true, _) => "++++",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row_of(name: &str) -> ListRow {
        list().into_iter().find(|row| row.name == name).unwrap()
    }

    #[test]
    fn shows_weight_shrinkage_and_caution() {
        let cherry = row_of("black cherry");
        assert_eq!(cherry.weight_12.map(|d| d.kg_m3.round()), Some(560.0));
        assert_eq!(cherry.radial_shrinkage, Some(3.7));
        assert_eq!(cherry.tangential_shrinkage, Some(7.1));
        assert_eq!(cherry.caution, "");
        assert!(cherry.verified);
        assert_eq!(row_of("European yew").caution, "++++");
        assert_eq!(row_of("European ash").caution, "noted");
        assert_eq!(row_of("pear").caution, "");
        let maple = row_of("field maple");
        assert_eq!(maple.weight_12.map(|d| d.kg_m3.round()), Some(690.0));
        assert!(!maple.verified);
        // The strong entry for maple is for spalted maple only.
        assert_eq!(maple.caution, "noted");
    }

    #[test]
    fn what_is_not_known_is_left_blank() {
        let snakewood = row_of("snakewood");
        assert_eq!(snakewood.weight_12, None);
        assert_eq!(snakewood.radial_shrinkage, None);
        assert_eq!(snakewood.caution, "++");
    }
}
