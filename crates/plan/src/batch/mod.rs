//! A run of pieces: several sizes and numbers of each from the stock at hand.
//!
//! Every plan is expanded as for its report. Its blanks, with holding and waste, are cut from the
//! clear wood between defects (`pack`); its set-ups become batches, ordered so that jaws and bits
//! change as seldom as can be (`work`); and figures the turner can change, corrected by noted
//! times, say how long it takes (`times`). Nothing here judges a plan: what stops one is said
//! beside it, and its findings stand in its own report.

mod file;
mod pack;
mod times;
mod work;

use serde::Serialize;
use ts_rs::TS;

use crate::bench::written;
use crate::form::coved_ball::finials::{blank_length, rough_diameter};
use crate::form::coved_ball::{BALL, Expanded, expand};
use crate::memory::Memory;
use crate::plan::{BlankShape, Plan};
use crate::reader::Problems;
use pack::{Blank, Run, pack};
use work::{Chain, Job};

pub use file::{Asked, Load, Stick, Wanted, read};
pub use times::Figure;

/// A run, planned.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Batch {
    /// What it is called.
    pub title: String,
    /// The pieces, with what stops each.
    pub pieces: Vec<Piece>,
    /// Where every stick is cut.
    pub cutting: Cutting,
    /// The batches in their order.
    pub work: Work,
    /// How long it takes.
    pub time: Time,
}

/// Pieces of one plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Piece {
    /// The plan's title.
    pub title: String,
    /// How many.
    pub count: u32,
    /// Findings that stop it, in words.
    pub stops: Vec<String>,
}

/// The cutting list.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Cutting {
    /// Every stick that is begun.
    pub sticks: Vec<CutStick>,
    /// Blanks the stock does not give.
    pub left_over: Vec<String>,
    /// Sticks that stay whole.
    pub whole: usize,
    /// Volume of the sticks begun, mm³.
    pub begun_mm3: f64,
    /// No cutting that gives every blank begins less, mm³.
    pub least_begun_mm3: f64,
    /// Whether this is proven to be the best.
    pub proven: bool,
    /// The same in words.
    pub says: String,
}

/// One stick and its cuts.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CutStick {
    /// What it is.
    pub name: String,
    /// Its cuts from the end that is measured from.
    pub cuts: Vec<Cut>,
}

/// One blank out of a stick.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Cut {
    /// From the stick's end, mm.
    pub from_mm: f64,
    /// To, mm.
    pub to_mm: f64,
    /// The same in the plan's units.
    pub shown: String,
    /// What it is for.
    pub what: String,
}

/// The order of work.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Work {
    /// Batches in their order.
    pub sheets: Vec<Sheet>,
    /// Changes of what holds the work, the first included.
    pub holdings: usize,
    /// Changes of bits, the first included.
    pub bits: usize,
    /// The same if every piece of a size were finished before the next size.
    pub one_by_one: (usize, usize),
    /// Whether no order changes less.
    pub proven: bool,
}

/// One batch: a set-up for all pieces of a size.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Sheet {
    /// What is done.
    pub title: String,
    /// The pieces.
    pub piece: String,
    /// How many.
    pub count: u32,
    /// What holds the work.
    pub holding: String,
    /// Whether it must be changed to.
    pub change_holding: bool,
    /// Bits, in the order they are used.
    pub bits: Vec<String>,
    /// What is set, as label and number with its tool.
    pub settings: Vec<Setting>,
    /// Minutes for all, changes included.
    pub minutes: f64,
}

/// A number to set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Setting {
    /// What it is.
    pub label: String,
    /// With its unit.
    pub shown: String,
    /// The tool that sets it.
    pub tool: String,
}

/// How long it takes.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Time {
    /// Minutes in all.
    pub minutes: f64,
    /// Likely no less than this.
    pub from: f64,
    /// Likely no more than this.
    pub to: f64,
    /// The figures it was reckoned with.
    pub figures: Vec<Figure>,
    /// The same in words.
    pub says: String,
}

/// Plans a run.
///
/// # Errors
/// Where numbers of a plan cannot be laid out.
pub fn plan_batch(asked: &Asked, memory: &Memory) -> Result<Batch, Problems> {
    let mut pieces = Vec::new();
    let mut expanded = Vec::new();
    for wanted in &asked.pieces {
        let outcome = crate::evaluate_quick(&wanted.plan, memory)?;
        pieces.push(Piece {
            title: wanted.plan.title.clone(),
            count: wanted.count,
            stops: outcome
                .report
                .findings
                .iter()
                .filter(|finding| finding.weight == crate::report::Weight::Stops)
                .map(|finding| finding.says.clone())
                .collect(),
        });
        expanded.push(expand(&wanted.plan)?);
    }
    let figures: Vec<Figure> = asked
        .minutes
        .iter()
        .map(|(kind, given)| times::figure(kind, *given, &asked.noted))
        .collect();
    let work = work(asked, &expanded, &figures);
    let time = time(asked, &work, figures);
    Ok(Batch {
        title: asked.title.clone(),
        pieces,
        cutting: cutting(asked, &expanded),
        work,
        time,
    })
}

