//! Forces of the bench: what the centres, the jaws, the tool and the bit push with.
//!
//! A plan may set each, and so may a rack; the plan's word comes first, then the rack's, then what is usual. Nobody
//! measures these at the lathe, so every usual value is marked, and what a piece *stands* is worked out without them.

use std::ops::RangeInclusive;

use crate::reader::Section;

/// Forces that a plan or a rack sets; what is left out is not set there. N, and mm for the drop.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ChosenLoads {
    /// Push of the tail centre.
    pub tail: Option<f64>,
    /// Grip of the jaws, all jaws together.
    pub grip: Option<f64>,
    /// Push of the tool, sideways and along the cut.
    pub cut: Option<f64>,
    /// Push of a bit of 10 mm; other bits by their diameter.
    pub drill: Option<f64>,
    /// Side force of sanding and finishing cuts on a finial.
    pub finial: Option<f64>,
    /// Squeeze of a hand.
    pub hand: Option<f64>,
    /// Height of a drop on to a hard floor.
    pub drop: Option<f64>,
}

/// One force of the bench, with where it comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Magnitude {
    /// N; for the drop mm.
    pub value: f64,
    /// Where it comes from, in words.
    pub from: &'static str,
}

/// What a plan's own value is called.
pub const FROM_PLAN: &str = "the plan";
/// What a rack's value is called.
pub const FROM_RACK: &str = "the rack";
/// A value that is done and not written down.
const PRACTICE: &str = "common practice, no source";
/// A value written down from memory.
const MEMORY: &str = "from memory";

/// All forces of the bench, from the plan, the rack or the usual.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loads {
    /// Push of the tail centre, N.
    pub tail: Magnitude,
    /// Grip of the jaws, all jaws together, N.
    pub grip: Magnitude,
    /// Push of the tool, N.
    pub cut: Magnitude,
    /// Push of a bit of 10 mm, N.
    pub drill: Magnitude,
    /// Side force on a finial, N.
    pub finial: Magnitude,
    /// Squeeze of a hand, N.
    pub hand: Magnitude,
    /// Height of a drop, mm.
    pub drop: Magnitude,
}

/// Snug, not forced: the wheel turned by hand until the centre stops wandering.
const USUAL_TAIL: Magnitude = Magnitude {
    value: 200.0,
    from: PRACTICE,
};
/// A scroll chuck drawn up by its key, all jaws together.
const USUAL_GRIP: Magnitude = Magnitude {
    value: 1000.0,
    from: MEMORY,
};
/// A sharp gouge taking a light cut.
const USUAL_CUT: Magnitude = Magnitude {
    value: 40.0,
    from: PRACTICE,
};
/// A sharp bit fed by hand.
const USUAL_DRILL: Magnitude = Magnitude {
    value: 80.0,
    from: MEMORY,
};
/// Fingers and a fine cut on slender work.
const USUAL_FINIAL: Magnitude = Magnitude {
    value: 5.0,
    from: PRACTICE,
};
/// A firm hand that does not mean to break it.
const USUAL_HAND: Magnitude = Magnitude {
    value: 100.0,
    from: MEMORY,
};
/// From a bench's edge to the floor.
const USUAL_DROP: Magnitude = Magnitude {
    value: 900.0,
    from: PRACTICE,
};

impl Loads {
    /// The plan's word first, then the rack's, then the usual.
    pub fn of(plan: &ChosenLoads, rack: &ChosenLoads) -> Self {
        let pick = |plan: Option<f64>, rack: Option<f64>, usual: Magnitude| match (plan, rack) {
            (Some(value), _) => Magnitude {
                value,
                from: FROM_PLAN,
            },
            (None, Some(value)) => Magnitude {
                value,
                from: FROM_RACK,
            },
            (None, None) => usual,
        };
        Self {
            tail: pick(plan.tail, rack.tail, USUAL_TAIL),
            grip: pick(plan.grip, rack.grip, USUAL_GRIP),
            cut: pick(plan.cut, rack.cut, USUAL_CUT),
            drill: pick(plan.drill, rack.drill, USUAL_DRILL),
            finial: pick(plan.finial, rack.finial, USUAL_FINIAL),
            hand: pick(plan.hand, rack.hand, USUAL_HAND),
            drop: pick(plan.drop, rack.drop, USUAL_DROP),
        }
    }
}

/// What a lathe for small work can push with, N.
const FORCES: RangeInclusive<f64> = 0.1..=20_000.0;
/// What a piece can fall, mm.
const DROPS: RangeInclusive<f64> = 10.0..=3_000.0;

/// The section `[loads]` of a plan or a rack.
pub(crate) fn read_loads(section: Section<'_>) -> ChosenLoads {
    let loads = ChosenLoads {
        tail: section.force("tail", FORCES).maybe(),
        grip: section.force("grip", FORCES).maybe(),
        cut: section.force("cut", FORCES).maybe(),
        drill: section.force("drill", FORCES).maybe(),
        finial: section.force("finial", FORCES).maybe(),
        hand: section.force("hand", FORCES).maybe(),
        drop: section.length("drop", DROPS).maybe(),
    };
    section.finish();
    loads
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_plan_comes_before_the_rack_and_the_rack_before_the_usual() {
        let plan = ChosenLoads {
            tail: Some(150.0),
            ..ChosenLoads::default()
        };
        let rack = ChosenLoads {
            tail: Some(300.0),
            cut: Some(25.0),
            ..ChosenLoads::default()
        };
        let loads = Loads::of(&plan, &rack);
        assert_eq!(
            loads.tail,
            Magnitude {
                value: 150.0,
                from: FROM_PLAN
            }
        );
        assert_eq!(
            loads.cut,
            Magnitude {
                value: 25.0,
                from: FROM_RACK
            }
        );
        assert_eq!(loads.grip, USUAL_GRIP);
    }
}
