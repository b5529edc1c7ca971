//! Strength in the three directions of wood, with the spread between trees.
//!
//! Method: the handbook's table 5-3 gives bending, crushing along the grain, crushing across it, shear along the grain
//! and tension across it, all of clear straight wood at 12 % moisture. From these:
//! - tension along the grain is the bending strength, which the handbook calls a low estimate of it (from memory; seen
//!   for sugar maple: 108.2 in tension, 109 in bending);
//! - the table does not tell radius from rings: both get the same value;
//! - rolling shear is [`ROLLING_SHARE`] of the shear along the grain (handbook: 18 to 28 %, few tests; from memory).
//!
//! A value that the table lacks is that of its genus at the same specific gravity, and without one of the genus the
//! handbook's line over specific gravity; [`Strength::says`] tells which. A test holds the lines against the table.
//!
//! Moisture: the handbook's middle trends ([`at_moisture`]).

use crate::elastic::genus;
use crate::species::{Wood, woods};

/// Rolling shear over shear along the grain: the middle of 18 to 28 % (Wood Handbook chapter 5, from memory).
pub const ROLLING_SHARE: f64 = 0.23;

/// One in twenty lies below the mean less this many standard deviations, where the spread is normal.
pub const ONE_IN_TWENTY: f64 = 1.645;

/// Moisture above which strength changes no more, percent (handbook: 25 where the wood's own is unknown).
const WET: f64 = 25.0;

/// A strength with its spread between trees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Mean, MPa.
    pub mean: f64,
    /// One standard deviation between trees, MPa.
    pub spread: f64,
}

/// Where in the spread of a wood its strength is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// One tree in twenty is weaker.
    Low,
    /// The mean of the wood.
    Mean,
    /// One tree in twenty is stronger.
    High,
}

impl End {
    /// From weak to strong.
    pub const ALL: [Self; 3] = [Self::Low, Self::Mean, Self::High];
}

impl Range {
    /// The strength at one end of the spread, MPa; never below a tenth of the mean.
    pub fn at(&self, end: End) -> f64 {
        let off = match end {
            End::Low => -ONE_IN_TWENTY,
            End::Mean => 0.0,
            End::High => ONE_IN_TWENTY,
        };
        (self.mean + off * self.spread).max(0.1 * self.mean)
    }

    fn by(self, factor: f64) -> Self {
        Self {
            mean: self.mean * factor,
            spread: self.spread * factor,
        }
    }
}

/// Strength of one wood; MPa, all above nought.
#[derive(Debug, Clone, PartialEq)]
pub struct Strength {
    /// Against being pulled along the grain.
    pub tension_along: Range,
    /// Against being pulled apart across the grain: splitting.
    pub tension_across: Range,
    /// Against being crushed along the grain.
    pub compression_along: Range,
    /// Stress across the grain at which fibres begin to crush.
    pub compression_across: Range,
    /// Against shear along the grain.
    pub shear_along: Range,
    /// Against rolling shear, in the cross-section.
    pub shear_rolling: Range,
    /// Moisture these hold for, percent.
    pub moisture: f64,
    /// Where they come from, in words, with what was not in the table.
    pub says: String,
}

/// The strengths of the table, in the order of `LINES`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Bending,
    CrushingAlong,
    CrushingAcross,
    Shear,
    TensionAcross,
}

/// One line of the handbook over specific gravity at 12 %: MPa = factor · G^power, softwoods and hardwoods
/// (table 5-11, from memory), and the coefficient of variation (table 5-6, from memory; tension across takes the
/// handbook's value for tension along).
struct Line {
    kind: Kind,
    name: &'static str,
    softwood: (f64, f64),
    hardwood: (f64, f64),
    variation: f64,
}

const LINES: [Line; 5] = [
    Line {
        kind: Kind::Bending,
        name: "bending strength",
        softwood: (170.7, 1.01),
        hardwood: (171.3, 1.13),
        variation: 0.16,
    },
    Line {
        kind: Kind::CrushingAlong,
        name: "crushing strength along the grain",
        softwood: (93.7, 0.97),
        hardwood: (76.0, 0.89),
        variation: 0.18,
    },
    Line {
        kind: Kind::CrushingAcross,
        name: "crushing strength across the grain",
        softwood: (16.5, 1.57),
        hardwood: (21.6, 2.09),
        variation: 0.28,
    },
    Line {
        kind: Kind::Shear,
        name: "shear strength",
        softwood: (16.6, 0.85),
        hardwood: (21.9, 1.13),
        variation: 0.14,
    },
    Line {
        kind: Kind::TensionAcross,
        name: "tension strength across the grain",
        softwood: (6.0, 1.11),
        hardwood: (10.1, 1.30),
        variation: 0.25,
    },
];

