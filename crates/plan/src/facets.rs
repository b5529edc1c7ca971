//! Rounding a ball from a cylinder by facets: 8, then 16, then 32 sides.
//!
//! The cylinder is as long as it is thick. In the plane through its axis each
//! stage is the regular polygon round the circle, with one side on the wall and
//! one on each end face. Corners give what to mark and what to set a calliper
//! to; the middles of the sides touch the finished ball and must not be cut.
//! All figures are exact geometry (polygon round a circle); the fractions of the
//! diameter are checked against published ones in the tests.

use std::f64::consts::PI;

/// One stage of rounding.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// Sides of the polygon: 8, 16 or 32.
    pub sides: u32,
    /// Corners of one half, from the pole to the equator.
    pub corners: Vec<Place>,
    /// Where the sides touch the finished ball, from the pole to the equator.
    pub touches: Vec<Place>,
    /// Distance to mark each side of every corner of the stage before, measured
    /// along its sides, mm.
    pub mark: f64,
    /// Wood left above the finished ball at the corners, mm on the radius.
    pub above: f64,
}

/// A place on the outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Distance from the nearer end of the ball along the axis, mm.
    pub from_end: f64,
    /// Diameter there, mm.
    pub diameter: f64,
}

/// The stages up to `sides` (8, 16, 32, …: 8 doubled any number of times) for a ball of `diameter` mm.
pub fn ladder(diameter: f64, sides: u32) -> Vec<Stage> {
    let mut stages = Vec::new();
    let mut count = 8;
    while count <= sides {
        stages.push(stage(diameter, count));
        count *= 2;
    }
    stages
}

fn stage(diameter: f64, sides: u32) -> Stage {
    let radius = 0.5 * diameter;
    let half = PI / f64::from(sides);
    // From the pole down: corners stand at odd multiples of half a side's angle from it.
    let place = |reach: f64, from_pole: f64| Place {
        from_end: radius - reach * from_pole.cos(),
        diameter: 2.0 * reach * from_pole.sin(),
    };
    let quarter = sides / 4;
    let corners = (0..quarter)
        .map(|k| place(radius / half.cos(), f64::from(2 * k + 1) * half))
        .collect();
    let touches = (1..=quarter)
        .map(|k| place(radius, f64::from(2 * k) * half))
        .collect();
    // The corner of half the sides is cut off symmetrically: what goes of each old
    // side is half the old side less half the new one.
    let mark = radius * ((2.0 * half).tan() - half.tan());
    Stage {
        sides,
        corners,
        touches,
        mark,
        above: radius * (1.0 / half.cos() - 1.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, published: f64, tolerance: f64) {
        assert!(
            (found - published).abs() <= tolerance,
            "found {found}, published {published}"
        );
    }

    /// Published 0.293 D, 0.108 D (sphere template article, docslib.org/doc/3721930, and common
    /// practice); exact 0.29289, 0.10765, 0.0502 (trade facts 1.2 to 1.4).
    #[test]
    fn marks_agree_with_published_fractions() {
        let stages = ladder(1.0, 32);
        close(stages[0].mark, 0.293, 0.0005);
        close(stages[1].mark, 0.108, 0.0005);
        close(stages[2].mark, 0.0502, 0.00005);
    }

    /// Trade facts 1.2 and 1.5: the octagon's side and flat end disc are 0.4142 D (tan 22.5°).
    #[test]
    fn the_octagon_leaves_a_disc_of_0_414_diameters() {
        close(ladder(1.0, 8)[0].corners[0].diameter, 0.414, 0.0005);
    }

    /// Corner height over the ball as a share of its radius: 8.24 %, 1.96 %, 0.484 % (trade facts 1.6).
    #[test]
    fn corners_stand_above_the_ball() {
        let above: Vec<f64> = ladder(2.0, 32).iter().map(|stage| stage.above).collect();
        close(above[0], 0.0824, 0.00005);
        close(above[1], 0.0196, 0.00005);
        close(above[2], 0.00484, 0.000005);
    }

    /// Corner positions (distance from end; turned diameter) in diameters (trade facts 1.8).
    #[test]
    fn corners_stand_where_the_table_says() {
        let published: [&[(f64, f64)]; 3] = [
            &[(0.0, 0.4142), (0.2929, 1.0)],
            &[
                (0.0, 0.1989),
                (0.0761, 0.5665),
                (0.2168, 0.8478),
                (0.4005, 1.0),
            ],
            &[
                (0.0, 0.0985),
                (0.0192, 0.2917),
                (0.0569, 0.4737),
                (0.1116, 0.6375),
                (0.1813, 0.7768),
                (0.2632, 0.8862),
                (0.3542, 0.9616),
                (0.4508, 1.0),
            ],
        ];
        for (stage, row) in ladder(1.0, 32).iter().zip(published) {
            assert_eq!(stage.corners.len(), row.len());
            for (corner, (from_end, diameter)) in stage.corners.iter().zip(row) {
                close(corner.from_end, *from_end, 0.00006);
                close(corner.diameter, *diameter, 0.00006);
            }
        }
    }

    /// Where 16 facets touch the finished ball (trade facts 1.9).
    #[test]
    #[expect(clippy::approx_constant, reason = "figures as the table prints them")]
    fn facets_touch_where_the_table_says() {
        let published = [
            (0.0381, 0.3827),
            (0.1464, 0.7071),
            (0.3087, 0.9239),
            (0.5, 1.0),
        ];
        for (touch, (from_end, diameter)) in ladder(1.0, 16)[1].touches.iter().zip(published) {
            close(touch.from_end, from_end, 0.00006);
            close(touch.diameter, diameter, 0.00006);
        }
    }

    /// Side of a polygon round a circle, in diameters (trade facts 1.5: 0.41421, 0.19891, 0.09849),
    /// measured between neighbouring corners: the ladder's corners really form the regular polygon.
    #[test]
    fn corners_are_one_side_apart() {
        for (stage, side) in ladder(1.0, 32).iter().zip([0.41421, 0.19891, 0.09849]) {
            for pair in stage.corners.windows(2) {
                let along = pair[1].from_end - pair[0].from_end;
                let up = 0.5 * (pair[1].diameter - pair[0].diameter);
                close(along.hypot(up), side, 0.00001);
            }
        }
    }
}
