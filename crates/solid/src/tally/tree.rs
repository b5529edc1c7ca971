//! The windows of a solid's surface kept as trees, to go on from when cuts come and go.
//!
//! Each patch has a tree of windows, halved down to a few across the piece; a leaf keeps
//! what is summed over it, a node what its halves sum to. The distance to a face changes by no
//! more than the way one goes, so a window farther from every changed face than its own
//! reach is as it was, with all below it, and is shared between both trees. Only windows
//! that a changed face can reach are looked at again. Outlines about one axis are cut where
//! they meet, as in [`stretches`]; that too changes only within reach of a changed face.

use std::sync::Arc;

use glam::DVec3;
use rayon::prelude::*;

use super::Tally;
use super::view::View;
use crate::coaxial::{Other, stretches};
use crate::flux::Sums;
use crate::patch::{Patch, Window, patches};
use crate::reaching::Reaching;
use crate::region::Region;
use crate::side::SAME_SURFACE;
use crate::solid::{Face, Solid};

/// Windows are not kept apart below this share of the box's longest side.
const SMALLEST_KEPT: f64 = 1.0 / 24.0;

/// Farther than a window's reach by this, a face is nothing to it, mm: above the gap at which
/// surfaces count as one.
const APART: f64 = 10.0 * SAME_SURFACE;

/// What is known of a window and all below it.
#[derive(Debug, Clone)]
struct Node {
    tally: Tally,
    /// The largest doubt of a volume that one small window below leaves, mm³.
    worst: f64,
    /// How many small windows below leave some.
    open: usize,
    halves: Option<Arc<[Node; 2]>>,
}

/// The windows of one patch.
#[derive(Debug, Clone)]
struct Tree {
    /// Which of its face's patches it is.
    face: Face,
    root: Node,
}

/// The windows of all patches of a solid.
#[derive(Debug, Clone)]
pub(crate) struct Trees {
    solid: Solid,
    centre: DVec3,
    trees: Vec<Tree>,
    /// Nodes that no earlier trees had.
    pub made: usize,
}

/// A cut that came or went.
#[derive(Debug, Clone, Copy)]
struct Changed<'a> {
    region: &'a Region,
    came: bool,
}

/// What a patch is looked at with.
struct Look<'a> {
    solid: &'a Solid,
    patch: &'a Patch,
    others: &'a [Other],
    /// The stretches that faces about the patch's axis leave.
    left: &'a [(f64, f64)],
    centre: DVec3,
    smallest: f64,
    enough: f64,
    made: usize,
}

impl Trees {
    /// Looks at all windows of a solid; each small one may leave `enough` mm³ in doubt.
    pub(crate) fn of(solid: &Solid, enough: f64) -> Self {
        let nothing = Self {
            solid: solid.clone(),
            centre: solid.bounds().centre(),
            trees: Vec::new(),
            made: 0,
        };
        nothing.changed(solid, enough)
    }

    /// The trees of another solid about the same centre, where faces have come or gone.
    pub(crate) fn changed(&self, next: &Solid, enough: f64) -> Self {
        let (kept, changed) = self.compare(next);
        let all = patches(next);
        let reaching = Reaching::of(next);
        let bounds = next.bounds();
        let smallest = SMALLEST_KEPT * bounds.size().max_element();
        // Trees stand in the order of faces, as patches do.
        let mut first = 0;
        let places: Vec<usize> = all
            .iter()
            .enumerate()
            .map(|(number, patch)| {
                if number > 0 && all[number - 1].face != patch.face {
                    first = number;
                }
                number - first
            })
            .collect();
        let trees: Vec<(Tree, usize)> = all
            .par_iter()
            .zip(places)
            .map(|(patch, place)| {
                let (others, left) = stretches(next, &reaching, patch);
                let mut look = Look {
                    solid: next,
                    patch,
                    others: &others,
                    left: &left,
                    centre: self.centre,
                    smallest,
                    enough,
                    made: 0,
                };
                let near = (0..others.len()).collect();
                let before = kept[patch.face.0].and_then(|face| self.tree(face, place));
                let root = match before {
                    Some(tree) => look.again(&tree.root, patch.window(), near, changed.clone()),
                    None => look.look(patch.window(), near),
                };
                let face = patch.face;
                (Tree { face, root }, look.made)
            })
            .collect();
        Self {
            solid: next.clone(),
            centre: self.centre,
            made: trees.iter().map(|tree| tree.1).sum(),
            trees: trees.into_iter().map(|tree| tree.0).collect(),
        }
    }

