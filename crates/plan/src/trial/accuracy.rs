//! How accurately a hand works, action by action.
//!
//! An accuracy is the ± figure within which nineteen makings of twenty stay; errors are taken as
//! normal about the number that is set, with that figure 1.96 standard deviations wide.
//! The figures of the three hands are common practice, no source: they are to be replaced by
//! one's own in the plan's section `[trial]`.

use crate::reader::Section;

/// How used the hand is to the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hand {
    /// Measures twice, stops to check.
    Careful,
    /// Has done it before.
    #[default]
    Usual,
    /// Does it for the first time.
    FirstTime,
}

impl Hand {
    /// The hands by the words a plan uses for them.
    pub const WORDS: [(&'static str, Self); 3] = [
        ("careful", Self::Careful),
        ("usual", Self::Usual),
        ("first-time", Self::FirstTime),
    ];

    /// The word a plan uses for it.
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// One action's accuracy.
#[derive(Debug, Clone, Copy)]
pub struct Accuracy {
    /// Its key in `[trial]`.
    pub key: &'static str,
    /// What is off, as a turner says it.
    pub label: &'static str,
    /// What the figure means.
    pub says: &'static str,
    /// Whether it is an angle, degrees; else a length, mm.
    pub angle: bool,
    /// ± figures of the three hands, mm or degrees. Common practice, no source.
    pub hands: [f64; 3],
}

const fn length(
    key: &'static str,
    label: &'static str,
    says: &'static str,
    hands: [f64; 3],
) -> Accuracy {
    Accuracy {
        key,
        label,
        says,
        angle: false,
        hands,
    }
}

const fn angle(
    key: &'static str,
    label: &'static str,
    says: &'static str,
    hands: [f64; 3],
) -> Accuracy {
    Accuracy {
        key,
        label,
        says,
        angle: true,
        hands,
    }
}

/// How many accuracies there are.
pub const COUNT: usize = 14;

/// All accuracies, in the order their errors are drawn.
pub const ACCURACIES: [Accuracy; COUNT] = [
    length(
        "cove_depth",
        "the coves' depth",
        "How far a cove's bottom is off, on the radius.",
        [0.2, 0.4, 0.8],
    ),
    length(
        "edge_line",
        "the edge lines",
        "How far each edge line of a cove is off.",
        [0.3, 0.5, 1.0],
    ),
    length(
        "marks_along",
        "the marks along the middle line",
        "How far a mark is off along the middle line.",
        [0.3, 0.6, 1.2],
    ),
    length(
        "marks_across",
        "the marks across the middle line",
        "How far a mark is off across the middle line.",
        [0.3, 0.6, 1.2],
    ),
    length(
        "axis",
        "the centres on their marks",
        "How far each centre's point stands off its mark.",
        [0.2, 0.5, 1.0],
    ),
    length(
        "hole_position",
        "where the holes are begun",
        "How far a pierced hole begins off its marker.",
        [0.3, 0.6, 1.2],
    ),
    angle(
        "hole_angle",
        "the holes' direction",
        "How far a pierced hole's direction is off.",
        [1.0, 2.0, 4.0],
    ),
    length(
        "hole_oversize",
        "the holes' width",
        "How much wider than the bit a hole comes out.",
        [0.1, 0.2, 0.4],
    ),
    length(
        "flat",
        "the flats",
        "How far a flat is off, on the radius.",
        [0.15, 0.3, 0.6],
    ),
    length(
        "bore_position",
        "the bore's place",
        "How far the bore is off the axis at the middle.",
        [0.2, 0.5, 1.0],
    ),
    angle(
        "bore_angle",
        "the bore's direction",
        "How far the bore's direction is off.",
        [0.3, 0.6, 1.2],
    ),
    length(
        "ball_diameter",
        "the ball's diameter",
        "How far the ball's diameter is off.",
        [0.2, 0.4, 0.8],
    ),
    length(
        "out_of_round",
        "the ball's roundness",
        "How much longer or shorter the ball is than thick, on the radius.",
        [0.2, 0.4, 1.0],
    ),
    length(
        "marker_depth",
        "the markers' depth stop",
        "How far a marker hole's depth is off.",
        [0.3, 0.5, 1.0],
    ),
];

/// Places of the accuracies in [`ACCURACIES`].
pub(super) mod place {
    pub const COVE_DEPTH: usize = 0;
    pub const EDGE_LINE: usize = 1;
    pub const MARKS_ALONG: usize = 2;
    pub const MARKS_ACROSS: usize = 3;
    pub const AXIS: usize = 4;
    pub const HOLE_POSITION: usize = 5;
    pub const HOLE_ANGLE: usize = 6;
    pub const HOLE_OVERSIZE: usize = 7;
    pub const FLAT: usize = 8;
    pub const BORE_POSITION: usize = 9;
    pub const BORE_ANGLE: usize = 10;
    pub const BALL_DIAMETER: usize = 11;
    pub const OUT_OF_ROUND: usize = 12;
    pub const MARKER_DEPTH: usize = 13;
}

/// A plan's `[trial]`: a hand, and one's own figures over it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Accuracies {
    /// The hand whose figures hold where the plan gives none.
    pub hand: Hand,
    /// One's own ± figures, mm or degrees.
    pub own: [Option<f64>; COUNT],
}

impl Accuracies {
    /// The ± figure of every accuracy, mm or degrees.
    pub fn within(&self) -> [f64; COUNT] {
        std::array::from_fn(|k| self.own[k].unwrap_or(ACCURACIES[k].hands[self.hand as usize]))
    }

    /// Reads the section `[trial]`.
    pub(crate) fn read(section: Section<'_>) -> Option<Self> {
        let hand = section.choice("hand", &Hand::WORDS).or(Hand::Usual);
        let own = ACCURACIES.map(|accuracy| {
            if accuracy.angle {
                section.degrees(accuracy.key, 0.0..=20.0).maybe()
            } else {
                section.length(accuracy.key, 0.0..=20.0).maybe()
            }
        });
        section.finish();
        Some(Self { hand: hand?, own })
    }
}
