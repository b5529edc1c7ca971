//! Makes the draft fair: no needless short edges or slivers, chord error kept.
//!
//! Short edges are collapsed where the kept vertex lies on every patch of the one
//! that goes and no triangle turns over; slivers lose their longest edge to a
//! flip; triangles that leave their patch by more than the chord error are split
//! at their longest edge by a vertex on the surface. All three run in a fixed
//! order, so the result does not depend on the number of cores.

use glam::DVec3;

use crate::draft::{Draft, Marks, Vertex, flatness};
use crate::newton::Plane;
use crate::seam::on_solid;
use crate::unfold::unfold;

/// Edges shorter than this share of the cells around are collapsed.
const SHORT: f64 = 0.3;
/// Vertices nearer than this are one, mm.
const SAME_POINT: f64 = 1e-6;
/// Triangles whose least height is below this share of their longest edge are slivers.
const SLIVER: f64 = 0.12;
/// No triangle may turn from its patch by more than the arc cosine of this.
pub(crate) const FACING: f64 = 0.3;

/// Fairs the draft for a chord error of `chord` mm.
pub(crate) fn tidy(draft: &mut Draft<'_>, chord: f64, least: f64) {
    for _ in 0..6 {
        let collapsed = collapse_short(draft, chord);
        flip_slivers(draft, chord);
        let unfolded = unfold(draft);
        if collapsed + unfolded == 0 {
            break;
        }
    }
    for _ in 0..12 {
        if split_far(draft, chord, least) == 0 {
            break;
        }
    }
    flip_slivers(draft, chord);
}

fn collapse_short(draft: &mut Draft<'_>, chord: f64) -> usize {
    let mut short: Vec<_> = draft
        .edges()
        .into_iter()
        .filter_map(|[a, b]| {
            let length = draft.at(a).distance(draft.at(b));
            let size = draft.vertices[a as usize]
                .size
                .min(draft.vertices[b as usize].size);
            (length < SHORT * size).then_some((length, a, b))
        })
        .collect();
    short.sort_by(|x, y| x.0.total_cmp(&y.0).then((x.1, x.2).cmp(&(y.1, y.2))));
    let mut done = 0;
    for (_, a, b) in short {
        let Some(sides) = draft.beside(a, b) else {
            continue;
        };
        if !draft.collapsible(a, b) {
            continue;
        }
        let (marks_a, marks_b) = (
            draft.vertices[a as usize].marks,
            draft.vertices[b as usize].marks,
        );
        // One place, or so near a point of contact that each lies on all patches of the
        // other: keep the vertex on more patches, and all that both lie on.
        if draft.at(a).distance(draft.at(b)) < SAME_POINT
            || (marks_a.ids().len().min(marks_b.ids().len()) > 2
                && covers(draft, a, b)
                && covers(draft, b, a))
        {
            let (gone, kept) = if marks_a.ids().len() > marks_b.ids().len() {
                (b, a)
            } else {
                (a, b)
            };
            draft.vertices[kept as usize].marks = marks_a.union(&marks_b);
            draft.collapse(gone, kept);
            done += 1;
            continue;
        }
        let seam =
            draft.triangles[sides[0] as usize].patch != draft.triangles[sides[1] as usize].patch;
        for (gone, kept, marks) in [(b, a, marks_b), (a, b, marks_a)] {
            if covers(draft, gone, kept)
                && slides(draft, gone, marks.ids().len(), seam)
                && stays_fair(draft, gone, kept, chord, sides)
            {
                draft.collapse(gone, kept);
                done += 1;
                break;
            }
        }
    }
    done
}

/// Whether triangles of more than one patch meet at a vertex.
fn on_seam(draft: &Draft<'_>, vertex: u32) -> bool {
    let mut patches = draft.around[vertex as usize]
        .iter()
        .map(|&t| draft.triangles[t as usize].patch);
    let first = patches.next();
    patches.any(|patch| Some(patch) != first)
}

/// Whether moving `gone` onto `kept` turns no triangle over and keeps the chord error.
fn stays_fair(draft: &Draft<'_>, gone: u32, kept: u32, chord: f64, sides: [u32; 2]) -> bool {
    draft.around[gone as usize]
        .iter()
        .filter(|t| !sides.contains(t))
        .all(|&index| {
            let triangle = &draft.triangles[index as usize];
            let before = draft.points(triangle.corners);
            let after = triangle
                .corners
                .map(|corner| draft.at(if corner == gone { kept } else { corner }));
            let facing = draft.facing(after, triangle.patch);
            let flat = flatness(after).0;
            (facing > 0.7 || facing > FACING && facing >= draft.facing(before, triangle.patch))
                && (flat > 0.5 * SLIVER || flat >= flatness(before).0)
                && draft.chord(after, triangle.patch)
                    <= draft.chord(before, triangle.patch).max(chord)
        })
}

