//! Any bytes drawn as an outline: no input panics, and every outline that is taken measures true.
//!
//! A fuzz target on the stable tool chain: bytes are read as a path, wild numbers among them.
//! An outline that is refused says why; one that is taken must agree with a dense sampling of
//! itself, change its distance by no more than the way, and have its feet on itself.
//! `RONDURE_FUZZ_CASES` sets how many paths are tried; without it some hundreds.

use proptest::prelude::*;
use rondure_solid::part::Shape;
use rondure_solid::{DVec2, DVec3, Path, Profile, ProfileError, Region, Solid, Turn};

/// Numbers that trouble arithmetic.
const WILD: [f64; 16] = [
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    f64::MAX,
    f64::MIN_POSITIVE,
    5e-324,
    -0.0,
    0.0,
    1e-9,
    1e-7,
    1e-12,
    1e9,
    -1e300,
    1e154,
    0.1 + 0.2,
    -3.0,
];

/// Reads bytes as numbers; past the end all are 0.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn byte(&mut self) -> u8 {
        let Some((first, rest)) = self.0.split_first() else {
            return 0;
        };
        self.0 = rest;
        *first
    }

    /// Mostly a multiple of a quarter millimetre, so that corners fall together; sometimes a fine
    /// one, seldom a wild one.
    fn number(&mut self) -> f64 {
        let kind = self.byte();
        let value = f64::from(self.byte().cast_signed());
        match kind {
            0..=2 => WILD[usize::from(self.byte() % 16)],
            3..=60 => value * 0.25 + f64::from(self.byte()) * 1e-3,
            61..=70 => value * 0.25 + (f64::from(self.byte()) - 128.0) * 1e-10,
            _ => value * 0.25,
        }
    }

    fn radius(&mut self) -> f64 {
        let radius = self.number();
        // Radii below the axis now and then.
        if self.byte() < 250 {
            radius.abs()
        } else {
            radius
        }
    }
}

fn path(bytes: &[u8]) -> Result<Profile, ProfileError> {
    let mut bytes = Bytes(bytes);
    let mut at = DVec2::new(bytes.number(), bytes.radius());
    let mut path = Path::from(at.x, at.y);
    while !bytes.0.is_empty() {
        let turn = if bytes.byte() < 128 {
            Turn::Left
        } else {
            Turn::Right
        };
        match bytes.byte() % 4 {
            0 | 1 => {
                at = DVec2::new(bytes.number(), bytes.radius());
                path = path.line_to(at.x, at.y);
            }
            // About a centre, to the other end of a chord square to an axis.
            2 => {
                let centre = DVec2::new(bytes.number(), bytes.number());
                at = DVec2::new(2.0 * centre.x - at.x, at.y);
                path = path.arc_to(at.x, at.y, centre, turn);
            }
            // An arc of any kind; most have two radii and are refused.
            _ => {
                let centre = DVec2::new(bytes.number(), bytes.number());
                at = DVec2::new(bytes.number(), bytes.radius());
                path = path.arc_to(at.x, at.y, centre, turn);
            }
        }
    }
    path.close()
}

/// Points of the outline, each part in so many steps, with the longest step.
fn sampled(profile: &Profile, steps: u32) -> (Vec<DVec2>, f64) {
    let mut points = Vec::new();
    let mut longest = 0.0_f64;
    for part in profile.parts() {
        let mut before: Option<DVec2> = None;
        for k in 0..=steps {
            let share = f64::from(k) / f64::from(steps);
            let point = match &part.shape {
                Shape::Line { .. } => part.from.lerp(part.to, share),
                Shape::Arc {
                    centre,
                    radius,
                    left,
                    ..
                } => {
                    let (a, b) = (part.from - *centre, part.to - *centre);
                    // A part is at most half a turn; which way round a half turn goes, it says.
                    let sweep = a.perp_dot(b).atan2(a.dot(b)).abs();
                    let sweep = if *left { sweep } else { -sweep };
                    *centre + *radius * DVec2::from_angle(a.to_angle() + sweep * share)
                }
            };
            if let Some(before) = before {
                longest = longest.max(before.distance(point));
            }
            before = Some(point);
            points.push(point);
        }
    }
    (points, longest)
}

fn largest(profile: &Profile) -> f64 {
    profile
        .parts()
        .iter()
        .flat_map(|part| {
            let radius = match part.shape {
                Shape::Arc { radius, .. } => radius,
                Shape::Line { .. } => 0.0,
            };
            [
                part.from.abs().max_element(),
                part.to.abs().max_element(),
                radius,
            ]
        })
        .fold(1.0, f64::max)
}

