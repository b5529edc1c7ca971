//! The drawing that goes with an explanation.

use super::Explanation;
use crate::figure::{Dimension, Figure, Figures, Line, LineKind};
use crate::report::Finding;

/// The plan's drawing for an explanation, with the place of a finding marked where it lies in the
/// drawing's plane; none where no drawing helps or the plan has none.
pub fn picture(
    explanation: Explanation,
    id: &str,
    finding: Option<&Finding>,
    figures: &Figures,
) -> Option<Figure> {
    let end = |place: &str| {
        ["top", "bottom"]
            .into_iter()
            .find(|end| place.contains(end))
    };
    let end = end(id)
        .or_else(|| end(finding?.setup.as_deref()?))
        .unwrap_or("bottom");
    let wanted = explanation.drawing.replace("END", end);
    let named = |wanted: &str| figures.drawings.iter().find(|figure| figure.id == wanted);
    // A card or stick has its own page among the templates; on the screen its section shows it.
    let fallback = match wanted.as_str() {
        "gauge.cove" | "gauge.ring.edge" => "mounting.section".to_owned(),
        "gauge.ball" | "stick.facets" => "ball.rounding".to_owned(),
        "ball.strip.equator" | "card.depths" => "ball.section.equator".to_owned(),
        other if other.starts_with("finial.") => format!("finial.{end}.section"),
        other => other.to_owned(),
    };
    let mut figure = named(&wanted).or_else(|| named(&fallback))?.clone();
    if let Some(finding) = finding {
        mark(&mut figure, finding);
    }
    Some(figure)
}

/// Marks the place of a finding in a section whose plane it lies in.
fn mark(figure: &mut Figure, finding: &Finding) {
    let Some([x, y, z]) = finding.at else { return };
    let flat = match figure.id.as_str() {
        "ball.section.equator" if z.abs() < 0.5 => [x, y],
        "ball.section.axis" => [x.hypot(y), z],
        _ => return,
    };
    if let ("ball.section.equator", Some(gap)) = (figure.id.as_str(), finding.gap) {
        figure.lines.push(Line {
            points: gap.iter().map(|[x, y, _]| [*x, *y]).collect(),
            closed: false,
            kind: LineKind::Seen,
        });
    }
    let reach = figure
        .lines
        .iter()
        .flat_map(|line| &line.points)
        .map(|[right, up]| right.hypot(*up))
        .fold(1.0, f64::max);
    let out = 1.15 * reach / flat[0].hypot(flat[1]).max(0.2 * reach);
    figure.dimensions.push(Dimension::Note {
        at: flat,
        text_at: [flat[0] * out, flat[1] * out],
        label: format!("here: {}", finding.id),
    });
}
