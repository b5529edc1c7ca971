//! A new plan from what a turner says of it, for the command line and the page alike.

use rondure_plan::form::coved_ball::template::{Wish, plan_text};
use rondure_plan::units::{LengthUnit, read_length};

/// What the turner says.
#[derive(Debug, Clone, Copy)]
pub struct Said<'a> {
    /// The form.
    pub form: &'a str,
    /// The diameter in the turner's writing.
    pub diameter: &'a str,
    /// Marks round the middle line.
    pub marks: u32,
    /// The wood, by any of its names.
    pub wood: &'a str,
    /// The plan's units; none: those of the diameter.
    pub units: Option<LengthUnit>,
}

/// The plan's text.
///
/// # Errors
/// In words, with what is allowed; `diameter` is what the diameter is called in them.
pub fn new_plan(said: &Said<'_>, diameter: &str) -> Result<String, String> {
    if said.form != "coved ball" {
        return Err(format!(
            "There is no form \"{}\". There is: \"coved ball\".",
            said.form
        ));
    }
    let diameter_mm = read_length(said.diameter, said.units.unwrap_or(LengthUnit::Millimetre))
        .map_err(|error| {
            let mend = error.mend.map_or(String::new(), |mend| format!(" {mend}"));
            format!(
                "{diameter}: found {}; allowed is {}.{mend}",
                error.found, error.allowed
            )
        })?;
    let unit = said.units.unwrap_or(if is_in_inches(said.diameter) {
        LengthUnit::Inch
    } else {
        LengthUnit::Millimetre
    });
    let wood = rondure_wood::find(said.wood).map_err(|error| error.to_string())?;
    let wish = Wish {
        diameter_mm,
        marks: said.marks,
        wood: wood.name.clone(),
        unit,
        title: None,
    };
    plan_text(&wish).map_err(|error| error.to_string())
}

/// Whether a length that can be read was written in inches. A fraction alone was not: it is of the
/// unit that is asked for.
fn is_in_inches(written: &str) -> bool {
    written.contains("in") || written.contains(['"', '″', '”'])
}
