//! Where an outline crosses itself.
//!
//! Every pair of parts is met exactly (line with line, line with circle, circle
//! with circle); a meeting counts unless it is the shared end of neighbours.
//! Touching without crossing also counts: an outline that touches itself has no
//! single inside.

use glam::DVec2;

use crate::part::{Part, Shape};

/// Meetings nearer to a shared end than this are that end, mm.
const AT_END: f64 = 1e-7;

/// The first point at which two parts of a closed outline meet other than end to end.
pub(crate) fn first_crossing(parts: &[Part]) -> Option<DVec2> {
    for (i, first) in parts.iter().enumerate() {
        for second in &parts[i + 1..] {
            for point in meetings(first, second) {
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

fn meetings(a: &Part, b: &Part) -> Vec<DVec2> {
    let candidates = match (&a.shape, &b.shape) {
        (Shape::Line { .. }, Shape::Line { .. }) => line_line(a, b),
        (Shape::Line { .. }, Shape::Arc { centre, radius, .. }) => line_circle(a, *centre, *radius),
        (Shape::Arc { centre, radius, .. }, Shape::Line { .. }) => line_circle(b, *centre, *radius),
        (
            Shape::Arc {
                centre: ca,
                radius: ra,
                ..
            },
            Shape::Arc {
                centre: cb,
                radius: rb,
                ..
            },
        ) => circle_circle(*ca, *ra, *cb, *rb, a, b),
    };
    candidates
        .into_iter()
        .filter(|point| on(a, *point) && on(b, *point))
        .collect()
}

fn on(part: &Part, point: DVec2) -> bool {
    part.foot(point).squared < AT_END * AT_END * 1e-2
}

fn line_line(a: &Part, b: &Part) -> Vec<DVec2> {
    let (u, v) = (a.to - a.from, b.to - b.from);
    let cross = u.perp_dot(v);
    if cross.abs() < 1e-12 * u.length() * v.length() {
        // Parallel: they overlap only if an end of one lies on the other.
        return vec![a.from, a.to, b.from, b.to];
    }
    vec![a.from + u * ((b.from - a.from).perp_dot(v) / cross)]
}

fn line_circle(line: &Part, centre: DVec2, radius: f64) -> Vec<DVec2> {
    let direction = (line.to - line.from).normalize();
    let middle = line.from + direction * (centre - line.from).dot(direction);
    let squared = radius * radius - middle.distance_squared(centre);
    if squared < -1e-9 * radius {
        return Vec::new();
    }
    let half = squared.max(0.0).sqrt();
    vec![middle - direction * half, middle + direction * half]
}

fn circle_circle(ca: DVec2, ra: f64, cb: DVec2, rb: f64, a: &Part, b: &Part) -> Vec<DVec2> {
    let between = cb - ca;
    let distance = between.length();
    if distance < 1e-9 {
        // One circle: they overlap only if an end of one lies within the other.
        return if (ra - rb).abs() < 1e-9 {
            vec![a.from, a.to, b.from, b.to]
        } else {
            Vec::new()
        };
    }
    let along = (distance * distance + ra * ra - rb * rb) / (2.0 * distance);
    let squared = ra * ra - along * along;
    if squared < -1e-9 * ra {
        return Vec::new();
    }
    let unit = between / distance;
    let (middle, half) = (ca + unit * along, squared.max(0.0).sqrt());
    vec![middle + unit.perp() * half, middle - unit.perp() * half]
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
