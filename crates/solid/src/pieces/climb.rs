//! A walk inwards from a box's centre, through balls of wood that overlap.

use glam::DVec3;

use crate::leaves::{Leaf, Leaves};
use crate::solid::Solid;

/// Where a climb came to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Climb {
    /// The largest ball of wood on the way; radius 0 where the centre is air.
    pub ball: (DVec3, f64),
    end: End,
}

#[derive(Debug, Clone, Copy)]
enum End {
    /// In a box, joined to no other.
    Here,
    /// At this point of a wooden box.
    Wood(DVec3),
    /// At the centre of a box that is deeper there than where the climb began.
    Centre(DVec3),
}

/// Wood less deep than this is left to finer boxes, mm.
const SHALLOW: f64 = 1e-6;

impl Climb {
    /// Walks inwards from a box's centre, until it comes to a wooden box or meets the ball
    /// about a deeper centre.
    pub(super) fn from(solid: &Solid, leaves: &Leaves, number: usize) -> Self {
        let start = &leaves.all[number];
        let mut climb = Self {
            ball: (start.cell.centre, start.depth.max(0.0)),
            end: End::Here,
        };
        if start.depth <= SHALLOW {
            climb.ball.1 = 0.0;
            return climb;
        }
        let mut leaf = start;
        let mut point = start.cell.centre;
        let mut before = 0.0;
        for step in 1..=256 {
            if leaf.wood {
                climb.end = End::Wood(point);
                return climb;
            }
            let depth = depth(solid, leaf, point);
            if depth <= SHALLOW {
                return climb;
            }
            if depth > climb.ball.1 {
                climb.ball = (point, depth);
            }
            if leaf.depth > start.depth && point.distance(leaf.cell.centre) < depth + leaf.depth {
                climb.end = End::Centre(leaf.cell.centre);
                return climb;
            }
            // In a feather the way gains slowly, on a summit it does not gain.
            if step % 8 == 0 {
                if climb.ball.1 < 1.02 * before {
                    return climb;
                }
                before = climb.ball.1;
            }
            // Away from all faces that are near, to go along the middle of a feather; inside
            // the ball of wood about the point, so that every step is joined to the last.
            let away: DVec3 = leaf
                .faces
                .iter()
                .map(|face| solid.touch(*face, point))
                .filter(|touch| touch.depth < 2.0 * depth)
                .map(|touch| touch.inward * (2.0 - touch.depth / depth))
                .sum();
            point += 0.9 * depth * away.normalize_or_zero();
            match leaves.at(point) {
                Some(found) => leaf = &leaves.all[found],
                None => return climb,
            }
        }
        climb
    }

    /// The box it joins its own to, which may have been halved since; an error where it must
    /// be climbed again, as it joins none or that is no longer known.
    pub(super) fn joins(&self, leaves: &Leaves) -> Result<Option<usize>, ()> {
        let (point, centre) = match self.end {
            End::Here if self.ball.1 == 0.0 => return Ok(None),
            End::Here => return Err(()),
            End::Wood(point) => (point, false),
            End::Centre(point) => (point, true),
        };
        let found = leaves.at(point).ok_or(())?;
        let leaf = &leaves.all[found];
        (leaf.wood || centre && leaf.cell.centre == point)
            .then_some(Some(found))
            .ok_or(())
    }
}

fn depth(solid: &Solid, leaf: &Leaf, point: DVec3) -> f64 {
    leaf.faces
        .iter()
        .map(|face| solid.depth_to(*face, point))
        .fold(f64::INFINITY, f64::min)
}
