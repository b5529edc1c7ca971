//! What is left of a ball with changed sizes, in microseconds.
//!
//! A few layouts are searched in full and known from then on
//! ([`Known`]); any other layout takes the nearest known one of its marks and
//! follows its walls and passages. Layouts are compared at one size, since likeness does
//! not hang on it: the distance between two is the largest change of any size over the
//! ball's radius, which bounds the change of every distance in the wood. Where no known
//! layout is near enough the layout is searched itself, and known for those after it.
//!
//! Answers depend, in the last digits only, on which layouts are known; [`Quick::learn`] makes
//! them the same on any number of cores where that matters.

mod wood;

use std::sync::{Arc, PoisonError, RwLock};

use rondure_solid::nearby::{Changed, Known, Wall};
use rondure_solid::{Face, ProfileError};

use crate::form::coved_ball::Layout;
pub use wood::wood;

/// A known layout serves others no farther off than this share of the ball's radius: there the
/// walls and necks of random plans came out as those of the search (`tests/quick.rs`).
const NEAR: f64 = 0.04;

/// What is left of a ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left {
    /// Thinnest wall that stands between two cuts, mm; none where none does. The land between two
    /// coves is no wall.
    pub web: Option<f64>,
    /// How far a hole has run through the ridge into the next cove, mm; none where none has.
    pub through: Option<f64>,
    /// Narrowest passage between two bulks of wood, across, mm; not above 0 where it is closed. None
    /// where the wood is one bulk.
    pub neck: Option<f64>,
    /// Parts the wood is in.
    pub parts: usize,
    /// Walls and passages that could not be followed; above 0 the search alone would tell.
    pub lost: usize,
}

/// Layouts that are known, and those near them. Clones share what is known.
#[derive(Debug, Clone, Default)]
pub struct Quick {
    known: Arc<RwLock<Vec<Arc<Nearby>>>>,
}

#[derive(Debug)]
struct Nearby {
    marks: u32,
    shape: [f64; SIZES],
    known: Known,
}

/// Sizes that shape the wood, over the ball's radius.
const SIZES: usize = 5;

fn shape(layout: &Layout) -> [f64; SIZES] {
    [
        layout.half_width,
        layout.flat_radius,
        layout.bottom_radius,
        layout.bore_radius,
        layout.pierce_radius.unwrap_or(0.0),
    ]
    .map(|size| size / layout.radius)
}

/// A layout of the same shape with a ball of radius `radius`.
fn sized(layout: &Layout, radius: f64) -> Layout {
    let by = radius / layout.radius;
    Layout {
        marks: layout.marks,
        radius,
        half_width: by * layout.half_width,
        flat_radius: by * layout.flat_radius,
        bottom_radius: by * layout.bottom_radius,
        bore_radius: by * layout.bore_radius,
        pierce_radius: layout.pierce_radius.map(|radius| by * radius),
        marker_radius: by * layout.marker_radius,
        marker_end: by * layout.marker_end,
    }
}

/// The radius at which layouts are compared and searched, mm.
const UNIT: f64 = 30.0;

impl Nearby {
    fn of(layout: &Layout) -> Result<Self, ProfileError> {
        let solid = wood(&sized(layout, UNIT))?;
        Ok(Self {
            marks: layout.marks,
            shape: shape(layout),
            known: Known::of(&solid, solid.default_spacing()).symmetric(),
        })
    }

    fn away(&self, layout: &Layout) -> f64 {
        let pierced = |hole: f64| hole > 0.0;
        let other = shape(layout);
        if self.marks != layout.marks || pierced(self.shape[SIZES - 1]) != pierced(other[SIZES - 1])
        {
            return f64::INFINITY;
        }
        let off = self.shape.iter().zip(other).map(|(a, b)| (a - b).abs());
        off.fold(0.0, f64::max)
    }
}

impl Quick {
    /// Knows a layout from now on.
    ///
    /// # Errors
    /// If a size of the layout is not a number that can be drawn.
    pub fn learn(&self, layout: &Layout) -> Result<(), ProfileError> {
        self.add(layout).map(|_| ())
    }

    fn add(&self, layout: &Layout) -> Result<Arc<Nearby>, ProfileError> {
        let nearby = Arc::new(Nearby::of(layout)?);
        let mut known = self.known.write().unwrap_or_else(PoisonError::into_inner);
        known.push(Arc::clone(&nearby));
        Ok(nearby)
    }

    fn nearest(&self, layout: &Layout) -> Option<Arc<Nearby>> {
        let known = self.known.read().unwrap_or_else(PoisonError::into_inner);
        let nearest = (known.iter())
            .map(|nearby| (nearby.away(layout), nearby))
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        (nearest.0 <= NEAR).then(|| Arc::clone(nearest.1))
    }

    /// Whether a layout is near enough to a known one.
    pub fn knows(&self, layout: &Layout) -> bool {
        self.nearest(layout).is_some()
    }

    /// How many layouts are known.
    pub fn count(&self) -> usize {
        self.known
            .read()
            .unwrap_or_else(PoisonError::into_inner)
            .len()
    }

    /// What is left of a ball. `changed` is kept between calls so that nothing is allocated anew.
    ///
    /// # Errors
    /// If a size of the layout is not a number that can be drawn.
    pub fn left(&self, layout: &Layout, changed: &mut Changed) -> Result<Left, ProfileError> {
        let nearby = match self.nearest(layout) {
            Some(nearby) => nearby,
            None => self.add(layout)?,
        };
        let mut left = follow(&nearby.known, layout, changed)?;
        if left.lost > 0 && nearby.away(layout) > 0.0 {
            left = follow(&self.add(layout)?.known, layout, changed)?;
        }
        Ok(left)
    }
}

fn follow(known: &Known, layout: &Layout, changed: &mut Changed) -> Result<Left, ProfileError> {
    let solid = wood(&sized(layout, UNIT))?;
    known.follow(&solid, changed);
    let back = layout.radius / UNIT;
    let walls = changed.walls.iter().flatten();
    let least = walls
        .clone()
        .filter(|wall| wall.stands && !is_land(layout, wall));
    let through = walls.filter(|wall| wall.thickness <= 0.0 && is_hole_and_cove(layout, wall));
    let thinnest = |a: f64, b: f64| a.min(b);
    Ok(Left {
        web: (least.map(|wall| back * wall.thickness))
            .filter(|web| *web > 0.0)
            .reduce(thinnest),
        through: (through.map(|wall| back * wall.thickness).reduce(thinnest)).map(|by| -by),
        neck: changed
            .least_passage()
            .map(|passage| back * 2.0 * passage.radius),
        parts: known.parts(&solid, changed),
        lost: changed.lost(),
    })
}

/// Whether a face of [`wood`] is a cove.
fn is_cove(layout: &Layout, face: Face) -> bool {
    (2..2 + layout.mountings() as usize).contains(&face.0)
}

/// Whether a face of [`wood`] is a pierced hole.
fn is_hole(layout: &Layout, face: Face) -> bool {
    face.0 >= 2 + layout.mountings() as usize
}

fn is_land(layout: &Layout, wall: &Wall) -> bool {
    wall.faces.iter().all(|face| is_cove(layout, *face))
}

fn is_hole_and_cove(layout: &Layout, wall: &Wall) -> bool {
    let [a, b] = wall.faces;
    (is_cove(layout, a) && is_hole(layout, b)) || (is_hole(layout, a) && is_cove(layout, b))
}
