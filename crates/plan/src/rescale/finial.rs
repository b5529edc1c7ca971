//! A finial at another size: every length and diameter in proportion, as far as the limits let it.
//!
//! The numbers nearest to the wished ones are found ([`nearest`]), put to what rule and callipers
//! hold, and the outline is laid out. A limit that is broken raises the least value of the number
//! that mends it, by what is lacking or by one step of its tool, and the rest is fitted anew. So
//! numbers only grow from limit to limit and the search ends. With simple limits (neck, shoulder)
//! the result is the nearest there is, to a step of the tool; where two numbers could mend one
//! limit (a cove too short or too steep, wood round a hanger) it is the nearest for that choice.

use super::likeness::{difference, nearest};
use super::role::Keeps;
use crate::bench::{settable, trimmed, written};
use crate::findings::finials::COVER;
use crate::findings::kind;
use crate::form::coved_ball::finial_outline::{Laid, lay_out, radius_at};
use crate::form::coved_ball::whip;
use crate::plan::{Finial, FinialPart, Plan};

/// A number that grew by more than this over its wished one is no likeness any more.
const MOST: f64 = 1.8;
/// Roundings of limits; more than any plan's numbers have steps.
const ROUNDS: usize = 2000;

/// A finial at its new size.
#[derive(Debug, Clone, PartialEq)]
pub struct Refitted {
    /// Its numbers; the blank is left as it was.
    pub finial: Finial,
    /// Mean square of its differences.
    pub unlike: f64,
    /// Why numbers are larger than wished: index of the part, its key, the reason.
    pub reasons: Vec<(usize, &'static str, String)>,
}

/// Why there is none.
#[derive(Debug, Clone, PartialEq)]
pub struct Unfit {
    /// The finding that stands in the way.
    pub id: &'static str,
    /// In words.
    pub says: String,
}

/// One number of the shape.
struct Number {
    part: usize,
    key: &'static str,
    /// Whether it is the part's diameter, or lies along it.
    across: bool,
    old: f64,
    wished: f64,
    least: f64,
    held: bool,
    step: f64,
    reason: Option<(&'static str, String)>,
}

/// How far the tip of a plan's finial may give way at another size, mm: as the limit asks, or as it
/// does already.
pub fn may_bend(plan: &Plan, old: &Finial) -> f64 {
    lay_out(old)
        .ok()
        .and_then(|laid| whip::of(plan, old, &laid))
        .map_or(0.0, |was| was.bend)
        .max(plan.limits.finial_bend)
}

/// The finial of a plan at another scale, on a bore of this radius, mm. `section` is where it
/// stands in the plan, such as `finials.top`; `bends` is how far its tip may give way under a light
/// side push, mm.
pub fn refit(
    plan: &Plan,
    section: &str,
    old: &Finial,
    scale: f64,
    bore_radius: f64,
    bends: f64,
    keeps: &Keeps,
) -> Result<Refitted, Unfit> {
    let mut numbers = numbers(plan, section, old, scale, keeps);
    let pairs: Vec<(usize, usize)> = {
        let across: Vec<usize> = (0..numbers.len())
            .filter(|index| numbers[*index].across)
            .collect();
        across.windows(2).map(|pair| (pair[0], pair[1])).collect()
    };
    for _ in 0..ROUNDS {
        let least: Vec<f64> = numbers
            .iter()
            .map(|number| difference(number.least.max(1e-9), number.wished))
            .collect();
        let held: Vec<bool> = numbers.iter().map(|number| number.held).collect();
        let at = nearest(&least, &held, &pairs);
        let values: Vec<f64> = numbers
            .iter()
            .zip(&at)
            .map(|(number, u)| number.set(plan, *u))
            .collect();
        let finial = Finial {
            shape: put(old, &numbers, &values),
            // Its length is settled later; here it only gives way a little.
            tenon_length: scale * old.tenon_length,
            ..old.clone()
        };
        match broken(plan, &finial, bore_radius, bends, &numbers, &values) {
            None => {
                let u: Vec<f64> = numbers
                    .iter()
                    .zip(&values)
                    .map(|(number, value)| difference(*value, number.wished))
                    .collect();
                let single: f64 = u.iter().map(|u| u * u).sum();
                let ratios: f64 = pairs.iter().map(|(a, b)| (u[*a] - u[*b]).powi(2)).sum();
                return Ok(Refitted {
                    finial: Finial {
                        tenon_length: old.tenon_length,
                        ..finial
                    },
                    unlike: (single + ratios) / (numbers.len() + pairs.len()) as f64,
                    reasons: numbers
                        .into_iter()
                        .filter_map(|number| Some((number.part, number.key, number.reason?.1)))
                        .collect(),
                });
            }
            Some(Broken {
                number,
                least,
                id,
                says,
            }) => {
                let Some(number) = number.map(|index| &mut numbers[index]).filter(|n| !n.held)
                else {
                    return Err(Unfit { id, says });
                };
                if least > MOST * number.wished {
                    return Err(Unfit { id, says });
                }
                number.least = least;
                // Several limits may have pushed it; the last one holds it where it is.
                if number.reason.as_ref().is_none_or(|(last, _)| *last != id) {
                    number.reason = Some((id, says));
                }
            }
        }
    }
    Err(Unfit {
        id: kind::FINIAL_BLANK.id,
        says: format!("The shapes of {section} find no sizes that keep their limits."),
    })
}

fn numbers(plan: &Plan, section: &str, old: &Finial, scale: f64, keeps: &Keeps) -> Vec<Number> {
    let mut numbers = Vec::new();
    for (part, shape) in old.shape.iter().enumerate() {
        let (name, length, across) = match *shape {
            FinialPart::Fillet { length, diameter } => ("fillet", length, ("diameter", diameter)),
            FinialPart::Bead { length, diameter } => ("bead", length, ("diameter", diameter)),
            FinialPart::Cove { length, to } => ("cove", length, ("to", to)),
            FinialPart::Ogee { length, to } => ("ogee", length, ("to", to)),
            FinialPart::Taper { length, to } => ("taper", length, ("to", to)),
            FinialPart::Ball { diameter } => ("ball", 0.0, ("ball", diameter)),
        };
        let mut push = |key: &'static str, across: bool, value: f64, step: f64| {
            // A point stays a point.
            let held = value <= 0.0 || keeps.holds(&format!("{section}.shape.{}.{key}", part + 1));
            numbers.push(Number {
                part,
                key,
                across,
                old: value,
                wished: if held { value.max(1e-9) } else { scale * value },
                least: if held { value } else { 0.0 },
                held,
                step,
                reason: None,
            });
        };
        if name != "ball" {
            push(name, false, length, plan.rack.rule_step);
        }
        push(across.0, true, across.1, plan.rack.calliper_step);
    }
    numbers
}

impl Number {
    /// The value its tool holds nearest to a difference, not below its least.
    fn set(&self, plan: &Plan, u: f64) -> f64 {
        if self.held {
            return self.old;
        }
        let wished = self.wished * u.exp();
        let step = self.step.max(plan.style.step_mm());
        let value = settable(plan, wished, self.step);
        if value + 1e-9 < self.least || value <= 0.0 {
            settable(plan, value + step, self.step)
        } else {
            value
        }
    }
}

fn put(old: &Finial, numbers: &[Number], values: &[f64]) -> Vec<FinialPart> {
    let value = |part: usize, across: bool| {
        numbers
            .iter()
            .zip(values)
            .find(|(number, _)| number.part == part && number.across == across)
            .map_or(0.0, |(_, value)| *value)
    };
    old.shape
        .iter()
        .enumerate()
        .map(|(part, shape)| {
            let (length, to) = (value(part, false), value(part, true));
            match shape {
                FinialPart::Fillet { .. } => FinialPart::Fillet {
                    length,
                    diameter: to,
                },
                FinialPart::Bead { .. } => FinialPart::Bead {
                    length,
                    diameter: to,
                },
                FinialPart::Cove { .. } => FinialPart::Cove { length, to },
                FinialPart::Ogee { .. } => FinialPart::Ogee { length, to },
                FinialPart::Taper { .. } => FinialPart::Taper { length, to },
                FinialPart::Ball { .. } => FinialPart::Ball { diameter: to },
            }
        })
        .collect()
}

/// A limit that is broken, and the least value of the number that would mend it.
struct Broken {
    number: Option<usize>,
    least: f64,
    id: &'static str,
    says: String,
}

fn broken(
    plan: &Plan,
    finial: &Finial,
    bore_radius: f64,
    bends: f64,
    numbers: &[Number],
    values: &[f64],
) -> Option<Broken> {
    let find = |part: usize, across: bool| {
        numbers
            .iter()
            .position(|number| number.part == part && number.across == across)
    };
    let step_up = |number: Option<usize>, id: &'static str, says: String| Broken {
        number,
        least: number.map_or(0.0, |n| {
            values[n] + numbers[n].step.max(plan.style.step_mm())
        }),
        id,
        says,
    };
    let laid = match lay_out(finial) {
        Ok(laid) => laid,
        Err(unlayable) => {
            let part = unlayable.shape - 1;
            let ball = matches!(finial.shape[part], FinialPart::Ball { .. });
            return Some(step_up(
                find(part, ball),
                "shape",
                format!("{}: {}", unlayable.says, unlayable.mend),
            ));
        }
    };
    let shoulder = laid.first()?.from.y;
    let covers = bore_radius + COVER;
    if shoulder + 1e-9 < covers {
        let number = find(0, true);
        return Some(Broken {
            number,
            least: number.map_or(0.0, |n| values[n] + 2.0 * (covers - shoulder)),
            id: kind::FINIAL_SHOULDER.id,
            says: format!(
                "its shoulder must cover the bore of {} by {} all round (finial.shoulder)",
                written(plan, 2.0 * bore_radius),
                written(plan, COVER)
            ),
        });
    }
    neck(plan, finial, &laid, &find, &step_up)
        .or_else(|| hanger(plan, finial, &laid, &find, &step_up))
        .or_else(|| whip(plan, finial, &laid, bends, &find, &step_up))
}

