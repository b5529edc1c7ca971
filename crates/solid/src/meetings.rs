//! Where whole lines and circles of a plane meet.
//!
//! Line with line, line with circle, circle with circle, in closed form. What counts as
//! parallel, as one centre and as touching is for the caller to say: an outline that
//! touches itself has no single inside, while faces that touch share no edge.

use glam::DVec2;

use crate::patch::Curve;

/// What a caller takes for parallel, for one centre, and for touching.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tolerance {
    /// Lines whose directions have a smaller sine between them do not meet.
    pub parallel: f64,
    /// Circles whose centres are nearer than this do not meet, mm.
    pub centre: f64,
    /// The square of half the common chord, as a share of the radius, below which there is no
    /// meeting, mm: 0 lets curves touch, less lets them miss each other by a little.
    pub touching: f64,
}

/// Points where the whole line or circle of one curve meets that of another: both ends of
/// the common chord, one point twice where they touch.
pub(crate) fn meetings(a: &Curve, b: &Curve, tolerance: Tolerance) -> Vec<DVec2> {
    match (a, b) {
        (
            Curve::Line { from, direction },
            Curve::Line {
                from: start,
                direction: way,
            },
        ) => {
            let cross = direction.perp_dot(*way);
            if cross.abs() < tolerance.parallel {
                return Vec::new();
            }
            vec![*from + *direction * ((*start - *from).perp_dot(*way) / cross)]
        }
        (Curve::Line { from, direction }, Curve::Arc { centre, radius, .. })
        | (Curve::Arc { centre, radius, .. }, Curve::Line { from, direction }) => {
            let middle = *from + *direction * (*centre - *from).dot(*direction);
            let squared = radius * radius - middle.distance_squared(*centre);
            chord(middle, *direction, squared, tolerance.touching * radius)
        }
        (
            Curve::Arc { centre, radius, .. },
            Curve::Arc {
                centre: second,
                radius: wide,
                ..
            },
        ) => {
            let between = *second - *centre;
            let apart = between.length();
            if apart < tolerance.centre {
                return Vec::new();
            }
            let along = (apart * apart + radius * radius - wide * wide) / (2.0 * apart);
            let way = between / apart;
            let squared = radius * radius - along * along;
            let least = tolerance.touching * radius;
            chord(*centre + way * along, way.perp(), squared, least)
        }
    }
}

fn chord(middle: DVec2, direction: DVec2, squared: f64, least: f64) -> Vec<DVec2> {
    if squared < least {
        return Vec::new();
    }
    let half = squared.max(0.0).sqrt();
    vec![middle - direction * half, middle + direction * half]
}

#[cfg(test)]
mod tests {
    use super::*;

    const EXACT: Tolerance = Tolerance {
        parallel: 1e-14,
        centre: 1e-12,
        touching: 0.0,
    };

    fn line(from: DVec2, way: DVec2) -> Curve {
        Curve::Line {
            from,
            direction: way.normalize(),
        }
    }

    fn circle(centre: DVec2, radius: f64) -> Curve {
        Curve::Arc {
            centre,
            radius,
            begin: 0.0,
            turn: 1.0,
        }
    }

    /// Right triangles of whole sides: 3, 4, 5.
    #[test]
    fn curves_meet_where_triangles_say() {
        let origin = circle(DVec2::ZERO, 5.0);
        let across = line(DVec2::new(-9.0, 4.0), DVec2::X);
        let found = meetings(&origin, &across, EXACT);
        assert_eq!(found, [DVec2::new(-3.0, 4.0), DVec2::new(3.0, 4.0)]);
        let found = meetings(&origin, &circle(DVec2::new(6.0, 0.0), 5.0), EXACT);
        assert_eq!(found, [DVec2::new(3.0, -4.0), DVec2::new(3.0, 4.0)]);
        let found = meetings(&across, &line(DVec2::new(2.0, 0.0), DVec2::Y), EXACT);
        assert_eq!(found, [DVec2::new(2.0, 4.0)]);
    }

    /// Touching and near misses count as the caller says; parallels and one centre never do.
    #[test]
    fn the_caller_says_what_touches() {
        let origin = circle(DVec2::ZERO, 5.0);
        let beside = |off: f64| line(DVec2::new(0.0, 5.0 + off), DVec2::X);
        let with = |touching| Tolerance { touching, ..EXACT };
        let count = |curve: &Curve, touching| meetings(&origin, curve, with(touching)).len();
        assert_eq!(count(&beside(0.0), 0.0), 2);
        assert_eq!(count(&beside(0.0), f64::MIN_POSITIVE), 0);
        assert_eq!(count(&beside(1e-11), 0.0), 0);
        assert_eq!(count(&beside(1e-11), -1e-9), 2);
        assert_eq!(count(&circle(DVec2::ZERO, 5.0), 0.0), 0);
        let parallel = meetings(&beside(0.0), &beside(1.0), EXACT);
        assert!(parallel.is_empty());
    }
}
