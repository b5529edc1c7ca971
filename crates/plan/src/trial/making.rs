//! One making: the solid that errors of the hand leave, and what is wrong with it.
//!
//! A mark's error goes into all that is taken from the mark: the mounting through it, and the
//! hole that follows its marker. Each cove turns about the line through its two centres, from
//! edge line to edge line as they were drawn; each hole runs from where it was begun, as it
//! was aimed; the bore and the ball are off as they were turned. The ball's meridian is one arc
//! whose centre may lie off the axis: longer or shorter than thick.

use rondure_solid::nearby::{Changed, Known};
use rondure_solid::{DVec2, DVec3, Face, Path, Profile, ProfileError, Region, Solid, Turn};

use super::accuracy::{COUNT, place};
use crate::form::coved_ball::Layout;
use crate::outline::CLEAR;
use crate::plan::Limits;

/// What can be wrong with a making, in the order in which it happens at the lathe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// A cove took a mark whose hole was not deep enough.
    MarkLost,
    /// A cove broke into the bore before anything was pierced.
    CoveBore,
    /// A hole broke through the ridge into the next cove.
    Through,
    /// Too little wood between the rims of two holes.
    RimGap,
    /// A wall thinner than the plan's limit.
    Wall,
    /// A neck narrower than the plan's limit.
    Neck,
    /// The wood is in more than one part.
    Apart,
    /// Part of a marker hole is left beside its hole: it shows, and the piece still comes out.
    MarkerShows,
}

impl Fault {
    /// All faults, in order.
    pub const ALL: [Self; 8] = [
        Self::MarkLost,
        Self::CoveBore,
        Self::Through,
        Self::RimGap,
        Self::Wall,
        Self::Neck,
        Self::Apart,
        Self::MarkerShows,
    ];

    /// Stable identifier.
    pub fn id(self) -> &'static str {
        match self {
            Self::MarkLost => "mark.lost",
            Self::CoveBore => "cove.bore",
            Self::Through => "hole.through",
            Self::RimGap => "rim.gap",
            Self::Wall => "web.thin",
            Self::Neck => "neck.thin",
            Self::Apart => "pieces.fall",
            Self::MarkerShows => "marker.shows",
        }
    }

    /// In a turner's words.
    pub fn says(self) -> &'static str {
        match self {
            Self::MarkLost => "a cove takes a mark before it is used",
            Self::CoveBore => "a cove breaks into the bore",
            Self::Through => "a hole breaks through a ridge into the next cove",
            Self::RimGap => "too little wood between two holes' rims",
            Self::Wall => "a wall below the limit",
            Self::Neck => "a neck below the limit",
            Self::Apart => "the ball falls apart",
            Self::MarkerShows => "part of a marker hole shows",
        }
    }

    /// Whether the piece is spoilt by it.
    pub fn spoils(self) -> bool {
        self != Self::MarkerShows
    }
}

/// A set of faults.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Faults(u8);

impl Faults {
    fn add(&mut self, fault: Fault, found: bool) {
        self.0 |= u8::from(found) << fault as u8;
    }

    /// Whether a fault is among them.
    pub fn has(self, fault: Fault) -> bool {
        self.0 >> fault as u8 & 1 == 1
    }

    /// Whether the piece comes out.
    pub fn comes_out(self) -> bool {
        self.first().is_none()
    }

    /// The first that spoils the piece.
    pub fn first(self) -> Option<Fault> {
        Fault::ALL
            .into_iter()
            .find(|fault| fault.spoils() && self.has(*fault))
    }
}

/// What came of one making.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Made {
    /// What is wrong with it.
    pub faults: Faults,
    /// Its thinnest wall, mm.
    pub web: Option<f64>,
    /// Its narrowest neck, across, mm.
    pub neck: Option<f64>,
    /// Whether part of it could not be followed, so that a fault may have been missed.
    pub lost: bool,
}

/// How many standard normal errors one making of a layout takes.
pub fn unknowns(layout: &Layout) -> usize {
    11 * layout.marks as usize + 7
}

/// The errors of one making, in mm and radians.
struct Errors<'a> {
    normal: std::slice::Iter<'a, f64>,
    deviation: &'a [f64; COUNT],
}

impl Errors<'_> {
    fn one(&mut self, kind: usize) -> f64 {
        self.normal.next().copied().unwrap_or(0.0) * self.deviation[kind]
    }

    fn two(&mut self, kind: usize) -> DVec2 {
        DVec2::new(self.one(kind), self.one(kind))
    }
}

