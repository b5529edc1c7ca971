//! From a plan to its report and figures.
//!
//! The plan is expanded, the solid after every set-up measured, seats and
//! broken cuts added to the measures, and findings looked for. Set-ups are
//! measured in parallel and put together in their order, so the same plan gives
//! the same bytes on any number of cores.

use rayon::prelude::*;
use rondure_solid::Moments;
use rondure_wood::Density;

use crate::balance;
use crate::bench::{Bench, trimmed, written};
use crate::caution;
use crate::figure::Figures;
use crate::figures;
use crate::findings;
use crate::form::coved_ball::clearance::free_length;
use crate::form::coved_ball::{Expanded, expand, sizes};
use crate::memory::Memory;
use crate::plan::Plan;
use crate::rack::CentreKind;
use crate::reader::{Problem, Problems};
use crate::report::{
    AfterSetup, Measure, PieceReport, Report, SetupReport, SolidReport, StepReport,
};
use crate::seat::Seat;
use crate::study::Study;
use crate::units::{LengthStyle, MILLIMETRES_PER_INCH};

/// Everything a face may show of a plan.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The report.
    pub report: Report,
    /// The figures for the sheets.
    pub figures: Figures,
    /// The plan expanded, for solids after each step.
    pub expanded: Expanded,
    /// Whether findings still lack mends that would have to be tried on the solid; only ever after
    /// [`evaluate_quick`].
    pub mends_untried: bool,
}

/// Works a plan out.
///
/// # Errors
/// Where numbers of the plan cannot be laid out or its wood is not known: all of them at once.
pub fn evaluate(plan: &Plan) -> Result<Outcome, Problems> {
    evaluate_with(plan, &Memory::default())
}

/// As [`evaluate`], but what `memory` knows of the plan's solids is not worked out again, and
/// what is worked out is kept there. The outcome is the same to the last bit.
///
/// # Errors
/// As [`evaluate`].
pub fn evaluate_with(plan: &Plan, memory: &Memory) -> Result<Outcome, Problems> {
    work_out(plan, memory, false)
}

/// As [`evaluate_with`], without the mends that must be tried on the true solid; they are most of
/// the work for a plan with findings. [`Outcome::mends_untried`] tells whether any were left out:
/// then [`evaluate_with`] and the same memory add them, and cost little beside.
///
/// # Errors
/// As [`evaluate`].
pub fn evaluate_quick(plan: &Plan, memory: &Memory) -> Result<Outcome, Problems> {
    work_out(plan, memory, true)
}

fn work_out(plan: &Plan, memory: &Memory, quick: bool) -> Result<Outcome, Problems> {
    let wood = wood(plan);
    let expanded = expand(plan);
    let (density, expanded) = match (wood, expanded) {
        (Ok(density), Ok(expanded)) => (density, expanded),
        (Err(problem), Ok(_)) => return Err(one(plan, problem)),
        (Ok(_), Err(problems)) => return Err(problems),
        (Err(problem), Err(mut problems)) => {
            problems.list.push(problem);
            problems.list.sort_by_key(|problem| problem.span.start);
            return Err(problems);
        }
    };
    let mut study = Study::with_memory(plan, expanded, memory);
    study.quick = quick;
    // What several of the following ask for is worked out first, once.
    rayon::join(
        || {
            (0..study.expanded.process.pieces.len())
                .into_par_iter()
                .for_each(|piece| study.measure(piece))
        },
        || {
            rayon::join(
                || study.mountings(),
                || rayon::join(|| study.broken_cuts(), || study.edges()),
            )
        },
    );
    let ((pieces, after), (findings, figures)) = rayon::join(
        || (pieces(&study, density), after(&study, density)),
        || rayon::join(|| findings::find(&study), || figures::draw(&study)),
    );
    let process = &study.expanded.process;
    let mut measures: Vec<Measure> = Vec::new();
    let mut setups = Vec::new();
    for (index, setup) in process.setups.iter().enumerate() {
        let mounting = study
            .mountings()
            .iter()
            .position(|mounted| mounted.setup == index);
        let mut steps = Vec::new();
        for step in &setup.steps {
            measures.extend(step.measures.iter().cloned());
            if let Some(mounting) = mounting {
                measures.extend(at_mounting(&study, &setup.id, &step.id, mounting));
            }
            measures.extend(balance::at_step(&study, density, index, step));
            measures.extend(piercing_free(&study, &setup.id, &step.id));
            steps.push(StepReport {
                id: step.id.clone(),
                says: step.says.clone(),
                tool: step.tool.clone(),
                speed_rpm: step.speed,
                cautions: step.cautions.clone(),
            });
        }
        setups.push(SetupReport {
            id: setup.id.clone(),
            number: index + 1,
            piece: process.pieces[setup.piece].id.clone(),
            title: setup.title.clone(),
            holding: setup.holding.clone(),
            steps,
            after: after[index],
        });
    }
    let report = Report {
        title: plan.title.clone(),
        form: plan.form.word().to_owned(),
        units: plan.style.unit_word().to_owned(),
        pieces,
        setups,
        measures,
        findings,
        needs: process.needs.clone(),
        cautions: caution::WHOLE_JOB.map(str::to_owned).to_vec(),
    };
    Ok(Outcome {
        report,
        figures,
        mends_untried: study.left_mends_out(),
        expanded: study.expanded,
    })
}

