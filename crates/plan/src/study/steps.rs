//! The wood of every piece after each of its set-ups, each known from the one before.
//!
//! A set-up works out again only what its cuts touch ([`Settled`]). What is kept of it goes by all
//! the solids on the way, not its own alone: the last digits of what is known step by step
//! depend on the steps.

use std::sync::Arc;

use rayon::prelude::*;
use rondure_solid::{Digest, Digester, Settled};

use super::{FINISHED, Study, once};
use crate::process::State;

impl Study<'_> {
    /// The wood after every set-up that cuts, each known from the one before; none after a set-up
    /// that comes after a piece's last cut.
    pub(super) fn settled(&self) -> &[Option<Arc<Settled>>] {
        once::<Vec<Option<Arc<Settled>>>>(&self.settled, || {
            let process = &self.expanded.process;
            let ways: Vec<Vec<(usize, Digest, State)>> = (0..process.pieces.len())
                .map(|piece| self.way(piece))
                .collect();
            let settled: Vec<Vec<(usize, Arc<Settled>)>> = ways
                .into_par_iter()
                .map(|way| {
                    let mut last: Option<Arc<Settled>> = None;
                    way.into_iter()
                        .map(|(setup, digest, state)| {
                            let weigh = |settled: &Settled| settled.bytes();
                            let next = self.memory.know(digest, weigh, || match &last {
                                Some(last) => last.then(&state.solid),
                                None => Settled::of(&state.solid, FINISHED),
                            });
                            last = Some(Arc::clone(&next));
                            (setup, next)
                        })
                        .collect()
                })
                .collect();
            let mut after = vec![None; process.setups.len()];
            for (setup, settled) in settled.into_iter().flatten() {
                after[setup] = Some(settled);
            }
            after
        })
    }

    /// The set-ups of a piece up to the last that cuts, with the wood after each and a digest of all
    /// that it came by.
    fn way(&self, piece: usize) -> Vec<(usize, Digest, State)> {
        let process = &self.expanded.process;
        let own = |setup: &usize| process.setups[*setup].piece == piece;
        let last = (0..process.setups.len())
            .filter(own)
            .rfind(|setup| process.setups[*setup].cuts());
        let mut way = Digester::new("settled");
        (0..last.map_or(0, |last| last + 1))
            .filter(own)
            .map(|setup| {
                let state = process.state_after(setup);
                way = way.clone().digest(state.solid.digest());
                (setup, way.done(), state)
            })
            .collect()
    }

    /// The digest of all that a piece's finished wood comes by.
    pub(super) fn way_to(&self, piece: usize) -> Digest {
        self.way(piece)
            .last()
            .map_or(self.known(piece).1, |last| last.1)
    }

    pub(super) fn last_settled(&self, piece: usize) -> Option<&Settled> {
        let process = &self.expanded.process;
        let mut own = self.settled().iter().enumerate().rev();
        own.find(|(setup, settled)| process.setups[*setup].piece == piece && settled.is_some())
            .and_then(|(_, settled)| settled.as_deref())
    }
}
