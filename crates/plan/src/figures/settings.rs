//! Cards that hold a setting: depth cards for bits, gauge lines for dividers and callipers.
//!
//! Every number comes from the measures of the steps; one that is set several
//! times is drawn once.

use super::cards::measures;
use crate::figure::{CardLine, Label, Outline, Template};
use crate::report::Measure;
use crate::study::Study;

/// Width of a depth card, mm.
const CARD: f64 = 38.0;
/// Room between cards, mm.
const APART: f64 = 5.0;
/// Most cards or lines beside each other take, mm: fits every paper.
const ACROSS: f64 = 176.0;
/// Shortest card that carries two lines of words, mm.
const TWO_LINES: f64 = 9.0;
/// Height of a gauge line with its words, mm.
const LINE: f64 = 10.5;
/// Half the height of the ticks at a gauge line's ends, mm.
const TICK: f64 = 2.5;
/// Width of the words beside a gauge line, mm.
const WORDS: f64 = 84.0;
/// Shortest setting that can be drawn and felt, mm.
const SHORTEST: f64 = 1.0;

/// Settings of one tool, each once, in the order they are first needed.
fn settings<'a>(study: &'a Study<'_>, tool: &str) -> Vec<&'a Measure> {
    let mut found: Vec<&Measure> = Vec::new();
    for measure in measures(study) {
        let wanted = measure.tool == tool && measure.unit == "mm" && measure.value >= SHORTEST;
        let known = found.iter().any(|other| {
            other.label == measure.label && (other.value - measure.value).abs() < 1e-6
        });
        if wanted && !known {
            found.push(measure);
        }
    }
    found
}

/// A card as high as a bit goes in, for each depth that is set.
pub fn depths(study: &Study<'_>) -> Option<Template> {
    let depths = settings(study, "depth stop");
    if depths.is_empty() {
        return None;
    }
    let (mut outlines, mut labels) = (Vec::new(), Vec::new());
    let each = CARD + APART;
    let across = ((ACROSS + APART) / each).floor() as usize;
    let mut top = 0.0;
    for row in depths.chunks(across) {
        let tallest = row.iter().map(|depth| depth.value).fold(0.0, f64::max);
        let foot = top - tallest;
        for (column, depth) in row.iter().enumerate() {
            let x = each * column as f64;
            let (height, room) = (depth.value, CARD - 4.0);
            outlines.push(Outline::rectangle([x, foot], CARD, height, CardLine::Cut));
            let bit = bit_of(study, depth).map_or(String::new(), |bit| bit.tool.clone());
            if height >= TWO_LINES {
                let middle = foot + 0.5 * height;
                labels.push(Label::name([x + 2.0, middle + 0.4], room, &*depth.shown));
                labels.push(Label::small([x + 2.0, middle - 3.6], room, bit));
            } else if height >= 4.0 {
                let at = [x + 2.0, foot + 0.5 * height - 1.3];
                labels.push(Label::small(at, room, format!("{}  {bit}", depth.shown)));
            }
            // What it is for stands below the card.
            for (number, words) in wrapped(&depth.label, 24).into_iter().take(3).enumerate() {
                let y = foot - 4.0 - 3.4 * number as f64;
                labels.push(Label::small([x, y], CARD + 3.0, words));
            }
        }
        top = foot - 20.0;
    }
    Some(Template {
        id: "card.depths".to_owned(),
        title: "Depth cards for the bits".to_owned(),
        note: "Stand a card on its lower edge beside the bit, from the place that is named below it, and set the collar or the tape level with its upper edge.".to_owned(),
        outlines,
        labels,
    })
}

/// The bit of the step that a depth belongs to.
fn bit_of<'a>(study: &'a Study<'_>, depth: &Measure) -> Option<&'a Measure> {
    measures(study).find(|other| other.step == depth.step && other.id.ends_with(".bit"))
}

/// Words in lines of about so many letters.
fn wrapped(words: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split(' ') {
        match lines.last_mut() {
            Some(line) if line.chars().count() + word.chars().count() < letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// The dividers' settings as lines.
pub fn dividers(study: &Study<'_>) -> Option<Template> {
    lines(
        settings(study, "dividers"),
        "card.dividers",
        "Gauge lines for the dividers",
        "Set the dividers' points on the two ends of a line.",
    )
}

/// The callipers' settings as lines; those of facets and of finials' shapes stand on their sticks.
pub fn callipers(study: &Study<'_>) -> Option<Template> {
    let mut settings = settings(study, "callipers");
    settings.retain(|each| !each.id.contains(".facets.") && !each.id.contains(".shape."));
    lines(
        settings,
        "card.callipers",
        "Gauge lines for the callipers",
        "Lay the callipers' points on the two ends of a line. A rule or a gauge block is finer; the line catches a wrong reading.",
    )
}

fn lines(settings: Vec<&Measure>, id: &str, title: &str, note: &str) -> Option<Template> {
    if settings.is_empty() {
        return None;
    }
    let (mut outlines, mut labels) = (Vec::new(), Vec::new());
    let longest = settings.iter().map(|each| each.value).fold(0.0, f64::max);
    // Words stand beside a line where the paper is wide enough for both, or below it.
    let columns = if 2.0 * longest.max(WORDS) + APART <= ACROSS {
        2
    } else {
        1
    };
    let rows = settings.len().div_ceil(columns);
    for (place, setting) in settings.iter().enumerate() {
        let x = (place / rows) as f64 * (longest.max(WORDS) + APART);
        let y = -LINE * (place % rows) as f64;
        let length = setting.value;
        outlines.push(Outline::straight(
            &[[x, y], [x + length, y]],
            false,
            CardLine::Mark,
        ));
        for end in [x, x + length] {
            let tick = [[end, y - TICK], [end, y + TICK]];
            outlines.push(Outline::straight(&tick, false, CardLine::Mark));
        }
        let words = format!("{}  {}", setting.shown, setting.label);
        // Above the ticks, so that no line runs through a word.
        labels.push(Label::small([x, y + TICK + 0.9], WORDS - 1.0, words));
    }
    Some(Template {
        id: id.to_owned(),
        title: title.to_owned(),
        note: note.to_owned(),
        outlines,
        labels,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_broken_between_and_none_is_lost() {
        let words = "collar on the bit, from its tip (118° point)";
        let lines = wrapped(words, 20);
        assert_eq!(lines.join(" "), words);
        assert!(
            lines.iter().all(|line| line.chars().count() <= 20),
            "{lines:?}"
        );
    }
}
