//! Lines that fall on each other in the view are drawn once.
//!
//! What is seen goes before what is hidden, edges before silhouettes, the nearer
//! before the farther. Of the rest of a pair the stretch that runs along the other is
//! left out, found exactly segment by segment.

use glam::DVec2;

use crate::lines::crossings::{Grid, Segment};
use crate::lines::hidden::Piece;
use crate::lines::{Frame, LineKind};

/// Lines that turn from each other by more than this, as a sine, do not fall together (2°).
const ALONG: f64 = 0.035;

/// Leaves out what falls on a line that goes before.
pub(super) fn drawn_once(pieces: Vec<Piece>, frame: &Frame, tolerance: f64) -> Vec<Piece> {
    let mut order: Vec<(usize, bool, bool, f64)> = pieces
        .iter()
        .enumerate()
        .map(|(number, piece)| {
            let ways: f64 = piece.points.iter().map(|p| p.dot(frame.ahead)).sum();
            let silhouette = piece.kind == LineKind::Silhouette;
            let ahead = (ways / piece.points.len() as f64 / tolerance).round();
            (number, !piece.visible, silhouette, ahead)
        })
        .collect();
    order.sort_by(|a, b| {
        (a.1.cmp(&b.1))
            .then(a.2.cmp(&b.2))
            .then(a.3.total_cmp(&b.3))
            .then(a.0.cmp(&b.0))
    });
    let mut rank = vec![0_u32; pieces.len()];
    for (place, entry) in order.iter().enumerate() {
        rank[entry.0] = place as u32;
    }
    let segments: Vec<Segment> = pieces
        .iter()
        .enumerate()
        .flat_map(|(line, piece)| {
            piece
                .points
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
    let mut next = 0;
    let mut kept = Vec::new();
    for piece in pieces {
        let count = piece.points.len() - 1;
        let own = &segments[next..next + count];
        next += count;
        let ahead: Vec<f64> = piece
            .points
            .windows(2)
            .map(|pair| pair[0].midpoint(pair[1]).dot(frame.ahead))
            .collect();
        let covered = covered(own, &ahead, &segments, &grid, &rank, 0.25 * tolerance);
        let length: f64 = own.iter().map(|s| s.from.distance(s.to)).sum();
        // Lines that only touch, such as a rim and the outline it runs into, stay whole.
        let least = (20.0 * tolerance).min(0.5 * length);
        split(piece, own, &covered, least, &mut kept);
    }
    kept
}

/// Stretches of a line, in segments and shares of one, that fall on lines of lower rank.
fn covered(
    own: &[Segment],
    ahead: &[f64],
    all: &[Segment],
    grid: &Grid,
    rank: &[u32],
    reach: f64,
) -> Vec<(f64, f64)> {
    let number = own.first().map_or(0, |segment| segment.line as usize);
    let mut found = Vec::new();
    let mut near = Vec::new();
    for (k, segment) in own.iter().enumerate() {
        let way = segment.to - segment.from;
        let length = way.length();
        if length == 0.0 {
            found.push((k as f64, k as f64 + 1.0));
            continue;
        }
        let way = way / length;
        let wide = DVec2::splat(reach);
        grid.near(
            segment.from.min(segment.to) - wide,
            segment.from.max(segment.to) + wide,
            &mut near,
        );
        for &other in &near {
            let other = &all[other as usize];
            // A circle seen along its plane falls on itself: its nearer half goes before.
            let before = if other.line as usize == number {
                other.place.abs_diff(segment.place) > 1
                    && ahead[other.place as usize] + 4.0 * reach < ahead[k]
            } else {
                rank[other.line as usize] < rank[number]
            };
            if !before {
                continue;
            }
            let (a, b) = (other.from - segment.from, other.to - segment.from);
            let (mut s0, mut s1) = (a.dot(way), b.dot(way));
            let (mut h0, mut h1) = (way.perp_dot(a), way.perp_dot(b));
            if s1 < s0 {
                (s0, s1, h0, h1) = (s1, s0, h1, h0);
            }
            if (h1 - h0).abs() > ALONG * (s1 - s0) {
                continue;
            }
            // The height changes evenly along the other; where is it within reach?
            let slope = (h1 - h0) / (s1 - s0);
            let (mut low, mut high) = (s0.max(0.0), s1.min(length));
            if slope.abs() > 1e-12 {
                let mut ways = [-reach, reach].map(|h| s0 + (h - h0) / slope);
                ways.sort_by(f64::total_cmp);
                low = low.max(ways[0]);
                high = high.min(ways[1]);
            } else if h0.abs() > reach {
                continue;
            }
            if high > low {
                found.push((k as f64 + low / length, k as f64 + high / length));
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined: Vec<(f64, f64)> = Vec::new();
    for (low, high) in found {
        match joined.last_mut() {
            Some(last) if low <= last.1 + 0.02 => last.1 = last.1.max(high),
            _ => joined.push((low, high)),
        }
    }
    joined
}

/// The piece without the covered stretches that are at least `least` mm long.
fn split(piece: Piece, own: &[Segment], covered: &[(f64, f64)], least: f64, kept: &mut Vec<Piece>) {
    let flat = |at: f64| {
        let k = (at as usize).min(own.len() - 1);
        own[k].from.lerp(own[k].to, at - k as f64)
    };
    let length = |from: f64, to: f64| {
        let mut sum = 0.0;
        let mut at = from;
        while at < to {
            let next = (at.floor() + 1.0).min(to);
            sum += flat(at).distance(flat(next));
            at = next;
        }
        sum
    };
    let end = own.len() as f64;
    let mut from = 0.0;
    let mut left = Vec::new();
    for &(low, high) in covered {
        if length(low, high) < least {
            continue;
        }
        left.push((from, low));
        from = high;
    }
    if left.is_empty() {
        kept.push(piece);
        return;
    }
    left.push((from, end));
    let point = |at: f64| {
        let k = (at as usize).min(piece.points.len() - 2);
        piece.points[k].lerp(piece.points[k + 1], at - k as f64)
    };
    for (low, high) in left {
        // Crumbs between two lines that fall together are none.
        if length(low, high) < 0.05 * least {
            continue;
        }
        let mut points = vec![point(low)];
        let inner = low.floor() as usize + 1..high.ceil() as usize;
        points.extend(inner.map(|k| piece.points[k]));
        points.push(point(high));
        kept.push(Piece {
            points,
            ..piece.clone()
        });
    }
}
