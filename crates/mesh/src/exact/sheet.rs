//! The smooth pieces of a solid's surface by the way along the outline and the turn about
//! the axis.
//!
//! A sheet is a patch, or half of one that meets the axis at both ends. A point of it is
//! given by the way s along the outline and the angle θ about the axis. A plane is a sheet
//! too: a straight line square to an axis, turned. Two sheets of one face that follow each
//! other share a *joint*, a circle about the axis.

use glam::{DVec2, DVec3};
use rondure_solid::part::{Part, Shape};
use rondure_solid::{Face, Region, Solid};

use crate::patch::{PatchId, Patches, Sense};

/// A sheet by its number.
pub(crate) type SheetId = u32;

/// A part of an outline as a curve of its length.
#[derive(Debug, Clone, Copy)]
enum Curve {
    Line {
        from: DVec2,
        direction: DVec2,
    },
    Arc {
        centre: DVec2,
        radius: f64,
        begin: f64,
        /// 1 counter-clockwise, -1 clockwise.
        turn: f64,
    },
}

#[derive(Debug, Clone, Copy)]
struct Stretch {
    curve: Curve,
    /// Where it begins and ends on the sheet's own way, mm.
    from: f64,
    to: f64,
}

/// What a sheet's way ends at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum End {
    /// The axis: one point of the surface.
    Pole,
    /// A circle shared with another sheet.
    Joint(u32),
    /// Nothing that the wood reaches.
    Open,
}

/// A smooth piece of one face.
#[derive(Debug)]
pub(crate) struct Sheet {
    pub(crate) face: Face,
    pub(crate) patch: PatchId,
    origin: DVec3,
    axis: DVec3,
    across: [DVec3; 2],
    stretches: Vec<Stretch>,
    pub(crate) length: f64,
    /// No point of it is farther from the axis, mm.
    pub(crate) widest: f64,
    pub(crate) ends: [End; 2],
    /// 1 where (s, θ) turn counter-clockwise seen from the air, -1 where clockwise.
    pub(crate) sense: f64,
}

/// The circle two sheets share: the end of the first, the begin of the second.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Joint {
    pub(crate) sheets: [SheetId; 2],
}

/// All sheets of a solid.
#[derive(Debug)]
pub(crate) struct Sheets<'a> {
    pub(crate) patches: &'a Patches<'a>,
    pub(crate) list: Vec<Sheet>,
    pub(crate) joints: Vec<Joint>,
    /// The faces that have sheets: all but later copies of earlier ones.
    pub(crate) faces: Vec<Face>,
    /// The sheets of each face.
    of_face: Vec<Vec<SheetId>>,
}

impl Sheet {
    /// Station and radius, and the direction of travel, at a way.
    pub(crate) fn outline(&self, s: f64) -> (DVec2, DVec2) {
        let index = self
            .stretches
            .partition_point(|stretch| stretch.to < s)
            .min(self.stretches.len() - 1);
        let stretch = &self.stretches[index];
        let along = s - stretch.from;
        match stretch.curve {
            Curve::Line { from, direction } => (from + direction * along, direction),
            Curve::Arc {
                centre,
                radius,
                begin,
                turn,
            } => {
                let out = DVec2::from_angle(begin + turn * along / radius);
                (centre + radius * out, turn * out.perp())
            }
        }
    }

    /// Curvatures of the surface along and about, 1/mm, unsigned.
    pub(crate) fn curvatures(&self, s: f64) -> [f64; 2] {
        let index = self
            .stretches
            .partition_point(|stretch| stretch.to < s)
            .min(self.stretches.len() - 1);
        let along = match self.stretches[index].curve {
            Curve::Line { .. } => 0.0,
            Curve::Arc { radius, .. } => 1.0 / radius,
        };
        let (q, tangent) = self.outline(s);
        [along, tangent.x.abs() / q.y.max(1e-9)]
    }

