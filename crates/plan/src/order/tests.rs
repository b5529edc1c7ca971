//! Orders against their symmetries, elementary geometry, and the study's own figures.

use super::*;
use crate::study::Study;

fn plan(marks: u32) -> Plan {
    let text = include_str!("../../../../examples/lavender-ball-60.toml");
    let demo = Plan::read(text, "demo", &|_| Err("no file".to_owned())).unwrap();
    match marks {
        8 => demo,
        _ => demo
            .with("pierce.diameter", "5 mm")
            .and_then(|plan| plan.with("cove.depth", "3 mm"))
            .and_then(|plan| plan.with("ball.marks", &marks.to_string()))
            .unwrap(),
    }
}

/// (m − 1)!/2 orders differ by more than turning and mirroring, and a mirrored order meets the same.
#[test]
fn orders_count_once_whichever_way_they_are_seen() {
    for (mountings, count) in [(3, 1), (4, 3), (5, 12), (6, 60), (7, 360)] {
        let all = every_order(mountings);
        assert_eq!(all.len(), count);
        for order in &all {
            let turned: Vec<u32> = order.iter().map(|k| k % mountings + 1).collect();
            let mirrored: Vec<u32> = order.iter().map(|k| (mountings + 1) - k).collect();
            assert_eq!(keys(order, mountings), keys(&turned, mountings));
            assert_eq!(keys(order, mountings), keys(&mirrored, mountings));
        }
    }
}

/// What an order is said to meet is what the study of a plan with that order finds.
#[test]
fn an_order_meets_what_the_plan_with_it_meets() {
    let plan = plan(8).with("holding.order", "1, 3, 4, 2").unwrap();
    let own = orders(&plan, &[]).unwrap().planned;
    assert_eq!(own.mountings, [1, 3, 4, 2]);
    let study = Study::new(&plan, expand(&plan).unwrap());
    let seat = study
        .mountings()
        .iter()
        .map(|mounted| mounted.drive.radius.min(mounted.tail.radius))
        .fold(f64::INFINITY, f64::min);
    assert!((own.narrowest_seat_mm - 2.0 * seat).abs() <= 0.05 + 1e-9);
    let shares: Vec<f64> = study
        .broken_cuts()
        .iter()
        .map(|cuts| cuts[0].share)
        .collect();
    let mean = shares.iter().sum::<f64>() / 4.0;
    assert!(
        (own.in_wood - mean).abs() <= 0.0006,
        "{own:?} against {shares:?}"
    );
}

/// Planted: a turn at the flat of mounting j leaves wood where an earlier cove i, Δ marks away,
/// reaches: where sin θ < w / (f sin Δδ) about each pole, θ the angle from the pole (DESIGN
/// section 4; the coves' bottoms lie below the flat wherever they meet it). So a neighbour costs
/// most, and with four mountings the best order is one that leaves neighbours apart for longest.
#[test]
fn neighbours_apart_for_longest_is_best() {
    let found = orders(&plan(8), &[]).unwrap();
    assert!(found.every && found.compared == 3);
    let best = &found.ranked[0];
    assert!(best.works);
    assert_eq!(best.mountings[..2], [1, 3], "{found:#?}");
    assert_eq!(found.planned.mountings, [1, 2, 3, 4]);
    assert!(best.in_wood > found.planned.in_wood && found.place > 1);
    assert!(found.why.contains("instead of"), "{}", found.why);
}

/// Where four does not divide the marks and no land is left, later seats are ridges in every order.
#[test]
fn no_order_mends_seats_on_ridges() {
    let found = orders(&plan(10).with("cove.land", "0").unwrap(), &[]).unwrap();
    assert!(found.ranked.iter().all(|order| !order.works));
    assert!(found.why.contains("No order"));
}

/// Solved stress ranks before the broken cut, and only where every mounting has it.
#[test]
fn solved_stress_counts() {
    let plan = plan(8);
    let mut used = Vec::new();
    for order in every_order(4) {
        for place in 0..4 {
            let share = if order == [1, 2, 3, 4] { 0.2 } else { 0.6 };
            used.push(Used {
                earlier: order[..place].to_vec(),
                mounting: order[place],
                share,
            });
        }
    }
    // The first two mountings of the plan's order are also met in others; they come last here.
    used.sort_by(|a, b| b.share.total_cmp(&a.share));
    let found = orders(&plan, &used).unwrap();
    assert_eq!(found.planned.most_used, Some(0.2));
    assert_eq!(found.place, 1);
}

/// A chosen order is carried out: set-ups follow it, and so do the ridges that are there to measure
/// on.
#[test]
fn the_set_ups_follow_the_order() {
    let plan = plan(8).with("holding.order", "2, 4, 3, 1").unwrap();
    let expanded = expand(&plan).unwrap();
    let ids: Vec<&str> = expanded
        .process
        .setups
        .iter()
        .map(|setup| setup.id.as_str())
        .filter(|id| id.starts_with("mounting."))
        .collect();
    assert_eq!(
        ids,
        ["mounting.2", "mounting.4", "mounting.3", "mounting.1"]
    );
    // Coves 2 and 4 are no neighbours: only the last mounting finds ridges between two coves.
    let ridges = |id: &str| {
        let setup = &expanded.process.setups[expanded.process.setup(id).unwrap()];
        let measures = setup.steps.iter().flat_map(|step| &step.measures);
        measures
            .filter(|measure| measure.id.contains(".ridge."))
            .count()
    };
    assert_eq!(ridges("mounting.3"), 0);
    assert!(ridges("mounting.1") > 0);
}

#[test]
fn an_order_that_is_none_is_refused_with_its_mend() {
    let text = plan(8).set("holding.order", "1, 2, 2, 4").unwrap();
    let wrong = Plan::read(&text, "demo", &|_| Err("no file".to_owned())).unwrap_err();
    assert_eq!(wrong.list[0].key, "holding.order");
    assert!(wrong.list[0].mend.as_ref().unwrap().contains("1, 2, 3, 4"));
}
