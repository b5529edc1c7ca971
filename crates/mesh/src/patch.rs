//! The smooth pieces of a solid's surface, as functions that go on past their ends.
//!
//! A face (the blank or one cut) is as smooth as its outline: each run of parts
//! joined without a corner is one *patch*, each corner between two runs a ridge or
//! a valley. A patch is measured by the exact signed distance to its line or
//! circle without ends, positive on the wood's side. That function is smooth
//! where patches meet, which is what Newton's method needs to find the edge two
//! patches share or the corner of three.

use glam::{DVec2, DVec3};
use rondure_solid::part::{Part, Shape};
use rondure_solid::{Face, Region, Solid};

/// Faces nearer to each other than this are one: the earliest gives its name. mm.
const SAME_FACE: f64 = 1e-9;

/// A patch by its number.
pub(crate) type PatchId = u32;

/// One smooth piece of one face.
#[derive(Debug)]
struct Patch {
    face: Face,
    pieces: Vec<Piece>,
}

/// One part of an outline with the side the wood is on.
#[derive(Debug)]
enum Piece {
    Line {
        from: DVec2,
        direction: DVec2,
        length: f64,
        /// Unit vector into the wood.
        inward: DVec2,
    },
    Arc {
        centre: DVec2,
        radius: f64,
        /// First and last end, counter-clockwise.
        first: DVec2,
        last: DVec2,
        /// 1 where the wood is outside the circle, -1 where it is inside.
        side: f64,
    },
}

/// All patches of a solid.
#[derive(Debug)]
pub(crate) struct Patches<'a> {
    solid: &'a Solid,
    list: Vec<Patch>,
    /// For each face, the patch of each part of its outline.
    of_part: Vec<Vec<PatchId>>,
}

/// The value of a patch's function at a point.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sense {
    /// Distance to the patch without ends, mm; positive on the wood's side.
    pub(crate) depth: f64,
    /// Unit vector along which it grows.
    pub(crate) inward: DVec3,
    /// The greater principal curvature of the patch beside the point, 1/mm.
    pub(crate) bend: f64,
}

impl<'a> Patches<'a> {
    pub(crate) fn new(solid: &'a Solid) -> Self {
        let mut list = Vec::new();
        let mut of_part = Vec::new();
        for face in solid.faces() {
            let side = if face == Face::BLANK { -1.0 } else { 1.0 };
            match solid.region(face) {
                Region::HalfSpace { .. } => {
                    of_part.push(vec![list.len() as PatchId]);
                    list.push(Patch {
                        face,
                        pieces: Vec::new(),
                    });
                }
                Region::Revolved { profile, .. } => {
                    let parts = profile.parts();
                    let mut ids = vec![PatchId::MAX; parts.len()];
                    // Begin behind a corner, so that a run is never met in its middle.
                    let begin = (0..parts.len())
                        .find(|&index| starts_run(parts, index))
                        .unwrap_or(0);
                    for step in 0..parts.len() {
                        let index = (begin + step) % parts.len();
                        if parts[index].on_axis {
                            continue;
                        }
                        if step == 0 || starts_run(parts, index) {
                            list.push(Patch {
                                face,
                                pieces: Vec::new(),
                            });
                        }
                        let middle = middle(&parts[index]);
                        let inward = profile.nearest(middle).gradient * side;
                        let id = list.len() - 1;
                        list[id].pieces.push(Piece::new(&parts[index], inward));
                        ids[index] = id as PatchId;
                    }
                    of_part.push(ids);
                }
            }
        }
        Self {
            solid,
            list,
            of_part,
        }
    }

