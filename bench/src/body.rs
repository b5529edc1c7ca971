//! The bodies measured, as lists of plain shapes that every tool builds for itself.

use serde::{Deserialize, Serialize};

/// A ball with parts taken away, mm. Axes are unit vectors.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Body {
    /// Radius of the ball about the origin.
    pub ball: f64,
    /// Grooves turned about axes through the origin.
    pub grooves: Vec<Groove>,
    /// Round holes.
    pub holes: Vec<Hole>,
}

/// All points with |t| < `half_width` and (ρ > `centre` or (ρ − `centre`)² + t² < `radius`²),
/// t along the axis, ρ from it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Groove {
    pub axis: [f64; 3],
    pub half_width: f64,
    pub radius: f64,
    pub centre: f64,
}

/// A cylinder from `from` along `axis`.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Hole {
    pub from: [f64; 3],
    pub axis: [f64; 3],
    pub radius: f64,
    pub length: f64,
}

impl Body {
    /// The reference solid: four crossing grooves, a bore, eight radial holes.
    pub fn pierced_ball() -> Self {
        let ball = 30.0;
        let beta = 22.5_f64.to_radians();
        let half_width = ball * beta.sin();
        let radius = 1.15 * half_width;
        let centre = ball * beta.cos() + (radius * radius - half_width * half_width).sqrt();
        let across = |k: u32| {
            let (sin, cos) = (f64::from(k) * 45.0).to_radians().sin_cos();
            [cos, sin, 0.0]
        };
        let bore = Hole {
            from: [0.0, 0.0, -40.0],
            axis: [0.0, 0.0, 1.0],
            radius: 9.5,
            length: 80.0,
        };
        let radial = (0..8).map(|k| Hole {
            from: [0.0; 3],
            axis: across(k),
            radius: 6.0,
            length: 40.0,
        });
        Self {
            ball,
            grooves: (0..4)
                .map(|k| Groove {
                    axis: across(k),
                    half_width,
                    radius,
                    centre,
                })
                .collect(),
            holes: std::iter::once(bore).chain(radial).collect(),
        }
    }

    /// A ball of 60 mm radius with `count` radial holes spread by the golden angle. Their
    /// radius is R √(4 · 0.2 / n), their depth the same: mouths, walls and floors have the same
    /// area together whatever the count, only the edges grow, with √n.
    pub fn drilled_ball(count: u32) -> Self {
        let ball = 60.0;
        let radius = ball * (0.8 / f64::from(count)).sqrt();
        let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
        let holes = (0..count).map(|k| {
            let height = 1.0 - (2.0 * f64::from(k) + 1.0) / f64::from(count);
            let ring = (1.0 - height * height).sqrt();
            let (sin, cos) = (golden * f64::from(k)).sin_cos();
            let axis = [ring * cos, ring * sin, height];
            Hole {
                from: axis.map(|x| x * (ball - radius)),
                axis,
                radius,
                length: 2.0 * radius,
            }
        });
        Self {
            ball,
            grooves: Vec::new(),
            holes: holes.collect(),
        }
    }
}