    /// Looks again where a small window leaves more than `enough` in doubt.
    pub(crate) fn finer(&self, enough: f64) -> Self {
        let all = patches(&self.solid);
        let reaching = Reaching::of(&self.solid);
        let smallest = SMALLEST_KEPT * self.solid.bounds().size().max_element();
        let trees: Vec<(Tree, usize)> = all
            .par_iter()
            .zip(&self.trees)
            .map(|(patch, tree)| {
                if tree.root.worst <= enough {
                    return (tree.clone(), 0);
                }
                let (others, left) = stretches(&self.solid, &reaching, patch);
                let mut look = Look {
                    solid: &self.solid,
                    patch,
                    others: &others,
                    left: &left,
                    centre: self.centre,
                    smallest,
                    enough,
                    made: 0,
                };
                let near = (0..others.len()).collect();
                let root = look.finer(&tree.root, patch.window(), near);
                let face = patch.face;
                (Tree { face, root }, look.made)
            })
            .collect();
        Self {
            made: self.made + trees.iter().map(|tree| tree.1).sum::<usize>(),
            trees: trees.into_iter().map(|tree| tree.0).collect(),
            ..self.clone()
        }
    }

    /// The largest doubt that one small window leaves, mm³.
    pub(crate) fn worst(&self) -> f64 {
        let each = self.trees.iter().map(|tree| tree.root.worst);
        each.fold(0.0, f64::max)
    }

    /// How many small windows leave a doubt.
    pub(crate) fn open(&self) -> usize {
        self.trees.iter().map(|tree| tree.root.open).sum()
    }

    /// The sums over all windows.
    pub(crate) fn tally(&self) -> Tally {
        let mut tally = Tally::default();
        for tree in &self.trees {
            tally.add(&tree.root.tally);
        }
        tally
    }

    /// The tree of a face's patch by its place among the face's patches.
    fn tree(&self, face: Face, place: usize) -> Option<&Tree> {
        let first = self.trees.partition_point(|tree| tree.face < face);
        self.trees
            .get(first + place)
            .filter(|tree| tree.face == face)
    }

    /// For each face of the next solid the face it was, and the faces that came or went. Faces that
    /// stay are in the same order: of surfaces that coincide the first one counts.
    fn compare<'a>(&'a self, next: &'a Solid) -> (Vec<Option<Face>>, Vec<Changed<'a>>) {
        let blank = self.solid.blank() == next.blank() && !self.trees.is_empty();
        let mut kept = vec![blank.then_some(Face::BLANK)];
        let mut changed = Vec::new();
        let mut begin = 0;
        let before = self.solid.cuts();
        let mut stays = vec![false; before.len()];
        for region in next.cuts() {
            let found = before[begin..].iter().position(|other| other == region);
            match found.filter(|_| blank) {
                Some(further) => {
                    let number = begin + further;
                    stays[number] = true;
                    begin = number + 1;
                    kept.push(Some(Face(number + 1)));
                }
                None => {
                    kept.push(None);
                    changed.push(Changed { region, came: true });
                }
            }
        }
        for (region, _) in before.iter().zip(&stays).filter(|(_, stays)| !**stays) {
            changed.push(Changed {
                region,
                came: false,
            });
        }
        (kept, changed)
    }
}

