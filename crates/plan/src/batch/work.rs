//! The order of work over a whole run: each set-up done for all pieces of a size at once, and set-ups
//! that use the same holding and the same bits next to each other.
//!
//! Each piece of wood has its chain of batches, which keep their order; what belongs together is
//! glued up when all its chains are done. Between batches the holding may change (jaws, centres,
//! pin) and so may the bits. Wanted is the order with the fewest changes of holding, then of bits.
//! How far each chain is done and which batch was last tells all that matters for the rest, so the
//! least is found by going through these states (dynamic programming; exact). Where there would
//! be too many states the next batch is always the one that changes least, and that is said.

use std::collections::HashMap;

/// One batch: a set-up for all pieces of a size.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// What holds the work; the same words mean no change.
    pub holding: String,
    /// Bits in the order they are used.
    pub bits: Vec<String>,
}

/// A chain of batches that keep their order, after other chains.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// Its batches.
    pub jobs: Vec<Job>,
    /// Chains that must be done before it begins.
    pub after: Vec<usize>,
}

/// An order of work.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked {
    /// Chain and place in it, in order.
    pub order: Vec<(usize, usize)>,
    /// Changes of holding, the first one included.
    pub holdings: usize,
    /// Changes of bits, the first one included.
    pub bits: usize,
    /// Whether no order has fewer.
    pub proven: bool,
}

/// States that are gone through before the work is only ordered greedily.
const MOST_STATES: usize = 300_000;

type Done = Vec<u8>;
/// What the machine holds: an index into holdings, and into bits; none at the beginning.
type Machine = (usize, usize);

/// A holding, and the first and last bit with the changes between them; none without bits.
type Tooling = (usize, Option<(usize, usize, usize)>);

struct Shop<'c> {
    chains: &'c [Chain],
    /// Of each chain and place: holding, first and last bit, changes of bits within.
    jobs: Vec<Vec<Tooling>>,
}

impl<'c> Shop<'c> {
    fn new(chains: &'c [Chain]) -> Self {
        let mut names: Vec<&str> = vec![""];
        let mut number = |name: &'c str| match names.iter().position(|other| *other == name) {
            Some(known) => known,
            None => {
                names.push(name);
                names.len() - 1
            }
        };
        let jobs = chains
            .iter()
            .map(|chain| {
                let jobs = chain.jobs.iter().map(|job| {
                    let bits: Vec<usize> = job.bits.iter().map(|bit| number(bit)).collect();
                    let within = bits.windows(2).filter(|pair| pair[0] != pair[1]).count();
                    let ends = bits.first().copied().zip(bits.last().copied());
                    (
                        number(&job.holding),
                        ends.map(|(first, last)| (first, last, within)),
                    )
                });
                jobs.collect()
            })
            .collect();
        Self { chains, jobs }
    }

    fn ready(&self, done: &Done) -> impl Iterator<Item = usize> {
        let finished: Vec<bool> = (0..self.chains.len())
            .map(|chain| usize::from(done[chain]) == self.jobs[chain].len())
            .collect();
        (0..self.chains.len())
            .filter(move |chain| {
                !finished[*chain]
                    && self.chains[*chain]
                        .after
                        .iter()
                        .all(|other| finished[*other])
            })
            .collect::<Vec<_>>()
            .into_iter()
    }

    /// The machine after a job, with the changes of holding and of bits it took.
    fn step(&self, machine: Machine, chain: usize, place: usize) -> (Machine, (usize, usize)) {
        let (holding, bits) = self.jobs[chain][place];
        let changed = usize::from(holding != machine.0);
        match bits {
            None => ((holding, machine.1), (changed, 0)),
            Some((first, last, within)) => (
                (holding, last),
                (changed, within + usize::from(first != machine.1)),
            ),
        }
    }
}

/// Orders the work of some chains.
pub fn order(chains: &[Chain]) -> Worked {
    let shop = Shop::new(chains);
    let states = chains
        .iter()
        .map(|chain| chain.jobs.len() + 1)
        .try_fold(1_usize, usize::checked_mul)
        .filter(|states| *states <= MOST_STATES);
    match states {
        Some(_) => exact(&shop),
        None => greedy(&shop),
    }
}

type Key = (Done, Machine);
/// Of each state the least changes, and where it came from by which chain.
type Layer = HashMap<Key, ((usize, usize), Option<(Key, usize)>)>;

