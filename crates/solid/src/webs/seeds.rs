//! Where to look for webs.

use std::collections::BTreeMap;

use glam::{DVec3, IVec3};
use rayon::prelude::*;

use crate::lattice::Lattice;
use crate::solid::{Face, Solid};

/// A place to start from: a point, and a first guess of both feet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seed {
    pub sum: f64,
    pub at: DVec3,
    pub feet: [DVec3; 2],
}

/// So many starts for one pair of faces with the least sums, and as many more, each the
/// farthest from those taken: where two faces meet all round an edge, the least sums all
/// lie there, and a web elsewhere must still be found.
const STARTS: usize = 6;

/// Seeds for every pair of faces, the smallest sums first.
pub(super) fn seeds(solid: &Solid, lattice: &Lattice) -> Vec<([Face; 2], Vec<Seed>)> {
    let mut seeds: BTreeMap<[Face; 2], Vec<Seed>> = BTreeMap::new();
    for (faces, seed) in between_faces(solid, lattice)
        .into_iter()
        .chain(within_faces(solid, lattice))
    {
        seeds.entry(faces).or_default().push(seed);
    }
    seeds
        .into_iter()
        .map(|(faces, mut list)| {
            // Stable, so that equal sums keep the order of the boxes.
            list.sort_by(|a, b| a.sum.total_cmp(&b.sum));
            (faces, spread(&list, 2.0 * lattice.reach))
        })
        .collect()
}

fn spread(sorted: &[Seed], near: f64) -> Vec<Seed> {
    let mut kept: Vec<Seed> = Vec::new();
    // Way from each seed to the nearest one taken.
    let mut away = vec![f64::INFINITY; sorted.len()];
    for turn in 0..2 * STARTS {
        let next = if turn < STARTS {
            away.iter().position(|way| *way > near)
        } else {
            (0..sorted.len())
                .filter(|&number| away[number] > near)
                .max_by(|&a, &b| away[a].total_cmp(&away[b]).then(b.cmp(&a)))
        };
        let Some(next) = next else { break };
        for (way, seed) in away.iter_mut().zip(sorted) {
            *way = way.min(seed.at.distance(sorted[next].at));
        }
        kept.push(sorted[next]);
    }
    kept
}

/// Boxes in which the sum of two distances is less than in the neighbours.
fn between_faces(solid: &Solid, lattice: &Lattice) -> Vec<([Face; 2], Seed)> {
    let faces: Vec<Face> = solid.faces().collect();
    let count = faces.len();
    // Every second box along each axis: the sum changes slowly, thin webs or not.
    let coarse: Vec<usize> = (0..lattice.sites.len())
        .filter(|&number| {
            let index = lattice.sites[number].index;
            index.x & 1 == 0 && index.y & 1 == 0 && index.z & 1 == 0
        })
        .collect();
    let depths: Vec<f64> = coarse
        .par_iter()
        .flat_map_iter(|&number| {
            let place = lattice.sites[number].place;
            faces.iter().map(move |face| solid.depth_to(*face, place))
        })
        .collect();
    let mut row: Vec<Option<usize>> = vec![None; lattice.sites.len()];
    for (here, &number) in coarse.iter().enumerate() {
        row[number] = Some(here);
    }
    let found: Vec<Vec<([Face; 2], Seed)>> = coarse
        .par_iter()
        .enumerate()
        .map(|(here, &number)| {
            let site = &lattice.sites[number];
            let neighbours: Vec<usize> = [IVec3::X, IVec3::Y, IVec3::Z]
                .into_iter()
                .flat_map(|step| [site.index + 2 * step, site.index - 2 * step])
                .filter_map(|index| row[lattice.at(index)?])
                .collect();
            let at = |row: usize, face: usize| depths[row * count + face];
            let mut found = Vec::new();
            for i in 0..count {
                for j in i + 1..count {
                    let sum = at(here, i) + at(here, j);
                    if neighbours.iter().any(|&row| at(row, i) + at(row, j) < sum) {
                        continue;
                    }
                    let a = solid.touch(faces[i], site.place);
                    let b = solid.touch(faces[j], site.place);
                    if a.inward.dot(b.inward) < -0.2 {
                        let seed = Seed {
                            sum,
                            at: site.place,
                            feet: [a.foot, b.foot],
                        };
                        found.push(([faces[i], faces[j]], seed));
                    }
                }
            }
            found
        })
        .collect();
    found.into_iter().flatten().collect()
}

/// Neighbouring boxes between which the inward direction of the nearest face turns round,
/// and boxes that have two faces on opposite sides.
fn within_faces(solid: &Solid, lattice: &Lattice) -> Vec<([Face; 2], Seed)> {
    let touches: Vec<_> = lattice
        .sites
        .par_iter()
        .map(|site| site.around.touch_here(solid))
        .collect();
    let mut found = Vec::new();
    for (number, site) in lattice.sites.iter().enumerate() {
        for step in Lattice::directions() {
            let Some(other) = lattice.at(site.index + step) else {
                continue;
            };
            let (a, b) = (touches[number], touches[other]);
            let way = lattice.sites[other].around.place - site.around.place;
            // Each looks at the other across the middle of the wall.
            if a.inward.dot(b.inward) > -0.5 || a.inward.dot(way) < 0.0 || b.inward.dot(way) > 0.0 {
                continue;
            }
            let mut pair = [(a.face, a.foot), (b.face, b.foot)];
            if pair[1].0 < pair[0].0 {
                pair.swap(0, 1);
            }
            let feet = pair.map(|end| end.1);
            let seed = Seed {
                sum: feet[0].distance(feet[1]),
                at: feet[0].midpoint(feet[1]),
                feet,
            };
            found.push((pair.map(|end| end.0), seed));
        }
    }
    found
}
