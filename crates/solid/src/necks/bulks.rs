//! Parts the wood into bulks: one for each peak of depth that stands clear of its saddle.

use std::collections::BinaryHeap;

use glam::{DVec3, IVec3};
use rayon::prelude::*;

use super::{Bulk, MARGIN};
use crate::around::Around;
use crate::lattice::{Lattice, Site, climb};
use crate::solid::Solid;

/// Wood parted into bulks.
pub(super) struct Bulks {
    pub peaks: Vec<Bulk>,
    /// The bulk of every site; none where the site has no wood.
    pub of_site: Vec<Option<usize>>,
}

/// A way between neighbours: deepest first, of equal ones that to the deeper place, so that
/// every place goes up by the steepest, then in order of the sites.
#[derive(PartialEq)]
struct Way {
    depth: f64,
    /// Depth of the deeper end.
    up_to: f64,
    ends: [usize; 2],
    /// 0: not looked at; 1: straight; 2: bent to run as deep as it can.
    looked: u8,
}

impl Eq for Way {}

impl Ord for Way {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.depth
            .total_cmp(&other.depth)
            .then(self.up_to.total_cmp(&other.up_to))
            .then(other.ends.cmp(&self.ends))
    }
}

impl PartialOrd for Way {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Bulks {
    pub fn part(solid: &Solid, lattice: &Lattice) -> Self {
        let sites = &lattice.sites;
        // Where a peak that is none of its own goes up.
        let mut up = uphill(solid, lattice);
        // The root of each joined set is its deepest site.
        let mut parent: Vec<usize> = (0..sites.len())
            .map(|site| up[site].unwrap_or(site))
            .collect();
        for site in 0..sites.len() {
            parent[site] = root(&mut parent, site);
        }
        let mut heap: BinaryHeap<Way> = neighbours(lattice)
            .filter(|ends| parent[ends[0]] != parent[ends[1]])
            .map(|ends| Way {
                depth: sites[ends[0]].depth.min(sites[ends[1]].depth),
                up_to: sites[ends[0]].depth.max(sites[ends[1]].depth),
                ends,
                looked: 0,
            })
            .collect();
        while let Some(mut way) = heap.pop() {
            let roots = way.ends.map(|site| root(&mut parent, site));
            if roots[0] == roots[1] {
                continue;
            }
            if way.looked == 0 {
                way.looked = 1;
                let straight = straight(solid, &sites[way.ends[0]], &sites[way.ends[1]]);
                if straight < way.depth {
                    // Without wood all along there is no way.
                    way.depth = straight;
                    if straight > 0.0 {
                        heap.push(way);
                    }
                    continue;
                }
            }
            let low = usize::from(deeper(sites, roots[0], roots[1]));
            let low_peak = sites[roots[low]].depth;
            let parts = low_peak > way.depth * (1.0 + MARGIN);
            if parts && way.looked == 1 {
                way.looked = 2;
                let bent = Bent::between(solid, lattice, way.ends).lowest().0;
                if bent > way.depth {
                    way.depth = bent;
                    heap.push(way);
                    continue;
                }
            }
            if !parts {
                up[roots[low]] = Some(way.ends[1 - low]);
            }
            parent[roots[low]] = roots[1 - low];
        }
        Self::gather(solid, lattice, &up)
    }

