//! The process: pieces, set-ups and steps, and the solid after each.
//!
//! A form expands a plan into this. Every step names the regions it removes; a
//! region that holds an earlier one whole (the cove its flat, the finished ball
//! its facets) replaces it, so that a solid carries only the cuts that still
//! show. The true solid after any step is the blank minus what is left of the
//! list.

use rondure_solid::{Digest, Digester, Face, Region, Solid};

use crate::report::{Measure, Need, Speed};

/// All that is done, in order.
#[derive(Debug, Clone)]
pub struct Process {
    /// The pieces that are turned.
    pub pieces: Vec<Piece>,
    /// The set-ups over all pieces, in the order they are done.
    pub setups: Vec<Setup>,
    /// What the job needs from the rack and the stock.
    pub needs: Vec<Need>,
}

/// One piece of wood.
#[derive(Debug, Clone)]
pub struct Piece {
    /// Stable identifier, e.g. `ball`.
    pub id: String,
    /// What a turner calls it.
    pub name: String,
    /// The blank in words.
    pub blank_says: String,
    /// A round region that holds the blank.
    pub blank: Region,
    /// What the blank lacks of that region: the sides of a square billet.
    pub sides: Vec<Cut>,
}

/// One set-up.
#[derive(Debug, Clone)]
pub struct Setup {
    /// Stable identifier, e.g. `mounting.3`.
    pub id: String,
    /// Which piece is held.
    pub piece: usize,
    /// What it is.
    pub title: String,
    /// How the piece is held.
    pub holding: String,
    /// What is done.
    pub steps: Vec<Step>,
}

/// One action.
#[derive(Debug, Clone)]
pub struct Step {
    /// Stable identifier, e.g. `mounting.3.cove`.
    pub id: String,
    /// What to do.
    pub says: String,
    /// The tool.
    pub tool: Option<String>,
    /// The lathe's speed.
    pub speed: Option<Speed>,
    /// What can hurt.
    pub cautions: Vec<String>,
    /// What to set and mark.
    pub measures: Vec<Measure>,
    /// What is removed.
    pub removes: Vec<Cut>,
    /// Identifiers of earlier cuts that these hold whole.
    pub replaces: Vec<String>,
}

impl Setup {
    /// Whether anything is removed here.
    pub fn cuts(&self) -> bool {
        self.steps.iter().any(|step| !step.removes.is_empty())
    }
}

impl Step {
    /// A step that says what to do, with nothing else yet.
    pub fn new(id: impl Into<String>, says: impl Into<String>) -> Self {
        Self {
            id: id.into(),
            says: says.into(),
            tool: None,
            speed: None,
            cautions: Vec::new(),
            measures: Vec::new(),
            removes: Vec::new(),
            replaces: Vec::new(),
        }
    }

    /// With a tool.
    #[must_use]
    pub fn with(mut self, tool: impl Into<String>) -> Self {
        self.tool = Some(tool.into());
        self
    }

    /// With the lathe turning.
    #[must_use]
    pub fn at(mut self, speed: Speed) -> Self {
        self.speed = Some(speed);
        self
    }

    /// With a caution.
    #[must_use]
    pub fn beware(mut self, caution: &str) -> Self {
        self.cautions.push(caution.to_owned());
        self
    }

    /// With what to set and mark.
    #[must_use]
    pub fn set(mut self, measures: Vec<Measure>) -> Self {
        self.measures = measures;
        self
    }

    /// With a region to remove.
    #[must_use]
    pub fn remove(
        mut self,
        id: impl Into<String>,
        name: impl Into<String>,
        kind: CutKind,
        region: Region,
    ) -> Self {
        self.removes.push(Cut {
            id: id.into(),
            name: name.into(),
            kind,
            region,
        });
        self
    }

    /// With earlier cuts that this step's regions hold whole.
    #[must_use]
    pub fn in_place_of<S: Into<String>>(mut self, ids: impl IntoIterator<Item = S>) -> Self {
        self.replaces.extend(ids.into_iter().map(Into::into));
        self
    }
}

/// A removed region with its name.
#[derive(Debug, Clone)]
pub struct Cut {
    /// Stable identifier, e.g. `cove.3`.
    pub id: String,
    /// What a turner calls it.
    pub name: String,
    /// What sort of cut it is.
    pub kind: CutKind,
    /// The region.
    pub region: Region,
}