type Find<'f> = dyn Fn(usize, bool) -> Option<usize> + 'f;
type StepUp<'s> = dyn Fn(Option<usize>, &'static str, String) -> Broken + 's;

fn neck(
    plan: &Plan,
    finial: &Finial,
    laid: &[Laid],
    find: &Find<'_>,
    step_up: &StepUp<'_>,
) -> Option<Broken> {
    let limit = plan.limits.finial_neck;
    let (index, thinnest) = laid
        .iter()
        .enumerate()
        .take(laid.len().saturating_sub(1))
        .map(|(index, shape)| (index, shape.to.y))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    if 2.0 * thinnest + 1e-9 >= limit {
        return None;
    }
    let says = format!(
        "its neck would be {}; the limits ask for {} (finial.neck)",
        written(plan, 2.0 * thinnest),
        written(plan, limit)
    );
    let number = find(index, true);
    let bound = !matches!(
        finial.shape[index],
        FinialPart::Bead { .. } | FinialPart::Ball { .. }
    );
    Some(Broken {
        least: if bound {
            limit
        } else {
            step_up(number, kind::FINIAL_NECK.id, String::new()).least
        },
        number,
        id: kind::FINIAL_NECK.id,
        says,
    })
}

/// Whether the tip gives way by more than `bends`, mm; a thicker neck mends that soonest.
fn whip(
    plan: &Plan,
    finial: &Finial,
    laid: &[Laid],
    bends: f64,
    find: &Find<'_>,
    step_up: &StepUp<'_>,
) -> Option<Broken> {
    let bend = whip::of(plan, finial, laid)?.bend;
    if bend <= bends + 1e-9 {
        return None;
    }
    let thinnest = laid
        .iter()
        .enumerate()
        .take(laid.len().saturating_sub(1))
        .min_by(|a, b| a.1.to.y.total_cmp(&b.1.to.y))?
        .0;
    Some(step_up(
        find(thinnest, true),
        kind::FINIAL_WHIP.id,
        format!(
            "thinner, and its tip would give way by more than {} mm under a light side push (finial.whip)",
            trimmed(bends, 2)
        ),
    ))
}

