//! The cutting list: blanks of all plans, clear lengths of all sticks, and where each is cut.

use super::file::{Asked, Stick};
use super::pack::{Blank, Run, pack};
use super::{Cut, CutStick, Cutting};
use crate::bench::written;
use crate::form::coved_ball::Expanded;
use crate::form::coved_ball::finials::{blank_length, rough_diameter};
use crate::plan::{BlankShape, Plan};
use crate::units::{LengthStyle, MILLIMETRES_PER_INCH};

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

/// Cuts the blanks of a run from its stock.
pub(super) fn cutting(asked: &Asked, expanded: &[Expanded]) -> Cutting {
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
                length: sawn(plan, plan.blank.length.max(expanded.stock.least_length)),
                wood,
            });
            names.push(format!("{}: ball", plan.title));
            for (end, _, laid) in &expanded.finials {
                if let Some(finial) = end.of(plan) {
                    blanks.push(Blank {
                        across: rough_diameter(plan, laid),
                        length: sawn(plan, blank_length(finial, laid)),
                        wood,
                    });
                    names.push(format!("{}: {} finial", plan.title, end.word()));
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

/// A length no less that a saw is set to: whole millimetres, or sixteenths of an inch.
fn sawn(plan: &Plan, length: f64) -> f64 {
    let step = match plan.style {
        LengthStyle::Millimetres => 1.0,
        LengthStyle::Inches { .. } => MILLIMETRES_PER_INCH / 16.0,
    };
    (length / step - 1e-9).ceil() * step
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
