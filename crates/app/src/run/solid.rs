//! `rondure solid`.

use rondure_mesh::{Format, Quality, surface};
use rondure_plan::form::coved_ball::{Expanded, expand};
use rondure_plan::process::{Piece, State};
use rondure_plan::study::FINISHED;
use rondure_plan::units::LengthUnit;
use rondure_solid::moments;
use serde::Serialize;

use crate::cli;
use crate::failure::Failure;
use crate::labels::{COARSEST_CHORD, FINEST_CHORD, labels};
use crate::run::{Verdict, length, no_setup};
use crate::words::Screen;
use crate::{keep, plan_file};

/// What was written, for other programs.
#[derive(Debug, Serialize)]
struct Written<'a> {
    setup: Option<&'a str>,
    piece: &'a str,
    volume_mm3: f64,
    volume_error_mm3: f64,
    mesh_volume_mm3: f64,
    triangles: usize,
    chord_mm: f64,
}

/// Writes the surface of a solid.
pub fn solid(wanted: &cli::Solid, screen: &mut Screen) -> Result<Verdict, Failure> {
    let chord = length("--chord", &wanted.chord, LengthUnit::Millimetre)?;
    if !(FINEST_CHORD..=COARSEST_CHORD).contains(&chord) {
        return Err(Failure::Asked(format!(
            "--chord: found {chord} mm; allowed is {FINEST_CHORD} to {COARSEST_CHORD} mm. Most printers cannot show less than 0.05 mm."
        )));
    }
    let Some(format) = Format::of(&wanted.output) else {
        return Err(Failure::Asked(format!(
            "{} does not end in {}: the ending says which kind of surface file to write.",
            wanted.output.display(),
            Format::ALL
                .map(|format| format!(".{}", format.ending()))
                .join(" or ")
        )));
    };
    let plan = plan_file::plan(&wanted.plan)?;
    // The surface asks for no findings, so none are looked for.
    let expanded = expand(&plan).map_err(Failure::Problems)?;
    let (piece, state) = state(&expanded, wanted)?;
    let mesh = surface(&state.solid, Quality::chord(chord))
        .map_err(|error| Failure::Asked(error.to_string()))?;
    let measured = moments(&state.solid, FINISHED);
    let labels = labels(&piece.name, &state);
    keep::whole(&wanted.output, |to| format.write(&mesh, &labels, to))?;
    let written = Written {
        setup: wanted.after.as_deref(),
        piece: &piece.id,
        volume_mm3: measured.volume,
        volume_error_mm3: measured.volume_error,
        mesh_volume_mm3: mesh.volume(),
        triangles: mesh.triangles.len(),
        chord_mm: mesh.reached.chord_error_mm,
    };
    if wanted.json {
        let text =
            serde_json::to_string(&written).map_err(|error| Failure::Output(error.into()))?;
        screen.line(&text)?;
    } else {
        let moment = wanted
            .after
            .as_ref()
            .map_or("finished".to_owned(), |setup| format!("after {setup}"));
        screen.paragraph(&format!(
            "Wrote {}: the {}, {moment}.",
            wanted.output.display(),
            piece.name
        ))?;
        screen.paragraph(&format!(
            "{:.1} mm³ of wood, true within {:.1} mm³; {} triangles, nowhere more than {:.3} mm from the true surface.",
            written.volume_mm3, written.volume_error_mm3, written.triangles, written.chord_mm
        ))?;
    }
    // Whether the job is sound is for the report to say; the file was written.
    Ok(Verdict::Sound)
}

/// The piece that is asked for, and its wood at the moment that is asked for.
fn state<'a>(expanded: &'a Expanded, wanted: &cli::Solid) -> Result<(&'a Piece, State), Failure> {
    let process = &expanded.process;
    if let Some(after) = &wanted.after {
        let Some(index) = process.setup(after) else {
            let setups = process.setups.iter();
            return Err(no_setup(after, setups.map(|setup| setup.id.as_str())));
        };
        let piece = &process.pieces[process.setups[index].piece];
        return Ok((piece, process.state_after(index)));
    }
    let Some(index) = process
        .pieces
        .iter()
        .position(|piece| piece.id == wanted.piece)
    else {
        let ids: Vec<&str> = process
            .pieces
            .iter()
            .map(|piece| piece.id.as_str())
            .collect();
        return Err(Failure::Asked(format!(
            "There is no piece \"{}\" in this plan. There are: {}.",
            wanted.piece,
            ids.join(", ")
        )));
    };
    Ok((&process.pieces[index], process.finished(index)))
}
