//! One curve two sheets share, followed from point to point.
//!
//! Steps go along the cross product of the two inward directions, are brought back onto
//! both sheets by Newton's method, and are as long as the chord error allows. The curve
//! ends where another face takes the wood away or one of the sheets ends; that place is
//! found to 1e-11 mm by false position along the curve.

use glam::DVec3;
use rondure_solid::Face;

use super::sheet::{SheetId, Sheets};

/// A point is on a sheet when it is within this of it, mm.
const ON_SHEET: f64 = 1e-11;
/// Wood that is missing by less than this is there, mm.
pub(crate) const SLACK: f64 = 1e-9;
/// Sheets that turn by less than this (sine) from each other touch and do not cross.
pub(crate) const TOUCHING: f64 = 1e-5;
/// A curve turns by no more than this from point to point, radians.
const TURN: f64 = 0.6;

/// How long steps may be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Steps {
    /// The farthest a chord may stand off its curve, mm.
    pub(crate) chord: f64,
    /// The longest step, mm.
    pub(crate) longest: f64,
}

/// What can end a curve.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Event {
    Face(Face),
    End(SheetId, usize),
}

/// How a curve ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Stop {
    Corner(DVec3),
    Closed,
    /// It could not be followed.
    Lost,
}

/// The faces that may matter about a place.
struct Near {
    place: DVec3,
    reach: f64,
    faces: Vec<Face>,
}

/// Two sheets of different faces, and the curve they share.
pub(crate) struct Way<'a> {
    sheets: &'a Sheets<'a>,
    pub(crate) pair: [SheetId; 2],
    steps: Steps,
    near: Near,
}

impl<'a> Way<'a> {
    pub(crate) fn new(sheets: &'a Sheets<'a>, pair: [SheetId; 2], steps: Steps) -> Self {
        Self {
            sheets,
            pair,
            steps,
            near: Near {
                place: DVec3::INFINITY,
                reach: 0.0,
                faces: Vec::new(),
            },
        }
    }

    /// The direction of the curve at a point of it: the first sheet's wood is on its left
    /// seen from the air. None where the sheets touch.
    pub(crate) fn along(&self, p: DVec3) -> Option<DVec3> {
        let [a, b] = self.pair.map(|sheet| self.sheets.sense(sheet, p).inward);
        let across = a.cross(b);
        let sine = across.length();
        (sine > TOUCHING).then(|| across / sine)
    }

    /// The point of both sheets nearest to `start`, in a plane through it where one is given.
    pub(crate) fn onto(&self, start: DVec3, plane: Option<DVec3>, reach: f64) -> Option<DVec3> {
        let mut p = start;
        for _ in 0..12 {
            let [a, b] = self.pair.map(|sheet| self.sheets.sense(sheet, p));
            if a.depth.abs().max(b.depth.abs()) < ON_SHEET {
                return Some(p);
            }
            let (n, m) = (a.inward, b.inward);
            let step = match plane {
                Some(normal) => {
                    // Three planes: their common point by Cramer's rule.
                    let volume = normal.dot(n.cross(m));
                    if volume.abs() < 1e-9 {
                        return None;
                    }
                    let rest = normal.dot(start - p);
                    (m.cross(normal) * -a.depth + normal.cross(n) * -b.depth + n.cross(m) * rest)
                        / volume
                }
                None => {
                    let along = n.dot(m);
                    let free = 1.0 - along * along;
                    if free < TOUCHING * TOUCHING {
                        return None;
                    }
                    let x = (-a.depth + along * b.depth) / free;
                    let y = (-b.depth + along * a.depth) / free;
                    n * x + m * y
                }
            };
            p += step;
            let gone = p.distance(start);
            if gone.is_nan() || gone > reach {
                return None;
            }
        }
        let [a, b] = self.pair.map(|sheet| self.sheets.sense(sheet, p));
        (a.depth.abs().max(b.depth.abs()) < 10.0 * ON_SHEET).then_some(p)
    }

    /// Whether a point of both sheets is on the wood's own surface.
    pub(crate) fn is_real(&mut self, p: DVec3) -> bool {
        self.look(p, 0.0);
        self.pair
            .iter()
            .all(|&sheet| self.sheets.list[sheet as usize].holds(p))
            && self
                .near
                .faces
                .iter()
                .all(|&face| self.sheets.patches.solid().depth_to(face, p) > -SLACK)
    }

