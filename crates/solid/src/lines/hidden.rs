//! Which stretches of a line the eye sees.
//!
//! A line changes from seen to hidden where it passes behind another line, or where
//! a face beside it turns away. Between any two such places, and at least at every
//! millimetre or so, one ray from the exact curve towards the eye decides; where two
//! neighbours differ, halving closes in on the change.

use glam::{DVec2, DVec3};
use rayon::prelude::*;

use crate::lines::crossings::{Grid, Segment, crossing};
use crate::lines::run::Run;
use crate::lines::scene::Scene;
use crate::lines::{Frame, LineKind};

/// A stretch of a run that is seen throughout, or hidden throughout.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub kind: LineKind,
    pub sheets: [usize; 2],
    pub visible: bool,
    pub points: Vec<DVec3>,
}

/// Cuts all runs where their visibility changes.
pub(super) fn pieces(scene: &Scene<'_>, runs: &[Run], frame: &Frame, tolerance: f64) -> Vec<Piece> {
    let segments: Vec<Segment> = runs
        .iter()
        .enumerate()
        .flat_map(|(line, run)| {
            run.points
                .windows(2)
                .enumerate()
                .map(move |(place, pair)| Segment {
                    from: frame.flat(pair[0]),
                    to: frame.flat(pair[1]),
                    line: line as u32,
                    place: place as u32,
                })
        })
        .collect();
    let grid = Grid::new(&segments);
    let mut first = 0;
    let starts: Vec<usize> = runs
        .iter()
        .map(|run| {
            first += run.points.len() - 1;
            first + 1 - run.points.len()
        })
        .collect();
    let cut: Vec<Vec<Piece>> = runs
        .par_iter()
        .zip(&starts)
        .map(|(run, &start)| {
            let own = &segments[start..start + run.points.len() - 1];
            let extent = own
                .iter()
                .fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(low, high), s| {
                    (low.min(s.from).min(s.to), high.max(s.from).max(s.to))
                });
            // A line along the view is a point.
            if (extent.1 - extent.0).max_element() < 0.5 * tolerance {
                return Vec::new();
            }
            let line = Line {
                scene,
                run,
                frame,
                tolerance,
            };
            line.cut(&line.stops(own, &segments, runs, &grid))
        })
        .collect();
    cut.into_iter().flatten().collect()
}

struct Line<'a> {
    scene: &'a Scene<'a>,
    run: &'a Run,
    frame: &'a Frame,
    tolerance: f64,
}

