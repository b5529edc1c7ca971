//! The net of all sharp edges of a solid, each followed once.
//!
//! Joints are circles: the shares of them that are on the wood are parted by halving, since
//! the depth never changes faster than the way. Where sheets of two faces cross, the curve
//! is followed from every corner known and from a seed in every small window of a sheet
//! through which another face may pass. Each corner starts the curves of all sheets that
//! meet in it, so one seed finds a whole connected net.

use std::f64::consts::TAU;

use glam::DVec3;
use rayon::prelude::*;
use rondure_solid::Face;

use super::circle::{BEGIN, Circle};
use super::sheet::{Joint, SheetId, Sheets};
use super::way::{SLACK, Steps, Stop, Way};
use super::windows::{Window, Windows};

/// Corners nearer than this are one, mm.
const SAME_CORNER: f64 = 1e-6;
/// How far from a corner a curve is tried, mm.
const PROBE: f64 = 1e-3;

/// Why a net could not be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Lost(pub(crate) &'static str);

/// A sharp edge.
#[derive(Debug, Clone)]
pub(crate) struct Rim {
    /// For a crossing: the first sheet's wood is on the left along the nodes, seen from the
    /// air, the second's on the right. For a joint: the sheet that ends in it and the one
    /// that begins, the nodes in the sense of the angle.
    pub(crate) sheets: [SheetId; 2],
    pub(crate) joint: bool,
    /// Numbers of its points; the first again at the end where it is closed.
    pub(crate) nodes: Vec<u32>,
}

/// All sharp edges.
#[derive(Debug, Default)]
pub(crate) struct Net {
    pub(crate) nodes: Vec<DVec3>,
    pub(crate) rims: Vec<Rim>,
}

/// A way out of a corner: the corner, the sheets, forward or backward.
type Port = (u32, [SheetId; 2], bool);

struct Weaver<'a> {
    sheets: &'a Sheets<'a>,
    steps: Steps,
    net: Net,
    /// The corners and their sheets.
    corners: Vec<(u32, Vec<SheetId>)>,
    used: Vec<Port>,
    /// Boxes around the edges.
    extents: Vec<(DVec3, DVec3)>,
}

/// A point of the curve two sheets share.
struct Seed {
    pair: [SheetId; 2],
    at: DVec3,
}

/// Points of the curves other faces leave in a window of a sheet. A pair of sheets is looked
/// for in the windows of the first.
fn seeds(sheets: &Sheets<'_>, sheet: SheetId, window: &Window, steps: Steps) -> Vec<Seed> {
    let solid = sheets.patches.solid();
    let mut found = Vec::new();
    for &face in &window.faces {
        for &other in sheets.of_face(face) {
            let patch = sheets.list[other as usize].patch;
            if other < sheet || sheets.patches.distance(patch, window.centre) > window.reach {
                continue;
            }
            let pair = [sheet, other];
            // A curve through the window is no farther from its centre than the window is.
            let way = Way::new(sheets, pair, steps);
            let Some(at) = way.onto(window.centre, None, 1.3 * window.reach) else {
                continue;
            };
            let taken = |third: &Face| *third != face && solid.depth_to(*third, at) < -SLACK;
            if !window.faces.iter().any(taken) {
                found.push(Seed { pair, at });
            }
        }
    }
    found
}

/// Follows all sharp edges.
pub(crate) fn weave(sheets: &Sheets<'_>, windows: &[Windows], steps: Steps) -> Result<Net, Lost> {
    let mut weaver = Weaver {
        sheets,
        steps,
        net: Net::default(),
        corners: Vec::new(),
        used: Vec::new(),
        extents: Vec::new(),
    };
    let shares: Vec<_> = sheets
        .joints
        .par_iter()
        .map(|joint| Circle::new(sheets, joint).shares())
        .collect();
    for (joint, shares) in sheets.joints.iter().zip(shares) {
        weaver.circle(joint, shares?);
    }
    weaver.follow_from(0)?;
    let seeds: Vec<Vec<Seed>> = windows
        .par_iter()
        .enumerate()
        .map(|(sheet, windows)| {
            let seeds = |window| seeds(sheets, sheet as SheetId, window, steps);
            windows.open.iter().flat_map(seeds).collect()
        })
        .collect();
    for seed in seeds.iter().flatten() {
        weaver.follow_seed(seed)?;
    }
    weaver.part_twins()?;
    Ok(weaver.net)
}