/// Woods by number, whichever of their names a file uses.
#[derive(Default)]
struct Woods(Vec<String>);

impl Woods {
    fn number(&mut self, name: &str) -> usize {
        let known = rondure_wood::find(name).map_or(name, |wood| wood.name.as_str());
        match self.0.iter().position(|other| other == known) {
            Some(number) => number,
            None => {
                self.0.push(known.to_owned());
                self.0.len() - 1
            }
        }
    }
}

/// A stick of the list, one of several alike, and of a board one strip of it.
struct OneStick<'a> {
    stick: &'a Stick,
    name: String,
    volume: f64,
    holds: f64,
    clear: Vec<(f64, f64)>,
}

fn cutting(asked: &Asked, expanded: &[Expanded]) -> Cutting {
    let Some(first) = asked.pieces.first().map(|wanted| &wanted.plan) else {
        return Cutting {
            sticks: Vec::new(),
            left_over: Vec::new(),
            whole: 0,
            begun_mm3: 0.0,
            least_begun_mm3: 0.0,
            proven: true,
            says: String::new(),
        };
    };
    let kerf = asked.saw_kerf.unwrap_or(first.rack.saw_kerf);
    let mut woods = Woods::default();
    let (mut blanks, mut names) = (Vec::new(), Vec::new());
    for (wanted, expanded) in asked.pieces.iter().zip(expanded) {
        let plan = &wanted.plan;
        let wood = woods.number(&plan.wood.species);
        for _ in 0..wanted.count {
            blanks.push(Blank {
                across: expanded.stock.least_across,
                length: plan.blank.length.max(expanded.stock.least_length),
                wood,
            });
            names.push(format!("ball of {}", plan.title));
            for (end, _, laid) in &expanded.finials {
                if let Some(finial) = end.of(plan) {
                    blanks.push(Blank {
                        across: rough_diameter(plan, laid),
                        length: blank_length(finial, laid),
                        wood,
                    });
                    names.push(format!("{} finial of {}", end.word(), plan.title));
                }
            }
        }
    }
    let sticks = sticks(asked, kerf);
    let mut runs = Vec::new();
    let mut from = Vec::new();
    for (index, one) in sticks.iter().enumerate() {
        // A stick of no named wood is the first plan's.
        let named = one.stick.wood.as_deref().unwrap_or(&first.wood.species);
        let wood = woods.number(named);
        for (start, end) in &one.clear {
            runs.push(Run {
                stick: index,
                holds: one.holds,
                length: end - start,
                wood,
            });
            from.push(*start);
        }
    }
    let volumes: Vec<f64> = sticks.iter().map(|one| one.volume).collect();
    let packed = pack(&blanks, &runs, &volumes, kerf);
    let mut cut: Vec<CutStick> = Vec::new();
    for (index, one) in sticks.iter().enumerate() {
        let mut cuts = Vec::new();
        for (run, start) in runs
            .iter()
            .zip(&from)
            .enumerate()
            .filter_map(|(at, (run, start))| (run.stick == index).then_some((at, *start)))
        {
            let mut at = start;
            let mut of: Vec<usize> = (0..blanks.len())
                .filter(|blank| packed.runs[*blank] == Some(run))
                .collect();
            // The longest first: what is left at the end is then of most use.
            of.sort_by(|a, b| {
                blanks[*b]
                    .length
                    .total_cmp(&blanks[*a].length)
                    .then(a.cmp(b))
            });
            for blank in of {
                let to = at + blanks[blank].length;
                cuts.push(Cut {
                    from_mm: at,
                    to_mm: to,
                    shown: format!("{} to {}", written(first, at), written(first, to)),
                    what: names[blank].clone(),
                });
                at = to + kerf;
            }
        }
        if !cuts.is_empty() {
            cut.push(CutStick {
                name: one.name.clone(),
                cuts,
            });
        }
    }
    let left_over: Vec<String> = (0..blanks.len())
        .filter(|blank| packed.runs[*blank].is_none())
        .map(|blank| {
            format!(
                "{}: {} across, {} long",
                names[blank],
                written(first, blanks[blank].across),
                written(first, blanks[blank].length)
            )
        })
        .collect();
    let litres = |mm3: f64| format!("{:.2} litres", mm3 / 1e6);
    let says = if left_over.is_empty() {
        format!(
            "All {} blanks come out of {} sticks, {} of wood; {}.",
            blanks.len(),
            cut.len(),
            litres(packed.begun_mm3),
            if packed.proven {
                "no cutting begins less".to_owned()
            } else {
                format!(
                    "no cutting begins less than {}",
                    litres(packed.least_begun_mm3)
                )
            }
        )
    } else {
        format!(
            "{} of {} blanks do not come out of this stock{}.",
            left_over.len(),
            blanks.len(),
            if packed.proven {
                ", however it is cut"
            } else {
                " as it is cut here"
            }
        )
    };
    Cutting {
        whole: sticks.len() - cut.len(),
        sticks: cut,
        left_over,
        begun_mm3: packed.begun_mm3,
        least_begun_mm3: packed.least_begun_mm3,
        proven: packed.proven,
        says,
    }
}

