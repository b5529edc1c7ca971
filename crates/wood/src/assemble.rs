//! Merges the tables of `data/` into one list of woods.
//!
//! Method: every table offers its figures, each with its source, in a fixed order of tables. For one property of one wood
//! figures that were seen stand before those of a related wood, and these before those from memory; otherwise the first
//! one offered is the value. Another that differs becomes a note and widens the spread. Nothing is averaged, and nothing
//! is filled in.
//!
//! Spread: the square root of the sum of two squares, the variation between trees and the largest disagreement.

use std::collections::BTreeMap;

use crate::cautions;
use crate::sourced::{Sourced, Status};
use crate::species::Wood;
use crate::table::{Row, Table, TableError};

const NAMES: &str = include_str!("../data/names.csv");
const EUROPEAN: &str = include_str!("../data/european.csv");
const SHRINKAGE: &str = include_str!("../data/shrinkage.csv");
const STRENGTH: &str = include_str!("../data/strength.csv");
const SPECIFIC_GRAVITY: &str = include_str!("../data/specific_gravity.csv");
const GREEN_MOISTURE: &str = include_str!("../data/green_moisture.csv");
const OTHER_SOURCES: &str = include_str!("../data/other_sources.csv");

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Property {
    SpecificGravityBasic,
    SpecificGravity12,
    Radial,
    Tangential,
    Volumetric,
    ModulusOfRupture,
    ModulusOfElasticity,
    CompressionParallel,
    CompressionPerpendicular,
    ShearParallel,
    TensionPerpendicular,
    FibreSaturation,
    GreenHeartwood,
    GreenSapwood,
}

impl Property {
    fn read(text: &str) -> Option<Self> {
        Some(match text {
            "specific_gravity_basic" => Self::SpecificGravityBasic,
            "specific_gravity_12" => Self::SpecificGravity12,
            "radial" => Self::Radial,
            "tangential" => Self::Tangential,
            "volumetric" => Self::Volumetric,
            "modulus_of_rupture" => Self::ModulusOfRupture,
            "modulus_of_elasticity" => Self::ModulusOfElasticity,
            "fibre_saturation" => Self::FibreSaturation,
            _ => return None,
        })
    }

    /// Coefficient of variation between trees. Wood Handbook table 5-6 and, for shrinkage, the text of chapter 4; all from
    /// memory. Fibre saturation: the handbook says it varies by several points (page 4-2), read here as 3 of 30.
    fn variation(self) -> f64 {
        match self {
            Self::SpecificGravityBasic | Self::SpecificGravity12 => 0.10,
            Self::Radial | Self::Tangential | Self::Volumetric => 0.15,
            Self::ModulusOfRupture => 0.16,
            Self::ModulusOfElasticity => 0.22,
            Self::CompressionParallel => 0.18,
            Self::CompressionPerpendicular => 0.28,
            Self::ShearParallel => 0.14,
            // The handbook gives 0.25 for tension along the grain; taken for across too.
            Self::TensionPerpendicular => 0.25,
            Self::FibreSaturation => 0.10,
            // The handbook warns that trees of one wood differ much (page 4-2); no figure is given, so a quarter.
            Self::GreenHeartwood | Self::GreenSapwood => 0.25,
        }
    }
}

/// Figures on offer, by wood and property, in order of preference.
type Offers = BTreeMap<(String, Property), Vec<Sourced<f64>>>;

