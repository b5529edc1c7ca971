//! The boxes of an octree that may hold wood, found by place.
//!
//! Each leaf keeps the faces that can be nearest in it, and its depth at the centre.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use glam::DVec3;
use rayon::prelude::*;

use crate::octree::{Cell, Keep, Node, State, Step, walk, walk_below};
use crate::solid::{Face, Solid};

/// A box that is wood or may hold some.
#[derive(Debug, Clone)]
pub(crate) struct Leaf {
    pub cell: Cell,
    pub wood: bool,
    /// Depth at the centre, mm.
    pub depth: f64,
    /// The faces that give the exact depth everywhere in it.
    pub faces: Vec<Face>,
}

/// All such boxes, with an index by place.
pub(crate) struct Leaves {
    pub all: Vec<Leaf>,
    index: HashMap<u64, usize, BuildHasherDefault<Mixer>>,
    low: DVec3,
    root: DVec3,
    coarsest: u32,
    finest: u32,
}

/// A quick hash for places; the order of the map is never used.
#[derive(Default)]
pub(crate) struct Mixer(u64);

impl Hasher for Mixer {
    fn finish(&self) -> u64 {
        self.0
    }
    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u64(u64::from(*byte));
        }
    }
    fn write_u64(&mut self, number: u64) {
        // Odd, near 2⁶⁴ over the golden ratio: spreads neighbours far apart.
        let spread = (self.0 ^ number).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = spread ^ (spread >> 32);
    }
}

/// Level and place in one number; 18 bits a side tell 0.004 mm in a metre apart.
fn key(level: u32, place: [i32; 3]) -> u64 {
    let [x, y, z] = place.map(|x| u64::from(x as u32 & 0x3_ffff));
    u64::from(level) << 54 | x << 36 | y << 18 | z
}

fn look(node: &Node<'_>) -> Leaf {
    Leaf {
        cell: node.cell,
        wood: node.state == State::Wood,
        depth: node.depth,
        faces: node.near.iter().map(|near| near.face).collect(),
    }
}

impl Leaves {
    /// Boxes halved until settled, or no longer than `edge` mm and `enough` says so.
    pub(crate) fn new(solid: &Solid, edge: f64, enough: impl Fn(&Node<'_>) -> bool + Sync) -> Self {
        let all = walk(solid, Keep::Depth, |node| match node.state {
            State::Air => Step::Drop,
            State::Wood => Step::Leaf(look(node)),
            State::Open if 2.0 * node.cell.half.max_element() <= edge && enough(node) => {
                Step::Leaf(look(node))
            }
            State::Open => Step::Split,
        });
        let roots = crate::octree::roots(&solid.bounds());
        let (low, root) = roots.first().map_or((DVec3::ZERO, DVec3::ONE), |cell| {
            (cell.centre - cell.half, 2.0 * cell.half)
        });
        let mut leaves = Self {
            all,
            index: HashMap::default(),
            low,
            root,
            coarsest: 0,
            finest: 0,
        };
        leaves.number();
        leaves
    }

    /// Replaces the marked leaves by their halves along all axes, halved on until `enough`;
    /// air is left out.
    pub(crate) fn split(
        &mut self,
        solid: &Solid,
        marked: &[bool],
        enough: impl Fn(&Node<'_>) -> bool + Sync,
    ) {
        let starts: Vec<(Cell, &[Face])> = self
            .all
            .iter()
            .zip(marked)
            .filter(|(_, marked)| **marked)
            .flat_map(|(leaf, _)| (0..8).map(|k| (leaf.cell.child(k), leaf.faces.as_slice())))
            .collect();
        let new = walk_below(solid, Keep::Depth, &starts, |node| match node.state {
            State::Air => Step::Drop,
            State::Open if !enough(node) => Step::Split,
            State::Open | State::Wood => Step::Leaf(look(node)),
        });
        let mut number = 0;
        self.all.retain(|_| {
            number += 1;
            !marked[number - 1]
        });
        self.all.extend(new);
        self.number();
    }

    fn number(&mut self) {
        self.finest = self.all.iter().map(|l| l.cell.level).max().unwrap_or(0);
        self.coarsest = self.all.iter().map(|l| l.cell.level).min().unwrap_or(0);
        self.index.clear();
        for (number, leaf) in self.all.iter().enumerate() {
            let place = self.place(leaf.cell.centre, leaf.cell.level);
            self.index.insert(key(leaf.cell.level, place), number);
        }
    }

    /// Place of a point among the boxes of a level.
    fn place(&self, p: DVec3, level: u32) -> [i32; 3] {
        let at = (p - self.low) / self.root * f64::from(1_u32 << level);
        [at.x, at.y, at.z].map(|x| x.floor() as i32)
    }

    /// The leaf that holds a point, or none in air.
    pub(crate) fn at(&self, p: DVec3) -> Option<usize> {
        self.holder(self.place(p, self.finest), self.finest)
            .map(|found| found.0)
    }

    /// Every two leaves that share a side. Wood that passes from one box to another passes
    /// through sides: where it is open it can be led round edges and corners.
    pub(crate) fn pairs(&self) -> Vec<(usize, usize)> {
        let of = |number: usize| {
            let cell = self.all[number].cell;
            let here = self.place(cell.centre, cell.level);
            (0..6).filter_map(move |side| {
                let mut place = here;
                place[side / 2] += if side % 2 == 0 { -1 } else { 1 };
                let (found, level) = self.holder(place, cell.level)?;
                // Of two as large the first names the pair.
                (level < cell.level || number < found).then_some((number, found))
            })
        };
        let lists: Vec<Vec<(usize, usize)>> = (0..self.all.len())
            .into_par_iter()
            .with_min_len(256)
            .fold(Vec::new, |mut list, number| {
                list.extend(of(number));
                list
            })
            .collect();
        lists.into_iter().flatten().collect()
    }

    /// The leaf at or above a place of a level, and its level.
    fn holder(&self, mut place: [i32; 3], mut level: u32) -> Option<(usize, u32)> {
        while level >= self.coarsest {
            if let Some(number) = self.index.get(&key(level, place)) {
                return Some((*number, level));
            }
            level = level.checked_sub(1)?;
            place = place.map(|x| x >> 1);
        }
        None
    }
}
