//! The necks of the wood: where it hangs together by least.
//!
//! Let water fall over the depth of the wood: bulks rise as islands, and where two
//! islands join stands a neck, the largest ball that passes from one bulk to the
//! other. Together they are the merge tree of the interior distance.
//!
//! Method. A lattice of boxes puts a place in the wood of each (`lattice`).
//! Places are joined in order of falling depth along the straight way between
//! neighbours; a way that would part two bulks is first bent to run as deep as it
//! can, so that ripples of the lattice give no necks. What is left are bulks and
//! the passages between them. Each passage is settled on the surfaces it runs
//! between: two or three feet, equally far, whose inward directions cancel, found
//! by Newton steps to 1e-9 mm; of a round waist three of its ring of feet are
//! taken. The tree is then built anew from the settled radii, equal ones at once,
//! so symmetrical necks all come out, in no matter which order they were met.
//!
//! A neck counts if the smaller bulk's deepest ball is larger than the neck's by
//! more than [`MARGIN`].
//!
//! **Not promised.** A bulk or passage wider across than a box's diagonal all along
//! is always seen. Below that it is seen where a box's centre happens to climb into
//! it, which it nearly always does, thin walls included; but a constriction shorter
//! than a quarter of a box can be overlooked. [`Neck::error`] bounds the radius of
//! a neck that was seen.

mod bulks;
mod critical;
mod passage;

use glam::DVec3;

pub(crate) use passage::Passage;

use crate::lattice::Lattice;
use crate::needed::Needed;
use crate::solid::Solid;

/// How much larger than the neck the smaller bulk's deepest ball must be, as a share. Below
/// this wood reads as one bar of even thickness: no saw cut would be seen to follow it.
pub const MARGIN: f64 = 0.02;

/// Radii nearer than this share are equal, and their necks are met at once.
const EQUAL: f64 = 1e-5;

/// One bulk of wood beside a neck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bulk {
    /// Estimate of its volume, mm³: boxes whose deepest way up leads into it.
    pub volume: f64,
    /// Where its largest ball sits.
    pub deepest: DVec3,
    /// Radius of that ball, mm; the true one is at least this.
    pub radius: f64,
}

/// The largest ball that passes between two bulks of wood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neck {
    /// Its radius, mm.
    pub radius: f64,
    /// The true radius lies within this of `radius`, mm, if the passage was seen at all: 1e-6
    /// where it was settled on its feet, about a box where it was not.
    pub error: f64,
    /// Where it sticks.
    pub at: DVec3,
    /// What it joins: the smaller bulk, then the larger.
    pub bulks: [Bulk; 2],
}

impl Solid {
    /// All necks, least first, sought on a lattice of at most `spacing` mm
    /// ([`Solid::default_spacing`] serves most pieces).
    pub fn necks(&self, spacing: f64) -> Vec<Neck> {
        let solid = Needed::of(self).solid;
        solid.necks_on(&Lattice::over(&solid, spacing))
    }

    /// The least neck, if there is one.
    pub fn least_neck(&self, spacing: f64) -> Option<Neck> {
        self.necks(spacing).into_iter().next()
    }

    /// The bulks, and all passages between them, loops too.
    pub(crate) fn passages_on(&self, lattice: &Lattice) -> (Vec<Bulk>, Vec<Passage>) {
        let bulks = bulks::Bulks::part(self, lattice);
        let passages = passage::settle(self, lattice, &bulks);
        (bulks.peaks, passages)
    }

    pub(crate) fn necks_on(&self, lattice: &Lattice) -> Vec<Neck> {
        let (peaks, passages) = self.passages_on(lattice);
        let mut necks: Vec<Neck> = tree(&peaks, &passages)
            .into_iter()
            .map(|(number, bulks)| Neck {
                radius: passages[number].radius,
                error: passages[number].error,
                at: passages[number].at,
                bulks,
            })
            .collect();
        necks.reverse();
        necks
    }
}

/// The passages that are necks, widest first, each with what it joins there: the smaller bulk, then
/// the larger.
pub(crate) fn tree(peaks: &[Bulk], passages: &[Passage]) -> Vec<(usize, [Bulk; 2])> {
    let mut order: Vec<usize> = (0..passages.len()).collect();
    // Widest first; equal ones keep the order of the boxes.
    order.sort_by(|a, b| passages[*b].radius.total_cmp(&passages[*a].radius));
    let mut islands = Islands::new(peaks);
    let mut necks = Vec::new();
    let mut begin = 0;
    while begin < order.len() {
        let widest = passages[order[begin]].radius;
        let end = begin
            + order[begin..]
                .iter()
                .take_while(|number| passages[**number].radius >= widest * (1.0 - EQUAL))
                .count();
        for number in &order[begin..end] {
            let passage = &passages[*number];
            let sides = passage.bulks.map(|bulk| islands.root(bulk));
            if sides[0] == sides[1] {
                continue;
            }
            let mut both = sides.map(|side| islands.bulks[side]);
            let smaller = both[0].radius.min(both[1].radius);
            if smaller <= passage.radius * (1.0 + MARGIN) {
                continue;
            }
            if both[0].volume > both[1].volume {
                both.swap(0, 1);
            }
            necks.push((*number, both));
        }
        for number in &order[begin..end] {
            islands.join(passages[*number].bulks);
        }
        begin = end;
    }
    necks
}

/// Bulks joined so far.
struct Islands {
    parent: Vec<usize>,
    bulks: Vec<Bulk>,
}

impl Islands {
    fn new(peaks: &[Bulk]) -> Self {
        Self {
            parent: (0..peaks.len()).collect(),
            bulks: peaks.to_vec(),
        }
    }

    fn root(&self, mut number: usize) -> usize {
        while self.parent[number] != number {
            number = self.parent[number];
        }
        number
    }

    fn join(&mut self, pair: [usize; 2]) {
        let [a, b] = pair.map(|number| self.root(number));
        if a == b {
            return;
        }
        let (high, low) = if self.bulks[a].radius >= self.bulks[b].radius {
            (a, b)
        } else {
            (b, a)
        };
        self.parent[low] = high;
        self.bulks[high].volume += self.bulks[low].volume;
    }
}
