//! Trials against cases that can be worked out by hand, and their intervals against repetition.

#![expect(clippy::unwrap_used, reason = "planted plans are valid")]

use rondure_plan::plan::Plan;
use rondure_plan::trial::{ACCURACIES, Asked, Bench, Hand, NoTrial, deviations, trial};

const DEMO: &str = include_str!("../../../examples/lavender-ball-60.toml");
const INCHES: &str = include_str!("../../../examples/ornament-1-7-8-in.toml");

fn plan(text: &str) -> Plan {
    Plan::read(text, "test.toml", &|_| Err("built in".to_owned())).unwrap()
}

fn layout(plan: &Plan) -> rondure_plan::form::coved_ball::Layout {
    rondure_plan::form::coved_ball::sizes::lay_out(plan).unwrap()
}

fn place(key: &str) -> usize {
    ACCURACIES
        .iter()
        .position(|accuracy| accuracy.key == key)
        .unwrap()
}

/// The normal distribution function by the series of the error function (Abramowitz and Stegun
/// 7.1.5), good to 1e-12 here.
fn phi(z: f64) -> f64 {
    let x = z / std::f64::consts::SQRT_2;
    let (mut term, mut sum) = (x, x);
    for n in 1..80 {
        let n = f64::from(n);
        term *= -x * x / n;
        sum += term / (2.0 * n + 1.0);
    }
    0.5 + sum / std::f64::consts::PI.sqrt()
}

/// One error, one limit. Only the holes come out wider, by 2 · ½σ|z| together: the gap between rims
/// keeps its limit where |z| < (gap − limit) / σ, so 2Φ((gap − limit) / σ) − 1 of the makings come out.
#[test]
fn one_error_against_one_limit_is_the_normal_distribution() {
    let plan = plan(DEMO);
    let layout = layout(&plan);
    let gap = layout.rim_gap().unwrap();
    let mut within = [0.0; ACCURACIES.len()];
    within[place("hole_oversize")] = 0.5;
    let deviation = deviations(&within);
    let sigma = deviation[place("hole_oversize")];
    for spare in [0.05, 0.2, 0.4] {
        let mut limits = plan.limits;
        // Far below what else could fail: the walls are thicker than the gap is wide.
        limits.web = gap - spare;
        limits.neck = 0.2;
        let bench = Bench::new(&layout, limits, 1600, 3).unwrap();
        let made = bench.make(&deviation, &|| true).unwrap().unwrap();
        let expected = 2.0 * phi(spare / sigma) - 1.0;
        let share = made.come_out();
        assert!(
            share.from <= expected && expected <= share.to,
            "{share:?} for {expected}"
        );
        // Evenly spread errors do far better than chance, which is off by 0.01 here.
        assert!(
            (share.share - expected).abs() < 2e-3,
            "{share:?} for {expected}"
        );
    }
}

/// Over repeated seeds the interval holds the true share as often as it says: here with all errors at
/// once, against a trial thirty times as large. Of 40 intervals 38 should; fewer than 34 would be a
/// chance of 1 in 1000 for an honest one.
#[test]
fn intervals_hold_the_true_share() {
    let plan = plan(INCHES);
    let layout = layout(&plan);
    let mut within = plan.trial.within();
    within.iter_mut().for_each(|figure| *figure *= 0.7);
    let deviation = deviations(&within);
    let share = |makings: usize, seed: u64| {
        let bench = Bench::new(&layout, plan.limits, makings, seed).unwrap();
        bench
            .make(&deviation, &|| true)
            .unwrap()
            .unwrap()
            .come_out()
    };
    let truth = share(8000, 1).share;
    assert!((0.2..0.9).contains(&truth), "{truth}");
    let held = (2..42)
        .map(|seed| share(240, seed))
        .filter(|share| share.from <= truth && truth <= share.to)
        .count();
    assert!(held >= 34, "{held} of 40 hold {truth}");
}

/// The same seed gives the same answer on one core and on two, another seed another one; and what is
/// said hangs together.
#[test]
fn a_trial_is_the_same_on_any_number_of_cores() {
    let plan = plan(INCHES);
    let asked = Asked {
        makings: 320,
        seed: 5,
        hand: Some(Hand::Careful),
    };
    let on = |threads: usize, asked: Asked| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| trial(&plan, asked, &|_, _| true)).unwrap()
    };
    let (one, two) = (on(1, asked), on(2, asked));
    assert_eq!(one, two);
    assert_ne!(one.share, on(2, Asked { seed: 6, ..asked }).share);
    let spoilt: f64 = one.faults.iter().map(|fault| fault.first).sum();
    assert!(
        (spoilt + one.share.share - 1.0).abs() < 1e-9,
        "every spoilt piece has its first fault"
    );
    assert!(
        one.accuracies
            .windows(2)
            .all(|pair| pair[0].gain >= pair[1].gain)
    );
}

/// With no errors at all every making of a sound plan comes out; and a trial that nobody wants
/// any more ends.
#[test]
fn a_perfect_hand_makes_what_is_planned() {
    let mut perfect = plan(DEMO);
    perfect.trial.own = perfect.trial.own.map(|_| Some(0.0));
    let asked = Asked {
        makings: 64,
        ..Asked::default()
    };
    let report = trial(&perfect, asked, &|_, _| true).unwrap();
    assert_eq!(report.share.share, 1.0);
    assert!(report.planned.is_empty() && report.faults.is_empty());
    let stopped = trial(&plan(DEMO), asked, &|_, _| false);
    assert!(matches!(stopped, Err(NoTrial::Stopped)));
}

/// The section `[trial]` is read with its units, and its mistakes are told.
#[test]
fn a_hand_of_ones_own_is_read() {
    let text =
        format!("{DEMO}\n[trial]\nhand = \"careful\"\ncove_depth = \"1/64 in\"\nhole_angle = 3\n");
    let plan = plan(&text);
    let within = plan.trial.within();
    assert_eq!(plan.trial.hand, Hand::Careful);
    assert!((within[place("cove_depth")] - 25.4 / 64.0).abs() < 1e-12);
    assert_eq!(within[place("hole_angle")], 3.0);
    assert_eq!(within[place("axis")], 0.2);
    let wrong = format!("{DEMO}\n[trial]\nhand = \"clumsy\"\n");
    let problems = Plan::read(&wrong, "test.toml", &|_| Err(String::new())).unwrap_err();
    assert_eq!(problems.list[0].key, "trial.hand");
}
