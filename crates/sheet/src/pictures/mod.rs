//! Line drawings of the piece from its true solid, for the packet and the screen.
//!
//! Lines, hidden parts and sections are the solid's own
//! ([`Solid::drawing`](rondure_solid::Solid::drawing),
//! [`Solid::section`](rondure_solid::Solid::section)); here is only chosen from where
//! to look, and what is drawn beside the wood: what holds it, its marks, its lines
//! and the ways of the tools, as the [`Scene`](rondure_plan::scene::Scene) gives them.
//! Set-ups are drawn in parallel and kept in their order, so the bytes do not depend
//! on the count of cores.

mod contour;
mod finished;
mod held;
mod on_lathe;
mod shaded;
mod sketch;
mod svg;

use rayon::prelude::*;
use rondure_plan::Outcome;
use rondure_plan::plan::Plan;
use rondure_plan::scene::scene;

pub use shaded::Tone;
pub use sketch::{Label, Sketch, Stroke, StrokeKind};

/// How far a drawn line may stray from the true one, mm of the piece: on paper about
/// half of that, a third of the narrowest pen.
const TOLERANCE: f64 = 0.1;

/// The drawings of a packet.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Pictures {
    /// One for each set-up, in order.
    pub setups: Vec<SetupPictures>,
    /// The finished piece, put together and shaded.
    pub finished: Option<Sketch>,
}

/// The drawings of one set-up.
#[derive(Debug, Clone, PartialEq)]
pub struct SetupPictures {
    /// Identifier of the set-up.
    pub setup: String,
    /// The wood as it comes into the set-up, held as it is held there.
    pub before: Sketch,
    /// The wood after it, cut open through the lathe's axis; none where nothing is cut.
    pub after: Option<Sketch>,
}

impl Pictures {
    /// The drawings of a set-up.
    pub fn of(&self, setup: &str) -> Option<&SetupPictures> {
        self.setups.iter().find(|drawn| drawn.setup == setup)
    }
}

/// Draws everything a packet shows of a plan.
pub fn pictures(plan: &Plan, outcome: &Outcome) -> Pictures {
    let setups = &outcome.expanded.process.setups;
    let (setups, finished) = rayon::join(
        || {
            setups
                .par_iter()
                .filter_map(|setup| setup_pictures(plan, outcome, &setup.id))
                .collect()
        },
        || finished::shaded(plan, outcome),
    );
    Pictures { setups, finished }
}

/// The drawings of one set-up; none where the plan has no such set-up.
pub fn setup_pictures(plan: &Plan, outcome: &Outcome, setup: &str) -> Option<SetupPictures> {
    let scene = scene(plan, outcome, setup)?;
    let (before, after) = rayon::join(
        || on_lathe::before(plan, outcome, &scene),
        || on_lathe::after(outcome, &scene),
    );
    Some(SetupPictures {
        setup: setup.to_owned(),
        before,
        after,
    })
}

/// The line drawing of a set-up as it sits on the lathe, as SVG in the colour of the text
/// around it; none where the plan has no such set-up.
pub fn setup_svg(plan: &Plan, outcome: &Outcome, setup: &str) -> Option<String> {
    let scene = scene(plan, outcome, setup)?;
    let sketch = on_lathe::before(plan, outcome, &scene);
    Some(svg::write(&sketch, &scene.title))
}

/// A line drawing of the finished piece, put together, as SVG in the colour of the text around
/// it; none for a plan without pieces.
pub fn piece_picture_svg(plan: &Plan, outcome: &Outcome) -> Option<String> {
    let sketch = finished::finished(plan, outcome)?;
    Some(svg::write(&sketch, &plan.title))
}
