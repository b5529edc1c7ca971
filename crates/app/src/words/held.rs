//! Whether the wood holds, told in words: the weakest step first, then all of them in order of danger.

use std::io;

use rondure_plan::hold::{Band, Held, HeldCase, HeldLook, percent};

use super::Screen;

/// Tells a whole answer.
pub fn held(title: &str, held: &Held, screen: &mut Screen) -> io::Result<()> {
    screen.title(&format!("Does it hold? {title}"))?;
    match held.weakest() {
        Some((look, case)) => weakest(look, case, screen)?,
        None => screen.paragraph("Nothing in this plan could be looked at.")?,
    }
    screen.heading("All looks, the nearest to breaking first")?;
    for &index in &held.ranked {
        let Some(each) = held.looks.get(index) else {
            continue;
        };
        look(each, screen)?;
    }
    for left_out in &held.left_out {
        screen.indented(left_out, "not looked at: ", "  ")?;
    }
    screen.heading("What this rests on")?;
    for says in &held.rests_on {
        screen.indented(says, "* ", "  ")?;
    }
    Ok(())
}

/// The weakest look in a few sentences.
pub fn weakest(look: &HeldLook, case: &HeldCase, screen: &mut Screen) -> io::Result<()> {
    let words = screen.strong(match case.band {
        Band::Sound => "It holds: even weak wood stands every load as taken.",
        Band::Near => {
            "It comes near: the wood's mean stands every load as taken, weak wood does not."
        }
        Band::Over => "It does not hold: something asks more than the wood's mean stands.",
    });
    screen.line(&words)?;
    screen.paragraph(&format!(
        "Nearest to breaking, in set-up {}: {}.",
        look.number, look.title
    ))?;
    screen.paragraph(&case.in_words())
}

fn look(look: &HeldLook, screen: &mut Screen) -> io::Result<()> {
    screen.line("")?;
    let band = look.worst().map_or("", |case| match case.band {
        Band::Sound => "sound",
        Band::Near => "NEAR ",
        Band::Over => "OVER ",
    });
    screen.indented(
        &format!("{}  [{}]", look.title, look.setup),
        &format!("{band}  "),
        "       ",
    )?;
    for case in &look.cases {
        let weak = format!(
            "{}: stands {} to {}; {} used by {}; {} {} ({:.1} mm of wood, {:.0} cubes, within {})",
            case.says,
            case.stands_shown[0],
            case.stands_shown[1],
            percent(case.used[0]),
            case.taken_shown,
            case.failing.words(),
            case.place,
            case.thickness_mm,
            case.cubes_through,
            percent(case.error),
        );
        screen.indented(&weak, "       ", "         ")?;
    }
    Ok(())
}
