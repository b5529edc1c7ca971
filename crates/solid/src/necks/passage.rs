//! The passages between bulks, each settled to the ball that sticks in it.

use std::collections::BTreeMap;

use glam::DVec3;
use rayon::prelude::*;

use super::bulks::{Bent, Bulks, neighbours, straight};
use super::critical;
use crate::lattice::Lattice;
use crate::solid::Solid;

/// A passage between two bulks.
pub(crate) struct Passage {
    pub bulks: [usize; 2],
    pub radius: f64,
    pub error: f64,
    pub at: DVec3,
}

/// How many of a passage's ways are bent to find its deepest.
const TRIED: usize = 2;

/// All passages, in order of bulks and sites.
pub(super) fn settle(solid: &Solid, lattice: &Lattice, bulks: &Bulks) -> Vec<Passage> {
    let mut borders: BTreeMap<[usize; 2], Vec<[usize; 2]>> = BTreeMap::new();
    for ends in neighbours(lattice) {
        if let (Some(a), Some(b)) = (bulks.of_site[ends[0]], bulks.of_site[ends[1]])
            && a != b
        {
            let key = if a < b { [a, b] } else { [b, a] };
            borders.entry(key).or_default().push(ends);
        }
    }
    let apart: Vec<([usize; 2], Vec<[usize; 2]>)> = borders
        .into_iter()
        .flat_map(|(pair, ways)| {
            clusters(lattice, &ways)
                .into_iter()
                .map(move |ways| (pair, ways))
        })
        .collect();
    apart
        .into_par_iter()
        .filter_map(|(pair, ways)| deepest(solid, lattice, pair, &ways))
        .collect()
}

/// Ways that hang together: neighbouring ones belong to one passage.
fn clusters(lattice: &Lattice, ways: &[[usize; 2]]) -> Vec<Vec<[usize; 2]>> {
    let mut first_at: BTreeMap<usize, usize> = BTreeMap::new();
    let mut parent: Vec<usize> = (0..ways.len()).collect();
    fn root(parent: &[usize], mut number: usize) -> usize {
        while parent[number] != number {
            number = parent[number];
        }
        number
    }
    let join = |parent: &mut Vec<usize>, a: usize, b: usize| {
        let (a, b) = (root(parent, a), root(parent, b));
        parent[a.max(b)] = a.min(b);
    };
    for (number, ends) in ways.iter().enumerate() {
        for site in ends {
            match first_at.get(site) {
                Some(&other) => join(&mut parent, number, other),
                None => {
                    first_at.insert(*site, number);
                }
            }
        }
    }
    for (&site, &number) in &first_at {
        for step in Lattice::directions() {
            if let Some(other) = lattice.at(lattice.sites[site].index + step)
                && let Some(&there) = first_at.get(&other)
            {
                join(&mut parent, number, there);
            }
        }
    }
    let mut sets: BTreeMap<usize, Vec<[usize; 2]>> = BTreeMap::new();
    for (number, ends) in ways.iter().enumerate() {
        sets.entry(root(&parent, number)).or_default().push(*ends);
    }
    sets.into_values().collect()
}

fn deepest(
    solid: &Solid,
    lattice: &Lattice,
    bulks: [usize; 2],
    ways: &[[usize; 2]],
) -> Option<Passage> {
    let sites = &lattice.sites;
    // No way is deeper than its ends: those with the deepest ends first, until what is left
    // cannot be deeper than the best found.
    let mut bounds: Vec<(f64, [usize; 2])> = ways
        .iter()
        .map(|ends| (sites[ends[0]].depth.min(sites[ends[1]].depth), *ends))
        .collect();
    let deeper =
        |a: &(f64, [usize; 2]), b: &(f64, [usize; 2])| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1));
    bounds.sort_unstable_by(deeper);
    let mut ranked: Vec<(f64, [usize; 2])> = Vec::new();
    for (bound, ends) in bounds {
        if ranked.get(TRIED - 1).is_some_and(|last| last.0 > bound) {
            break;
        }
        let depth = straight(solid, &sites[ends[0]], &sites[ends[1]]);
        if depth > 0.0 {
            ranked.push((depth, ends));
            ranked.sort_unstable_by(deeper);
            ranked.truncate(TRIED);
        }
    }
    let mut best: Option<(f64, DVec3)> = None;
    for (_, ends) in ranked {
        let lowest = Bent::between(solid, lattice, ends).lowest();
        if lowest.0 > best.map_or(0.0, |best| best.0) {
            best = Some(lowest);
        }
    }
    let (seen, start) = best?;
    Some(match critical::settle(solid, start, seen, lattice.reach) {
        Some(ball) => Passage {
            bulks,
            radius: ball.radius,
            error: 1e-6,
            at: ball.centre,
        },
        // The way itself proves a ball of this size through; how much more is not known.
        None => Passage {
            bulks,
            radius: seen,
            error: lattice.reach,
            at: start,
        },
    })
}