fn exact(shop: &Shop<'_>) -> Worked {
    let start: Done = vec![0; shop.chains.len()];
    let total: usize = shop.jobs.iter().map(Vec::len).sum();
    let mut layers: Vec<Layer> = vec![HashMap::from([((start, (0, 0)), ((0, 0), None))])];
    for layer in 0..total {
        let mut next = Layer::new();
        // In order, so that of equal ways always the same one stays.
        let mut from: Vec<_> = layers[layer].iter().collect();
        from.sort_by(|a, b| a.0.cmp(b.0));
        for (key, (cost, _)) in from {
            let (done, machine) = key;
            for chain in shop.ready(done) {
                let place = usize::from(done[chain]);
                let (machine, (holdings, bits)) = shop.step(*machine, chain, place);
                let mut done = done.clone();
                done[chain] += 1;
                let cost = (cost.0 + holdings, cost.1 + bits);
                let known = next.get(&(done.clone(), machine));
                if known.is_none_or(|(least, _)| cost < *least) {
                    next.insert((done, machine), (cost, Some((key.clone(), chain))));
                }
            }
        }
        layers.push(next);
    }
    let last = layers[total]
        .iter()
        .min_by(|a, b| (a.1.0, a.0).cmp(&(b.1.0, b.0)));
    let Some((key, (cost, _))) = last else {
        return greedy(shop);
    };
    let (mut at, cost) = (key.clone(), *cost);
    let mut order = Vec::new();
    for layer in (1..=total).rev() {
        let Some((_, Some((before, chain)))) = layers[layer].get(&at) else {
            break;
        };
        order.push((*chain, usize::from(before.0[*chain])));
        at = before.clone();
    }
    order.reverse();
    Worked {
        order,
        holdings: cost.0,
        bits: cost.1,
        proven: true,
    }
}

fn greedy(shop: &Shop<'_>) -> Worked {
    let mut done: Done = vec![0; shop.chains.len()];
    let mut machine = (0, 0);
    let mut worked = Worked {
        order: Vec::new(),
        holdings: 0,
        bits: 0,
        proven: false,
    };
    loop {
        let next = shop
            .ready(&done)
            .map(|chain| (shop.step(machine, chain, usize::from(done[chain])), chain))
            .min_by_key(|((_, cost), chain)| (*cost, *chain));
        let Some(((after, (holdings, bits)), chain)) = next else {
            return worked;
        };
        worked.order.push((chain, usize::from(done[chain])));
        worked.holdings += holdings;
        worked.bits += bits;
        done[chain] += 1;
        machine = after;
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn job(holding: &str, bits: &[&str]) -> Job {
        Job {
            holding: holding.to_owned(),
            bits: bits.iter().map(|bit| (*bit).to_owned()).collect(),
        }
    }

    fn free(jobs: Vec<Job>) -> Chain {
        Chain {
            jobs,
            after: Vec::new(),
        }
    }

    /// Three balls alike are done abreast: as many changes as one alone.
    #[test]
    fn alike_pieces_share_every_change() {
        let one = free(vec![
            job("centres", &[]),
            job("jaws", &["20"]),
            job("pin", &["20"]),
            job("centres", &["2.5"]),
        ]);
        let worked = order(&[one.clone(), one.clone(), one]);
        assert_eq!((worked.holdings, worked.bits), (4, 2));
        assert!(worked.proven && worked.order.len() == 12);
    }

    /// What comes after others waits for them.
    #[test]
    fn glue_comes_last() {
        let chains = [
            Chain {
                jobs: vec![job("bench", &[])],
                after: vec![1, 2],
            },
            free(vec![job("jaws", &[])]),
            free(vec![job("bench", &[]), job("jaws", &[])]),
        ];
        let worked = order(&chains);
        assert_eq!(worked.order.last(), Some(&(0, 0)));
        assert_eq!(worked.holdings, 3);
    }

    /// Every order there is, for the truth.
    fn every(
        shop: &Shop<'_>,
        done: &Done,
        machine: Machine,
        cost: (usize, usize),
    ) -> (usize, usize) {
        let mut best = None;
        for chain in shop.ready(done) {
            let (after, (holdings, bits)) = shop.step(machine, chain, usize::from(done[chain]));
            let mut next = done.clone();
            next[chain] += 1;
            let found = every(shop, &next, after, (cost.0 + holdings, cost.1 + bits));
            best = Some(best.map_or(found, |best: (usize, usize)| best.min(found)));
        }
        best.unwrap_or(cost)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]

        #[test]
        fn no_order_changes_less(chains in prop::collection::vec(
            prop::collection::vec((0_usize..3, prop::collection::vec(0_usize..3, 0..3)), 1..4), 1..4)) {
            let chains: Vec<Chain> = chains
                .into_iter()
                .map(|jobs| free(jobs
                    .into_iter()
                    .map(|(holding, bits)| Job {
                        holding: format!("h{holding}"),
                        bits: bits.into_iter().map(|bit| format!("b{bit}")).collect(),
                    })
                    .collect()))
                .collect();
            let shop = Shop::new(&chains);
            let truth = every(&shop, &vec![0; chains.len()], (0, 0), (0, 0));
            let found = order(&chains);
            prop_assert_eq!((found.holdings, found.bits), truth);
            prop_assert!((truth) <= (greedy(&shop).holdings, greedy(&shop).bits));
        }
    }
}
