//! Connected parts of the wood: what holds together and what falls off.
//!
//! Boxes of an octree that are wholly wood and touch are surely joined. From a box that
//! the surface passes through, a walk inwards of balls that overlap, each as large as the
//! depth allows, joins it to the wood it belongs to. Where two parts come near each other
//! through boxes not settled, those boxes are halved until the parts are joined, apart,
//! or the wood between them can only be thinner than a given bridge; then they count as
//! two pieces and the answer says that this is in doubt.
//!
//! A part that holds no ball of a given radius is a crumb, not a piece. To miss none
//! larger, boxes where the depth may have a summit are halved to that size.

use std::collections::VecDeque;

use glam::DVec3;
use rayon::prelude::*;

use crate::leaves::Leaves;
use crate::moments::{Accuracy, Moments};
use crate::solid::{Bounds, Solid};
use crate::tally::tally;

/// How finely pieces are told apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fineness {
    /// Wood between two parts that is thinner than this may be taken for none, mm.
    pub bridge: f64,
    /// A part without a ball of this radius is a crumb, mm.
    pub crumb: f64,
}

impl Default for Fineness {
    /// A bridge of 0.05 mm holds nothing; a part of less than a millimetre is swept away.
    fn default() -> Self {
        Self {
            bridge: 0.05,
            crumb: 0.5,
        }
    }
}

/// The connected parts of the wood.
#[derive(Debug, Clone, PartialEq)]
pub struct Pieces {
    /// The pieces, the largest first.
    pub pieces: Vec<Piece>,
    /// Parts found that hold no ball of the crumb's radius.
    pub crumbs: usize,
    /// Their volume together is at most this, mm³.
    pub crumb_volume: f64,
    /// Where it is in doubt that two of the pieces are apart, and how thin the wood there is.
    pub doubtful: Vec<Bridge>,
    /// Whether the number of pieces is certain.
    pub certain: bool,
}

/// One piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Volume, centre of mass and the rest. Where a doubtful bridge touches the piece, its
    /// errors leave out what may belong to the other side of the bridge.
    pub moments: Moments,
    /// A point deep inside, mm.
    pub point: DVec3,
    /// Depth there, mm.
    pub depth: f64,
    /// A box around it, no tighter than the boxes it was found with, mm.
    pub bounds: Bounds,
}

/// A place where wood may or may not join two pieces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bridge {
    /// About here, mm.
    pub at: DVec3,
    /// No ball wider than this passes, mm.
    pub width: f64,
}

/// Where a climb inwards from a box's centre came to.
struct Climb {
    /// The largest ball of wood on the way; radius 0 where the centre is air.
    ball: (DVec3, f64),
    /// The wooden box at its end.
    wood: Option<usize>,
}

/// Wood less deep than this is left to finer boxes, mm.
const SHALLOW: f64 = 1e-6;

/// Boxes at most; a film of wood thinner than the bridge over a whole surface would ask for more.
const MOST_LEAVES: usize = 600_000;

/// No label yet.
const NONE: usize = usize::MAX;

/// The connected parts of a solid's wood, with volumes to the accuracy asked for (as a share of
/// all the wood).
pub fn pieces(solid: &Solid, fineness: Fineness, accuracy: Accuracy) -> Pieces {
    let size = solid.bounds().size();
    let mut search = Search {
        solid,
        leaves: Leaves::new(
            solid,
            size.min_element().max(size.max_element() / 4.0) / 24.0,
        ),
        fineness,
        balls: Vec::new(),
        label: Vec::new(),
        from: Vec::new(),
        small: Vec::new(),
        pairs: Vec::new(),
    };
    let (doubtful, complete) = search.refine();
    search.answer(doubtful, complete, accuracy)
}

struct Search<'a> {
    solid: &'a Solid,
    leaves: Leaves,
    fineness: Fineness,
    /// For each leaf a ball of wood joined to the wood at its centre; radius 0 where that is air.
    balls: Vec<(DVec3, f64)>,
    /// For each leaf the leaf that names its part, or none.
    label: Vec<usize>,
    /// For each leaf the one its label was handed on from, or none.
    from: Vec<usize>,
    /// Leaves with wood too thin to name a part, and what they are joined to.
    small: Vec<(usize, usize)>,
    /// Leaves that share a side.
    pairs: Vec<(usize, usize)>,
}

