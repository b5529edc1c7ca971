//! What pushes the piece and what holds it, spread over patches of wood.
//!
//! Nothing acts at a point: a force on one node digs a hole that deepens as cubes
//! shrink. A patch is all wood within a radius of a place, and a force is shared
//! out over it by volume and normalised, so that its sum is the force asked for.
//! A support is a bed of springs through its patch, stiff against the wood.

use glam::DVec3;
use rondure_wood::{LONGITUDINAL_SHRINKAGE, MovementError, Wood, resize_ratio};

use crate::StressError;
use crate::brick::held_strain;
use crate::fine::Nodes;
use crate::grid::Cells;
use crate::stiffness::{Law, apply};

/// Wood within a radius of a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Its middle, mm.
    pub at: DVec3,
    /// Its radius, mm.
    pub radius: f64,
}

impl Patch {
    /// All wood within `radius` mm of a place.
    pub fn ball(at: DVec3, radius: f64) -> Self {
        Self { at, radius }
    }
}

/// A bed of springs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Support {
    /// Where it bears.
    pub patch: Patch,
    /// Stiffness of each cubic millimetre, N/mm per mm³.
    pub stiffness: f64,
}

impl Support {
    /// A support that hardly gives: 1000 N/mm for each mm³. Between 10 and 100 000 nothing changes but where the piece
    /// as a whole comes to rest.
    pub fn over(patch: Patch) -> Self {
        Self {
            patch,
            stiffness: 1000.0,
        }
    }
}

/// What acts on the piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Load {
    /// A force over a patch.
    Force {
        /// Where.
        patch: Patch,
        /// How much, N.
        force: DVec3,
    },
    /// A twist about an axis, over a patch: forces round the axis that grow with the distance from it.
    Twist {
        /// Where.
        patch: Patch,
        /// A point of the axis, mm.
        axis_at: DVec3,
        /// Its unit vector times the moment, N mm.
        moment: DVec3,
    },
    /// A force on every part of the wood, such as its weight: N for each mm³.
    Everywhere(DVec3),
    /// What the wood would strain by if it were free, along L, R and T: shrinkage is below nought.
    Strain([f64; 3]),
    /// The same, only for wood beyond a plane.
    StrainBeyond {
        /// A point of the plane, mm.
        at: DVec3,
        /// Points to the side that is meant.
        normal: DVec3,
        /// Strain along L, R and T.
        strain: [f64; 3],
    },
}

impl Load {
    /// A force over a patch, N.
    pub fn force(patch: Patch, force: DVec3) -> Self {
        Self::Force { patch, force }
    }

    /// What drying from one moisture to another does, percent of the ovendry mass: shrinkage across and along the rings from
    /// the wood's table, along the grain [`LONGITUDINAL_SHRINKAGE`]'s middle, all as a straight line below fibre saturation.
    ///
    /// The stress that comes of it is that of wood which only stretches: real wood creeps while it dries, and is
    /// stressed less. The shape hardly changes by that.
    ///
    /// # Errors
    /// Where the wood's shrinkage is not known, or a moisture is not possible.
    pub fn drying(wood: &Wood, from: f64, to: f64) -> Result<Self, MovementError> {
        let movement = wood.movement(from, to)?;
        let total = 0.5 * (LONGITUDINAL_SHRINKAGE.start() + LONGITUDINAL_SHRINKAGE.end());
        let along = resize_ratio(total, wood.fibre_saturation.value, from, to);
        Ok(Self::Strain([
            along - 1.0,
            movement.radial.ratio - 1.0,
            movement.tangential.ratio - 1.0,
        ]))
    }
}

/// The cells of a patch: number, and volume of wood, mm³.
fn cells_of(
    cells: &Cells,
    patch: Patch,
    what: &'static str,
) -> Result<Vec<(usize, f64)>, StressError> {
    let full = cells.grid.edge.powi(3);
    let found: Vec<_> = cells
        .list
        .iter()
        .enumerate()
        .filter(|(_, cell)| cells.grid.middle(cell.at).distance(patch.at) <= patch.radius)
        .map(|(number, cell)| (number, cell.share * full))
        .collect();
    if found.is_empty() {
        return Err(StressError::OffWood {
            what,
            at: patch.at.to_array(),
            radius: patch.radius,
        });
    }
    Ok(found)
}

/// Springs at the corners of the cells that are held: (cell, N/mm at each of its corners).
pub(crate) fn springs(
    cells: &Cells,
    supports: &[Support],
) -> Result<Vec<(usize, f64)>, StressError> {
    let mut springs = Vec::new();
    for support in supports {
        let held = cells_of(cells, support.patch, "support")?;
        springs.extend(
            held.into_iter()
                .map(|(cell, volume)| (cell, support.stiffness * volume / 8.0)),
        );
    }
    Ok(springs)
}

