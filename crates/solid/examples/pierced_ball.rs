//! Volume, parts and walls of a pierced ball: coves about crossing axes, a bore, and a hole in
//! the bottom of every cove.
//!
//! `cargo run --release -p rondure-solid --example pierced_ball -- [MARKS [HOLE [REPEATS]]]`
//!
//! HOLE is the holes' radius in mm. With REPEATS everything is worked out so often, to be
//! looked at with a profiler.

use std::f64::consts::TAU;

use rondure_solid::{
    Accuracy, DVec2, DVec3, Fineness, Path, Profile, ProfileError, Region, Solid, Turn, moments,
    pieces,
};

/// Radius of the ball, of the bottoms of the coves, and of the bore, mm.
const BALL: f64 = 30.0;
const BOTTOM: f64 = 23.0;
const BORE: f64 = 9.5;
/// Ball surface left between coves, mm.
const LAND: f64 = 1.0;

fn pierced_ball(marks: u32, hole: f64) -> Result<Solid, ProfileError> {
    let pitch = TAU / f64::from(marks);
    let towards = |mark: u32| {
        let angle = pitch * f64::from(mark);
        DVec3::new(angle.cos(), angle.sin(), 0.0)
    };
    let half_angle = 0.5 * (pitch - LAND / BALL);
    let (half_width, edge) = (BALL * half_angle.sin(), BALL * half_angle.cos());
    let depth = (edge - BOTTOM).min(half_width);
    let radius = (half_width * half_width + depth * depth) / (2.0 * depth);
    let cove = Path::from(-half_width, edge)
        .arc_to(
            half_width,
            edge,
            DVec2::new(0.0, edge - depth + radius),
            Turn::Left,
        )
        .line_to(half_width, 2.0 * BALL)
        .line_to(-half_width, 2.0 * BALL)
        .close()?;
    let about = |axis, profile| Region::revolved(DVec3::ZERO, axis, profile);
    let mut solid = Solid::new(about(DVec3::Z, Profile::ball(BALL)?));
    for mounting in 0..marks / 2 {
        solid = solid.cut(about(towards(mounting), cove.clone()));
    }
    solid = solid.cut(about(
        DVec3::Z,
        Profile::cylinder(-2.0 * BALL, 2.0 * BALL, BORE)?,
    ));
    for mark in 0..marks {
        let drilled = Profile::cylinder(0.0, 2.0 * BALL, hole)?;
        solid = solid.cut(about(towards(mark), drilled));
    }
    Ok(solid)
}

#[expect(clippy::print_stdout, reason = "it is what the example is for")]
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let marks = arguments.next().map_or(Ok(8), |text| text.parse())?;
    let hole = arguments.next().map_or(Ok(6.0), |text| text.parse())?;
    let repeats = arguments.next().map_or(Ok(1), |text| text.parse::<u32>())?;
    let solid = pierced_ball(marks, hole)?;
    let accuracy = Accuracy { relative: 1e-3 };
    for _ in 1..repeats {
        std::hint::black_box(moments(&solid, accuracy));
        std::hint::black_box(pieces(&solid, Fineness::default(), accuracy));
    }
    let whole = moments(&solid, accuracy);
    println!("volume {:.0} ± {:.0} mm³", whole.volume, whole.volume_error);
    println!("surface {:.0} ± {:.0} mm²", whole.area, whole.area_error);
    let found = pieces(&solid, Fineness::default(), accuracy);
    let sure = if found.certain { "" } else { ", in doubt" };
    println!(
        "parts {}, crumbs {}{sure}",
        found.pieces.len(),
        found.crumbs
    );
    let (webs, necks) = solid.walls(solid.default_spacing());
    for web in webs.iter().take(3) {
        println!("web {:.2} mm at {:.1}", web.thickness, web.feet[0]);
    }
    for neck in necks.iter().take(3) {
        println!("neck {:.2} mm across at {:.1}", 2.0 * neck.radius, neck.at);
    }
    Ok(())
}
