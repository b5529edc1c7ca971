//! Lathe speeds from the rim rule, within what the lathe can run.
//!
//! Common practice, no primary source (trade facts 2.1): revolutions a minute
//! times diameter in inches is 6000 to 9000 for sound round work. Roughing an
//! unbalanced blank starts at the lathe's lowest and stays below 5000
//! (trade facts 2.6, 2.7); a broken cut stays below the rule's low end (common
//! practice, no source); drilling on the lathe about 300 to 500 (trade facts
//! 2.10, sources differ by a factor of three). A speed is a start, never a goal.

use crate::plan::Plan;
use crate::rack::Speeds;
use crate::report::Speed;
use crate::units::MILLIMETRES_PER_INCH;

/// Low end of the rim rule, rpm · in.
pub const RIM_RULE_LOW: f64 = 6000.0;
/// High end of the rim rule, rpm · in.
pub const RIM_RULE_HIGH: f64 = 9000.0;
/// Most for work that is not round yet, rpm · in (trade facts 2.7).
pub const ROUGHING_MOST: f64 = 5000.0;
/// Drilling with a large bit on the lathe, rpm (trade facts 2.10).
pub const DRILLING: (f64, f64) = (300.0, 500.0);

/// What is being done, as far as speed is concerned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Work {
    /// A blank that is not round yet.
    Roughing,
    /// Sound round work.
    Turning,
    /// The tool meets wood and air by turns.
    Broken,
    /// A bit in the tailstock.
    Drilling,
}

/// The speed the plan chooses for some work, or else the rule's range as far as the lathe runs it.
pub fn speed_for(plan: &Plan, work: Work, diameter: f64) -> Speed {
    match chosen(plan, work) {
        Some(rpm) => Speed { from: rpm, to: rpm },
        None => speed(work, diameter, &plan.rack.lathe.speeds),
    }
}

/// The speed the plan chooses for some work, revolutions a minute.
pub fn chosen(plan: &Plan, work: Work) -> Option<f64> {
    match work {
        Work::Roughing => plan.speeds.roughing,
        Work::Turning => plan.speeds.turning,
        Work::Broken => plan.speeds.coving,
        Work::Drilling => plan.speeds.drilling,
    }
}

/// The range the rule gives for work of `diameter` mm, revolutions a minute.
pub fn rule(work: Work, diameter: f64) -> (f64, f64) {
    let inches = diameter / MILLIMETRES_PER_INCH;
    match work {
        Work::Roughing => (0.0, ROUGHING_MOST / inches),
        Work::Turning => (RIM_RULE_LOW / inches, RIM_RULE_HIGH / inches),
        Work::Broken => (0.5 * RIM_RULE_LOW / inches, RIM_RULE_LOW / inches),
        Work::Drilling => DRILLING,
    }
}

/// The rule's range as far as the lathe can run it; its nearest slower speed where it has none
/// within, its lowest where even that is above the rule.
pub fn speed(work: Work, diameter: f64, speeds: &Speeds) -> Speed {
    let (low, high) = rule(work, diameter);
    let (from, to) = speeds.within(low, high).unwrap_or_else(|| {
        let only = speeds.at_most(high);
        (only, only)
    });
    // A lathe that turns steplessly is set to the nearest ten.
    let ten = |rpm: f64| {
        if matches!(speeds, Speeds::Range { .. }) {
            (rpm / 10.0).round() * 10.0
        } else {
            rpm
        }
    };
    Speed {
        from: ten(from),
        to: ten(to),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The rule as rpm, low and high, by diameter in inches (trade facts 2.2).
    #[test]
    fn rim_rule_agrees_with_its_table() {
        let table = [
            (2.0, 3000.0, 4500.0),
            (3.0, 2000.0, 3000.0),
            (4.0, 1500.0, 2250.0),
            (6.0, 1000.0, 1500.0),
            (8.0, 750.0, 1125.0),
            (10.0, 600.0, 900.0),
            (12.0, 500.0, 750.0),
            (14.0, 429.0, 643.0),
            (16.0, 375.0, 563.0),
            (20.0, 300.0, 450.0),
        ];
        for (inches, low, high) in table {
            let (found_low, found_high) = rule(Work::Turning, inches * 25.4);
            assert!(
                (found_low - low).abs() <= 0.5 && (found_high - high).abs() <= 0.5,
                "{inches} in"
            );
        }
    }

    /// At 1 in the rule asks for 6000; the lathe's own limit governs (trade facts 2.2).
    #[test]
    fn the_lathe_limits_the_rule() {
        let lathe = Speeds::Range {
            lowest: 250.0,
            highest: 3600.0,
        };
        assert_eq!(
            speed(Work::Turning, 25.4, &lathe),
            Speed {
                from: 3600.0,
                to: 3600.0
            }
        );
        let belt = Speeds::Steps(vec![500.0, 850.0, 1300.0, 2000.0]);
        // 60 mm: 2540 to 3810; the belt's fastest is below, and is what can be run.
        assert_eq!(
            speed(Work::Turning, 60.0, &belt),
            Speed {
                from: 2000.0,
                to: 2000.0
            }
        );
        // 120 mm: 1270 to 1905 holds one step.
        assert_eq!(
            speed(Work::Turning, 120.0, &belt),
            Speed {
                from: 1300.0,
                to: 1300.0
            }
        );
    }
}
