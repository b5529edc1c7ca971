//! Stiffness in the three directions of wood: along the grain (L), across the growth rings (R), along them (T).
//!
//! Method: Wood Handbook, tables 5-1 and 5-2, give the moduli as shares of the modulus along the grain, and that modulus is
//! the bending modulus raised by a tenth, since bending tests also measure shear (both GTR-190 chapter 5; the tenth from
//! memory). A wood without a row takes the mean of its genus, and without that the mean of the hardwoods or softwoods of
//! the table; a blank cell takes the mean of the same group. [`Elastic::says`] tells which.
//!
//! Poisson's ratio ν_ij is the shrinking in j over the stretching in i under a load along i (convention from memory), and
//! the compliance is kept symmetric: ν_ij / E_i = ν_ji / E_j with E_i the stiffer of the two. A test holds that every wood's
//! compliance is positive definite, so that no shape gives back more work than was put in.

use std::sync::LazyLock;

use crate::sourced::Status;
use crate::species::Wood;
use crate::strength::at_moisture;
use crate::table::{Table, TableError};

const RATIOS: &str = include_str!("../data/elastic_ratios.csv");

/// The bending modulus of the tables times this is the modulus along the grain (from memory).
pub const ALONG_OVER_BENDING: f64 = 1.1;

/// The genera of this crate's woods that are softwoods; botany, from memory.
const SOFTWOODS: [&str; 17] = [
    "Abies",
    "Callitropsis",
    "Calocedrus",
    "Chamaecyparis",
    "Cupressus",
    "Juniperus",
    "Larix",
    "Picea",
    "Pinus",
    "Pseudotsuga",
    "Sequoia",
    "Sequoiadendron",
    "Taxodium",
    "Taxus",
    "Thuja",
    "Torreya",
    "Tsuga",
];

/// Stiffness of one wood at 12 % moisture; moduli in MPa.
#[derive(Debug, Clone, PartialEq)]
pub struct Elastic {
    /// Young's modulus along the grain.
    pub along: f64,
    /// Young's modulus across the growth rings.
    pub radial: f64,
    /// Young's modulus along the growth rings.
    pub tangential: f64,
    /// Shear modulus in the plane of grain and radius.
    pub shear_lr: f64,
    /// Shear modulus in the plane of grain and rings.
    pub shear_lt: f64,
    /// Shear modulus in the cross-section, rolling shear.
    pub shear_rt: f64,
    /// Shrinking along R over stretching along L under a load along L.
    pub poisson_lr: f64,
    /// Shrinking along T over stretching along L under a load along L.
    pub poisson_lt: f64,
    /// Shrinking along T over stretching along R under a load along R.
    pub poisson_rt: f64,
    /// How far the ratios can be trusted: a related wood's where the wood has no row of its own.
    pub status: Status,
    /// Where they come from, in words, with what was taken from another wood.
    pub says: String,
}

/// Shares of the modulus along the grain, and Poisson's ratios, in the order of `COLUMNS`.
type Shares = [Option<f64>; 8];

const COLUMNS: [&str; 8] = [
    "radial",
    "tangential",
    "shear_lr",
    "shear_lt",
    "shear_rt",
    "poisson_lr",
    "poisson_lt",
    "poisson_rt",
];

#[derive(Debug)]
struct Ratios {
    latin: String,
    softwood: bool,
    shares: Shares,
    source: String,
}

static TABLE: LazyLock<Vec<Ratios>> = LazyLock::new(|| match read() {
    Ok(rows) => rows,
    Err(error) => panic!("a table built into this program is damaged: {error}"),
});

fn read() -> Result<Vec<Ratios>, TableError> {
    let table = Table::read("elastic_ratios.csv", RATIOS)?;
    table
        .rows()
        .map(|row| {
            let mut shares = Shares::default();
            for (share, column) in shares.iter_mut().zip(COLUMNS) {
                *share = row.number(column)?;
            }
            Ok(Ratios {
                latin: row.text("latin")?.to_owned(),
                softwood: row.text("softwood")? == "yes",
                shares,
                source: row.text("source")?.to_owned(),
            })
        })
        .collect()
}

