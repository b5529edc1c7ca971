//! The solid as lines see it: its sheets, its boxes, and what counts as an edge.

use glam::DVec3;

use crate::lines::boxes::Boxes;
use crate::lines::sheet::{Sense, Sheet};
use crate::patch::{Curve, Whole, patches};
use crate::solid::{Face, Solid};

/// A point this near to a surface is on it, mm. Traced points are within 1e-9.
pub(super) const ON: f64 = 1e-7;

/// How near to both sheets a traced point is brought, mm.
const CLOSE: f64 = 1e-10;

/// How far beside an edge its two surfaces are looked at, mm.
const ASIDE: f64 = 0.01;

/// Two surfaces that meet at an angle nearer to flat than this, radians (0.06°), are one
/// smooth surface to the eye.
pub(super) const SMOOTH: f64 = 1e-3;

pub(super) struct Scene<'a> {
    pub solid: &'a Solid,
    pub sheets: Vec<Sheet>,
    /// For each face, its sheets.
    pub of_face: Vec<std::ops::Range<usize>>,
    pub boxes: Boxes<'a>,
    /// How far a chord may lie from its curve, mm.
    pub sagitta: f64,
    /// The longest step across which a bite out of a curve may be missed, mm.
    pub fine: f64,
    /// Size of the small boxes, mm.
    pub spacing: f64,
}

/// Whether a place belongs to the drawing, and how far along the curve that cannot change, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Standing {
    pub stands: bool,
    pub room: f64,
}

impl<'a> Scene<'a> {
    pub fn new(solid: &'a Solid, tolerance: f64) -> Self {
        let sheets: Vec<Sheet> = patches(solid).iter().map(Sheet::new).collect();
        let of_face = solid
            .faces()
            .map(|face| {
                let begin = sheets.partition_point(|sheet| sheet.face < face);
                begin..sheets.partition_point(|sheet| sheet.face <= face)
            })
            .collect();
        let spacing = solid.bounds().size().max_element() / 48.0;
        Self {
            solid,
            sheets,
            of_face,
            boxes: Boxes::new(solid, spacing),
            sagitta: 0.125 * tolerance,
            // With radii of some millimetres a bite this wide is far less deep than the tolerance.
            fine: tolerance.sqrt().clamp(0.01, 0.25).min(0.2 * spacing),
            spacing,
        }
    }

    /// The point on both sheets nearest to `start`, by Newton steps in the plane of their normals.
    pub fn settle(&self, on: [usize; 2], start: DVec3) -> Option<DVec3> {
        let mut at = start;
        let mut last = f64::INFINITY;
        for _ in 0..20 {
            let [first, second] = on.map(|sheet| self.sheets[sheet].sense(at));
            let worst = first.depth.abs().max(second.depth.abs());
            if worst < CLOSE || (worst < 1e-9 && worst >= last) {
                return Some(at);
            }
            last = worst;
            let (a, b) = (first.inward, second.inward);
            let along = a.dot(b);
            let determinant = 1.0 - along * along;
            if determinant < 1e-9 {
                return None;
            }
            // Least-norm step s with s·a = −depth_a, s·b = −depth_b.
            let x = (-first.depth + along * second.depth) / determinant;
            let y = (-second.depth + along * first.depth) / determinant;
            let step = a * x + b * y;
            if step.length() > 4.0 * self.spacing {
                return None;
            }
            at += step;
        }
        None
    }

    /// Whether wood hides `p` from an eye that lies far along the unit vector `way`.
    pub fn hidden(&self, p: DVec3, way: DVec3, least: f64) -> bool {
        self.boxes
            .blocked(p, way, least, |at, faces| self.glide(at, way, faces))
    }

    /// How far on from `p` a straight way keeps to a flat or a cylinder of the given faces.
    fn glide(&self, p: DVec3, way: DVec3, faces: &[Face]) -> f64 {
        let mut far: f64 = 0.0;
        for sheet in faces
            .iter()
            .flat_map(|face| &self.sheets[self.of_face[face.0].clone()])
        {
            let Curve::Line { direction, .. } = sheet.curve else {
                continue;
            };
            let along = match sheet.whole {
                Whole::Plane => sheet.axis.dot(way).abs() < 1e-10,
                _ => direction.y.abs() < 1e-10 && sheet.axis.cross(way).length() < 1e-10,
            };
            if along {
                let sense = sheet.sense(p);
                if sense.depth.abs() < ON {
                    far = far.max(sense.slack);
                }
            }
        }
        far
    }

    /// The point of one sheet near `p`.
    fn onto(&self, sheet: usize, mut p: DVec3) -> DVec3 {
        for _ in 0..3 {
            let sense = self.sheets[sheet].sense(p);
            p -= sense.inward * sense.depth;
        }
        p
    }