    /// Sees to it that the near faces are known about a point.
    fn look(&mut self, p: DVec3, step: f64) {
        if p.distance(self.near.place) + 1.2 * step <= self.near.reach {
            return;
        }
        let own = self.pair.map(|sheet| self.sheets.list[sheet as usize].face);
        let reach = self.steps.longest.max(3.0 * step);
        self.near.faces.clear();
        self.near.faces.extend(
            self.sheets
                .faces
                .iter()
                .copied()
                .filter(|face| !own.contains(face))
                .filter(|&face| self.sheets.patches.solid().depth_to(face, p) <= reach + SLACK),
        );
        self.near.place = p;
        self.near.reach = reach;
    }

    /// What is left at a point before an event, mm, and the direction in which it grows.
    fn left(&self, event: Event, p: DVec3) -> (f64, DVec3) {
        match event {
            Event::Face(face) => {
                let touch = self.sheets.patches.solid().touch(face, p);
                (touch.depth, touch.inward)
            }
            Event::End(sheet, end) => {
                let (past, way) = self.sheets.list[sheet as usize].past(end, p);
                (-past, -way)
            }
        }
    }

    /// Follows the curve from a point of it, forwards or backwards; the points after the
    /// first, the last of which is the corner where it ends in one.
    pub(crate) fn follow(
        &mut self,
        start: DVec3,
        forward: bool,
        closes: bool,
    ) -> (Vec<DVec3>, Stop) {
        let sign = if forward { 1.0 } else { -1.0 };
        let mut points = Vec::new();
        let Some(begin) = self.along(start).map(|way| way * sign) else {
            return (points, Stop::Lost);
        };
        let (mut p, mut way) = (start, begin);
        let mut step = 0.5 * self.steps.longest;
        for _ in 0..100_000 {
            let Some((next, turned)) = self.step(p, way, sign, &mut step) else {
                return (points, Stop::Lost);
            };
            self.look(p, p.distance(next));
            if let Some(corner) = self.ended(p, way, next, turned) {
                let Some(corner) = corner else {
                    return (points, Stop::Lost);
                };
                even_out(self, start, &mut points, corner);
                points.push(corner);
                return (points, Stop::Corner(corner));
            }
            if closes && points.len() > 2 {
                let reach = 1.5 * p.distance(next);
                let before = (p - start).dot(begin) < 0.0 && p.distance(start) < reach;
                let after = (next - start).dot(begin) >= 0.0 && next.distance(start) < reach;
                if before && after && way.dot(begin) > 0.5 {
                    even_out(self, start, &mut points, start);
                    return (points, Stop::Closed);
                }
            }
            points.push(next);
            (p, way) = (next, turned);
        }
        (points, Stop::Lost)
    }

    /// The next point, and the direction there.
    fn step(&self, p: DVec3, way: DVec3, sign: f64, step: &mut f64) -> Option<(DVec3, DVec3)> {
        for _ in 0..40 {
            let length = *step;
            let next = self.onto(p + way * length, Some(way), length);
            if let Some(next) = next
                && let Some(turned) = self.along(next).map(|way| way * sign)
            {
                let turn = way.dot(turned).clamp(-1.0, 1.0).acos();
                let off = p.distance(next) * turn / 8.0;
                if off <= self.steps.chord && turn <= TURN {
                    let room = (0.8 * self.steps.chord / off.max(1e-12))
                        .sqrt()
                        .min(0.9 * TURN / turn.max(1e-9));
                    *step = (length * room.clamp(0.7, 1.6)).min(self.steps.longest);
                    return Some((next, turned));
                }
                let room = (0.8 * self.steps.chord / off).sqrt().min(0.9 * TURN / turn);
                *step = length * room.clamp(0.2, 0.8);
            } else {
                *step = 0.5 * length;
            }
            if *step < 1e-4 {
                return None;
            }
        }
        None
    }

