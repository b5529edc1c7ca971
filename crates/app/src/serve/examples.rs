//! The plans that come with the program.

use std::io;

use super::shelf::{Name, Shelf};

/// A plan that comes with the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Example {
    /// Its name, as a plan on the shelf would have it.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
}

/// All of them, the demo first.
pub const EXAMPLES: [Example; 3] = [
    Example {
        name: "lavender-ball-60",
        text: include_str!("../../../../examples/lavender-ball-60.toml"),
    },
    Example {
        name: "lavender-ball-84",
        text: include_str!("../../../../examples/lavender-ball-84.toml"),
    },
    Example {
        name: "ornament-1-7-8-in",
        text: include_str!("../../../../examples/ornament-1-7-8-in.toml"),
    },
];

/// The demo.
pub const DEMO: Example = EXAMPLES[0];

/// Puts the demo on a shelf that is new and empty.
///
/// # Errors
/// Where it cannot be written.
pub fn welcome(shelf: &Shelf) -> io::Result<()> {
    let said = |_| io::Error::other("the demo plan cannot be put on the shelf");
    if shelf.is_new() && shelf.list().map_err(said)?.is_empty() {
        let name = Name::new(DEMO.name).map_err(said)?;
        shelf.create(&name, DEMO.text).map_err(said)?;
    }
    Ok(())
}
