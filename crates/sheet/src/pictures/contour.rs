//! Outlines of the darker part of a field of shades on a square grid.
//!
//! Marching squares: each cell joins the crossings on its four sides by straight lines, the dark
//! side on the left; every crossing is left once and reached once, so outlines are closed. Crossings are placed
//! linearly along a side, and points that lie within a twelfth of a cell of a straight run are left out.

use rondure_solid::DVec2;

/// How far a point may stand off a straight run and still be left out, cells.
const STRAIGHT: f64 = 0.08;

/// The outlines of the places below `bound`, in cells from the first sample; rows are `wide` samples.
/// The field's rim must be above the bound.
pub(super) fn outlines(field: &[f64], wide: usize, bound: f64) -> Vec<Vec<DVec2>> {
    if wide < 2 {
        return Vec::new();
    }
    let tall = field.len() / wide;
    let dark = |x: usize, y: usize| field[y * wide + x] < bound;
    // A side is named by its first sample, and by whether it runs along the row or up.
    let side = |x: usize, y: usize, upright: bool| 2 * (y * wide + x) + usize::from(upright);
    let mut next: Vec<u32> = vec![u32::MAX; 2 * field.len()];
    for y in 0..tall.saturating_sub(1) {
        for x in 0..wide - 1 {
            let corners = [
                dark(x, y),
                dark(x + 1, y),
                dark(x + 1, y + 1),
                dark(x, y + 1),
            ];
            let sides = [
                side(x, y, false),
                side(x + 1, y, true),
                side(x, y + 1, false),
                side(x, y, true),
            ];
            // Going round the cell anticlockwise, the line leaves where dark begins to be met and
            // ends at the next side where dark is left: dark stays on its left, and two dark
            // corners across from each other stay apart.
            for corner in 0..4 {
                let before = (corner + 3) % 4;
                if corners[corner] && !corners[before] {
                    let mut end = corner;
                    while corners[(end + 1) % 4] {
                        end = (end + 1) % 4;
                    }
                    // Side k lies between corners k and k + 1.
                    next[sides[end]] = sides[before] as u32;
                }
            }
        }
    }
    let place = |side: usize| {
        let (sample, upright) = (side / 2, side % 2 == 1);
        let other = if upright { sample + wide } else { sample + 1 };
        let share = (bound - field[sample]) / (field[other] - field[sample]);
        let at = DVec2::new((sample % wide) as f64, (sample / wide) as f64);
        at + if upright { DVec2::Y } else { DVec2::X } * share
    };
    let mut outlines = Vec::new();
    for start in 0..next.len() {
        let mut points = Vec::new();
        let mut at = start;
        while next[at] != u32::MAX {
            points.push(place(at));
            at = std::mem::replace(&mut next[at], u32::MAX) as usize;
        }
        let points = thinned(&points);
        if points.len() > 2 {
            outlines.push(points);
        }
    }
    outlines
}

/// Points without those that stand on a straight run.
fn thinned(points: &[DVec2]) -> Vec<DVec2> {
    if points.len() < 4 {
        return points.to_vec();
    }
    // A closed outline is halved at the point farthest from its first.
    let far = (0..points.len())
        .max_by(|a, b| {
            let distance = |k: usize| points[k].distance_squared(points[0]);
            distance(*a).total_cmp(&distance(*b))
        })
        .unwrap_or(0);
    let mut kept = vec![false; points.len() + 1];
    (kept[0], kept[far]) = (true, true);
    let at = |k: usize| points[k % points.len()];
    let mut open = vec![(0, far), (far, points.len())];
    while let Some((from, to)) = open.pop() {
        let (a, b) = (at(from), at(to));
        let along = (b - a).normalize_or_zero();
        let worst = (from + 1..to)
            .map(|k| {
                let aside = at(k) - a;
                let off = if along == DVec2::ZERO {
                    aside.length()
                } else {
                    along.perp_dot(aside).abs()
                };
                (off, k)
            })
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((off, k)) = worst
            && off > STRAIGHT
        {
            kept[k] = true;
            open.extend([(from, k), (k, to)]);
        }
    }
    (0..points.len())
        .filter(|k| kept[*k])
        .map(|k| points[k])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(outline: &[DVec2]) -> f64 {
        let next = outline.iter().cycle().skip(1);
        0.5 * outline
            .iter()
            .zip(next)
            .map(|(a, b)| a.perp_dot(*b))
            .sum::<f64>()
    }

    #[test]
    fn a_ring_has_two_outlines_whose_areas_are_those_of_its_circles() {
        let wide = 101;
        let field: Vec<f64> = (0..wide * wide)
            .map(|k| {
                let p = DVec2::new((k % wide) as f64, (k / wide) as f64) - DVec2::splat(50.0);
                (p.length() - 30.0).abs()
            })
            .collect();
        let outlines = outlines(&field, wide, 10.0);
        let areas: Vec<f64> = outlines.iter().map(|outline| area(outline)).collect();
        assert_eq!(areas.len(), 2, "{areas:?}");
        // Dark on the left: the outer circle of 40 turns anticlockwise, the inner of 20 clockwise.
        let pi = std::f64::consts::PI;
        assert!((areas[0] - pi * 1600.0).abs() < 30.0, "{areas:?}");
        assert!((areas[1] + pi * 400.0).abs() < 15.0, "{areas:?}");
    }

    #[test]
    fn two_dark_corners_of_a_cell_stay_apart() {
        let mut field = vec![1.0; 16];
        field[5] = 0.0;
        field[10] = 0.0;
        assert_eq!(outlines(&field, 4, 0.5).len(), 2);
    }
}