    /// The first corner between two points of the curve: none where there is none, an inner
    /// none where it was not found.
    fn ended(&self, p: DVec3, way: DVec3, next: DVec3, turned: DVec3) -> Option<Option<DVec3>> {
        let length = p.distance(next);
        let mut first: Option<(f64, Event)> = None;
        let mut lost = false;
        let ends = self
            .pair
            .into_iter()
            .flat_map(|sheet| [0, 1].map(|end| Event::End(sheet, end)));
        let events = self
            .near
            .faces
            .iter()
            .map(|&face| Event::Face(face))
            .chain(ends);
        for event in events {
            let left = match event {
                Event::Face(face) => self.sheets.patches.solid().depth_to(face, next),
                Event::End(..) => self.left(event, next).0,
            };
            let mut gone = (left < -SLACK).then_some(1.0);
            if let Event::End(sheet, end) = event {
                let own = &self.sheets.list[sheet as usize];
                // Only the end that is near is told by its own plane.
                gone = gone.filter(|_| !own.holds(next) && own.nearer_end(next) == end);
            }
            if gone.is_none() && left < 1.1 * length {
                // A dip between the two: falling at the one, rising at the other.
                let (before, grows) = self.left(event, p);
                let (fall, rise) = (grows.dot(way), self.left(event, next).1.dot(turned));
                if before < 1.1 * length && fall < 0.0 && rise > 0.0 {
                    let share = ((left - before - rise * length) / ((fall - rise) * length))
                        .clamp(0.05, 0.95);
                    if before + fall * share * length < 0.0 {
                        gone = self.dip(event, p, next, share);
                    }
                }
            }
            if let Some(gone) = gone {
                match self.root(event, p, next, gone) {
                    Some(share) => {
                        if first.is_none_or(|(least, _)| share < least) {
                            first = Some((share, event));
                        }
                    }
                    None => lost = true,
                }
            }
        }
        if lost {
            return Some(None);
        }
        first.map(|(share, _)| self.between(p, next, share))
    }

    /// The point of the curve above a share of the chord from `p` to `next`.
    fn between(&self, p: DVec3, next: DVec3, share: f64) -> Option<DVec3> {
        let chord = next - p;
        self.onto(
            p + chord * share,
            Some(chord.normalize_or(DVec3::X)),
            chord.length(),
        )
    }

    /// A share at which an event has taken the wood, if the dip goes so deep.
    fn dip(&self, event: Event, p: DVec3, next: DVec3, guess: f64) -> Option<f64> {
        let at = |share: f64| {
            self.between(p, next, share)
                .map_or(f64::INFINITY, |q| match event {
                    Event::End(sheet, _) if self.sheets.list[sheet as usize].holds(q) => 1.0,
                    _ => self.left(event, q).0,
                })
        };
        let (mut low, mut high) = (0.0, 1.0);
        let mut share = guess;
        for _ in 0..24 {
            let here = at(share);
            if here < -SLACK {
                return Some(share);
            }
            let (left, right) = (0.5 * (low + share), 0.5 * (share + high));
            let (on_left, on_right) = (at(left), at(right));
            if on_left < here && on_left <= on_right {
                high = share;
                share = left;
            } else if on_right < here {
                low = share;
                share = right;
            } else {
                low = left;
                high = right;
            }
        }
        None
    }

    /// The share at which an event takes the wood, between 0 and `gone`.
    fn root(&self, event: Event, p: DVec3, next: DVec3, gone: f64) -> Option<f64> {
        let at = |share: f64| Some(self.left(event, self.between(p, next, share)?).0);
        let (mut low, mut at_low) = (0.0, self.left(event, p).0);
        let (mut high, mut at_high) = (gone, at(gone)?);
        if at_low <= 0.0 {
            // It stood on the event already, which is none of this curve's unless it goes on.
            return if at_low > -SLACK { Some(0.0) } else { None };
        }
        let mut last = 0.0;
        let mut share = gone;
        for _ in 0..60 {
            share = low + (high - low) * at_low / (at_low - at_high);
            let here = at(share)?;
            if here.abs() < ON_SHEET || high - low < 1e-14 {
                break;
            }
            if here > 0.0 {
                (low, at_low) = (share, here);
                if last > 0.0 {
                    at_high *= 0.5;
                }
            } else {
                (high, at_high) = (share, here);
                if last < 0.0 {
                    at_low *= 0.5;
                }
            }
            last = here;
        }
        Some(share)
    }
}

/// Puts the last point before the end into the middle where it would crowd the end.
fn even_out(way: &Way<'_>, start: DVec3, points: &mut [DVec3], end: DVec3) {
    let Some(&last) = points.last() else {
        return;
    };
    let before = points.len().checked_sub(2).map_or(start, |at| points[at]);
    if last.distance(end) < 0.6 * last.distance(before)
        && let Some(middle) = way.between(before, end, 0.5)
        && let Some(last) = points.last_mut()
    {
        *last = middle;
    }
}
