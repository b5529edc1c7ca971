//! A sheet laid flat: rows of points as dense as the chord error asks, and the plane they
//! are triangulated in.
//!
//! Rows are circles about the axis. The plane has polar coordinates, the angle about the
//! axis and a radius that grows from row to row by as much as the points of a row are
//! apart; so a mesh whose triangles are even in the plane is as fine on the sheet as the
//! bends along and about it ask, long along a bore and short about it. A pole is the
//! middle of the plane.

use std::f64::consts::TAU;

use glam::{DVec2, DVec3};
use rondure_solid::Face;

use super::sheet::{End, SheetId, Sheets};
use super::way::SLACK;

/// Height of an even triangle over its side.
const EVEN: f64 = 0.866;
/// Points keep this share of their spacing away from edges.
const MARGIN: f64 = 0.55;
/// A triangle is at most this many times longer one way than the other.
const LONG: f64 = 6.0;
/// The sheet turns by no more than this from point to point, radians.
const TURN: f64 = 0.6;
/// The plane's outermost radius is at most e to this times its innermost.
const STRETCH: f64 = 60.0;

/// How fine a chart is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fine {
    /// The farthest triangles may stand off, mm.
    pub(crate) chord: f64,
    /// The longest side of a triangle, mm.
    pub(crate) longest: f64,
}

struct Row {
    /// Way along the outline from the chart's own begin, mm.
    s: f64,
    /// Logarithm of the plane's radius.
    log: f64,
    /// Spacings along and about, mm.
    apart: [f64; 2],
    /// Number of points.
    count: usize,
}

/// A sheet's plane.
pub(crate) struct Chart<'a> {
    sheets: &'a Sheets<'a>,
    pub(crate) sheet: SheetId,
    /// The other faces that may bound the sheet's wood.
    faces: &'a [Face],
    rows: Vec<Row>,
    /// Whether the way is told from the sheet's end backwards.
    backwards: bool,
    /// The pole, where it is on the wood.
    pub(crate) pole: Option<DVec3>,
}

impl<'a> Chart<'a> {
    /// The chart of the part of a sheet that lies between the ways of its edges; none where
    /// a pole lies on an edge.
    pub(crate) fn new(
        sheets: &'a Sheets<'a>,
        sheet: SheetId,
        faces: &'a [Face],
        edges: impl Iterator<Item = DVec3>,
        fine: Fine,
    ) -> Option<Self> {
        let own = &sheets.list[sheet as usize];
        let mut chart = Self {
            sheets,
            sheet,
            faces,
            rows: Vec::new(),
            backwards: own.ends[0] != End::Pole && own.ends[1] == End::Pole,
            pole: None,
        };
        for (end, s) in [(0, 0.0), (1, own.length)] {
            if own.ends[end] != End::Pole {
                continue;
            }
            let p = own.point(s, 0.0);
            let depth = chart.depth(p);
            if depth.abs() < 1e-6 {
                return None;
            }
            if depth > 0.0 {
                chart.pole = Some(p);
            }
        }
        let (mut low, mut high) = (f64::INFINITY, 0.0f64);
        for p in edges {
            let s = own.way(own.plane(p));
            let s = if chart.backwards { own.length - s } else { s };
            (low, high) = (low.min(s), high.max(s));
        }
        if chart.pole.is_some() {
            low = 0.0;
        }
        chart.lay_rows(low, high, fine);
        Some(chart)
    }

    pub(crate) fn sheets(&self) -> &'a Sheets<'a> {
        self.sheets
    }

    /// Depth below all faces that may bound the sheet's wood, mm.
    pub(crate) fn depth(&self, p: DVec3) -> f64 {
        let solid = self.sheets.patches.solid();
        self.faces
            .iter()
            .map(|&face| solid.depth_to(face, p))
            .fold(f64::INFINITY, f64::min)
    }

    fn way(&self, s: f64) -> f64 {
        if self.backwards {
            self.sheets.list[self.sheet as usize].length - s
        } else {
            s
        }
    }

    /// Spacings that the bends at a way allow, along and about.
    fn apart(&self, s: f64, fine: Fine) -> [f64; 2] {
        let own = &self.sheets.list[self.sheet as usize];
        let way = self.way(s).clamp(0.0, own.length);
        let [along, about] = own.curvatures(way);
        let radius = own.outline(way).0.y;
        let least = 2.0 * fine.chord;
        let free = |bend: f64| (6.0 * fine.chord / bend.max(1e-9)).sqrt();
        let row = (EVEN * free(along))
            .min(TURN / along.max(1e-9))
            .min(EVEN * fine.longest);
        let beside = free(about)
            .min((TURN * radius).max(least))
            .min(fine.longest);
        [row.min(LONG * beside), beside.min(LONG * row)]
    }

