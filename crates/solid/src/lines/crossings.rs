//! Segments in the view's plane, found by place; where lines pass over each other.

use glam::DVec2;

/// A segment of a line in the view's plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct Segment {
    pub from: DVec2,
    pub to: DVec2,
    /// Number of its line, and of the segment in it.
    pub line: u32,
    pub place: u32,
}

/// A square grid over the view with the segments that pass each square.
pub(super) struct Grid {
    low: DVec2,
    edge: f64,
    across: usize,
    down: usize,
    /// Where each square's list begins; one more at the end.
    begins: Vec<u32>,
    lists: Vec<u32>,
}

impl Grid {
    pub fn new(segments: &[Segment]) -> Self {
        let mut low = DVec2::INFINITY;
        let mut high = DVec2::NEG_INFINITY;
        for segment in segments {
            low = low.min(segment.from).min(segment.to);
            high = high.max(segment.from).max(segment.to);
        }
        if segments.is_empty() {
            (low, high) = (DVec2::ZERO, DVec2::ONE);
        }
        let size = (high - low).max(DVec2::splat(1e-6));
        // About as many squares as segments, and not more than 512 a side.
        let count = (segments.len() as f64).sqrt().clamp(1.0, 512.0);
        let edge = size.max_element() / count;
        let across = (size.x / edge) as usize + 1;
        let down = (size.y / edge) as usize + 1;
        let mut grid = Self {
            low,
            edge,
            across,
            down,
            begins: vec![0; across * down + 1],
            lists: Vec::new(),
        };
        for segment in segments {
            grid.each_square(segment, |grid, square| grid.begins[square + 1] += 1);
        }
        for square in 0..across * down {
            grid.begins[square + 1] += grid.begins[square];
        }
        let mut next = grid.begins.clone();
        grid.lists = vec![0; next[across * down] as usize];
        for (number, segment) in segments.iter().enumerate() {
            grid.each_square(segment, |grid, square| {
                grid.lists[next[square] as usize] = number as u32;
                next[square] += 1;
            });
        }
        grid
    }

    fn square(&self, p: DVec2) -> (usize, usize) {
        let at = (p - self.low) / self.edge;
        (
            (at.x.max(0.0) as usize).min(self.across - 1),
            (at.y.max(0.0) as usize).min(self.down - 1),
        )
    }

    /// The squares that a segment's own stretch of each row covers, a little widened.
    fn each_square(&mut self, segment: &Segment, mut act: impl FnMut(&mut Self, usize)) {
        let wide = DVec2::splat(1e-3 * self.edge);
        let (low, high) = (
            segment.from.min(segment.to) - wide,
            segment.from.max(segment.to) + wide,
        );
        let ((x0, y0), (x1, y1)) = (self.square(low), self.square(high));
        let way = segment.to - segment.from;
        for y in y0..=y1 {
            let (mut left, mut right) = (x0, x1);
            if y1 > y0 && way.y.abs() > 0.0 {
                let bottom = self.low.y + y as f64 * self.edge;
                let ends = [bottom - wide.y, bottom + self.edge + wide.y]
                    .map(|at| ((at - segment.from.y) / way.y).clamp(0.0, 1.0))
                    .map(|share| segment.from.x + way.x * share);
                left = self
                    .square(DVec2::new(ends[0].min(ends[1]) - wide.x, bottom))
                    .0
                    .max(x0);
                right = self
                    .square(DVec2::new(ends[0].max(ends[1]) + wide.x, bottom))
                    .0
                    .min(x1);
            }
            for x in left..=right {
                act(self, y * self.across + x);
            }
        }
    }

    /// Numbers of the segments whose squares touch the box, growing, each once.
    pub fn near(&self, low: DVec2, high: DVec2, found: &mut Vec<u32>) {
        found.clear();
        let ((x0, y0), (x1, y1)) = (self.square(low), self.square(high));
        for y in y0..=y1 {
            for square in y * self.across + x0..=y * self.across + x1 {
                let list = self.begins[square] as usize..self.begins[square + 1] as usize;
                found.extend_from_slice(&self.lists[list]);
            }
        }
        found.sort_unstable();
        found.dedup();
    }
}

/// Shares along two segments where they cross.
pub(super) fn crossing(a: &Segment, b: &Segment) -> Option<(f64, f64)> {
    let (u, v) = (a.to - a.from, b.to - b.from);
    let cross = u.perp_dot(v);
    if cross.abs() < 1e-9 * u.length() * v.length() {
        return None;
    }
    let between = b.from - a.from;
    let (s, t) = (between.perp_dot(v) / cross, between.perp_dot(u) / cross);
    let within = |share: f64| (-1e-9..=1.0 + 1e-9).contains(&share);
    (within(s) && within(t)).then_some((s, t))
}
