//! A shaded picture of the finished piece, as vector tones.
//!
//! Rays through the exact solid, on a grid, give each place its shade: how far the surface is turned
//! from the light, and how near other wood stands before it. The bounds between [`TONES`] steps
//! of shade are then drawn as closed outlines ([`contour`](super::contour)), the darker over the
//! lighter, so that the picture is crisp at any size and small in the file.
//!
//! Rays walk by the depth, which never changes by more than the way: none passes through wood
//! thicker than [`NEAR`]. It is a picture and carries no number.

use rayon::prelude::*;
use rondure_solid::{DVec2, DVec3, View};

use super::contour::outlines;
use super::finished::Part;

/// Steps of shade.
const TONES: u32 = 18;
/// Samples along the picture's longer side.
const SAMPLES: f64 = 360.0;
/// A ray this near to wood has met it, mm.
const NEAR: f64 = 0.02;
/// Steps of a ray at most: one that grazes a surface is let go.
const STEPS: u32 = 96;
/// Samples of a block that is asked first whether it can meet wood at all.
const BLOCK: usize = 12;
/// Shades of the darkest wood and of the brightest, from 0, black, to 1, white.
const SHADES: (f64, f64) = (0.26, 0.97);
/// Where the light comes from in the view: right, up, towards the eye.
const LIGHT: DVec3 = DVec3::new(-0.5, 0.66, 0.56);
/// Wood nearer than this before a surface shades it, mm.
const SHADED_WITHIN: f64 = 5.0;

/// One tone: its shade, and the outlines it fills even-odd, in mm of the view.
#[derive(Debug, Clone, PartialEq)]
pub struct Tone {
    /// From 0, black, to 1, white.
    pub shade: f64,
    /// Closed outlines.
    pub outlines: Vec<Vec<DVec2>>,
}

/// A part as the ray walker sees it: in its own frame.
struct Seen<'a> {
    part: &'a Part,
    /// The view's origin and axes in the part's frame.
    origin: DVec3,
    right: DVec3,
    up: DVec3,
    ahead: DVec3,
    middle: DVec3,
    reach: f64,
}

/// The tones of the parts within a frame of the view, the lightest first.
pub(super) fn tones(parts: &[Part], view: &View, (low, high): (DVec2, DVec2)) -> Vec<Tone> {
    let size = high - low;
    let step = size.max_element() / SAMPLES;
    if !(step.is_finite() && step > 0.0) {
        return Vec::new();
    }
    // One row and column of paper all round closes every outline.
    let wide = (size.x / step).ceil() as usize + 3;
    let tall = (size.y / step).ceil() as usize + 3;
    let place = |x: usize, y: usize| low + step * DVec2::new(x as f64 - 1.0, y as f64 - 1.0);
    let seen: Vec<Seen<'_>> = parts.iter().map(|part| Seen::new(part, view)).collect();
    let bands: Vec<Vec<f64>> = (0..tall.div_ceil(BLOCK))
        .into_par_iter()
        .map(|band| {
            let rows = band * BLOCK..(band * BLOCK + BLOCK).min(tall);
            let mut shades = vec![1.0; rows.len() * wide];
            for from in (0..wide).step_by(BLOCK) {
                let across = from..(from + BLOCK).min(wide);
                let middle = 0.5 * (place(across.start, rows.start) + place(across.end, rows.end));
                let reach = (BLOCK as f64) * step * std::f64::consts::FRAC_1_SQRT_2;
                let starts: Vec<Option<f64>> =
                    seen.iter().map(|each| each.begin(middle, reach)).collect();
                if starts.iter().all(Option::is_none) {
                    continue;
                }
                for y in rows.clone() {
                    for x in across.clone() {
                        shades[(y - rows.start) * wide + x] = shade(&seen, &starts, place(x, y));
                    }
                }
            }
            shades
        })
        .collect();
    let mut shades: Vec<f64> = bands.concat();
    for y in 0..tall {
        for x in 0..wide {
            if x == 0 || y == 0 || x + 1 == wide || y + 1 == tall {
                shades[y * wide + x] = 1.0;
            }
        }
    }
    let (dark, bright) = SHADES;
    (0..TONES)
        .into_par_iter()
        .map(|tone| {
            let share = 1.0 - f64::from(tone) / f64::from(TONES);
            let bound = dark + (bright + 0.02 - dark) * share;
            let half = 0.5 * (bright - dark) / f64::from(TONES);
            Tone {
                shade: bound - half,
                outlines: outlines(&shades, wide, bound)
                    .into_iter()
                    .map(|outline| {
                        outline
                            .into_iter()
                            .map(|p| low + step * (p - DVec2::ONE))
                            .collect()
                    })
                    .collect(),
            }
        })
        .collect()
}

