//! The report of the 60 mm demo against docs/hand-check.md, worked by hand from DESIGN section 4.

use rondure_plan::evaluate;
use rondure_plan::plan::Plan;

const PLAN: &str = include_str!("../../../examples/lavender-ball-60.toml");
const PAGE: &str = include_str!("../../../docs/hand-check.md");

/// Rows of the page's tables whose first cell is an identifier.
fn rows() -> Vec<(&'static str, Vec<f64>)> {
    PAGE.lines()
        .filter_map(|line| {
            let mut cells = line.strip_prefix("| `")?.split('|');
            let id = cells.next()?.trim().strip_suffix('`')?;
            Some((
                id,
                cells.filter_map(|cell| cell.trim().parse().ok()).collect(),
            ))
        })
        .collect()
}

#[test]
fn the_report_says_what_was_worked_by_hand() {
    let plan = Plan::read(PLAN, "plan.toml", &|_| Err("no files here".to_owned()))
        .unwrap_or_else(|wrong| panic!("{wrong}"));
    let report = evaluate(&plan)
        .unwrap_or_else(|wrong| panic!("{wrong}"))
        .report;
    let (mut measures, mut volumes) = (0, 0);
    for (id, values) in rows() {
        if let [by_hand, set] = values[..] {
            let Some(measure) = report.measures.iter().find(|measure| measure.id == id) else {
                panic!("no measure {id}")
            };
            assert!(
                (measure.exact - by_hand).abs() < 0.0006,
                "{id}: exact {} by hand {by_hand}",
                measure.exact
            );
            assert!(
                (measure.value - set).abs() < 0.0006,
                "{id}: set {} by hand {set}",
                measure.value
            );
            measures += 1;
        } else if let [by_hand] = values[..] {
            let Some(setup) = report.setups.iter().find(|setup| setup.id == id) else {
                panic!("no set-up {id}")
            };
            let off = (setup.after.volume_mm3 - by_hand).abs();
            assert!(
                off <= setup.after.volume_error_mm3 + 0.05,
                "after {id}: {} by hand {by_hand}",
                setup.after.volume_mm3
            );
            volumes += 1;
        }
    }
    assert_eq!((measures, volumes), (16, 2));
}