    pub(crate) fn solid(&self) -> &'a Solid {
        self.solid
    }

    pub(crate) fn face(&self, patch: PatchId) -> Face {
        self.list[patch as usize].face
    }

    /// The patches of one face.
    pub(crate) fn of_face(&self, face: Face) -> impl Iterator<Item = PatchId> + '_ {
        let mut last = PatchId::MAX;
        self.of_part[face.0].iter().copied().filter(move |&id| {
            let new = id != PatchId::MAX && id != last;
            last = id;
            new
        })
    }

    /// The patch of one part of a face's outline.
    pub(crate) fn of_part(&self, face: Face, part: usize) -> PatchId {
        self.of_part[face.0][part]
    }

    /// Depth below the surface as far as the given faces tell, mm.
    pub(crate) fn depth(&self, faces: &[Face], p: DVec3) -> f64 {
        faces
            .iter()
            .map(|&face| self.solid.depth_to(face, p))
            .fold(f64::INFINITY, f64::min)
    }

    /// The patch that bounds the wood at a point of the surface.
    pub(crate) fn at(&self, faces: &[Face], p: DVec3) -> PatchId {
        let depth = self.depth(faces, p);
        let face = faces
            .iter()
            .copied()
            .find(|&face| self.solid.depth_to(face, p) <= depth + SAME_FACE)
            .unwrap_or(Face::BLANK);
        let part = match self.solid.region(face) {
            Region::HalfSpace { .. } => 0,
            Region::Revolved {
                origin,
                axis,
                profile,
            } => profile.nearest(to_plane(*origin, *axis, p).0).part,
        };
        self.of_part[face.0][part]
    }

    /// Of the patches that meet at a point of the surface, the one that `air` is farthest
    /// before; none where it is before none of them, and wood may stand between.
    pub(crate) fn at_toward(&self, faces: &[Face], p: DVec3, air: DVec3) -> Option<PatchId> {
        let mut best = (f64::INFINITY, PatchId::MAX);
        for &face in faces {
            if self.solid.depth_to(face, p).abs() > 1e-6 {
                continue;
            }
            for patch in self.of_face(face) {
                if self.distance(patch, p) < 1e-6 {
                    let depth = self.sense(patch, air).depth;
                    if depth < best.0 {
                        best = (depth, patch);
                    }
                }
            }
        }
        (best.0 < 0.0).then_some(best.1)
    }

    /// The function of a patch without ends.
    pub(crate) fn sense(&self, patch: PatchId, p: DVec3) -> Sense {
        let patch = &self.list[patch as usize];
        match self.solid.region(patch.face) {
            Region::HalfSpace { .. } => {
                let touch = self.solid.touch(patch.face, p);
                Sense {
                    depth: touch.depth,
                    inward: touch.inward,
                    bend: 0.0,
                }
            }
            Region::Revolved { origin, axis, .. } => {
                let (q, radial) = to_plane(*origin, *axis, p);
                let (depth, inward, bend) = patch.nearest_piece(q).sense(q);
                Sense {
                    depth,
                    inward: *axis * inward.x + radial * inward.y,
                    bend,
                }
            }
        }
    }

    /// Distance to the patch with its ends, mm; never negative.
    pub(crate) fn distance(&self, patch: PatchId, p: DVec3) -> f64 {
        let patch = &self.list[patch as usize];
        match self.solid.region(patch.face) {
            Region::HalfSpace { .. } => self.solid.depth_to(patch.face, p).abs(),
            Region::Revolved { origin, axis, .. } => {
                let q = to_plane(*origin, *axis, p).0;
                patch.nearest_piece(q).distance(q)
            }
        }
    }
}

impl Patch {
    fn nearest_piece(&self, q: DVec2) -> &Piece {
        let mut best = &self.pieces[0];
        if self.pieces.len() > 1 {
            let mut least = best.distance(q);
            for piece in &self.pieces[1..] {
                let distance = piece.distance(q);
                if distance < least {
                    (best, least) = (piece, distance);
                }
            }
        }
        best
    }
}

impl Piece {
    fn new(part: &Part, inward: DVec2) -> Self {
        match part.shape {
            Shape::Line { direction, length } => Self::Line {
                from: part.from,
                direction,
                length,
                inward: direction.perp() * direction.perp().dot(inward).signum(),
            },
            Shape::Arc {
                centre,
                radius,
                left,
                ..
            } => {
                let (first, last) = if left {
                    (part.from, part.to)
                } else {
                    (part.to, part.from)
                };
                Self::Arc {
                    centre,
                    radius,
                    first,
                    last,
                    side: inward.dot(middle(part) - centre).signum(),
                }
            }
        }
    }

