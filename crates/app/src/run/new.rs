//! `rondure new`.

use rondure_plan::units::LengthUnit;

use crate::cli;
use crate::failure::Failure;
use crate::new_plan::{Said, new_plan};
use crate::run::Verdict;
use crate::words::Screen;

/// Writes a new plan.
pub fn new(wanted: &cli::New, screen: &mut Screen) -> Result<Verdict, Failure> {
    let said = Said {
        form: &wanted.form,
        diameter: &wanted.diameter,
        marks: wanted.marks,
        wood: &wanted.wood,
        units: wanted.units.map(|units| match units {
            cli::Units::Mm => LengthUnit::Millimetre,
            cli::Units::In => LengthUnit::Inch,
        }),
    };
    let text = new_plan(&said, "--diameter").map_err(Failure::Asked)?;
    screen.text(&text)?;
    Ok(Verdict::Sound)
}
