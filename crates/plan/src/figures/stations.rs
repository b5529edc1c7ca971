//! Sticks with stations: a straight card whose marks are carried to the turning wood.

use super::cards::measures;
use crate::bench::written;
use crate::figure::{CardLine, Label, Outline, Template};
use crate::report::Measure;
use crate::study::Study;

/// Width of a stick with its words, mm.
const WIDTH: f64 = 50.0;
/// Length of a mark from the working edge, mm.
const MARK: f64 = 6.0;
/// Where the words begin, mm from the working edge.
const WORDS: f64 = 10.0;
/// Least distance from one line of words to the next, mm.
const LINE: f64 = 3.7;
/// Card left above and below words, mm.
const ROUND: f64 = 2.0;
/// Room between sticks, mm.
const APART: f64 = 7.0;

/// One station of a stick.
#[derive(Debug, Clone)]
pub struct Station {
    /// Distance from the lower end, mm.
    pub at: f64,
    /// What is written there; may be empty.
    pub says: String,
}

/// Draws a stick with its lower left corner at a place; the left edge is the working edge.
pub fn stick(
    [x, y]: [f64; 2],
    length: f64,
    name: &str,
    stations: &[Station],
) -> (Vec<Outline>, Vec<Label>) {
    let mut labels = vec![Label::name([x + WIDTH - 2.0, y + 2.0], length - 4.0, name).upright()];
    let spoken: Vec<&Station> = stations
        .iter()
        .filter(|each| !each.says.is_empty())
        .collect();
    let places = spread(spoken.iter().map(|each| each.at), length);
    let mut outlines = vec![card([x, y], length, &places)];
    for station in stations {
        let at = y + station.at;
        // The ends are edges of the card already.
        if station.at > 1e-9 && station.at < length - 1e-9 {
            outlines.push(Outline::straight(
                &[[x, at], [x + MARK, at]],
                false,
                CardLine::Mark,
            ));
        }
    }
    for (station, place) in spoken.into_iter().zip(places) {
        let (from, to) = ([x + MARK, y + station.at], [x + WORDS - 0.6, y + place]);
        outlines.push(Outline::straight(&[from, to], false, CardLine::Help));
        let room = WIDTH - WORDS - 6.5;
        labels.push(Label::small(
            [x + WORDS, y + place - 1.1],
            room,
            &*station.says,
        ));
    }
    (outlines, labels)
}

/// The card of a stick; where its words take more height than it is long, it is taller behind the
/// working edge, which keeps its length.
fn card([x, y]: [f64; 2], length: f64, places: &[f64]) -> Outline {
    let low = places.first().map_or(0.0, |first| (first - ROUND).min(0.0));
    let high = places
        .last()
        .map_or(length, |last| (last + ROUND).max(length));
    if low == 0.0 && high == length {
        return Outline::rectangle([x, y], WIDTH, length, CardLine::Cut);
    }
    let neck = x + WORDS - 2.0;
    let corners = [
        [x, y],
        [neck, y],
        [neck, y + low],
        [x + WIDTH, y + low],
        [x + WIDTH, y + high],
        [neck, y + high],
        [neck, y + length],
        [x, y + length],
    ];
    Outline::straight(&corners, true, CardLine::Cut)
}

/// Heights for lines of words at stations in order, a line apart, inside the stick where it is long enough.
fn spread(stations: impl Iterator<Item = f64>, length: f64) -> Vec<f64> {
    let mut places: Vec<f64> = Vec::new();
    for at in stations {
        let least = places.last().map_or(2.0, |last| last + LINE);
        places.push(at.max(least));
    }
    let mut most = length - 2.0;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - LINE;
    }
    places
}