    /// Unit vector away from the axis at an angle.
    pub(crate) fn radial(&self, angle: f64) -> DVec3 {
        let (sine, cosine) = angle.sin_cos();
        self.across[0] * cosine + self.across[1] * sine
    }

    /// A point of the sheet.
    pub(crate) fn point(&self, s: f64, angle: f64) -> DVec3 {
        let q = self.outline(s).0;
        self.origin + self.axis * q.x + self.radial(angle) * q.y
    }

    /// A bound on the distance of its points from the axis, mm.
    fn farthest(&self) -> f64 {
        let mut farthest: f64 = 0.0;
        for stretch in &self.stretches {
            let length = stretch.to - stretch.from;
            // An arc rises over its chord by no more than this.
            let bow = match stretch.curve {
                Curve::Line { .. } => 0.0,
                Curve::Arc { radius, .. } => (length / 16.0).powi(2) / (8.0 * radius),
            };
            for k in 0..=16 {
                let s = stretch.from + length * f64::from(k) / 16.0;
                farthest = farthest.max(self.outline(s).0.y + bow);
            }
        }
        farthest
    }

    /// A direction in (station, radius) in space, given the direction of the radius.
    pub(crate) fn axis_way(&self, way: DVec2, radial: DVec3) -> DVec3 {
        self.axis * way.x + radial * way.y
    }

    /// Station and radius of a point.
    pub(crate) fn plane(&self, p: DVec3) -> DVec2 {
        let v = p - self.origin;
        let station = v.dot(self.axis);
        DVec2::new(station, (v - self.axis * station).length())
    }

    /// The angle of a point about the axis.
    pub(crate) fn angle(&self, p: DVec3) -> f64 {
        let v = p - self.origin;
        v.dot(self.across[1]).atan2(v.dot(self.across[0]))
    }

    /// The way of the point of the sheet nearest to a point, within its ends.
    pub(crate) fn way(&self, q: DVec2) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for stretch in &self.stretches {
            let length = stretch.to - stretch.from;
            let along = match stretch.curve {
                Curve::Line { from, direction } => (q - from).dot(direction),
                Curve::Arc {
                    centre,
                    radius,
                    begin,
                    turn,
                } => {
                    // The angle past the middle of the arc, so that it never wraps inside.
                    let half = 0.5 * length / radius;
                    let middle = DVec2::from_angle(begin + turn * half);
                    let v = q - centre;
                    radius * (half + turn * middle.perp_dot(v).atan2(middle.dot(v)))
                }
            };
            let along = along.clamp(0.0, length);
            let s = stretch.from + along;
            let off = self.outline(s).0.distance_squared(q);
            if off < best.0 {
                best = (off, s);
            }
        }
        best.1
    }

    /// How far past an end (0 the begin, 1 the end) a point lies, mm along the outline's
    /// direction there, and the direction in which that grows.
    pub(crate) fn past(&self, end: usize, p: DVec3) -> (f64, DVec3) {
        let (q, tangent) = self.outline(if end == 0 { 0.0 } else { self.length });
        let out = if end == 0 { -tangent } else { tangent };
        let v = p - self.origin;
        let station = v.dot(self.axis);
        let aside = v - self.axis * station;
        let radius = aside.length();
        let radial = if radius > 0.0 {
            aside / radius
        } else {
            self.across[0]
        };
        (
            out.dot(DVec2::new(station, radius) - q),
            self.axis * out.x + radial * out.y,
        )
    }

    /// The end whose circle is nearer to a point: 0 the begin, 1 the end.
    pub(crate) fn nearer_end(&self, p: DVec3) -> usize {
        let q = self.plane(p);
        let off = |s: f64| self.outline(s).0.distance_squared(q);
        usize::from(off(self.length) < off(0.0))
    }

    /// Whether a point of the sheet's whole surface is within its ends by 1e-9 mm.
    pub(crate) fn holds(&self, p: DVec3) -> bool {
        let q = self.plane(p);
        let s = self.way(q);
        self.outline(s).0.distance_squared(q) < 1e-18
    }
}

