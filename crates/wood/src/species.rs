//! The woods of the built-in tables, merged by name.
//!
//! Each wood carries what the tables know about it and nothing filled in by guess: a value that was not found is absent.

use std::sync::LazyLock;

use crate::assemble;
use crate::cautions::Caution;
use crate::sourced::Sourced;

/// One wood and what is known about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Wood {
    /// The name in natural order, such as "sugar maple". Lower case but for proper names ("American beech").
    pub name: String,
    /// The botanical name.
    pub latin: String,
    /// Other names in use.
    pub other_names: Vec<String>,
    /// Ovendry mass over the mass of water filling the green volume.
    pub specific_gravity_basic: Option<Sourced<f64>>,
    /// Ovendry mass over the mass of water filling the volume at 12 % moisture.
    pub specific_gravity_12: Option<Sourced<f64>>,
    /// Shrinkage across the growth rings, percent of the green size, green to ovendry.
    pub radial_shrinkage: Option<Sourced<f64>>,
    /// Shrinkage along the growth rings, percent of the green size, green to ovendry.
    pub tangential_shrinkage: Option<Sourced<f64>>,
    /// Shrinkage of volume, percent of the green volume, green to ovendry.
    pub volumetric_shrinkage: Option<Sourced<f64>>,
    /// Modulus of rupture in static bending at 12 % moisture, MPa.
    pub modulus_of_rupture: Option<Sourced<f64>>,
    /// Modulus of elasticity in static bending at 12 % moisture, MPa.
    pub modulus_of_elasticity: Option<Sourced<f64>>,
    /// Crushing strength along the grain at 12 % moisture, MPa.
    pub compression_parallel: Option<Sourced<f64>>,
    /// Stress across the grain at which fibres begin to crush, at 12 % moisture, MPa.
    pub compression_perpendicular: Option<Sourced<f64>>,
    /// Shear strength along the grain at 12 % moisture, MPa.
    pub shear_parallel: Option<Sourced<f64>>,
    /// Strength against being pulled apart across the grain at 12 % moisture, MPa.
    pub tension_perpendicular: Option<Sourced<f64>>,
    /// Moisture content below which the wood shrinks, percent.
    pub fibre_saturation: Sourced<f64>,
    /// Average moisture of heartwood in the living tree, percent of the ovendry mass (Wood Handbook table 4-1).
    pub green_heartwood: Option<Sourced<f64>>,
    /// Average moisture of sapwood in the living tree, percent of the ovendry mass (Wood Handbook table 4-1).
    pub green_sapwood: Option<Sourced<f64>>,
    /// Reactions reported for this wood. An empty list means none were found, which is not evidence of safety.
    pub cautions: Vec<Caution>,
}

static WOODS: LazyLock<Vec<Wood>> = LazyLock::new(|| match assemble::woods() {
    Ok(woods) => woods,
    Err(error) => panic!("a table built into this program is damaged: {error}"),
});

