//! Walls and passages of a solid that differs a little from one that is known.
//!
//! The known solid is searched once on a lattice ([`Solid::webs`], [`Solid::necks`]); its
//! walls and passages keep the places where they were found. In a changed solid, whose
//! faces are the same ones moved and reshaped, each is brought to rest again from there by
//! Newton steps on the exact distances. That takes some microseconds for each, where the
//! search takes a tenth of a second; nothing is allocated once [`Changed`] has been used.
//!
//! **What it sees.** Where a distance changes by at most ε all over, a passage's radius
//! does so by at most ε, a wall by at most 2ε ([`Solid::depth`] is a minimum of
//! distances). Walls that vanish and passages that close have a thickness or radius
//! below 0, so cuts that run together and parts that come away are seen.
//!
//! **Not promised.** A wall or passage that the known solid does not have at all is not
//! found. One that cannot be brought to rest is counted in [`Changed::lost`]: then only the search
//! tells.

mod newton;
mod passages;
mod walls;

use crate::lattice::Lattice;
use crate::necks::{Bulk, MARGIN};
use crate::needed::Needed;
use crate::solid::Solid;
use crate::webs::Web;
use passages::KnownPassage;
pub use passages::Passage;
use walls::KnownWall;
pub use walls::Wall;

/// What is known of a solid, to follow in solids like it.
#[derive(Debug, Clone)]
pub struct Known {
    faces: usize,
    walls: Vec<KnownWall>,
    peaks: Vec<Bulk>,
    passages: Vec<KnownPassage>,
    /// Walls that did not come to rest again even in the known solid.
    left_out: usize,
}

/// Walls and passages of a changed solid. Used again, it allocates nothing.
#[derive(Debug, Clone, Default)]
pub struct Changed {
    /// The walls, in the order of the known ones; none where one was lost.
    pub walls: Vec<Option<Wall>>,
    /// The passages, in the order of the known ones; none where one was lost.
    pub passages: Vec<Option<Passage>>,
    parent: Vec<usize>,
    order: Vec<usize>,
}

impl Known {
    /// Searches a solid on a lattice of at most `spacing` mm.
    pub fn of(solid: &Solid, spacing: f64) -> Self {
        Self::of_webs(solid, spacing, |web| !web.meets || web.ends_at.is_none())
    }

    /// As [`Known::of`], with a choice of the webs that count.
    pub fn of_webs(solid: &Solid, spacing: f64, counts: impl Fn(&Web) -> bool) -> Self {
        let needed = Needed::of(solid);
        let lattice = Lattice::over(&needed.solid, spacing);
        let (webs, (peaks, passages)) = rayon::join(
            || crate::webs::webs_on(&needed, &lattice),
            || needed.solid.passages_on(&lattice),
        );
        let webs: Vec<Web> = webs.into_iter().filter(counts).collect();
        let walls: Vec<KnownWall> = (webs.iter())
            .filter_map(|web| KnownWall::of(solid, web))
            .collect();
        let mut passages: Vec<KnownPassage> = (passages.into_iter())
            .map(|passage| KnownPassage::of(solid, passage.bulks, passage.radius, passage.at))
            .collect();
        passages.sort_by(|a, b| a.radius.total_cmp(&b.radius));
        Self {
            faces: solid.faces().count(),
            left_out: webs.len() - walls.len(),
            walls,
            peaks,
            passages,
        }
    }

    /// The thickness of every wall, and the radius of every passage, least first, mm.
    pub fn sizes(&self) -> (Vec<f64>, Vec<f64>) {
        (
            self.walls.iter().map(|wall| wall.thickness).collect(),
            self.passages.iter().map(|passage| passage.radius).collect(),
        )
    }

    /// How many walls of the known solid cannot be followed.
    pub fn left_out(&self) -> usize {
        self.left_out
    }

    /// Follows all walls and passages into a solid with the same faces in the same order, moved
    /// and reshaped.
    ///
    /// # Panics
    /// If the solid has another number of faces: a broken invariant of the caller.
    pub fn follow(&self, solid: &Solid, into: &mut Changed) {
        assert_eq!(self.faces, solid.faces().count(), "the same faces, moved");
        into.walls.clear();
        into.walls
            .extend(self.walls.iter().map(|wall| wall.follow(solid)));
        into.passages.clear();
        into.passages
            .extend(self.passages.iter().map(|passage| passage.follow(solid)));
    }

    /// The radius of the least neck of the changed solid, as [`Solid::necks`] defines it: the least
    /// passage by which two bulks hang together, where each is larger than it by [`MARGIN`];
    /// none where there is none.
    pub fn least_neck(&self, solid: &Solid, changed: &mut Changed) -> Option<f64> {
        let (parent, order) = (&mut changed.parent, &mut changed.order);
        parent.clear();
        parent.extend(0..self.peaks.len());
        order.clear();
        order.extend((0..self.passages.len()).filter(|k| changed.passages[*k].is_some()));
        let radius =
            |k: usize| changed.passages[k].map_or(f64::NEG_INFINITY, |passage| passage.radius);
        order.sort_unstable_by(|a, b| radius(*b).total_cmp(&radius(*a)).then(a.cmp(b)));
        let mut least = None;
        for k in order.iter().copied().filter(|k| radius(*k) > 0.0) {
            let sides = self.passages[k].bulks.map(|bulk| root(parent, bulk));
            if sides[0] == sides[1] {
                continue;
            }
            let depth = sides.map(|side| {
                solid
                    .depth(self.peaks[side].deepest)
                    .min(self.peaks[side].radius)
            });
            if depth[0].min(depth[1]) > radius(k) * (1.0 + MARGIN) {
                least = Some(radius(k));
            }
            let deeper = usize::from(depth[1] > depth[0]);
            parent[sides[1 - deeper]] = sides[deeper];
        }
        least
    }

    /// How many parts the wood of the changed solid is in, as far as known bulks tell.
    pub fn parts(&self, solid: &Solid, changed: &mut Changed) -> usize {
        let parent = &mut changed.parent;
        parent.clear();
        parent.extend(0..self.peaks.len());
        for (known, passage) in self.passages.iter().zip(&changed.passages) {
            // What was lost is taken to hold; the caller is told that it was lost.
            if passage.is_none_or(|passage| passage.radius > 0.0) {
                let [a, b] = known.bulks.map(|bulk| root(parent, bulk));
                parent[a.max(b)] = a.min(b);
            }
        }
        (0..self.peaks.len())
            .filter(|bulk| parent[*bulk] == *bulk && solid.depth(self.peaks[*bulk].deepest) > 0.0)
            .count()
    }
}

fn root(parent: &[usize], mut number: usize) -> usize {
    while parent[number] != number {
        number = parent[number];
    }
    number
}

impl Changed {
    /// How many walls and passages were lost.
    pub fn lost(&self) -> usize {
        self.walls.iter().filter(|wall| wall.is_none()).count()
            + self
                .passages
                .iter()
                .filter(|passage| passage.is_none())
                .count()
    }

    /// The thinnest wall that stands, or that cuts have run through.
    pub fn least_wall(&self) -> Option<Wall> {
        (self.walls.iter().flatten().copied())
            .filter(|wall| wall.stands || wall.thickness <= 0.0)
            .min_by(|a, b| a.thickness.total_cmp(&b.thickness))
    }

    /// The narrowest passage, whether or not the wood also hangs together another way round.
    pub fn least_passage(&self) -> Option<Passage> {
        (self.passages.iter().flatten().copied()).min_by(|a, b| a.radius.total_cmp(&b.radius))
    }
}
