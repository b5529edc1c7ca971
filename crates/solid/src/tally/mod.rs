//! The surface of a solid cut into windows until what is seen of each is known well enough.
//!
//! A window of one face's surface is bare (wood on its inner side, air outside) where no
//! other face hides it. A window farther from all other faces than its own reach is
//! settled. Where one smooth face cuts through a window its line is followed to third order
//! (`trace.rs`). Where several do, as at the ends of ridges, each parts bare from hidden along
//! a nearly straight line; shifting the lines by the bound on their bend, outwards and
//! inwards, gives areas between which the bare one lies. Only windows along the edges of the
//! solid are ever open, and their doubt falls with the fourth power of their size: third
//! order in all, with few windows.

mod bare;
mod few;
pub(crate) mod tree;
mod view;

use glam::DVec3;
use rayon::prelude::*;

use crate::coaxial::{Other, stretches};
use crate::flux::{Doubt, Sums};
use crate::patch::{Patch, Window, patches};
use crate::reaching::Reaching;
use crate::solid::Solid;
use few::Few;
use view::View;

/// Open windows at most; some 200 MB.
pub(crate) const MOST_OPEN: usize = 400_000;

/// What is summed over the surface of one part of the wood.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Tally {
    pub sums: Sums,
    pub doubt: Doubt,
}

/// A window not settled, with what is known of it.
#[derive(Debug, Clone)]
struct Open {
    stretch: usize,
    window: Window,
    /// Those of the stretch's others that matter in it.
    others: Few,
    label: usize,
    sums: Sums,
    doubt: Doubt,
}

/// A stretch of a patch and the faces that may hide it.
struct Stretch {
    patch: Patch,
    others: Vec<Other>,
}

/// Which of several parts of the wood a surface point belongs to, from the point and its
/// outward normal.
pub(crate) type Label<'a> = &'a (dyn Fn(DVec3, DVec3) -> usize + Sync);

/// The sums over the surface of each of `labels` parts, counted from `centre`, refined
/// until the doubt of the volume is at most `relative` of it or the windows run out.
pub(crate) fn tally(
    solid: &Solid,
    centre: DVec3,
    relative: f64,
    labels: usize,
    label: Label<'_>,
) -> Vec<Tally> {
    counted(solid, centre, relative, labels, label).0
}

/// As [`tally`], with the number of windows left open.
fn counted(
    solid: &Solid,
    centre: DVec3,
    relative: f64,
    labels: usize,
    label: Label<'_>,
) -> (Vec<Tally>, usize) {
    let reaching = Reaching::of(solid);
    let stretches: Vec<Stretch> = patches(solid)
        .par_iter()
        .map(|patch| {
            let (others, left) = stretches(solid, &reaching, patch);
            left.into_iter()
                .map(|(from, to)| Stretch {
                    patch: Patch {
                        from,
                        to,
                        ..patch.clone()
                    },
                    others: others.clone(),
                })
                .collect::<Vec<_>>()
        })
        .collect::<Vec<_>>()
        .into_iter()
        .flatten()
        .collect();
    let work = |stretch: usize, windows: &[Window], others: Vec<usize>, enough: f64| {
        let mut view = View {
            solid,
            patch: &stretches[stretch].patch,
            others: &stretches[stretch].others,
            stretch,
            centre,
            enough,
            label,
            settled: vec![Sums::default(); labels],
            open: Vec::new(),
            stack: Vec::new(),
        };
        for window in windows.iter().copied() {
            view.stack.extend_from_slice(&others);
            view.descend(window, 0);
            view.stack.clear();
        }
        (view.settled, view.open)
    };
    let box_volume = solid.bounds().size().element_product();
    // A first guess of what one window may leave in doubt; corrected from what comes out. Windows stay open
    // where faces meet, so their number goes with the pairs of faces that may.
    let pairs: usize = stretches.iter().map(|stretch| stretch.others.len()).sum();
    let windows = 2.0 * (pairs + 1) as f64 * relative.powf(-0.22);
    let mut enough = relative * 0.16 * box_volume / windows;
    let mut rounds: Vec<_> = (0..stretches.len())
        .into_par_iter()
        .map(|index| {
            let stretch = &stretches[index];
            let others = (0..stretch.others.len()).collect();
            work(index, &[stretch.patch.window()], others, enough)
        })
        .collect();
    let mut settled = vec![Sums::default(); labels];
    loop {
        let mut open = Vec::new();
        for (sums, left) in rounds {
            for (total, part) in settled.iter_mut().zip(&sums) {
                total.add(part);
            }
            open.extend(left);
        }
        let tallies = total(&settled, &open);
        let volume: f64 = tallies.iter().map(|t| t.sums.volume).sum();
        let doubt: f64 = open.iter().map(|window: &Open| window.doubt.volume).sum();
        // What rounding adds to it later is far below the rest.
        let wanted = (0.99 * relative * volume).max(1e-12 * box_volume);
        let share = open.len() as f64 / MOST_OPEN as f64;
        if doubt <= wanted || share >= 0.5 {
            return (tallies, open.len());
        }
        // Doubt per window goes with size⁴, windows with 1/size: their product with the
        // window's share to the power 3/4. Where the surface itself is in doubt windows
        // multiply by as much as the share falls, hence the lower limit.
        enough *= (0.85 * wanted / doubt)
            .powf(4.0 / 3.0)
            .clamp(share.max(1.0 / 64.0), 0.5);
        rounds = open
            .into_par_iter()
            .with_min_len(16)
            .map(|window| {
                if window.doubt.volume <= enough {
                    (Vec::new(), vec![window])
                } else {
                    // It was looked at before, and left too much.
                    let stretch = &stretches[window.stretch];
                    let widest = stretch.patch.tangent(&window.window).widest;
                    let halves = window.window.halves(widest);
                    let others = window.others.list(stretch.others.len());
                    work(window.stretch, &halves, others, enough)
                }
            })
            .collect();
    }
}

fn total(settled: &[Sums], open: &[Open]) -> Vec<Tally> {
    let mut tallies: Vec<Tally> = settled
        .iter()
        .map(|sums| Tally {
            sums: *sums,
            doubt: Doubt::default(),
        })
        .collect();
    for window in open {
        tallies[window.label].sums.add(&window.sums);
        tallies[window.label].doubt.add(&window.doubt);
    }
    tallies
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Profile, Region};

    /// Twice the windows along an edge leave less than a sixth of the doubt: third order, of area,
    /// volume and both moments alike.
    #[test]
    fn the_doubts_fall_with_the_third_power_of_the_windows() {
        let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(30.0).unwrap());
        let bore = |axis| {
            let hole = Profile::cylinder(-40.0, 40.0, 8.0).unwrap();
            Region::revolved(DVec3::ZERO, axis, hole)
        };
        let solid = Solid::new(ball)
            .cut(bore(DVec3::X))
            .cut(bore(DVec3::new(0.5, 1.0, 0.2)));
        let at = |relative| {
            let (tallies, open) = counted(&solid, DVec3::ZERO, relative, 1, &|_, _| 0);
            let doubt = tallies[0].doubt;
            let doubts = [doubt.area, doubt.volume, doubt.first, doubt.second];
            (doubts, open as f64)
        };
        let (coarse, few) = at(1e-4);
        let (fine, many) = at(1e-6);
        for (what, (coarse, fine)) in ["area", "volume", "first", "second"]
            .iter()
            .zip(coarse.into_iter().zip(fine))
        {
            let order = (coarse / fine).ln() / (many / few).ln();
            assert!(
                order > 2.6,
                "{what}: order {order}, windows {few} and {many}"
            );
        }
    }
}
