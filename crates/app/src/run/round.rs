//! `rondure round`.

use rondure_plan::convex::{Convex, ladder};
use rondure_plan::units::{LengthStyle, LengthUnit, show_length};

use crate::cli;
use crate::failure::Failure;
use crate::run::{Verdict, length};
use crate::words::Screen;

/// Tells how to round a shape from a cylinder by facets.
pub fn round(wanted: &cli::Round, screen: &mut Screen) -> Result<Verdict, Failure> {
    let unit = match wanted.units {
        Some(cli::Units::In) => LengthUnit::Inch,
        Some(cli::Units::Mm) | None => LengthUnit::Millimetre,
    };
    let style = match unit {
        LengthUnit::Inch => LengthStyle::Inches { denominator: 64 },
        LengthUnit::Millimetre | LengthUnit::Centimetre => LengthStyle::Millimetres,
    };
    let written = |mm: f64| show_length(mm, style).text;
    let shape = shape(wanted, unit)?;
    let (long, wide) = (shape.length(), shape.across());
    let title = format!(
        "{}, {} long, {} across",
        wanted.shape.word(),
        written(long),
        written(wide)
    );
    screen.title(&title)?;
    screen.paragraph(&format!(
        "Turn a cylinder of {} and part in at both ends, {} apart. Stations are from the end told first; the lathe stands still for every mark and calliper.",
        written(wide),
        written(long)
    ))?;
    for stage in ladder(shape, wanted.sides.count()) {
        let most = stage
            .corners
            .iter()
            .map(|corner| corner.above)
            .fold(0.0, f64::max);
        screen.heading(&format!("{} sides", stage.sides))?;
        screen.paragraph(&format!(
            "Mark from the corners before, along their sides, and turn straight from mark to mark. The corners then stand up to {} above the shape.",
            written(most)
        ))?;
        screen.line("  corner    station   diameter      mark     above")?;
        for (number, corner) in stage.corners.iter().enumerate() {
            screen.line(&format!(
                "  {:>6} {:>10} {:>10} {:>9} {:>9}",
                number + 1,
                written(corner.at.from_end),
                written(corner.at.diameter),
                written(corner.mark),
                written(corner.above)
            ))?;
        }
        let touches: Vec<String> = stage
            .touches
            .iter()
            .filter(|touch| touch.diameter > 0.5)
            .map(|touch| format!("{} ({})", written(touch.from_end), written(touch.diameter)))
            .collect();
        screen.paragraph(&format!(
            "Never cut here, station (diameter): {}.",
            touches.join(", ")
        ))?;
    }
    screen.heading("Test")?;
    let bore = 0.5 * wide;
    for (end, other) in [("first", false), ("other", true)] {
        if let Some(stands) = shape.into_tube(bore, other).filter(|stands| *stands > 0.05) {
            screen.paragraph(&format!(
                "A tube of {} bore laid square on the {end} end: the end stands {} into it, with no light all round.",
                written(bore),
                written(stands)
            ))?;
        }
    }
    if !matches!(shape, Convex::Ball { .. }) {
        screen.paragraph("Laid askew, a ring touches all round only on a ball; elsewhere it shows roundness round the axis alone.")?;
    }
    screen.paragraph("Stop the lathe to measure. The makers' instructions, local rules and qualified teaching come first.")?;
    Ok(Verdict::Sound)
}

fn shape(wanted: &cli::Round, unit: LengthUnit) -> Result<Convex, Failure> {
    let across = length("--across", &wanted.across, unit)?;
    let given = |option: &str, written: &Option<String>| {
        written
            .as_ref()
            .map(|written| length(option, written, unit))
            .transpose()
    };
    let long = given("--length", &wanted.length)?;
    let ends = given("--ends", &wanted.ends)?;
    let needed = |what: Option<f64>, option: &str| {
        what.ok_or_else(|| {
            Failure::Asked(format!(
                "{option} is missing: a {} needs it, such as {option} 60mm.",
                wanted.shape.word()
            ))
        })
    };
    Ok(match wanted.shape {
        cli::Shape::Ball => Convex::Ball { across },
        cli::Shape::Egg => Convex::Egg {
            length: needed(long, "--length")?,
            across,
        },
        cli::Shape::Oval => Convex::Oval {
            length: needed(long, "--length")?,
            across,
        },
        cli::Shape::Barrel => {
            let (length, ends) = (needed(long, "--length")?, needed(ends, "--ends")?);
            if ends > across || across - ends > length {
                return Err(Failure::Asked(format!(
                    "--ends: found {ends} mm; allowed is up to {across} mm, and no less than that by more than the length. A barrel is widest in its middle."
                )));
            }
            Convex::Barrel {
                length,
                across,
                ends,
            }
        }
        cli::Shape::Onion => {
            let length = needed(long, "--length")?;
            if length <= 1.01 * across {
                return Err(Failure::Asked(format!(
                    "--length: found {length} mm; an onion is longer than it is wide, {across} mm. As long as wide it is a ball."
                )));
            }
            Convex::Onion { length, across }
        }
    })
}
