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

use glam::{DVec2, DVec3};
use rayon::prelude::*;

use crate::coaxial::{Other, stretches};
use crate::flux::{Doubt, Sums};
use crate::octree::SLACK;
use crate::patch::{Patch, Tangent, Window, patches};
use crate::polygon::Polygon;
use crate::side::{Band, Form, Side, band, side};
use crate::solid::Solid;
use crate::trace::{Seen, Trace};

/// Open windows at most; some 200 MB.
const MOST_OPEN: usize = 400_000;

/// Faces that may meet in a window before it is halved unseen: more meet at points only,
/// as ridges do at a pole.
const MOST_FACES: usize = 4;

/// A window is not worth a look while a line through it is likely to leave more in doubt than
/// this many times what it may.
const HOPELESS: f64 = 8.0;

/// Windows below this are not halved further, mm.
const SMALLEST: f64 = 1e-6;

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
    others: Vec<usize>,
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
    let stretches: Vec<Stretch> = patches(solid)
        .par_iter()
        .map(|patch| {
            let (others, left) = stretches(solid, patch);
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
    let work = |stretch: usize, window: Window, others: Vec<usize>, enough: f64| {
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
            stack: others,
        };
        view.descend(window, 0);
        (view.settled, view.open)
    };
    let box_volume = solid.bounds().size().element_product();
    // A first guess of what one window may leave in doubt; corrected from what comes out.
    let windows = 40.0 * (solid.cuts().len() + 1) as f64 * relative.powf(-0.22);
    let mut enough = relative * 0.4 * box_volume / windows;
    let mut rounds: Vec<_> = (0..stretches.len())
        .into_par_iter()
        .map(|index| {
            let stretch = &stretches[index];
            let others = (0..stretch.others.len()).collect();
            work(index, stretch.patch.window(), others, enough)
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
        let wanted = (relative * volume).max(1e-12 * box_volume);
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
                    work(window.stretch, window.window, window.others, enough)
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

struct View<'a> {
    solid: &'a Solid,
    patch: &'a Patch,
    others: &'a [Other],
    stretch: usize,
    centre: DVec3,
    enough: f64,
    label: Label<'a>,
    settled: Vec<Sums>,
    open: Vec<Open>,
    stack: Vec<usize>,
}

/// What of a window is bare.
enum Bare {
    All,
    None,
    /// Area in the stretched window, centroid, and how much more or less there may be.
    Part {
        area: f64,
        centroid: DVec2,
        doubt: f64,
    },
    /// What is on one side of the line of one smooth face.
    Traced(Trace),
    Unknown,
}

impl View<'_> {
    /// Settles a window whose faces are on the stack from `begin` on, or goes down from it.
    fn descend(&mut self, window: Window, begin: usize) {
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
                    let seen = trace.sums(self.patch, &window, tangent.widest, self.centre);
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
            others: self.stack[begin..].to_vec(),
            // The middle of the window may be hidden; what is seen belongs to the part.
            label: (self.label)(point, normal),
            sums: seen.sums,
            doubt,
        });
    }

    /// What of a window with these half sides is bare. Takes from the stack what does not
    /// reach into it after all.
    fn bare(&mut self, half: DVec2, tangent: &Tangent, reach: f64, begin: usize) -> Bare {
        let lines = Lines { tangent, reach };
        let mut sides = [Side::Unknown; MOST_FACES];
        let mut count = 0;
        let mut end = begin;
        for index in begin..self.stack.len() {
            let number = self.stack[index];
            let other = &self.others[number];
            let side = match &other.bands {
                Some(bands) => match band(bands, tangent.point, reach) {
                    Band::Open(side) => side,
                    // Faces settled are no longer on the stack.
                    Band::Settled(_) => Side::Unknown,
                },
                None => side(
                    self.solid,
                    other.face,
                    self.patch,
                    tangent.point,
                    tangent.normal,
                    reach,
                ),
            };
            if let Side::One(form) = &side {
                // Its line may pass the window by, though the face comes near.
                match lines.passes(form, half) {
                    Some(true) => continue,
                    Some(false) => return Bare::None,
                    None => {}
                }
            }
            self.stack[end] = number;
            end += 1;
            if count < MOST_FACES {
                sides[count] = side;
            }
            count += 1;
        }
        self.stack.truncate(end);
        if count > MOST_FACES || sides[..count].contains(&Side::Unknown) {
            return Bare::Unknown;
        }
        let sides = &sides[..count];
        if let [Side::One(form)] = sides
            && let Some(trace) = Trace::new(tangent, form, half, self.patch.curve.curvature())
        {
            return Bare::Traced(trace);
        }
        let rectangle = Polygon::rectangle(half);
        let full = rectangle.area().0;
        let (most, _) = lines.measure(rectangle, sides, 1.0);
        if most == 0.0 {
            return Bare::None;
        }
        let (least, _) = lines.measure(rectangle, sides, -1.0);
        if least >= full {
            return Bare::All;
        }
        let (area, first) = lines.measure(rectangle, sides, 0.0);
        let centroid = if area > 0.0 {
            first / area
        } else {
            DVec2::ZERO
        };
        let mut doubt = (most - least).max(0.0);
        if let [Side::One(form)] = sides {
            doubt = doubt.min(lines.along(&rectangle, form, self.patch.curve.curvature()));
        }
        Bare::Part {
            area,
            centroid,
            doubt: doubt + 1e-12 * full,
        }
    }
}

