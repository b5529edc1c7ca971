//! Faces turned about one axis hide each other along the way of the outline only.
//!
//! A stretch of one outline is cut where it meets the lines and circles of the others;
//! between two such places it lies wholly in the others' wood or air, and its middle
//! tells which. This settles turning that follows turning in the same set-up exactly:
//! a ball tangent to the facets it was roughed from, a bore drilled from both ends.
//! A ball is turned about every axis through its centre: it hides a cove's outline in
//! the same way, and on the ball the cove hides bands between parallel planes.
//! Outlines that coincide count for the face that comes first; wood on opposite sides
//! of a shared outline is none.

use glam::{DVec2, DVec3};

use crate::meetings::{self, Tolerance};
use crate::part::{Part, Shape};
use crate::patch::{Curve, Patch, Whole};
use crate::profile::Profile;
use crate::reaching::Reaching;
use crate::region::Region;
use crate::side::SAME_SURFACE;
use crate::solid::{Face, Solid};

/// A stop too many does no harm: what is left on both its sides is asked.
const EXACT: Tolerance = Tolerance {
    parallel: 1e-14,
    centre: 1e-12,
    touching: 0.0,
};

/// A face that is not about a patch's axis.
#[derive(Debug, Clone)]
pub(crate) struct Other {
    pub face: Face,
    /// Where it is about another axis of a spherical patch: the bands it leaves.
    pub bands: Option<Bands>,
}

/// Bands of a sphere between planes square to an axis through its centre.
#[derive(Debug, Clone)]
pub(crate) struct Bands {
    pub axis: DVec3,
    pub centre: DVec3,
    /// Stations of the planes from the centre, growing, mm.
    pub planes: Vec<f64>,
    /// Whether the band before the first plane is left; they alternate.
    pub first: bool,
}

/// The faces that are not about the patch's axis, and the stretches of the patch that the
/// others leave in the wood.
pub(crate) fn stretches(
    solid: &Solid,
    reaching: &Reaching,
    patch: &Patch,
) -> (Vec<Other>, Vec<(f64, f64)>) {
    let mut others = Vec::new();
    let mut whole = vec![(patch.from, patch.to)];
    for face in reaching.faces(patch) {
        match outlines(solid.region(face), patch) {
            None => others.push(Other {
                face,
                bands: bands(solid, patch, face),
            }),
            Some(curves) => {
                whole = whole
                    .into_iter()
                    .flat_map(|(from, to)| left(solid, face, patch, &curves, from, to))
                    .collect();
            }
        }
    }
    (others, whole)
}

/// The bands a face about an axis through the centre of a spherical patch leaves of it.
fn bands(solid: &Solid, patch: &Patch, face: Face) -> Option<Bands> {
    let (Whole::Sphere { centre }, Curve::Arc { radius, turn, .. }) = (patch.whole, patch.curve)
    else {
        return None;
    };
    let Region::Revolved { axis, .. } = solid.region(face) else {
        return None;
    };
    // The same sphere, turned about the other axis: its outline from the far pole over the top.
    let length = std::f64::consts::PI * radius;
    let u = axis.any_orthonormal_vector();
    let turned = Patch {
        origin: centre,
        axis: *axis,
        u,
        v: axis.cross(u),
        curve: Curve::Arc {
            centre: DVec2::ZERO,
            radius,
            begin: std::f64::consts::PI,
            turn: -1.0,
        },
        from: 0.0,
        to: length,
        outward: -turn * patch.outward,
        ..patch.clone()
    };
    let curves = outlines(solid.region(face), &turned)?;
    let kept = left(solid, face, &turned, &curves, 0.0, length);
    let mut planes = Vec::new();
    for (from, to) in &kept {
        planes.extend([from, to].map(|s| -radius * (s / radius).cos()));
    }
    let first = kept.first().is_some_and(|k| k.0 == 0.0);
    if first {
        planes.remove(0);
    }
    if kept.last().is_some_and(|k| k.1 == length) {
        planes.pop();
    }
    Some(Bands {
        axis: *axis,
        centre,
        planes,
        first,
    })
}

/// The centre of a whole ball, as a station on its axis.
fn ball(profile: &Profile) -> Option<f64> {
    let mut turned = profile.parts.iter().filter(|part| !part.on_axis);
    let whole = |part: &Part| match &part.shape {
        Shape::Arc { centre, .. } if centre.y == 0.0 => Some(*centre),
        _ => None,
    };
    let centre = turned.next().and_then(whole)?;
    let closed = profile.parts.iter().all(|part| {
        if part.on_axis {
            true
        } else {
            whole(part) == Some(centre)
        }
    });
    closed.then_some(centre.x)
}

