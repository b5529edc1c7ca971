//! Numbers as they are set at the bench.
//!
//! A number nobody can set is not an answer: each measure is rounded to what
//! its tool holds and then to what its writing can say, and the value given
//! back is exactly what is written, so that the solid is worked out with it.

use crate::plan::Plan;
use crate::rack::BitKind;
use crate::report::Measure;
use crate::units::{LengthStyle, MILLIMETRES_PER_INCH, show_length};

/// Stands in the place of a tool beside a number that nobody sets, but that is good to know.
pub const TO_KNOW: &str = "to know";

/// Writes measures of one step.
#[derive(Debug)]
pub struct Bench<'a> {
    plan: &'a Plan,
    setup: String,
    step: String,
    measures: Vec<Measure>,
}

impl<'a> Bench<'a> {
    /// A bench for one step.
    pub fn new(plan: &'a Plan, setup: &str, step: &str) -> Self {
        Self {
            plan,
            setup: setup.to_owned(),
            step: step.to_owned(),
            measures: Vec::new(),
        }
    }

    /// The measures written so far, handed over.
    pub fn done(self) -> Vec<Measure> {
        self.measures
    }

    /// A diameter set on callipers, mm; gives back what is set.
    pub fn calliper(&mut self, key: &str, label: &str, exact: f64) -> f64 {
        self.stepped(key, label, exact, self.plan.rack.calliper_step, "callipers")
    }

    /// A length set or marked with a rule, mm; gives back what is set.
    pub fn rule(&mut self, key: &str, label: &str, exact: f64) -> f64 {
        self.stepped(key, label, exact, self.plan.rack.rule_step, "rule")
    }

    /// A straight distance set on dividers against a rule, mm; gives back what is set.
    pub fn dividers(&mut self, key: &str, label: &str, exact: f64) -> f64 {
        self.stepped(key, label, exact, self.plan.rack.rule_step, "dividers")
    }

    /// A stop or depth collar set with a rule, mm; gives back what is set.
    pub fn stop(&mut self, key: &str, label: &str, exact: f64) -> f64 {
        self.stepped(key, label, exact, self.plan.rack.rule_step, "depth stop")
    }

    /// A card gauge or strip cut from the printed template: exact, mm.
    pub fn template(&mut self, key: &str, label: &str, exact: f64) {
        let shown = show_length(exact, self.plan.style).text;
        self.push(
            key,
            label,
            exact,
            exact,
            "mm",
            "printed template".to_owned(),
            shown,
        );
    }

    /// The diameter of a bit of the plan, mm.
    pub fn bit(&mut self, key: &str, label: &str, diameter: f64, kinds: &[BitKind]) {
        let shown = show_length(diameter, self.plan.style).text;
        let tool = bit_name(self.plan, diameter, kinds);
        self.push(key, label, diameter, diameter, "mm", tool, shown);
    }

    /// A hole or a number to count on a tool.
    pub fn count(&mut self, key: &str, label: &str, value: u32, tool: &str, shown: String) {
        self.push(
            key,
            label,
            f64::from(value),
            f64::from(value),
            "count",
            tool.to_owned(),
            shown,
        );
    }

    /// An angle, radians in, degrees out.
    pub fn angle(&mut self, key: &str, label: &str, radians: f64, tool: &str) {
        let degrees = radians.to_degrees();
        let shown = format!("{}°", trimmed(degrees, 2));
        self.push(key, label, degrees, degrees, "deg", tool.to_owned(), shown);
    }

    /// A share of a whole, 0 to 1, shown as percent.
    pub fn share(&mut self, key: &str, label: &str, share: f64, tool: &str) {
        let shown = format!("{} %", trimmed(100.0 * share, 0));
        self.push(key, label, share, share, "share", tool.to_owned(), shown);
    }

    /// A length found on the solid and not set, mm, with the tool that goes there.
    pub fn observed(&mut self, key: &str, label: &str, found: f64, tool: &str) {
        let shown = show_length(found, self.plan.style).text;
        self.push(key, label, found, found, "mm", tool.to_owned(), shown);
    }

    /// A bare number found, with its unit (`Hz`, `N`, `ratio`; a ratio is shown without).
    pub fn number(
        &mut self,
        key: &str,
        label: &str,
        found: f64,
        unit: &'static str,
        places: usize,
        tool: &str,
    ) {
        let shown = match unit {
            "ratio" => trimmed(found, places),
            _ => format!("{} {unit}", trimmed(found, places)),
        };
        self.push(key, label, found, found, unit, tool.to_owned(), shown);
    }

    /// A length found and finer than a rule, mm: told to a hundredth of a millimetre or a thousandth of an inch.
    pub fn fine(&mut self, key: &str, label: &str, found: f64, tool: &str) {
        let shown = finely(self.plan, found);
        self.push(key, label, found, found, "mm", tool.to_owned(), shown);
    }

    fn stepped(&mut self, key: &str, label: &str, exact: f64, step: f64, tool: &str) -> f64 {
        let value = settable(self.plan, exact, step);
        let shown = show_length(value, self.plan.style).text;
        self.push(key, label, value, exact, "mm", tool.to_owned(), shown);
        value
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "the fields of a measure, named at every caller"
    )]
    fn push(
        &mut self,
        key: &str,
        label: &str,
        value: f64,
        exact: f64,
        unit: &'static str,
        tool: String,
        shown: String,
    ) {
        self.measures.push(Measure {
            id: format!("{}.{key}", self.step),
            setup: self.setup.clone(),
            step: self.step.clone(),
            label: label.to_owned(),
            value,
            exact,
            unit,
            tool,
            shown,
        });
    }
}

/// The nearest value to `exact`, mm, that a tool of the given step holds and the plan's style can write.
pub fn settable(plan: &Plan, exact: f64, step: f64) -> f64 {
    let held = if step > 0.0 {
        (exact / step).round() * step
    } else {
        exact
    };
    show_length(held, plan.style).value_mm
}

/// A length of the plan in the turner's writing, with its unit.
pub fn written(plan: &Plan, mm: f64) -> String {
    show_length(mm, plan.style).text
}

/// A length finer than a rule, with its unit: hundredths of a millimetre or thousandths of an inch.
pub fn finely(plan: &Plan, mm: f64) -> String {
    match plan.style {
        LengthStyle::Millimetres => format!("{} mm", trimmed(mm, 2)),
        LengthStyle::Inches { .. } => format!("{} in", trimmed(mm / MILLIMETRES_PER_INCH, 3)),
    }
}

/// A number with at most `places` decimals and no trailing zeros.
pub fn trimmed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// What the rack calls a bit of this diameter, the first kind asked for that it has; or what is asked for.
pub fn bit_name(plan: &Plan, diameter: f64, kinds: &[BitKind]) -> String {
    let kind = kinds
        .iter()
        .find(|kind| plan.rack.has_bit(Some(**kind), diameter))
        .or(kinds.first());
    let word = kind.map_or("bit", |kind| kind.word());
    format!("{word} {}", written(plan, diameter))
}
