//! The usual cautions, in one place.
//!
//! They follow trade facts section 8 and defer to the maker's instructions,
//! local rules and qualified teaching. Rondure says them; it cannot see the
//! lathe.

/// For the whole job.
pub const WHOLE_JOB: [&str; 5] = [
    "Rondure works out numbers. It does not replace the lathe maker's instructions, local rules or qualified teaching; where they differ, follow them.",
    "Wear a face shield over safety glasses whenever the lathe turns, and stand out of the line of throw when it starts.",
    "Turn the work by hand twice round before every start; begin at the lowest speed; any shake means stop and go slower.",
    "Extract dust at the source and wear a mask when sanding; keep sleeves, hair and gloves away from turning work.",
    "Stop the lathe to measure, to mark and to move the rest. Loose wood, a cracked rib or a new sound: stop the lathe.",
];

/// Work between centres.
pub const BETWEEN_CENTRES: &str = "Bring the tail centre up firmly but not hard: too little and the piece flies, too much and it splits. Check it again after the first cuts.";
/// A cut that meets wood and air by turns.
pub const BROKEN_CUT: &str = "Broken cut: the corners are a blur that cuts fingers and catches tools. Keep hands behind the rest, take light cuts, and turn by hand first to see that all clears the rest.";
/// Boring from the tailstock.
pub const BORING: &str = "Clear the chips often, and hold the drill chuck's shank from turning: if the bit grabs, stop the lathe before touching it.";
/// Drilling by hand into held work.
pub const HAND_DRILL: &str =
    "Lathe switched off and isolated, index pin in, before the drill comes near.";
/// Parting off.
pub const PARTING: &str =
    "Do not part right through at speed: leave a thin neck, stop the lathe and saw it.";
/// Thin wood.
pub const THIN: &str = "Thin wood breaks without warning. Keep the face shield down, the speed low and the cuts light.";
/// Marks and callipers.
pub const MEASURE_STOPPED: &str = "Stop the lathe before callipers or dividers touch the wood.";
/// Index pin.
pub const INDEX_PIN: &str = "Never start the lathe with the index pin in.";
/// Slender spindle.
pub const SLENDER: &str = "Slender work whips: work from the tip to the root, finish each part before the next, and support it with the fingers' backs only if you have been taught to.";
/// Glue.
pub const GLUE: &str =
    "Follow the glue maker's instructions; ventilate, and keep it off skin and eyes.";