/// The outline of a region in the (station, radius) of a patch, if they share the axis.
/// Each curve with its two ends.
fn outlines(region: &Region, patch: &Patch) -> Option<Vec<(Curve, [DVec2; 2])>> {
    match region {
        Region::HalfSpace { normal, offset } => {
            let along = normal.dot(patch.axis);
            if normal.cross(patch.axis).length() > 1e-12 {
                return None;
            }
            let from = DVec2::new((offset - normal.dot(patch.origin)) * along.signum(), 0.0);
            let direction = DVec2::Y;
            Some(vec![(Curve::Line { from, direction }, [from, from])])
        }
        Region::Revolved {
            origin,
            axis,
            profile,
        } => {
            let middle = ball(profile).map(|station| *origin + *axis * station);
            if let Some(middle) = middle {
                let between = middle - patch.origin;
                let station = between.dot(patch.axis);
                if (between - patch.axis * station).length() > 0.5 * SAME_SURFACE {
                    return None;
                }
                let centre = DVec2::new(station, 0.0);
                return Some(
                    profile
                        .parts
                        .iter()
                        .filter_map(|part| match part.shape {
                            Shape::Arc { radius, .. } => Some(Curve::Arc {
                                centre,
                                radius,
                                begin: 0.0,
                                turn: 1.0,
                            }),
                            Shape::Line { .. } => None,
                        })
                        .map(|curve| (curve, [centre, centre]))
                        .collect(),
                );
            }
            let between = *origin - patch.origin;
            let shift = between.dot(patch.axis);
            let off: DVec3 = between - patch.axis * shift;
            // Far along the axis a slant of 1e-13 still shifts less than a nanometre.
            if axis.cross(patch.axis).length() > 1e-12 || off.length() > 0.5 * SAME_SURFACE {
                return None;
            }
            let sign = axis.dot(patch.axis).signum();
            let place = |q: DVec2| DVec2::new(shift + sign * q.x, q.y);
            let curve = |part: &Part| {
                let curve = match &part.shape {
                    Shape::Line { direction, .. } => Curve::Line {
                        from: place(part.from),
                        direction: DVec2::new(sign * direction.x, direction.y),
                    },
                    Shape::Arc { centre, radius, .. } => Curve::Arc {
                        centre: place(*centre),
                        radius: *radius,
                        begin: 0.0,
                        turn: 1.0,
                    },
                };
                (curve, [place(part.from), place(part.to)])
            };
            Some(
                profile
                    .parts
                    .iter()
                    .filter(|part| !part.on_axis)
                    .map(curve)
                    .collect(),
            )
        }
    }
}

/// The stretches of (`from`, `to`) that one coaxial face leaves.
fn left(
    solid: &Solid,
    face: Face,
    patch: &Patch,
    curves: &[(Curve, [DVec2; 2])],
    from: f64,
    to: f64,
) -> Vec<(f64, f64)> {
    let mut stops = vec![from, to];
    for (curve, ends) in curves {
        stops.extend(meetings(&patch.curve, curve));
        stops.extend(ends.iter().flat_map(|end| lengths(&patch.curve, *end)));
    }
    stops.retain(|s| (from..=to).contains(s));
    stops.sort_by(f64::total_cmp);
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for pair in stops.windows(2) {
        let (low, high) = (pair[0], pair[1]);
        if high <= low || !leaves(solid, face, patch, 0.5 * (low + high)) {
            continue;
        }
        match kept.last_mut() {
            Some(last) if last.1 == low => last.1 = high,
            _ => kept.push((low, high)),
        }
    }
    kept
}

fn leaves(solid: &Solid, face: Face, patch: &Patch, s: f64) -> bool {
    let (point, normal) = patch.at(DVec2::new(s, 0.0));
    let touch = solid.touch(face, point);
    if touch.depth.abs() > SAME_SURFACE {
        return touch.depth > 0.0;
    }
    touch.inward.dot(normal) < 0.0 && patch.face < face
}

/// Lengths along `curve` nearest to a point that lies on it.
fn lengths(curve: &Curve, point: DVec2) -> Option<f64> {
    match curve {
        Curve::Line { from, direction } => {
            let along = (point - *from).dot(*direction);
            ((point - *from).perp_dot(*direction).abs() < 1e-6).then_some(along)
        }
        Curve::Arc {
            centre,
            radius,
            begin,
            turn,
        } => {
            let out = point - *centre;
            if (out.length() - radius).abs() > 1e-6 {
                return None;
            }
            let angle = ((out.to_angle() - begin) * turn).rem_euclid(std::f64::consts::TAU);
            Some(angle * radius)
        }
    }
}

/// Lengths along `curve` where it meets the whole line or circle of `other`.
fn meetings(curve: &Curve, other: &Curve) -> Vec<f64> {
    meetings::meetings(curve, other, EXACT)
        .into_iter()
        .filter_map(|point| lengths(curve, point))
        .collect()
}
