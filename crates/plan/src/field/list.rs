//! A list of fields under way: each row adds one, with what the file says of it.

use std::ops::RangeInclusive;

use toml_edit::Value;

use super::{Field, FieldKind, FieldRange, Offer};
use crate::bench::trimmed;
use crate::plan::Plan;
use crate::units::{LengthStyle, MILLIMETRES_PER_INCH, show_length};

/// Fields under way.
pub(super) struct List<'a> {
    pub plan: &'a Plan,
    section: &'static str,
    fields: Vec<Field>,
}

/// What a row says of its value before the file is looked at.
pub(super) struct Row<'r> {
    pub key: &'r str,
    pub label: &'r str,
    pub says: &'static str,
}

impl<'a> List<'a> {
    pub fn new(plan: &'a Plan) -> Self {
        Self {
            plan,
            section: "",
            fields: Vec::new(),
        }
    }

    pub fn done(self) -> Vec<Field> {
        self.fields
    }

    /// Begins a section.
    pub fn section(&mut self, heading: &'static str) {
        self.section = heading;
    }

    /// A length, mm; none where it is left to be chosen. `reach` is the slider's, mm.
    pub fn length(
        &mut self,
        row: &Row<'_>,
        mm: Option<f64>,
        reach: Option<RangeInclusive<f64>>,
        offers: Vec<Offer>,
    ) {
        let style = self.plan.style;
        let inches = matches!(style, LengthStyle::Inches { .. });
        let in_unit = |mm: f64| {
            if inches {
                mm / MILLIMETRES_PER_INCH
            } else {
                mm
            }
        };
        let shown = mm.map_or_else(|| CHOSEN.to_owned(), |mm| show_length(mm, style).text);
        let range = reach
            .filter(|reach| reach.end() > reach.start())
            .map(|reach| {
                let step = slider_step(style, reach.end() - reach.start());
                let held =
                    |mm: f64, outwards: fn(f64) -> f64| outwards(in_unit(mm) / step - 1e-9) * step;
                FieldRange {
                    from: tidy(held(*reach.start(), f64::ceil)),
                    to: tidy(held(*reach.end(), f64::floor)),
                    step,
                }
            });
        self.push(
            row,
            FieldKind::Length,
            shown,
            mm.map(in_unit),
            if inches { "in" } else { "mm" },
        );
        self.with(range, offers);
    }

    /// A whole number.
    pub fn count(&mut self, row: &Row<'_>, count: u32, offers: Vec<Offer>) {
        self.push(
            row,
            FieldKind::Count,
            count.to_string(),
            Some(f64::from(count)),
            "",
        );
        self.with(None, offers);
    }

    /// A number with a unit that is no length.
    pub fn number(
        &mut self,
        row: &Row<'_>,
        (kind, unit): (FieldKind, &'static str),
        value: Option<f64>,
        range: Option<FieldRange>,
    ) {
        let shown = value.map_or_else(
            || CHOSEN.to_owned(),
            |value| match unit {
                "deg" => format!("{}°", trimmed(value, 1)),
                _ => format!("{} {unit}", trimmed(value, 1)),
            },
        );
        self.push(row, kind, shown, value, unit);
        self.with(range, Vec::new());
    }

    /// A number that a plan may well do without, shown in words of its own.
    pub fn open(
        &mut self,
        row: &Row<'_>,
        (kind, unit): (FieldKind, &'static str),
        value: Option<f64>,
        words: impl Fn(f64) -> String,
    ) {
        let shown = value.map_or_else(|| NOT_GIVEN.to_owned(), words);
        let value = value.filter(|_| kind != FieldKind::Text);
        self.push(row, kind, shown, value, unit);
    }

    /// One of several words; none where it is left to be chosen.
    pub fn choice(&mut self, row: &Row<'_>, word: Option<&str>, offers: Vec<Offer>) {
        let shown = word.unwrap_or(CHOSEN).to_owned();
        self.push(row, FieldKind::Choice, shown, None, "");
        self.with(None, offers);
    }

    /// A line of text.
    pub fn text(&mut self, row: &Row<'_>, text: &str) {
        self.push(row, FieldKind::Text, text.to_owned(), None, "");
    }

    fn push(
        &mut self,
        row: &Row<'_>,
        kind: FieldKind,
        shown: String,
        value: Option<f64>,
        unit: &'static str,
    ) {
        self.fields.push(Field {
            key: row.key.to_owned(),
            section: self.section,
            label: row.label.to_owned(),
            written: self.written(row.key),
            shown,
            value: value.map(tidy),
            kind,
            says: row.says,
            offers: Vec::new(),
            range: None,
            unit,
        });
    }

    fn with(&mut self, range: Option<FieldRange>, offers: Vec<Offer>) {
        if let Some(field) = self.fields.last_mut() {
            field.range = range;
            field.offers = offers;
        }
    }

    /// The value as the file writes it, without its quotes.
    fn written(&self, key: &str) -> Option<String> {
        let source = &self.plan.source;
        let raw = source.text.get(source.places.get(key)?.clone())?;
        Some(match raw.trim().parse::<Value>() {
            Ok(Value::String(text)) => text.into_value(),
            _ => raw.trim().to_owned(),
        })
    }
}

/// What is shown of a value that is neither given nor needed.
const NOT_GIVEN: &str = "not given";

/// What is shown of a value that the plan leaves open.
const CHOSEN: &str = "chosen for you";

/// A slider's step: what shows in the writing and still gives some dozens of places.
fn slider_step(style: LengthStyle, width_mm: f64) -> f64 {
    match style {
        LengthStyle::Millimetres if width_mm <= 1.0 => 0.05,
        LengthStyle::Millimetres if width_mm <= 12.0 => 0.1,
        LengthStyle::Millimetres => 0.5,
        // No rule carries it: a slack this small is felt, not measured.
        LengthStyle::Inches { .. } if width_mm <= 1.0 => 0.002,
        LengthStyle::Inches { denominator } => 1.0 / f64::from(denominator.min(32)),
    }
}

/// A decimal number as written, rid of the last places of binary arithmetic.
fn tidy(number: f64) -> f64 {
    // A zero from below would be written with its sign.
    (number * 1e6).round() / 1e6 + 0.0
}
