//! Walls and passages followed from a known solid, against the search on the changed one.

#![expect(clippy::unwrap_used, reason = "planted inputs are valid")]

use std::f64::consts::TAU;

use rondure_solid::nearby::{Changed, Known};
use rondure_solid::{Accuracy, DVec2, DVec3, Fineness, Path, Profile, Region, Solid, Turn, pieces};

/// Errors spread evenly about 0, the same on every run.
struct Hand {
    state: u64,
    scale: f64,
}

impl Hand {
    fn steady() -> Self {
        Self {
            state: 1,
            scale: 0.0,
        }
    }

    fn off(&mut self, by: f64) -> f64 {
        self.state ^= self.state << 13;
        self.state ^= self.state >> 7;
        self.state ^= self.state << 17;
        self.scale * by * (2.0 * (self.state >> 11) as f64 / (1u64 << 53) as f64 - 1.0)
    }
}

/// Sizes of a coved and pierced ball.
#[derive(Clone, Copy)]
struct Sizes {
    marks: u32,
    radius: f64,
    land: f64,
    bottom: f64,
    bore: f64,
    hole: f64,
}

const LAVENDER: Sizes = Sizes {
    marks: 8,
    radius: 30.0,
    land: 2.0,
    bottom: 23.1,
    bore: 10.0,
    hole: 6.0,
};

/// The ball of DESIGN section 4, every cut off by the hand's errors.
fn made(sizes: Sizes, hand: &mut Hand) -> Solid {
    let Sizes {
        marks,
        radius,
        land,
        bottom,
        bore,
        hole,
    } = sizes;
    let about = |origin, axis, profile| Region::revolved(origin, axis, profile);
    let pitch = TAU / f64::from(marks);
    let half_angle = 0.5 * (pitch - land / radius);
    let towards = |angle: f64| DVec3::new(angle.cos(), angle.sin(), 0.0);
    let ball = Profile::ball(radius + hand.off(0.3)).unwrap();
    let mut solid = Solid::new(about(DVec3::ZERO, DVec3::Z, ball));
    let centre = DVec3::new(hand.off(0.3), hand.off(0.3), 0.0);
    let axis = DVec3::new(hand.off(0.01), hand.off(0.01), 1.0);
    let through = Profile::cylinder(-2.0 * radius, 2.0 * radius, bore + hand.off(0.1)).unwrap();
    solid = solid.cut(about(centre, axis, through));
    for j in 0..marks / 2 {
        let axis = towards(pitch * f64::from(j));
        let side = DVec3::Z.cross(axis);
        let mut mark =
            |sign: f64| axis * (sign * radius) + side * hand.off(0.5) + DVec3::Z * hand.off(0.5);
        let (here, there) = (mark(1.0), mark(-1.0));
        let (before, after) = (hand.off(0.4), hand.off(0.4));
        let width = radius * half_angle.sin() + 0.5 * (after - before);
        let flat = radius * half_angle.cos() + hand.off(0.2);
        let low = bottom + hand.off(0.4);
        let arc = (width * width + (flat - low).powi(2)) / (2.0 * (flat - low));
        let profile = Path::from(-width, flat)
            .arc_to(width, flat, DVec2::new(0.0, low + arc), Turn::Left)
            .line_to(width, 2.0 * radius)
            .line_to(-width, 2.0 * radius)
            .close()
            .unwrap();
        let axis = (here - there).normalize();
        let middle = here.midpoint(there) + axis * (0.5 * (before + after));
        solid = solid.cut(about(middle, axis, profile));
    }
    for k in 0..marks {
        let axis = towards(pitch * f64::from(k));
        let side = DVec3::Z.cross(axis);
        let entry = axis * bottom + side * hand.off(0.5) + DVec3::Z * hand.off(0.5);
        let way = axis + side * hand.off(0.03) + DVec3::Z * hand.off(0.03);
        let drill = Profile::cylinder(-bottom - 0.5, 2.0 * radius, hole + hand.off(0.1)).unwrap();
        solid = solid.cut(about(entry, way, drill));
    }
    solid
}

fn known(sizes: Sizes) -> Known {
    let solid = made(sizes, &mut Hand::steady());
    Known::of(&solid, solid.default_spacing())
}

