//! On which side of a face the wood lies, in a small ball about a point.
//!
//! Where one part of the face's outline passes through the ball, wood and air are
//! parted by that part's whole line or circle, turned; its distance is smooth, so a
//! tangent plane with a bound on the curvature describes it to second order. Where
//! two parts do, the wood is where both, or where either, leave it: at a corner of
//! the outline that is told by the corner, between two separate parts by the middle
//! between them. Anything more crowded is left unknown, and a smaller ball is asked.

use glam::{DVec2, DVec3};

use crate::bend::{part_bend, part_twist};
use crate::coaxial::Bands;
use crate::part::{Part, Shape};
use crate::patch::{Patch, Whole};
use crate::profile::Profile;
use crate::region::{Region, station_radius};
use crate::solid::{Face, Solid};

/// A smooth function about a point: positive where the wood may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Form {
    /// Its value at the point, mm.
    pub value: f64,
    /// Its gradient there.
    pub gradient: DVec3,
    /// A bound on its curvature in the ball, 1/mm.
    pub bend: f64,
    /// A bound on its third derivative in the ball, 1/mm².
    pub twist: f64,
    /// Its curvatures at the point, across and along `around`, 1/mm.
    pub curvatures: [f64; 2],
    /// Unit vector about its axis.
    pub around: DVec3,
    /// How far it may be off besides, mm.
    pub extra: f64,
}

impl Form {
    /// A plane, or a constant where the gradient is zero.
    fn flat(value: f64, gradient: DVec3) -> Self {
        Self {
            value,
            gradient,
            bend: 0.0,
            twist: 0.0,
            curvatures: [0.0; 2],
            around: DVec3::ZERO,
            extra: 0.0,
        }
    }

    /// It lies within this of its tangent plane in the ball, mm.
    pub(crate) fn stray(&self, reach: f64) -> f64 {
        0.5 * self.bend * reach * reach + self.extra
    }
}

/// How a face parts wood from air in a ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Side {
    One(Form),
    /// Wood where both forms are positive.
    Both(Form, Form),
    /// Wood where one of them is.
    Either(Form, Form),
    Unknown,
}

/// Surfaces nearer than this everywhere are one and the same, mm.
pub(crate) const SAME_SURFACE: f64 = 1e-9;

/// How `face` parts wood from air within `reach` of `point`, which lies on `patch` of another
/// face, where the outward normal is `normal`. A surface the two faces share counts for the
/// face that comes first.
pub(crate) fn side(
    solid: &Solid,
    face: Face,
    patch: &Patch,
    point: DVec3,
    normal: DVec3,
    reach: f64,
) -> Side {
    let place = Place {
        patch,
        first: face < patch.face,
        normal,
        reach,
    };
    match solid.region(face) {
        Region::HalfSpace {
            normal: beyond,
            offset,
        } => Side::One(place.shared(
            Form::flat(offset - beyond.dot(point), -*beyond),
            Whole::Plane,
        )),
        Region::Revolved {
            origin,
            axis,
            profile,
        } => {
            let (q, radial) = station_radius(*origin, *axis, point);
            let frame = Frame {
                origin: *origin,
                axis: *axis,
                radial: radial.unwrap_or_else(|| axis.any_orthonormal_vector()),
                wood_inside: face == Face::BLANK,
            };
            place.turned(profile, q, &frame).unwrap_or(Side::Unknown)
        }
    }
}

/// How bands part what they leave of a sphere from the rest.
pub(crate) fn band(bands: &Bands, point: DVec3, reach: f64) -> Band {
    let station = bands.axis.dot(point - bands.centre);
    let before = bands
        .planes
        .partition_point(|plane| *plane < station - reach);
    let here = bands.planes[before..]
        .iter()
        .take_while(|plane| **plane <= station + reach);
    // Left below the first plane near.
    let below = bands.first == (before % 2 == 0);
    let form = |plane: f64, below: bool| {
        let sign = if below { -1.0 } else { 1.0 };
        Form::flat(sign * (station - plane), sign * bands.axis)
    };
    let mut here = here.copied();
    match (here.next(), here.next(), here.next()) {
        (None, ..) => Band::Settled(below),
        (Some(a), None, _) => Band::Open(Side::One(form(a, below))),
        (Some(a), Some(b), None) => {
            let (a, b) = (form(a, below), form(b, !below));
            Band::Open(if below {
                Side::Either(a, b)
            } else {
                Side::Both(a, b)
            })
        }
        _ => Band::Open(Side::Unknown),
    }
}

