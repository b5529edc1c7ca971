//! Sizes of a new plan: from proportions, to what the rack holds, and down in steps.
//!
//! The proportions are those of a 60 mm ball with eight marks that works (common practice, no
//! source): land a thirtieth of the diameter, cove depth 0.475 of its half-width, bore a third,
//! holes two thirds of the chord from one to the next, shoulders four tenths.

use std::f64::consts::PI;

use super::{Shop, Wish};
use crate::form::coved_ball::Stock;
use crate::form::coved_ball::ball::BORE_KINDS;
use crate::form::coved_ball::mountings::MARKER_KINDS;
use crate::form::coved_ball::piercing::PIERCE_KINDS;
use crate::form::coved_ball::stock::{SHOULDER, TAIL_WASTE};
use crate::rack::{BitKind, CentreKind};
use crate::units::{LengthUnit, MILLIMETRES_PER_INCH};

/// Wood between neighbouring rims to begin with, mm: above the usual limits of web and neck.
const RIM_GAP: f64 = 3.5;
/// The least hole worth piercing, mm: anything less is a marker.
const LEAST_HOLE: f64 = 3.0;
/// The least depth of a cove, as a share of its half-width: less is hardly seen.
const LEAST_DEPTH: f64 = 0.2;
/// The least bore, as a share of the diameter: less cannot hold a finial's tenon.
const LEAST_BORE: f64 = 0.15;
/// How far a bore's first half goes past the middle, with a little to spare, mm. Should the work ask
/// for more, the findings say so.
const PAST_MIDDLE: f64 = 4.0;

/// The steps a turner writes lengths in, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Grid {
    /// For diameters of finials and for diameters to try: 1 mm or 1/16 in.
    pub coarse: f64,
    /// For short lengths: 0.5 mm or 1/32 in.
    pub fine: f64,
    /// For blanks: 1 mm or 1/8 in.
    pub blank: f64,
}

impl Grid {
    pub(super) fn of(unit: LengthUnit) -> Self {
        let inch = |parts: f64| MILLIMETRES_PER_INCH / parts;
        match unit {
            LengthUnit::Inch => Self {
                coarse: inch(16.0),
                fine: inch(32.0),
                blank: inch(8.0),
            },
            LengthUnit::Millimetre | LengthUnit::Centimetre => Self {
                coarse: 1.0,
                fine: 0.5,
                blank: 1.0,
            },
        }
    }
}

/// The nearest multiple of a step.
pub(super) fn near(mm: f64, step: f64) -> f64 {
    (mm / step + 1e-9).round() * step
}

/// The least multiple of a step that is no less.
pub(super) fn up(mm: f64, step: f64) -> f64 {
    (mm / step - 1e-9).ceil() * step
}

/// Sizes of a new plan, mm.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub diameter: f64,
    pub marks: u32,
    pub facets: u32,
    pub land: f64,
    pub depth: f64,
    pub bore: f64,
    /// Whether the bore is smaller than its proportion because longer bits are thin.
    pub bore_by_reach: bool,
    pub hole: f64,
    pub marker: f64,
    pub margin: f64,
    pub tenon: f64,
    pub spigot: Option<f64>,
    pub blank_across: f64,
    pub blank_length: f64,
    pub finials: FinialSizes,
    /// Spigots wider than the jaws' best, for work that stands far out.
    widest_spigot: Option<f64>,
    half_width: f64,
}

/// Sizes of the finials, mm.
#[derive(Debug, Clone)]
pub(super) struct FinialSizes {
    pub blank: f64,
    pub fillet: f64,
    pub shoulder: f64,
    pub waist: f64,
    pub top_cove: f64,
    pub ogee: f64,
    pub bead: f64,
    pub bead_diameter: f64,
    pub top_neck: f64,
    pub top_neck_length: f64,
    pub top_ball: f64,
    pub taper: f64,
    pub taper_to: f64,
    pub bottom_ball: f64,
    pub hanger: f64,
    pub hanger_depth: f64,
}