fn sticks(asked: &Asked, kerf: f64) -> Vec<OneStick<'_>> {
    let mut all = Vec::new();
    for stick in &asked.stock {
        let strips = stick.width.map_or(1, |width| {
            (((width + kerf) / (stick.across + kerf)).floor() as u32).max(1)
        });
        let area = match stick.shape {
            BlankShape::Round => std::f64::consts::FRAC_PI_4 * stick.across * stick.across,
            BlankShape::Square => stick.across * stick.width.unwrap_or(stick.across),
        };
        let clear = clear(stick, asked.trim, kerf);
        for number in 0..stick.count {
            for strip in 0..strips {
                let mut name = stick.name.clone();
                if stick.count > 1 {
                    name = format!("{name}, no. {}", number + 1);
                }
                if strips > 1 {
                    name = format!("{name}, strip {}", strip + 1);
                }
                all.push(OneStick {
                    stick,
                    name,
                    volume: area * stick.length / f64::from(strips),
                    holds: stick.across,
                    clear: clear.clone(),
                });
            }
        }
    }
    all
}

/// The clear lengths of a stick: what its defects, with a saw cut each side, and its ends leave.
fn clear(stick: &Stick, trim: f64, kerf: f64) -> Vec<(f64, f64)> {
    let mut defects: Vec<(f64, f64)> = stick
        .defects
        .iter()
        .map(|(from, to, _)| (from - kerf, to + kerf))
        .collect();
    defects.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut clear = Vec::new();
    let mut at = trim;
    let end = stick.length - trim;
    for (from, to) in defects {
        if from > at {
            clear.push((at, from.min(end)));
        }
        at = at.max(to);
    }
    clear.push((at, end));
    clear.retain(|(from, to)| to - from > 1.0);
    clear
}

/// One set-up as it stands in the run.
struct OneJob {
    piece: usize,
    kind: &'static str,
    title: String,
    times: u32,
    diameter: f64,
    job: Job,
    settings: Vec<Setting>,
}

fn work(asked: &Asked, expanded: &[Expanded], figures: &[Figure]) -> Work {
    let mut chains = Vec::new();
    let mut jobs: Vec<Vec<OneJob>> = Vec::new();
    let mut by_piece: Vec<Vec<usize>> = Vec::new();
    for (piece, (wanted, expanded)) in asked.pieces.iter().zip(expanded).enumerate() {
        let made = chains_of(piece, &wanted.plan, expanded);
        let first = chains.len();
        let assembly = made.len() - 1;
        by_piece.push((first..first + made.len()).collect());
        for (number, chain) in made.into_iter().enumerate() {
            chains.push(Chain {
                jobs: chain.iter().map(|one| one.job.clone()).collect(),
                after: if number == assembly {
                    (first..first + assembly).collect()
                } else {
                    Vec::new()
                },
            });
            jobs.push(chain);
        }
    }
    let worked = work::order(&chains);
    let one_by_one = by_piece.iter().fold((0, 0), |sum, own| {
        let alone: Vec<Chain> = own
            .iter()
            .map(|chain| Chain {
                after: chains[*chain]
                    .after
                    .iter()
                    .map(|other| other - own[0])
                    .collect(),
                ..chains[*chain].clone()
            })
            .collect();
        let alone = work::order(&alone);
        (sum.0 + alone.holdings, sum.1 + alone.bits)
    });
    let used = |kind: &str| {
        figures
            .iter()
            .find(|figure| figure.kind == kind)
            .map_or(0.0, |figure| figure.used)
    };
    let (mut holding, mut bit) = (String::new(), String::new());
    let mut sheets = Vec::new();
    for (chain, place) in worked.order {
        let one = &jobs[chain][place];
        let wanted = &asked.pieces[one.piece];
        let change_holding = one.job.holding != holding;
        holding.clone_from(&one.job.holding);
        let mut changes = 0;
        for each in &one.job.bits {
            changes += usize::from(*each != bit);
            bit.clone_from(each);
        }
        let each = times::reckoned(used(one.kind), one.diameter) * f64::from(one.times);
        sheets.push(Sheet {
            title: one.title.clone(),
            piece: wanted.plan.title.clone(),
            count: wanted.count,
            holding: one.job.holding.clone(),
            change_holding,
            bits: one.job.bits.clone(),
            settings: one.settings.clone(),
            minutes: each * f64::from(wanted.count)
                + f64::from(u8::from(change_holding)) * used("change_jaws")
                + changes as f64 * used("change_bit"),
        });
    }
    Work {
        sheets,
        holdings: worked.holdings,
        bits: worked.bits,
        one_by_one,
        proven: worked.proven,
    }
}

