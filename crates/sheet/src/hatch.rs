//! Hatching: parallel lines at 45 degrees inside closed outlines.
//!
//! Method: each hatching line is cut by every edge; the crossings, sorted along
//! the line, bound stretches that lie in turn outside and inside (even-odd). A
//! corner is counted with the edge that begins above the line only, so a line
//! through a corner is cut the right number of times. Exact for straight
//! edges up to rounding.

use kurbo::{BezPath, Point};

/// Lines `spacing` apart that fill the outlines even-odd.
///
/// A spacing that is not above nought, or an outline that is not finite, gives no lines.
pub fn hatch(outlines: &[Vec<Point>], spacing: f64) -> BezPath {
    let mut path = BezPath::new();
    // In the turned frame u runs along the hatching and v across it.
    let diagonal = std::f64::consts::FRAC_1_SQRT_2;
    let turned: Vec<Vec<(f64, f64)>> = outlines
        .iter()
        .map(|outline| {
            outline
                .iter()
                .map(|p| ((p.x - p.y) * diagonal, (p.x + p.y) * diagonal))
                .collect()
        })
        .collect();
    let heights = turned.iter().flatten().map(|(_, v)| *v);
    let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    });
    if spacing <= 0.0 || !(high - low).is_finite() || high - low > 1e5 * spacing {
        return path;
    }
    let mut row = (low / spacing).floor();
    while row * spacing <= high {
        let v = row * spacing;
        let mut crossings: Vec<f64> = turned.iter().flat_map(|ring| cuts(ring, v)).collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            let back = |u: f64| Point::new((u + v) * diagonal, (v - u) * diagonal);
            path.move_to(back(pair[0]));
            path.line_to(back(pair[1]));
        }
        row += 1.0;
    }
    path
}

/// Where the edges of a closed ring cross the height `v`.
fn cuts(ring: &[(f64, f64)], v: f64) -> impl Iterator<Item = f64> + '_ {
    let next = ring.iter().cycle().skip(1);
    ring.iter()
        .zip(next)
        .filter(move |((_, v0), (_, v1))| (*v0 > v) != (*v1 > v))
        .map(move |((u0, v0), (u1, v1))| u0 + (v - v0) / (v1 - v0) * (u1 - u0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::PathEl;
    use proptest::prelude::*;

    fn length(path: &BezPath) -> f64 {
        let mut from = Point::ORIGIN;
        let mut sum = 0.0;
        for element in path.elements() {
            match *element {
                PathEl::LineTo(to) => sum += (to - from).hypot(),
                PathEl::MoveTo(to) => from = to,
                _ => {}
            }
        }
        sum
    }

    fn square(half: f64) -> Vec<Point> {
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .iter()
            .map(|(x, y)| Point::new(x * half, y * half))
            .collect()
    }

    #[test]
    fn length_times_spacing_is_the_area_with_the_hole_left_out() {
        // Riemann sum of the chord lengths: the closed form is the area, 40² − 20².
        let spacing = 0.01;
        let sum = length(&hatch(&[square(20.0), square(10.0)], spacing)) * spacing;
        assert!((sum - 1200.0).abs() < 1.0, "{sum}");
    }

    proptest! {
        #[test]
        fn a_triangle_is_filled_by_its_area(
            points in proptest::collection::vec((-50.0f64..50.0, -50.0f64..50.0), 3)
        ) {
            let ring: Vec<Point> = points.iter().map(|(x, y)| Point::new(*x, *y)).collect();
            let area = ((ring[1] - ring[0]).cross(ring[2] - ring[0])).abs() / 2.0;
            let spacing = 0.05;
            let sum = length(&hatch(&[ring], spacing)) * spacing;
            // Midpoint-like sums of a piecewise linear chord err by at most spacing times the longest chord.
            prop_assert!((sum - area).abs() <= spacing * 142.0, "{} {}", sum, area);
        }
    }
}