    /// Signed distance to the line or circle without ends, its direction, its curvature.
    fn sense(&self, q: DVec2) -> (f64, DVec2, f64) {
        match self {
            Self::Line { from, inward, .. } => {
                let depth = inward.dot(q - *from);
                let radius = (q - *inward * depth).y.abs();
                let bend = if inward.y.abs() < 1e-12 {
                    0.0
                } else {
                    inward.y.abs() / radius
                };
                (depth, *inward, bend)
            }
            Self::Arc {
                centre,
                radius,
                side,
                ..
            } => {
                let v = q - *centre;
                let length = v.length();
                let out = if length > 0.0 { v / length } else { DVec2::Y };
                let foot = *centre + out * *radius;
                let parallel = if centre.y == 0.0 {
                    1.0 / radius
                } else {
                    out.y.abs() / foot.y.abs()
                };
                (
                    side * (length - radius),
                    out * *side,
                    parallel.max(1.0 / radius),
                )
            }
        }
    }

    fn distance(&self, q: DVec2) -> f64 {
        match self {
            Self::Line {
                from,
                direction,
                length,
                ..
            } => q.distance(*from + *direction * (q - *from).dot(*direction).clamp(0.0, *length)),
            Self::Arc {
                centre,
                radius,
                first,
                last,
                ..
            } => {
                let v = q - *centre;
                if (*first - *centre).perp_dot(v) >= 0.0 && v.perp_dot(*last - *centre) >= 0.0 {
                    (v.length() - radius).abs()
                } else {
                    q.distance(*first).min(q.distance(*last))
                }
            }
        }
    }
}

/// Whether a corner, or the axis, stands before this part.
fn starts_run(parts: &[Part], index: usize) -> bool {
    let before = &parts[(index + parts.len() - 1) % parts.len()];
    before.on_axis || !before.smooth_at_end
}

fn middle(part: &Part) -> DVec2 {
    match part.shape {
        Shape::Line { .. } => part.from.midpoint(part.to),
        Shape::Arc {
            centre,
            radius,
            upper,
            ..
        } => {
            // A part never passes the leftmost or rightmost point of its circle, so the
            // chord's middle and the half it lies on tell the arc's middle.
            let across = part.to - part.from;
            let up = if across.x < 0.0 {
                -across.perp()
            } else {
                across.perp()
            };
            centre + up.normalize() * if upper { radius } else { -radius }
        }
    }
}

/// Station and radius of a point, and the unit vector of its radius.
fn to_plane(origin: DVec3, axis: DVec3, p: DVec3) -> (DVec2, DVec3) {
    let from_origin = p - origin;
    let station = from_origin.dot(axis);
    let across = from_origin - axis * station;
    let radius = across.length();
    let radial = if radius > 0.0 {
        across / radius
    } else {
        axis.any_orthonormal_vector()
    };
    (DVec2::new(station, radius), radial)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rondure_solid::{Path, Profile, Turn};

    /// A cove with straight walls, a bottom arc and tangent entries.
    fn groove() -> Solid {
        let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(30.0).unwrap());
        let profile = Path::from(-5.0, 40.0)
            .line_to(-5.0, 25.0)
            .arc_to(5.0, 25.0, DVec2::new(0.0, 25.0), Turn::Left)
            .line_to(5.0, 40.0)
            .close()
            .unwrap();
        Solid::new(ball).cut(Region::revolved(DVec3::ZERO, DVec3::X, profile))
    }

    #[test]
    fn a_run_without_corners_is_one_patch() {
        let solid = groove();
        let patches = Patches::new(&solid);
        // The ball; the wall, arc, wall in one run; the far lid.
        assert_eq!(patches.list.len(), 3);
        assert_eq!(patches.of_face(Face(1)).count(), 2);
    }

    #[test]
    fn on_the_surface_the_patch_measures_the_depth() {
        let solid = groove();
        let patches = Patches::new(&solid);
        let faces: Vec<_> = solid.faces().collect();
        for p in [
            DVec3::new(4.0, 21.0, 1.0),
            DVec3::new(1.0, 2.0, 18.0),
            DVec3::new(-6.0, 0.0, 27.0),
            DVec3::new(-20.0, 5.0, 20.0),
        ] {
            let patch = patches.at(&faces, p);
            let sense = patches.sense(patch, p);
            assert!((sense.depth - solid.depth(p)).abs() < 1e-12, "{p}");
            assert!(
                (sense.inward - solid.nearest(p).inward).length() < 1e-12,
                "{p}"
            );
        }
    }
}