fn hanger(
    plan: &Plan,
    finial: &Finial,
    laid: &[Laid],
    find: &Find<'_>,
    step_up: &StepUp<'_>,
) -> Option<Broken> {
    let (hanger, tip) = (finial.hanger?, laid.last()?);
    let says = format!(
        "the hanger's hole of {} keeps {} of wood all round it (hanger.wall)",
        written(plan, hanger.diameter),
        written(plan, plan.limits.hanger_wall)
    );
    if hanger.depth >= finial.length() {
        let part = finial.shape.len() - 1;
        let ball = matches!(finial.shape[part], FinialPart::Ball { .. });
        return Some(step_up(find(part, ball), kind::HANGER_WALL.id, says));
    }
    let (thinnest, station) = (0..=40)
        .map(|part| tip.to.x - hanger.depth * (0.1 + 0.9 * f64::from(part) / 40.0))
        .map(|station| (radius_at(laid, station), station))
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    if thinnest - 0.5 * hanger.diameter + 1e-9 >= plan.limits.hanger_wall {
        return None;
    }
    let index = laid
        .iter()
        .position(|shape| shape.from.x <= station && station <= shape.to.x)?;
    // The thin end of a shape that runs from one diameter to another may be the one before it.
    let before = match finial.shape[index] {
        FinialPart::Cove { .. } | FinialPart::Ogee { .. } | FinialPart::Taper { .. } => {
            laid[index].from.y < laid[index].to.y
        }
        _ => false,
    };
    let part = if before { index.checked_sub(1)? } else { index };
    Some(step_up(find(part, true), kind::HANGER_WALL.id, says))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rescale::tests::demo;

    /// At its own size nothing moves.
    #[test]
    fn the_same_size_is_the_same_finial() {
        let plan = demo();
        let old = plan.finials.top.clone().unwrap();
        let same = refit(
            &plan,
            "finials.top",
            &old,
            1.0,
            10.0,
            f64::INFINITY,
            &Keeps::default(),
        )
        .unwrap();
        assert_eq!(same.finial, old);
        assert_eq!(same.unlike, 0.0);
    }

    /// At three quarters the taper's end of 3 mm would be 2.25 mm, below the limit of 2.5 mm: it is
    /// 2.5 mm, and the tip and the bead beside it grow a little with it.
    #[test]
    fn a_neck_stops_at_its_limit_and_draws_its_neighbours() {
        let plan = demo();
        let old = plan.finials.bottom.clone().unwrap();
        let new = refit(
            &plan,
            "finials.bottom",
            &old,
            0.75,
            7.5,
            f64::INFINITY,
            &Keeps::default(),
        )
        .unwrap();
        let FinialPart::Taper { to, length } = new.finial.shape[3] else {
            panic!("a taper stays a taper")
        };
        assert_eq!(to, 2.5);
        assert!((length - 0.75 * 45.0).abs() <= 0.25 + 1e-9);
        let FinialPart::Ball { diameter } = new.finial.shape[4] else {
            panic!("a ball stays a ball")
        };
        // Half the push of ln(2.5/2.25) reaches the tip: 4.5 · (2.5/2.25)^½ = 4.743.
        assert_eq!(diameter, 4.7);
        assert!(
            new.reasons.iter().any(|(part, key, says)| *part == 3
                && *key == "to"
                && says.contains("finial.neck"))
        );
    }

    /// The wood round the hanger's hole knows no scale.
    #[test]
    fn the_tip_keeps_the_hangers_wood() {
        let plan = demo();
        let old = plan.finials.top.clone().unwrap();
        let new = refit(
            &plan,
            "finials.top",
            &old,
            0.75,
            7.5,
            f64::INFINITY,
            &Keeps::default(),
        )
        .unwrap();
        assert_eq!(new.finial.hanger, old.hanger);
        let laid = lay_out(&new.finial).unwrap();
        let tip = laid.last().unwrap().to.x;
        for part in 0..=40 {
            let station = tip - 6.0 * (0.1 + 0.9 * f64::from(part) / 40.0);
            assert!(radius_at(&laid, station) - 0.75 >= plan.limits.hanger_wall - 1e-9);
        }
    }

    /// A number that is kept is kept, and a limit that only it could mend is said.
    #[test]
    fn what_is_kept_is_kept_or_stands_in_the_way() {
        let plan = demo();
        let old = plan.finials.bottom.clone().unwrap();
        let keeps = Keeps::new(["finials.bottom.shape.4.to".to_owned()]);
        let new = refit(
            &plan,
            "finials.bottom",
            &old,
            0.75,
            7.5,
            f64::INFINITY,
            &keeps,
        )
        .unwrap();
        assert_eq!(new.finial.shape[3].length(), 34.0);
        assert!(matches!(new.finial.shape[3], FinialPart::Taper { to, .. } if to == 3.0));
        let keeps = Keeps::new(["finials.bottom.shape.1".to_owned()]);
        let wrong = refit(
            &plan,
            "finials.bottom",
            &old,
            2.0,
            20.0,
            f64::INFINITY,
            &keeps,
        )
        .unwrap_err();
        assert_eq!(wrong.id, "finial.shoulder");
    }
}