/// A stick for each stage of rounding: corners from both ends, their diameters beside them.
pub fn facets(study: &Study<'_>) -> Option<Template> {
    let plan = study.plan;
    let length = 2.0 * study.expanded.layout.radius;
    let (mut outlines, mut labels) = (Vec::new(), Vec::new());
    let mut x = 0.0;
    let mut sides = 8;
    while sides <= plan.ball.facets {
        let corners = corners(study, sides);
        if corners.is_empty() {
            break;
        }
        let mut stations: Vec<Station> = corners
            .iter()
            .map(|(station, diameter)| Station {
                at: station.exact,
                says: format!("{}: Ø {}", station.shown, diameter.shown),
            })
            .collect();
        // The other half is the same from the other end; its words would only repeat.
        stations.extend(corners.iter().rev().map(|(station, _)| Station {
            at: length - station.exact,
            says: String::new(),
        }));
        let middle = Station {
            at: 0.5 * length,
            says: format!("{}: middle line", written(plan, 0.5 * length)),
        };
        stations.push(middle);
        stations.sort_by(|a, b| a.at.total_cmp(&b.at));
        let drawn = stick([x, 0.0], length, &format!("{sides} sides"), &stations);
        outlines.extend(drawn.0);
        labels.extend(drawn.1);
        x += WIDTH + APART;
        sides *= 2;
    }
    (!outlines.is_empty()).then(|| Template {
        id: "stick.facets".to_owned(),
        title: "Station sticks for rounding the ball".to_owned(),
        note: "Lay the marked edge along the cylinder between the ball's ends and carry the marks over. Beside each corner stand its distance from the end and its diameter; the other half is the same.".to_owned(),
        outlines,
        labels,
    })
}

/// Station and diameter of each corner of a stage between end and middle line, as the report sets them.
fn corners<'a>(study: &'a Study<'_>, sides: u32) -> Vec<(&'a Measure, &'a Measure)> {
    let all: Vec<&Measure> = measures(study)
        .filter(|measure| {
            measure
                .id
                .starts_with(&format!("ball.facets.{sides}.corner."))
        })
        .collect();
    all.iter()
        .filter_map(|station| {
            let corner = station.id.strip_suffix(".station")?;
            let wanted = format!("{corner}.calliper");
            let diameter = all.iter().find(|other| other.id == wanted)?;
            Some((*station, *diameter))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stand_a_line_apart_and_inside() {
        let places = spread([1.0, 2.0, 3.0, 30.0, 59.5].into_iter(), 60.0);
        for pair in places.windows(2) {
            assert!(pair[1] - pair[0] >= LINE - 1e-9, "{places:?}");
        }
        assert!(places[0] >= 1.0 && places[4] <= 58.0, "{places:?}");
        // Where there is room, words stand at their station.
        assert_eq!(places[3], 30.0);
    }

    /// Twelve lines of words on a stick 20 mm long: the card is taller than the stick, and holds them.
    #[test]
    fn a_short_stick_has_room_for_its_words() {
        let stations: Vec<Station> = (0..12)
            .map(|number| Station {
                at: 20.0 * f64::from(number) / 11.0,
                says: number.to_string(),
            })
            .collect();
        let (outlines, labels) = stick([0.0, 0.0], 20.0, "stick", &stations);
        let heights = |low: f64, high: f64, y: f64| (low.min(y), high.max(y));
        let card = outlines[0].edges.iter().map(|edge| match edge {
            crate::figure::Edge::Line { to } | crate::figure::Edge::Arc { to, .. } => to[1],
        });
        let (low, high) = card.fold((0.0, 0.0), |(low, high), y| heights(low, high, y));
        assert!(high - low > 11.0 * LINE);
        for label in labels.iter().filter(|label| !label.name) {
            assert!(label.at[1] >= low && label.at[1] + 2.5 <= high, "{label:?}");
        }
        // The working edge is as long as the stick.
        assert_eq!(outlines[0].start, [0.0, 0.0]);
        assert!(
            outlines[0]
                .edges
                .iter()
                .any(|edge| matches!(edge, crate::figure::Edge::Line { to } if *to == [0.0, 20.0]))
        );
    }
}