/// Forms as lines in a window.
struct Lines<'a> {
    tangent: &'a Tangent,
    reach: f64,
}

impl Lines<'_> {
    /// The part of a polygon where a form, shifted by `shift` of its doubt, is positive; or
    /// negative, where `sign` is -1.
    fn clip(&self, polygon: &Polygon, form: &Form, shift: f64, sign: f64) -> Polygon {
        if form.value.is_infinite() {
            return if form.value * sign > 0.0 {
                *polygon
            } else {
                polygon.clip(DVec2::ZERO, -1.0)
            };
        }
        let shift = shift * self.stray(form);
        polygon.clip(sign * self.normal(form), sign * (form.value + shift))
    }

    /// Whether a form is surely positive, or surely negative, in the whole window.
    fn passes(&self, form: &Form, half: DVec2) -> Option<bool> {
        if form.value.is_infinite() {
            return Some(form.value > 0.0);
        }
        let most = self.normal(form).abs().dot(half) + self.stray(form);
        (form.value.abs() > most).then_some(form.value > 0.0)
    }

    fn normal(&self, form: &Form) -> DVec2 {
        DVec2::new(
            form.gradient.dot(self.tangent.along),
            form.gradient.dot(self.tangent.around) / self.tangent.widest,
        )
    }

    fn stray(&self, form: &Form) -> f64 {
        form.stray(self.reach) + self.tangent.stray + SLACK
    }

    /// The area in doubt along the line of a single form, from how the doubt grows with the
    /// square of the way from the middle: where |form| ≤ K (u² + v²), u along the line and v
    /// across, the doubtful stretch across is at most 2 K (u² + v²) over the gradient.
    fn along(&self, rectangle: &Polygon, form: &Form, curvature: f64) -> f64 {
        if form.value.is_infinite() || form.extra > 0.0 {
            return f64::INFINITY;
        }
        let normal = self.normal(form);
        let slope = normal.length();
        let stray = self.stray(form);
        let strip = rectangle
            .clip(normal, form.value + stray)
            .clip(-normal, stray - form.value);
        if strip.is_empty() || slope == 0.0 {
            return f64::INFINITY;
        }
        let across = normal / slope;
        let (low, high) = strip.extent(across.perp());
        let (near, far) = strip.extent(across);
        let off = near.abs().max(far.abs());
        let widest = self.tangent.widest;
        // As `Tangent::stray`, with x y ≤ (x² + y²) / 2 for the mixed part.
        let k = 0.5 * (form.bend + curvature.max(1.0 / widest) + 1.0 / widest);
        let square = (high.powi(3) - low.powi(3)) / 3.0 + off * off * (high - low);
        2.0 / slope * (k * square + SLACK * (high - low))
    }

    /// Area and first moment of what all `sides` leave of a polygon.
    fn measure(&self, polygon: Polygon, sides: &[Side], shift: f64) -> (f64, DVec2) {
        if polygon.is_empty() {
            return (0.0, DVec2::ZERO);
        }
        let Some((side, rest)) = sides.split_first() else {
            return polygon.area();
        };
        let keep = |polygon: &Polygon, form: &Form| self.clip(polygon, form, shift, 1.0);
        match side {
            Side::One(form) => self.measure(keep(&polygon, form), rest, shift),
            Side::Both(a, b) => self.measure(keep(&keep(&polygon, a), b), rest, shift),
            Side::Either(a, b) => {
                let (area, first) = self.measure(keep(&polygon, a), rest, shift);
                let without = self.clip(&polygon, a, shift, -1.0);
                let (more, also) = self.measure(keep(&without, b), rest, shift);
                (area + more, first + also)
            }
            Side::Unknown => (0.0, DVec2::ZERO),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Profile, Region};

    /// Twice the windows along an edge leave less than a sixth of the doubt: third order.
    #[test]
    fn the_doubt_falls_with_the_third_power_of_the_windows() {
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
            (tallies[0].doubt.volume, open as f64)
        };
        let (coarse, few) = at(1e-4);
        let (fine, many) = at(1e-6);
        let order = (coarse / fine).ln() / (many / few).ln();
        assert!(order > 2.6, "order {order}, windows {few} and {many}");
    }
}
