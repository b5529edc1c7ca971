//! Finds a wood by whatever name a turner writes.
//!
//! Capitals, hyphens and extra spaces do not matter; "maple, sugar" is "sugar maple"; other names in use and botanical
//! names are accepted. A name that fits several woods, such as "cherry", is not guessed at: the answer names the nearest.

use thiserror::Error;

use crate::species::{Wood, woods};

/// A name that is not in the table, or fits more than one wood.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
#[error("no single wood is called {asked:?}{}", self.hint())]
pub struct UnknownWood {
    /// The name that was asked for.
    pub asked: String,
    /// Up to three nearest names, best first. Empty when nothing is near.
    pub nearest: Vec<String>,
}

impl UnknownWood {
    fn hint(&self) -> String {
        if self.nearest.is_empty() {
            "; `rondure woods` lists them all".to_owned()
        } else {
            format!("; nearest: {}", self.nearest.join(", "))
        }
    }
}

/// How alike two names must be (Jaro-Winkler, 0 to 1) to be offered. Two cases that bracket it: "chery" for "cherry" scores
/// 0.97; "teak" against "tanoak", which nobody means, 0.78.
const ALIKE: f64 = 0.8;

/// Finds a wood by its name, another name in use, or its botanical name.
///
/// # Errors
/// [`UnknownWood`] when no wood or more than one goes by that name.
pub fn find(name: &str) -> Result<&'static Wood, UnknownWood> {
    let asked = plain(name);
    let by_name = woods().iter().find(|wood| {
        plain(&wood.name) == asked || wood.other_names.iter().any(|other| plain(other) == asked)
    });
    if let Some(wood) = by_name {
        return Ok(wood);
    }
    let by_latin: Vec<_> = woods()
        .iter()
        .filter(|wood| plain(&wood.latin) == asked)
        .collect();
    match by_latin.as_slice() {
        [wood] => Ok(wood),
        [] => Err(unknown(name, nearest(&asked))),
        several => Err(unknown(
            name,
            several.iter().take(3).map(|w| w.name.clone()).collect(),
        )),
    }
}

fn unknown(asked: &str, nearest: Vec<String>) -> UnknownWood {
    UnknownWood {
        asked: asked.trim().to_owned(),
        nearest,
    }
}

/// A name reduced to what matters: small letters, single spaces, the words of "maple, sugar" in natural order.
fn plain(name: &str) -> String {
    let turned = match name.split_once(',') {
        Some((head, qualifier)) => format!("{qualifier} {head}"),
        None => name.to_owned(),
    };
    let lower = turned.to_lowercase().replace(['-', '.', '_'], " ");
    lower.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Up to three names near `asked`: those of which it is a whole word, or where there are none, those spelt alike.
fn nearest(asked: &str) -> Vec<String> {
    if asked.is_empty() {
        return Vec::new();
    }
    let mut scored: Vec<(f64, &str)> = Vec::new();
    for wood in woods() {
        let names = std::iter::once(&wood.name)
            .chain(&wood.other_names)
            .chain(std::iter::once(&wood.latin));
        let best = names
            .map(|name| likeness(asked, &plain(name)))
            .fold(0.0, f64::max);
        if best >= ALIKE {
            scored.push((best, &wood.name));
        }
    }
    // Stable, so woods of equal likeness stay in the order of their names.
    scored.sort_by(|a, b| b.0.total_cmp(&a.0));
    let whole_word = scored.first().is_some_and(|best| best.0 > 1.0);
    scored
        .into_iter()
        // Once a word fits, names merely spelt alike are noise.
        .filter(|(score, _)| !whole_word || *score > 1.0)
        .take(3)
        .map(|(_, name)| name.to_owned())
        .collect()
}

fn likeness(asked: &str, name: &str) -> f64 {
    // Above the most that spelling can score, and higher the more of the name the word makes up.
    if name.split(' ').any(|word| word == asked) {
        return 1.0 + asked.len() as f64 / name.len() as f64;
    }
    let words = name.split(' ').map(|word| {
        // One word of several counts a little less than a whole name.
        0.95 * strsim::jaro_winkler(asked, word)
    });
    words.fold(strsim::jaro_winkler(asked, name), f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn finds_by_any_name() {
        for asked in [
            "sugar maple",
            "Sugar Maple",
            "maple, sugar",
            "  MAPLE ,  sugar ",
            "hard maple",
            "Acer saccharum",
        ] {
            assert_eq!(find(asked).unwrap().name, "sugar maple", "{asked}");
        }
        assert_eq!(find("box").unwrap().name, "boxwood");
        assert_eq!(find("lime").unwrap().name, "European lime");
        assert_eq!(find("Osage orange").unwrap().name, "Osage-orange");
        assert_eq!(find("Acer campestre").unwrap().name, "field maple");
        assert_eq!(find("sycamore").unwrap().latin, "Acer pseudoplatanus");
    }

    #[test]
    fn every_wood_is_found_by_each_of_its_names() {
        for wood in woods() {
            assert_eq!(find(&wood.name).unwrap().name, wood.name);
            for other in &wood.other_names {
                assert_eq!(find(other).unwrap().name, wood.name, "{other}");
            }
        }
    }

    #[test]
    fn a_name_that_fits_several_is_not_guessed_at() {
        let unknown = find("cherry").unwrap_err();
        assert_eq!(unknown.nearest, ["wild cherry", "black cherry"]);
        // Three Douglas-firs share one botanical name.
        assert_eq!(find("Pseudotsuga menziesii").unwrap_err().nearest.len(), 3);
    }

    #[test]
    fn a_slip_of_the_pen_is_met_with_the_right_name() {
        for (asked, meant) in [
            ("feild maple", "field maple"),
            ("boxwod", "boxwood"),
            ("hornbeem", "European hornbeam"),
            ("cocobollo", "cocobolo"),
        ] {
            let unknown = find(asked).unwrap_err();
            assert_eq!(unknown.nearest[0], meant, "{unknown}");
        }
        assert_eq!(find("").unwrap_err().nearest.len(), 0);
        assert!(
            find("qqqq")
                .unwrap_err()
                .to_string()
                .contains("rondure woods")
        );
    }

    proptest! {
        #[test]
        fn any_text_is_answered(text in ".{0,40}") {
            match find(&text) {
                Ok(wood) => prop_assert!(!wood.name.is_empty()),
                Err(unknown) => prop_assert!(unknown.nearest.len() <= 3),
            }
        }
    }
}