impl Line<'_> {
    fn at(&self, t: f64) -> DVec3 {
        self.run.place(self.scene, t)
    }

    fn seen(&self, t: f64) -> bool {
        let least = (0.25 * self.tolerance).min(0.05);
        !self.scene.hidden(self.at(t), -self.frame.ahead, least)
    }

    /// Parameters between which the line is looked at, growing, with both ends.
    fn stops(&self, own: &[Segment], all: &[Segment], runs: &[Run], grid: &Grid) -> Vec<f64> {
        let run = self.run;
        let spacing = 0.75 * self.scene.spacing;
        let mut stops = vec![run.params[0]];
        let mut near = Vec::new();
        let mut since = 0.0;
        for (segment, k) in own.iter().zip(0..) {
            let (t0, t1) = (run.params[k], run.params[k + 1]);
            let (p0, p1) = (run.points[k], run.points[k + 1]);
            grid.near(
                segment.from.min(segment.to),
                segment.from.max(segment.to),
                &mut near,
            );
            let before = stops.len();
            for &number in &near {
                let other = &all[number as usize];
                if other.line == segment.line && other.place.abs_diff(segment.place) < 2 {
                    continue;
                }
                let Some((share, across)) = crossing(segment, other) else {
                    continue;
                };
                let over = &runs[other.line as usize].points;
                let above = over[other.place as usize].lerp(over[other.place as usize + 1], across);
                // Only what is nearer to the eye can hide.
                if (above - p0.lerp(p1, share)).dot(self.frame.ahead) < self.tolerance {
                    stops.push(t0 + (t1 - t0) * share.clamp(0.0, 1.0));
                }
            }
            stops[before..].sort_by(f64::total_cmp);
            since += segment.from.distance(segment.to);
            // A long straight stretch is looked at in several places.
            let parts = (segment.from.distance(segment.to) / spacing)
                .ceil()
                .max(1.0);
            if parts > 1.0 {
                stops.extend((1..parts as u32).map(|i| t0 + (t1 - t0) * f64::from(i) / parts));
                stops[before..].sort_by(f64::total_cmp);
            }
            if since >= spacing || k + 2 == run.params.len() {
                stops.push(t1);
                since = 0.0;
            }
        }
        stops.dedup();
        stops
    }

    fn cut(&self, stops: &[f64]) -> Vec<Piece> {
        let looks: Vec<(f64, bool)> = stops
            .windows(2)
            .map(|pair| 0.5 * (pair[0] + pair[1]))
            .map(|t| (t, self.seen(t)))
            .collect();
        let (Some(&(_, first)), Some(&begin), Some(&end)) =
            (looks.first(), stops.first(), stops.last())
        else {
            return Vec::new();
        };
        let mut changes = vec![(begin, first)];
        for pair in looks.windows(2) {
            if pair[0].1 != pair[1].1 {
                changes.push((self.change(pair[0], pair[1].0), pair[1].1));
            }
        }
        let stretch = |from: f64, to: f64, visible: bool| Stretch { from, to, visible };
        let mut stretches: Vec<Stretch> = changes
            .iter()
            .zip(changes.iter().skip(1).map(|c| c.0).chain([end]))
            .map(|(&(from, visible), to)| stretch(from, to, visible))
            .collect();
        self.absorb(&mut stretches);
        stretches
            .into_iter()
            .map(|s| Piece {
                kind: self.run.kind,
                sheets: self.run.sheets,
                visible: s.visible,
                points: self.points(s.from, s.to),
            })
            .collect()
    }

    /// Where the line changes between two looks, to a small part of the tolerance.
    fn change(&self, (mut a, seen): (f64, bool), mut b: f64) -> f64 {
        let close = 0.02 * self.tolerance;
        for _ in 0..40 {
            let t = 0.5 * (a + b);
            if t <= a || t >= b || self.at(a).distance(self.at(b)) < close {
                break;
            }
            if self.seen(t) == seen {
                a = t;
            } else {
                b = t;
            }
        }
        0.5 * (a + b)
    }

    /// Stretches too short to see go to their longer neighbour.
    fn absorb(&self, stretches: &mut Vec<Stretch>) {
        let length = |s: &Stretch| {
            let points = self.points(s.from, s.to);
            points
                .windows(2)
                .map(|p| self.frame.flat(p[0]).distance(self.frame.flat(p[1])))
                .sum::<f64>()
        };
        while stretches.len() > 1 {
            let shortest = (0..stretches.len())
                .map(|k| (length(&stretches[k]), k))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            let Some((_, k)) = shortest.filter(|s| s.0 < self.tolerance) else {
                return;
            };
            let gone = stretches.remove(k);
            if k > 0 {
                stretches[k - 1].to = gone.to;
                if k < stretches.len() && stretches[k].visible == stretches[k - 1].visible {
                    stretches[k - 1].to = stretches.remove(k).to;
                }
            } else {
                stretches[0].from = gone.from;
            }
        }
    }

    /// The samples between two parameters with both ends.
    fn points(&self, from: f64, to: f64) -> Vec<DVec3> {
        let run = self.run;
        let begin = run.params.partition_point(|t| *t <= from);
        let end = run.params.partition_point(|t| *t < to);
        let mut points = vec![self.end(from)];
        points.extend_from_slice(&run.points[begin..end.max(begin)]);
        points.push(self.end(to));
        points
    }

    fn end(&self, t: f64) -> DVec3 {
        let run = self.run;
        if t == run.params[0] {
            run.points[0]
        } else if t == run.params[run.params.len() - 1] {
            run.points[run.points.len() - 1]
        } else {
            self.at(t)
        }
    }
}

struct Stretch {
    from: f64,
    to: f64,
    visible: bool,
}
