use super::*;
use crate::{Profile, Region};

/// A ball of radius 30 with three crossing bores and a saw cut.
fn pierced() -> Solid {
    let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(30.0).unwrap());
    let bore = |axis| {
        Region::revolved(
            DVec3::ZERO,
            axis,
            Profile::cylinder(-40.0, 40.0, 7.0).unwrap(),
        )
    };
    Solid::new(ball)
        .cut(bore(DVec3::X))
        .cut(bore(DVec3::new(1.0, 1.0, 0.3)))
        .cut(bore(DVec3::Z))
        .cut(Region::beyond(DVec3::new(0.2, -1.0, 0.1), 21.0))
}

fn to_size(edge: f64) -> impl Fn(&Node<'_>) -> Step<(Cell, State, f64, Vec<Near>)> + Sync {
    move |node| {
        if node.state == State::Open && 2.0 * node.cell.half.max_element() > edge {
            Step::Split
        } else {
            Step::Leaf((node.cell, node.state, node.depth, node.near.to_vec()))
        }
    }
}

/// Points of a box: its corners, its centre, and some between.
fn points(cell: &Cell) -> impl Iterator<Item = DVec3> + use<> {
    let cell = *cell;
    (0..8).flat_map(move |k| [1.0, 0.61, 0.0].map(|s| cell.centre.lerp(cell.corner(k), s)))
}

#[test]
fn leaves_fill_the_roots_and_settled_ones_are_true() {
    let solid = pierced();
    let leaves = walk(&solid, Keep::Surface, to_size(2.0));
    let whole: f64 = roots(&solid.bounds()).iter().map(Cell::volume).sum();
    let sum: f64 = leaves.iter().map(|leaf| leaf.0.volume()).sum();
    assert!((sum - whole).abs() < 1e-6 * whole);
    for (cell, state, depth, _) in &leaves {
        for p in points(cell) {
            match state {
                State::Wood => assert!(solid.depth(p) > 0.0),
                State::Air => assert!(solid.depth(p) < 0.0),
                State::Open => {}
            }
        }
        match state {
            State::Open => assert_eq!(*depth, solid.depth(cell.centre)),
            State::Wood => assert!(*depth <= solid.depth(cell.centre)),
            State::Air => assert!(*depth >= solid.depth(cell.centre)),
        }
    }
}

#[test]
fn the_kept_faces_give_the_exact_depth() {
    let solid = pierced();
    for (cell, state, _, near) in walk(&solid, Keep::Depth, to_size(2.0)) {
        if state == State::Air {
            continue;
        }
        for p in points(&cell) {
            let least = near
                .iter()
                .map(|n| solid.depth_to(n.face, p))
                .fold(f64::INFINITY, f64::min);
            assert_eq!(least, solid.depth(p));
        }
    }
}

/// Every face whose surface passes through an open box is on its list.
#[test]
fn the_surface_list_misses_no_face() {
    let solid = pierced();
    for (cell, state, _, near) in walk(&solid, Keep::Surface, to_size(2.0)) {
        if state == State::Air {
            continue;
        }
        for face in solid.faces().filter(|f| near.iter().all(|n| n.face != *f)) {
            assert!(points(&cell).all(|p| solid.depth_to(face, p) > 0.0));
        }
    }
}

#[test]
fn the_order_of_results_is_the_same_on_one_core_and_two() {
    let solid = pierced();
    let on = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| walk(&solid, Keep::Surface, to_size(1.5)))
    };
    assert_eq!(on(1), on(2));
}

#[test]
fn a_long_blank_gets_a_row_of_roots() {
    let cells = roots(&Bounds {
        low: DVec3::new(-6.0, -6.0, 0.0),
        high: DVec3::new(6.0, 6.0, 120.0),
    });
    assert_eq!(cells.len(), 10);
    for cell in &cells {
        assert!((cell.half - 6.0).abs().max_element() < 1e-6);
    }
}
