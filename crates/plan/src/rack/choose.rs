//! What the rack has for a job.

use super::{Bit, BitKind, Centre, CentreKind, Gouge, Jaws, Rack, Speeds};

/// A ring of the index head and the step from hole to hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IndexChoice {
    /// Holes of the ring.
    pub holes: u32,
    /// Every how many holes the pin goes in.
    pub every: u32,
}

/// The ring whose holes come nearest to marks that none divides evenly.
#[derive(Debug, Clone, PartialEq)]
pub struct NearestHoles {
    /// Holes of the ring.
    pub holes: u32,
    /// The hole for each mark, from mark 1 at hole 0.
    pub at: Vec<u32>,
    /// The largest miss of a mark, as a share of a turn.
    pub error: f64,
}

/// A way to marks that no ring divides evenly, by turning the work against the ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Combined {
    /// Every other mark from one ring, the others after the work is turned half a hole.
    HalfHole {
        /// Holes of the ring.
        holes: u32,
        /// Every how many holes, for every other mark.
        every: u32,
    },
    /// From mark to mark forwards on one ring and back on another that turns with the work.
    TwoRings {
        /// Holes of the ring that goes forwards, and how many of them.
        forwards: [u32; 2],
        /// Holes of the ring that goes back, and how many of them.
        back: [u32; 2],
    },
}

impl Rack {
    /// A bit counts as one of a diameter within this, mm: a tenth of a
    /// millimetre is less than a bit in wood repeats itself to.
    pub const BIT_TOLERANCE: f64 = 0.05;

    /// The bit of a diameter, mm, within [`Rack::BIT_TOLERANCE`]; of several
    /// the one whose kind stands first in `kinds`.
    pub fn bit(&self, diameter: f64, kinds: &[BitKind]) -> Option<&Bit> {
        kinds.iter().find_map(|&kind| {
            self.bits
                .iter()
                .filter(|bit| bit.kind == kind)
                .filter(|bit| (bit.diameter - diameter).abs() <= Self::BIT_TOLERANCE)
                .max_by(|a, b| a.reach.total_cmp(&b.reach))
        })
    }

    /// Diameters of the bits of some kinds, ascending, each once, mm.
    pub fn bit_sizes(&self, kinds: &[BitKind]) -> Vec<f64> {
        let mut sizes: Vec<f64> = self
            .bits
            .iter()
            .filter(|bit| kinds.contains(&bit.kind))
            .map(|bit| bit.diameter)
            .collect();
        sizes.sort_by(f64::total_cmp);
        sizes.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
        sizes
    }

    /// Whether there is a bit of a diameter, mm, of one kind or of any.
    pub fn has_bit(&self, kind: Option<BitKind>, diameter: f64) -> bool {
        self.bits
            .iter()
            .filter(|bit| kind.is_none_or(|kind| bit.kind == kind))
            .any(|bit| (bit.diameter - diameter).abs() <= Self::BIT_TOLERANCE)
    }

    /// The bits to use where there is none of a diameter, mm: the largest that
    /// is not above it and the smallest that is not below it, the nearer one
    /// first; of equal ones that whose kind stands first in `kinds`. One bit
    /// where the diameter itself is there or only one side has any.
    pub fn nearest_bits(&self, diameter: f64, kinds: &[BitKind]) -> Vec<&Bit> {
        if let Some(bit) = self.bit(diameter, kinds) {
            return vec![bit];
        }
        let nearest = |wanted: &dyn Fn(f64) -> bool| {
            kinds
                .iter()
                .flat_map(|&kind| self.bits.iter().filter(move |bit| bit.kind == kind))
                .filter(|bit| wanted(bit.diameter))
                .min_by(|a, b| {
                    let away = |bit: &Bit| (bit.diameter - diameter).abs();
                    away(a).total_cmp(&away(b))
                })
        };
        let mut found: Vec<_> = [
            nearest(&|size| size < diameter),
            nearest(&|size| size > diameter),
        ]
        .into_iter()
        .flatten()
        .collect();
        found.sort_by(|a, b| {
            (a.diameter - diameter)
                .abs()
                .total_cmp(&(b.diameter - diameter).abs())
        });
        found
    }

    /// The ring with the fewest holes that divides a turn into `count` equal
    /// parts; none where no ring does.
    pub fn index_for(&self, count: u32) -> Option<IndexChoice> {
        let holes = *self
            .lathe
            .index
            .iter()
            .find(|&&holes| count > 0 && holes % count == 0)?;
        Some(IndexChoice {
            holes,
            every: holes / count,
        })
    }

    /// The nearest holes to `count` even marks, on the ring that misses them least; none without
    /// an index head.
    pub fn nearest_holes(&self, count: u32) -> Option<NearestHoles> {
        self.lathe
            .index
            .iter()
            .filter(|&&holes| holes >= count && count > 0)
            .map(|&holes| {
                let place = |mark: u32| f64::from(mark) * f64::from(holes) / f64::from(count);
                let at: Vec<u32> = (0..count).map(|mark| place(mark).round() as u32).collect();
                let error = (0..count)
                    .map(|mark| (place(mark) - place(mark).round()).abs() / f64::from(holes))
                    .fold(0.0, f64::max);
                NearestHoles { holes, at, error }
            })
            .min_by(|a, b| a.error.total_cmp(&b.error))
    }

