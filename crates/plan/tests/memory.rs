//! What a memory knows changes no answer: an outcome is the same to the last bit whatever was worked
//! out before it, and however small the memory is.

#![expect(
    clippy::unwrap_used,
    reason = "an example that cannot be worked out is a failed check"
)]

use rondure_plan::plan::Plan;
use rondure_plan::report::Finding;
use rondure_plan::{Memory, Outcome, evaluate, evaluate_quick, evaluate_with};

const SOUND: &str = include_str!("../../../examples/lavender-ball-60.toml");
/// A plan with findings, so that mends are tried.
const FAULTY: &str = include_str!("../../../examples/lavender-ball-84.toml");

/// Changes that reach all of a plan, part of it, and none of its solids.
const CHANGES: [(&str, &str); 5] = [
    ("title", "another"),
    ("finials.bottom.tenon_length", "5 mm"),
    ("cove.depth", "4.5 mm"),
    ("bore.diameter", "18 mm"),
    ("cove.depth", "5 mm"),
];

fn read(text: &str) -> Plan {
    Plan::read(text, "plan.toml", &|_| Err("no files here".to_owned())).unwrap()
}

fn bytes(outcome: &Outcome) -> String {
    serde_json::to_string(&outcome.report).unwrap()
        + &serde_json::to_string(&outcome.figures).unwrap()
}

#[test]
fn answers_do_not_depend_on_what_was_known() {
    let usual = Memory::default();
    // Forgets most between any two things it is asked.
    let small = Memory::bounded(20_000);
    for (text, changes) in [(SOUND, &CHANGES[..]), (FAULTY, &CHANGES[..2])] {
        let mut plan = read(text);
        for (key, value) in changes {
            plan = read(&plan.set(key, value).unwrap());
            let fresh = bytes(&evaluate(&plan).unwrap());
            for memory in [&usual, &small, &usual] {
                assert_eq!(
                    bytes(&evaluate_with(&plan, memory).unwrap()),
                    fresh,
                    "{key}"
                );
            }
            assert!(small.held() <= 20_000);
        }
    }
}

/// Findings come quickly and mends after: the same findings, and where mends are left out it is told.
#[test]
fn findings_come_before_their_mends() {
    let memory = Memory::default();
    let without_mends = |findings: &[Finding]| -> Vec<Finding> {
        findings
            .iter()
            .map(|finding| Finding {
                mend: Vec::new(),
                ..finding.clone()
            })
            .collect()
    };
    for (text, tried) in [(SOUND, false), (FAULTY, true)] {
        let plan = read(text);
        let quick = evaluate_quick(&plan, &memory).unwrap();
        let whole = evaluate_with(&plan, &memory).unwrap();
        assert_eq!(quick.mends_untried, tried);
        assert!(!whole.mends_untried);
        assert_eq!(
            without_mends(&quick.report.findings),
            without_mends(&whole.report.findings)
        );
        let more = |outcome: &Outcome| -> usize {
            let mends = outcome.report.findings.iter().map(|f| f.mend.len());
            mends.sum()
        };
        assert_eq!(more(&quick) < more(&whole), tried);
    }
}
