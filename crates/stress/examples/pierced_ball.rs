//! The pierced ball of the kernel's bench under a squeeze and a side force, at one cube size.
#![expect(clippy::print_stdout, reason = "it says what it measured")]

use std::error::Error;
use std::time::Instant;

use rondure_solid::{DVec2, DVec3, Path, Profile, Region, Solid, Turn};
use rondure_stress::{Grain, Load, Model, Patch, Support, Tolerance};

fn pierced_ball() -> Result<Solid, Box<dyn Error>> {
    let w = 30.0 * (std::f64::consts::PI / 8.0).sin();
    let r = 1.15 * w;
    let flat = 30.0 * (std::f64::consts::PI / 8.0).cos();
    let centre = flat + (r * r - w * w).sqrt();
    let mut solid = Solid::new(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::ball(30.0)?,
    ));
    for j in 0..4 {
        let angle = f64::from(j) * std::f64::consts::FRAC_PI_4;
        let groove = Path::from(-w, flat)
            .arc_to(w, flat, DVec2::new(0.0, centre), Turn::Left)
            .line_to(w, 100.0)
            .line_to(-w, 100.0)
            .close()?;
        solid = solid.cut(Region::revolved(
            DVec3::ZERO,
            DVec3::new(angle.cos(), angle.sin(), 0.0),
            groove,
        ));
    }
    solid = solid.cut(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::cylinder(-100.0, 100.0, 9.5)?,
    ));
    for k in 0..8 {
        let angle = f64::from(k) * std::f64::consts::FRAC_PI_4;
        let axis = DVec3::new(angle.cos(), angle.sin(), 0.0);
        solid = solid.cut(Region::revolved(
            DVec3::ZERO,
            axis,
            Profile::cylinder(0.0, 100.0, 6.0)?,
        ));
    }
    Ok(solid)
}

fn main() -> Result<(), Box<dyn Error>> {
    let edge: f64 = std::env::args()
        .nth(1)
        .map_or(Ok(1.0), |edge| edge.parse())?;
    let solid = pierced_ball()?;
    let maple = rondure_wood::find("sugar maple")?
        .elastic()
        .ok_or("no stiffness")?;
    let grain = Grain::Straight {
        along: DVec3::Z,
        radial: DVec3::X,
    };
    // Between two opposite seats, where the mark holes are bored: the rim of a pierced hole.
    let seats = [DVec3::X * 22.0, DVec3::NEG_X * 22.0];
    let begin = Instant::now();
    let model = Model::new(
        &solid,
        &grain,
        &maple,
        edge,
        &[Support::over(Patch::ball(seats[1], 8.0))],
    )?;
    let built = begin.elapsed();
    println!("{:?}", model.filled());
    let cases = [
        (
            "squeeze",
            vec![Load::force(
                Patch::ball(seats[0], 8.0),
                DVec3::NEG_X * 200.0,
            )],
        ),
        (
            "side",
            vec![Load::force(
                Patch::ball(DVec3::new(0.0, 22.0, 0.0), 8.0),
                DVec3::NEG_Y * 40.0,
            )],
        ),
    ];
    for (name, loads) in cases {
        let begin = Instant::now();
        let answer = model.solve(&loads, Tolerance::USUAL, &|_| true)?;
        let solved = begin.elapsed();
        let most = answer.percentile(0.999, |place| {
            place
                .stress
                .iter()
                .fold(0.0, |most: f64, s| most.max(s.abs()))
        });
        println!(
            "{name}: F·u {:.4} N mm, {} rounds, {solved:?} (built {built:?}); 99.9 % of the wood below {most:.3} MPa",
            answer.work, answer.rounds
        );
    }
    Ok(())
}