/// The shade at a place of the view.
fn shade(seen: &[Seen<'_>], starts: &[Option<f64>], at: DVec2) -> f64 {
    let nearest = seen
        .iter()
        .zip(starts)
        .filter_map(|(each, start)| Some((each, each.meets(at, (*start)?)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    let Some((each, way)) = nearest else {
        return 1.0;
    };
    let p = each.point(at, way);
    let out = -each.part.solid.nearest(p).inward;
    let in_view = DVec3::new(out.dot(each.right), out.dot(each.up), -out.dot(each.ahead));
    let lit = in_view.dot(LIGHT.normalize()).max(0.0);
    let open = 0.5
        * [0.4, 1.0]
            .map(|share: f64| {
                let far = share * SHADED_WITHIN;
                let clear = -each.part.solid.depth(p + out * far);
                (clear / far).clamp(0.0, 1.0)
            })
            .iter()
            .sum::<f64>();
    let (dark, bright) = SHADES;
    dark + (bright - dark) * (0.18 + 0.82 * lit.powf(0.9)) * (0.35 + 0.65 * open)
}

impl<'a> Seen<'a> {
    fn new(part: &'a Part, view: &View) -> Self {
        let back = part.place.inverse();
        let (right, up, ahead) = view.axes();
        let bounds = part.solid.bounds();
        Self {
            part,
            origin: back.transform_point3(DVec3::ZERO),
            right: back.transform_vector3(right),
            up: back.transform_vector3(up),
            ahead: back.transform_vector3(ahead),
            middle: bounds.centre(),
            reach: 0.5 * bounds.size().length() + 1.0,
        }
    }

    fn point(&self, at: DVec2, way: f64) -> DVec3 {
        self.origin + self.right * at.x + self.up * at.y + self.ahead * way
    }

    /// Ways at which the ray through a place enters and leaves a ball around the part.
    fn span(&self, at: DVec2, more: f64) -> Option<(f64, f64)> {
        let start = self.point(at, 0.0);
        let middle = (self.middle - start).dot(self.ahead);
        let aside = (start + self.ahead * middle - self.middle).length_squared();
        let half = ((self.reach + more).powi(2) - aside).max(0.0).sqrt();
        (half > 0.0).then_some((middle - half, middle + half))
    }

    /// The way up to which no ray within `reach` of a place can meet wood; none where none meets any.
    fn begin(&self, at: DVec2, reach: f64) -> Option<f64> {
        let (mut way, end) = self.span(at, reach)?;
        for _ in 0..STEPS {
            let clear = -self.part.solid.depth(self.point(at, way)) - reach;
            if clear < 0.25 * reach {
                return Some(way);
            }
            way += clear;
            if way > end {
                return None;
            }
        }
        Some(way)
    }

    /// The way at which the ray through a place meets the part's wood.
    fn meets(&self, at: DVec2, start: f64) -> Option<f64> {
        let (_, end) = self.span(at, 0.0)?;
        let mut way = start;
        for _ in 0..STEPS {
            let clear = -self.part.solid.depth(self.point(at, way));
            if clear < NEAR {
                return Some(way);
            }
            way += clear;
            if way > end {
                return None;
            }
        }
        None
    }
}