    fn gather(solid: &Solid, lattice: &Lattice, up: &[Option<usize>]) -> Self {
        let sites = &lattice.sites;
        let mut of_site: Vec<Option<usize>> = vec![None; sites.len()];
        let mut peaks: Vec<Bulk> = Vec::new();
        for site in 0..sites.len() {
            if sites[site].depth <= 0.0 {
                continue;
            }
            let mut chain = vec![site];
            let mut at = site;
            let bulk = loop {
                if let Some(bulk) = of_site[at] {
                    break bulk;
                }
                match up[at] {
                    Some(next) => {
                        at = next;
                        chain.push(at);
                    }
                    None => {
                        let (place, reach) = (sites[at].place, 2.0 * lattice.reach);
                        let (deepest, radius) =
                            climb(solid, &Around::all(solid, place), place, reach, None, 3);
                        peaks.push(Bulk {
                            volume: 0.0,
                            deepest,
                            radius,
                        });
                        break peaks.len() - 1;
                    }
                }
            };
            for link in chain {
                of_site[link] = Some(bulk);
            }
        }
        for (site, bulk) in sites.iter().zip(&of_site) {
            if let Some(bulk) = bulk {
                // A box the surface passes through holds wood by the share of its width.
                let share =
                    (0.5 + site.around.depth_here() / (1.2 * lattice.reach)).clamp(0.0, 1.0);
                peaks[*bulk].volume += share * lattice.volume;
            }
        }
        Self { peaks, of_site }
    }
}

/// For every site the deepest neighbour to which the straight way only rises; none at a peak.
/// In order of falling depth each site would join there first of all, so the tree is the same.
fn uphill(solid: &Solid, lattice: &Lattice) -> Vec<Option<usize>> {
    let sites = &lattice.sites;
    (0..sites.len())
        .into_par_iter()
        .map(|site| {
            let here = &sites[site];
            if here.depth <= 0.0 {
                return None;
            }
            let mut higher = [0; 26];
            let mut count = 0;
            for step in Lattice::directions() {
                for index in [here.index + step, here.index - step] {
                    if let Some(other) = lattice.at(index)
                        && deeper(sites, other, site)
                    {
                        higher[count] = other;
                        count += 1;
                    }
                }
            }
            // Nearly always the deepest is the one, so they are not sorted but picked.
            let mut higher = &mut higher[..count];
            while !higher.is_empty() {
                let mut top = 0;
                for k in 1..higher.len() {
                    if deeper(sites, higher[k], higher[top]) {
                        top = k;
                    }
                }
                if straight(solid, here, &sites[higher[top]]) >= here.depth {
                    return Some(higher[top]);
                }
                let last = higher.len() - 1;
                higher.swap(top, last);
                higher = &mut higher[..last];
            }
            None
        })
        .collect()
}

fn root(parent: &mut [usize], mut number: usize) -> usize {
    while parent[number] != number {
        parent[number] = parent[parent[number]];
        number = parent[number];
    }
    number
}

/// Whether the first site is the deeper, or as deep and earlier.
fn deeper(sites: &[Site], a: usize, b: usize) -> bool {
    sites[a].depth > sites[b].depth || (sites[a].depth == sites[b].depth && a < b)
}

/// All pairs of neighbouring sites in wood, each once.
pub(super) fn neighbours(lattice: &Lattice) -> impl Iterator<Item = [usize; 2]> {
    let sites = &lattice.sites;
    (0..sites.len())
        .filter(|&site| sites[site].depth > 0.0)
        .flat_map(move |site| {
            Lattice::directions().filter_map(move |step: IVec3| {
                let other = lattice.at(sites[site].index + step)?;
                (sites[other].depth > 0.0).then_some([site, other])
            })
        })
}

/// The least depth along the straight way between two places, from the faces near both,
/// sampled more closely the thinner the wood.
pub(super) fn straight(solid: &Solid, a: &Site, b: &Site) -> f64 {
    let depth = |p: DVec3| {
        let best = a.around.depth(solid, p);
        b.around.depth_below(solid, p, best).0
    };
    least(&depth, (a.place, a.depth), (b.place, b.depth), 3)
}

fn least(depth: &impl Fn(DVec3) -> f64, a: (DVec3, f64), b: (DVec3, f64), turns: u32) -> f64 {
    let ends = a.1.min(b.1);
    // Two balls of wood that overlap deeply leave no room for a dip that matters.
    if turns == 0 || 0.5 * (a.1 + b.1 - a.0.distance(b.0)) > 0.7 * ends {
        return ends;
    }
    let middle = a.0.midpoint(b.0);
    let middle = (middle, depth(middle));
    if middle.1 <= 0.0 {
        return middle.1;
    }
    least(depth, a, middle, turns - 1).min(least(depth, middle, b, turns - 1))
}

/// A way between two sites, bent at points in between to run as deep as it can.
pub(super) struct Bent {
    points: Vec<(DVec3, f64)>,
    /// Depth at the middle of each stretch.
    middles: Vec<f64>,
}

impl Bent {
    pub fn between(solid: &Solid, lattice: &Lattice, ends: [usize; 2]) -> Self {
        let [a, b] = ends.map(|site| &lattice.sites[site]);
        let middle = a.place.midpoint(b.place);
        let around = Around::all(solid, middle);
        let mut bent = Self {
            points: vec![(a.place, a.depth), (b.place, b.depth)],
            middles: vec![around.depth_here()],
        };
        for _ in 0..10 {
            let lowest = bent.lowest_stretch();
            let ends = [bent.points[lowest], bent.points[lowest + 1]];
            if bent.middles[lowest] >= ends[0].1.min(ends[1].1) {
                break;
            }
            let way = ends[1].0 - ends[0].0;
            let Some(across) = way.try_normalize() else {
                break;
            };
            let middle = ends[0].0.midpoint(ends[1].0);
            let reach = way.length().max(0.25 * lattice.reach);
            let mut raised = climb(solid, &around, middle, reach, Some(across), 2);
            if raised.1 < ends[0].1.min(ends[1].1) {
                // A long climb can stride over a narrow passage onto another slope.
                let near = climb(solid, &around, middle, 0.3 * reach, Some(across), 2);
                if near.1 > raised.1 {
                    raised = near;
                }
            }
            if raised.1 <= bent.middles[lowest] {
                break;
            }
            bent.points.insert(lowest + 1, raised);
            let depth = |end: DVec3| around.depth(solid, end.midpoint(raised.0)).0;
            bent.middles[lowest] = depth(ends[0].0);
            bent.middles.insert(lowest + 1, depth(ends[1].0));
        }
        bent
    }

    fn lowest_stretch(&self) -> usize {
        let mut lowest = 0;
        for (number, depth) in self.middles.iter().enumerate() {
            if *depth < self.middles[lowest] {
                lowest = number;
            }
        }
        lowest
    }

    /// The least depth along the way, where, and the direction of the way there.
    pub fn lowest(&self) -> (f64, DVec3) {
        let stretch = self.lowest_stretch();
        let middle = self.points[stretch].0.midpoint(self.points[stretch + 1].0);
        let mut lowest = (self.middles[stretch], middle);
        for point in &self.points {
            if point.1 < lowest.0 {
                lowest = (point.1, point.0);
            }
        }
        lowest
    }
}
