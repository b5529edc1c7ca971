//! `rondure woods`.

use rondure_wood::{NOT_EVIDENCE_OF_SAFETY, Sourced, Wood, dust_advice, find, list};

use crate::cli;
use crate::failure::Failure;
use crate::run::Verdict;
use crate::words::Screen;

/// Lists the woods, or tells all of one.
pub fn woods(wanted: &cli::Woods, screen: &mut Screen) -> Result<Verdict, Failure> {
    match &wanted.name {
        None => all(screen)?,
        Some(name) => one(
            find(name).map_err(|error| Failure::Asked(error.to_string()))?,
            screen,
        )?,
    }
    Ok(Verdict::Sound)
}

fn all(screen: &mut Screen) -> Result<(), Failure> {
    screen.title("Woods")?;
    screen.paragraph("Weight at 12 % moisture; shrinkage green to oven-dry across the rings / along the rings; reported reactions by their strength, + to ++++. ~ marks a row with a value from memory or from a related wood.")?;
    screen.paragraph("")?;
    screen.line(&format!(
        "{:<34} {:>10}  {:>11}  {}",
        "wood", "kg/m³", "shrinks %", "reactions"
    ))?;
    for row in list() {
        let weight = row
            .weight_12
            .map_or("?".to_owned(), |weight| format!("{:.0}", weight.kg_m3));
        let percent =
            |value: Option<f64>| value.map_or("?".to_owned(), |value| format!("{value:.1}"));
        let mark = if row.verified { " " } else { "~" };
        screen.line(&format!(
            "{:<34}{mark}{weight:>10}  {:>4} / {:>4}  {}",
            row.name,
            percent(row.radial_shrinkage),
            percent(row.tangential_shrinkage),
            row.caution
        ))?;
    }
    screen.paragraph("")?;
    screen.paragraph(NOT_EVIDENCE_OF_SAFETY)?;
    screen.paragraph("All that is known of one, with sources: rondure woods \"field maple\"")?;
    Ok(())
}

fn one(wood: &Wood, screen: &mut Screen) -> Result<(), Failure> {
    screen.title(&wood.name)?;
    screen.pair("botanical name", &wood.latin)?;
    if !wood.other_names.is_empty() {
        screen.pair("other names", &wood.other_names.join(", "))?;
    }
    let values: [(&str, &Option<Sourced<f64>>, &str); 9] = [
        ("specific gravity, basic", &wood.specific_gravity_basic, ""),
        ("specific gravity, 12 %", &wood.specific_gravity_12, ""),
        ("shrinkage, radial", &wood.radial_shrinkage, " %"),
        ("shrinkage, tangential", &wood.tangential_shrinkage, " %"),
        ("shrinkage, volume", &wood.volumetric_shrinkage, " %"),
        ("breaks in bending at", &wood.modulus_of_rupture, " MPa"),
        ("stiffness in bending", &wood.modulus_of_elasticity, " MPa"),
        ("green heartwood holds", &wood.green_heartwood, " % water"),
        ("green sapwood holds", &wood.green_sapwood, " % water"),
    ];
    for (name, value, unit) in values {
        match value {
            Some(value) => {
                let from: Vec<&str> = [&*value.source, value.status.words(), &*value.note]
                    .into_iter()
                    .filter(|words| !words.is_empty())
                    .collect();
                screen.pair(
                    name,
                    &format!("{}{unit} ({})", value.value, from.join("; ")),
                )?;
            }
            None => screen.pair(name, "not known")?,
        }
    }
    screen.heading("Reactions reported")?;
    if wood.cautions.is_empty() {
        screen.paragraph("None were found.")?;
    }
    for caution in &wood.cautions {
        screen.paragraph(&caution.in_words())?;
    }
    screen.paragraph(NOT_EVIDENCE_OF_SAFETY)?;
    screen.heading("Dust")?;
    for advice in dust_advice() {
        screen.paragraph(advice.text)?;
    }
    Ok(())
}
