//! How a finial gives way and swings in the jaws, turned to the end.
//!
//! The finial is a rod held at the jaws' tops ([`Beam`]): what is left for parting off at its rough
//! size, the tenon, then the shapes to the tip. Its stiffness is that of the wood in bending along
//! the grain at 12 % moisture, which differs from tree to tree by a fifth; wood at the tip for the tail
//! centre is gone. Cut tip first, every place is cut while all behind it is still rough and stiff;
//! this is the state in which it is sanded, the weakest it is ever in.

use rondure_wood::find;

use super::finial_outline::{Laid, radius_at};
use super::finials::{PARTING_ROOM, rough_diameter, tenon};
use crate::beam::{Beam, slenderness};
use crate::plan::{Finial, Plan};

/// A hand that sands lightly, N: the weight of 100 g. Common practice, no source.
pub const SIDE_PUSH: f64 = 1.0;
/// The slowest swing stays this many times above the lathe's turns: wood and hands are not even, and
/// push twice a turn. Common practice, no source.
pub const CLEAR_OF_SPEED: f64 = 3.0;
/// From this slenderness on a finial's bend and swing are told; below it nothing whips. Common
/// practice, no source.
pub const SLENDER: f64 = 8.0;
/// Above this many thicknesses a spindle between centres begins to bow (woodworkersjournal.com
/// slender spindles; trade facts 5.7).
pub const BOWS: f64 = 11.0;

/// How a finial gives way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Whip {
    /// How far the tip moves under [`SIDE_PUSH`], mm.
    pub bend: f64,
    /// Its slowest swing, Hz.
    pub frequency: f64,
    /// Its length from the shoulder over its thinnest neck.
    pub slenderness: f64,
}

/// Works it out; none where the wood's stiffness or weight is not known.
pub fn of(plan: &Plan, finial: &Finial, laid: &[Laid]) -> Option<Whip> {
    let wood = find(&plan.wood.species).ok()?;
    let young = wood.modulus_of_elasticity.as_ref()?.value;
    let moisture = plan.finials.moisture.unwrap_or(plan.wood.moisture);
    let density = wood.density(moisture).ok()?.kg_m3;
    let tip = laid.last()?.to.x;
    let root = finial.tenon_length + PARTING_ROOM;
    let (rough, tenon) = (0.5 * rough_diameter(plan, laid), 0.5 * tenon(plan));
    let rod = Beam::new(root + tip, young, |from_jaws| {
        let station = from_jaws - root;
        if station < -finial.tenon_length {
            rough
        } else if station < 0.0 {
            tenon
        } else {
            radius_at(laid, station)
        }
    });
    let least = laid
        .iter()
        .take(laid.len().saturating_sub(1))
        .map(|shape| shape.to.y)
        .fold(laid.first()?.from.y, f64::min);
    Some(Whip {
        // The very tip of a ball is a point; the push is where the tip is still a finger wide.
        bend: SIDE_PUSH * rod.gives(root + tip - 0.5 * laid.last()?.widest.min(2.0)),
        frequency: rod.frequency(density),
        slenderness: slenderness(tip, 2.0 * least),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::coved_ball::finial_outline::lay_out;

    const DEMO: &str = include_str!("../../../../../examples/lavender-ball-60.toml");

    /// A straight spindle of 5 mm on a stout root is the straight cantilever: δ = F L³ / 3 E I and
    /// f = 0.1399 (d / L²) √(E / ρ) (trade facts 9.12, 9.14); the root, sixty times as stiff, adds little.
    #[test]
    fn a_straight_spindle_is_the_straight_cantilever() {
        let plan = Plan::read(DEMO, "demo.toml", &|_| Err(String::new())).unwrap();
        let mut finial = plan.finials.top.clone().unwrap();
        let length = 120.0;
        finial.hanger = None;
        finial.shape = vec![crate::plan::FinialPart::Fillet {
            length,
            diameter: 5.0,
        }];
        let laid = lay_out(&finial).unwrap();
        let found = of(&plan, &finial, &laid).unwrap();
        let wood = find("field maple").unwrap();
        let young = wood.modulus_of_elasticity.as_ref().unwrap().value;
        let density = wood.density(9.0).unwrap().kg_m3;
        let second = std::f64::consts::PI * 2.5_f64.powi(4) / 4.0;
        let bend = (length - 1.0).powi(3) / (3.0 * young * second);
        assert!((found.bend / bend - 1.0).abs() < 0.04, "{found:?} {bend}");
        let hz = 0.1399 * (0.005 / 0.12_f64.powi(2)) * (young * 1e6 / density).sqrt();
        assert!((found.frequency / hz - 1.0).abs() < 0.04, "{found:?} {hz}");
        assert!((found.slenderness - 24.0).abs() < 1e-9);
    }
}
