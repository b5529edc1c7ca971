//! Where an outline crosses itself.
//!
//! Every pair of parts is met exactly (line with line, line with circle, circle
//! with circle); a meeting counts unless it is the shared end of neighbours.
//! Touching without crossing also counts: an outline that touches itself has no
//! single inside.

use glam::DVec2;

use crate::meetings::{Tolerance, meetings};
use crate::part::Part;
use crate::patch::Curve;

/// Meetings nearer to a shared end than this are that end, mm.
const AT_END: f64 = 1e-7;

/// Curves that miss each other by rounding touch.
const TOUCH: Tolerance = Tolerance {
    parallel: 1e-12,
    centre: 1e-9,
    touching: -1e-9,
};

/// The first point at which two parts of a closed outline meet other than end to end.
pub(crate) fn first_crossing(parts: &[Part]) -> Option<DVec2> {
    for (i, first) in parts.iter().enumerate() {
        for second in &parts[i + 1..] {
            for point in points(first, second) {
                let shared = [first.from, first.to].iter().any(|end| {
                    end.distance(point) < AT_END
                        && (end.distance(second.from) < AT_END || end.distance(second.to) < AT_END)
                });
                if !shared {
                    return Some(point);
                }
            }
        }
    }
    None
}

fn points(a: &Part, b: &Part) -> Vec<DVec2> {
    let (first, second) = (Curve::of(a).0, Curve::of(b).0);
    let candidates = if alike(&first, &second) {
        // They overlap only if an end of one lies on the other.
        vec![a.from, a.to, b.from, b.to]
    } else {
        meetings(&first, &second, TOUCH)
    };
    candidates
        .into_iter()
        .filter(|point| on(a, *point) && on(b, *point))
        .collect()
}

/// Whether two parts run along parallel lines, or along one circle.
fn alike(a: &Curve, b: &Curve) -> bool {
    match (a, b) {
        (
            Curve::Line { direction, .. },
            Curve::Line {
                direction: other, ..
            },
        ) => direction.perp_dot(*other).abs() < TOUCH.parallel,
        (
            Curve::Arc { centre, radius, .. },
            Curve::Arc {
                centre: second,
                radius: wide,
                ..
            },
        ) => centre.distance(*second) < TOUCH.centre && (radius - wide).abs() < TOUCH.centre,
        _ => false,
    }
}

fn on(part: &Part, point: DVec2) -> bool {
    part.foot(point).squared < AT_END * AT_END * 1e-2
}

#[cfg(test)]
mod tests {
    use crate::{DVec2, Path, ProfileError, Turn};

    #[test]
    fn a_bow_tie_is_refused_at_its_knot() {
        let path = Path::from(0.0, 1.0)
            .line_to(2.0, 3.0)
            .line_to(2.0, 1.0)
            .line_to(0.0, 3.0)
            .close();
        assert_eq!(
            path,
            Err(ProfileError::Crosses {
                station: 1.0,
                radius: 2.0
            })
        );
    }

    #[test]
    fn an_arc_through_a_wall_is_refused() {
        let path = Path::from(0.0, 0.0)
            .line_to(0.0, 5.0)
            .line_to(4.0, 5.0)
            .arc_to(-1.0, 4.0, DVec2::new(1.0, 2.0 + 0.0), Turn::Left)
            .close();
        assert!(path.is_err());
    }

    #[test]
    fn neighbours_that_share_an_end_are_no_crossing() {
        let half_disc = Path::from(-3.0, 0.0)
            .arc_to(3.0, 0.0, DVec2::ZERO, Turn::Right)
            .close();
        assert!(half_disc.is_ok());
    }
}
