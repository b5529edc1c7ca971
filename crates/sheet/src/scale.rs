//! Drawing scales.
//!
//! The usual scales of technical drawings (ISO 5455): 1 : 1, enlarged 2, 5 and
//! 10 to 1, reduced 1 to 2, 5, 10, 20, 50 and 100.

/// A scale: paper over thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Scale {
    /// Size on paper.
    pub paper: u32,
    /// Size of the thing.
    pub thing: u32,
}

/// True size.
pub const FULL: Scale = Scale { paper: 1, thing: 1 };

/// All scales, the largest first.
pub const SCALES: [Scale; 10] = [
    Scale {
        paper: 10,
        thing: 1,
    },
    Scale { paper: 5, thing: 1 },
    Scale { paper: 2, thing: 1 },
    FULL,
    Scale { paper: 1, thing: 2 },
    Scale { paper: 1, thing: 5 },
    Scale {
        paper: 1,
        thing: 10,
    },
    Scale {
        paper: 1,
        thing: 20,
    },
    Scale {
        paper: 1,
        thing: 50,
    },
    Scale {
        paper: 1,
        thing: 100,
    },
];

impl Scale {
    /// Millimetres on paper for one millimetre of the thing.
    pub fn factor(self) -> f64 {
        f64::from(self.paper) / f64::from(self.thing)
    }

    /// As written on a drawing, e.g. `1 : 2`.
    pub fn words(self) -> String {
        format!("{} : {}", self.paper, self.thing)
    }
}