/// What a making is judged by beside its solid.
#[derive(Debug)]
pub(super) struct Turned {
    pub solid: Solid,
    /// No face is farther off than this within the wood, mm.
    sway: f64,
    mark_lost: bool,
    cove_bore: bool,
    /// Least wood between neighbouring rims on the coves' bottoms, mm.
    rim_gap: Option<f64>,
    marker_shows: bool,
}

/// Turns one ball: `normal` are standard normal errors, `deviation` their sizes.
pub(super) fn turn(
    layout: &Layout,
    normal: &[f64],
    deviation: &[f64; COUNT],
) -> Result<Turned, ProfileError> {
    let mut errors = Errors {
        normal: normal.iter(),
        deviation,
    };
    let (n, half) = (layout.marks as usize, layout.mountings() as usize);
    // Drawn kind by kind, so that the errors which matter most are spread together.
    let depth: Vec<f64> = (0..half).map(|_| errors.one(place::COVE_DEPTH)).collect();
    let edges: Vec<DVec2> = (0..half).map(|_| errors.two(place::EDGE_LINE)).collect();
    let along: Vec<f64> = (0..n).map(|_| errors.one(place::MARKS_ALONG)).collect();
    let across: Vec<f64> = (0..n).map(|_| errors.one(place::MARKS_ACROSS)).collect();
    let begun: Vec<DVec2> = (0..n).map(|_| errors.two(place::HOLE_POSITION)).collect();
    let aimed: Vec<DVec2> = (0..n).map(|_| errors.two(place::HOLE_ANGLE)).collect();
    let centres: Vec<[DVec2; 2]> = (0..half)
        .map(|_| [errors.two(place::AXIS), errors.two(place::AXIS)])
        .collect();
    // A hole is never narrower than its bit.
    let oversize = 0.5 * errors.one(place::HOLE_OVERSIZE).abs();
    let flat: Vec<f64> = (0..half).map(|_| errors.one(place::FLAT)).collect();
    let bore_place = errors.two(place::BORE_POSITION);
    let bore_way = errors.two(place::BORE_ANGLE);
    let larger = 0.5 * errors.one(place::BALL_DIAMETER);
    let longer = errors.one(place::OUT_OF_ROUND);
    let marker: Vec<f64> = (0..n).map(|_| errors.one(place::MARKER_DEPTH)).collect();

    let mut turned = Turned {
        solid: Solid::new(ball(layout.radius + larger, longer)?),
        sway: larger.abs() + longer.abs(),
        mark_lost: false,
        cove_bore: false,
        rim_gap: None,
        marker_shows: false,
    };
    let mut cuts = Vec::with_capacity(1 + half + n);
    let mut reach = |by: f64| turned.sway = turned.sway.max(by);
    let through = Profile::cylinder(-CLEAR, CLEAR, layout.bore_radius)?;
    cuts.push(Region::revolved(
        DVec3::new(bore_place.x, bore_place.y, 0.0),
        DVec3::new(bore_way.x.tan(), bore_way.y.tan(), 1.0),
        through,
    ));
    reach(bore_place.length() + 1.2 * layout.radius * bore_way.length());

    let mut bottoms = Vec::with_capacity(half);
    for j in 0..half {
        let axis = layout.towards(j as u32);
        let side = DVec3::Z.cross(axis);
        let end = |mark: usize, off: DVec2, sign: f64| {
            // Along the middle line grows the azimuth, at the far end too.
            axis * (sign * layout.radius)
                + side * (sign * (along[mark] + off.x))
                + DVec3::Z * (across[mark] + off.y)
        };
        let here = end(j, centres[j][0], 1.0);
        let there = end(j + half, centres[j][1], -1.0);
        let way = (here - there).normalize();
        let width = (layout.half_width + 0.5 * (edges[j].y - edges[j].x)).max(0.1);
        let middle = here.midpoint(there) + way * (0.5 * (edges[j].x + edges[j].y));
        let (flat_radius, bottom) = sound(layout, width, flat[j], depth[j]);
        bottoms.push(bottom);
        cuts.push(Region::revolved(
            middle,
            way,
            cove(width, flat_radius, bottom)?,
        ));
        let off_axis = (here - axis * layout.radius)
            .length()
            .max((there + axis * layout.radius).length());
        reach(
            1.5 * off_axis
                + edges[j].x.abs().max(edges[j].y.abs())
                + flat[j].abs().max(depth[j].abs()),
        );
        turned.cove_bore |=
            bottom <= layout.bore_radius + bore_place.dot(axis.truncate().perp()).abs();
    }

    let rims = layout.pierce_radius.map(|radius| radius + oversize);
    let mut entries = vec![DVec3::ZERO; n];
    for (j, bottom) in bottoms.iter().copied().enumerate() {
        for (number, after) in [true, false].into_iter().enumerate() {
            let k = 2 * j + number;
            let axis = layout.towards_cove(j as u32, after);
            let side = DVec3::Z.cross(axis);
            let (a, b) = marks_at(layout, j, after);
            let marked = DVec2::new(0.5 * (along[a] + along[b]), 0.5 * (across[a] + across[b]));
            let left = bottom - (layout.marker_end - marker[k]);
            turned.mark_lost |= left <= 0.0;
            let Some(radius) = rims else { continue };
            let off = marked + begun[k];
            let entry = axis * bottom + side * off.x + DVec3::Z * off.y;
            let way = axis + side * aimed[k].x.tan() + DVec3::Z * aimed[k].y.tan();
            // The marker goes straight at the centre; where it ends the hole must still hold it.
            let inward = layout.marker_end - marker[k] - bottom;
            let beside = |station: f64| {
                let marker_at = marked * (1.0 + station / layout.radius);
                let hole_at = off + DVec2::new(aimed[k].x.tan(), aimed[k].y.tan()) * station;
                marker_at.distance(hole_at) + layout.marker_radius > radius
            };
            turned.marker_shows |= beside(0.0) || beside(inward.min(0.0));
            entries[k] = entry;
            let hole = Profile::cylinder(-bottom - 0.5, CLEAR, radius)?;
            cuts.push(Region::revolved(entry, way, hole));
            reach(off.length() + layout.radius * aimed[k].length() + oversize);
        }
    }
    if let Some(radius) = rims {
        turned.rim_gap = gap(layout, &entries).map(|gap| gap - 2.0 * radius);
    }
    turned.solid = Solid::with_cuts(turned.solid.blank().clone(), cuts);
    Ok(turned)
}