impl Line {
    fn at(&self, gravity: f64, softwood: bool) -> f64 {
        let (factor, power) = if softwood {
            self.softwood
        } else {
            self.hardwood
        };
        factor * gravity.powf(power)
    }

    /// What the table gives for a wood.
    fn given(&self, wood: &Wood) -> Option<Range> {
        let value = match self.kind {
            Kind::Bending => &wood.modulus_of_rupture,
            Kind::CrushingAlong => &wood.compression_parallel,
            Kind::CrushingAcross => &wood.compression_perpendicular,
            Kind::Shear => &wood.shear_parallel,
            Kind::TensionAcross => &wood.tension_perpendicular,
        };
        value.as_ref().map(|value| Range {
            mean: value.value,
            spread: value.spread,
        })
    }

    /// Table over line, in the mean of the other woods of a genus, with how many there are.
    fn of_genus(&self, wood: &Wood) -> Option<(f64, usize)> {
        let shares: Vec<f64> = woods()
            .iter()
            .filter(|other| genus(&other.latin) == genus(&wood.latin))
            .filter_map(|other| {
                let given = self.given(other)?;
                Some(given.mean / self.at(gravity(other)?, other.is_softwood()))
            })
            .collect();
        (!shares.is_empty()).then(|| {
            (
                shares.iter().sum::<f64>() / shares.len() as f64,
                shares.len(),
            )
        })
    }
}

/// Specific gravity at 12 % moisture; from the green one by the tenth that shrinkage adds, where only that is known.
fn gravity(wood: &Wood) -> Option<f64> {
    let dry = wood
        .specific_gravity_12
        .as_ref()
        .map(|gravity| gravity.value);
    dry.or_else(|| {
        let green = wood.specific_gravity_basic.as_ref()?.value;
        // Handbook chapter 4: G12 = Gb / (1 − 0.265 Gb (1 − 12/30)) (from memory).
        Some(green / (1.0 - 0.265 * green * 0.6))
    })
}

impl Wood {
    /// Strength in three directions at 12 % moisture; none where neither a value nor a specific gravity is known.
    ///
    /// # Panics
    /// Only if a built-in table is damaged, which a test of this crate excludes.
    pub fn strength(&self) -> Option<Strength> {
        let mut filled = Vec::new();
        let mut take = |line: &Line| {
            if let Some(given) = line.given(self) {
                return Some(given);
            }
            let mean = line.at(gravity(self)?, self.is_softwood());
            let (factor, from) = match line.of_genus(self) {
                Some((factor, count)) => (
                    factor,
                    format!(
                        "from {count} other {} of its genus, at its weight",
                        if count == 1 { "wood" } else { "woods" }
                    ),
                ),
                None => (
                    1.0,
                    "from its weight alone, by the handbook's line".to_owned(),
                ),
            };
            filled.push(format!("{} {from}", line.name));
            Some(
                Range {
                    mean,
                    spread: line.variation * mean,
                }
                .by(factor),
            )
        };
        let [bending, along, across, shear, tension] = &LINES;
        let tension_along = take(bending)?;
        let compression_along = take(along)?;
        let compression_across = take(across)?;
        let shear_along = take(shear)?;
        let tension_across = take(tension)?;
        let mut says = format!(
            "strengths of {} at 12 % moisture, clear straight wood; tension along the grain taken as the bending \
             strength, rolling shear as {:.0} % of shear",
            self.name,
            100.0 * ROLLING_SHARE
        );
        if !filled.is_empty() {
            says.push_str("; not in the table: ");
            says.push_str(&filled.join(", "));
        }
        Some(Strength {
            tension_along,
            tension_across,
            compression_along,
            compression_across,
            shear_along,
            shear_rolling: shear_along.by(ROLLING_SHARE),
            moisture: 12.0,
            says,
        })
    }
}

/// A property at `moisture` percent over the same at 12 %, from its change in percent at 6 and at 20 %.
///
/// Method: the handbook lets properties follow P = P₁₂ (P₁₂ / P_green)^((12 − M) / (M_p − 12)), a straight line of log P
/// over M (equation 5-3, seen); one such line is laid to 6 % and one to 20 %, and above 25 % nothing changes.
pub fn at_moisture(moisture: f64, change_at_6: f64, change_at_20: f64) -> f64 {
    let moisture = moisture.clamp(0.0, WET);
    if moisture <= 12.0 {
        (1.0 + change_at_6 / 100.0).powf((12.0 - moisture) / 6.0)
    } else {
        (1.0 + change_at_20 / 100.0).powf((moisture - 12.0) / 8.0)
    }
}

