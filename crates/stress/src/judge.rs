//! Whether the wood holds: the load it stands, and where and how it fails first.
//!
//! Method: a stress at one cube beside a sharp edge grows without end as cubes shrink, so no verdict rests on one. The
//! stress is averaged over a cube of wood with a stated edge ([`LENGTH`] unless asked otherwise), which has a limit as
//! cubes shrink, and the greatest utilisation of these averages is the verdict. The average is over volume of wood, with
//! cubes at the border of the window counted by the part inside, so it does not depend on the grid's fineness as long as
//! two cubes go into it; on coarser grids it is two cubes wide, and [`Verdict::length`] says so. Beside it stands the percentile of the plain field, as a second opinion that rests on no length.
//!
//! The window is as long as wood's fibres and far below the (2/π)(K/f)² = 3 to 4 mm that the toughness of maple
//! (K = 480 kPa √m along the grain, Wood Handbook data set) and its 5 to 6 MPa across the grain give for an average over
//! a crack's path (J. M. Whitney and R. J. Nuismer's criterion, 1974, from memory): a longer one would hide the bending of
//! thin ribs. In a rib 3 mm thick that bends, 1 mm gives 0.8 to 0.85 of the stress at its skin.

use glam::DVec3;
use rayon::prelude::*;
use rondure_wood::{End, Strength};

use crate::answer::{Answer, Place};
use crate::strength::{Kind, Surface};

/// Edge of the cube over which stress is averaged, mm.
pub const LENGTH: f64 = 1.0;

/// Share of the wood, by volume, that the second opinion looks below.
pub const SHARE: f64 = 0.999;

/// How near the wood comes to breaking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Band {
    /// Even the weak end of the wood, one tree in twenty, stands it.
    Sound,
    /// The wood's mean stands it, its weak end does not.
    Near,
    /// The wood's mean does not stand it.
    Over,
}

impl Band {
    /// From the utilisation at the weak end and at the mean of the wood.
    pub fn of(low: f64, mean: f64) -> Self {
        if mean >= 1.0 {
            Self::Over
        } else if low >= 1.0 {
            Self::Near
        } else {
            Self::Sound
        }
    }

    /// In one word.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sound => "sound",
            Self::Near => "near",
            Self::Over => "over",
        }
    }
}

/// A place where one kind of failure is nearest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weak {
    /// What would happen.
    pub kind: Kind,
    /// Where, mm.
    pub at: DVec3,
    /// Share of that strength alone which is used up, mean wood.
    pub share: f64,
}

/// What the wood makes of a load.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// Utilisation with the wood at its weak end, its mean, and its strong end.
    pub utilisation: [f64; 3],
    /// Factor on the load at which the first place breaks, in the same order.
    pub stands: [f64; 3],
    /// The verdict in one word.
    pub band: Band,
    /// The weakest place, mm.
    pub at: DVec3,
    /// What would happen there.
    pub kind: Kind,
    /// Averaged stress there, MPa: LL, RR, TT, LR, RT, TL.
    pub stress: [f64; 6],
    /// For every kind of failure its own worst place, worst first.
    pub kinds: Vec<Weak>,
    /// Utilisation of the plain field that [`SHARE`] of the wood stays below, mean wood.
    pub percentile: f64,
    /// Edge of the averaging cube, mm.
    pub length: f64,
}

/// Stress of a whole piece, ready to be judged against one wood or several.
#[derive(Debug, Clone)]
pub struct Field {
    /// Every cube, with plain stress.
    pub places: Vec<Place>,
    /// Averaged stress of every cube, MPa.
    pub average: Vec<[f64; 6]>,
    /// Edge of the averaging cube, mm.
    pub length: f64,
}