    fn lay_rows(&mut self, low: f64, high: f64, fine: Fine) {
        let mut s = low;
        let mut log = 0.0;
        loop {
            // As fine as the finer end of the step asks.
            let inner = self.apart(s + 1e-3, fine);
            let far = self.apart(s + inner[0], fine);
            let step = inner[0].min(far[0]).max(0.3 * inner[0]);
            let apart = self.apart((s + 0.5 * step).min(high), fine);
            let radius = self.radius(s.min(high));
            let beside = self.apart(s.min(high).max(1e-3), fine)[1];
            let count = (TAU * radius / beside).ceil().max(3.0) as usize;
            self.rows.push(Row {
                s,
                log,
                apart: [step, beside],
                count,
            });
            if s >= high {
                break;
            }
            let about = TAU * self.radius((s + 0.5 * step).min(high)) / apart[1];
            log += EVEN * TAU / about.max(3.0);
            s += step;
        }
        let whole = self.rows.last().map_or(0.0, |row| row.log);
        if whole > STRETCH {
            for row in &mut self.rows {
                row.log *= STRETCH / whole;
            }
        }
    }

    fn radius(&self, s: f64) -> f64 {
        let own = &self.sheets.list[self.sheet as usize];
        own.outline(self.way(s).clamp(0.0, own.length)).0.y
    }

    /// Where a point of the sheet lies in the plane.
    pub(crate) fn place(&self, p: DVec3) -> DVec2 {
        let own = &self.sheets.list[self.sheet as usize];
        let s = own.way(own.plane(p));
        self.spot(
            if self.backwards { own.length - s } else { s },
            own.angle(p),
        )
    }

    fn spot(&self, s: f64, angle: f64) -> DVec2 {
        let above = self
            .rows
            .partition_point(|row| row.s < s)
            .clamp(1, (self.rows.len() - 1).max(1));
        let radius = if self.rows.len() < 2 {
            (s - self.rows[0].s + 1.0).max(0.1)
        } else {
            let (one, other) = (&self.rows[above - 1], &self.rows[above]);
            let share = (s - one.s) / (other.s - one.s);
            if above == 1 && self.pole.is_some() {
                share * other.log.exp()
            } else {
                (one.log + share * (other.log - one.log)).exp()
            }
        };
        let angle = if self.backwards { -angle } else { angle };
        DVec2::from_angle(angle) * radius
    }

    /// Points inside the part of the sheet that is on the wood, away from its edges, with
    /// their places in the plane.
    pub(crate) fn points(&self) -> Vec<(DVec3, DVec2)> {
        let own = &self.sheets.list[self.sheet as usize];
        let solid = self.sheets.patches.solid();
        let mut found = Vec::new();
        let bounded = [0, 1].map(|end| matches!(own.ends[end], End::Joint(_) | End::Open));
        let mut near: Vec<Face> = Vec::new();
        for (index, row) in self.rows.iter().enumerate() {
            let way = self.way(row.s);
            let away = MARGIN * row.apart[0];
            if row.s <= 0.0 && self.pole.is_some()
                || way < 0.0
                || way > own.length
                || bounded[0] && way < away
                || bounded[1] && own.length - way < away
            {
                continue;
            }
            let (q, tangent) = own.outline(way);
            let pitch = TAU / row.count as f64;
            let spacing = pitch * q.y;
            let widest = row.apart[0].max(row.apart[1]);
            // Of all faces those that come near the row.
            near.clear();
            let mut skip = 0usize;
            for k in 0..row.count {
                if skip > 0 {
                    skip -= 1;
                    continue;
                }
                let angle = pitch * (k as f64 + 0.5 * (index & 1) as f64);
                let p = own.point(way, angle);
                let mut least = f64::INFINITY;
                near.clear();
                for &face in self.faces {
                    let depth = solid.depth_to(face, p);
                    least = least.min(depth);
                    if depth < 0.0 {
                        break;
                    }
                    if depth < widest {
                        near.push(face);
                    }
                }
                if least <= SLACK {
                    skip = (-least / spacing).floor().max(0.0) as usize;
                    continue;
                }
                let radial = own.radial(angle);
                let about = own.radial(angle + 0.25 * TAU);
                let along = own.axis_way(tangent, radial);
                let clear = near.iter().all(|&face| {
                    let touch = solid.touch(face, p);
                    let rise = DVec2::new(
                        touch.inward.dot(along) * row.apart[0] / EVEN,
                        touch.inward.dot(about) * row.apart[1],
                    );
                    touch.depth > MARGIN * rise.length() && touch.depth > 1e-6
                });
                if clear {
                    found.push((p, self.spot(row.s, angle)));
                }
            }
        }
        found
    }
}
