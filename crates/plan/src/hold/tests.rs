//! Loads balance, seats are where the wood is, and every set-up that cuts is looked at.

use rondure_solid::DVec3;

use super::contact::rim;
use super::{Contact, Grip, Load, Push, looks};
use crate::form::coved_ball::expand;
use crate::plan::Plan;

const DEMO: &str = include_str!("../../../../examples/lavender-ball-60.toml");
const INCHES: &str = include_str!("../../../../examples/ornament-1-7-8-in.toml");

fn read(text: &str) -> Plan {
    Plan::read(text, "test.toml", &|_| Err("built in".to_owned())).unwrap()
}

/// Force and moment about the origin of some pushes.
fn sum(pushes: &[Push], middle: DVec3) -> (DVec3, DVec3) {
    pushes.iter().fold(
        (DVec3::ZERO, DVec3::ZERO),
        |(force, moment), push| match push {
            Push::Force {
                contact,
                force: each,
            } => (force + each, moment + contact.middle().cross(*each)),
            Push::Twist { moment: each, .. } => (force, moment + each),
            Push::All(each) => (force + each, moment + middle.cross(*each)),
        },
    )
}

/// Whatever pushes, jaws and centres balance it: both sums are nought.
#[test]
fn what_holds_balances_what_pushes() {
    let pushes = [
        Push::Force {
            contact: Contact::at(DVec3::new(3.0, 20.0, 7.0), 2.0),
            force: DVec3::new(0.3, -1.0, 0.2),
        },
        Push::Twist {
            contact: Contact::at(DVec3::new(-5.0, 4.0, 1.0), 2.0),
            about: DVec3::ZERO,
            moment: DVec3::new(2.0, 0.5, -3.0),
        },
    ];
    let middle = DVec3::new(0.1, 0.2, 0.3);
    for grip in [
        Grip::One(Contact::at(DVec3::new(0.0, 0.0, -40.0), 6.0)),
        Grip::Centres {
            drive: Contact::at(DVec3::new(-30.0, 1.0, 0.0), 3.0),
            tail: Contact::at(DVec3::new(29.0, 0.0, 2.0), 3.0),
        },
    ] {
        let mut all = pushes.to_vec();
        all.extend(grip.answer(&pushes, middle));
        let (force, moment) = sum(&all, middle);
        assert!(force.length() < 1e-12, "{grip:?} {force}");
        assert!(moment.length() < 1e-11, "{grip:?} {moment}");
    }
    let free = Grip::Free.answer(&pushes, middle);
    assert_eq!(free, vec![Push::All(DVec3::new(-0.3, 1.0, -0.2))]);
}

/// Between centres a push in the middle is shared evenly, and one over the drive centre is all the drive's (the lever).
#[test]
fn centres_share_a_side_push_by_the_lever() {
    let (head, foot) = (DVec3::new(0.0, 0.0, -30.0), DVec3::new(0.0, 0.0, 30.0));
    let grip = Grip::Centres {
        drive: Contact::at(head, 3.0),
        tail: Contact::at(foot, 3.0),
    };
    for (station, at_tail) in [(0.0, 0.5), (-30.0, 0.0), (15.0, 0.75)] {
        let push = Push::Force {
            contact: Contact::at(DVec3::new(0.0, 0.0, station), 2.0),
            force: DVec3::X,
        };
        let answer = grip.answer(&[push], DVec3::ZERO);
        let Push::Force { contact, force } = &answer[0] else {
            panic!()
        };
        assert_eq!(contact.at[0], foot);
        assert!(
            force.distance(DVec3::X * -at_tail) < 1e-12,
            "{station}: {force}"
        );
    }
}

/// Every set-up of the demo that cuts is looked at, in order, and every push is one newton and meets wood.
#[test]
fn every_set_up_that_cuts_is_looked_at() {
    for text in [DEMO, INCHES] {
        let plan = read(text);
        let expanded = expand(&plan).unwrap();
        let looks = looks(&plan, &expanded, Some(0.5));
        let order: Vec<usize> = looks
            .iter()
            .filter(|look| !look.id.starts_with("finished"))
            .map(|look| expanded.process.setup(&look.setup).unwrap())
            .collect();
        assert!(order.is_sorted(), "{order:?}");
        for (index, setup) in expanded.process.setups.iter().enumerate() {
            assert!(!setup.cuts() || order.contains(&index), "{}", setup.id);
        }
        for look in &looks {
            for case in &look.cases {
                for way in &case.ways {
                    for push in &way.pushes {
                        let Push::Force { contact, .. } = push else {
                            continue;
                        };
                        for at in &contact.at {
                            let depth = look.state.solid.depth(*at);
                            assert!(
                                depth > -contact.radius,
                                "{} {}: {at} {depth}",
                                look.id,
                                case.says
                            );
                        }
                    }
                    let (force, _) = sum(&way.pushes, DVec3::ZERO);
                    let pinched = matches!(case.load, Load::Grip | Load::Hand);
                    let newtons = if pinched { 0.0 } else { 1.0 };
                    assert!(
                        (force.length() - newtons).abs() < 1e-9,
                        "{} {}",
                        look.id,
                        case.says
                    );
                }
            }
        }
        let ids: std::collections::BTreeSet<&str> =
            looks.iter().map(|look| look.id.as_str()).collect();
        assert_eq!(ids.len(), looks.len());
    }
}

/// The tool is tried all along and all round a cove, not at one place: on the ball's cove 4 each of three stations,
/// and on ribs and beside gaps.
#[test]
fn the_tool_is_tried_over_its_whole_path() {
    let plan = read(DEMO);
    let expanded = expand(&plan).unwrap();
    let looks = looks(&plan, &expanded, None);
    let cove = looks
        .iter()
        .find(|look| look.id == "mounting.4.cove")
        .unwrap();
    let round = cove
        .cases
        .iter()
        .find(|case| case.load == Load::Round)
        .unwrap();
    let axis = expanded.layout.towards(3);
    let mut stations: Vec<i64> = Vec::new();
    for way in &round.ways {
        let Push::Force { contact, force } = &way.pushes[0] else {
            panic!()
        };
        assert!(force.dot(axis).abs() < 1e-12);
        stations.push((10.0 * contact.at[0].dot(axis)).round() as i64);
    }
    stations.sort_unstable();
    stations.dedup();
    assert_eq!(stations.len(), 3, "{stations:?}");
    assert!(round.ways.len() >= 12, "{}", round.ways.len());
}

/// A hole along the axis: the cone meets its rim, at the hole's radius and the height of the ball there.
#[test]
fn a_centre_over_a_hole_bears_on_its_rim() {
    use rondure_solid::{Profile, Region, Solid};
    let ball = Solid::new(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::ball(30.0).unwrap(),
    ));
    let bore = Region::revolved(
        DVec3::ZERO,
        DVec3::X,
        Profile::cylinder(-40.0, 40.0, 6.2).unwrap(),
    );
    let found = rim(&ball.cut(bore), DVec3::X, 35.0).unwrap();
    assert_eq!(found.at.len(), 16);
    for at in &found.at {
        assert!((at.y.hypot(at.z) - 6.5).abs() < 1e-9, "{at}");
        assert!((at.length() - 30.0).abs() < 1e-6, "{at}");
    }
}