/// A size that can be eased.
#[derive(Debug, Clone, Copy)]
enum Size {
    Hole,
    Depth,
    Bore,
    Land,
    Margin,
    Marker,
    Tenon,
    Spigot,
}

impl Draft {
    /// First sizes for a wish, or why there are none.
    pub(super) fn new(shop: &Shop, wish: &Wish) -> Result<Self, String> {
        let grid = Grid::of(shop.unit);
        let diameter = shop.writable(wish.diameter_mm);
        let (radius, marks) = (0.5 * diameter, wish.marks);
        let (land, half_width) = coves(shop, grid, radius, marks).ok_or_else(|| {
            cannot(
                "its smallest centres are wider than the coves they would bear on",
                shop,
                diameter,
                marks,
            )
        })?;
        let depth = near(0.475 * half_width, grid.fine).max(grid.fine);
        let bottom = (radius.powi(2) - half_width.powi(2)).sqrt() - depth;
        let bore_wish = (diameter / 3.0).min(2.0 * (bottom - 2.5));
        let bore = bores(shop, radius)
            .rfind(|size| *size <= bore_wish + 1e-9)
            .ok_or_else(|| cannot("it has no bit for the bore", shop, diameter, marks))?;
        let bore_by_reach = sizes(shop, &BORE_KINDS, 0.0)
            .any(|size| size <= bore_wish + 1e-9 && size > bore + 1e-9);
        let chord = 2.0 * bottom * (PI / f64::from(marks)).sin();
        let hole = holes(shop, radius)
            .rfind(|size| *size <= (0.68 * chord).min(chord - RIM_GAP) + 1e-9)
            .filter(|size| *size >= LEAST_HOLE)
            .ok_or_else(|| cannot("it has no bit for the pierced holes", shop, diameter, marks))?;
        let margin = near((diameter / 30.0).clamp(1.2, 2.0), grid.fine);
        // A short thin bit would do for the mark but not reach its depth: then the next that does.
        let mut long_enough = markers(shop, radius - bottom + margin + 1.0);
        let marker = long_enough
            .clone()
            .rfind(|size| *size <= (hole / 4.5).clamp(1.6, 3.0))
            .or_else(|| long_enough.find(|size| *size <= 0.4 * hole))
            .ok_or_else(|| cannot("it has no bit for the marker holes", shop, diameter, marks))?;
        let finials = FinialSizes::new(shop, grid, diameter, bore).ok_or_else(|| {
            cannot(
                "its jaws grip no blank for the finials",
                shop,
                diameter,
                marks,
            )
        })?;
        Ok(Self {
            diameter,
            marks,
            facets: if diameter < 50.0 { 16 } else { 32 },
            land,
            depth,
            bore,
            bore_by_reach,
            hole,
            marker,
            margin,
            tenon: near(diameter * 8.0 / 60.0, grid.fine).clamp(4.0, 14.0),
            spigot: None,
            blank_across: up(diameter + 10.0, grid.blank),
            blank_length: up(diameter + 40.0, grid.blank),
            finials,
            widest_spigot: None,
            half_width,
        })
    }

    /// The least blank, rounded up to what a turner would saw.
    pub(super) fn fit_blank(&mut self, shop: &Shop, stock: &Stock) {
        let grid = Grid::of(shop.unit);
        self.blank_across = up(stock.least_across, grid.blank);
        self.blank_length = up(stock.least_length, grid.blank);
        let grip = stock.jaws.as_ref().and_then(|jaws| jaws.spigot);
        let shoulder = stock.rough - 2.0 * SHOULDER;
        self.widest_spigot = grip.map(|grip| grip.largest.min(shoulder));
    }

