//! The names a surface file carries along: those a turner has for the piece and its cuts.

use rondure_mesh::Labels;
use rondure_plan::process::State;
use rondure_solid::Face;

/// Finest chord error, mm: far below what wood or a printer keeps; the 60 mm demo then makes a file of 11 MB.
pub const FINEST_CHORD: f64 = 0.005;
/// Coarsest chord error, mm: beyond it the piece is not to be known again.
pub const COARSEST_CHORD: f64 = 2.0;

/// The labels of a piece's wood.
pub fn labels(title: &str, state: &State) -> Labels {
    let cuts = state.cuts.iter().map(|cut| cut.name.clone());
    Labels {
        title: title.to_owned(),
        faces: std::iter::once(state.name_of(Face::BLANK).to_owned())
            .chain(cuts)
            .collect(),
        ..Labels::default()
    }
}