pub(crate) fn genus(latin: &str) -> &str {
    latin.split_whitespace().next().unwrap_or(latin)
}

/// The mean of each share over the rows that give it.
fn mean<'a>(rows: impl Iterator<Item = &'a Ratios> + Clone) -> Shares {
    std::array::from_fn(|column| {
        let given = rows.clone().filter_map(|row| row.shares[column]);
        let (count, sum) = given.fold((0.0, 0.0), |(count, sum), share| (count + 1.0, sum + share));
        (count > 0.0).then(|| sum / count)
    })
}

impl Wood {
    /// Whether the wood is of a conifer.
    pub fn is_softwood(&self) -> bool {
        SOFTWOODS.contains(&genus(&self.latin))
    }

    /// Stiffness in three directions at 12 % moisture; none where the bending modulus is not known.
    ///
    /// # Panics
    /// Only if a built-in table is damaged, which a test of this crate excludes.
    pub fn elastic(&self) -> Option<Elastic> {
        let bending = self.modulus_of_elasticity.as_ref()?;
        let softwood = self.is_softwood();
        let group = mean(TABLE.iter().filter(|row| row.softwood == softwood));
        let group_name = if softwood { "softwoods" } else { "hardwoods" };
        let own = TABLE.iter().find(|row| row.latin == self.latin);
        let kin = TABLE
            .iter()
            .filter(|row| genus(&row.latin) == genus(&self.latin));
        let (shares, status, mut says) = match own {
            Some(row) => (
                row.shares,
                Status::Verified,
                format!("ratios of this wood, {}", row.source),
            ),
            None if kin.clone().next().is_some() => (
                mean(kin.clone()),
                Status::RelatedWood,
                format!(
                    "ratios of {}, since the table has none of {}",
                    kin.map(|row| row.latin.as_str())
                        .collect::<Vec<_>>()
                        .join(" and "),
                    self.latin
                ),
            ),
            None => (
                group,
                Status::RelatedWood,
                format!("mean ratios of the table's {group_name}, since it has none of this genus"),
            ),
        };
        let blank: Vec<&str> = (0..8)
            .filter(|&i| shares[i].is_none())
            .map(|i| COLUMNS[i])
            .collect();
        if !blank.is_empty() {
            says.push_str(&format!(
                "; {} the mean of the table's {group_name}",
                blank.join(" and ")
            ));
        }
        let along = ALONG_OVER_BENDING * bending.value;
        let share = |column: usize| shares[column].or(group[column]);
        Some(Elastic {
            along,
            radial: along * share(0)?,
            tangential: along * share(1)?,
            shear_lr: along * share(2)?,
            shear_lt: along * share(3)?,
            shear_rt: along * share(4)?,
            poisson_lr: share(5)?,
            poisson_lt: share(6)?,
            poisson_rt: share(7)?,
            status: if bending.status.rank() > status.rank() {
                bending.status
            } else {
                status
            },
            says,
        })
    }
}

impl Elastic {
    /// The same wood at another moisture, percent, from these values at 12 %: the handbook's middle trends (table of
    /// chapter 5, from memory: in percent at 6 and 20 % moisture, along the grain +9 −13, across +20 −23, shear +20 −20).
    #[must_use]
    pub fn at(&self, moisture: f64) -> Self {
        let along = at_moisture(moisture, 9.0, -13.0);
        let across = at_moisture(moisture, 20.0, -23.0);
        let shear = at_moisture(moisture, 20.0, -20.0);
        Self {
            along: self.along * along,
            radial: self.radial * across,
            tangential: self.tangential * across,
            shear_lr: self.shear_lr * shear,
            shear_lt: self.shear_lt * shear,
            shear_rt: self.shear_rt * shear,
            says: format!(
                "{}; at {moisture:.0} % by the handbook's middle trends",
                self.says
            ),
            ..self.clone()
        }
    }

