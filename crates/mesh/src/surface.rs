//! From a solid to its surface.
//!
//! Every face is cut out along its exact edges and filled (`exact`). Where faces touch or
//! coincide so that the edges cannot be told, the surface is looked for in a lattice:
//! tree, first surface, sharp edges, fairing, audit; while the audit names cells that can
//! still be split, they are, and the surface is made again.

use glam::DVec3;
use rondure_solid::{Accuracy, Solid, moments};
use thiserror::Error;

use crate::audit::{Audit, audit};
use crate::draft::Draft;
use crate::exact::{Wish, by_edges};
use crate::lattice::lattice;
use crate::mesh::{Flaw, Mesh, Reached};
use crate::patch::Patches;
use crate::seam::seam;
use crate::tidy::tidy;
use crate::tree::{Fineness, Tree};

/// Times the surface is made at most; what is unsound after the last is told in the result.
const ROUNDS: usize = 8;
/// Chord errors tried at most for a volume.
const VOLUME_ROUNDS: usize = 5;
/// The least share a volume can be asked to, for it must be known better than that.
const LEAST_VOLUME_ERROR: f64 = 1e-7;

/// How good a surface is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quality {
    /// The farthest the triangles may stand off the exact surface, mm.
    pub chord_error_mm: f64,
    /// The size cells of the lattice may be split down to, mm: gaps and strips of a face at
    /// least this wide are resolved there. Wood itself is kept however thin.
    pub least_wall_mm: f64,
    /// The share by which the volume of the mesh may be off, where that is what counts. The
    /// chord error is then chosen, at most the one given here, and vertices on no edge are
    /// moved off the surface by less than that.
    pub volume_error: Option<f64>,
}

impl Quality {
    /// A chord error, with walls kept down to 0.1 mm.
    pub fn chord(chord_error_mm: f64) -> Self {
        Self {
            chord_error_mm,
            least_wall_mm: 0.1,
            volume_error: None,
        }
    }

    /// A mesh whose volume is off by no more than a share of it, such as 1e-4, however coarse
    /// it is otherwise. [`Reached`] tells what was reached.
    pub fn volume(relative: f64) -> Self {
        Self {
            chord_error_mm: f64::MAX,
            least_wall_mm: 0.1,
            volume_error: Some(relative),
        }
    }
}

/// Why there is no surface.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MeshError {
    /// A wish that is not a length above 0, or below one part in 100 000 of the piece.
    #[error("{name} is {found} mm; a piece of {size:.1} mm allows {least:.4} mm and more")]
    Quality {
        /// Which wish.
        name: &'static str,
        /// What was asked, mm.
        found: f64,
        /// Largest extent of the blank, mm.
        size: f64,
        /// The least that can be asked, mm.
        least: f64,
    },
    /// A share of the volume that cannot be asked for.
    #[error("the volume's error is {found}; a share from {least} to 0.5 is allowed")]
    Volume {
        /// What was asked.
        found: f64,
        /// The least that can be asked.
        least: f64,
    },
    /// No wood is left.
    #[error("no wood is left: the cuts take the whole blank; take one of them back")]
    Empty,
    /// The surface came out flawed: a fault of this crate, never of the plan.
    #[error("the surface is not closed: {0}")]
    Flawed(#[from] Flaw),
}

/// The surface of a solid.
///
/// # Errors
/// [`MeshError::Quality`] for wishes out of range, [`MeshError::Empty`] where no wood is
/// left, [`MeshError::Flawed`] rather than an open mesh.
pub fn surface(solid: &Solid, quality: Quality) -> Result<Mesh, MeshError> {
    let size = solid.bounds().size().max_element();
    for (name, found) in [
        ("the chord error", quality.chord_error_mm),
        ("the least wall", quality.least_wall_mm),
    ] {
        let least = 1e-5 * size;
        if !(found >= least && found.is_finite()) {
            return Err(MeshError::Quality {
                name,
                found,
                size,
                least,
            });
        }
    }
    match quality.volume_error {
        None => by_chord(solid, size, quality, false),
        Some(relative) => by_volume(solid, size, quality, relative),
    }
}

