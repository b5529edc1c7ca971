use super::super::{BitKind, CentreKind, Rack, Speeds};
use super::Combined;
use super::IndexChoice;

const ANY: &[BitKind] = &[BitKind::Forstner, BitKind::BradPoint, BitKind::Twist];

fn sizes(rack: &Rack, diameter: f64, kinds: &[BitKind]) -> Vec<f64> {
    rack.nearest_bits(diameter, kinds)
        .iter()
        .map(|bit| bit.diameter)
        .collect()
}

#[test]
fn the_built_in_racks_read() {
    let metric = Rack::small_workshop();
    let inch = Rack::small_workshop_inches();
    assert_eq!(metric.name, super::super::SMALL_WORKSHOP);
    assert_eq!(inch.name, super::super::SMALL_WORKSHOP_INCHES);
    assert_eq!(Rack::built_in(&metric.name), Some(metric.clone()));
    assert_eq!(Rack::built_in(&inch.name), Some(inch.clone()));
    assert_eq!(Rack::built_in("shed"), None);
    for rack in [&metric, &inch] {
        assert!(
            rack.bits
                .is_sorted_by(|a, b| (a.diameter, a.kind, a.reach) < (b.diameter, b.kind, b.reach))
        );
        assert_eq!(rack.lathe.index, [24, 36, 48]);
        for jaws in &rack.jaws {
            let spigot = jaws.spigot.unwrap();
            assert!(spigot.holds(jaws.full_circle), "{jaws:?}");
        }
    }
    // Trade-facts 3.2: the standard jaws take 45 to 65 mm and close round at
    // about 48 mm.
    let standard = metric.jaws_named("50 mm jaws").unwrap();
    let spigot = standard.spigot.unwrap();
    assert_eq!(
        (spigot.smallest, spigot.largest, standard.full_circle),
        (45.0, 65.0, 48.0)
    );
    // Every half millimetre from 1 to 13 has a twist bit.
    for half in 2..=26_u32 {
        assert!(metric.has_bit(Some(BitKind::Twist), f64::from(half) / 2.0));
    }
    // 1/16 to 2 in; 2 3/8 in is not a bit of the shop.
    assert!(inch.has_bit(None, 25.4 / 16.0) && inch.has_bit(None, 50.8));
    assert!(!inch.has_bit(None, 60.325));
}

// Trade-facts 3.13 and 3.14: what rings of 24, 36 and 48 holes divide, and
// that 24 gives no 5 or 7. "Every third hole of a 24-hole head for eight
// marks": common practice.
#[test]
fn index_rings() {
    let rack = Rack::small_workshop();
    assert_eq!(
        rack.index_for(8),
        Some(IndexChoice {
            holes: 24,
            every: 3
        })
    );
    assert_eq!(
        rack.index_for(12),
        Some(IndexChoice {
            holes: 24,
            every: 2
        })
    );
    assert_eq!(
        rack.index_for(16),
        Some(IndexChoice {
            holes: 48,
            every: 3
        })
    );
    assert_eq!(
        rack.index_for(18),
        Some(IndexChoice {
            holes: 36,
            every: 2
        })
    );
    assert_eq!(
        rack.index_for(24),
        Some(IndexChoice {
            holes: 24,
            every: 1
        })
    );
    for count in [0, 5, 7, 10, 14, 20, 49] {
        assert_eq!(rack.index_for(count), None, "{count}");
    }
    let even = |count: u32| count.is_multiple_of(2);
    assert_eq!(rack.index_counts_near(10, even), [8, 12]);
    assert_eq!(rack.index_counts_near(14, even), [12, 16]);
    assert_eq!(rack.index_counts_near(20, even), [18, 24]);
    assert_eq!(rack.index_counts_near(15, even), [16, 12]);
    assert_eq!(rack.index_counts_near(100, even), [48]);
    assert_eq!(rack.index_counts_near(u32::MAX, even), [48]);
    assert_eq!(rack.index_counts_near(10, |count| count > 100), [0_u32; 0]);
}