    /// Strains along L, R and T under unit stresses along L, R and T, 1/MPa: symmetric.
    pub fn compliance(&self) -> [[f64; 3]; 3] {
        let lr = -self.poisson_lr / self.along;
        let lt = -self.poisson_lt / self.along;
        let rt = -self.poisson_rt / self.radial;
        [
            [1.0 / self.along, lr, lt],
            [lr, 1.0 / self.radial, rt],
            [lt, rt, 1.0 / self.tangential],
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{find, woods};

    fn determinant([a, b, c]: [[f64; 3]; 3]) -> f64 {
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    }

    #[test]
    fn the_table_is_whole_and_its_groups_fill_every_cell() {
        assert_eq!(TABLE.len(), 25);
        for softwood in [true, false] {
            let group = mean(TABLE.iter().filter(|row| row.softwood == softwood));
            assert!(group.iter().all(Option::is_some));
        }
        assert!(
            TABLE
                .iter()
                .all(|row| row.softwood == SOFTWOODS.contains(&genus(&row.latin)))
        );
    }

    /// GTR-190 tables 5-1, 5-2 and 5-3a as transcribed (see the data's sources): black walnut 11 600 MPa in bending,
    /// E_R / E_L 0.106, G_RT / E_L 0.021, ν_RT 0.718.
    #[test]
    fn walnut_is_as_printed() {
        let walnut = find("black walnut").unwrap().elastic().unwrap();
        assert!((walnut.along - 12_760.0).abs() < 1e-9);
        assert!((walnut.radial / walnut.along - 0.106).abs() < 1e-12);
        assert!((walnut.shear_rt / walnut.along - 0.021).abs() < 1e-12);
        assert!((walnut.poisson_rt - 0.718).abs() < 1e-12);
        assert_eq!(walnut.status, Status::Verified);
    }

    /// The tables also print ν_RL and ν_TL where they could be measured: symmetry of the compliance gives them back as far
    /// as two printed digits and the scatter of the tests allow. Walnut: ν_RL 0.052, ν_TL 0.036; yellow birch 0.043, 0.024.
    #[test]
    fn the_printed_small_ratios_follow_from_symmetry() {
        for (name, rl, tl) in [
            ("black walnut", 0.052, 0.036),
            ("yellow birch", 0.043, 0.024),
        ] {
            let wood = find(name).unwrap().elastic().unwrap();
            assert!(
                (wood.poisson_lr * wood.radial / wood.along - rl).abs() < 0.011,
                "{name}"
            );
            assert!(
                (wood.poisson_lt * wood.tangential / wood.along - tl).abs() < 0.011,
                "{name}"
            );
        }
    }

    /// Field maple has no row: it takes the two maples of the table, and says so.
    #[test]
    fn a_wood_without_a_row_takes_its_genus() {
        let field = find("field maple").unwrap().elastic().unwrap();
        let ratio = field.radial / field.along;
        assert!((ratio - 0.5 * (0.132 + 0.140)).abs() < 1e-12);
        assert!(
            field.says.contains("Acer saccharum and Acer rubrum"),
            "{}",
            field.says
        );
        assert!(field.says.contains("shear_rt"), "{}", field.says);
        assert_ne!(field.status, Status::Verified);
    }

    #[test]
    fn no_wood_gives_back_more_work_than_was_put_in() {
        let mut known = 0;
        for wood in woods() {
            let Some(elastic) = wood.elastic() else {
                continue;
            };
            known += 1;
            for moisture in [0.0, 6.0, 25.0] {
                assert!(
                    determinant(elastic.at(moisture).compliance()) > 0.0,
                    "{}",
                    wood.name
                );
            }
            let s = elastic.compliance();
            assert!(
                s[0][0] > 0.0 && s[0][0] * s[1][1] - s[0][1] * s[1][0] > 0.0,
                "{}",
                wood.name
            );
            assert!(determinant(s) > 0.0, "{}", wood.name);
            assert!(
                [elastic.shear_lr, elastic.shear_lt, elastic.shear_rt]
                    .iter()
                    .all(|g| *g > 0.0)
            );
            assert!(
                elastic.along > elastic.radial && elastic.radial > elastic.tangential,
                "{}",
                wood.name
            );
        }
        assert!(known > 100, "{known}");
    }
}
