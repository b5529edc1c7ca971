//! `rondure rack`.

use rondure_plan::rack::{
    Centre, CentreKind, Rack, SMALL_WORKSHOP, SMALL_WORKSHOP_INCHES, Span, Speeds,
};
use rondure_plan::units::{LengthStyle, show_length};

use crate::cli;
use crate::failure::Failure;
use crate::plan_file;
use crate::run::Verdict;
use crate::words::Screen;

/// Shows a rack in words, or its file.
pub fn rack(wanted: &cli::Rack, screen: &mut Screen) -> Result<Verdict, Failure> {
    let built_in = if wanted.inches {
        Rack::SMALL_WORKSHOP_INCHES_FILE
    } else {
        Rack::SMALL_WORKSHOP_FILE
    };
    let (text, rack, inches) = match &wanted.file {
        None => {
            let name = if wanted.inches {
                SMALL_WORKSHOP_INCHES
            } else {
                SMALL_WORKSHOP
            };
            let rack = Rack::read(built_in, name).map_err(Failure::Problems)?;
            (built_in.to_owned(), rack, wanted.inches)
        }
        Some(path) => {
            let text = plan_file::text(path)?;
            if is_plan(&text) {
                let plan = plan_file::plan(path)?;
                let inches = matches!(plan.style, LengthStyle::Inches { .. });
                let text = plan.source.rack_text.clone().unwrap_or_else(|| {
                    if plan.rack.name == SMALL_WORKSHOP_INCHES {
                        Rack::SMALL_WORKSHOP_INCHES_FILE
                    } else {
                        Rack::SMALL_WORKSHOP_FILE
                    }
                    .to_owned()
                });
                (text, plan.rack, inches)
            } else {
                let rack = Rack::read(&text, &plan_file::name(path)).map_err(Failure::Problems)?;
                let inches = text
                    .lines()
                    .any(|line| line.replace(' ', "").starts_with("units=\"in\""));
                (text, rack, inches)
            }
        }
    };
    if wanted.toml {
        screen.text(&text)?;
    } else {
        let style = if inches {
            LengthStyle::Inches { denominator: 64 }
        } else {
            LengthStyle::Millimetres
        };
        in_words(&rack, style, screen)?;
    }
    Ok(Verdict::Sound)
}

/// Whether a text is meant as a plan, sound or not: a plan names a form and a ball, a rack neither.
fn is_plan(text: &str) -> bool {
    text.lines().map(str::trim_start).any(|line| {
        line.starts_with("[ball]")
            || line
                .strip_prefix("form")
                .is_some_and(|rest| rest.trim_start().starts_with('='))
    })
}

fn in_words(rack: &Rack, style: LengthStyle, screen: &mut Screen) -> Result<(), Failure> {
    let length = |mm: f64| show_length(mm, style).text;
    let span = |span: &Option<Span>| match span {
        Some(span) => format!("{} to {}", length(span.smallest), length(span.largest)),
        None => "none".to_owned(),
    };
    screen.title(&rack.name)?;
    screen.heading("Lathe")?;
    screen.pair("swings over the bed", &length(rack.lathe.swing_over_bed))?;
    screen.pair("between centres", &length(rack.lathe.between_centres))?;
    screen.pair(
        "speeds",
        &match &rack.lathe.speeds {
            Speeds::Range { lowest, highest } => format!("{lowest:.0} to {highest:.0} rpm"),
            Speeds::Steps(steps) => format!(
                "{} rpm",
                listed(steps.iter().map(|step| format!("{step:.0}")))
            ),
        },
    )?;
    screen.pair(
        "index holes",
        &listed(rack.lathe.index.iter().map(u32::to_string)),
    )?;
    screen.heading("Jaws")?;
    for jaws in &rack.jaws {
        screen.pair(
            &jaws.name,
            &format!(
                "spigots {}; recesses {}; full circle at {}; {} deep",
                span(&jaws.spigot),
                span(&jaws.recess),
                length(jaws.full_circle),
                length(jaws.depth)
            ),
        )?;
    }
    for (kind, heading) in [
        (CentreKind::Drive, "Drive centres"),
        (CentreKind::Tail, "Tail centres"),
    ] {
        screen.heading(heading)?;
        let these: Vec<&Centre> = rack
            .centres
            .iter()
            .filter(|centre| centre.kind == kind)
            .collect();
        for centre in these {
            screen.pair(
                &centre.name,
                &format!(
                    "{} across, point {}",
                    length(centre.diameter),
                    length(centre.point_diameter)
                ),
            )?;
        }
    }
    screen.heading("Bits")?;
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for bit in &rack.bits {
        let group = format!("{}, {} reach", bit.kind.word(), length(bit.reach));
        match groups.iter_mut().find(|(name, _)| *name == group) {
            Some((_, sizes)) => sizes.push(length(bit.diameter)),
            None => groups.push((group, vec![length(bit.diameter)])),
        }
    }
    groups.sort_by(|a, b| a.0.split(',').next().cmp(&b.0.split(',').next()));
    for (group, sizes) in groups {
        screen.pair(&group, &listed(sizes))?;
    }
    screen.heading("Gouges")?;
    for gouge in &rack.gouges {
        screen.pair(
            &gouge.name,
            &format!(
                "cuts coves of {} radius and more",
                length(gouge.smallest_cove)
            ),
        )?;
    }
    screen.heading("Measuring")?;
    screen.pair("callipers", &format!("to {}", length(rack.calliper_step)))?;
    screen.pair("rule", &format!("to {}", length(rack.rule_step)))?;
    screen.paragraph("")?;
    screen.paragraph("To write down your own shop: rondure rack --toml > my-rack.toml, change it, and in the plan write rack = \"my-rack.toml\".")?;
    Ok(())
}

fn listed(words: impl IntoIterator<Item = String>) -> String {
    let words: Vec<String> = words.into_iter().collect();
    if words.is_empty() {
        "none".to_owned()
    } else {
        words.join(", ")
    }
}
