//! fidget at work on a body: a formula, compiled at run time, meshed by dual contouring.

use fidget::context::Tree;
use fidget::jit::JitShape;
use fidget::mesh::{Mesh, Octree, Settings};
use fidget::render::{CancelToken, ThreadPool};

use crate::body::Body;
use crate::job::{Job, Outcome, Sample, Task, inside, measure};

/// Steps between two depths of the tree: the cube around the body grows by a quarter of an
/// octave each, so that the size of a cell can be chosen more finely than by halves.
const PER_DEPTH: u32 = 4;

/// Depth of the tree at step 0.
const COARSEST: u32 = 4;

/// Depth of the tree, and half the edge of the cube, as a multiple of the ball's radius.
fn fineness(step: u32) -> (u8, f64) {
    let depth = COARSEST + step / PER_DEPTH + 1;
    let coarser = PER_DEPTH - 1 - step % PER_DEPTH;
    // A whisker wider than the ball at the least.
    let wide = 1.03 * 2.0_f64.powf(f64::from(coarser) / f64::from(PER_DEPTH));
    (depth as u8, wide)
}

/// All steps of a job.
pub fn run(job: &Job) -> Vec<Sample> {
    let at = |step: &u32| {
        let (depth, wide) = fineness(*step);
        let scale = wide * job.body.ball;
        let cell = 2.0 * scale / f64::from(1 << depth);
        measure(
            job,
            *step,
            format!("depth {depth}, cell {cell:.3} mm"),
            || {
                let mesh = mesh(&job.body, depth, scale, job.cores)?;
                if job.task == Task::Moments {
                    std::hint::black_box(held(&mesh, scale));
                }
                Ok(mesh)
            },
            |mesh| held(mesh, scale),
        )
    };
    job.steps.iter().map(at).collect()
}

/// What a mesh holds; `scale` mm are one unit of it.
fn held(mesh: &Mesh, scale: f64) -> Outcome {
    let point = |corner: usize| {
        let p = &mesh.vertices[corner];
        [p.x, p.y, p.z].map(|x| f64::from(x) * scale)
    };
    inside(mesh.triangles.iter().map(|t| [t.x, t.y, t.z].map(point)))
}

fn mesh(body: &Body, depth: u8, scale: f64, cores: usize) -> Result<Mesh, String> {
    let shape = JitShape::from(formula(body, scale));
    let bound = shape
        .try_into()
        .map_err(|_| "a formula with a free variable".to_owned())?;
    let settings = Settings {
        depth,
        threads: (cores > 1).then_some(&ThreadPool::Global),
        cancel: CancelToken::new(),
        ..Settings::default()
    };
    let octree = Octree::build(&bound, &settings).ok_or("building was cancelled")?;
    Ok(octree.walk_dual())
}

/// Below 0 in the wood; the cube from -1 to 1 stands for `scale` mm each way.
fn formula(body: &Body, scale: f64) -> Tree {
    let point = [Tree::x(), Tree::y(), Tree::z()].map(|x| x * scale);
    let [x, y, z] = &point;
    let ball = (x.square() + y.square() + z.square()).sqrt() - body.ball;
    let origin = [0.0; 3];
    let grooves = body.grooves.iter().map(|groove| {
        let (t, rho) = station_radius(&point, origin, groove.axis);
        let off = rho.clone() - groove.centre;
        let round = (off.square() + t.square()).sqrt() - groove.radius;
        (Tree::constant(groove.centre) - rho)
            .min(round)
            .max(t.abs() - groove.half_width)
    });
    let holes = body.holes.iter().map(|hole| {
        let (t, rho) = station_radius(&point, hole.from, hole.axis);
        let middle = 0.5 * hole.length;
        (rho - hole.radius).max((t - middle).abs() - middle)
    });
    let air = union(grooves.chain(holes).collect());
    match air {
        Some(air) => ball.max(-air),
        None => ball,
    }
}

fn station_radius(point: &[Tree; 3], from: [f64; 3], axis: [f64; 3]) -> (Tree, Tree) {
    let p = [0, 1, 2].map(|k| point[k].clone() - from[k]);
    let [u, v] = square_to(axis);
    let dot = |a: [f64; 3]| p[0].clone() * a[0] + p[1].clone() * a[1] + p[2].clone() * a[2];
    (dot(axis), (dot(u).square() + dot(v).square()).sqrt())
}

/// Two unit vectors square to a unit vector and to each other.
fn square_to(a: [f64; 3]) -> [[f64; 3]; 2] {
    let pick = if a[2].abs() < 0.9 {
        [0.0, 0.0, 1.0]
    } else {
        [1.0, 0.0, 0.0]
    };
    let cross = |a: [f64; 3], b: [f64; 3]| {
        [
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ]
    };
    let u = cross(a, pick);
    let length = u.iter().map(|x| x * x).sum::<f64>().sqrt();
    let u = u.map(|x| x / length);
    [u, cross(a, u)]
}

/// The least of all, in a balanced tree.
fn union(mut parts: Vec<Tree>) -> Option<Tree> {
    while parts.len() > 1 {
        parts = parts
            .chunks(2)
            .map(|pair| match pair {
                [a, b] => a.clone().min(b.clone()),
                _ => pair[0].clone(),
            })
            .collect();
    }
    parts.pop()
}