fn by_chord(solid: &Solid, size: f64, quality: Quality, balanced: bool) -> Result<Mesh, MeshError> {
    // Samples do not meet the farthest point exactly: keep a tenth in hand.
    let chord = 0.9 * quality.chord_error_mm;
    let patches = Patches::new(solid);
    let wish = Wish {
        chord,
        longest: size / 10.0,
        balanced,
    };
    if let Ok(mesh) = by_edges(&patches, wish) {
        return Ok(mesh);
    }
    in_lattice(&patches, size, chord, quality.least_wall_mm)
}

/// Tries chord errors until the volume is as near as was asked.
fn by_volume(solid: &Solid, size: f64, quality: Quality, relative: f64) -> Result<Mesh, MeshError> {
    if !(LEAST_VOLUME_ERROR..=0.5).contains(&relative) {
        return Err(MeshError::Volume {
            found: relative,
            least: LEAST_VOLUME_ERROR,
        });
    }
    let exact = moments(
        solid,
        Accuracy {
            relative: 0.3 * relative,
        },
    );
    // What is left after balancing grows with the square of the chord error.
    let mut chord = (0.16 * size * relative.sqrt()).min(quality.chord_error_mm);
    for round in 1.. {
        let wish = Quality {
            chord_error_mm: chord,
            ..quality
        };
        let mut mesh = by_chord(solid, size, wish, true)?;
        let off = (mesh.volume() - exact.volume).abs() + exact.volume_error;
        let reached = off / exact.volume.max(1e-300);
        mesh.reached.volume_error = Some(reached);
        if reached <= relative || round == VOLUME_ROUNDS || chord < 2e-5 * size {
            return Ok(mesh);
        }
        let order = if mesh.reached.by_edges { 0.5 } else { 1.0 };
        let room = (0.6 * relative / reached).powf(order);
        chord *= room.clamp(0.05, 0.7);
        chord = chord.max(1e-5 * size);
    }
    unreachable!("the last round returns")
}

/// The surface looked for in a lattice: slower, but it needs no edge to be in good order.
fn in_lattice(patches: &Patches<'_>, size: f64, chord: f64, least: f64) -> Result<Mesh, MeshError> {
    let fineness = Fineness {
        chord,
        largest: size / 10.0,
        least,
    };
    let mut tree = Tree::new(patches, fineness);
    for round in 1.. {
        let mut draft = seam(&tree, &lattice(&tree));
        tidy(&mut draft, chord, fineness.least);
        let found = audit(&draft, chord);
        if found.coarse.is_empty() || round == ROUNDS {
            let mut mesh = finish(&draft, &found);
            if mesh.triangles.is_empty() {
                return Err(MeshError::Empty);
            }
            mesh.check()?;
            mesh.reached.crossings = mesh.crossings().len();
            return Ok(mesh);
        }
        let coarse = found.coarse;
        drop(draft);
        tree.split(coarse);
    }
    unreachable!("the last round returns")
}

fn finish(draft: &Draft<'_>, found: &Audit) -> Mesh {
    let mut mesh = Mesh {
        reached: Reached {
            chord_error_mm: found.chord,
            blunt: found.blunt,
            folded: found.folded,
            ..Reached::default()
        },
        ..Mesh::default()
    };
    let mut number = vec![u32::MAX; draft.vertices.len()];
    for (index, triangle) in draft.triangles.iter().enumerate() {
        if !triangle.alive || found.flake[index] {
            continue;
        }
        let corners = triangle.corners.map(|corner| {
            let number = &mut number[corner as usize];
            if *number == u32::MAX {
                *number = mesh.positions.len() as u32;
                mesh.positions.push(draft.at(corner).to_array());
            }
            *number
        });
        mesh.triangles.push(corners);
        mesh.face_of.push(draft.patches().face(triangle.patch));
        mesh.normals.push(triangle.corners.map(|corner| {
            let inward: DVec3 = draft
                .patches()
                .sense(triangle.patch, draft.at(corner))
                .inward;
            (-inward).to_array()
        }));
    }
    mesh
}