/// Builds the list.
pub(crate) fn woods() -> Result<Vec<Wood>, TableError> {
    let mut offers = Offers::new();
    offer_long(&mut offers, "european.csv", EUROPEAN)?;
    offer_shrinkage(&mut offers)?;
    offer_strength(&mut offers)?;
    offer_specific_gravity(&mut offers)?;
    offer_green_moisture(&mut offers)?;
    offer_long(&mut offers, "other_sources.csv", OTHER_SOURCES)?;

    let cautions = cautions::read()?;
    let names = Table::read("names.csv", NAMES)?;
    let mut woods = Vec::new();
    for row in names.rows() {
        let name = row.text("wood")?.to_owned();
        let latin = row.text("latin")?.to_owned();
        let mut take = |property| offers.remove(&(name.clone(), property)).map(settle);
        woods.push(Wood {
            other_names: split_list(row.text("other_names")?),
            specific_gravity_basic: take(Property::SpecificGravityBasic),
            specific_gravity_12: take(Property::SpecificGravity12),
            radial_shrinkage: take(Property::Radial),
            tangential_shrinkage: take(Property::Tangential),
            volumetric_shrinkage: take(Property::Volumetric),
            modulus_of_rupture: take(Property::ModulusOfRupture),
            modulus_of_elasticity: take(Property::ModulusOfElasticity),
            compression_parallel: take(Property::CompressionParallel),
            compression_perpendicular: take(Property::CompressionPerpendicular),
            shear_parallel: take(Property::ShearParallel),
            tension_perpendicular: take(Property::TensionPerpendicular),
            fibre_saturation: take(Property::FibreSaturation)
                .unwrap_or_else(average_fibre_saturation),
            green_heartwood: take(Property::GreenHeartwood),
            green_sapwood: take(Property::GreenSapwood),
            cautions: cautions::of(&latin, &cautions),
            name,
            latin,
        });
    }
    if let Some(((name, _), _)) = offers.first_key_value() {
        return Err(TableError {
            table: "names.csv",
            line: 0,
            fault: format!("{name:?} has figures but is not listed"),
        });
    }
    woods.sort_by_key(|wood| wood.name.to_lowercase());
    Ok(woods)
}

/// Turns the figures on offer into one value with its note and spread.
///
/// A figure within 1 % of the value, or equal when rounded to two digits behind the point, is no disagreement.
fn settle(mut figures: Vec<Sourced<f64>>) -> Sourced<f64> {
    // Stable, so figures of equal standing keep the order of the tables.
    figures.sort_by_key(|figure| figure.status.rank());
    let mut chosen = figures.remove(0);
    let mut disagreement: f64 = 0.0;
    for other in figures {
        let difference = (other.value - chosen.value).abs();
        if difference <= (0.01 * chosen.value).max(0.005) {
            continue;
        }
        disagreement = disagreement.max(difference);
        if !chosen.note.is_empty() {
            chosen.note.push_str("; ");
        }
        let source = match (other.status, other.source.is_empty()) {
            (Status::Verified, _) => other.source,
            (status, true) => status.words().to_owned(),
            (status, false) => format!("{}, {}", other.source, status.words()),
        };
        let says = format!("another source gives {} ({source})", other.value);
        chosen.note.push_str(&says);
    }
    chosen.spread = chosen.spread.hypot(disagreement);
    chosen
}

fn offer(
    offers: &mut Offers,
    row: Row<'_>,
    property: Property,
    value: Option<f64>,
    spread: Option<f64>,
    note: &str,
) -> Result<(), TableError> {
    let Some(value) = value else { return Ok(()) };
    let status = row.text("status")?;
    let status =
        Status::read(status).ok_or_else(|| row.error(format!("status {status:?} is not known")))?;
    let figure = Sourced {
        value,
        spread: spread.unwrap_or(property.variation() * value),
        source: row.text("source")?.to_owned(),
        status,
        note: note.to_owned(),
    };
    let key = (row.text("wood")?.to_owned(), property);
    offers.entry(key).or_default().push(figure);
    Ok(())
}

/// Tables with one figure a row, which name the property.
fn offer_long(offers: &mut Offers, name: &'static str, text: &str) -> Result<(), TableError> {
    for row in Table::read(name, text)?.rows() {
        let property = row.text("property")?;
        let property = Property::read(property)
            .ok_or_else(|| row.error(format!("property {property:?} is not known")))?;
        let value = row.number("value")?;
        let spread = row.number("spread")?;
        offer(offers, row, property, value, spread, row.text("note")?)?;
    }
    Ok(())
}

fn offer_shrinkage(offers: &mut Offers) -> Result<(), TableError> {
    for row in Table::read("shrinkage.csv", SHRINKAGE)?.rows() {
        for (property, column) in [
            (Property::Radial, "radial_pct"),
            (Property::Tangential, "tangential_pct"),
            (Property::Volumetric, "volumetric_pct"),
        ] {
            let value = row.number(column)?;
            offer(offers, row, property, value, None, row.text("note")?)?;
        }
    }
    Ok(())
}