impl Answer<'_> {
    /// The stress, plain and averaged over cubes of edge `length`, mm, but of no less than two cubes of the model: a single
    /// cube at the skin, cut by it, tells little.
    pub fn field(&self, length: f64) -> Field {
        let places = self.places();
        let cells = self.cells();
        let length = length.max(2.0 * cells.grid.edge);
        let average = averaged(
            cells.grid.count,
            &cells.list.iter().map(|cell| cell.at).collect::<Vec<_>>(),
            &places,
            length / cells.grid.edge,
        );
        Field {
            places,
            average,
            length,
        }
    }

    /// The verdict on this load for one wood, by averages over [`LENGTH`].
    pub fn verdict(&self, strength: &Strength) -> Verdict {
        self.field(LENGTH).verdict(strength, None)
    }
}

impl Field {
    /// The verdict for one wood. `fixed` is a stress that is there whatever the load, such as that of drying or weight,
    /// of the same model: `stands` is then the factor on this load alone, and the utilisation is that of both together.
    pub fn verdict(&self, strength: &Strength, fixed: Option<&Field>) -> Verdict {
        let surfaces = End::ALL.map(|end| Surface::of(strength, end));
        let mean = &surfaces[1];
        let nought = [0.0; 6];
        let at_rest = |index: usize| {
            fixed
                .and_then(|fixed| fixed.average.get(index))
                .unwrap_or(&nought)
        };
        let together = |index: usize| -> [f64; 6] {
            let (varied, fixed) = (&self.average[index], at_rest(index));
            std::array::from_fn(|part| varied[part] + fixed[part])
        };
        let mut worst = [(0.0_f64, 0_usize); 3];
        let mut stands = [f64::INFINITY; 3];
        let mut kinds = Kind::ALL.map(|kind| (kind, 0.0, 0));
        for index in 0..self.average.len() {
            let stress = together(index);
            for (end, surface) in surfaces.iter().enumerate() {
                let used = surface.utilisation(&stress);
                if used > worst[end].0 {
                    worst[end] = (used, index);
                }
                let factor = surface.stands(at_rest(index), &self.average[index]);
                stands[end] = stands[end].min(factor);
            }
            for (kind, (_, share)) in kinds.iter_mut().zip(mean.parts(&stress)) {
                if share > kind.1 {
                    (kind.1, kind.2) = (share, index);
                }
            }
        }
        let place = worst[1].1;
        let stress = if self.average.is_empty() {
            nought
        } else {
            together(place)
        };
        let at = |index: usize| self.places.get(index).map_or(DVec3::ZERO, |place| place.at);
        let mut kinds: Vec<Weak> = kinds
            .into_iter()
            .filter(|(_, share, _)| *share > 0.0)
            .map(|(kind, share, index)| Weak {
                kind,
                at: at(index),
                share,
            })
            .collect();
        kinds.sort_by(|a, b| b.share.total_cmp(&a.share));
        let utilisation = worst.map(|(used, _)| used);
        Verdict {
            utilisation,
            stands,
            band: Band::of(utilisation[0], utilisation[1]),
            at: at(place),
            kind: mean.kind(&stress),
            stress,
            kinds,
            percentile: self.percentile(SHARE, |index| {
                let plain = &self.places[index].stress;
                let rest = fixed
                    .and_then(|fixed| fixed.places.get(index))
                    .map_or(nought, |place| place.stress);
                mean.utilisation(&std::array::from_fn(|part| plain[part] + rest[part]))
            }),
            length: self.length,
        }
    }

    /// Utilisation of every cube by its averaged stress, one number for each of [`Field::places`].
    pub fn utilisation(&self, surface: &Surface) -> Vec<f64> {
        self.average
            .iter()
            .map(|stress| surface.utilisation(stress))
            .collect()
    }

    /// The value that `share` of the wood, by volume, does not exceed; `measure` gives one for the number of each cube.
    pub fn percentile(&self, share: f64, measure: impl Fn(usize) -> f64) -> f64 {
        let list = self
            .places
            .iter()
            .enumerate()
            .map(|(index, place)| (measure(index), place.volume));
        percentile(list.collect(), share)
    }
}