    /// Turns down, by one step, the first size that helps against a finding and still has steps;
    /// false where none has.
    pub(super) fn ease(&mut self, shop: &Shop, finding: &str) -> bool {
        let order: &[Size] = match finding {
            "rim.gap" | "web.thin" | "neck.thin" | "pieces.fall" => {
                &[Size::Hole, Size::Depth, Size::Bore]
            }
            "edge.feather" | "cove.gouge" => &[Size::Depth, Size::Hole, Size::Bore],
            "cove.bore" | "seat.air" => &[Size::Depth, Size::Bore],
            "seat.ridge" | "centre.wide" => &[Size::Land],
            "marker.bore" | "marker.shallow" => &[Size::Margin, Size::Marker, Size::Bore],
            "bit.reach" => &[Size::Bore],
            "marker.shows" => &[Size::Marker],
            "finial.tenon" => &[Size::Tenon, Size::Hole],
            "holding.overhang" => &[Size::Spigot],
            _ => &[],
        };
        order.iter().any(|size| self.turn(shop, *size))
    }

    fn turn(&mut self, shop: &Shop, size: Size) -> bool {
        let fine = Grid::of(shop.unit).fine;
        let radius = 0.5 * self.diameter;
        let below =
            |mut sizes: std::vec::IntoIter<f64>, now: f64| sizes.rfind(|size| *size < now - 1e-9);
        match size {
            Size::Hole => {
                let least = LEAST_HOLE.max(0.7 * self.half_width);
                let smaller = below(holes(shop, radius), self.hole);
                set(&mut self.hole, smaller.filter(|size| *size >= least))
            }
            Size::Depth => {
                let shallower = near(self.depth - fine, fine);
                let least = (LEAST_DEPTH * self.half_width).max(fine);
                set(&mut self.depth, Some(shallower).filter(|s| *s >= least))
            }
            Size::Bore => {
                let smaller = below(bores(shop, radius), self.bore);
                let least = LEAST_BORE * self.diameter;
                set(&mut self.bore, smaller.filter(|size| *size >= least))
            }
            Size::Land => {
                let narrower = near(self.land - fine, fine);
                let turned = set(&mut self.land, Some(narrower).filter(|land| *land >= 0.0));
                self.half_width = half_width(radius, self.marks, self.land);
                turned
            }
            Size::Margin => {
                let less = near(self.margin - fine, fine);
                set(&mut self.margin, Some(less).filter(|less| *less >= 1.0))
            }
            Size::Marker => {
                let smaller = below(markers(shop, 0.0), self.marker);
                set(&mut self.marker, smaller)
            }
            Size::Tenon => {
                let shorter = near(self.tenon - fine, fine);
                set(&mut self.tenon, Some(shorter).filter(|s| *s >= 3.0))
            }
            Size::Spigot => {
                let widest = self.widest_spigot.map(|widest| {
                    let step = Grid::of(shop.unit).coarse;
                    (widest / step + 1e-9).floor() * step
                });
                let wider = widest.filter(|widest| Some(*widest) != self.spigot);
                self.spigot = wider.or(self.spigot);
                wider.is_some()
            }
        }
    }
}