/// The marks that a cove's place on the equator is taken from: one, or the two it lies between.
fn marks_at(layout: &Layout, mounting: usize, after: bool) -> (usize, usize) {
    let n = layout.marks as usize;
    let quarters = mounting * 4 + if after { n } else { 3 * n };
    let low = (quarters / 4) % n;
    if quarters.is_multiple_of(4) {
        (low, low)
    } else {
        (low, (low + 1) % n)
    }
}

/// The flat's and the bottom's radius of a cove that can still be turned: its arc not deeper than a
/// half circle, its flat not above its bottom.
fn sound(layout: &Layout, width: f64, flat: f64, depth: f64) -> (f64, f64) {
    let flat_radius = layout.flat_radius + flat;
    let bottom = layout.bottom_radius + depth;
    (
        flat_radius,
        bottom.clamp(flat_radius - 0.999 * width, flat_radius - 1e-3),
    )
}

fn cove(width: f64, flat: f64, bottom: f64) -> Result<Profile, ProfileError> {
    let depth = flat - bottom;
    let arc = (width * width + depth * depth) / (2.0 * depth);
    Path::from(-width, flat)
        .arc_to(width, flat, DVec2::new(0.0, bottom + arc), Turn::Left)
        .line_to(width, CLEAR)
        .line_to(-width, CLEAR)
        .close()
}

/// A ball of radius `radius` at its equator, `longer` mm longer than that at each pole.
fn ball(radius: f64, longer: f64) -> Result<Region, ProfileError> {
    // The meridian's arc passes the equator at `radius` and the axis at the poles.
    let pole = radius + longer;
    let below = (pole * pole - radius * radius) / (2.0 * radius);
    let profile = Path::from(-pole, 0.0)
        .arc_to(pole, 0.0, DVec2::new(0.0, -below), Turn::Right)
        .close()?;
    Ok(Region::revolved(DVec3::ZERO, DVec3::Z, profile))
}

/// Least distance between the middles of neighbouring holes on the coves' bottoms, mm.
fn gap(layout: &Layout, entries: &[DVec3]) -> Option<f64> {
    let pitch = 1.5 * layout.pitch();
    let mut least = None::<f64>;
    for (number, a) in entries.iter().enumerate() {
        for b in &entries[..number] {
            if a.angle_between(*b) < pitch {
                let apart = a.distance(*b);
                least = Some(least.map_or(apart, |least| least.min(apart)));
            }
        }
    }
    least
}