/// Sorts of cuts, as findings tell them apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CutKind {
    /// Waste outside the finished form: sawing, roughing, parting.
    Waste,
    /// The ball's own surface and its facets.
    Ball,
    /// The bore from pole to pole.
    Bore,
    /// A hole that keeps a mark.
    Marker,
    /// A flat or the cove that deepens it.
    Cove,
    /// A pierced hole.
    Pierce,
    /// The outline of a finial.
    Outline,
    /// The hole for a hanger.
    Hanger,
}

impl CutKind {
    /// Whether a bit makes it.
    pub fn is_drilled(self) -> bool {
        matches!(
            self,
            Self::Bore | Self::Marker | Self::Pierce | Self::Hanger
        )
    }
}

/// A solid with the names of its faces.
#[derive(Debug, Clone)]
pub struct State {
    /// The wood.
    pub solid: Solid,
    /// The cuts, in the order of the solid's.
    pub cuts: Vec<Cut>,
}

impl State {
    /// The cut behind a face; none for the blank.
    pub fn cut_of(&self, face: Face) -> Option<&Cut> {
        face.0.checked_sub(1).and_then(|index| self.cuts.get(index))
    }

    /// A turner's name of a face.
    pub fn name_of(&self, face: Face) -> &str {
        self.cut_of(face)
            .map_or("the blank's outside", |cut| &cut.name)
    }

    /// The digest of the wood and of what sort of cut made each face.
    pub fn digest(&self) -> Digest {
        let wood = Digester::new("state").digest(self.solid.digest());
        self.cuts
            .iter()
            .fold(wood, |digester, cut| digester.word(cut.kind as u64))
            .done()
    }

    fn of(piece: &Piece, cuts: Vec<Cut>) -> Self {
        let solid = cuts
            .iter()
            .fold(Solid::new(piece.blank.clone()), |solid, cut| {
                solid.cut(cut.region.clone())
            });
        Self { solid, cuts }
    }

    /// The same wood without the cuts of some kinds.
    pub fn without(&self, kinds: &[CutKind]) -> Self {
        let cuts: Vec<Cut> = self
            .cuts
            .iter()
            .filter(|cut| !kinds.contains(&cut.kind))
            .cloned()
            .collect();
        let solid = cuts
            .iter()
            .fold(Solid::new(self.solid.blank().clone()), |solid, cut| {
                solid.cut(cut.region.clone())
            });
        Self { solid, cuts }
    }
}

impl Process {
    /// Index of a set-up by its identifier.
    pub fn setup(&self, id: &str) -> Option<usize> {
        self.setups.iter().position(|setup| setup.id == id)
    }

    /// The wood of a piece before its set-up number `setup` does its step number `step`
    /// (both counted from 0; a step past the last means after the set-up).
    pub fn state_before(&self, piece: usize, setup: usize, step: usize) -> State {
        let mut cuts = self.pieces[piece].sides.clone();
        for (number, each) in self
            .setups
            .iter()
            .enumerate()
            .filter(|(_, each)| each.piece == piece)
        {
            for (place, done) in each.steps.iter().enumerate() {
                if (number, place) >= (setup, step) {
                    return State::of(&self.pieces[piece], cuts);
                }
                cuts.retain(|cut| !done.replaces.contains(&cut.id));
                cuts.extend(done.removes.iter().cloned());
            }
        }
        State::of(&self.pieces[piece], cuts)
    }

    /// The wood of a piece before its set-up number `setup`, and then with the set-ups `also` done, in
    /// that order, as if nothing else had been.
    pub fn state_with(&self, piece: usize, setup: usize, also: &[usize]) -> State {
        let mut cuts = self.state_before(piece, setup, 0).cuts;
        for done in also.iter().flat_map(|other| &self.setups[*other].steps) {
            cuts.retain(|cut| !done.replaces.contains(&cut.id));
            cuts.extend(done.removes.iter().cloned());
        }
        State::of(&self.pieces[piece], cuts)
    }

    /// The wood of the set-up's piece after that set-up.
    pub fn state_after(&self, setup: usize) -> State {
        self.state_before(self.setups[setup].piece, setup, usize::MAX)
    }

    /// The finished wood of a piece.
    pub fn finished(&self, piece: usize) -> State {
        self.state_before(piece, usize::MAX, usize::MAX)
    }
}
