//! Our kernel at work on a body.

use rondure_mesh::{Mesh, Quality, surface};
use rondure_solid::{Accuracy, DVec2, DVec3, Moments, Path, Profile, Region, Solid, Turn, moments};

use crate::body::Body;
use crate::job::{Job, Outcome, Sample, Task, inside, measure};

/// A body as a solid of ours.
pub fn solid(body: &Body) -> Result<Solid, String> {
    build(body).map_err(|error| error.to_string())
}

fn build(body: &Body) -> Result<Solid, rondure_solid::ProfileError> {
    let ball = Profile::ball(body.ball)?;
    let mut solid = Solid::new(Region::revolved(DVec3::ZERO, DVec3::Z, ball));
    let far = 4.0 / 3.0 * body.ball;
    for groove in &body.grooves {
        let (w, r, c) = (groove.half_width, groove.radius, groove.centre);
        let edge = c - (r * r - w * w).sqrt();
        let profile = Path::from(-w, far)
            .line_to(-w, edge)
            .arc_to(w, edge, DVec2::new(0.0, c), Turn::Left)
            .line_to(w, far)
            .close()?;
        solid = solid.cut(Region::revolved(DVec3::ZERO, groove.axis.into(), profile));
    }
    for hole in &body.holes {
        let profile = Profile::cylinder(0.0, hole.length, hole.radius)?;
        solid = solid.cut(Region::revolved(
            hole.from.into(),
            hole.axis.into(),
            profile,
        ));
    }
    Ok(solid)
}

/// Accuracy asked at a step: 1e-2, a tenth of it every 4 steps.
pub fn relative(step: u32) -> f64 {
    10.0_f64.powf(-2.0 - 0.25 * f64::from(step))
}

/// The step at which an accuracy is asked.
pub fn step_asking(relative: f64) -> u32 {
    (4.0 * (-2.0 - relative.log10())).round() as u32
}

/// All steps of a job.
pub fn run(job: &Job) -> Vec<Sample> {
    let at = |step: &u32| match job.task {
        Task::Mesh => {
            let relative = relative(*step);
            measure(
                job,
                *step,
                format!("asked {relative:.0e}"),
                || {
                    surface(&solid(&job.body)?, Quality::volume(relative))
                        .map_err(|error| error.to_string())
                },
                of_mesh,
            )
        }
        Task::Moments => {
            let relative = relative(*step);
            measure(
                job,
                *step,
                format!("asked {relative:.0e}"),
                || Ok(moments(&solid(&job.body)?, Accuracy { relative })),
                of_moments,
            )
        }
    };
    job.steps.iter().map(at).collect()
}

/// What a mesh holds.
pub fn of_mesh(mesh: &Mesh) -> Outcome {
    inside((0..mesh.triangles.len()).map(|triangle| mesh.points(triangle).map(|p| p.to_array())))
}

/// Inertia about the origin, as the peers' is counted.
pub fn of_moments(moments: &Moments) -> Outcome {
    let (c, i) = (moments.centre_of_mass, moments.inertia);
    let shift = |k: usize| moments.volume * (c.length_squared() - c[k] * c[k]);
    Outcome {
        volume: moments.volume,
        inertia: [0, 1, 2].map(|k| i.col(k)[k] + shift(k)),
        triangles: 0,
    }
}
