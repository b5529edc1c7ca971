//! Windows of one stretch, halved until what is seen of each is known well enough.

use glam::{DVec2, DVec3};

use super::bare::{Bare, MOST_FACES};
use super::few::Few;
use super::{Label, Open};
use crate::coaxial::Other;
use crate::flux::{Doubt, Sums};
use crate::octree::SLACK;
use crate::patch::{Patch, Tangent, Window};
use crate::side::{Band, band};
use crate::solid::Solid;
use crate::trace::Seen;

/// A window is not worth a look while a line through it is likely to leave more in doubt than
/// this many times what it may.
const HOPELESS: f64 = 2.0;

/// Windows below this are not halved further, mm.
const SMALLEST: f64 = 1e-6;

/// One window after another of a stretch, from coarse to fine.
pub(super) struct View<'a> {
    pub(super) solid: &'a Solid,
    pub(super) patch: &'a Patch,
    pub(super) others: &'a [Other],
    pub(super) stretch: usize,
    pub(super) centre: DVec3,
    pub(super) enough: f64,
    pub(super) label: Label<'a>,
    pub(super) settled: Vec<Sums>,
    pub(super) open: Vec<Open>,
    pub(super) stack: Vec<usize>,
}

impl View<'_> {
    /// Settles a window whose faces are on the stack from `begin` on, or goes down from it.
    pub(super) fn descend(&mut self, window: Window, begin: usize) {
        let tangent = self.patch.tangent(&window);
        let reach = tangent.reach + SLACK;
        let mut end = begin;
        for index in begin..self.stack.len() {
            let number = self.stack[index];
            let other = &self.others[number];
            let open = match &other.bands {
                Some(bands) => match band(bands, tangent.point, reach) {
                    Band::Settled(false) => return,
                    Band::Settled(true) => false,
                    Band::Open(_) => true,
                },
                None => {
                    let depth = self.solid.depth_to(other.face, tangent.point);
                    if depth < -reach {
                        return;
                    }
                    depth <= reach
                }
            };
            if open {
                self.stack[end] = number;
                end += 1;
            }
        }
        self.stack.truncate(end);
        if end == begin {
            return self.settle(&window, &tangent);
        }
        // The window in the plane, stretched to its widest: areas are true or too large.
        let half = DVec2::new(window.half.x, window.half.y * tangent.widest);
        let size = half.length();
        let far = tangent.point.distance(self.centre) + reach;
        let bend = self.patch.curve.curvature().max(1.0 / tangent.widest);
        let height =
            far.min((tangent.point - self.centre).dot(tangent.normal).abs() + far * bend * size);
        let area = 4.0 * half.x * half.y;
        // Not worth a look while even one line through the window would leave too much.
        let hopeless =
            (bend * size).powi(2) * size * half.min_element() * height > HOPELESS * self.enough;
        let bare = if hopeless || end - begin > 4 * MOST_FACES {
            Bare::Unknown
        } else {
            self.bare(half, &tangent, reach, begin)
        };
        match bare {
            Bare::None => return,
            Bare::All => return self.settle(&window, &tangent),
            Bare::Traced(trace) => {
                let curvature = self.patch.curve.curvature();
                let mut doubt = Doubt::of_area(trace.doubt(), far, height);
                doubt.add(&trace.of_rule(curvature, tangent.widest, far));
                if doubt.volume <= self.enough {
                    let seen = trace.sums(self.patch, &tangent, self.centre);
                    return self.leave(window, &tangent, begin, seen, doubt);
                }
            }
            Bare::Part {
                area: seen,
                centroid,
                doubt,
            } => {
                let mut doubt = Doubt::of_area(doubt, far, height);
                doubt.add(&Doubt::of_bending(seen, size, bend, far));
                if doubt.volume <= self.enough {
                    let seen = self.flat(&window, &tangent, seen, centroid);
                    return self.leave(window, &tangent, begin, seen, doubt);
                }
            }
            Bare::Unknown => {
                // Half of it is counted; the whole may be there with any sign of p · n.
                let doubt = Doubt::of_area(1.5 * area, far, height);
                if doubt.volume <= self.enough || size < SMALLEST {
                    let seen = self.flat(&window, &tangent, 0.5 * area, DVec2::ZERO);
                    return self.leave(window, &tangent, begin, seen, doubt);
                }
            }
        }
        let end = self.stack.len();
        for half in window.halves(tangent.widest) {
            self.stack.extend_from_within(begin..end);
            self.descend(half, end);
            self.stack.truncate(end);
        }
    }

    fn settle(&mut self, window: &Window, tangent: &Tangent) {
        let label = (self.label)(tangent.point, tangent.normal);
        self.settled[label].add(&Sums::window(self.patch, window, self.centre));
    }

    /// An `area` of the stretched window, all at its centroid.
    fn flat(&self, window: &Window, tangent: &Tangent, area: f64, centroid: DVec2) -> Seen {
        let place = window.middle + centroid / DVec2::new(1.0, tangent.widest);
        let (point, normal, radius) = self.patch.with_radius(place);
        Seen {
            sums: Sums::flat(area * radius / tangent.widest, point - self.centre, normal),
            centroid,
        }
    }

    fn leave(&mut self, window: Window, tangent: &Tangent, begin: usize, seen: Seen, doubt: Doubt) {
        let place = window.middle + seen.centroid / DVec2::new(1.0, tangent.widest);
        let (point, normal) = self.patch.at(place);
        self.open.push(Open {
            stretch: self.stretch,
            window,
            others: Few::of(&self.stack[begin..]),
            // The middle of the window may be hidden; what is seen belongs to the part.
            label: (self.label)(point, normal),
            sums: seen.sums,
            doubt,
        });
    }
}
