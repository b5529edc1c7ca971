//! Counts of checks, read from what the tools print.
//!
//! Two lines are understood: the test harness's `test result: ok. 12 passed;
//! 1 failed; ...` and our own outside checks' `checks: 12 passed, 1 failed`.
//! Everything else counts nothing, so a tool that changes its wording shows as a
//! stage without checks, which [`Tally::settled`] turns into a failure.

use std::fmt;
use std::ops::AddAssign;

/// How many checks were made, and how they ended.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Tally {
    /// Checks that held.
    pub passed: usize,
    /// Checks that did not.
    pub failed: usize,
}

impl Tally {
    /// One check, for a command whose exit status is its only answer.
    pub fn one(held: bool) -> Self {
        Self {
            passed: usize::from(held),
            failed: usize::from(!held),
        }
    }

    /// The counts in one line of output; nothing when it is no counting line.
    pub fn of_line(line: &str) -> Option<Self> {
        let line = line.trim();
        let counts = match line.strip_prefix("test result: ") {
            Some(rest) => rest.split_once(". ")?.1,
            None => line.strip_prefix("checks: ")?,
        };
        let before = |word: &str| -> Option<usize> {
            let clause = counts
                .split([';', ','])
                .find(|clause| clause.trim().ends_with(word))?;
            clause.trim().strip_suffix(word)?.trim().parse().ok()
        };
        Some(Self {
            passed: before("passed")?,
            failed: before("failed")?,
        })
    }

    /// The counts of a command that has ended. One that ended badly without
    /// counting a failure (it did not compile, it crashed) failed once, and so
    /// did one that ended well without making a single check.
    pub fn settled(self, ended_well: bool) -> Self {
        let silent_failure = self.failed == 0 && (!ended_well || self.passed == 0);
        Self {
            failed: self.failed + usize::from(silent_failure),
            ..self
        }
    }
}

impl AddAssign for Tally {
    fn add_assign(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{} passed, {} failed", self.passed, self.failed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_test_harness_and_our_own_checks() {
        let harness = "test result: FAILED. 13 passed; 2 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.01s";
        assert_eq!(
            Tally::of_line(harness),
            Some(Tally {
                passed: 13,
                failed: 2
            })
        );
        assert_eq!(
            Tally::of_line("checks: 40 passed, 0 failed"),
            Some(Tally {
                passed: 40,
                failed: 0
            })
        );
    }

    #[test]
    fn other_lines_count_nothing() {
        for line in [
            "test ball::volume ... ok",
            "running 3 tests",
            "40 passed, 0 failed",
            "",
        ] {
            assert_eq!(Tally::of_line(line), None, "{line}");
        }
    }

    #[test]
    fn a_command_that_ends_badly_or_checks_nothing_has_failed() {
        let held = Tally {
            passed: 3,
            failed: 0,
        };
        assert_eq!(held.settled(true), held);
        assert_eq!(held.settled(false).failed, 1);
        assert_eq!(Tally::default().settled(true).failed, 1);
        assert_eq!(
            Tally {
                passed: 3,
                failed: 2
            }
            .settled(false)
            .failed,
            2
        );
    }
}