/// What must hold of an outline that was taken.
fn holds(profile: &Profile, places: &[(f64, f64)]) -> Result<(), TestCaseError> {
    let size = largest(profile);
    let (points, step) = sampled(profile, 200);
    // The ends of an arc may lie off its circle by a hundred-thousandth of a millimetre.
    let rounding = 1e-9 * size + 1.1e-5;
    let places: Vec<DVec2> = places
        .iter()
        .map(|(x, y)| DVec2::new(x * size, y.abs() * size))
        .collect();
    for q in &places {
        let near = profile.nearest(*q);
        prop_assert_eq!(near.distance, profile.signed_distance(*q));
        // Parts on the axis are no boundary of the turned body: they only add to the sampling.
        let bare = profile.parts().iter().all(|part| !part.on_axis);
        let brute = points
            .iter()
            .map(|point| point.distance(*q))
            .fold(f64::INFINITY, f64::min);
        if bare {
            prop_assert!(
                near.distance.abs() <= brute + rounding,
                "{near:?} {brute} at {q} of {profile:?}"
            );
        }
        prop_assert!(brute <= near.distance.abs() + step + rounding);
        let foot = points
            .iter()
            .map(|point| point.distance(near.foot))
            .fold(f64::INFINITY, f64::min);
        prop_assert!(foot <= step + rounding);
        prop_assert!((near.gradient.length() - 1.0).abs() < 1e-6, "{:?}", near);
    }
    for a in &places {
        for b in &places {
            let change = profile.signed_distance(*a) - profile.signed_distance(*b);
            prop_assert!(change.abs() <= a.distance(*b) + rounding);
        }
    }
    Ok(())
}

fn cases() -> u32 {
    std::env::var("RONDURE_FUZZ_CASES")
        .ok()
        .and_then(|cases| cases.parse().ok())
        .unwrap_or(600)
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        max_shrink_iters: 4000,
        ..ProptestConfig::with_cases(cases())
    })]

    /// Whatever is drawn: an answer, and a true one.
    #[test]
    fn any_bytes_are_answered(
        bytes in proptest::collection::vec(any::<u8>(), 0..160),
        places in proptest::collection::vec((-1.5..1.5f64, 0.0..1.5f64), 6),
    ) {
        match path(&bytes) {
            Err(wrong) => prop_assert!(!wrong.to_string().is_empty()),
            // Squares of larger numbers no longer fit.
            Ok(profile) if largest(&profile) > 1e150 => {
                profile.signed_distance(DVec2::ONE);
            }
            Ok(profile) => holds(&profile, &places)?,
        }
    }

    /// Outlines that are mostly taken: corners in order of their stations over the axis.
    #[test]
    fn mountains_are_true(
        steps in proptest::collection::vec((0u8..12, 0u8..40, any::<bool>()), 1..10),
        places in proptest::collection::vec((-1.5..1.5f64, 0.0..1.5f64), 6),
    ) {
        let mut station = -3.0;
        let mut height = 0.0;
        let mut path = Path::from(station, height);
        for (wide, high, round) in steps {
            let (next, top) = (station + 0.25 * f64::from(wide), 0.25 * f64::from(high));
            if round && wide > 0 {
                let middle = DVec2::new(0.5 * (station + next), height);
                path = path.arc_to(next, height, middle, Turn::Right);
            }
            path = path.line_to(next, top);
            (station, height) = (next, top);
        }
        if let Ok(profile) = path.line_to(station, 0.0).close() {
            holds(&profile, &places)?;
            // As a blank it has a depth everywhere, of no greater change than the way.
            let solid = Solid::new(Region::revolved(DVec3::ZERO, DVec3::Y, profile));
            let at = |place: (f64, f64)| DVec3::new(place.0, place.1, 0.7 * place.0);
            for pair in places.windows(2) {
                let (a, b) = (at(pair[0]), at(pair[1]));
                prop_assert!((solid.depth(a) - solid.depth(b)).abs() <= a.distance(b) + 1e-9);
            }
        }
    }
}

/// The generator draws outlines of every kind: some taken, and of the refused every reason.
#[test]
fn the_bytes_reach_every_answer() {
    let mut seed = 1_u64;
    let mut next = move || {
        // Knuth's linear congruential generator with the constants of MMIX (from memory).
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 56) as u8
    };
    let mut seen = [0_u32; 2];
    let mut reasons = std::collections::BTreeSet::new();
    for length in 0..6000 {
        let bytes: Vec<u8> = (0..length % 40).map(|_| next()).collect();
        match path(&bytes) {
            Ok(_) => seen[0] += 1,
            Err(wrong) => {
                seen[1] += 1;
                let words = format!("{wrong:?}");
                let reason = words.split([' ', '{', '(']).next().unwrap().to_owned();
                reasons.insert(reason);
            }
        }
    }
    assert!(seen[0] > 100 && seen[1] > 100, "{seen:?}");
    for reason in ["NotFinite", "TwoRadii", "Crosses", "Empty"] {
        assert!(reasons.contains(reason), "{reasons:?}");
    }
}