    /// A way to `count` even marks by offsetting the work half a hole, or by two rings that work
    /// against each other: a forwards on A holes and b back on B is a/A − b/B of a turn.
    pub fn combined_index(&self, count: u32) -> Option<Combined> {
        let rings = &self.lathe.index;
        if count == 0 || self.index_for(count).is_some() {
            return None;
        }
        let half = rings
            .iter()
            .find(|&&holes| (2 * holes).is_multiple_of(count) && count.is_multiple_of(2));
        if let Some(&holes) = half {
            return Some(Combined::HalfHole {
                holes,
                every: 2 * holes / count,
            });
        }
        rings.iter().find_map(|&first| {
            rings
                .iter()
                .filter(|&&second| second != first)
                .find_map(|&second| {
                    (1..first).find_map(|a| {
                        // a/A − b/B = 1/n, so b = B (a/A − 1/n) must be whole.
                        let (top, under) = (
                            i64::from(second)
                                * (i64::from(a) * i64::from(count) - i64::from(first)),
                            i64::from(first) * i64::from(count),
                        );
                        let whole = top > 0 && top % under == 0;
                        whole.then(|| Combined::TwoRings {
                            forwards: [first, a],
                            back: [second, u32::try_from(top / under).unwrap_or(0)],
                        })
                    })
                })
        })
    }

    /// The counts nearest to `count` that the index head can give and that
    /// suit: the next below and the next above, the nearer first.
    pub fn index_counts_near(&self, count: u32, suits: impl Fn(u32) -> bool) -> Vec<u32> {
        let most = self.lathe.index.last().copied().unwrap_or(0);
        let can = |other: &u32| suits(*other) && self.index_for(*other).is_some();
        let below = (1..count.min(most.saturating_add(1))).rev().find(can);
        let above = (count.saturating_add(1)..=most).find(can);
        let mut counts: Vec<_> = [below, above].into_iter().flatten().collect();
        counts.sort_by_key(|other| other.abs_diff(count));
        counts
    }

    /// The jaws that take a round spigot of a diameter, mm, and of those the
    /// ones whose full circle is nearest to it, where the grip is best.
    pub fn jaws_for_spigot(&self, diameter: f64) -> Option<&Jaws> {
        self.jaws
            .iter()
            .filter(|jaws| jaws.spigot.is_some_and(|spigot| spigot.holds(diameter)))
            .min_by(|a, b| {
                let away = |jaws: &Jaws| (jaws.full_circle - diameter).abs();
                away(a).total_cmp(&away(b))
            })
    }

    /// The jaws of a name.
    pub fn jaws_named(&self, name: &str) -> Option<&Jaws> {
        self.jaws.iter().find(|jaws| jaws.name == name)
    }

    /// The centre of a name.
    pub fn centre_named(&self, name: &str) -> Option<&Centre> {
        self.centres.iter().find(|centre| centre.name == name)
    }

    /// The widest centre of a kind whose diameter, mm, is not above a seat's.
    pub fn centre_for_seat(&self, kind: CentreKind, seat: f64) -> Option<&Centre> {
        self.centres
            .iter()
            .filter(|centre| centre.kind == kind && centre.diameter <= seat)
            .max_by(|a, b| a.diameter.total_cmp(&b.diameter))
    }

    /// The largest gouge that cuts a cove of a radius, mm.
    pub fn gouge_for_cove(&self, radius: f64) -> Option<&Gouge> {
        self.gouges
            .iter()
            .filter(|gouge| gouge.smallest_cove <= radius)
            .max_by(|a, b| a.smallest_cove.total_cmp(&b.smallest_cove))
    }
}

impl Speeds {
    /// The lowest speed, revolutions a minute.
    pub fn lowest(&self) -> f64 {
        match self {
            Self::Range { lowest, .. } => *lowest,
            Self::Steps(steps) => steps.first().copied().unwrap_or(0.0),
        }
    }

    /// The highest speed, revolutions a minute.
    pub fn highest(&self) -> f64 {
        match self {
            Self::Range { highest, .. } => *highest,
            Self::Steps(steps) => steps.last().copied().unwrap_or(0.0),
        }
    }

    /// The lowest and the highest speed the lathe runs at from `from` to `to`,
    /// revolutions a minute; none where it runs at none of them.
    pub fn within(&self, from: f64, to: f64) -> Option<(f64, f64)> {
        match self {
            Self::Range { lowest, highest } => {
                let (low, high) = (lowest.max(from), highest.min(to));
                (low <= high).then_some((low, high))
            }
            Self::Steps(steps) => {
                let mut inside = steps
                    .iter()
                    .copied()
                    .filter(|&step| from <= step && step <= to);
                let low = inside.next()?;
                Some((low, inside.next_back().unwrap_or(low)))
            }
        }
    }

    /// The speed the lathe runs at that is highest and not above `most`; its
    /// lowest where all are above.
    pub fn at_most(&self, most: f64) -> f64 {
        match self {
            Self::Range { lowest, highest } => most.min(*highest).max(*lowest),
            Self::Steps(steps) => steps
                .iter()
                .copied()
                .rev()
                .find(|&step| step <= most)
                .unwrap_or_else(|| self.lowest()),
        }
    }
}

#[cfg(test)]
mod tests;
