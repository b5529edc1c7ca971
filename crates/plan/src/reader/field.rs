//! One key that has been read, before it is said whether it may be left out.

use super::Section;

/// What became of one key.
#[derive(Debug)]
#[must_use = "say whether the key is needed"]
pub struct Field<'s, 'r, T> {
    pub(super) section: &'s Section<'r>,
    pub(super) key: &'static str,
    pub(super) allowed: String,
    pub(super) state: State<T>,
}

#[derive(Debug)]
pub(super) enum State<T> {
    Missing,
    /// A problem has been reported.
    Bad,
    Good(T),
}

impl<T> Field<'_, '_, T> {
    /// The value; that the key is missing is a problem.
    pub fn needed(self) -> Option<T> {
        if matches!(self.state, State::Missing) {
            self.section.missing(self.key, &self.allowed);
        }
        self.maybe()
    }

    /// The value where there is a good one.
    pub fn maybe(self) -> Option<T> {
        match self.state {
            State::Good(value) => Some(value),
            State::Missing | State::Bad => None,
        }
    }

    /// The value, or a usual one where the key is missing; none only where a
    /// problem has been reported.
    pub fn or(self, usual: T) -> Option<T> {
        match self.state {
            State::Good(value) => Some(value),
            State::Missing => Some(usual),
            State::Bad => None,
        }
    }
}