    /// Whether `p`, on two sheets of two faces, is on an edge of the wood.
    pub fn edge(&self, on: [usize; 2], p: DVec3, constant: &[Face]) -> Standing {
        let senses = on.map(|sheet| self.sheets[sheet].sense(p));
        let [a, b] = senses;
        let along = a.inward.dot(b.inward);
        let ways = [b.inward - a.inward * along, a.inward - b.inward * along]
            .map(DVec3::normalize_or_zero);
        self.joint(on, p, senses, ways, constant)
    }

    /// Whether `p`, on two sheets, is where the wood's surface bends from one to the other;
    /// `ways` lead from it along either sheet. `constant` names faces that keep their distance
    /// along the curve.
    pub fn joint(
        &self,
        on: [usize; 2],
        p: DVec3,
        senses: [Sense; 2],
        ways: [DVec3; 2],
        constant: &[Face],
    ) -> Standing {
        let faces = on.map(|sheet| self.sheets[sheet].face);
        let one = faces[0] == faces[1];
        let leaf = match self.boxes.near_wood(p) {
            Ok(leaf) => leaf,
            Err(room) => {
                return Standing {
                    stands: false,
                    room,
                };
            }
        };
        let mut room = self.spacing;
        let mut stands = true;
        let mut touching = Vec::new();
        if !one {
            for (sense, face) in senses.iter().zip(faces) {
                // Of a circle all of it is within the ends, or none.
                if !constant.contains(&face) {
                    room = tighter(room, sense.slack);
                }
                stands &= sense.slack >= -ON;
                if sense.slack < ON {
                    touching.push(face);
                }
            }
        }
        for &face in &leaf.faces {
            let depth = self.solid.depth_to(face, p);
            stands &= depth >= -ON;
            if faces.contains(&face) {
                continue;
            }
            if !constant.contains(&face) {
                room = tighter(room, depth);
            }
            if depth < ON {
                touching.push(face);
            }
        }
        if !stands || touching.is_empty() {
            return Standing { stands, room };
        }
        for k in 0..2 {
            let beside = self.onto(on[k], p + ways[k] * ASIDE);
            for &face in &touching {
                let touch = self.solid.touch(face, beside);
                // Beyond the ends of its own part a face has turned away from the sheet.
                let removed =
                    touch.depth < -10.0 * ON || (face == faces[k] && touch.depth > 10.0 * ON);
                // Of surfaces that coincide the earliest draws the line.
                let same = touch.inward.dot(self.sheets[on[k]].sense(beside).inward);
                let other = !faces.contains(&face) && touch.depth < ON;
                let twin = other && face < faces[k] && same > 0.9;
                // Two cuts that end at one surface leave no wood between them.
                let nothing = other && same < -0.9;
                if removed || twin || nothing {
                    return Standing {
                        stands: false,
                        room,
                    };
                }
            }
        }
        Standing { stands, room }
    }

    /// Whether `p`, on one sheet, is on the wood's surface and drawn by this sheet.
    pub fn surface(&self, sheet: usize, p: DVec3, constant: &[Face]) -> Standing {
        let own = &self.sheets[sheet];
        let sense = own.sense(p);
        let leaf = match self.boxes.near_wood(p) {
            Ok(leaf) => leaf,
            Err(room) => {
                return Standing {
                    stands: false,
                    room,
                };
            }
        };
        let mut room = tighter(self.spacing, sense.slack);
        let mut stands = sense.slack >= -ON;
        let mut touching = Vec::new();
        for &face in &leaf.faces {
            let depth = self.solid.depth_to(face, p);
            stands &= depth >= -ON;
            if face == own.face {
                continue;
            }
            if !constant.contains(&face) {
                room = tighter(room, depth);
            }
            if depth < ON && face < own.face {
                touching.push(face);
            }
        }
        if stands && !touching.is_empty() {
            let way = sense.inward.any_orthonormal_vector();
            let beside = [way, sense.inward.cross(way), -way]
                .map(|way| self.onto(sheet, p + way * (5.0 * ASIDE)));
            let twin = |face: Face| {
                beside
                    .iter()
                    .all(|p| self.solid.depth_to(face, *p).abs() < ON)
            };
            stands = !touching.into_iter().any(twin);
        }
        Standing { stands, room }
    }

    /// Included angle of the wood between two directions that lead along its surfaces from an edge.
    pub fn included(inward: DVec3, ways: [DVec3; 2]) -> f64 {
        let angle = ways[0].angle_between(ways[1]);
        if inward.dot(ways[1]) >= 0.0 {
            angle
        } else {
            std::f64::consts::TAU - angle
        }
    }
}

/// Nothing can change before some margin has gone to nothing, and none goes faster than the way.
fn tighter(room: f64, margin: f64) -> f64 {
    room.min(margin.abs())
}