fn one(plan: &Plan, problem: Problem) -> Problems {
    Problems {
        file: plan.source.file.clone(),
        source: plan.source.text.clone(),
        list: vec![problem],
        others: Vec::new(),
    }
}

/// The density of the plan's wood; none where its weight is not known.
fn wood(plan: &Plan) -> Result<Option<Density>, Problem> {
    let wood = rondure_wood::find(&plan.wood.species).map_err(|unknown| {
        let mend = match unknown.nearest.as_slice() {
            [] => "`rondure woods` lists them".to_owned(),
            near => format!(
                "did you mean {}? `rondure woods` lists them all",
                near.join(", or ")
            ),
        };
        sizes::problem(
            plan,
            "wood.species",
            format!("\"{}\", a wood that is not in the table", plan.wood.species),
            "a wood of the table of woods".to_owned(),
            &mend,
        )
    })?;
    match wood.density(plan.wood.moisture) {
        Ok(density) => Ok(Some(density)),
        Err(rondure_wood::DensityError::NoWeight { .. }) => Ok(None),
        Err(other) => Err(sizes::problem(
            plan,
            "wood.moisture",
            format!("{} %, {other}", plan.wood.moisture),
            "a moisture that this wood can hold".to_owned(),
            "write the moisture of the blank as you would turn it, 8 to 12 % when dry",
        )),
    }
}

fn grams(density: Option<Density>, volume: f64) -> (Option<f64>, Option<f64>) {
    let mass = density.map(|density| density.mass(volume));
    (
        mass.map(|mass| 1000.0 * mass.kg),
        mass.map(|mass| 1000.0 * mass.spread_kg),
    )
}

fn pieces(study: &Study<'_>, density: Option<Density>) -> Vec<PieceReport> {
    study
        .expanded
        .process
        .pieces
        .iter()
        .enumerate()
        .map(|(index, piece)| {
            let (parts, (webs, necks)) = (study.parts(index), study.walls(index));
            let measured = study.whole(index);
            let (mass_g, mass_spread_g) = grams(density, measured.volume);
            PieceReport {
                id: piece.id.clone(),
                name: piece.name.clone(),
                wood: study.plan.wood.species.clone(),
                blank: piece.blank_says.clone(),
                solid: SolidReport {
                    volume_mm3: measured.volume,
                    volume_error_mm3: measured.volume_error,
                    mass_g,
                    mass_spread_g,
                    centre_of_mass_mm: rounded(&measured),
                    pieces: parts.pieces.len(),
                    least_web_mm: webs.first().map(|web| web.thickness),
                    least_neck_mm: necks.first().map(|neck| 2.0 * neck.radius),
                    says: in_words(study, index, &measured, density),
                },
            }
        })
        .collect()
}