fn offer_strength(offers: &mut Offers) -> Result<(), TableError> {
    for row in Table::read("strength.csv", STRENGTH)?.rows() {
        let note = row.text("note")?;
        let gravity = match row.text("moisture")? {
            "green" => Property::SpecificGravityBasic,
            "12%" => Property::SpecificGravity12,
            other => return Err(row.error(format!("moisture {other:?} is not green or 12%"))),
        };
        let value = row.number("specific_gravity")?;
        offer(offers, row, gravity, value, None, note)?;
        let kilopascal = row.number("modulus_of_rupture_kPa")?;
        let rupture = kilopascal.map(|v| v / 1000.0);
        offer(offers, row, Property::ModulusOfRupture, rupture, None, note)?;
        for (property, column) in [
            (Property::CompressionParallel, "compression_parallel_kPa"),
            (
                Property::CompressionPerpendicular,
                "compression_perpendicular_kPa",
            ),
            (Property::ShearParallel, "shear_parallel_kPa"),
            (Property::TensionPerpendicular, "tension_perpendicular_kPa"),
        ] {
            let strength = row.number(column)?.map(|kilopascal| kilopascal / 1000.0);
            offer(offers, row, property, strength, None, note)?;
        }
        let elasticity = row.number("modulus_of_elasticity_MPa")?;
        offer(
            offers,
            row,
            Property::ModulusOfElasticity,
            elasticity,
            None,
            note,
        )?;
    }
    Ok(())
}

fn offer_specific_gravity(offers: &mut Offers) -> Result<(), TableError> {
    for row in Table::read("specific_gravity.csv", SPECIFIC_GRAVITY)?.rows() {
        for (property, column) in [
            (Property::SpecificGravityBasic, "basic"),
            (Property::SpecificGravity12, "at_12_pct"),
        ] {
            let value = row.number(column)?;
            offer(offers, row, property, value, None, "")?;
        }
    }
    Ok(())
}

fn offer_green_moisture(offers: &mut Offers) -> Result<(), TableError> {
    for row in Table::read("green_moisture.csv", GREEN_MOISTURE)?.rows() {
        for (property, column) in [
            (Property::GreenHeartwood, "heartwood_pct"),
            (Property::GreenSapwood, "sapwood_pct"),
        ] {
            let value = row.number(column)?;
            offer(offers, row, property, value, None, "")?;
        }
    }
    Ok(())
}

fn average_fibre_saturation() -> Sourced<f64> {
    Sourced {
        value: 30.0,
        spread: 3.0,
        source: "GTR-190 (2010) page 4-2; issuhub.com/view/index/5801?pageIndex=81".to_owned(),
        status: Status::Verified,
        note: "average of wood in general; it varies by several points".to_owned(),
    }
}

fn split_list(text: &str) -> Vec<String> {
    text.split(';')
        .filter(|part| !part.is_empty())
        .map(str::to_owned)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(value: f64, source: &str) -> Sourced<f64> {
        Sourced {
            value,
            spread: 0.1 * value,
            source: source.to_owned(),
            status: Status::Verified,
            note: String::new(),
        }
    }

    #[test]
    fn the_built_in_tables_are_whole() {
        assert_eq!(
            woods().unwrap().len(),
            Table::read("n", NAMES).unwrap().rows().count()
        );
    }

    #[test]
    fn the_first_figure_stands_and_the_farthest_other_widens_it() {
        let settled = settle(vec![figure(4.0, "a"), figure(5.0, "b"), figure(2.0, "c")]);
        assert_eq!(settled.value, 4.0);
        assert_eq!(settled.source, "a");
        assert_eq!(
            settled.note,
            "another source gives 5 (b); another source gives 2 (c)"
        );
        assert!((settled.spread - 0.4f64.hypot(2.0)).abs() < 1e-12);
    }

    #[test]
    fn a_figure_that_was_seen_stands_before_one_from_memory() {
        let mut remembered = figure(4.0, "a");
        remembered.status = Status::FromMemory;
        let settled = settle(vec![remembered, figure(4.1, "b")]);
        assert_eq!((settled.value, settled.status), (4.1, Status::Verified));
        assert_eq!(settled.note, "another source gives 4 (a, from memory)");
    }

    #[test]
    fn a_difference_of_rounding_is_no_disagreement() {
        let settled = settle(vec![figure(0.416, "a"), figure(0.42, "b")]);
        assert_eq!(settled.note, "");
        assert_eq!(settled.spread, 0.1 * 0.416);
    }
}
