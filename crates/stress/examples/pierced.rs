//! The pierced ball of the benchmarks in one set-up, with what it cost: `pierced EDGE [ROUNDS]`.
//!
//! Ball R 30 mm, four grooves, a bore and eight radial holes; sugar maple with the grain along z. Two loads: 200 N
//! squeezed on two opposite seats, 40 N sideways on a rib. Prints one line of JSON.

use std::error::Error;
use std::time::Instant;

use rondure_solid::{DVec2, DVec3, Path, Profile, Region, Solid, Turn};
use rondure_stress::{Grain, Load, Model, Patch, Support, Tolerance};

#[expect(clippy::print_stdout, reason = "printing is what an example does")]
fn main() -> Result<(), Box<dyn Error>> {
    let edge: f64 = std::env::args()
        .nth(1)
        .ok_or("EDGE is missing, mm")?
        .parse()?;
    let solid = pierced_ball()?;
    let grain = Grain::Straight {
        along: DVec3::Z,
        radial: DVec3::X,
    };
    let maple = rondure_wood::find("sugar maple")?
        .elastic()
        .ok_or("no stiffness known")?;
    // Where a hole's axis leaves a rib: between two holes, at the equator.
    let rib = |angle: f64| {
        let (sin, cos) = angle.to_radians().sin_cos();
        DVec3::new(cos, sin, 0.0) * 24.5
    };
    let start = Instant::now();
    let held = [Support::over(Patch::ball(rib(202.5), 4.0))];
    let model = Model::new(&solid, &grain, &maple, edge, &held)?;
    let built = start.elapsed().as_secs_f64();
    let toward = DVec3::from_array(rib(22.5).normalize().to_array());
    let cases = [
        vec![Load::force(Patch::ball(rib(22.5), 4.0), toward * -200.0)],
        vec![Load::force(Patch::ball(rib(22.5), 4.0), DVec3::Z * 40.0)],
    ];
    let mut works = Vec::new();
    let mut rounds = Vec::new();
    let mut seconds = Vec::new();
    for loads in &cases {
        let start = Instant::now();
        let answer = model.solve(loads, Tolerance::USUAL, &|_| true)?;
        seconds.push(start.elapsed().as_secs_f64());
        works.push(answer.work);
        rounds.push(answer.rounds);
    }
    let filled = model.filled();
    println!(
        "{{\"edge\":{edge},\"unknowns\":{},\"lattices\":{},\"build_s\":{built:.3},\"case_s\":{seconds:.3?},\"rounds\":{rounds:?},\"work\":{works:.6?},\"volume\":{:.3},\"dropped\":{:.3},\"peak_mb\":{:.0}}}",
        filled.unknowns,
        filled.lattices,
        filled.volume,
        filled.dropped,
        peak()
    );
    Ok(())
}

/// Most memory ever held, MB, where the system tells.
fn peak() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.split_whitespace().next()?.parse::<f64>().ok())
        .map_or(0.0, |kilobytes| kilobytes / 1024.0)
}

fn pierced_ball() -> Result<Solid, Box<dyn Error>> {
    let ball = 30.0;
    let beta = 22.5_f64.to_radians();
    let half_width = ball * beta.sin();
    let radius = 1.15 * half_width;
    let centre = ball * beta.cos() + (radius * radius - half_width * half_width).sqrt();
    let across = |k: u32| {
        let (sin, cos) = (f64::from(k) * 45.0).to_radians().sin_cos();
        DVec3::new(cos, sin, 0.0)
    };
    let mut solid = Solid::new(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::ball(ball)?,
    ));
    let rise = centre - (radius * radius - half_width * half_width).sqrt();
    let groove = Path::from(-half_width, 200.0)
        .line_to(-half_width, rise)
        .arc_to(half_width, rise, DVec2::new(0.0, centre), Turn::Left)
        .line_to(half_width, 200.0)
        .close()?;
    for k in 0..4 {
        solid = solid.cut(Region::revolved(DVec3::ZERO, across(k), groove.clone()));
    }
    solid = solid.cut(Region::revolved(
        DVec3::ZERO,
        DVec3::Z,
        Profile::cylinder(-40.0, 40.0, 9.5)?,
    ));
    for k in 0..8 {
        solid = solid.cut(Region::revolved(
            DVec3::ZERO,
            across(k),
            Profile::cylinder(0.0, 40.0, 6.0)?,
        ));
    }
    Ok(solid)
}
