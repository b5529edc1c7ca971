//! Rounding any convex shape from a cylinder by facets: egg, oval, barrel, onion, ball.
//!
//! As with the ball ([`crate::facets`]) each stage is a polygon round the outline whose sides lean by
//! equal angles: 4 is the cylinder itself, then 8, 16, 32. Side k touches the outline where the outline
//! leans as it does (its support point); neighbouring sides meet in a corner that is marked and
//! callipered. Of a ball this is the ball's own ladder. Outlines are given as close points; all figures
//! are good to about a hundredth of a millimetre on shapes that the hand can hold. A shape with a
//! hollow, such as an onion's drawn-out neck, is rounded without it, and hollowed last.

use std::f64::consts::PI;

use crate::facets::Place;

/// Points of an outline.
const POINTS: u32 = 20_000;
/// Where an egg is widest, as a share of its length from the blunt end. Common practice, no source.
const EGG_WIDEST: f64 = 0.42;

/// A shape to round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Convex {
    /// As long as thick.
    Ball {
        /// Its diameter, mm.
        across: f64,
    },
    /// Two half ellipses, the blunt one first.
    Egg {
        /// Along the axis, mm.
        length: f64,
        /// At its widest, mm.
        across: f64,
    },
    /// One ellipse.
    Oval {
        /// Along the axis, mm.
        length: f64,
        /// At its widest, mm.
        across: f64,
    },
    /// One arc between two flat ends.
    Barrel {
        /// Along the axis, mm.
        length: f64,
        /// At its middle, mm.
        across: f64,
        /// At its ends, mm.
        ends: f64,
    },
    /// A ball drawn out to a point by the cone that touches it.
    Onion {
        /// Along the axis, mm; more than it is wide.
        length: f64,
        /// Of its ball, mm.
        across: f64,
    },
}

impl Convex {
    /// Along the axis, mm.
    pub fn length(self) -> f64 {
        match self {
            Self::Ball { across } => across,
            Self::Egg { length, .. }
            | Self::Oval { length, .. }
            | Self::Barrel { length, .. }
            | Self::Onion { length, .. } => length,
        }
    }

    /// At its widest, mm.
    pub fn across(self) -> f64 {
        match self {
            Self::Ball { across }
            | Self::Egg { across, .. }
            | Self::Oval { across, .. }
            | Self::Barrel { across, .. }
            | Self::Onion { across, .. } => across,
        }
    }

    /// Radius at a station from its first end, mm.
    pub fn radius_at(self, station: f64) -> f64 {
        let half = 0.5 * self.across();
        let ellipse = |from_widest: f64, reach: f64| {
            half * (1.0 - (from_widest / reach).powi(2)).max(0.0).sqrt()
        };
        match self {
            Self::Ball { across } => ellipse(station - 0.5 * across, 0.5 * across),
            Self::Oval { length, .. } => ellipse(station - 0.5 * length, 0.5 * length),
            Self::Egg { length, .. } => {
                let widest = EGG_WIDEST * length;
                let reach = if station < widest {
                    widest
                } else {
                    length - widest
                };
                ellipse(station - widest, reach)
            }
            Self::Barrel { length, ends, .. } => {
                let rise = half - 0.5 * ends;
                if rise < 1e-9 {
                    return half;
                }
                let arc = (0.25 * length * length + rise * rise) / (2.0 * rise);
                let along = station - 0.5 * length;
                (arc * arc - along * along).max(0.0).sqrt() - (arc - half)
            }
            Self::Onion { length, .. } => {
                // The cone from the tip touches the ball where its side is square to the radius.
                let tip = length - half;
                let touch = half + half * half / tip;
                if station <= touch {
                    ellipse(station - half, half)
                } else {
                    (length - station) * half / (tip * tip - half * half).max(1e-9).sqrt()
                }
            }
        }
    }

