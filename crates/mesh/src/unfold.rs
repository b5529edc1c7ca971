//! Takes folds out of the draft.
//!
//! Near a thin edge several vertices may be pulled to nearly one place and leave
//! triangles that face the wrong way. Each such triangle first looks for another
//! patch all its corners lie on; then the collapse or flip of one of its edges
//! that takes most folded area away, weighted by how far it is turned, is made.
//! The sum falls with every mend, so it ends.

use glam::DVec3;

use crate::draft::{Draft, Triangle};
use crate::mesh::outward;
use crate::patch::PatchId;
use crate::tidy::{FACING, covers};

/// What can be done about a folded triangle.
#[derive(Clone, Copy)]
enum Mend {
    Collapse { gone: u32, kept: u32 },
    Flip { a: u32, b: u32 },
}

/// Collapses or flips edges of folded triangles where that takes folded area away.
pub(crate) fn unfold(draft: &mut Draft<'_>) -> usize {
    let mut done = 0;
    for index in 0..draft.triangles.len() {
        let triangle = draft.triangles[index];
        if !triangle.alive || draft.facing(draft.points(triangle.corners), triangle.patch) > FACING
        {
            continue;
        }
        if let Some(patch) = better_patch(draft, &triangle) {
            draft.triangles[index].patch = patch;
            done += 1;
            continue;
        }
        let mut best: Option<(f64, Mend)> = None;
        for k in 0..3 {
            let (a, b) = (triangle.corners[k], triangle.corners[(k + 1) % 3]);
            let mends = [
                Mend::Collapse { gone: a, kept: b },
                Mend::Collapse { gone: b, kept: a },
                Mend::Flip { a, b },
            ];
            for mend in mends {
                if let Some(gain) = gain(draft, mend)
                    && gain > 0.0
                    && best.is_none_or(|(most, _)| gain > most)
                {
                    best = Some((gain, mend));
                }
            }
        }
        match best {
            Some((_, Mend::Collapse { gone, kept })) => draft.collapse(gone, kept),
            Some((_, Mend::Flip { a, b })) => draft.flip(a, b),
            None => continue,
        }
        done += 1;
    }
    done
}

/// Another patch all corners lie on, which the triangle faces fairly and better than its own.
fn better_patch(draft: &Draft<'_>, triangle: &Triangle) -> Option<PatchId> {
    let points = draft.points(triangle.corners);
    let own = draft.facing(points, triangle.patch);
    let first = draft.vertices[triangle.corners[0] as usize].marks;
    first
        .ids()
        .iter()
        .copied()
        .filter(|&patch| {
            triangle
                .corners
                .iter()
                .all(|&corner| draft.vertices[corner as usize].marks.has(patch))
        })
        .map(|patch| (draft.facing(points, patch), patch))
        .filter(|(facing, _)| *facing > FACING.max(own))
        .max_by(|x, y| x.0.total_cmp(&y.0))
        .map(|(_, patch)| patch)
}

/// Folded area a mend takes away, mm²; none where it is not allowed.
fn gain(draft: &Draft<'_>, mend: Mend) -> Option<f64> {
    let folded = |points: [DVec3; 3], patch| {
        let area = 0.5 * outward(points).length();
        area * (0.5 - draft.facing(points, patch)).max(0.0)
    };
    match mend {
        Mend::Collapse { gone, kept } => {
            let sides = draft.beside(gone, kept)?;
            if !draft.collapsible(gone, kept) {
                return None;
            }
            if !covers(draft, gone, kept) {
                return None;
            }
            let mut gain = 0.0;
            for &index in &draft.around[gone as usize] {
                let triangle = &draft.triangles[index as usize];
                gain += folded(draft.points(triangle.corners), triangle.patch);
                if !sides.contains(&index) {
                    let after = triangle
                        .corners
                        .map(|corner| draft.at(if corner == gone { kept } else { corner }));
                    gain -= folded(after, triangle.patch);
                }
            }
            Some(gain)
        }
        Mend::Flip { a, b } => {
            let sides = draft.beside(a, b)?;
            let [left, right] = sides.map(|t| draft.triangles[t as usize]);
            let (c, d) = (
                draft.opposite(sides[0], a, b),
                draft.opposite(sides[1], a, b),
            );
            if left.patch != right.patch || c == d || draft.joined(c, d) {
                return None;
            }
            let before = [left.corners, right.corners];
            let after = [[a, d, c], [d, b, c]];
            let total = |pair: [[u32; 3]; 2]| -> f64 {
                pair.into_iter()
                    .map(|corners| folded(draft.points(corners), left.patch))
                    .sum()
            };
            Some(total(before) - total(after))
        }
    }
}