impl<'a> Sheets<'a> {
    pub(crate) fn new(patches: &'a Patches<'a>) -> Self {
        let solid = patches.solid();
        let mut sheets = Self {
            patches,
            list: Vec::new(),
            joints: Vec::new(),
            faces: Vec::new(),
            of_face: vec![Vec::new(); solid.cuts().len() + 1],
        };
        for face in solid.faces() {
            let known =
                |other: &Face| *other != Face::BLANK && solid.region(*other) == solid.region(face);
            if face != Face::BLANK && sheets.faces.iter().any(known) {
                continue;
            }
            sheets.faces.push(face);
            sheets.add(solid, face);
        }
        sheets
    }

    pub(crate) fn sense(&self, sheet: SheetId, p: DVec3) -> Sense {
        self.patches.sense(self.list[sheet as usize].patch, p)
    }

    pub(crate) fn of_face(&self, face: Face) -> &[SheetId] {
        &self.of_face[face.0]
    }

    fn add(&mut self, solid: &Solid, face: Face) {
        let first = self.list.len();
        match solid.region(face) {
            Region::HalfSpace { normal, offset } => {
                let bounds = solid.bounds();
                let centre = bounds.centre();
                let patch = self.patches.of_face(face).next().unwrap_or(0);
                let foot = centre + *normal * (offset - normal.dot(centre));
                let length = bounds.size().length();
                let stretch = Stretch {
                    curve: Curve::Line {
                        from: DVec2::ZERO,
                        direction: DVec2::Y,
                    },
                    from: 0.0,
                    to: length,
                };
                self.push(face, patch, (foot, *normal), vec![stretch]);
                let sheet = self.list.len() - 1;
                self.list[sheet].ends = [End::Pole, End::Open];
            }
            Region::Revolved {
                origin,
                axis,
                profile,
            } => {
                let parts = profile.parts();
                let count = parts.len();
                let begin = (0..count)
                    .find(|&index| starts_run(parts, index))
                    .unwrap_or(0);
                let mut runs: Vec<(usize, Vec<Stretch>)> = Vec::new();
                for step in 0..count {
                    let index = (begin + step) % count;
                    if parts[index].on_axis {
                        continue;
                    }
                    if step == 0 || starts_run(parts, index) {
                        runs.push((index, Vec::new()));
                    }
                    if let Some((_, run)) = runs.last_mut() {
                        run.extend(stretches(&parts[index], run.last().map_or(0.0, |s| s.to)));
                    }
                }
                // Where a run follows another without the axis between, they share a circle.
                let mut whole: Vec<[SheetId; 2]> = Vec::new();
                let lonely = runs.len() == 1;
                for (index, run) in &runs {
                    let patch = self.patches.of_part(face, *index);
                    let from_axis = at_axis(run.first(), false);
                    let to_axis = at_axis(run.last(), true);
                    let cyclic = lonely && !from_axis && !to_axis;
                    let halves = if from_axis && to_axis || cyclic {
                        split(run)
                    } else {
                        vec![run.clone()]
                    };
                    let low = self.list.len() as SheetId;
                    for half in halves {
                        self.push(face, patch, (*origin, *axis), half);
                        let sheet = self.list.len() as SheetId - 1;
                        if sheet > low {
                            self.join(sheet - 1, sheet);
                        }
                    }
                    let high = self.list.len() as SheetId - 1;
                    if from_axis {
                        self.list[low as usize].ends[0] = End::Pole;
                    }
                    if to_axis {
                        self.list[high as usize].ends[1] = End::Pole;
                    }
                    whole.push([low, high]);
                }
                for index in 0..whole.len() {
                    let next = (index + 1) % whole.len();
                    let (high, low) = (whole[index][1], whole[next][0]);
                    if self.list[high as usize].ends[1] == End::Open
                        && self.list[low as usize].ends[0] == End::Open
                    {
                        self.join(high, low);
                    }
                }
            }
        }
        for sheet in first..self.list.len() {
            self.of_face[face.0].push(sheet as SheetId);
            let own = &self.list[sheet];
            let s = 0.5 * own.length;
            let inward = self.patches.sense(own.patch, own.point(s, 0.0)).inward;
            let tangent = own.outline(s).1;
            let right = own.axis * tangent.y - own.across[0] * tangent.x;
            self.list[sheet].sense = if right.dot(inward) < 0.0 { 1.0 } else { -1.0 };
        }
    }