impl FinialSizes {
    fn new(shop: &Shop, grid: Grid, diameter: f64, bore: f64) -> Option<Self> {
        let scale = diameter / 60.0;
        let length = |mm: f64, least: f64| near(mm * scale, grid.fine).max(up(least, grid.fine));
        let shoulder = near(0.4 * diameter, grid.coarse).max(up(bore + 2.5, grid.coarse));
        let waist = length(7.0, 4.0);
        let steepest = 0.5 * (shoulder - waist);
        let top_neck = length(5.0, 4.0);
        let bead_diameter = length(10.0, 6.0);
        let hanger = sizes(shop, &[BitKind::Twist], 12.0)
            .rfind(|size| *size <= 1.6)
            .or_else(|| sizes(shop, &[BitKind::Twist], 12.0).next())?;
        // Roughed a millimetre over its widest, in a blank that some jaws grip.
        let least = shoulder + 1.0;
        let blank = shop
            .rack
            .jaws
            .iter()
            .filter_map(|jaws| jaws.spigot)
            .map(|grip| (up(least.max(grip.smallest), grid.blank), grip))
            .filter(|(size, grip)| grip.holds(*size))
            .map(|(size, _)| size)
            .min_by(f64::total_cmp)?;
        Some(Self {
            blank,
            fillet: length(2.0, 1.0),
            shoulder,
            waist,
            top_cove: length(9.0, steepest),
            ogee: length(14.0, steepest),
            bead: length(4.0, 2.0),
            bead_diameter,
            top_neck,
            top_neck_length: length(5.0, 0.5 * (bead_diameter - top_neck)),
            top_ball: length(8.0, 8.0),
            taper: near(45.0 * scale, grid.coarse),
            taper_to: length(3.0, 3.0),
            bottom_ball: length(6.0, 5.0),
            hanger,
            hanger_depth: near((6.0 * scale).clamp(6.0, 7.5), grid.fine),
        })
    }
}

/// Land and half-width of the coves: the proportion, or less land, down to none, where the later
/// seats would be too narrow for every centre in the rack; none where they are even so. A whole
/// ring bears on a cove's bottom as far as the cove is wide.
fn coves(shop: &Shop, grid: Grid, radius: f64, marks: u32) -> Option<(f64, f64)> {
    let least = [CentreKind::Drive, CentreKind::Tail]
        .map(|kind| {
            let of_kind = shop.rack.centres.iter().filter(|c| c.kind == kind);
            of_kind.map(|c| c.diameter).fold(f64::INFINITY, f64::min)
        })
        .into_iter()
        .fold(0.0, f64::max);
    let wished = near(radius / 15.0 * 8.0 / f64::from(marks), grid.fine).max(grid.fine);
    let steps = (wished / grid.fine).round() as u32;
    (0..=steps)
        .rev()
        .map(|steps| f64::from(steps) * grid.fine)
        .map(|land| (land, half_width(radius, marks, land)))
        .find(|(_, half_width)| 2.0 * half_width >= least)
}

/// Half the width of a cove, R sin β with 2Rβ the cove's share of the equator less the land.
fn half_width(radius: f64, marks: u32, land: f64) -> f64 {
    radius * (PI / f64::from(marks) - 0.5 * land / radius).sin()
}

fn set(place: &mut f64, value: Option<f64>) -> bool {
    if let Some(value) = value {
        *place = value;
    }
    value.is_some()
}

fn cannot(why: &str, shop: &Shop, diameter: f64, marks: u32) -> String {
    format!(
        "With the rack \"{}\" a ball of {} with {marks} marks cannot be made: {why}.",
        shop.rack_name,
        shop.write(diameter)
    )
}

/// Diameters of the rack's bits of some kinds that reach a depth, ascending.
fn sizes(shop: &Shop, kinds: &[BitKind], depth: f64) -> std::vec::IntoIter<f64> {
    let mut sizes: Vec<f64> = shop
        .rack
        .bits
        .iter()
        .filter(|bit| kinds.contains(&bit.kind) && bit.reach >= depth)
        .map(|bit| bit.diameter)
        .collect();
    sizes.sort_by(f64::total_cmp);
    sizes.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    sizes.into_iter()
}

fn bores(shop: &Shop, radius: f64) -> std::vec::IntoIter<f64> {
    sizes(shop, &BORE_KINDS, radius + TAIL_WASTE + PAST_MIDDLE)
}

fn holes(shop: &Shop, radius: f64) -> std::vec::IntoIter<f64> {
    // From a cove's bottom into the bore is less than the radius.
    sizes(shop, &PIERCE_KINDS, 0.75 * radius)
}

fn markers(shop: &Shop, depth: f64) -> std::vec::IntoIter<f64> {
    sizes(shop, &MARKER_KINDS, depth)
}