/// Whether a vertex may be taken along an edge: freely inside a patch, along the sharp
/// edge when it is on one.
fn slides(draft: &Draft<'_>, gone: u32, marks: usize, seam: bool) -> bool {
    (marks == 1 && !on_seam(draft, gone)) || (marks == 2 && seam)
}

fn flip_slivers(draft: &mut Draft<'_>, chord: f64) {
    for index in 0..draft.triangles.len() as u32 {
        let triangle = draft.triangles[index as usize];
        if !triangle.alive {
            continue;
        }
        let points = draft.points(triangle.corners);
        let (flat, longest) = flatness(points);
        if flat >= SLIVER {
            continue;
        }
        let (a, b) = (
            triangle.corners[longest],
            triangle.corners[(longest + 1) % 3],
        );
        let Some(sides) = draft.beside(a, b) else {
            continue;
        };
        let other = draft.triangles[sides[1] as usize];
        if other.patch != triangle.patch {
            continue;
        }
        let (c, d) = (
            draft.opposite(sides[0], a, b),
            draft.opposite(sides[1], a, b),
        );
        if c == d || draft.joined(c, d) {
            continue;
        }
        let made = [[a, d, c], [d, b, c]].map(|corners| draft.points(corners));
        let old = [points, draft.points(other.corners)];
        let worst =
            |pair: [[DVec3; 3]; 2]| pair.map(|p| flatness(p).0).into_iter().fold(1.0, f64::min);
        let off = |pair: [[DVec3; 3]; 2]| {
            pair.map(|p| draft.chord(p, triangle.patch))
                .into_iter()
                .fold(0.0, f64::max)
        };
        if worst(made) > worst(old)
            && made.iter().all(|p| draft.facing(*p, triangle.patch) > 0.7)
            && off(made) <= off(old).max(chord)
        {
            draft.flip(a, b);
        }
    }
}

/// Splits the longest edges of triangles too far from their patch.
fn split_far(draft: &mut Draft<'_>, chord: f64, least: f64) -> usize {
    let mut edges: Vec<_> = draft
        .triangles
        .iter()
        .filter(|t| t.alive)
        .filter_map(|triangle| {
            let points = draft.points(triangle.corners);
            if draft.chord(points, triangle.patch) <= chord {
                return None;
            }
            let longest = flatness(points).1;
            let (a, b) = (
                triangle.corners[longest],
                triangle.corners[(longest + 1) % 3],
            );
            let length = draft.at(a).distance(draft.at(b));
            (length > least).then_some((length, a.min(b), a.max(b)))
        })
        .collect();
    edges.sort_by(|x, y| y.0.total_cmp(&x.0).then((x.1, x.2).cmp(&(y.1, y.2))));
    edges.dedup();
    let mut done = 0;
    let mut touched = vec![false; draft.triangles.len()];
    for (length, a, b) in edges {
        let Some(sides) = draft.beside(a, b) else {
            continue;
        };
        if sides
            .iter()
            .any(|&t| touched.get(t as usize).is_none_or(|&t| t))
        {
            continue;
        }
        let on = sides.map(|t| draft.triangles[t as usize].patch);
        let marks = Marks::new(&on);
        let middle = draft.at(a).midpoint(draft.at(b));
        let plane = Plane {
            through: middle,
            normal: (draft.at(b) - draft.at(a)).normalize_or(DVec3::X),
        };
        let home = draft.vertices[a as usize].home;
        let Some(position) = on_solid(
            draft.tree,
            home,
            marks.ids(),
            Some(plane),
            middle,
            0.5 * length,
        ) else {
            continue;
        };
        let size = draft.vertices[a as usize]
            .size
            .min(draft.vertices[b as usize].size);
        for t in sides {
            touched[t as usize] = true;
        }
        draft.split(
            a,
            b,
            Vertex {
                position,
                marks,
                home,
                size,
            },
        );
        done += 1;
    }
    done
}

/// Whether the kept vertex lies on every patch of the one that goes.
pub(crate) fn covers(draft: &Draft<'_>, gone: u32, kept: u32) -> bool {
    let others = draft.vertices[kept as usize].marks;
    let p = draft.at(kept);
    draft.vertices[gone as usize]
        .marks
        .ids()
        .iter()
        .all(|&patch| others.has(patch) || draft.patches().distance(patch, p) < SAME_POINT)
}
