//! The text of a new plan, with a word to the turner beside each number.
//!
//! The remarks say which numbers are free and which come in steps, because a bit or a jaw
//! makes them.

use std::fmt::Write;

use toml_edit::Value;

use super::draft::{Draft, FinialSizes, Grid, up};
use super::{Shop, Wish, pitch_words};
use crate::units::LengthUnit;

/// Width of the column of values; longer ones push their remark out.
const REMARKS: usize = 32;

/// Writes a draft. `sharp` adds the word about edges that these marks make unavoidable.
pub(super) fn write(shop: &Shop, wish: &Wish, draft: &Draft, sharp: bool) -> String {
    let title = wish
        .title
        .clone()
        .unwrap_or_else(|| format!("Coved ball, {}", shop.write(draft.diameter)));
    let mut page = Page::new(shop);
    let mut opening = vec![
        "A coved ball: bored from pole to pole, coved across its equator, pierced, with finials.",
        "The sizes hold as they stand: no finding stops the work.",
        "Remarks say what a number is. \"Free\": change it as you like. \"A bit\": the bits in the rack",
        "give its steps. \"Jaws\": it must lie within what some jaws grip. After every change run",
        "`rondure report` on this file: it says what no longer holds and what would mend it.",
    ];
    if draft.bore_by_reach {
        opening.push("The bore is a small one: wider bits in this rack do not reach past the middle of the ball.");
    }
    for line in opening {
        page.remark(line);
    }
    if sharp {
        page.remark("");
        page.remark(&format!(
            "One finding to watch stays: {} marks stand {}° apart, and inside the ball neighbouring holes",
            draft.marks,
            pitch_words(draft.marks)
        ));
        page.remark(
            "meet in edges of that angle, sharper than the usual limit. No other size changes that, only",
        );
        page.remark("fewer marks. Break the edges with sandpaper.");
    }
    page.gap();
    page.text("title", &title, "free");
    page.text("form", "coved ball", "");
    page.text(
        "units",
        shop.unit.word(),
        "what a bare number means: mm, cm or in",
    );
    if shop.unit == LengthUnit::Inch {
        page.bare("fractions", "64", "finest fraction shown");
    }
    page.text("rack", shop.rack_name, "built in; or the path of your own");

    page.section("wood");
    page.text("species", &wish.wood, "free; `rondure woods` lists them");
    page.bare(
        "moisture",
        "9",
        "percent of the dry weight; indoors 8 to 10",
    );

    page.section("blank");
    page.text("shape", "square", "square or round");
    page.length(
        "across",
        draft.blank_across,
        "the least; more is free, and is turned away",
    );
    page.length(
        "length",
        draft.blank_length,
        "the least, along the grain, with spigot and waste",
    );

    page.section("ball");
    page.length(
        "diameter",
        draft.diameter,
        "free; blank, bore and coves go with it",
    );
    page.bare(
        "marks",
        &draft.marks.to_string(),
        "half as many mountings; in fours, as the index head gives",
    );
    page.bare(
        "facets",
        &draft.facets.to_string(),
        "8, 16 or 32 sides before the last rounding",
    );

    if let Some(spigot) = draft.spigot {
        page.section("holding");
        page.length(
            "spigot",
            spigot,
            "jaws; wide, because the work stands far out of them",
        );
    }

    page.section("cove");
    page.length(
        "land",
        draft.land,
        "free; ball surface left between neighbouring coves",
    );
    page.length(
        "depth",
        draft.depth,
        "free, up to half the cove's width; below the flat",
    );

    page.section("bore");
    page.length(
        "diameter",
        draft.bore,
        "a bit; it must reach past the ball's middle",
    );

    page.section("markers");
    page.length(
        "diameter",
        draft.marker,
        "a bit; the pierced holes take these out",
    );
    page.length(
        "margin",
        draft.margin,
        &format!(
            "deeper than the cove's bottom; at least {}",
            page.round_up(1.0)
        ),
    );

    page.section("pierce");
    page.length(
        "diameter",
        draft.hole,
        "a bit; the next larger may leave too little between holes",
    );

    page.section("finials");
    let gap = if shop.unit == LengthUnit::Inch {
        shop.writable(0.4)
    } else {
        0.2
    };
    page.length(
        "glue_gap",
        gap,
        "slack of the tenon in the bore, over the diameter",
    );
    finial(&mut page, "top", draft);
    finial(&mut page, "bottom", draft);
    page.text
}

