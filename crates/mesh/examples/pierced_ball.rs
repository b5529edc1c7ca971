//! Meshes the pierced ball at falling chord and volume errors and prints time, size, volume.

use std::time::Instant;

use rondure_mesh::{Quality, surface};
use rondure_solid::{DVec2, DVec3, Path, Profile, ProfileError, Region, Solid, Turn};

/// Ball R 30, four crossing coves, a bore and eight radial holes.
fn pierced_ball() -> Result<Solid, ProfileError> {
    let ball_radius = 30.0;
    let w = ball_radius * 22.5f64.to_radians().sin();
    let r = 1.15 * w;
    let deep = (r * r - w * w).sqrt();
    let centre = ball_radius * 22.5f64.to_radians().cos() + deep;
    let cove = std::sync::Arc::new(
        Path::from(-w, 40.0)
            .line_to(-w, centre - deep)
            .arc_to(w, centre - deep, DVec2::new(0.0, centre), Turn::Left)
            .line_to(w, 40.0)
            .close()?,
    );
    let bore = Profile::cylinder(-40.0, 40.0, 9.5)?;
    let hole = std::sync::Arc::new(Profile::cylinder(0.0, 40.0, 6.0)?);
    let ball = Profile::ball(ball_radius)?;
    let mut solid = Solid::new(Region::revolved(DVec3::ZERO, DVec3::Z, ball));
    let around = |k: u32| {
        let angle = f64::from(k) * 45f64.to_radians();
        DVec3::new(angle.cos(), angle.sin(), 0.0)
    };
    for k in 0..4 {
        solid = solid.cut(Region::revolved(DVec3::ZERO, around(k), cove.clone()));
    }
    solid = solid.cut(Region::revolved(DVec3::ZERO, DVec3::Z, bore));
    for k in 0..8 {
        solid = solid.cut(Region::revolved(DVec3::ZERO, around(k), hole.clone()));
    }
    Ok(solid)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let solid = pierced_ball()?;
    let chords = [0.5, 0.2, 0.1, 0.05, 0.02].map(|chord| ("chord", chord, Quality::chord(chord)));
    let volumes = [1e-2, 1e-3, 1e-4].map(|share| ("volume", share, Quality::volume(share)));
    for (wish, number, quality) in chords.into_iter().chain(volumes) {
        let begin = Instant::now();
        let mesh = surface(&solid, quality)?;
        let time = begin.elapsed();
        use std::io::Write;
        writeln!(
            std::io::stdout(),
            "{wish} {number:6}: {:8.1} ms, {:7} triangles, volume {:.1} mm3, area {:.1} mm2, Euler {}, {} pieces, {:?}",
            time.as_secs_f64() * 1e3,
            mesh.triangles.len(),
            mesh.volume(),
            mesh.area(),
            mesh.euler_characteristic(),
            mesh.components(),
            mesh.reached,
        )?;
        if let Some(path) = std::env::args().nth(1) {
            let mut file = std::io::BufWriter::new(std::fs::File::create(format!(
                "{path}-{wish}-{number}.stl"
            ))?);
            rondure_mesh::stl::write(&mesh, &mut file)?;
        }
    }
    Ok(())
}
