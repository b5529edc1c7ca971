//! A convex polygon in the plane, cut by half-planes.

use glam::DVec2;

/// Corners a polygon can have: a rectangle's four and one more for each cut.
const MOST: usize = 14;

/// A convex polygon, counter-clockwise.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Polygon {
    corners: [DVec2; MOST],
    count: usize,
}

impl Polygon {
    /// The rectangle with these half edges about the origin.
    pub(crate) fn rectangle(half: DVec2) -> Self {
        let mut corners = [DVec2::ZERO; MOST];
        corners[0] = -half;
        corners[1] = DVec2::new(half.x, -half.y);
        corners[2] = half;
        corners[3] = DVec2::new(-half.x, half.y);
        Self { corners, count: 4 }
    }

    /// The part with `normal · x + offset ≥ 0`.
    pub(crate) fn clip(&self, normal: DVec2, offset: f64) -> Self {
        let mut cut = Self {
            corners: [DVec2::ZERO; MOST],
            count: 0,
        };
        if self.count == 0 {
            return cut;
        }
        let mut before = self.corners[self.count - 1];
        let mut height_before = normal.dot(before) + offset;
        for corner in &self.corners[..self.count] {
            let height = normal.dot(*corner) + offset;
            if (height >= 0.0) != (height_before >= 0.0) {
                let share = height_before / (height_before - height);
                cut.push(before.lerp(*corner, share));
            }
            if height >= 0.0 {
                cut.push(*corner);
            }
            before = *corner;
            height_before = height;
        }
        cut
    }

    fn push(&mut self, corner: DVec2) {
        // Rounding can only drop a corner that lies on an edge.
        if self.count < MOST {
            self.corners[self.count] = corner;
            self.count += 1;
        }
    }

    /// Whether nothing is left.
    pub(crate) fn is_empty(&self) -> bool {
        self.count < 3
    }

    /// Least and greatest value of `direction · x` over its corners.
    pub(crate) fn extent(&self, direction: DVec2) -> (f64, f64) {
        self.corners[..self.count]
            .iter()
            .map(|corner| direction.dot(*corner))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                (low.min(x), high.max(x))
            })
    }

    /// Area, and the integral of the position over it.
    pub(crate) fn area(&self) -> (f64, DVec2) {
        if self.is_empty() {
            return (0.0, DVec2::ZERO);
        }
        let mut area = 0.0;
        let mut first = DVec2::ZERO;
        let start = self.corners[0];
        for pair in self.corners[1..self.count].windows(2) {
            let twice = (pair[0] - start).perp_dot(pair[1] - start);
            area += 0.5 * twice;
            first += (start + pair[0] + pair[1]) * (twice / 6.0);
        }
        (area, first)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_corner_cut_off_a_square_has_half_its_legs_area() {
        let square = Polygon::rectangle(DVec2::ONE);
        // x + y ≤ 1 leaves all but a right triangle of legs 1.
        let (area, first) = square.clip(-DVec2::ONE, 1.0).area();
        assert!((area - 3.5).abs() < 1e-15);
        // The triangle's centroid is (2/3, 2/3); the square's first moment is 0.
        assert!((first - DVec2::splat(-0.5 * 2.0 / 3.0)).length() < 1e-15);
        assert!(square.clip(DVec2::X, -2.0).is_empty());
        assert_eq!(square.clip(DVec2::X, 2.0).area().0, 4.0);
    }
}