/// Judges a making against the plan's limits.
pub(super) fn judge(
    turned: &Turned,
    layout: &Layout,
    known: &Known,
    limits: &Limits,
    changed: &mut Changed,
) -> Made {
    known.follow_least(&turned.solid, turned.sway, changed);
    let half = layout.mountings() as usize;
    let is_cove = |face: Face| (2..2 + half).contains(&face.0);
    let is_hole = |face: Face| face.0 >= 2 + half;
    let mut web = None::<f64>;
    let mut through = false;
    for wall in changed.walls.iter().flatten() {
        let [a, b] = wall.faces;
        if is_cove(a) && is_cove(b) {
            // The land between two coves is no wall.
            continue;
        }
        if wall.thickness <= 0.0 {
            through |= (is_cove(a) && is_hole(b)) || (is_hole(a) && is_cove(b));
        } else if wall.stands {
            web = Some(web.map_or(wall.thickness, |web| web.min(wall.thickness)));
        }
    }
    let neck = changed.least_passage().map(|passage| 2.0 * passage.radius);
    let mut faults = Faults::default();
    faults.add(Fault::MarkLost, turned.mark_lost);
    faults.add(Fault::CoveBore, turned.cove_bore);
    faults.add(Fault::Through, through);
    faults.add(
        Fault::RimGap,
        turned.rim_gap.is_some_and(|gap| gap < limits.web),
    );
    faults.add(Fault::Wall, web.is_some_and(|web| web < limits.web));
    faults.add(Fault::Neck, neck.is_some_and(|neck| neck < limits.neck));
    let closed = neck.is_some_and(|neck| neck <= 0.0);
    faults.add(
        Fault::Apart,
        closed && known.parts(&turned.solid, changed) > 1,
    );
    faults.add(Fault::MarkerShows, turned.marker_shows);
    Made {
        faults,
        web,
        neck,
        lost: changed.lost() > 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quick::wood;

    fn layout(marks: u32) -> Layout {
        Layout {
            marks,
            radius: 30.0,
            half_width: 30.0 * (std::f64::consts::PI / f64::from(marks) - 0.03).sin(),
            flat_radius: 30.0 * (std::f64::consts::PI / f64::from(marks) - 0.03).cos(),
            bottom_radius: 24.0,
            bore_radius: 9.0,
            pierce_radius: Some(4.0),
            marker_radius: 1.25,
            marker_end: 21.0,
        }
    }

    /// Without errors a making is the plan's own wood, to rounding.
    #[test]
    fn a_hand_without_errors_makes_the_plan() {
        for marks in [8, 10, 12] {
            let layout = layout(marks);
            let normal = vec![1.3; unknowns(&layout)];
            let turned = turn(&layout, &normal, &[0.0; COUNT]).unwrap();
            let planned = wood(&layout).unwrap();
            assert_eq!(turned.solid.cuts().len(), planned.cuts().len());
            for k in 0..4000 {
                let p = (DVec3::new(0.754_877, 0.569_840, 0.362_150) * f64::from(k)).fract() - 0.5;
                let (a, b) = (turned.solid.depth(60.0 * p), planned.depth(60.0 * p));
                // A hole begun at the cove's bottom ends half a millimetre past the centre as well.
                assert!((a - b).abs() < 1e-9, "{marks}: {a} and {b}");
            }
        }
    }

    /// Every error is drawn exactly once.
    #[test]
    fn all_errors_are_used() {
        for marks in [8, 10] {
            let layout = layout(marks);
            let count = unknowns(&layout);
            let plain = turn(&layout, &vec![0.0; count], &[0.1; COUNT])
                .unwrap()
                .solid;
            let mut seen = 0;
            for k in 0..count {
                let mut normal = vec![0.0; count];
                normal[k] = 1.0;
                let turned = turn(&layout, &normal, &[0.1; COUNT]).unwrap();
                // Marker depths, the last, show in what is judged beside the solid only.
                seen += usize::from(turned.solid != plain);
            }
            assert_eq!(seen, count - marks as usize);
        }
    }

    /// The marks a cove's place is taken from stand where the cove's middle meets the equator.
    #[test]
    fn coves_take_their_place_from_the_marks_beside() {
        for marks in [8, 10, 12, 14] {
            let layout = layout(marks);
            for j in 0..layout.mountings() {
                for after in [true, false] {
                    let (a, b) = marks_at(&layout, j as usize, after);
                    let middle = (layout.towards(a as u32) + layout.towards(b as u32)).normalize();
                    assert!(middle.distance(layout.towards_cove(j, after)) < 1e-9);
                }
            }
        }
    }
}