impl Strength {
    /// The same wood at another moisture, percent: the handbook's middle trends (table of chapter 5, from memory: in
    /// percent at 6 and 20 % moisture, tension along +8 −15, across +12 −20, crushing along +35 −35, across +30 −30, shear
    /// +18 −18). Wood in general; the spread grows with the mean. `moisture` counts from these at 12 %.
    #[must_use]
    pub fn at(&self, moisture: f64) -> Self {
        let by = |range: Range, dry: f64, damp: f64| {
            let from = at_moisture(self.moisture, dry, damp);
            range.by(at_moisture(moisture, dry, damp) / from)
        };
        Self {
            tension_along: by(self.tension_along, 8.0, -15.0),
            tension_across: by(self.tension_across, 12.0, -20.0),
            compression_along: by(self.compression_along, 35.0, -35.0),
            compression_across: by(self.compression_across, 30.0, -30.0),
            shear_along: by(self.shear_along, 18.0, -18.0),
            shear_rolling: by(self.shear_rolling, 18.0, -18.0),
            moisture,
            says: if moisture == self.moisture {
                self.says.clone()
            } else {
                format!(
                    "{}; at {moisture:.0} % by the handbook's middle trends",
                    self.says
                )
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::find;

    /// GTR-190 table 5-3a as transcribed: black maple 92, 46.1, 7.0, 12.5, 4.6 MPa.
    #[test]
    fn black_maple_is_as_printed() {
        let maple = find("black maple").unwrap().strength().unwrap();
        assert_eq!(maple.tension_along.mean, 92.0);
        assert_eq!(maple.compression_along.mean, 46.1);
        assert_eq!(maple.compression_across.mean, 7.0);
        assert_eq!(maple.shear_along.mean, 12.5);
        assert_eq!(maple.tension_across.mean, 4.6);
        assert!((maple.tension_across.at(End::Low) - 4.6 * (1.0 - 1.645 * 0.25)).abs() < 1e-12);
        assert!(!maple.says.contains("not in the table"), "{}", maple.says);
    }

    /// The lines from memory, held against every wood of the table: the middle wood lies within 12 % of each.
    #[test]
    fn the_lines_over_weight_pass_through_the_table() {
        for line in &LINES {
            for softwood in [true, false] {
                let mut shares: Vec<f64> = woods()
                    .iter()
                    .filter(|wood| wood.is_softwood() == softwood)
                    .filter_map(|wood| {
                        Some(line.given(wood)?.mean / line.at(gravity(wood)?, softwood))
                    })
                    .collect();
                shares.sort_by(f64::total_cmp);
                let middle = shares[shares.len() / 2];
                assert!(shares.len() >= 10, "{} {}", line.name, shares.len());
                assert!(
                    (middle - 1.0).abs() < 0.12,
                    "{} {softwood} {middle}",
                    line.name
                );
            }
        }
    }

    /// Sugar maple has no tension across the grain in the table: the other maples give it, between silver's 3.4 and
    /// black walnut's 4.8, raised by its weight.
    #[test]
    fn a_gap_is_filled_from_the_genus_and_said() {
        let maple = find("sugar maple").unwrap().strength().unwrap();
        assert!(
            maple
                .says
                .contains("tension strength across the grain from 3 other woods"),
            "{}",
            maple.says
        );
        assert!(
            (4.8..6.5).contains(&maple.tension_across.mean),
            "{:?}",
            maple.tension_across
        );
        assert!((maple.tension_across.spread / maple.tension_across.mean - 0.25).abs() < 1e-12);
    }

    #[test]
    fn most_woods_have_a_strength_and_none_is_nought() {
        let mut known = 0;
        for wood in woods() {
            let Some(strength) = wood.strength() else {
                continue;
            };
            known += 1;
            for range in [
                strength.tension_along,
                strength.tension_across,
                strength.compression_along,
                strength.compression_across,
                strength.shear_along,
                strength.shear_rolling,
            ] {
                assert!(
                    range.at(End::Low) > 0.0 && range.at(End::High) > range.mean,
                    "{}",
                    wood.name
                );
            }
            assert!(
                strength.tension_along.mean > strength.tension_across.mean,
                "{}",
                wood.name
            );
        }
        assert!(known > 100, "{known}");
    }

    #[test]
    fn moisture_weakens_and_there_and_back_changes_nothing() {
        assert!((at_moisture(6.0, 35.0, -35.0) - 1.35).abs() < 1e-12);
        assert!((at_moisture(20.0, 35.0, -35.0) - 0.65).abs() < 1e-12);
        assert_eq!(
            at_moisture(60.0, 35.0, -35.0),
            at_moisture(25.0, 35.0, -35.0)
        );
        let cherry = find("black cherry").unwrap().strength().unwrap();
        let back = cherry.at(25.0).at(12.0);
        assert!((back.shear_along.mean / cherry.shear_along.mean - 1.0).abs() < 1e-12);
        assert!(cherry.at(25.0).shear_along.mean < cherry.shear_along.mean);
    }
}