/// What bands say of a ball about a point of the sphere.
pub(crate) enum Band {
    /// Left throughout, or hidden throughout.
    Settled(bool),
    Open(Side),
}

struct Place<'a> {
    patch: &'a Patch,
    /// Whether the face asked comes before the patch's.
    first: bool,
    normal: DVec3,
    reach: f64,
}

struct Frame {
    origin: DVec3,
    axis: DVec3,
    radial: DVec3,
    wood_inside: bool,
}

impl Place<'_> {
    /// A form, or a constant where it is the patch's own surface.
    fn shared(&self, form: Form, whole: Whole) -> Form {
        let same = form.value.abs() <= SAME_SURFACE
            && match (self.patch.whole, whole) {
                (Whole::Plane, Whole::Plane) => {
                    form.gradient.cross(self.normal).length() * self.reach <= SAME_SURFACE
                }
                (Whole::Sphere { centre }, Whole::Sphere { centre: other }) => {
                    centre.distance(other) <= SAME_SURFACE
                }
                _ => false,
            };
        if !same {
            return form;
        }
        // Wood on opposite sides leaves none between; on the same side the first face has it.
        let wood = form.gradient.dot(self.normal) < 0.0 && !self.first;
        let value = if wood {
            f64::INFINITY
        } else {
            f64::NEG_INFINITY
        };
        Form::flat(value, DVec3::ZERO)
    }

    fn turned(&self, profile: &Profile, q: DVec2, frame: &Frame) -> Option<Side> {
        let reach = self.reach;
        let count = profile.parts.len();
        let mut near = [0; 2];
        let mut found = 0;
        for (index, part) in profile.parts.iter().enumerate() {
            if !part.on_axis && part.squared(q) <= reach * reach {
                if found == 2 {
                    return None;
                }
                near[found] = index;
                found += 1;
            }
        }
        let within = |point: DVec2| q.distance(point) <= reach;
        // An end in the ball that is not the shared corner must lie on the axis, where the
        // outline ends without a corner in space; its curve must not come up elsewhere.
        let loose = |part: &Part, end: DVec2, other: DVec2, neighbour: &Part| match &part.shape {
            _ if !within(end) => false,
            _ if !neighbour.on_axis => true,
            Shape::Line { .. } => false,
            Shape::Arc { centre, .. } => {
                let again = DVec2::new(2.0 * centre.x - end.x, 0.0);
                within(again) && again != other
            }
        };
        let before = |index: usize| &profile.parts[(index + count - 1) % count];
        let after = |index: usize| &profile.parts[(index + 1) % count];
        match found {
            1 => {
                let index = near[0];
                let part = &profile.parts[index];
                if loose(part, part.from, part.to, before(index))
                    || loose(part, part.to, part.from, after(index))
                {
                    return None;
                }
                Some(Side::One(self.form(profile, part, q, frame)?))
            }
            2 => {
                // In the order of the way, where they share a corner in the ball.
                let follows =
                    |a: usize, b: usize| (a + 1) % count == b && within(profile.parts[a].to);
                let joined = follows(near[0], near[1]) || follows(near[1], near[0]);
                let (first, second) = if joined && !follows(near[0], near[1]) {
                    (near[1], near[0])
                } else {
                    (near[0], near[1])
                };
                let (a, b) = (&profile.parts[first], &profile.parts[second]);
                if loose(a, a.from, a.to, before(first)) || loose(b, b.to, b.from, after(second)) {
                    return None;
                }
                if !joined
                    && (loose(a, a.to, a.from, after(first))
                        || loose(b, b.from, b.to, before(second)))
                {
                    return None;
                }
                let (mut form_a, form_b) = (
                    self.form(profile, a, q, frame)?,
                    self.form(profile, b, q, frame)?,
                );
                if joined && a.smooth_at_end {
                    // Without a corner the two agree at the joint to first order, and the
                    // joint is at most two reaches away from any point of the ball.
                    if form_a.value.is_infinite() || form_b.value.is_infinite() {
                        return None;
                    }
                    form_a.extra = 4.0 * (form_a.stray(reach) + form_b.stray(reach));
                    return Some(Side::One(form_a));
                }
                let meet = if joined {
                    if second_meeting(a, b).is_some_and(within) {
                        return None;
                    }
                    // Turning towards the inside leaves less than a half turn of it.
                    let turn = a.tangent(true).perp_dot(b.tangent(false));
                    (turn > 0.0) == profile.inside_left
                } else {
                    // The strip between two separate parts is inside both or outside both.
                    let outside = |form: &Form| (form.value > 0.0) != frame.wood_inside;
                    match (outside(&form_a), outside(&form_b)) {
                        (true, true) => false,
                        (false, false) => true,
                        _ => !profile.contains(q),
                    }
                };
                // `meet`: the region is where both parts have their inside.
                Some(if meet == frame.wood_inside {
                    Side::Both(form_a, form_b)
                } else {
                    Side::Either(form_a, form_b)
                })
            }
            _ => None,
        }
    }

    /// The distance to a part's whole line or circle, turned, as a form.
    fn form(&self, profile: &Profile, part: &Part, q: DVec2, frame: &Frame) -> Option<Form> {
        let bend = part_bend(&part.shape, q, self.reach)?;
        let (left, gradient, curvatures) = match &part.shape {
            Shape::Line { direction, .. } => {
                let normal = direction.perp();
                let about = if bend == 0.0 { 0.0 } else { normal.y / q.y };
                ((q - part.from).dot(normal), normal, [0.0, about])
            }
            Shape::Arc {
                centre,
                radius,
                left,
                ..
            } => {
                let out = q - *centre;
                let length = out.length();
                let sign = if *left { -1.0 } else { 1.0 };
                let across = sign / length;
                let about = if centre.y == 0.0 {
                    across
                } else {
                    across * out.y / q.y
                };
                let value = sign * (length - radius);
                (value, across * out, [across, about])
            }
        };
        let sign = if profile.inside_left == frame.wood_inside {
            1.0
        } else {
            -1.0
        };
        let whole = match &part.shape {
            Shape::Line { direction, .. } if direction.x.abs() < 1e-12 => Whole::Plane,
            Shape::Arc { centre, .. } if centre.y.abs() < 1e-12 => Whole::Sphere {
                centre: frame.origin + frame.axis * centre.x,
            },
            _ => Whole::Neither,
        };
        Some(self.shared(
            Form {
                value: sign * left,
                gradient: sign * (frame.axis * gradient.x + frame.radial * gradient.y),
                bend,
                twist: part_twist(&part.shape, q, self.reach),
                curvatures: curvatures.map(|curvature| sign * curvature),
                around: frame.axis.cross(frame.radial),
                extra: 0.0,
            },
            whole,
        ))
    }
}

/// Where the whole curves of two parts that follow each other cross once more.
fn second_meeting(a: &Part, b: &Part) -> Option<DVec2> {
    let corner = a.to;
    // The two crossings are mirror images in the line through the centres, or in the
    // line through the centre square to the straight part.
    let (on, way) = match (&a.shape, &b.shape) {
        (Shape::Line { .. }, Shape::Line { .. }) => return None,
        (Shape::Line { direction, .. }, Shape::Arc { centre, .. })
        | (Shape::Arc { centre, .. }, Shape::Line { direction, .. }) => (*centre, direction.perp()),
        (Shape::Arc { centre, .. }, Shape::Arc { centre: other, .. }) => {
            (*centre, (*other - *centre).normalize_or_zero())
        }
    };
    let off = (corner - on).dot(way.perp());
    Some(corner - 2.0 * off * way.perp())
}