impl Weaver<'_> {
    fn node(&mut self, p: DVec3) -> u32 {
        self.net.nodes.push(p);
        self.net.nodes.len() as u32 - 1
    }

    /// The corner at a place, new where none is there.
    fn corner(&mut self, p: DVec3) -> u32 {
        let known = self
            .corners
            .iter()
            .find(|(node, _)| self.net.nodes[*node as usize].distance(p) < SAME_CORNER);
        if let Some((node, _)) = known {
            return *node;
        }
        let solid = self.sheets.patches.solid();
        let mut meeting = Vec::new();
        for &face in &self.sheets.faces {
            if solid.depth_to(face, p).abs() > SAME_CORNER {
                continue;
            }
            for &sheet in self.sheets.of_face(face) {
                let own = &self.sheets.list[sheet as usize];
                let q = own.plane(p);
                if own.outline(own.way(q)).0.distance(q) < SAME_CORNER {
                    meeting.push(sheet);
                }
            }
        }
        let node = self.node(p);
        self.corners.push((node, meeting));
        node
    }

    fn face(&self, sheet: SheetId) -> Face {
        self.sheets.list[sheet as usize].face
    }

    /// Adds the shares of a joint that are on the wood.
    fn circle(&mut self, joint: &Joint, shares: Option<Vec<[f64; 2]>>) {
        let sheets = joint.sheets;
        let own = &self.sheets.list[sheets[0] as usize];
        let s = own.length;
        let radius = own.outline(s).0.y;
        let Some(shares) = shares else {
            let count = self.count(radius, TAU).max(6);
            let first = self.net.nodes.len() as u32;
            for k in 0..count {
                let p = own.point(s, BEGIN + TAU * k as f64 / count as f64);
                self.net.nodes.push(p);
            }
            let mut nodes: Vec<u32> = (first..first + count as u32).collect();
            nodes.push(first);
            self.add(sheets, true, nodes);
            return;
        };
        for [low, high] in shares {
            let count = self.count(radius, high - low);
            let mut nodes = vec![self.corner(own.point(s, low))];
            for k in 1..count {
                let angle = low + (high - low) * k as f64 / count as f64;
                nodes.push(self.node(own.point(s, angle)));
            }
            nodes.push(self.corner(own.point(s, high)));
            self.add(sheets, true, nodes);
        }
    }

    /// How many chords an arc of a circle needs.
    fn count(&self, radius: f64, angle: f64) -> usize {
        let turn = (8.0 * self.steps.chord / radius).sqrt();
        let turn = turn.min(0.6).min(self.steps.longest / radius);
        (angle / turn).ceil().max(1.0) as usize
    }

    /// Follows every curve out of the corners from number `next` on, and out of those they
    /// end in.
    fn follow_from(&mut self, mut next: usize) -> Result<(), Lost> {
        while next < self.corners.len() {
            let (node, meeting) = self.corners[next].clone();
            for (index, &one) in meeting.iter().enumerate() {
                for &other in &meeting[index + 1..] {
                    if self.face(one) != self.face(other) {
                        for forward in [true, false] {
                            self.follow_port(node, [one.min(other), one.max(other)], forward)?;
                        }
                    }
                }
            }
            next += 1;
        }
        Ok(())
    }

    fn follow_port(&mut self, node: u32, pair: [SheetId; 2], forward: bool) -> Result<(), Lost> {
        if self.used.contains(&(node, pair, forward)) {
            return Ok(());
        }
        let corner = self.net.nodes[node as usize];
        let mut way = Way::new(self.sheets, pair, self.steps);
        let Some(along) = way.along(corner) else {
            return Ok(());
        };
        let along = if forward { along } else { -along };
        let probe = way.onto(corner + along * PROBE, Some(along), PROBE);
        let Some(probe) = probe.filter(|&probe| way.is_real(probe)) else {
            return Ok(());
        };
        let (points, stop) = way.follow(probe, forward, false);
        let Stop::Corner(end) = stop else {
            return Err(Lost("a curve from a corner has no end"));
        };
        self.used.push((node, pair, forward));
        let end_node = self.corner(end);
        let arrival = (end_node, pair, !forward);
        if self.used.contains(&arrival) {
            return Err(Lost("two curves arrive as one"));
        }
        self.used.push(arrival);
        let mut nodes = vec![node];
        for &p in &points[..points.len() - 1] {
            nodes.push(self.node(p));
        }
        nodes.push(end_node);
        if !forward {
            nodes.reverse();
        }
        self.add(pair, false, nodes);
        Ok(())
    }

    /// Follows the curve through a seed, if it is not yet followed.
    fn follow_seed(&mut self, seed: &Seed) -> Result<(), Lost> {
        let Seed { pair, at } = *seed;
        let mut way = Way::new(self.sheets, pair, self.steps);
        if self.known(&way, at) || !way.is_real(at) || way.along(at).is_none() {
            return Ok(());
        }
        let (points, stop) = way.follow(at, true, true);
        match stop {
            Stop::Lost => Err(Lost("a curve from a seed was lost")),
            Stop::Closed => {
                let first = self.node(at);
                let mut nodes = vec![first];
                for p in points {
                    nodes.push(self.node(p));
                }
                nodes.push(first);
                self.add(pair, false, nodes);
                Ok(())
            }
            Stop::Corner(corner) => {
                let next = self.corners.len();
                self.corner(corner);
                if self.corners.len() == next {
                    return Err(Lost("a curve ends in a corner it did not start from"));
                }
                self.follow_from(next)
            }
        }
    }

    fn add(&mut self, sheets: [SheetId; 2], joint: bool, nodes: Vec<u32>) {
        let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        for node in &nodes {
            let p = self.net.nodes[*node as usize];
            (low, high) = (low.min(p), high.max(p));
        }
        self.extents.push((low, high));
        self.net.rims.push(Rim {
            sheets,
            joint,
            nodes,
        });
    }

    /// Whether a point lies on an edge already followed.
    fn known(&self, way: &Way<'_>, p: DVec3) -> bool {
        let near = 1.5 * self.steps.chord + SAME_CORNER;
        self.net
            .rims
            .iter()
            .zip(&self.extents)
            .filter(|(rim, _)| !rim.joint && rim.sheets == way.pair)
            .filter(|(_, (low, high))| {
                (*low - near).cmple(p).all() && (*high + near).cmpge(p).all()
            })
            .any(|(rim, _)| {
                rim.nodes.windows(2).any(|ends| {
                    let [a, b] = [ends[0], ends[1]].map(|node| self.net.nodes[node as usize]);
                    let chord = b - a;
                    let length = chord.length_squared().max(1e-30);
                    let share = (p - a).dot(chord) / length;
                    if !(-0.01..=1.01).contains(&share) {
                        return false;
                    }
                    let foot = a + chord * share;
                    foot.distance_squared(p) <= near * near
                        && (foot.distance(p) < SAME_CORNER
                            || way
                                .onto(foot, Some(chord / length.sqrt()), 2.0 * near)
                                .is_some_and(|q| q.distance(p) < 1e-5))
                })
            })
    }

    /// Edges of two points that share both get a third, so that no two are one.
    fn part_twins(&mut self) -> Result<(), Lost> {
        let mut short: Vec<([u32; 2], usize)> = self
            .net
            .rims
            .iter()
            .enumerate()
            .filter(|(_, rim)| rim.nodes.len() == 2)
            .map(|(index, rim)| {
                let (a, b) = (rim.nodes[0], rim.nodes[1]);
                ([a.min(b), a.max(b)], index)
            })
            .collect();
        short.sort_unstable();
        let twins: Vec<usize> = short
            .windows(2)
            .filter(|pair| pair[0].0 == pair[1].0)
            .map(|pair| pair[1].1)
            .collect();
        for rim in twins {
            if !self.net.part(self.sheets, rim, 0) {
                return Err(Lost("a short edge cannot be parted"));
            }
        }
        Ok(())
    }
}

impl Net {
    /// Puts a point into the middle of one chord of an edge.
    pub(crate) fn part(&mut self, sheets: &Sheets<'_>, rim: usize, chord: usize) -> bool {
        let Rim {
            sheets: pair,
            joint,
            ref nodes,
        } = self.rims[rim];
        let [a, b] = [nodes[chord], nodes[chord + 1]].map(|node| self.nodes[node as usize]);
        let middle = a.midpoint(b);
        let placed = if joint {
            let own = &sheets.list[pair[0] as usize];
            Some(own.point(own.length, own.angle(middle)))
        } else {
            let steps = Steps {
                chord: 1.0,
                longest: 1.0,
            };
            Way::new(sheets, pair, steps).onto(middle, (b - a).try_normalize(), 0.5 * a.distance(b))
        };
        let Some(placed) = placed else {
            return false;
        };
        let node = self.nodes.len() as u32;
        self.nodes.push(placed);
        self.rims[rim].nodes.insert(chord + 1, node);
        true
    }
}