#[test]
fn bits_near_a_size() {
    let rack = Rack::small_workshop();
    assert_eq!(sizes(&rack, 12.0, ANY), [12.0]);
    assert_eq!(rack.nearest_bits(12.0, ANY)[0].kind, BitKind::Forstner);
    assert_eq!(rack.nearest_bits(12.3, ANY)[0].kind, BitKind::BradPoint);
    assert_eq!(sizes(&rack, 12.3, ANY), [12.5, 12.0]);
    assert_eq!(sizes(&rack, 12.04, ANY), [12.0]);
    assert_eq!(sizes(&rack, 17.0, &[BitKind::Forstner]), [16.0, 18.0]);
    assert_eq!(sizes(&rack, 90.0, ANY), [50.0]);
    assert_eq!(sizes(&rack, 0.2, &[BitKind::Twist]), [1.0]);
    assert_eq!(sizes(&rack, 12.0, &[]), [0.0; 0]);
    assert!(rack.has_bit(Some(BitKind::Forstner), 12.0));
    assert!(!rack.has_bit(Some(BitKind::Forstner), 12.5));
    assert!(rack.has_bit(None, 12.54) && !rack.has_bit(None, 12.56));
}

#[test]
fn jaws_centres_and_gouges() {
    let rack = Rack::small_workshop();
    let named = |diameter| {
        rack.jaws_for_spigot(diameter)
            .map(|jaws| jaws.name.as_str())
    };
    assert_eq!(named(20.0), Some("small jaws"));
    assert_eq!(named(40.0), Some("middle jaws"));
    assert_eq!(named(48.0), Some("50 mm jaws"), "nearest full circle");
    assert_eq!(named(28.0), None);
    let centre = |kind, seat| {
        rack.centre_for_seat(kind, seat)
            .map(|centre| centre.diameter)
    };
    assert_eq!(centre(CentreKind::Drive, 15.9), Some(13.0));
    assert_eq!(centre(CentreKind::Tail, 10.0), Some(10.0));
    assert_eq!(centre(CentreKind::Tail, 3.0), None);
    let gouge = |radius| rack.gouge_for_cove(radius).map(|gouge| gouge.smallest_cove);
    assert_eq!(gouge(6.0), Some(5.0));
    assert_eq!(gouge(1.0), None);
}

#[test]
fn speeds() {
    let range = Speeds::Range {
        lowest: 250.0,
        highest: 3600.0,
    };
    assert_eq!(range.within(3000.0, 4500.0), Some((3000.0, 3600.0)));
    assert_eq!(range.within(100.0, 200.0), None);
    assert_eq!(
        (range.at_most(4000.0), range.at_most(100.0)),
        (3600.0, 250.0)
    );
    let steps = Speeds::Steps(vec![500.0, 850.0, 1300.0, 2000.0]);
    assert_eq!(steps.within(600.0, 1500.0), Some((850.0, 1300.0)));
    assert_eq!(steps.within(1300.0, 1400.0), Some((1300.0, 1300.0)));
    assert_eq!(steps.within(900.0, 1200.0), None);
    assert_eq!(
        (steps.at_most(1200.0), steps.at_most(100.0)),
        (850.0, 500.0)
    );
    assert_eq!((steps.lowest(), steps.highest()), (500.0, 2000.0));
}

/// 24, 36 and 48 holes: 10 marks miss by a fifth of a hole of 48 at the most; 32 come from 48 with the
/// work turned half a hole; 15 and 16 against each other give 48 (5/15 − 5/16 = 1/48).
#[test]
fn marks_that_no_ring_divides() {
    let rack = Rack::small_workshop();
    let near = rack.nearest_holes(10).unwrap();
    assert_eq!(near.holes, 48);
    assert_eq!(near.at, [0, 5, 10, 14, 19, 24, 29, 34, 38, 43]);
    assert!((near.error - 0.4 / 48.0).abs() < 1e-12, "{}", near.error);
    assert_eq!(
        rack.combined_index(32),
        Some(Combined::HalfHole {
            holes: 48,
            every: 3
        })
    );
    let mut two = rack.clone();
    two.lathe.index = vec![15, 16];
    let Some(Combined::TwoRings { forwards, back }) = two.combined_index(48) else {
        panic!("{:?}", two.combined_index(48));
    };
    let share = |[holes, many]: [u32; 2]| f64::from(many) / f64::from(holes);
    assert!((share(forwards) - share(back) - 1.0 / 48.0).abs() < 1e-12);
    assert_eq!(rack.combined_index(8), None);
}
