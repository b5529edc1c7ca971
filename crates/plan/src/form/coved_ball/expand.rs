//! A plan expands to its process.

use rondure_solid::{DVec3, Profile, ProfileError, Region};

use super::finial_outline::{Laid, lay_out};
use super::finials::{End, assembly};
use super::layout::Layout;
use super::stock::{Stock, stock};
use super::{ball, finials, mountings, piercing, rough, sizes};
use crate::bench::{TO_KNOW, written};
use crate::plan::{BlankShape, Plan};
use crate::process::{Piece, Process, Setup};
use crate::reader::{Problem, Problems};
use crate::report::Need;

/// A plan, expanded.
#[derive(Debug, Clone)]
pub struct Expanded {
    /// The numbers of the ball.
    pub layout: Layout,
    /// The blank and how it is held.
    pub stock: Stock,
    /// The finials' outlines, with the index of their piece.
    pub finials: Vec<(End, usize, Vec<Laid>)>,
    /// Pieces, set-ups and steps.
    pub process: Process,
}

/// Expands a plan, or says which of its numbers cannot be laid out.
pub fn expand(plan: &Plan) -> Result<Expanded, Problems> {
    let mut wrong = Vec::new();
    let layout = sizes::lay_out(plan).map_err(|list| wrong.extend(list)).ok();
    let mut outlines = Vec::new();
    for end in [End::Top, End::Bottom] {
        let Some(finial) = end.of(plan) else { continue };
        match lay_out(finial) {
            Ok(laid) => outlines.push((end, laid)),
            Err(unlayable) => wrong.push(sizes::problem(
                plan,
                &format!("finials.{}.shape.{}", end.word(), unlayable.shape),
                unlayable.says,
                "a shape that can be turned there".to_owned(),
                &unlayable.mend,
            )),
        }
    }
    let Some(layout) = layout.filter(|_| wrong.is_empty()) else {
        return Err(problems(plan, wrong));
    };
    build(plan, layout, outlines).map_err(|error| {
        // The checks above leave nothing that a profile could refuse; if one still does, say so.
        problems(
            plan,
            vec![sizes::problem(
                plan,
                "ball",
                format!("sizes of which one cut cannot be drawn: {error}"),
                "sizes whose cuts can be drawn".to_owned(),
                "change the sizes of the part it names a little",
            )],
        )
    })
}

fn problems(plan: &Plan, list: Vec<Problem>) -> Problems {
    Problems {
        file: plan.source.file.clone(),
        source: plan.source.text.clone(),
        list,
        others: Vec::new(),
    }
}

fn build(
    plan: &Plan,
    layout: Layout,
    outlines: Vec<(End, Vec<Laid>)>,
) -> Result<Expanded, ProfileError> {
    let stock = stock(plan, &layout);
    let mut pieces = vec![ball_piece(plan, &stock)?];
    let mut setups = vec![
        rough::setup(plan, &stock)?,
        ball::setup(plan, &layout, &stock)?,
        ball::second_end(plan, &layout, &stock)?,
    ];
    let order: Vec<u32> = crate::order::planned(plan)
        .into_iter()
        .map(|mounting| mounting - 1)
        .collect();
    for (place, j) in order.iter().enumerate() {
        setups.push(mountings::setup(plan, &layout, *j, &order[..place])?);
    }
    setups.extend(piercing::setup(plan, &layout)?);
    let mut laid_finials = Vec::new();
    for (end, laid) in outlines {
        if let Some(finial) = end.of(plan) {
            let index = pieces.len();
            pieces.push(finials::piece(plan, end, finial, &laid)?);
            setups.push(finials::setup(plan, index, end, finial, &laid, &layout)?);
            laid_finials.push((end, index, laid));
        }
    }
    if !laid_finials.is_empty() {
        setups.push(assembly(plan, &layout));
    }
    let needs = needs(plan, &stock, &setups, &pieces, &laid_finials);
    Ok(Expanded {
        layout,
        stock,
        finials: laid_finials,
        process: Process {
            pieces,
            setups,
            needs,
        },
    })
}

fn ball_piece(plan: &Plan, stock: &Stock) -> Result<Piece, ProfileError> {
    let shape = match plan.blank.shape {
        BlankShape::Round => "diameter",
        BlankShape::Square => "square",
    };
    let reach = stock.reach(plan);
    Ok(Piece {
        id: "ball".to_owned(),
        name: "ball".to_owned(),
        blank_says: format!(
            "{} {shape}, {} long, grain {} its length",
            written(plan, plan.blank.across),
            written(plan, plan.blank.length),
            plan.wood.grain.word()
        ),
        blank: Region::revolved(
            DVec3::ZERO,
            DVec3::Z,
            Profile::cylinder(stock.head, stock.tail, reach)?,
        ),
        sides: rough::sides(plan),
    })
}

/// One stick that gives the blanks of all finials, where they are equally thick.
fn one_stick(plan: &Plan, finials: &[(End, usize, Vec<Laid>)]) -> Option<Need> {
    let blanks: Vec<(f64, f64)> = finials
        .iter()
        .filter_map(|(end, _, laid)| {
            let finial = end.of(plan)?;
            Some((finial.blank_across, finials::blank_length(finial, laid)))
        })
        .collect();
    let [(across, first), (other, second)] = blanks[..] else {
        return None;
    };
    (across == other).then(|| Need {
        what: format!(
            "{}: {} square, {} long",
            plan.wood.species,
            written(plan, across),
            written(plan, (first + second + plan.rack.saw_kerf).ceil())
        ),
        purpose: "or one stick for both finials, saw cut included".to_owned(),
    })
}

/// Blanks, jaws, and every tool a step names, each once, in the order it is first needed.
fn needs(
    plan: &Plan,
    stock: &Stock,
    setups: &[Setup],
    pieces: &[Piece],
    finials: &[(End, usize, Vec<Laid>)],
) -> Vec<Need> {
    let mut needs: Vec<Need> = pieces
        .iter()
        .map(|piece| Need {
            what: format!("{}: {}", plan.wood.species, piece.blank_says),
            purpose: format!("the {}", piece.name),
        })
        .collect();
    needs.extend(one_stick(plan, finials));
    if let Some(jaws) = &stock.jaws {
        needs.push(Need {
            what: jaws.name.clone(),
            purpose: format!("spigot {}", written(plan, stock.spigot)),
        });
    }
    for setup in setups {
        for step in &setup.steps {
            let tools = step
                .tool
                .iter()
                .chain(step.measures.iter().map(|measure| &measure.tool));
            for tool in tools.flat_map(|tools| tools.split(", ")) {
                if tool != TO_KNOW && !needs.iter().any(|need| need.what == tool) {
                    needs.push(Need {
                        what: tool.to_owned(),
                        purpose: setup.title.clone(),
                    });
                }
            }
        }
    }
    needs
}
