"""A ledger of checks: each is printed with what was found, and counted.

Guarantee: the last line printed is `checks: N passed, M failed`, which the test
command reads, and the exit status is 0 only when none failed and some were made.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager


class Checks:
    """Checks made so far."""

    def __init__(self) -> None:
        self.passed = 0
        self.failed = 0

    def holds(self, held: bool, says: str, found: str = "") -> bool:
        """Notes one check. `says` is what must be true, `found` what was seen."""
        if held:
            self.passed += 1
        else:
            self.failed += 1
        print(f"  {'holds' if held else 'FAILS'}: {says}{': ' if found else ''}{found}", flush=True)
        return bool(held)

    def near(self, found: float, expected: float, tolerance: float, says: str) -> bool:
        """Notes that a number lies within `tolerance` of what is expected."""
        return self.holds(
            abs(found - expected) <= tolerance,
            says,
            f"{found:.6g}, expected {expected:.6g} within {tolerance:.2g}",
        )

    def overlap(
        self, ours: tuple[float, float], theirs: tuple[float, float], says: str
    ) -> bool:
        """Notes that two ranges, each said to hold the true value, have a value in common."""
        return self.holds(
            ours[0] <= theirs[1] and theirs[0] <= ours[1],
            says,
            f"ours {ours[0]:.2f} to {ours[1]:.2f}, theirs {theirs[0]:.2f} to {theirs[1]:.2f}",
        )

    @contextmanager
    def subject(self, name: str) -> Iterator[None]:
        """Names what the checks inside are about. A subject that cannot be checked to its
        end fails once and does not keep the next from being checked."""
        print(name, flush=True)
        try:
            yield
        except Exception as trouble:
            self.holds(False, f"{name} can be checked", f"{type(trouble).__name__}: {trouble}")

    def end(self) -> None:
        """Prints the counts and leaves the program."""
        print(f"checks: {self.passed} passed, {self.failed} failed")
        sys.exit(0 if self.failed == 0 and self.passed > 0 else 1)