/// Makings with errors about as large as a beginner's: the least wall that stands and the
/// least neck are those of the search to 1e-6 mm. Lands that come out as slivers of less than a
/// two-hundredth of the wood are not followed, and not counted here.
#[test]
fn followed_walls_are_those_of_the_search() {
    let ornament = Sizes {
        marks: 12,
        radius: 23.8,
        land: 0.0,
        bottom: 19.8,
        bore: 6.35,
        hole: 3.2,
    };
    for (sizes, scale) in [(LAVENDER, 0.5), (LAVENDER, 1.0), (ornament, 0.4)] {
        let known = known(sizes);
        assert_eq!(known.left_out(), 0);
        let mut hand = Hand {
            state: 88_172_645_463_325_252,
            scale,
        };
        let mut changed = Changed::default();
        let makings = 24;
        let (mut lost, mut off) = (0, 0);
        for _ in 0..makings {
            let solid = made(sizes, &mut hand);
            known.follow(&solid, &mut changed);
            lost += usize::from(changed.lost() > 0);
            let (webs, necks) = solid.walls(solid.default_spacing());
            let web = webs
                .iter()
                .filter(|web| !web.meets || web.ends_at.is_none())
                .find(|web| web.feet.iter().all(|foot| solid.depth(*foot) > -1e-6));
            let neck = necks
                .iter()
                .find(|neck| neck.bulks[0].volume > 0.005 * neck.bulks[1].volume);
            let wall = changed.least_wall().unwrap().thickness;
            let passage = known.least_neck(&solid, &mut changed).unwrap();
            let same = web.is_some_and(|web| (web.thickness - wall).abs() < 1e-6)
                && neck.is_some_and(|neck| (neck.radius - passage).abs() < 1e-6);
            off += usize::from(!same);
        }
        // Two in twenty-four: a foot just beside an edge, a wall the known ball has not.
        assert!(lost + off <= 2, "{lost} lost, {off} off");
    }
}

/// DESIGN section 4: in the equator's plane a ball between two holes and the ball's outside has
/// radius (R sin(δ/2) − h) / (1 + sin(δ/2)); its centre stays on the mid-line however the holes
/// grow. Followed from one hole to another, coves left out.
#[test]
fn ribs_follow_their_closed_form() {
    let ball = |hole: f64| {
        let about = |axis, profile| Region::revolved(DVec3::ZERO, axis, profile);
        let solid = Solid::new(about(
            DVec3::Z,
            Profile::cylinder(-24.0, 24.0, 20.0).unwrap(),
        ))
        .cut(about(
            DVec3::Z,
            Profile::cylinder(-40.0, 40.0, 12.0).unwrap(),
        ));
        (0..6).fold(solid, |solid, k| {
            let angle = TAU * f64::from(k) / 6.0;
            let axis = DVec3::new(angle.cos(), angle.sin(), 0.0);
            solid.cut(about(axis, Profile::cylinder(0.0, 50.0, hole).unwrap()))
        })
    };
    let solid = ball(6.0);
    let known = Known::of(&solid, solid.default_spacing());
    let mut changed = Changed::default();
    for hole in [4.5, 5.5, 6.0, 7.0, 8.5, 9.5] {
        known.follow(&ball(hole), &mut changed);
        let expected = (20.0 * 0.5 - hole) / 1.5;
        let least = changed.least_passage().unwrap().radius;
        assert!(
            (least - expected).abs() < 1e-9,
            "{hole}: {least} for {expected}"
        );
    }
}

/// Holes so wide that every rib is gone: the passages are closed, and the halves apart, as the search
/// for parts says. One rib left holds them together.
#[test]
fn a_ball_that_falls_apart_is_seen() {
    let known = known(LAVENDER);
    let mut changed = Changed::default();
    for (hole, parts) in [(6.0, 1), (9.0, 1), (11.5, 2)] {
        let solid = made(Sizes { hole, ..LAVENDER }, &mut Hand::steady());
        known.follow(&solid, &mut changed);
        let searched = pieces(&solid, Fineness::default(), Accuracy { relative: 1e-2 });
        assert_eq!(searched.pieces.len(), parts, "hole {hole}");
        assert_eq!(
            known.parts(&solid, &mut changed),
            parts,
            "hole {hole}: {changed:?}"
        );
        let closed = changed.least_passage().unwrap().radius < 0.0;
        assert_eq!(closed, parts > 1);
    }
}

/// A hole's rim against the cove beside its own, in the equator's plane: the rim lies at station h on
/// its own cove's arc, at radius ρ_c − √(r² − h²), and the next cove's arc of radius r stands about a
/// centre at ρ_c, a pitch further on. As the hole grows the wall comes to nothing and below: the
/// hole has broken through the ridge.
#[test]
fn a_hole_that_breaks_into_the_next_cove_is_seen() {
    let known = known(LAVENDER);
    let mut changed = Changed::default();
    let pitch = TAU / 8.0;
    let (sin, cos) = (0.5 * (pitch - LAVENDER.land / LAVENDER.radius)).sin_cos();
    let (width, depth) = (
        LAVENDER.radius * sin,
        LAVENDER.radius * cos - LAVENDER.bottom,
    );
    let arc = (width * width + depth * depth) / (2.0 * depth);
    let centre = LAVENDER.bottom + arc;
    let next = DVec2::new(pitch.sin(), pitch.cos()) * centre;
    for hole in [5.0, 6.0, 7.0, 8.0, 9.0] {
        let solid = made(Sizes { hole, ..LAVENDER }, &mut Hand::steady());
        known.follow(&solid, &mut changed);
        let rim = DVec2::new(hole, centre - (arc * arc - hole * hole).sqrt());
        let expected = rim.distance(next) - arc;
        let wall = changed.least_wall().unwrap();
        assert!(
            (wall.thickness - expected).abs() < 1e-6,
            "{hole}: {wall:?} for {expected}"
        );
    }
}
