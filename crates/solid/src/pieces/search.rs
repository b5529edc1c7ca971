//! The search for connected parts: boxes joined, labelled and halved, round by round.

use std::collections::VecDeque;

use glam::DVec3;
use rayon::prelude::*;

use super::climb::Climb;
use super::doubts::settled;
use super::{Bridge, Fineness};
use crate::leaves::Leaves;
use crate::octree::Cell;
use crate::solid::Solid;

/// Boxes at most; a film of wood thinner than the bridge over a whole surface would ask for more.
const MOST_LEAVES: usize = 600_000;

/// Boxes across the solid to begin with.
const ACROSS: f64 = 12.0;

/// No label yet.
pub(super) const NONE: usize = usize::MAX;

pub(super) struct Search<'a> {
    pub solid: &'a Solid,
    pub leaves: Leaves,
    pub fineness: Fineness,
    /// For each leaf the climb from its centre, once known.
    climbs: Vec<Option<Climb>>,
    /// For each leaf a ball of wood joined to the wood at its centre; radius 0 where that is air.
    pub balls: Vec<(DVec3, f64)>,
    /// For each leaf the leaf that names its part, or none.
    pub label: Vec<usize>,
    /// For each leaf the one its label was handed on from, or none.
    pub from: Vec<usize>,
    /// Leaves with wood too thin to name a part, and what they are joined to.
    pub small: Vec<(usize, usize)>,
    /// Leaves that share a side.
    pub pairs: Vec<(usize, usize)>,
}

impl<'a> Search<'a> {
    pub(super) fn new(solid: &'a Solid, fineness: Fineness) -> Self {
        let size = solid.bounds().size();
        let edge = size.min_element().max(size.max_element() / 4.0) / ACROSS;
        Self {
            solid,
            leaves: Leaves::new(solid, edge, |node| settled(solid, fineness.crumb, node)),
            fineness,
            climbs: Vec::new(),
            balls: Vec::new(),
            label: Vec::new(),
            from: Vec::new(),
            small: Vec::new(),
            pairs: Vec::new(),
        }
    }

    /// Halves boxes until every doubt is settled or too small; gives the doubts left and
    /// whether none was given up for want of boxes.
    pub(super) fn refine(&mut self) -> (Vec<Bridge>, bool) {
        loop {
            self.join();
            let (marked, doubtful) = self.between();
            if !marked.contains(&true) {
                return (doubtful, true);
            }
            let count = marked.iter().filter(|marked| **marked).count();
            if self.leaves.all.len() + 7 * count > MOST_LEAVES {
                return (doubtful, false);
            }
            let (solid, crumb) = (self.solid, self.fineness.crumb);
            self.leaves
                .split(solid, &marked, |node| settled(solid, crumb, node));
            // What is known of the boxes that stay; the new ones come last.
            let mut marks = marked.iter();
            self.climbs
                .retain(|_| !marks.next().is_some_and(|marked| *marked));
        }
    }