/// The value that `share` of the weights does not exceed; what is no number counts as nought.
pub(crate) fn percentile(mut list: Vec<(f64, f64)>, share: f64) -> f64 {
    for (value, _) in &mut list {
        if !value.is_finite() {
            *value = 0.0;
        }
    }
    list.sort_by(|a, b| a.0.total_cmp(&b.0));
    let whole: f64 = list.iter().map(|(_, weight)| weight).sum();
    let mut below = 0.0;
    for (value, weight) in &list {
        below += weight;
        if below >= share * whole {
            return *value;
        }
    }
    list.last().map_or(0.0, |(value, _)| *value)
}

/// Means over a window of `width` cells, weighted by wood: a running sum along each axis in turn.
fn averaged(count: [usize; 3], at: &[[u32; 3]], places: &[Place], width: f64) -> Vec<[f64; 6]> {
    let number =
        |at: [u32; 3]| (at[2] as usize * count[1] + at[1] as usize) * count[0] + at[0] as usize;
    let smeared = |value: &(dyn Fn(&Place) -> f64 + Sync)| -> Vec<f64> {
        let mut grid = vec![0.0; count.iter().product()];
        for (at, place) in at.iter().zip(places) {
            grid[number(*at)] = value(place);
        }
        smear(&mut grid, count, width);
        at.iter().map(|at| grid[number(*at)]).collect()
    };
    let volume = smeared(&|place| place.volume);
    let mut average = vec![[0.0; 6]; places.len()];
    for part in 0..6 {
        let sum = smeared(&|place| place.volume * place.stress[part]);
        for ((average, sum), volume) in average.iter_mut().zip(sum).zip(&volume) {
            average[part] = sum / volume;
        }
    }
    average
}