    fn outline(self) -> Vec<(f64, f64)> {
        // Close together at the ends, where the outline leans fast.
        (0..=POINTS)
            .map(|k| {
                let share = 0.5 - 0.5 * (PI * f64::from(k) / f64::from(POINTS)).cos();
                let station = share * self.length();
                (station, self.radius_at(station))
            })
            .collect()
    }

    /// How far the end stands into a tube of bore `bore` laid on it square to the axis, mm; from the
    /// first end (`false`) or the other (`true`). None where the tube is wider than the shape.
    pub fn into_tube(self, bore: f64, other_end: bool) -> Option<f64> {
        let outline = self.outline();
        let first = |mut points: Box<dyn Iterator<Item = (f64, f64)>>| {
            points.find(|(_, radius)| *radius >= 0.5 * bore)
        };
        let length = self.length();
        if other_end {
            first(Box::new(outline.into_iter().rev())).map(|(station, _)| length - station)
        } else {
            first(Box::new(outline.into_iter())).map(|(station, _)| station)
        }
    }
}

/// One stage of the ladder.
#[derive(Debug, Clone, PartialEq)]
pub struct ConvexStage {
    /// Sides of the whole polygon: 8, 16 or 32.
    pub sides: u32,
    /// Its corners from the first end to the other; `from_end` is from the first end.
    pub corners: Vec<Corner>,
    /// Where the sides touch the finished shape and must not be cut.
    pub touches: Vec<Place>,
}

/// A corner of a stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Where it stands; `from_end` is from the first end.
    pub at: Place,
    /// Distance to mark from the corner of the stage before, along its side, mm.
    pub mark: f64,
    /// Wood left between this corner and the finished shape, mm.
    pub above: f64,
}

/// The stages up to `sides` (8 doubled any number of times).
pub fn ladder(shape: Convex, sides: u32) -> Vec<ConvexStage> {
    let outline = shape.outline();
    let mut before = polygon(&outline, 4).0;
    let mut stages = Vec::new();
    let mut count = 8;
    while count <= sides {
        let (corners, touches) = polygon(&outline, count);
        let place = |(station, radius): (f64, f64)| Place {
            from_end: station,
            diameter: 2.0 * radius,
        };
        let marked = corners
            .iter()
            .enumerate()
            .map(|(k, corner)| Corner {
                at: place(*corner),
                // Corners 2k and 2k + 1 stand either side of the old corner k.
                mark: before
                    .get(k / 2)
                    .map_or(0.0, |old| (old.0 - corner.0).hypot(old.1 - corner.1)),
                above: outline
                    .iter()
                    .map(|point| (point.0 - corner.0).hypot(point.1 - corner.1))
                    .fold(f64::INFINITY, f64::min),
            })
            .collect();
        stages.push(ConvexStage {
            sides: count,
            corners: marked,
            touches: touches.into_iter().map(place).collect(),
        });
        before = corners;
        count *= 2;
    }
    stages
}

/// Places as (station, radius), mm.
type Points = Vec<(f64, f64)>;

