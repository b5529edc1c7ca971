//! A value that says where it comes from.

/// How far a value can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// The figure was seen at the source named.
    Verified,
    /// The figure was seen, but for a closely related wood, because none was found for this one.
    RelatedWood,
    /// The figure was written down from memory. Check it before leaning on it.
    FromMemory,
}

impl Status {
    /// The status in words, as the tables write it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Verified => "verified",
            Self::RelatedWood => "related wood",
            Self::FromMemory => "from memory",
        }
    }

    /// The smaller, the better it can be trusted.
    pub(crate) fn rank(self) -> u8 {
        match self {
            Self::Verified => 0,
            Self::RelatedWood => 1,
            Self::FromMemory => 2,
        }
    }

    pub(crate) fn read(text: &str) -> Option<Self> {
        [Self::Verified, Self::RelatedWood, Self::FromMemory]
            .into_iter()
            .find(|status| status.words() == text)
    }
}

/// A value with its source.
#[derive(Clone, Debug, PartialEq)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// One standard deviation between trees, in the value's unit, widened where sources disagree.
    pub spread: T,
    /// The publication and address where the figure was seen. Empty when it is from memory and no table is named.
    pub source: String,
    /// How far the value can be trusted.
    pub status: Status,
    /// What to know about the value, such as what other sources give. Empty when there is nothing to add.
    pub note: String,
}