fn finial(page: &mut Page<'_>, end: &str, draft: &Draft) {
    let sizes = &draft.finials;
    page.section(&format!("finials.{end}"));
    page.length(
        "blank_across",
        sizes.blank,
        &format!("jaws; {} or more over its widest shape", page.round_up(1.0)),
    );
    page.length(
        "tenon_length",
        draft.tenon,
        "free, as long as it stays above the pierced holes",
    );
    page.line(
        "shape = [",
        "free, from the shoulder outwards: length along the axis, then diameter",
    );
    for (part, remark) in parts(sizes, end) {
        let inside: Vec<String> = part
            .iter()
            .map(|(key, mm)| format!("{key} = {}", page.value(*mm)))
            .collect();
        page.line(&format!("    {{ {} }},", inside.join(", ")), remark);
    }
    page.line("]", "");
    if end == "top" {
        let hanger = format!(
            "hanger = {{ diameter = {}, depth = {} }}",
            page.value(sizes.hanger),
            page.value(sizes.hanger_depth)
        );
        page.line(&hanger, "a bit, for the hanger's shank");
    }
}

type Part = Vec<(&'static str, f64)>;

fn parts(sizes: &FinialSizes, end: &str) -> Vec<(Part, &'static str)> {
    let shoulder = (
        vec![("fillet", sizes.fillet), ("diameter", sizes.shoulder)],
        "the shoulder: wider than the bore",
    );
    let bead = (
        vec![("bead", sizes.bead), ("diameter", sizes.bead_diameter)],
        "",
    );
    if end == "top" {
        vec![
            shoulder,
            (vec![("cove", sizes.top_cove), ("to", sizes.waist)], ""),
            bead,
            (
                vec![("cove", sizes.top_neck_length), ("to", sizes.top_neck)],
                "",
            ),
            (vec![("ball", sizes.top_ball)], "the hanger goes in here"),
        ]
    } else {
        vec![
            shoulder,
            (vec![("ogee", sizes.ogee), ("to", sizes.waist)], ""),
            bead,
            (
                vec![("taper", sizes.taper), ("to", sizes.taper_to)],
                "slender; the end carries the ball",
            ),
            (vec![("ball", sizes.bottom_ball)], ""),
        ]
    }
}

/// A text that grows line by line.
struct Page<'a> {
    shop: &'a Shop,
    text: String,
}

impl<'a> Page<'a> {
    fn new(shop: &'a Shop) -> Self {
        Self {
            shop,
            text: String::new(),
        }
    }

    fn gap(&mut self) {
        self.text.push('\n');
    }

    fn remark(&mut self, words: &str) {
        self.text.push_str(format!("# {words}").trim_end());
        self.text.push('\n');
    }

    fn section(&mut self, name: &str) {
        self.gap();
        self.text.push_str(&format!("[{name}]\n"));
    }

    fn text(&mut self, key: &str, value: &str, remark: &str) {
        self.bare(key, Value::from(value).to_string().trim(), remark);
    }

    fn length(&mut self, key: &str, mm: f64, remark: &str) {
        let value = self.value(mm);
        self.bare(key, &value, remark);
    }

    fn bare(&mut self, key: &str, value: &str, remark: &str) {
        self.line(&format!("{key} = {value}"), remark);
    }

    fn line(&mut self, words: &str, remark: &str) {
        // Writing to a string cannot fail.
        let _ = if remark.is_empty() {
            writeln!(self.text, "{words}")
        } else {
            writeln!(self.text, "{words:<REMARKS$}  # {remark}")
        };
    }

    /// A least length, mm, as the next one up that a turner would write.
    fn round_up(&self, mm: f64) -> String {
        self.shop.write(up(mm, Grid::of(self.shop.unit).fine))
    }

    /// A length as the plan's own writing has it, quoted.
    fn value(&self, mm: f64) -> String {
        format!("\"{}\"", self.shop.write(mm))
    }
}