impl Search<'_> {
    /// Halves boxes until every doubt is settled or too small; gives the doubts left and
    /// whether none was given up for want of boxes.
    fn refine(&mut self) -> (Vec<Bridge>, bool) {
        loop {
            self.join();
            let (mut marked, doubtful) = self.between();
            self.summits(&mut marked);
            if !marked.contains(&true) {
                return (doubtful, true);
            }
            let count = marked.iter().filter(|marked| **marked).count();
            if self.leaves.all.len() + 7 * count > MOST_LEAVES {
                return (doubtful, false);
            }
            self.leaves.split(self.solid, &marked);
        }
    }

    /// Joins what is surely joined, then hands the labels on to boxes that hold at most thin wood.
    fn join(&mut self) {
        let count = self.leaves.all.len();
        self.pairs = self.leaves.pairs();
        let climbs: Vec<Climb> = (0..count)
            .into_par_iter()
            .with_min_len(64)
            .map(|number| self.climb(number))
            .collect();
        self.balls = climbs.iter().map(|climb| climb.ball).collect();
        let mut union = Union::new(count);
        for (number, climb) in climbs.iter().enumerate() {
            if let Some(wood) = climb.wood {
                union.join(number, wood);
            }
        }
        for (a, b) in &self.pairs {
            if self.touching(*a, *b) {
                union.join(*a, *b);
            }
        }
        let mut largest = vec![0.0_f64; count];
        for number in 0..count {
            let name = union.find(number);
            largest[name] = largest[name].max(self.balls[number].1);
        }
        // Only what may hold a ball larger than a crumb names a part. The half leaves room
        // for climbs that end short of the summit.
        let enough = 0.5 * self.fineness.crumb;
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

    /// Walks inwards from a box's centre through overlapping balls, to a wooden box if it
    /// comes to one.
    fn climb(&self, number: usize) -> Climb {
        let leaf = &self.leaves.all[number];
        let mut climb = Climb {
            ball: (leaf.cell.centre, leaf.depth.max(0.0)),
            wood: None,
        };
        if leaf.depth <= SHALLOW {
            climb.ball.1 = 0.0;
            return climb;
        }
        let mut at = number;
        let mut point = leaf.cell.centre;
        let mut before = 0.0;
        for step in 1..=256 {
            let leaf = &self.leaves.all[at];
            if leaf.wood {
                climb.wood = Some(at);
                return climb;
            }
            let depth = leaf
                .faces
                .iter()
                .map(|face| self.solid.depth_to(*face, point))
                .fold(f64::INFINITY, f64::min);
            if depth <= SHALLOW {
                return climb;
            }
            if depth > climb.ball.1 {
                climb.ball = (point, depth);
            }
            // In a feather the way gains slowly, on a summit it does not gain.
            if step % 8 == 0 {
                if climb.ball.1 < 1.02 * before {
                    return climb;
                }
                before = climb.ball.1;
            }
            // Away from all faces that are near, to go along the middle of a feather; inside
            // the ball of wood about the point, so that every step is joined to the last.
            let away: DVec3 = leaf
                .faces
                .iter()
                .map(|face| self.solid.touch(*face, point))
                .filter(|touch| touch.depth < 2.0 * depth)
                .map(|touch| touch.inward * (2.0 - touch.depth / depth))
                .sum();
            point += 0.9 * depth * away.normalize_or_zero();
            match self.leaves.at(point) {
                Some(found) => at = found,
                None => return climb,
            }
        }
        climb
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
        let into = |ball: (DVec3, f64), cell: &crate::octree::Cell| {
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

    /// Boxes to halve because two parts come near each other in them, and the doubts that
    /// are too small for that.
    fn between(&self) -> (Vec<bool>, Vec<Bridge>) {
        let all = &self.leaves.all;
        let mut marked = vec![false; all.len()];
        // The widest doubt between each two parts.
        let mut doubts: Vec<((usize, usize), Bridge)> = Vec::new();
        for (number, other) in self.pairs.iter().copied() {
            let (a, b) = (self.label[number], self.label[other]);
            if a == b || a == NONE || b == NONE {
                continue;
            }
            // The way from one part to the other: through boxes whose centre is air, handed
            // on from box to box, between two that surely have wood.
            let way = || {
                self.back(number)
                    .chain(self.back(other))
                    .filter(|n| !all[*n].wood)
            };
            let Some(largest) = way().map(|n| all[n].cell.level).min() else {
                continue;
            };
            let mut small = true;
            for n in way() {
                let wide = 2.0 * all[n].cell.half_diagonal() > self.fineness.bridge;
                if wide && all[n].cell.level == largest {
                    marked[n] = true;
                    small = false;
                }
            }
            if small {
                // What passes from part to part passes through every box of the way.
                let most = way().map(|n| self.most(n)).fold(f64::INFINITY, f64::min);
                let n = if all[number].wood { other } else { number };
                let bridge = Bridge {
                    at: all[n].cell.centre,
                    width: 2.0 * most,
                };
                let pair = (a.min(b), a.max(b));
                match doubts.iter_mut().find(|doubt| doubt.0 == pair) {
                    Some(doubt) if doubt.1.width < bridge.width => doubt.1 = bridge,
                    Some(_) => {}
                    None => doubts.push((pair, bridge)),
                }
            }
        }
        // Boxes that touch no wood may hold a speck of it.
        for (number, marked) in marked.iter_mut().enumerate() {
            let wide = 2.0 * self.most(number) > self.fineness.bridge;
            *marked |= self.label[number] == NONE && wide;
        }
        (marked, doubts.into_iter().map(|doubt| doubt.1).collect())
    }

    /// A box and those its label was handed on from, up to the last whose centre is air.
    fn back(&self, number: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(Some(number), |n| {
            let from = self.from[*n];
            (from != NONE && self.from[from] != NONE).then_some(from)
        })
    }

    /// The depth is nowhere in the box more than this.
    fn most(&self, number: usize) -> f64 {
        let leaf = &self.leaves.all[number];
        leaf.depth + leaf.cell.half_diagonal()
    }

    /// Marks boxes that may hold the middle of a part of their own.
    fn summits(&self, marked: &mut [bool]) {
        for (leaf, marked) in self.leaves.all.iter().zip(marked) {
            let reach = leaf.cell.half_diagonal();
            let radius = self.fineness.crumb;
            // A ball of that radius about any point of the box would overlap the one about
            // its centre, or cannot be.
            if leaf.wood || reach < leaf.depth.max(0.0) + radius || leaf.depth + reach < radius {
                continue;
            }
            // One smooth face alone has no summit.
            let smooth = match leaf.faces[..] {
                [face] => self.solid.bend(face, leaf.cell.centre, reach).is_some(),
                _ => false,
            };
            *marked |= !smooth;
        }
    }

    fn answer(self, doubtful: Vec<Bridge>, complete: bool, accuracy: Accuracy) -> Pieces {
        struct Part {
            name: usize,
            ball: (DVec3, f64),
            bounds: Bounds,
        }
        let mut parts: Vec<Part> = Vec::new();
        let mut part_of = vec![NONE; self.leaves.all.len()];
        for (number, leaf) in self.leaves.all.iter().enumerate() {
            let name = self.label[number];
            if name == NONE {
                continue;
            }
            if part_of[name] == NONE {
                part_of[name] = parts.len();
                parts.push(Part {
                    name,
                    ball: self.balls[number],
                    bounds: leaf.cell.bounds(),
                });
            }
            let part = &mut parts[part_of[name]];
            let bounds = leaf.cell.bounds();
            part.bounds.low = part.bounds.low.min(bounds.low);
            part.bounds.high = part.bounds.high.max(bounds.high);
            let ball = self.balls[number];
            if ball.1 > part.ball.1 {
                part.ball = ball;
            }
        }
        // Thin wood that touches no part.
        let mut specks: Vec<usize> = self
            .small
            .iter()
            .filter(|(number, _)| self.label[*number] == NONE)
            .map(|(_, name)| *name)
            .collect();
        specks.sort_unstable();
        specks.dedup();
        let (large, small): (Vec<Part>, Vec<Part>) = parts
            .into_iter()
            .partition(|part| part.ball.1 >= self.fineness.crumb);
        // Crumbs and boxes of no part share the last place.
        let mut place = vec![large.len(); self.leaves.all.len()];
        for (number, part) in large.iter().enumerate() {
            place[part.name] = number;
        }
        let label = |point: DVec3, normal: DVec3| {
            // The centroid of what is seen may lie a little off the surface where that bends.
            [1e-7, 1e-3, 1e-2, 1e-1]
                .into_iter()
                .find_map(|inwards| self.leaves.at(point - normal * inwards))
                .map(|leaf| self.label[leaf])
                .filter(|name| *name != NONE)
                .map_or(large.len(), |name| place[name])
        };
        let centre = self.solid.bounds().centre();
        let tallies = tally(
            self.solid,
            centre,
            accuracy.relative,
            large.len() + 1,
            &label,
        );
        let crumbs = &tallies[large.len()];
        let mut pieces: Vec<Piece> = large
            .iter()
            .zip(&tallies)
            .map(|(part, tally)| Piece {
                moments: Moments::from_tally(self.solid, tally, accuracy.relative),
                point: part.ball.0,
                depth: part.ball.1,
                bounds: part.bounds,
            })
            .collect();
        pieces.sort_by(|a, b| b.moments.volume.total_cmp(&a.moments.volume));
        Pieces {
            pieces,
            crumbs: small.len() + specks.len(),
            crumb_volume: (crumbs.sums.volume + crumbs.doubt.volume).max(0.0),
            certain: complete && doubtful.is_empty(),
            doubtful,
        }
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
