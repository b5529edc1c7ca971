//! The ball that sticks in a passage, by Newton steps on its feet.
//!
//! A ball sticks where the nearest air lies on opposite sides: two or three feet,
//! equally far, whose inward directions g_k cancel with positive shares α_k. With
//! the distances d_k(p) these are the equations
//!
//!   Σ α_k g_k(p) = 0,  Σ α_k = 1,  d_k(p) = t,
//!
//! a Newton system in p, t and α whose changes of g_k are taken by differences.
//! Each distance is measured a tenth of the way towards its own foot, so that feet
//! on one face (a ring of them about an axis) stay apart.

use glam::DVec3;

use crate::around::Around;
use crate::elimination::{SIZE, solve};
use crate::solid::{Face, Solid};
use crate::towards::measure;

/// A ball that sticks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ball {
    pub radius: f64,
    pub centre: DVec3,
}

#[derive(Debug, Clone, Copy)]
struct Foot {
    face: Face,
    at: DVec3,
    inward: DVec3,
    distance: f64,
}

/// The sticking ball near `start`, where samples of the way saw one of radius `seen` pass.
pub(super) fn settle(solid: &Solid, start: DVec3, seen: f64, reach: f64) -> Option<Ball> {
    let around = Around::all(solid, start);
    let feet = gather(solid, &around);
    let mut best: Option<Ball> = None;
    for set in sets(&feet) {
        if let Some(ball) = newton(solid, start, set) {
            let fits = (around.depth(solid, ball.centre).0 - ball.radius).abs() < 1e-7;
            let close = ball.centre.distance(start) < 2.0 * reach;
            let off = |ball: Ball| (ball.radius - seen).abs();
            // Samples a fraction of a box apart can be this far off where the wood narrows to a point.
            let same = off(ball) < 0.15 * seen;
            if fits && close && same && best.is_none_or(|best| off(ball) < off(best)) {
                best = Some(ball);
            }
        }
    }
    best
}

/// The feet of places all round `start`, each direction of each face once.
fn gather(solid: &Solid, around: &Around) -> Vec<Foot> {
    let start = around.place;
    let depth = around.depth_here();
    let away = 0.1 * depth;
    let mut feet: Vec<Foot> = Vec::new();
    for step in 0..27 {
        let way = DVec3::new(
            f64::from(step % 3 - 1),
            f64::from(step / 3 % 3 - 1),
            f64::from(step / 9 - 1),
        );
        let place = start + way.normalize_or_zero() * away;
        let limit = depth + 2.0 * away;
        for face in around.within(limit, away) {
            if solid.depth_to(face, place) > limit {
                continue;
            }
            let touch = solid.touch(face, place);
            let distance = touch.depth + touch.inward.dot(start - place);
            let new = feet
                .iter()
                .all(|foot| foot.face != face || foot.inward.dot(touch.inward) < 0.999);
            if new && touch.depth > 0.0 {
                feet.push(Foot {
                    face,
                    at: touch.foot,
                    inward: touch.inward,
                    distance,
                });
            }
        }
    }
    feet.sort_by(|a, b| a.distance.total_cmp(&b.distance));
    feet.truncate(24);
    feet
}

/// Pairs and triples of feet whose inward directions nearly cancel, the best few of each.
fn sets(feet: &[Foot]) -> Vec<Vec<(Foot, f64)>> {
    let mut found: Vec<(f64, Vec<(Foot, f64)>)> = Vec::new();
    let mut offer = |feet: &[Foot], shares: &[f64], bonus: f64| {
        let sum: DVec3 = feet
            .iter()
            .zip(shares)
            .map(|(foot, share)| foot.inward * *share)
            .sum();
        let least = feet[0].distance;
        let spread = feet.iter().map(|foot| foot.distance - least).sum::<f64>() / least.max(1e-9);
        let score = sum.length() + spread - bonus;
        if score < 0.5 {
            found.push((
                score,
                feet.iter().copied().zip(shares.iter().copied()).collect(),
            ));
        }
    };
    for (i, a) in feet.iter().enumerate() {
        for (j, b) in feet.iter().enumerate().skip(i + 1) {
            // Three feet that do no better than two of them are two.
            offer(&[*a, *b], &[0.5, 0.5], 0.02);
            for c in &feet[j + 1..] {
                let (u, v) = (b.inward - a.inward, c.inward - a.inward);
                let (uu, uv, vv) = (u.dot(u), u.dot(v), v.dot(v));
                let det = uu * vv - uv * uv;
                if det < 1e-3 {
                    continue;
                }
                let (ru, rv) = (-a.inward.dot(u), -a.inward.dot(v));
                let beta = (ru * vv - rv * uv) / det;
                let gamma = (rv * uu - ru * uv) / det;
                let alpha = 1.0 - beta - gamma;
                if alpha.min(beta).min(gamma) > 0.03 {
                    offer(&[*a, *b, *c], &[alpha, beta, gamma], 0.0);
                }
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Two of a ring of feet leave the ball free to roll; three hold it. So some of each.
    let mut left = [2, 3];
    found
        .into_iter()
        .map(|(_, set)| set)
        .filter(|set| {
            let kind = &mut left[set.len() - 2];
            let take = *kind > 0;
            *kind -= usize::from(take);
            take
        })
        .collect()
}

fn newton(solid: &Solid, start: DVec3, mut set: Vec<(Foot, f64)>) -> Option<Ball> {
    let mut p = start;
    let mut radius = set.iter().map(|(foot, _)| foot.distance).sum::<f64>() / set.len() as f64;
    for _ in 0..60 {
        let size = 4 + set.len();
        let mut matrix = [[0.0; SIZE + 1]; SIZE];
        let mut feet = Vec::with_capacity(3);
        let h = 1e-5 * (1.0 + radius);
        for (k, (foot, share)) in set.iter().enumerate() {
            let (distance, gradient, at) = measure(solid, foot.face, foot.at, p);
            feet.push(at);
            for axis in 0..3 {
                let step = DVec3::AXES[axis] * h;
                // Where the steps end does not hang on how well they are aimed.
                let change = (measure(solid, foot.face, foot.at, p + step).1 - gradient) / h;
                for row in 0..3 {
                    matrix[row][axis] += share * change[row];
                }
                matrix[axis][4 + k] = gradient[axis];
                matrix[4 + k][axis] = gradient[axis];
                matrix[axis][size] -= share * gradient[axis];
            }
            matrix[3][4 + k] = 1.0;
            matrix[4 + k][3] = -1.0;
            matrix[4 + k][size] = radius - distance;
        }
        matrix[3][size] = 1.0 - set.iter().map(|(_, share)| share).sum::<f64>();
        // Where the passage is even along its way any place is as good: stay.
        for (axis, row) in matrix.iter_mut().enumerate().take(3) {
            row[axis] += 1e-7;
        }
        let step = solve(&mut matrix, size)?;
        let mut way = DVec3::new(step[0], step[1], step[2]);
        let scale = (0.3 * radius / way.length().max(1e-300)).min(1.0);
        way *= scale;
        p += way;
        radius += scale * step[3];
        if !p.is_finite() || radius <= 0.0 {
            return None;
        }
        let mut moved = way.length();
        for (k, (foot, share)) in set.iter_mut().enumerate() {
            *share += scale * step[4 + k];
            moved += foot.at.distance(feet[k]);
            foot.at = feet[k];
        }
        if moved < 1e-10 * (1.0 + radius) {
            let pushing = set.iter().all(|(_, share)| *share > -1e-6);
            return pushing.then_some(Ball { radius, centre: p });
        }
    }
    None
}