/// The chains of one piece: the ball, each finial, and last the assembly.
fn chains_of(piece: usize, plan: &Plan, expanded: &Expanded) -> Vec<Vec<OneJob>> {
    let process = &expanded.process;
    let jaws = expanded
        .stock
        .jaws
        .as_ref()
        .map_or_else(|| "the chuck".to_owned(), |jaws| jaws.name.clone());
    let pin = format!("pin of {}", written(plan, plan.bore.diameter));
    let mut chains: Vec<Vec<OneJob>> = process.pieces.iter().map(|_| Vec::new()).collect();
    let mut last = Vec::new();
    let mut mountings = 0;
    for setup in &process.setups {
        let (kind, holding) = match setup.id.split('.').next() {
            Some("rough") => ("rough", "between centres".to_owned()),
            Some("ball") => ("ball", jaws.clone()),
            Some("second-end") => ("second-end", pin.clone()),
            Some("mounting") => ("mounting", "between centres, across the ball".to_owned()),
            Some("pierce") => ("pierce", pin.clone()),
            Some("finial") => {
                let across = match setup.id.as_str() {
                    "finial.top" => plan.finials.top.as_ref(),
                    _ => plan.finials.bottom.as_ref(),
                };
                let jaws = across.and_then(|finial| plan.rack.jaws_for_spigot(finial.blank_across));
                (
                    "finial",
                    jaws.map_or_else(|| "the chuck".to_owned(), |jaws| jaws.name.clone()),
                )
            }
            _ => ("assembly", "at the bench".to_owned()),
        };
        let measures = || setup.steps.iter().flat_map(|step| &step.measures);
        let mut bits: Vec<String> = measures()
            .filter(|measure| measure.id.ends_with(".bit"))
            .map(|measure| measure.tool.clone())
            .collect();
        if kind == "finial" {
            let hanger = setup
                .steps
                .iter()
                .filter(|step| step.id.ends_with(".hanger"));
            bits.extend(hanger.filter_map(|step| step.tool.clone()));
        }
        bits.dedup();
        let mut settings: Vec<Setting> = Vec::new();
        for measure in measures() {
            let setting = Setting {
                label: measure.label.clone(),
                shown: measure.shown.clone(),
                tool: measure.tool.clone(),
            };
            if !settings.contains(&setting) {
                settings.push(setting);
            }
        }
        let chain = if kind == "assembly" {
            &mut last
        } else {
            &mut chains[setup.piece]
        };
        if kind == "mounting" {
            mountings += 1;
            // All mountings of a ball are one batch: it goes from mark to mark, the tools stay.
            if let Some(before) = chain
                .last_mut()
                .filter(|job: &&mut OneJob| job.kind == kind)
            {
                before.times += 1;
                before.title = format!("Mountings, {mountings} of each ball");
                for setting in settings {
                    if !before.settings.contains(&setting) {
                        before.settings.push(setting);
                    }
                }
                continue;
            }
        }
        chain.push(OneJob {
            piece,
            kind,
            title: setup.title.clone(),
            times: 1,
            diameter: 2.0 * expanded.layout.radius,
            job: Job { holding, bits },
            settings,
        });
    }
    debug_assert!(BALL < chains.len());
    chains.push(last);
    chains
}

fn time(asked: &Asked, work: &Work, figures: Vec<Figure>) -> Time {
    let minutes: f64 = work.sheets.iter().map(|sheet| sheet.minutes).sum();
    // What one does slower than reckoned one does slower every time: spreads do not even out.
    let widest = figures
        .iter()
        .map(|figure| figure.spread)
        .fold(0.0, f64::max);
    let (from, to) = (minutes * (1.0 - widest).max(0.3), minutes * (1.0 + widest));
    let hours = |minutes: f64| format!("{:.1} h", minutes / 60.0);
    let notes = asked.noted.len();
    Time {
        says: format!(
            "About {}, likely {} to {}; {}. Drying, finish and rests are not in it.",
            hours(minutes),
            hours(from),
            hours(to),
            match notes {
                0 => "figures are common practice until you note times of your own".to_owned(),
                1 => "corrected by one noted time".to_owned(),
                _ => format!("corrected by {notes} noted times"),
            }
        ),
        minutes,
        from,
        to,
        figures,
    }
}
