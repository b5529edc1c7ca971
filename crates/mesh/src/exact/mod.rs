//! The surface by its exact edges: each sheet is cut out along them and filled.
//!
//! Windows, net, charts, triangles; then everything is checked, and where anything does
//! not hold there is no answer, and the lattice is asked instead. What can fail here are
//! faces that touch along a line, coincide in part, or meet in ways the net cannot part.

mod balance;
mod chart;
mod circle;
mod fill;
mod net;
mod sheet;
mod way;
mod windows;

use glam::DVec3;
use rayon::prelude::*;

use crate::mesh::Mesh;
use crate::patch::Patches;
use chart::{Chart, Fine};
use fill::{Corner, Filled, Trouble, fill};
pub(crate) use net::Lost;
use net::{Net, weave};
use sheet::Sheets;
use way::Steps;
use windows::{Windows, windows};

/// Times edges that cross in a plane are parted at most.
const ROUNDS: usize = 8;
/// Times a surface whose triangles cross is made at most, each time finer.
const FINER: usize = 5;

/// How a surface is asked for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wish {
    /// The farthest triangles may stand off, mm.
    pub(crate) chord: f64,
    /// The longest side of a triangle, mm.
    pub(crate) longest: f64,
    /// Whether vertices on no edge are moved off the surface to keep the volume.
    pub(crate) balanced: bool,
}

/// The surface of a solid.
pub(crate) fn by_edges(patches: &Patches<'_>, wish: Wish) -> Result<Mesh, Lost> {
    let sheets = Sheets::new(patches);
    let coarse = 0.5 * wish.longest;
    let mut finer = wish;
    for round in 1.. {
        // An edge may hide beside another in a window; smaller windows part them.
        let mesh = through_windows(&sheets, finer, coarse)
            .or_else(|_| through_windows(&sheets, finer, 0.2 * coarse))?;
        // Chords of both sides of a thin wall may cross: shorter ones do not.
        if mesh.reached.crossings == 0 || round == FINER {
            return Ok(mesh);
        }
        finer.chord *= 0.35;
    }
    unreachable!("the last round returns")
}

fn through_windows(sheets: &Sheets<'_>, wish: Wish, small: f64) -> Result<Mesh, Lost> {
    let Wish { chord, longest, .. } = wish;
    let seen: Vec<_> = (0..sheets.list.len() as u32)
        .into_par_iter()
        .map(|sheet| windows(sheets, sheet, small))
        .collect();
    let mut net = weave(sheets, &seen, Steps { chord, longest })?;
    let fine = Fine { chord, longest };
    for _ in 0..ROUNDS {
        let filled = fill_all(sheets, &seen, &net, fine);
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
            return assemble(sheets, &net, &whole, wish);
        }
        part(sheets, &mut net, crossed)?;
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

fn fill_all(
    sheets: &Sheets<'_>,
    seen: &[Windows],
    net: &Net,
    fine: Fine,
) -> Vec<Result<Filled, Trouble>> {
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
                if seen[sheet].bare > 0.0 {
                    return Err(Trouble::Lost(Lost("a sheet has no edges")));
                }
                return Ok(Filled::default());
            }
            let ends = edges.iter().map(|edge| net.nodes[edge[0] as usize]);
            let seen = &seen[sheet];
            let chart = Chart::new(sheets, sheet as u32, &seen.faces, ends, fine)
                .ok_or(Trouble::Lost(Lost("a pole lies on an edge")))?;
            let filled = fill(&chart, &net.nodes, edges, fine)?;
            // Chords cut off slivers of the area, and bends a share of it.
            let slivers: f64 = edges
                .iter()
                .map(|edge| {
                    let [a, b] = edge.map(|node| net.nodes[node as usize]);
                    let length = a.distance(b);
                    length * fine.chord.min(0.075 * length)
                })
                .sum();
            let least = 0.9 * seen.bare - slivers;
            let most = 1.03 * (seen.bare + seen.doubtful) + slivers;
            if filled.area < least - 1e-9 || filled.area > most + 1e-9 {
                return Err(Trouble::Lost(Lost(
                    "a sheet has not the area it should have",
                )));
            }
            Ok(filled)
        })
        .collect()
}

/// Joins the sheets' triangles, and checks what can be checked.
fn assemble(sheets: &Sheets<'_>, net: &Net, whole: &[Filled], wish: Wish) -> Result<Mesh, Lost> {
    let mut mesh = Mesh::default();
    let mut number = vec![u32::MAX; net.nodes.len()];
    let mut free = Vec::new();
    let mut thin = Vec::new();
    let mut sheet_of = Vec::new();
    for (sheet, filled) in whole.iter().enumerate() {
        let sheet = sheet as u32;
        let face = sheets.list[sheet as usize].face;
        let from = mesh.triangles.len();
        let behind = (from..).zip(&filled.thin).filter(|(_, thin)| **thin);
        thin.extend(behind.map(|(triangle, _)| triangle));
        let mut own = vec![u32::MAX; filled.points.len()];
        for corners in &filled.triangles {
            let mut at = [DVec3::ZERO; 3];
            let mut triangle = [0; 3];
            for (k, corner) in corners.iter().enumerate() {
                let (number, p, inner) = match *corner {
                    Corner::Node(node) => {
                        let node = node as usize;
                        (&mut number[node], net.nodes[node], false)
                    }
                    Corner::Own(point) => {
                        let point = point as usize;
                        (&mut own[point], filled.points[point], true)
                    }
                };
                if *number == u32::MAX {
                    *number = mesh.positions.len() as u32;
                    mesh.positions.push(p.to_array());
                    free.push(inner);
                }
                triangle[k] = *number;
                at[k] = p;
            }
            mesh.triangles.push(triangle);
            mesh.face_of.push(face);
            sheet_of.push(sheet);
            mesh.normals
                .push(at.map(|p| (-sheets.sense(sheet, p).inward).to_array()));
        }
        mesh.reached.chord_error_mm = mesh.reached.chord_error_mm.max(filled.chord);
        mesh.reached.folded += filled.folded;
    }
    if mesh.triangles.is_empty() {
        // No wood, or none found: the lattice looks for itself.
        return Err(Lost("no surface was found"));
    }
    if mesh.check().is_err() {
        return Err(Lost("the sheets do not close"));
    }
    mesh.reached.by_edges = true;
    if wish.balanced {
        mesh.reached.off_surface_mm = balance::balance(sheets, &mut mesh, &sheet_of, &free);
        mesh.reached.chord_error_mm += mesh.reached.off_surface_mm;
    }
    mesh.reached.crossings = mesh.crossings_among(thin).len();
    Ok(mesh)
}
