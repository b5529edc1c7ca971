//! Small windows of each sheet: which other faces may pass through them.
//!
//! A rectangle of (s, θ) is halved until no face is as near as its corners, until it is
//! wholly in the air of another face, or until it is small. What is left are the windows in
//! which edges are looked for, and the area that is surely wood's surface.

use std::f64::consts::TAU;

use glam::DVec3;
use rondure_solid::Face;

use super::sheet::{SheetId, Sheets};

/// A small window through which other faces may pass.
#[derive(Debug, Clone)]
pub(crate) struct Window {
    pub(crate) centre: DVec3,
    /// No point of it is farther from its centre, mm.
    pub(crate) reach: f64,
    pub(crate) faces: Vec<Face>,
}

/// What is known of a sheet's area.
#[derive(Debug, Default)]
pub(crate) struct Windows {
    pub(crate) open: Vec<Window>,
    /// Area surely on the wood, mm².
    pub(crate) bare: f64,
    /// Area of the open windows, mm².
    pub(crate) doubtful: f64,
    /// All faces of the open windows, in order: no others bound the sheet's wood.
    pub(crate) faces: Vec<Face>,
}

struct Finder<'a> {
    sheets: &'a Sheets<'a>,
    sheet: SheetId,
    /// Windows of this reach are not halved, mm.
    small: f64,
    found: Windows,
}

/// The windows of a sheet.
pub(crate) fn windows(sheets: &Sheets<'_>, sheet: SheetId, small: f64) -> Windows {
    let own = &sheets.list[sheet as usize];
    let faces: Vec<Face> = sheets
        .faces
        .iter()
        .copied()
        .filter(|face| *face != own.face)
        .collect();
    let mut finder = Finder {
        sheets,
        sheet,
        small,
        found: Windows::default(),
    };
    finder.look([0.0, own.length], [0.0, TAU], &faces);
    let found = finder.found;
    let met = |face: &Face| found.open.iter().any(|window| window.faces.contains(face));
    let faces = faces.into_iter().filter(met).collect();
    Windows { faces, ..found }
}

impl Finder<'_> {
    fn look(&mut self, way: [f64; 2], angle: [f64; 2], faces: &[Face]) {
        let own = &self.sheets.list[self.sheet as usize];
        let middle = [way, angle].map(|[low, high]| 0.5 * (low + high));
        let half = [way, angle].map(|[low, high]| 0.5 * (high - low));
        let q = own.outline(middle[0]).0;
        let centre = own.point(middle[0], middle[1]);
        let widest = (q.y + half[0]).min(own.widest);
        // Along the outline first, then about the axis at the way reached.
        let about = (half[1] * widest).min(2.0 * widest);
        let reach = half[0] + about;
        let solid = self.sheets.patches.solid();
        let mut kept = Vec::new();
        for &face in faces {
            let depth = solid.depth_to(face, centre);
            if depth < -reach {
                return;
            }
            if depth <= reach {
                kept.push(face);
            }
        }
        let area = || {
            // Simpson's rule on the radius, four times over the window.
            let radius = |share: f64| own.outline(way[0] + 2.0 * half[0] * share).0.y;
            let even: f64 = (1..4).map(|k| radius(f64::from(k) / 4.0)).sum();
            let odd: f64 = (0..4).map(|k| radius((f64::from(k) + 0.5) / 4.0)).sum();
            let mean = (radius(0.0) + radius(1.0) + 2.0 * even + 4.0 * odd) / 24.0;
            4.0 * half[0] * half[1] * mean
        };
        if kept.is_empty() {
            self.found.bare += area();
        } else if reach <= self.small {
            self.found.doubtful += area();
            self.found.open.push(Window {
                centre,
                reach,
                faces: kept,
            });
        } else if half[0] > half[1] * widest {
            self.look([way[0], middle[0]], angle, &kept);
            self.look([middle[0], way[1]], angle, &kept);
        } else {
            self.look(way, [angle[0], middle[1]], &kept);
            self.look(way, [middle[1], angle[1]], &kept);
        }
    }
}