    /// Joins what is surely joined, then hands the labels on to boxes that hold at most thin wood.
    fn join(&mut self) {
        let count = self.leaves.all.len();
        self.pairs = self.leaves.pairs();
        // New boxes in later rounds stand where parts come near each other: all of them climb.
        let new = match self.climbs.len() {
            0 => count,
            kept => kept,
        };
        self.climbs.resize(count, None);
        self.balls = (0..count)
            .map(|number| {
                let leaf = &self.leaves.all[number];
                let centre = (leaf.cell.centre, leaf.depth.max(0.0));
                self.climbs[number].map_or(centre, |climb| climb.ball)
            })
            .collect();
        // Only what may hold a ball larger than a crumb names a part. The half leaves room
        // for climbs that end short of the summit.
        let enough = 0.5 * self.fineness.crumb;
        let mut union = Union::new(count);
        for (a, b) in &self.pairs {
            if self.touching(*a, *b) {
                union.join(*a, *b);
            }
        }
        // What is not yet joined to the deepest wood climbs.
        let deepest = (0..count).fold(0, |best, number| {
            if self.balls[number].1 > self.balls[best].1 {
                number
            } else {
                best
            }
        });
        let climbs: Vec<bool> = (0..count)
            .map(|number| {
                let joined = number < new && union.find(number) == union.find(deepest);
                let open = !self.leaves.all[number].wood && self.balls[number].1 > 0.0;
                open && !joined || self.climbs[number].is_some()
            })
            .collect();
        let (solid, leaves) = (self.solid, &self.leaves);
        let climbed: Vec<(usize, Climb, Option<usize>)> = (0..count)
            .into_par_iter()
            .with_min_len(256)
            .filter(|number| climbs[*number])
            .map(|number| {
                if let Some(climb) = self.climbs[number]
                    && let Ok(joins) = climb.joins(leaves)
                {
                    return (number, climb, joins);
                }
                let climb = Climb::from(solid, leaves, number);
                (number, climb, climb.joins(leaves).unwrap_or(None))
            })
            .collect();
        for (number, climb, joins) in climbed {
            self.climbs[number] = Some(climb);
            self.balls[number] = climb.ball;
            if let Some(other) = joins {
                union.join(number, other);
            }
        }
        for (a, b) in &self.pairs {
            if (climbs[*a] || climbs[*b]) && self.touching(*a, *b) {
                union.join(*a, *b);
            }
        }
        let largest = self.largest(&mut union);
        self.label = (0..count)
            .map(|number| union.find(number))
            .map(|name| if largest[name] >= enough { name } else { NONE })
            .collect();
        self.small = (0..count)
            .filter(|number| self.label[*number] == NONE && self.balls[*number].1 > 0.0)
            .map(|number| (number, union.find(number)))
            .collect();
        self.from = vec![NONE; count];
        // Other boxes go to the part they touch first, layer by layer.
        if !self.label.contains(&NONE) {
            return;
        }
        let mut near = vec![Vec::new(); count];
        for (a, b) in &self.pairs {
            if self.label[*a] == NONE || self.label[*b] == NONE {
                near[*a].push(*b);
                near[*b].push(*a);
            }
        }
        let mut queue: VecDeque<usize> = (0..count)
            .filter(|number| self.label[*number] != NONE)
            .collect();
        while let Some(number) = queue.pop_front() {
            for other in &near[number] {
                if self.label[*other] == NONE {
                    self.label[*other] = self.label[number];
                    self.from[*other] = number;
                    queue.push_back(*other);
                }
            }
        }
    }

    /// The largest ball known of each part, at the box that names it.
    fn largest(&self, union: &mut Union) -> Vec<f64> {
        let mut largest = vec![0.0_f64; self.balls.len()];
        for (number, ball) in self.balls.iter().enumerate() {
            let name = union.find(number);
            largest[name] = largest[name].max(ball.1);
        }
        largest
    }

    /// Whether two neighbours are surely joined where they meet.
    fn touching(&self, a: usize, b: usize) -> bool {
        let (first, second) = (&self.leaves.all[a], &self.leaves.all[b]);
        if first.wood && second.wood {
            return true;
        }
        let ((p, r), (q, s)) = (self.balls[a], self.balls[b]);
        if r == 0.0 || s == 0.0 {
            return false;
        }
        let centre = first.cell.centre.distance(second.cell.centre);
        let into = |ball: (DVec3, f64), cell: &Cell| {
            let nearest = ball
                .0
                .clamp(cell.centre - cell.half, cell.centre + cell.half);
            ball.0.distance(nearest) < ball.1
        };
        p.distance(q) < r + s
            || centre < first.depth + second.depth
            || (first.wood && into((q, s), &first.cell))
            || (second.wood && into((p, r), &second.cell))
    }
}

/// Union-find; the smaller number names the whole, so the order of joining does not matter.
struct Union(Vec<usize>);

impl Union {
    fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    fn find(&mut self, mut number: usize) -> usize {
        while self.0[number] != number {
            self.0[number] = self.0[self.0[number]];
            number = self.0[number];
        }
        number
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        self.0[a.max(b)] = a.min(b);
    }
}
