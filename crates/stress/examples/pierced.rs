//! The pierced ball of the benchmarks under load, with what it cost.
//!
//! `pierced EDGE`: one set-up, held at one seat, and two loads: 200 N squeezed on the opposite seat, 40 N sideways there.
//! `pierced EDGE FOLDER [tilted]`: nothing holds it, 200 N squeezed on two opposite seats; the lattice, its forces and
//! our motions are written to the folder for other solvers, `tilted` with the grain askew. Either prints one line of JSON.
//!
//! Ball R 30 mm, four grooves, a bore and eight radial holes; sugar maple with the grain along z.

use std::error::Error;
use std::fs;
use std::path::Path as FilePath;
use std::time::Instant;

use rondure_solid::{DVec2, DVec3, Path, Profile, Region, Solid, Turn};
use rondure_stress::{
    Answer, Grain, Load, Model, Patch, StressError, Support, Tolerance, stiffness,
};

/// A seat on a rib between two holes, at the equator.
fn seat(angle: f64) -> DVec3 {
    let (sin, cos) = angle.to_radians().sin_cos();
    DVec3::new(cos, sin, 0.0) * 24.5
}

#[expect(clippy::print_stdout, reason = "printing is what an example does")]
fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let edge: f64 = words.first().ok_or("EDGE is missing, mm")?.parse()?;
    let folder = words.get(1).map(FilePath::new);
    let solid = pierced_ball()?;
    let along = if words.get(2).is_some_and(|word| word == "tilted") {
        DVec3::new(1.0, 2.0, 3.0)
    } else {
        DVec3::Z
    };
    let grain = Grain::Straight {
        along,
        radial: DVec3::X,
    };
    let maple = rondure_wood::find("sugar maple")?
        .elastic()
        .ok_or("no stiffness known")?;
    let (here, there) = (seat(22.5), seat(202.5));
    let inward = -here.normalize() * 200.0;
    let push = |at: DVec3, force: DVec3| Load::force(Patch::ball(at, 4.0), force);
    let (held, cases, tolerance) = if folder.is_some() {
        let squeeze = vec![push(here, inward), push(there, -inward)];
        let tight = Tolerance {
            relative: 1e-9,
            ..Tolerance::USUAL
        };
        (vec![], vec![squeeze], tight)
    } else {
        let held = vec![Support::over(Patch::ball(there, 4.0))];
        let cases = vec![vec![push(here, inward)], vec![push(here, DVec3::Z * 40.0)]];
        (held, cases, Tolerance::USUAL)
    };
    let (start, busy) = (Instant::now(), processor());
    let model = Model::new(&solid, &grain, &maple, edge, &held)?;
    let built = start.elapsed().as_secs_f64();
    let mut busy = vec![processor() - busy];
    let (mut works, mut rounds, mut seconds) = (Vec::new(), Vec::new(), Vec::new());
    for loads in &cases {
        let (start, before) = (Instant::now(), processor());
        // What is timed comes to the usual tolerance; what is written out is tight.
        let usual = model.solve(loads, Tolerance::USUAL, &|_| true)?;
        seconds.push(start.elapsed().as_secs_f64());
        busy.push(processor() - before);
        works.push(usual.work);
        rounds.push(usual.rounds);
    }
    if let (Some(folder), Some(loads)) = (folder, cases.first()) {
        let tight = model.solve(loads, tolerance, &|_| true)?;
        let turn = stiffness::law_of(&maple);
        write(folder, &model, loads, &tight, &turn, &grain)?;
    }
    let filled = model.filled();
    println!(
        "{{\"edge\":{edge},\"unknowns\":{},\"lattices\":{},\"build_s\":{built:.4},\"case_s\":{seconds:.4?},\"busy_s\":{busy:.2?},\"rounds\":{rounds:?},\"work\":{works:.6?},\"volume\":{:.3},\"dropped\":{:.3},\"peak_mb\":{:.0}}}",
        filled.unknowns,
        filled.lattices,
        filled.volume,
        filled.dropped,
        peak()
    );
    Ok(())
}

/// Plain numbers of eight bytes, little end first, and what they are in `lattice.json`.
fn write(
    folder: &FilePath,
    model: &Model,
    loads: &[Load],
    answer: &Answer<'_>,
    own: &stiffness::Law,
    grain: &Grain,
) -> Result<(), Box<dyn Error>> {
    fs::create_dir_all(folder)?;
    let lattice = model.lattice();
    let put = |name: &str, values: Vec<f64>| {
        let bytes: Vec<u8> = values
            .iter()
            .flat_map(|value| value.to_le_bytes())
            .collect();
        fs::write(folder.join(name), bytes)
    };
    let flat = |list: &[DVec3]| list.iter().flat_map(|p| p.to_array()).collect();
    put("nodes.f64", flat(&lattice.nodes))?;
    put("motions.f64", flat(&answer.motions()))?;
    let forces: Result<Vec<DVec3>, StressError> = model.forces(loads);
    put("forces.f64", flat(&forces?))?;
    let cubes = lattice.cubes.iter().flat_map(|cube| {
        let corners = cube.corners.into_iter().map(f64::from);
        corners.chain([cube.share])
    });
    put("cubes.f64", cubes.collect())?;
    put("law.f64", lattice.laws[0].as_flattened().to_vec())?;
    put("own.f64", own.as_flattened().to_vec())?;
    let Grain::Straight { along, radial } = grain else {
        return Err("the grain is straight here".into());
    };
    put("grain.f64", flat(&[*along, *radial]))?;
    Ok(())
}

/// Seconds of processor time so far on all cores, where the system tells, in hundredths.
fn processor() -> f64 {
    let stat = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after = stat.rsplit(')').next().unwrap_or_default();
    // User and system time, the 14th and 15th word; two stand before the bracket.
    let ticks = after.split_whitespace().skip(11).take(2);
    ticks
        .filter_map(|ticks| ticks.parse::<f64>().ok())
        .sum::<f64>()
        / 100.0
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