/// All woods, sorted by name without regard to capitals.
///
/// # Panics
/// Only if a built-in table is damaged, which a test of this crate excludes.
pub fn woods() -> &'static [Wood] {
    &WOODS
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Status, find};

    /// Wood Handbook table 4-1 (address in the file), heartwood and sapwood, percent.
    #[test]
    fn green_wood_holds_what_the_handbook_prints() {
        for (name, heart, sap) in [("paper birch", 89.0, 72.0), ("white ash", 46.0, 44.0)] {
            let wood = find(name).unwrap();
            assert_eq!(value(&wood.green_heartwood), heart, "{name}");
            assert_eq!(value(&wood.green_sapwood), sap, "{name}");
        }
        assert!(find("field maple").unwrap().green_heartwood.is_none());
    }

    fn value(field: &Option<Sourced<f64>>) -> f64 {
        field.as_ref().unwrap().value
    }

    #[test]
    fn woods_are_sorted_and_every_name_is_unique() {
        let names: Vec<_> = woods().iter().map(|w| w.name.to_lowercase()).collect();
        assert!(names.windows(2).all(|w| w[0] < w[1]));
        let mut all = names;
        all.extend(
            woods()
                .iter()
                .flat_map(|w| &w.other_names)
                .map(|n| n.to_lowercase()),
        );
        all.sort();
        for pair in all.windows(2) {
            assert_ne!(pair[0], pair[1]);
        }
    }

    #[test]
    fn every_value_is_within_what_wood_can_be_and_has_a_source() {
        for wood in woods() {
            for (field, low, high) in [
                (&wood.specific_gravity_basic, 0.1, 1.1),
                (&wood.specific_gravity_12, 0.1, 1.2),
                (&wood.radial_shrinkage, 1.0, 11.0),
                (&wood.tangential_shrinkage, 2.0, 14.0),
                (&wood.volumetric_shrinkage, 4.0, 21.0),
                (&wood.modulus_of_rupture, 20.0, 200.0),
                (&wood.modulus_of_elasticity, 3000.0, 21000.0),
            ] {
                let Some(field) = field else { continue };
                assert!(
                    (low..=high).contains(&field.value),
                    "{}: {field:?}",
                    wood.name
                );
                assert!(
                    field.spread > 0.0 && field.spread < field.value,
                    "{}: {field:?}",
                    wood.name
                );
                assert!(field.status == Status::FromMemory || !field.source.is_empty());
            }
            if let (Some(r), Some(t)) = (&wood.radial_shrinkage, &wood.tangential_shrinkage) {
                assert!(r.value < t.value, "{}", wood.name);
            }
        }
    }

    /// Wood Handbook FPL-GTR-190 table 4-3 (issuhub.com 5801 p. 85), as listed in the trade facts: cherry 3.7/7.1/11.5 and
    /// so on; table 5-3a at 12 %: specific gravity, modulus of rupture and of elasticity.
    #[test]
    fn merges_the_handbook_tables_by_name() {
        for (name, radial, tangential, volumetric) in [
            ("black cherry", 3.7, 7.1, 11.5),
            ("black walnut", 5.5, 7.8, 12.8),
            ("white ash", 4.9, 7.8, 13.3),
            ("American beech", 5.5, 11.9, 17.2),
            ("yellow birch", 7.3, 9.5, 16.8),
            ("American basswood", 6.6, 9.3, 15.8),
            ("white oak", 5.6, 10.5, 16.3),
            ("American sycamore", 5.0, 8.4, 14.1),
            ("butternut", 3.4, 6.4, 10.6),
            ("sweetgum", 5.3, 10.2, 15.8),
            ("yellow-poplar", 4.6, 8.2, 12.7),
            ("eastern redcedar", 3.1, 4.7, 7.8),
        ] {
            let wood = find(name).unwrap();
            assert_eq!(value(&wood.radial_shrinkage), radial, "{name}");
            assert_eq!(value(&wood.tangential_shrinkage), tangential, "{name}");
            assert_eq!(value(&wood.volumetric_shrinkage), volumetric, "{name}");
        }
        let maple = find("sugar maple").unwrap();
        assert_eq!(value(&maple.specific_gravity_basic), 0.56);
        assert_eq!(value(&maple.specific_gravity_12), 0.63);
        assert_eq!(value(&maple.modulus_of_rupture), 109.0);
        assert_eq!(value(&maple.modulus_of_elasticity), 12600.0);
        assert_eq!(maple.latin, "Acer saccharum");
    }

    /// Sources disagree on black locust: 4.6 / 7.2 / 10.2 (Wood Handbook) against 5.5 / 8.8 / 16 (a Belgian study).
    #[test]
    fn disagreement_between_sources_is_said_and_widens_the_spread() {
        let locust = find("black locust").unwrap();
        let radial = locust.radial_shrinkage.as_ref().unwrap();
        assert_eq!(radial.value, 4.6);
        assert!(radial.note.contains("5.5"), "{}", radial.note);
        assert!((radial.spread - (0.15f64 * 4.6).hypot(0.9)).abs() < 1e-12);
        let cherry = find("black cherry").unwrap();
        let radial = cherry.radial_shrinkage.as_ref().unwrap();
        assert!((radial.spread - 0.15 * 3.7).abs() < 1e-12);
        assert_eq!(radial.note, "");
    }

    #[test]
    fn field_maple_says_what_was_not_found() {
        let maple = find("field maple").unwrap();
        let gravity = maple.specific_gravity_12.as_ref().unwrap();
        assert_eq!(gravity.status, Status::FromMemory);
        let radial = maple.radial_shrinkage.as_ref().unwrap();
        assert_eq!(radial.status, Status::RelatedWood);
        assert!(radial.note.contains("no figure for field maple"));
    }
}