impl Look<'_> {
    /// A window new to look at, with the others that may matter in it.
    fn look(&mut self, window: Window, mut near: Vec<usize>) -> Node {
        let tangent = self.patch.tangent(&window);
        let bare = self.stretches(&window).next().is_some();
        if !bare || !self.matter(tangent.point, tangent.reach, &mut near) {
            return self.hidden();
        }
        let small = 2.0 * tangent.reach <= self.smallest;
        if near.is_empty() || small {
            return self.leaf(window, near);
        }
        let [first, second] = window.halves(tangent.widest);
        let halves = [self.look(first, near.clone()), self.look(second, near)];
        self.join(halves)
    }

    /// A window known before, where some faces have changed.
    fn again(
        &mut self,
        known: &Node,
        window: Window,
        mut near: Vec<usize>,
        mut changed: Vec<Changed<'_>>,
    ) -> Node {
        let tangent = self.patch.tangent(&window);
        let reach = tangent.reach + APART;
        let mut hidden = false;
        changed.retain(|face| {
            let depth = face.region.signed_distance(tangent.point);
            hidden |= face.came && depth < -reach;
            depth <= reach
        });
        if changed.is_empty() {
            return known.clone();
        }
        if hidden || !self.matter(tangent.point, tangent.reach, &mut near) {
            return self.hidden();
        }
        let Some(halves) = &known.halves else {
            return self.look(window, near);
        };
        let [first, second] = window.halves(tangent.widest);
        let halves = [
            self.again(&halves[0], first, near.clone(), changed.clone()),
            self.again(&halves[1], second, near, changed),
        ];
        self.join(halves)
    }

    /// A window known before, to be known better.
    fn finer(&mut self, known: &Node, window: Window, mut near: Vec<usize>) -> Node {
        if known.worst <= self.enough {
            return known.clone();
        }
        let tangent = self.patch.tangent(&window);
        self.matter(tangent.point, tangent.reach, &mut near);
        let Some(halves) = &known.halves else {
            return self.leaf(window, near);
        };
        let [first, second] = window.halves(tangent.widest);
        let halves = [
            self.finer(&halves[0], first, near.clone()),
            self.finer(&halves[1], second, near),
        ];
        self.join(halves)
    }

    /// Leaves of the others those that may matter within a window; whether it is not wholly hidden.
    fn matter(&self, point: DVec3, reach: f64, near: &mut Vec<usize>) -> bool {
        let reach = reach + APART;
        let mut open = true;
        near.retain(|number| {
            let depth = self.solid.depth_to(self.others[*number].face, point);
            open &= depth >= -reach;
            depth <= reach
        });
        open
    }

    /// What faces about the patch's axis leave of a window.
    fn stretches(&self, window: &Window) -> impl Iterator<Item = Window> + use<'_> {
        let window = *window;
        let (low, high) = (
            window.middle.x - window.half.x,
            window.middle.x + window.half.x,
        );
        self.left.iter().filter_map(move |(from, to)| {
            let (from, to) = (from.max(low), to.min(high));
            let mut part = window;
            part.middle.x = 0.5 * (from + to);
            part.half.x = 0.5 * (to - from);
            (from < to).then_some(part)
        })
    }

    /// What is summed over a window, stretch by stretch.
    fn leaf(&mut self, window: Window, near: Vec<usize>) -> Node {
        let (mut tally, mut worst, mut open) = (Tally::default(), 0.0_f64, 0);
        let parts: Vec<Window> = self.stretches(&window).collect();
        for part in parts {
            let mut view = View {
                solid: self.solid,
                patch: self.patch,
                others: self.others,
                stretch: 0,
                centre: self.centre,
                enough: self.enough,
                label: &|_, _| 0,
                settled: vec![Sums::default()],
                open: Vec::new(),
                stack: near.clone(),
            };
            view.descend(part, 0);
            tally.sums.add(&view.settled[0]);
            for window in &view.open {
                tally.sums.add(&window.sums);
                tally.doubt.add(&window.doubt);
                worst = worst.max(window.doubt.volume);
            }
            open += view.open.len();
        }
        self.made += 1;
        Node {
            tally,
            worst,
            open,
            halves: None,
        }
    }

    /// A window of which nothing is seen.
    fn hidden(&mut self) -> Node {
        self.made += 1;
        Node {
            tally: Tally::default(),
            worst: 0.0,
            open: 0,
            halves: None,
        }
    }

    fn join(&mut self, halves: [Node; 2]) -> Node {
        let mut tally = halves[0].tally;
        tally.add(&halves[1].tally);
        self.made += 1;
        Node {
            tally,
            worst: halves[0].worst.max(halves[1].worst),
            open: halves[0].open + halves[1].open,
            halves: Some(Arc::new(halves)),
        }
    }
}

impl Tally {
    fn add(&mut self, other: &Self) {
        self.sums.add(&other.sums);
        self.doubt.add(&other.doubt);
    }
}