/// Corners and touching points of the polygon of `sides` sides round an outline, as (station, radius).
fn polygon(outline: &[(f64, f64)], sides: u32) -> (Points, Points) {
    let lines: Vec<(f64, f64, f64, (f64, f64))> = (0..=sides / 2)
        .map(|k| {
            let angle = 2.0 * PI * f64::from(k) / f64::from(sides);
            // The side's normal, from the first end's face through the wall to the other end's.
            let (along, out) = (-angle.cos(), angle.sin());
            let (reach, touch) = outline
                .iter()
                .map(|point| (along * point.0 + out * point.1, *point))
                .fold((f64::NEG_INFINITY, (0.0, 0.0)), |most, each| {
                    if each.0 > most.0 { each } else { most }
                });
            (along, out, reach, touch)
        })
        .collect();
    let corners = lines
        .windows(2)
        .map(|pair| {
            let ((a, b, c, _), (d, e, f, _)) = (pair[0], pair[1]);
            let under = a * e - b * d;
            ((c * e - b * f) / under, ((a * f - c * d) / under).max(0.0))
        })
        .collect();
    (corners, lines.iter().map(|line| line.3).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facets;

    /// Of a ball it is the ball's own ladder, whose figures are checked against published ones
    /// (trade facts 1.2 to 1.9).
    #[test]
    fn of_a_ball_it_is_the_balls_ladder() {
        let ball = facets::ladder(60.0, 32);
        for (found, known) in ladder(Convex::Ball { across: 60.0 }, 32).iter().zip(&ball) {
            assert_eq!(found.corners.len(), 2 * known.corners.len());
            for (corner, place) in found.corners.iter().zip(&known.corners) {
                assert!((corner.at.from_end - place.from_end).abs() < 0.01);
                assert!((corner.at.diameter - place.diameter).abs() < 0.01);
                assert!((corner.mark - known.mark).abs() < 0.01, "{corner:?}");
                assert!((corner.above - known.above).abs() < 0.01, "{corner:?}");
            }
            // The first touch is the pole itself.
            for (touch, place) in found.touches.iter().skip(1).zip(&known.touches) {
                assert!((touch.from_end - place.from_end).abs() < 0.02);
                assert!((touch.diameter - place.diameter).abs() < 0.02);
            }
        }
    }

    /// A side touches an ellipse of half axes a, b where its normal says: at a² cos θ / √(a² cos² θ +
    /// b² sin² θ) from the middle (the support point of an ellipse, exact).
    #[test]
    fn sides_touch_an_oval_where_it_leans_as_they_do() {
        let (a, b) = (40.0_f64, 25.0_f64);
        let oval = Convex::Oval {
            length: 80.0,
            across: 50.0,
        };
        for stage in ladder(oval, 16) {
            for (k, touch) in stage.touches.iter().enumerate() {
                let angle = 2.0 * PI * k as f64 / f64::from(stage.sides);
                let (along, out) = (a * angle.cos(), b * angle.sin());
                let station = a - a * along / along.hypot(out);
                assert!(
                    (touch.from_end - station).abs() < 0.02,
                    "{touch:?} {station}"
                );
            }
        }
    }

    /// A ball in a tube of half its diameter stands in it by 0.0670 of its diameter (trade facts 1.14).
    #[test]
    fn a_ball_stands_into_a_tube_by_the_table() {
        let ball = Convex::Ball { across: 100.0 };
        for end in [false, true] {
            let stands = ball.into_tube(50.0, end).unwrap();
            assert!((stands - 6.70).abs() < 0.02, "{stands}");
        }
        assert_eq!(ball.into_tube(101.0, false), None);
    }

    /// All wood of the shape stays inside every stage, and each stage inside the one before.
    #[test]
    fn nothing_of_the_shape_is_cut() {
        for shape in [
            Convex::Egg {
                length: 70.0,
                across: 50.0,
            },
            Convex::Barrel {
                length: 60.0,
                across: 40.0,
                ends: 30.0,
            },
            Convex::Onion {
                length: 75.0,
                across: 50.0,
            },
        ] {
            let mut worst = f64::INFINITY;
            for stage in ladder(shape, 32) {
                let most = stage.corners.iter().map(|c| c.above).fold(0.0, f64::max);
                assert!(most < worst, "{shape:?}");
                worst = most;
                for pair in stage.corners.windows(2) {
                    let (from, to) = (pair[0].at, pair[1].at);
                    for part in 0..=20 {
                        let share = f64::from(part) / 20.0;
                        let station = from.from_end + share * (to.from_end - from.from_end);
                        let radius = 0.5 * (from.diameter + share * (to.diameter - from.diameter));
                        assert!(
                            radius > shape.radius_at(station) - 0.01,
                            "{shape:?} {station}"
                        );
                    }
                }
            }
        }
    }
}