    fn push(&mut self, face: Face, patch: PatchId, line: (DVec3, DVec3), stretches: Vec<Stretch>) {
        let (origin, axis) = line;
        let first = axis.any_orthonormal_vector();
        self.list.push(Sheet {
            face,
            patch,
            origin,
            axis,
            across: [first, axis.cross(first)],
            length: stretches.last().map_or(0.0, |stretch| stretch.to),
            widest: 0.0,
            stretches,
            ends: [End::Open; 2],
            sense: 1.0,
        });
        let sheet = self.list.len() - 1;
        self.list[sheet].widest = self.list[sheet].farthest();
    }

    fn join(&mut self, before: SheetId, after: SheetId) {
        let joint = self.joints.len() as u32;
        self.joints.push(Joint {
            sheets: [before, after],
        });
        self.list[before as usize].ends[1] = End::Joint(joint);
        self.list[after as usize].ends[0] = End::Joint(joint);
    }
}

fn starts_run(parts: &[Part], index: usize) -> bool {
    let before = &parts[(index + parts.len() - 1) % parts.len()];
    before.on_axis || !before.smooth_at_end
}

fn stretches(part: &Part, from: f64) -> Option<Stretch> {
    let (curve, length) = match part.shape {
        Shape::Line { direction, length } => (
            Curve::Line {
                from: part.from,
                direction,
            },
            length,
        ),
        Shape::Arc {
            centre,
            radius,
            left,
            ..
        } => {
            let (a, b) = (part.from - centre, part.to - centre);
            // A part is at most half a turn.
            let sweep = a.perp_dot(b).atan2(a.dot(b)).abs();
            (
                Curve::Arc {
                    centre,
                    radius,
                    begin: a.to_angle(),
                    turn: if left { 1.0 } else { -1.0 },
                },
                sweep * radius,
            )
        }
    };
    (length > 0.0).then_some(Stretch {
        curve,
        from,
        to: from + length,
    })
}

fn at_axis(stretch: Option<&Stretch>, at_end: bool) -> bool {
    let Some(stretch) = stretch else {
        return false;
    };
    let along = if at_end {
        stretch.to - stretch.from
    } else {
        0.0
    };
    let radius = match stretch.curve {
        Curve::Line { from, direction } => (from + direction * along).y,
        Curve::Arc {
            centre,
            radius,
            begin,
            turn,
        } => (centre + radius * DVec2::from_angle(begin + turn * along / radius)).y,
    };
    radius.abs() < 1e-12 * (1.0 + stretch.to.abs()).max(1e3)
}

/// A run cut in two at the middle of its way.
fn split(run: &[Stretch]) -> Vec<Vec<Stretch>> {
    let middle = 0.5 * run.last().map_or(0.0, |stretch| stretch.to);
    let mut halves = vec![Vec::new(), Vec::new()];
    for stretch in run {
        if stretch.from < middle {
            halves[0].push(Stretch {
                to: stretch.to.min(middle),
                ..*stretch
            });
        }
        if stretch.to > middle {
            let cut = (middle - stretch.from).max(0.0);
            let curve = match stretch.curve {
                Curve::Line { from, direction } => Curve::Line {
                    from: from + direction * cut,
                    direction,
                },
                Curve::Arc {
                    centre,
                    radius,
                    begin,
                    turn,
                } => Curve::Arc {
                    centre,
                    radius,
                    begin: begin + turn * cut / radius,
                    turn,
                },
            };
            halves[1].push(Stretch {
                curve,
                from: stretch.from.max(middle) - middle,
                to: stretch.to - middle,
            });
        }
    }
    halves
}
