//! Speeds the plan asks for, against the rim rule and the lathe.

use super::kind::{self, advice, change};
use super::mending::clears;
use crate::bench::written;
use crate::form::coved_ball::finials;
use crate::report::Finding;
use crate::speed::{Work, chosen, rule, speed};
use crate::study::Study;

/// Chosen speeds above the rule or outside the lathe, and a lathe too fast for the rule.
pub fn check(study: &Study<'_>) -> Vec<Finding> {
    let (plan, expanded) = (study.plan, &study.expanded);
    let ball = 2.0 * expanded.layout.radius;
    let sweep = 2.0 * expanded.stock.reach(plan);
    // A chosen turning speed serves the ball and the finials; the ball is the larger.
    let largest_finial = expanded
        .finials
        .iter()
        .map(|(_, _, laid)| finials::rough_diameter(plan, laid))
        .fold(0.0, f64::max);
    [
        (Work::Roughing, "speeds.roughing", sweep, "rough", "rough.cylinder", "roughing"),
        (Work::Turning, "speeds.turning", ball.max(largest_finial), "ball", "ball.round", "turning the ball"),
        (Work::Broken, "speeds.coving", ball, "mounting.1", "mounting.1.flat", "coving, a broken cut,"),
        (Work::Drilling, "speeds.drilling", plan.bore.diameter, "ball", "ball.bore", "boring"),
    ]
    .into_iter()
    .flat_map(|(work, key, diameter, setup, step, doing)| {
        let lathe = &plan.rack.lathe.speeds;
        let (_, most) = rule(work, diameter);
        let usual = speed(work, diameter, lathe);
        let asked = chosen(plan, work);
        let mut found = Vec::new();
        let write = format!("{:.0}", usual.to);
        if let Some(asked) = asked.filter(|asked| *asked > most + 0.5) {
            found.push(
                kind::SPEED_RULE
                    .says(format!("{doing} {} of work at {asked:.0} rpm is above the rule's {most:.0} rpm.", written(plan, diameter)))
                    .against(asked, most, "rpm")
                    .in_setup(setup)
                    .in_step(step)
                    .mended_by(
                        clears(study, check, kind::SPEED_RULE.id, key, &write)
                            .then(|| change(key, &write, format!("Run at {write} rpm at most, and begin slower."))),
                    ),
            );
        }
        let runs = asked.unwrap_or(usual.from);
        let nearest = lathe.at_most(runs);
        let off = match asked {
            // A stepless lathe runs what it is set to; a belt only its steps.
            Some(asked) => (nearest - asked).abs() > 0.5,
            None => runs > most + 0.5,
        };
        if off {
            let write = format!("{nearest:.0}");
            let mend = asked
                .is_some_and(|_| clears(study, check, kind::SPEED_LATHE.id, key, &write))
                .then(|| change(key, &write, format!("Run at {write} rpm, which the lathe gives.")));
            let none = mend.is_none();
            found.push(
                kind::SPEED_LATHE
                    .says(if asked.is_some() {
                        format!("The lathe does not run at {runs:.0} rpm for {doing}; it runs from {:.0} to {:.0} rpm.", lathe.lowest(), lathe.highest())
                    } else {
                        format!("The lathe's lowest speed, {:.0} rpm, is above the rule's {most:.0} rpm for {doing} {} of work.", lathe.lowest(), written(plan, diameter))
                    })
                    .against(runs, if asked.is_some() { nearest } else { most }, "rpm")
                    .in_setup(setup)
                    .in_step(step)
                    .mended_by(mend)
                    .mended_by(none.then(|| advice("Use a lathe that runs slower, or round the blank on the saw first."))),
            );
        }
        found
    })
    .map(|mut finding| {
        if let Some(first) = finding.says.get(..1) {
            finding.says = first.to_uppercase() + &finding.says[1..];
        }
        finding
    })
    .collect()
}
