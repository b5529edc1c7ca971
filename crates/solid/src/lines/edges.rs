//! The edges of the wood along their length, for every view and for none.

use glam::DVec3;

use crate::lines::hidden::Piece;
use crate::lines::run::Run;
use crate::lines::scene::Scene;
use crate::lines::{Frame, LineKind, circles, follow, tidy};
use crate::solid::{Face, Solid};

/// An edge of the wood along its length.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeLine {
    /// The two faces that meet, the lower first; one twice at a corner of a face's own outline.
    pub faces: [Face; 2],
    /// Points of the edge in order, on both surfaces to 1e-7 mm.
    pub points: Vec<DVec3>,
    /// Included angle of the wood at each point, radians: below π where the edge stands out, above
    /// in a corner that goes in.
    pub angles: Vec<f64>,
    /// Whether the last point joins the first.
    pub closed: bool,
}

impl Solid {
    /// All edges of the wood along their length, in order of their faces, every chord within
    /// `tolerance` mm (at least 1e-4) of its edge. What can be missed is told in [`crate::lines`].
    pub fn edge_lines(&self, tolerance: f64) -> Vec<EdgeLine> {
        let tolerance = tolerance.max(1e-4);
        let scene = Scene::new(self, tolerance);
        let pieces = edges(&scene)
            .into_iter()
            .map(|run| Piece {
                kind: run.kind,
                sheets: run.sheets,
                visible: true,
                points: run.points,
            })
            .collect();
        // Where lines fall in a view is of no interest here.
        let frame = Frame {
            right: DVec3::X,
            up: DVec3::Y,
            ahead: DVec3::NEG_Z,
        };
        let mut lines: Vec<(LineKind, EdgeLine)> =
            tidy::lines(&scene, pieces, &frame, 0.75 * tolerance)
                .into_iter()
                .map(|line| {
                    let edge = EdgeLine {
                        faces: line.faces,
                        points: line.places,
                        angles: line.angles,
                        closed: line.closed,
                    };
                    (line.kind, edge)
                })
                .collect();
        lines.sort_by_key(|(kind, line)| (line.faces, *kind));
        lines.into_iter().map(|(_, line)| line).collect()
    }
}

/// Edges between faces and corners within them, wherever they bound the wood.
pub(super) fn edges(scene: &Scene<'_>) -> Vec<Run> {
    let mut runs = circles::circles(scene);
    let ends: Vec<DVec3> = runs
        .iter()
        .flat_map(|run| [run.points[0], run.points[run.points.len() - 1]])
        .collect();
    runs.extend(follow::followed(scene, &ends));
    runs
}
