//! From labelled boxes to pieces and crumbs.

use glam::DVec3;

use super::search::{NONE, Search};
use super::{Bridge, Piece, Pieces};
use crate::moments::{Accuracy, Moments};
use crate::solid::Bounds;
use crate::tally::{Label, tally};

impl Search<'_> {
    /// Pieces and crumbs with their volumes.
    pub(super) fn answer(
        self,
        doubtful: Vec<Bridge>,
        complete: bool,
        accuracy: Accuracy,
        whole: &(dyn Fn() -> Option<Moments> + Sync),
    ) -> Pieces {
        struct Part {
            name: usize,
            ball: (DVec3, f64),
            bounds: Bounds,
        }
        let mut parts: Vec<Part> = Vec::new();
        let mut part_of = vec![NONE; self.leaves.all.len()];
        for (number, leaf) in self.leaves.all.iter().enumerate() {
            let name = self.label[number];
            if name == NONE {
                continue;
            }
            if part_of[name] == NONE {
                part_of[name] = parts.len();
                parts.push(Part {
                    name,
                    ball: self.balls[number],
                    bounds: leaf.cell.bounds(),
                });
            }
            let part = &mut parts[part_of[name]];
            let bounds = leaf.cell.bounds();
            part.bounds.low = part.bounds.low.min(bounds.low);
            part.bounds.high = part.bounds.high.max(bounds.high);
            let ball = self.balls[number];
            if ball.1 > part.ball.1 {
                part.ball = ball;
            }
        }
        // Thin wood that touches no part.
        let mut specks: Vec<usize> = self
            .small
            .iter()
            .filter(|(number, _)| self.label[*number] == NONE)
            .map(|(_, name)| *name)
            .collect();
        specks.sort_unstable();
        specks.dedup();
        let (large, small): (Vec<Part>, Vec<Part>) = parts
            .into_iter()
            .partition(|part| part.ball.1 >= self.fineness.crumb);
        // Crumbs and boxes of no part share the last place.
        let mut place = vec![large.len(); self.leaves.all.len()];
        for (number, part) in large.iter().enumerate() {
            place[part.name] = number;
        }
        let label = |point: DVec3, normal: DVec3| {
            // The centroid of what is seen may lie a little off the surface where that bends.
            [1e-7, 1e-3, 1e-2, 1e-1]
                .into_iter()
                .find_map(|inwards| self.leaves.at(point - normal * inwards))
                .map(|leaf| self.label[leaf])
                .filter(|name| *name != NONE)
                .map_or(large.len(), |name| place[name])
        };
        // All in one part: no need to ask.
        let one = large.len() == 1 && small.is_empty() && !self.label.contains(&NONE);
        // Boxes of no part are of no matter to the one part there is: no wood is known in them.
        let alone = large.len() == 1 && small.is_empty() && specks.is_empty();
        if alone && let Some(moments) = whole() {
            let part = &large[0];
            let unknown: f64 = (self.leaves.all.iter().zip(&self.label))
                .filter(|(_, label)| **label == NONE)
                .map(|(leaf, _)| leaf.cell.volume())
                .sum();
            return Pieces {
                pieces: vec![Piece {
                    moments,
                    point: part.ball.0,
                    depth: part.ball.1,
                    bounds: part.bounds,
                }],
                crumbs: 0,
                crumb_volume: unknown,
                certain: complete && doubtful.is_empty(),
                doubtful,
            };
        }
        let label: Label<'_> = if one { &|_, _| 0 } else { &label };
        let centre = self.solid.bounds().centre();
        let tallies = tally(
            self.solid,
            centre,
            accuracy.relative,
            large.len() + 1,
            label,
        );
        let crumbs = &tallies[large.len()];
        let mut pieces: Vec<Piece> = large
            .iter()
            .zip(&tallies)
            .map(|(part, tally)| Piece {
                moments: Moments::from_tally(self.solid, tally, accuracy.relative),
                point: part.ball.0,
                depth: part.ball.1,
                bounds: part.bounds,
            })
            .collect();
        pieces.sort_by(|a, b| b.moments.volume.total_cmp(&a.moments.volume));
        Pieces {
            pieces,
            crumbs: small.len() + specks.len(),
            crumb_volume: (crumbs.sums.volume + crumbs.doubt.volume).max(0.0),
            certain: complete && doubtful.is_empty(),
            doubtful,
        }
    }
}
