//! Ways to look at the wood of one moment: its surface, a place on it, a section through it.

use rayon::prelude::*;
use rondure_mesh::{Quality, surface};
use rondure_plan::bench::written;
use rondure_plan::figure::{Dimension, Figure, Line, LineKind};
use rondure_plan::plan::Plan;
use rondure_plan::process::{Piece, Process, State};
use rondure_plan::scene::Scene;
use rondure_solid::{DVec2, DVec3, Plane, Solid};

use super::answer::Refused;
use super::cache::Recipe;
use super::wire::{CuttingPlane, Moment, Probed, Wood};
use crate::labels::{COARSEST_CHORD, FINEST_CHORD};

/// How far a drawn section may stray from the true one, mm: below the width of a drawn line.
const TOLERANCE: f64 = 0.02;
/// Farthest a place may lie from the piece, mm; a pointer on the screen is never that far off.
const FARTHEST: f64 = 5000.0;

/// The piece and its wood at the moment that is asked for.
///
/// # Errors
/// Where the plan has no such set-up or piece.
pub fn state<'a>(process: &'a Process, wood: &Wood) -> Result<(&'a Piece, State), Refused> {
    let setup = wood
        .setup
        .as_ref()
        .map(|id| setup(process, id))
        .transpose()?;
    let held = setup.map(|setup| process.setups[setup].piece);
    let piece = match &wood.piece {
        Some(id) => process
            .pieces
            .iter()
            .position(|piece| piece.id == *id)
            .ok_or_else(|| no_such("piece", id, process.pieces.iter().map(|piece| &*piece.id)))?,
        None => held.unwrap_or(0),
    };
    let Some(setup) = setup else {
        return Ok((&process.pieces[piece], process.finished(piece)));
    };
    if held != Some(piece) {
        return Err(Refused::cannot(format!(
            "In the set-up {} the piece \"{}\" is held, not \"{}\".",
            process.setups[setup].id,
            process.pieces[process.setups[setup].piece].id,
            process.pieces[piece].id
        )));
    }
    let step = match wood.moment {
        Moment::Before => 0,
        Moment::After => usize::MAX,
    };
    Ok((
        &process.pieces[piece],
        process.state_before(piece, setup, step),
    ))
}

/// Index of a set-up.
///
/// # Errors
/// Where the plan has none of that name.
pub fn setup(process: &Process, id: &str) -> Result<usize, Refused> {
    process
        .setup(id)
        .ok_or_else(|| no_such("set-up", id, process.setups.iter().map(|setup| &*setup.id)))
}

fn no_such<'a>(what: &str, id: &str, ids: impl Iterator<Item = &'a str>) -> Refused {
    Refused::missing(format!(
        "There is no {what} \"{id}\" in this plan. There are: {}.",
        ids.collect::<Vec<_>>().join(", ")
    ))
}

/// A chord error that may be asked for.
///
/// # Errors
/// With what is allowed.
pub fn chord(chord: f64) -> Result<f64, Refused> {
    if (FINEST_CHORD..=COARSEST_CHORD).contains(&chord) {
        return Ok(chord);
    }
    Err(Refused::cannot(format!(
        "The chord error: found {chord} mm; allowed is {FINEST_CHORD} to {COARSEST_CHORD} mm."
    )))
}

/// The surface of a piece's wood as a file.
///
/// # Errors
/// In words, where no wood is left or the format cannot hold it.
pub fn surface_file(recipe: &Recipe) -> Result<Vec<u8>, String> {
    let mesh =
        surface(&recipe.solid, Quality::chord(recipe.chord)).map_err(|error| error.to_string())?;
    let mut labels = recipe.labels.clone();
    if recipe.thickness {
        labels.thickness_mm = Some(
            mesh.positions
                .par_iter()
                .map(|&at| recipe.solid.thickness(DVec3::from_array(at)).thickness)
                .collect(),
        );
    }
    let mut file = Vec::new();
    recipe
        .format
        .write(&mesh, &labels, &mut file)
        .map_err(|error| error.to_string())?;
    Ok(file)
}

