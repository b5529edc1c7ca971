//! What holds a finished piece together: its webs, necks and parts.

use rondure_solid::necks::Neck;
/// T
#[derive(Debug,Clone)] pub struct Part {
/// T
pub volume: f64, 
/// T
pub deepest: rondure_solid::DVec3}
/// T
#[derive(Debug,Clone)] pub struct Pieces {
/// T
pub parts: Vec<Part>}
fn pieces(_: &Solid, _: f64) -> Pieces { Pieces{parts: vec![]} }

use rondure_solid::webs::Web;
use rondure_solid::Solid;

/// Webs, necks and parts of one solid.
#[derive(Debug, Clone)]
pub struct Walls {
    /// Walls between cuts, thinnest first. Cuts that meet leave an edge; between them only a
    /// place that is thinnest by itself counts, not the way down to the edge.
    pub webs: Vec<Web>,
    /// Passages between bulks, narrowest first.
    pub necks: Vec<Neck>,
    /// Connected parts.
    pub parts: Pieces,
}

/// Joints thinner than this are not trusted to join, mm.
const RESOLUTION: f64 = 0.05;

impl Walls {
    /// Works them out.
    pub fn of(solid: &Solid) -> Self {
        let spacing = solid.default_spacing();
        let ((webs, necks), parts) =
            rayon::join(|| rayon::join(|| solid.webs(spacing), || solid.necks(spacing)), || pieces(solid, RESOLUTION));
        let webs = webs.into_iter().filter(|web| !web.meets || web.ends_at.is_none()).collect();
        Self { webs, necks, parts }
    }

    /// The thinnest web, mm.
    pub fn least_web(&self) -> Option<f64> {
        self.webs.first().map(|web| web.thickness)
    }

    /// The narrowest neck as a diameter, mm.
    pub fn least_neck(&self) -> Option<f64> {
        self.necks.first().map(|neck| 2.0 * neck.radius)
    }
}