/// What is left of a piece, in a turner's words.
fn in_words(
    study: &Study<'_>,
    piece: usize,
    measured: &Moments,
    density: Option<Density>,
) -> Vec<String> {
    let plan = study.plan;
    let cubic = |mm3: f64| match plan.style {
        LengthStyle::Millimetres => format!("{} cm³", trimmed(mm3 / 1000.0, 1)),
        LengthStyle::Inches { .. } => {
            format!("{} in³", trimmed(mm3 / MILLIMETRES_PER_INCH.powi(3), 2))
        }
    };
    // Wood varies by a tenth and more: two figures say all there is to say.
    let places = |grams: f64| usize::from(grams < 10.0);
    let mut says = vec![format!("{} of wood", cubic(measured.volume))];
    match grams(density, measured.volume) {
        (Some(grams), Some(spread)) => says.push(format!(
            "about {} g, {} to {} g from tree to tree",
            trimmed(grams, places(grams)),
            trimmed(grams - spread, places(grams)),
            trimmed(grams + spread, places(grams))
        )),
        _ => says.push("weight not known for this wood".to_owned()),
    }
    if let Some(web) = study.webs(piece).first() {
        says.push(format!("thinnest wall {}", written(plan, web.thickness)));
    }
    if let Some(neck) = study.necks(piece).first() {
        says.push(format!(
            "narrowest neck {} across",
            written(plan, 2.0 * neck.radius)
        ));
    }
    let parts = study.parts(piece).pieces.len();
    if parts != 1 {
        says.push(format!("in {parts} parts"));
    }
    says
}

/// The centre of mass, where its own error is no more than noise shown as nought.
fn rounded(measured: &Moments) -> [f64; 3] {
    measured.centre_of_mass.to_array().map(|x| {
        if x.abs() <= measured.centre_error.min(1e-3) {
            0.0
        } else {
            x
        }
    })
}

fn after(study: &Study<'_>, density: Option<Density>) -> Vec<AfterSetup> {
    (0..study.expanded.process.setups.len())
        .map(|setup| {
            let measured = study.after(setup);
            AfterSetup {
                volume_mm3: measured.volume,
                volume_error_mm3: measured.volume_error,
                mass_g: grams(density, measured.volume).0,
            }
        })
        .collect()
}

/// How far the bit must stand out for the pierced holes, at the first of them.
fn piercing_free(study: &Study<'_>, setup: &str, step: &str) -> Vec<Measure> {
    let mut bench = Bench::new(study.plan, setup, step);
    if step == "pierce.1"
        && let Some(free) = free_length(study)
    {
        bench.rule(
            "free",
            &format!(
                "bit out of the drill chuck at least, to clear the ridges ({} chuck)",
                written(study.plan, study.plan.rack.drill_chuck)
            ),
            free + 0.5 * study.plan.rack.rule_step,
        );
    }
    bench.done()
}

/// Seats and broken cut of a mounting, as measures of its steps.
fn at_mounting(study: &Study<'_>, setup: &str, step: &str, mounting: usize) -> Vec<Measure> {
    let plan = study.plan;
    let mounted = &study.mountings()[mounting];
    let [at_flat, at_bottom] = study.broken_cuts()[mounting];
    let mut bench = Bench::new(plan, setup, step);
    if step.ends_with(".mount") {
        for (end, key, seat) in [
            (CentreKind::Drive, "drive", &mounted.drive),
            (CentreKind::Tail, "tail", &mounted.tail),
        ] {
            let name = findings::centre(study, end)
                .map_or("a centre smaller than any in the rack", |centre| {
                    &centre.name
                });
            bench.seat(key, &seat_label(plan, seat), 2.0 * seat.radius, name);
        }
        bench.rule(
            "span",
            "from seat to seat along the mounting's axis",
            mounted.drive.out + mounted.tail.out,
        );
    }
    if step.ends_with(".flat") {
        bench.broken("turn", at_flat, "just under the flat");
    }
    if step.ends_with(".cove") {
        bench.broken("turn", at_bottom, "at the cove's bottom");
    }
    bench.done()
}

fn seat_label(plan: &Plan, seat: &Seat) -> String {
    format!(
        "room for the centre on {} ({} of wood behind it)",
        seat.bearing.words(),
        written(plan, seat.behind)
    )
}

impl Bench<'_> {
    /// A seat: the widest centre it carries, with the centre to use.
    fn seat(&mut self, key: &str, label: &str, widest: f64, centre: &str) {
        self.observed(key, label, widest, centre);
    }

    /// A broken cut: the share of a turn in wood, and entries a turn.
    fn broken(&mut self, key: &str, cut: crate::broken_cut::BrokenCut, place: &str) {
        self.share(
            key,
            &format!(
                "of each turn in wood {place}, entering {} times",
                cut.entries
            ),
            if cut.entries == 0 {
                cut.share.round()
            } else {
                cut.share
            },
            "ear and eye",
        );
    }
}