/// Sums over a cube of `width` cells about each cell; the outermost cells count by the part inside.
fn smear(grid: &mut [f64], count: [usize; 3], width: f64) {
    let reach = 0.5 * (width - 1.0).max(0.0);
    let (whole, part) = (reach.floor() as usize, reach.fract());
    if whole == 0 && part == 0.0 {
        return;
    }
    let line = |values: &mut [f64], old: &mut Vec<f64>| {
        old.clear();
        old.extend_from_slice(values);
        let last = old.len();
        for (i, value) in values.iter_mut().enumerate() {
            let (low, past) = (i.saturating_sub(whole), (i + whole + 1).min(last));
            let mut sum: f64 = old[low..past].iter().sum();
            if i > whole {
                sum += part * old[i - whole - 1];
            }
            if i + whole + 1 < last {
                sum += part * old[i + whole + 1];
            }
            *value = sum;
        }
    };
    let layer = count[0] * count[1];
    grid.par_chunks_mut(layer).for_each(|layer| {
        let mut old = Vec::new();
        for row in layer.chunks_mut(count[0]) {
            line(row, &mut old);
        }
        let mut column = vec![0.0; count[1]];
        for x in 0..count[0] {
            for y in 0..count[1] {
                column[y] = layer[y * count[0] + x];
            }
            line(&mut column, &mut old);
            for y in 0..count[1] {
                layer[y * count[0] + x] = column[y];
            }
        }
    });
    // Along z whole layers are added, so that memory is read in order.
    let old = grid.to_vec();
    grid.par_chunks_mut(layer).enumerate().for_each(|(z, own)| {
        let mut add = |other: Option<usize>, by: f64| {
            let Some(from) = other.and_then(|other| old.get(other * layer..(other + 1) * layer))
            else {
                return;
            };
            for (own, from) in own.iter_mut().zip(from) {
                *own += by * from;
            }
        };
        for step in 1..=whole {
            add(z.checked_sub(step), 1.0);
            add(Some(z + step), 1.0);
        }
        if part > 0.0 {
            add(z.checked_sub(whole + 1), part);
            add(Some(z + whole + 1), part);
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(count: [u32; 3], stress: impl Fn([u32; 3]) -> f64) -> (Vec<[u32; 3]>, Vec<Place>) {
        let mut at = Vec::new();
        let mut places = Vec::new();
        for z in 0..count[2] {
            for y in 0..count[1] {
                for x in 0..count[0] {
                    at.push([x, y, z]);
                    places.push(Place {
                        at: DVec3::new(f64::from(x), f64::from(y), f64::from(z)),
                        volume: 1.0 + f64::from(x % 2),
                        stress: [stress([x, y, z]); 6],
                    });
                }
            }
        }
        (at, places)
    }

    /// Against the sum written out, for windows of whole and broken width.
    #[test]
    fn the_running_sums_are_the_sums() {
        let count = [7, 5, 6];
        let value = |at: [u32; 3]| f64::from(at[0] * at[0] + 3 * at[1] + at[2] * at[0]);
        let (at, places) = block(count, value);
        for width in [1.0, 1.6, 3.0, 4.5] {
            let found = averaged(count.map(|n| n as usize), &at, &places, width);
            let weight = |a: u32, b: u32| {
                let near = (f64::from(a) - f64::from(b)).abs();
                (0.5 * width + 0.5 - near).clamp(0.0, 1.0)
            };
            for (index, middle) in at.iter().enumerate() {
                let (mut sum, mut whole) = (0.0, 0.0);
                for (other, place) in at.iter().zip(&places) {
                    let by: f64 = (0..3)
                        .map(|axis| weight(other[axis], middle[axis]))
                        .product();
                    sum += by * place.volume * place.stress[2];
                    whole += by * place.volume;
                }
                assert!(
                    (found[index][2] - sum / whole).abs() < 1e-9,
                    "{width} {middle:?}"
                );
            }
        }
    }

    /// One cube in a thousand that is far over does not move the percentile, and shows in the verdict.
    #[test]
    fn the_verdict_names_the_place_and_the_kind() {
        let (_, mut places) = block([10, 10, 50], |_| 0.0);
        for place in &mut places {
            place.stress = [0.0, 0.46, 0.0, 0.0, 0.0, 0.0];
        }
        places[777].stress = [0.0, 2.3, 0.0, 0.0, 0.0, 0.0];
        places[55].stress = [0.0, 0.0, 0.0, 5.0, 0.0, 0.0];
        let field = Field {
            average: places.iter().map(|place| place.stress).collect(),
            places,
            length: 1.0,
        };
        let maple = rondure_wood::find("black maple")
            .unwrap()
            .strength()
            .unwrap();
        let verdict = field.verdict(&maple, None);
        assert_eq!(verdict.at, field.places[777].at);
        assert_eq!(verdict.kind, Kind::Splitting);
        assert!(
            (verdict.utilisation[1] - 0.5).abs() < 1e-12 && (verdict.stands[1] - 2.0).abs() < 1e-12
        );
        // The weak end: 1.645 · 0.25 below.
        assert!((verdict.utilisation[0] - 0.5 / (1.0 - 1.645 * 0.25)).abs() < 1e-12);
        assert!(verdict.utilisation[2] < 0.5 && verdict.band == Band::Sound);
        assert!(
            (verdict.percentile - 0.1).abs() < 1e-9,
            "{}",
            verdict.percentile
        );
        let shear = verdict
            .kinds
            .iter()
            .find(|weak| weak.kind == Kind::Shear)
            .unwrap();
        assert!((shear.share - 0.4).abs() < 1e-12 && shear.at == field.places[55].at);
        // With the same stress already there, only as much again is stood.
        let both = field.verdict(&maple, Some(&field));
        assert!((both.stands[1] - 1.0).abs() < 1e-12 && (both.utilisation[1] - 1.0).abs() < 1e-12);
        assert_eq!(both.band, Band::Over);
    }
}