/// A place that numbers can be worked out for.
fn place(name: &str, at: [f64; 3]) -> Result<DVec3, Refused> {
    if at.iter().all(|number| number.abs() <= FARTHEST) {
        return Ok(DVec3::from_array(at));
    }
    Err(Refused::cannot(format!(
        "{name}: found {at:?}; allowed are three numbers of at most {FARTHEST} mm either way."
    )))
}

/// What is known of the place of the surface nearest to `at`. The axis is the lathe's in the
/// scene, or else the blank's own.
///
/// # Errors
/// Where `at` is no place.
pub fn probe(
    plan: &Plan,
    piece: &Piece,
    state: &State,
    scene: Option<&Scene>,
    at: [f64; 3],
) -> Result<Probed, Refused> {
    let found = state.solid.thickness(place("The place", at)?);
    let (station, radius) = match scene {
        Some(scene) => {
            let lathe = placed(&scene.lathe_from_piece, found.foot);
            (lathe.x, lathe.y.hypot(lathe.z))
        }
        None => (found.foot.z, found.foot.x.hypot(found.foot.y)),
    };
    let surface = state.name_of(found.faces[0]).to_owned();
    let axis = if scene.is_some_and(|scene| scene.on_lathe) {
        "the lathe's axis"
    } else {
        "the blank's axis"
    };
    // A piece's own origin: a ball's centre, a finial's shoulder.
    let origin = if piece.id.starts_with("finial") {
        "shoulder"
    } else {
        "middle"
    };
    let side = if station < 0.0 { "before" } else { "past" };
    Ok(Probed {
        thickness_mm: found.thickness,
        radius_mm: radius,
        station_mm: station,
        shown: vec![
            format!("wall {}", written(plan, found.thickness)),
            format!("radius {} from {axis}", written(plan, radius)),
            format!("diameter {}", written(plan, 2.0 * radius)),
            format!("{} {side} the {origin}", written(plan, station.abs())),
            surface.clone(),
        ],
        surface,
    })
}

/// A point taken through four columns of four.
fn placed(columns: &[f64; 16], p: DVec3) -> DVec3 {
    let column = |number: usize| {
        DVec3::new(
            columns[4 * number],
            columns[4 * number + 1],
            columns[4 * number + 2],
        )
    };
    column(0) * p.x + column(1) * p.y + column(2) * p.z + column(3)
}

/// A section as a drawing with its overall sizes.
///
/// # Errors
/// Where the plane is none, or meets no wood.
pub fn section(
    plan: &Plan,
    name: &str,
    solid: &Solid,
    plane: CuttingPlane,
) -> Result<Figure, Refused> {
    let origin = place("The plane's origin", plane.origin)?;
    let normal = place("The plane's normal", plane.normal)?
        .try_normalize()
        .ok_or_else(|| {
            Refused::cannot("The plane's normal has no length; allowed is any direction.")
        })?;
    // Up is the blank's axis, as on the bench's drawings; seen along it, up is y.
    let up = if normal.z.abs() > 0.9 {
        DVec3::Y
    } else {
        DVec3::Z
    };
    let right = up.cross(normal);
    let cut = solid.section(&Plane::new(origin, right, up), TOLERANCE);
    let points = || cut.loops.iter().flat_map(|outline| &outline.points);
    let Some(first) = points().next() else {
        return Err(Refused::cannot(
            "There is no wood in that plane. Move it towards the piece.",
        ));
    };
    let (low, high) = points().fold((*first, *first), |(low, high), point| {
        (low.min(*point), high.max(*point))
    });
    let lines = cut
        .loops
        .iter()
        .map(|outline| Line {
            points: outline
                .points
                .iter()
                .map(|point| point.to_array())
                .collect(),
            closed: true,
            kind: LineKind::Section,
        })
        .collect();
    let size = high - low;
    let clear = 0.12 * size.max_element();
    let length = |from: DVec2, to: DVec2, offset: f64, mm: f64| Dimension::Length {
        from: from.to_array(),
        to: to.to_array(),
        offset,
        label: written(plan, mm),
    };
    Ok(Figure {
        id: "section".to_owned(),
        title: format!("{name}, cut through"),
        note: String::new(),
        full_size: false,
        lines,
        dimensions: vec![
            length(low, DVec2::new(high.x, low.y), -clear, size.x),
            length(DVec2::new(high.x, low.y), high, -clear, size.y),
        ],
    })
}
