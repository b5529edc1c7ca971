//! The shares of a joint's circle that are on the wood.
//!
//! An arc is halved until every other face is settled on it: the depth below a face changes
//! no faster than the way, and where the face bends evenly no faster than its slope and bend
//! say. Arcs down to 0.1 mm are told by their ends.

use std::f64::consts::TAU;

use rondure_solid::Face;

use super::net::Lost;
use super::sheet::{Joint, Sheet, Sheets};
use super::way::SLACK;

/// Where the circle is begun, radians: off the marks, which tend to stand at even shares.
pub(crate) const BEGIN: f64 = 0.1234;
/// Half the length of arcs that are not halved, mm.
const SMALL: f64 = 0.05;

/// The circle at the end of a sheet.
pub(crate) struct Circle<'a> {
    sheets: &'a Sheets<'a>,
    sheet: &'a Sheet,
    /// mm.
    radius: f64,
}

/// Where wood begins and ends along a circle, as far as it has been walked.
struct Walk {
    in_wood: bool,
    ends: Vec<f64>,
}

impl<'a> Circle<'a> {
    pub(crate) fn new(sheets: &'a Sheets<'a>, joint: &Joint) -> Self {
        let sheet = &sheets.list[joint.sheets[0] as usize];
        Self {
            sheets,
            sheet,
            radius: sheet.outline(sheet.length).0.y,
        }
    }

    /// The shares in wood, by their angles; none where all of it is.
    pub(crate) fn shares(&self) -> Result<Option<Vec<[f64; 2]>>, Lost> {
        let faces: Vec<Face> = self
            .sheets
            .faces
            .iter()
            .copied()
            .filter(|face| *face != self.sheet.face)
            .collect();
        let starts_in_wood = self.depth(&faces, BEGIN) > SLACK;
        let mut walk = Walk {
            in_wood: starts_in_wood,
            ends: Vec::new(),
        };
        for quarter in 0..4 {
            let low = BEGIN + 0.25 * TAU * f64::from(quarter);
            self.look(low, low + 0.25 * TAU, &faces, &mut walk)?;
        }
        let ends = walk.ends;
        if ends.is_empty() {
            return Ok((!starts_in_wood).then(Vec::new));
        }
        let from = usize::from(starts_in_wood);
        Ok(Some(
            (from..ends.len())
                .step_by(2)
                .map(|index| {
                    let high = ends.get(index + 1).copied();
                    [ends[index], high.unwrap_or(ends[0] + TAU)]
                })
                .collect(),
        ))
    }

    fn depth(&self, faces: &[Face], angle: f64) -> f64 {
        let p = self.sheet.point(self.sheet.length, angle);
        let solid = self.sheets.patches.solid();
        faces
            .iter()
            .map(|&face| solid.depth_to(face, p))
            .fold(f64::INFINITY, f64::min)
    }

    fn look(&self, low: f64, high: f64, faces: &[Face], walk: &mut Walk) -> Result<(), Lost> {
        let solid = self.sheets.patches.solid();
        let middle = 0.5 * (low + high);
        let reach = 0.5 * (high - low) * self.radius;
        let p = self.sheet.point(self.sheet.length, middle);
        let about = self.sheet.radial(middle + 0.25 * TAU);
        let mut open = Vec::new();
        let mut taken = false;
        for &face in faces {
            let depth = solid.depth_to(face, p);
            if depth.abs() <= reach + SLACK {
                // The circle itself bends the way by 1 / radius.
                let near = reach < 0.4 * self.radius;
                let bend = near.then(|| solid.bend(face, p, reach)).flatten();
                let sure = bend.is_some_and(|bend| {
                    let slope = solid.touch(face, p).inward.dot(about).abs();
                    let bow = 0.5 * (bend + 1.0 / self.radius) * reach * reach;
                    depth.abs() > slope * reach + bow + SLACK
                });
                if !sure {
                    open.push(face);
                    continue;
                }
            }
            taken |= depth < 0.0;
        }
        if taken || open.is_empty() {
            if taken == walk.in_wood {
                return Err(Lost("a joint's ends do not agree"));
            }
            return Ok(());
        }
        if reach > SMALL {
            self.look(low, middle, &open, walk)?;
            return self.look(middle, high, &open, walk);
        }
        for (from, to) in [(low, middle), (middle, high)] {
            let ends_in_wood = self.depth(&open, to) > SLACK;
            if ends_in_wood != walk.in_wood {
                walk.ends.push(self.root(&open, from, to, walk.in_wood));
                walk.in_wood = ends_in_wood;
            }
        }
        Ok(())
    }

    /// Where the wood begins or ends between two angles.
    fn root(&self, faces: &[Face], from: f64, to: f64, from_wood: bool) -> f64 {
        let (mut low, mut high) = (from, to);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if middle <= low || middle >= high {
                break;
            }
            if (self.depth(faces, middle) > 0.0) == from_wood {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }
}
