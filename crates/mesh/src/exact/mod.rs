//! The surface by its exact edges: each sheet is cut out along them and filled.
//!
//! Windows, net, charts, triangles; then everything is checked, and where anything does
//! not hold there is no answer, and the lattice is asked instead. What can fail here are
//! faces that touch along a line, coincide in part, or meet in ways the net cannot part.

mod chart;
mod fill;
mod net;
mod sheet;
mod way;
mod windows;

use glam::DVec3;
use rayon::prelude::*;

use crate::mesh::{Mesh, Reached};
use crate::patch::Patches;
use chart::{Chart, Fine};
use fill::{Corner, Filled, Trouble, fill};
pub(crate) use net::Lost;
use net::{Net, weave};
use sheet::Sheets;
use way::Steps;
use windows::{Window, windows};

/// Times edges that cross in a plane are parted at most.
const ROUNDS: usize = 8;

/// The surface of a solid with a chord error and no side longer than `longest` mm.
pub(crate) fn by_edges(patches: &Patches<'_>, chord: f64, longest: f64) -> Result<Mesh, Lost> {
    let sheets = Sheets::new(patches);
    let small = 0.25 * longest;
    let seen: Vec<_> = (0..sheets.list.len() as u32)
        .into_par_iter()
        .map(|sheet| windows(&sheets, sheet, small))
        .collect();
    let areas: Vec<[f64; 2]> = seen.iter().map(|seen| [seen.bare, seen.doubtful]).collect();
    let open: Vec<Vec<Window>> = seen.into_iter().map(|seen| seen.open).collect();
    let mut net = weave(&sheets, &open, Steps { chord, longest })?;
    let fine = Fine { chord, longest };
    for _ in 0..ROUNDS {
        let filled = fill_all(&sheets, &net, fine);
        let mut crossed: Vec<[u32; 2]> = Vec::new();
        let mut whole = Vec::with_capacity(filled.len());
        for result in filled {
            match result {
                Ok(filled) => whole.push(filled),
                Err(Trouble::Crossed(chords)) => crossed.extend(chords),
                Err(Trouble::Lost(lost)) => return Err(lost),
            }
        }
        if crossed.is_empty() {
            return assemble(&sheets, &net, &whole, &areas, chord);
        }
        part(&sheets, &mut net, crossed)?;
    }
    Err(Lost("edges cross each other however fine"))
}

/// Parts the chords between the given nodes.
fn part(sheets: &Sheets<'_>, net: &mut Net, mut chords: Vec<[u32; 2]>) -> Result<(), Lost> {
    for chord in &mut chords {
        chord.sort_unstable();
    }
    chords.sort_unstable();
    chords.dedup();
    let mut parted = false;
    for rim in 0..net.rims.len() {
        for chord in (1..net.rims[rim].nodes.len()).rev() {
            let (a, b) = (net.rims[rim].nodes[chord - 1], net.rims[rim].nodes[chord]);
            if chords.binary_search(&[a.min(b), a.max(b)]).is_ok() {
                if !net.part(sheets, rim, chord - 1) {
                    return Err(Lost("an edge cannot be parted"));
                }
                parted = true;
            }
        }
    }
    if parted {
        Ok(())
    } else {
        Err(Lost("edges that cross cannot be found"))
    }
}

fn fill_all(sheets: &Sheets<'_>, net: &Net, fine: Fine) -> Vec<Result<Filled, Trouble>> {
    let mut edges: Vec<Vec<[u32; 2]>> = vec![Vec::new(); sheets.list.len()];
    for rim in &net.rims {
        for (which, &sheet) in rim.sheets.iter().enumerate() {
            let sense = if rim.joint {
                1.0
            } else {
                sheets.list[sheet as usize].sense
            };
            let with = (which == 0) == (sense > 0.0);
            edges[sheet as usize].extend(rim.nodes.windows(2).map(|pair| {
                if with {
                    [pair[0], pair[1]]
                } else {
                    [pair[1], pair[0]]
                }
            }));
        }
    }
    edges
        .par_iter()
        .enumerate()
        .map(|(sheet, edges)| {
            if edges.is_empty() {
                return Ok(Filled::default());
            }
            let ends = edges.iter().map(|edge| net.nodes[edge[0] as usize]);
            let chart = Chart::new(sheets, sheet as u32, ends, fine)
                .ok_or(Trouble::Lost(Lost("a pole lies on an edge")))?;
            fill(&chart, &net.nodes, edges, fine)
        })
        .collect()
}

/// Joins the sheets' triangles, and checks what can be checked.
fn assemble(
    sheets: &Sheets<'_>,
    net: &Net,
    whole: &[Filled],
    areas: &[[f64; 2]],
    chord: f64,
) -> Result<Mesh, Lost> {
    for (filled, [bare, doubtful]) in whole.iter().zip(areas) {
        if filled.area < 0.98 * bare - 1e-9 || filled.area > 1.02 * (bare + doubtful) + 1e-9 {
            return Err(Lost("a sheet has not the area it should have"));
        }
    }
    let mut mesh = Mesh::default();
    let mut number = vec![u32::MAX; net.nodes.len()];
    for (sheet, filled) in whole.iter().enumerate() {
        let sheet = sheet as u32;
        let face = sheets.list[sheet as usize].face;
        let mut own = vec![u32::MAX; filled.points.len()];
        for corners in &filled.triangles {
            let mut at = [DVec3::ZERO; 3];
            let mut triangle = [0; 3];
            for (k, corner) in corners.iter().enumerate() {
                let (number, p) = match *corner {
                    Corner::Node(node) => (&mut number[node as usize], net.nodes[node as usize]),
                    Corner::Own(point) => {
                        (&mut own[point as usize], filled.points[point as usize])
                    }
                };
                if *number == u32::MAX {
                    *number = mesh.positions.len() as u32;
                    mesh.positions.push(p.to_array());
                }
                triangle[k] = *number;
                at[k] = p;
            }
            mesh.triangles.push(triangle);
            mesh.face_of.push(face);
            mesh.normals
                .push(at.map(|p| (-sheets.sense(sheet, p).inward).to_array()));
        }
        mesh.reached.chord_error_mm = mesh.reached.chord_error_mm.max(filled.chord);
    }
    if mesh.triangles.is_empty() {
        // No wood, or none found: the lattice looks for itself.
        return Err(Lost("no surface was found"));
    }
    if mesh.check().is_err() {
        return Err(Lost("the sheets do not close"));
    }
    let pierced = (0..mesh.triangles.len()).into_par_iter().any(|triangle| {
        let [a, b, c] = mesh.points(triangle);
        chart::depth(sheets, mesh.face_of[triangle], (a + b + c) / 3.0) < -chord
    });
    if pierced {
        return Err(Lost("another face takes a triangle"));
    }
    mesh.reached = Reached {
        chord_error_mm: mesh.reached.chord_error_mm,
        by_edges: true,
        ..Reached::default()
    };
    Ok(mesh)
}
