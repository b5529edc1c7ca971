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

mod foot;
mod passages;
mod walls;

use glam::DVec3;

use crate::lattice::Lattice;
use crate::necks::{Bulk, MARGIN};
use crate::needed::Needed;
use crate::solid::Solid;
use crate::webs::Web;
use passages::KnownPassage;
pub use passages::Passage;
use walls::KnownWall;
pub use walls::Wall;

/// A bulk of less than this share of the wood is a sliver on a ridge, and the way into it no neck.
const SLIVER: f64 = 0.005;

/// What is known of a solid, to follow in solids like it.
#[derive(Debug, Clone)]
pub struct Known {
    faces: usize,
    walls: Vec<KnownWall>,
    peaks: Vec<Bulk>,
    passages: Vec<KnownPassage>,
    /// The first wall, and passage, that each one is the image of; itself where every one counts.
    wall_like: Vec<usize>,
    passage_like: Vec<usize>,
    /// Whether each passage is a neck.
    neck: Vec<bool>,
    /// Walls and necks that did not come to rest again even in the known solid.
    left_out: usize,
}

/// Walls and passages of a changed solid. Used again, it allocates nothing.
#[derive(Debug, Clone, Default)]
pub struct Changed {
    /// The walls, in the order of the known ones; none where one was lost.
    pub walls: Vec<Option<Wall>>,
    /// The passages, in the order of the known ones; none where one was lost.
    pub passages: Vec<Option<Passage>>,
    /// Which of them were necks of the known solid: no loops beside wider ways, nor ways into slivers.
    pub necks: Vec<bool>,
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
        let necks = crate::necks::tree(&peaks, &passages);
        let is_neck = |number: usize| {
            (necks.iter()).any(|(neck, bulks)| {
                *neck == number && bulks[0].volume > SLIVER * (bulks[0].volume + bulks[1].volume)
            })
        };
        let mut passages: Vec<KnownPassage> = (passages.iter().enumerate())
            .map(|(number, each)| KnownPassage::of(solid, each, is_neck(number)))
            .collect();
        passages.sort_by(|a, b| a.radius.total_cmp(&b.radius));
        Self {
            faces: solid.faces().count(),
            left_out: webs.len() - walls.len()
                + (passages.iter().filter(|each| each.neck && !each.rests)).count(),
            wall_like: (0..walls.len()).collect(),
            passage_like: (0..passages.len()).collect(),
            neck: passages
                .iter()
                .map(|each| each.neck && each.rests)
                .collect(),
            walls,
            peaks,
            passages,
        }
    }

    /// For solids that keep the known one's symmetry about the z axis and the plane square to it: of
    /// walls and passages that are images of each other one is followed, and the rest come out like it.
    #[must_use]
    pub fn symmetric(mut self) -> Self {
        let alike = |a: (f64, DVec3), b: (f64, DVec3)| {
            let off = [
                a.0 - b.0,
                a.1.z.abs() - b.1.z.abs(),
                a.1.truncate().length() - b.1.truncate().length(),
            ];
            off.iter().all(|off| off.abs() < 1e-5)
        };
        let first = |list: &[(f64, DVec3)]| -> Vec<usize> {
            (list.iter())
                .map(|own| {
                    list.iter()
                        .position(|other| alike(*other, *own))
                        .unwrap_or(0)
                })
                .collect()
        };
        let walls: Vec<_> = (self.walls.iter())
            .map(|wall| (wall.thickness, wall.at))
            .collect();
        let passages: Vec<_> = (self.passages.iter())
            .map(|each| (each.radius, each.at))
            .collect();
        self.wall_like = first(&walls);
        self.passage_like = first(&passages);
        self
    }

    /// The thickness of every wall, and the radius of every passage, least first, mm.
    pub fn sizes(&self) -> (Vec<f64>, Vec<f64>) {
        (
            self.walls.iter().map(|wall| wall.thickness).collect(),
            self.passages.iter().map(|passage| passage.radius).collect(),
        )
    }

    /// How many walls and necks of the known solid cannot be followed.
    pub fn left_out(&self) -> usize {
        self.left_out
    }

    /// Follows all walls and passages into a solid with the same faces in the same order, moved
    /// and reshaped.
    ///
    /// # Panics
    /// If the solid has another number of faces: a broken invariant of the caller.
    pub fn follow(&self, solid: &Solid, into: &mut Changed) {
        self.follow_least(solid, f64::INFINITY, into);
    }

    /// As [`Known::follow`], where no face has moved by more than `sway` mm within the wood. Passages that
    /// cannot be the least then, nor closed, are left out, the widest ones last in the list.
    ///
    /// # Panics
    /// As [`Known::follow`].
    pub fn follow_least(&self, solid: &Solid, sway: f64, into: &mut Changed) {
        assert_eq!(self.faces, solid.faces().count(), "the same faces, moved");
        into.walls.clear();
        for (k, wall) in self.walls.iter().enumerate() {
            let like = self.wall_like[k];
            let wall = if like < k {
                into.walls[like]
            } else {
                wall.follow(solid)
            };
            into.walls.push(wall);
        }
        into.necks.clone_from(&self.neck);
        into.passages.clear();
        let mut least = f64::INFINITY;
        for (k, passage) in self.passages.iter().enumerate() {
            // They are in order of their radius, which changes by no more than the sway.
            if passage.radius - sway > least.max(0.0) {
                break;
            }
            let like = self.passage_like[k];
            let passage = if like < k {
                into.passages[like]
            } else {
                passage.follow(solid)
            };
            if let (Some(passage), true) = (passage, self.neck[k]) {
                least = least.min(passage.radius);
            }
            into.passages.push(passage);
        }
    }

    /// The radius of the least neck of the changed solid, as [`Solid::necks`] defines it: the least
    /// passage by which two bulks hang together, where each is larger than it by [`MARGIN`];
    /// none where there is none.
    pub fn least_neck(&self, solid: &Solid, changed: &mut Changed) -> Option<f64> {
        let (parent, order) = (&mut changed.parent, &mut changed.order);
        parent.clear();
        parent.extend(0..self.peaks.len());
        order.clear();
        order.extend((0..changed.passages.len()).filter(|k| changed.passages[*k].is_some()));
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
        let followed = changed.passages.iter().copied().map(Some);
        for (known, passage) in self
            .passages
            .iter()
            .zip(followed.chain(std::iter::repeat(None)))
        {
            let passage = passage.flatten();
            // What was left out is open; what was lost is taken to hold; the caller is told that it was lost.
            if passage.is_none_or(|passage| passage.radius > 0.0) {
                let [a, b] = known.bulks.map(|bulk| root(parent, bulk));
                parent[a.max(b)] = a.min(b);
            }
        }
        let whole: f64 = self.peaks.iter().map(|peak| peak.volume).sum();
        (0..self.peaks.len())
            .filter(|part| parent[*part] == *part)
            .filter(|part| {
                // A part is what has wood left and is no sliver.
                let left: f64 = (self.peaks.iter().enumerate())
                    .filter(|(bulk, peak)| {
                        root(parent, *bulk) == *part && solid.depth(peak.deepest) > 0.0
                    })
                    .map(|(_, peak)| peak.volume)
                    .sum();
                left > SLIVER * whole
            })
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
    /// How many walls and necks were lost.
    pub fn lost(&self) -> usize {
        self.walls.iter().filter(|wall| wall.is_none()).count()
            + (self.passages.iter().zip(&self.necks))
                .filter(|(passage, neck)| passage.is_none() && **neck)
                .count()
    }

    /// The thinnest wall that stands, or that cuts have run through.
    pub fn least_wall(&self) -> Option<Wall> {
        (self.walls.iter().flatten().copied())
            .filter(|wall| wall.stands || wall.thickness <= 0.0)
            .min_by(|a, b| a.thickness.total_cmp(&b.thickness))
    }

    /// The narrowest of the passages that were necks of the known solid, whether or not the wood also
    /// hangs together another way round.
    pub fn least_passage(&self) -> Option<Passage> {
        (self.passages.iter().zip(&self.necks))
            .filter_map(|(passage, neck)| passage.filter(|_| *neck))
            .min_by(|a, b| a.radius.total_cmp(&b.radius))
    }
}