/// The wood's own laws, one for each orientation, with the turn of strains into it.
pub(crate) struct Laws {
    /// In the wood's own directions.
    pub own: Law,
    /// In space, for each orientation.
    pub in_space: Vec<Law>,
    /// From strains of space to strains along L, R, T, for each orientation.
    pub turns: Vec<Law>,
}

/// Forces at the nodes: all along x, then all along y, then all along z.
pub(crate) fn forces(
    cells: &Cells,
    nodes: &Nodes,
    laws: &Laws,
    loads: &[Load],
) -> Result<Vec<f64>, StressError> {
    let count = nodes.at.len();
    let mut forces = vec![0.0; 3 * count];
    let mut push = |cell: usize, force: DVec3| {
        for node in nodes.of_cell[cell] {
            for direction in 0..3 {
                forces[direction * count + node as usize] += force[direction] / 8.0;
            }
        }
    };
    for load in loads {
        match *load {
            Load::Force { patch, force } => {
                let found = cells_of(cells, patch, "force")?;
                let volume: f64 = found.iter().map(|(_, volume)| volume).sum();
                for (cell, part) in found {
                    push(cell, force * (part / volume));
                }
            }
            Load::Twist {
                patch,
                axis_at,
                moment,
            } => {
                let axis = moment.normalize_or_zero();
                let found = cells_of(cells, patch, "twist")?;
                let arm =
                    |cell: usize| axis.cross(cells.grid.middle(cells.list[cell].at) - axis_at);
                let second: f64 = found
                    .iter()
                    .map(|&(cell, volume)| volume * arm(cell).length_squared())
                    .sum();
                if second > 0.0 {
                    for (cell, volume) in found {
                        push(cell, arm(cell) * (moment.length() * volume / second));
                    }
                }
            }
            Load::Everywhere(force) => {
                let full = cells.grid.edge.powi(3);
                for (number, cell) in cells.list.iter().enumerate() {
                    push(number, force * (cell.share * full));
                }
            }
            Load::Strain(_) | Load::StrainBeyond { .. } => {}
        }
    }
    let strained = |load: &Load| matches!(load, Load::Strain(_) | Load::StrainBeyond { .. });
    if loads.iter().any(strained) {
        // Forces of unit strains along L, R and T, for each orientation.
        let held: Vec<[[f64; 24]; 3]> = (0..laws.in_space.len())
            .map(|kind| {
                std::array::from_fn(|direction| {
                    let mut unit = [0.0; 3];
                    unit[direction] = 1.0;
                    let strain = in_space(&laws.turns[kind], unit);
                    held_strain(&laws.in_space[kind], &strain, cells.grid.edge)
                })
            })
            .collect();
        for (cell, nodes) in cells.list.iter().zip(&nodes.of_cell) {
            let free = free_strain(loads, cells.grid.middle(cell.at));
            for (held, free) in held[usize::from(cell.kind)].iter().zip(free) {
                for (degree, force) in held.iter().enumerate() {
                    forces[degree % 3 * count + nodes[degree / 3] as usize] +=
                        cell.share * free * force;
                }
            }
        }
    }
    Ok(forces)
}

/// What the wood at a place would strain by if it were free, along L, R and T.
pub(crate) fn free_strain(loads: &[Load], place: DVec3) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for load in loads {
        let strain = match load {
            Load::Strain(strain) => strain,
            Load::StrainBeyond { at, normal, strain } if normal.dot(place - at) > 0.0 => strain,
            _ => continue,
        };
        for (sum, strain) in sum.iter_mut().zip(strain) {
            *sum += strain;
        }
    }
    sum
}

/// A strain along L, R, T in the axes of space. Strains turn back by the transposed turn of stresses:
/// ε = A⁻¹ ε', with γ = 2ε written into the turn both ways.
fn in_space(turn: &Law, strain: [f64; 3]) -> [f64; 6] {
    // The turn of strains T obeys T⁻¹ = S⁻¹ Tᵀ S with S = diag(1, 1, 1, 2, 2, 2) for γ; on normal
    // strains only, that is the transpose with its shear rows doubled.
    let mut transposed = [[0.0; 6]; 6];
    for i in 0..6 {
        for j in 0..6 {
            transposed[i][j] = turn[j][i];
        }
    }
    let mut out = apply(
        &transposed,
        &[strain[0], strain[1], strain[2], 0.0, 0.0, 0.0],
    );
    for shear in &mut out[3..] {
        *shear *= 2.0;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stiffness::strain_turn;
    use glam::DMat3;

    #[test]
    fn a_strain_turned_out_and_back_is_the_same() {
        let turn = strain_turn(DMat3::from_axis_angle(
            DVec3::new(1.0, -2.0, 0.4).normalize(),
            1.1,
        ));
        let strain = [0.01, -0.04, -0.08];
        let back = apply(&turn, &in_space(&turn, strain));
        for (back, there) in back.iter().zip([0.01, -0.04, -0.08, 0.0, 0.0, 0.0]) {
            assert!((back - there).abs() < 1e-14, "{back} {there}");
        }
    }
}
