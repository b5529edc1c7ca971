"""Runs the `rondure` command as a turner would, and reads what it leaves."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


CHORD = "0.05 mm"
"""How far a surface may stray from the true one."""


@dataclass(frozen=True)
class Rondure:
    """The command, and a folder for what it writes."""

    binary: str
    scratch: Path

    def run(self, *words: str, threads: int | None = None) -> subprocess.CompletedProcess:
        """Runs the command; what it printed is kept as bytes."""
        environment = dict(os.environ)
        if threads is not None:
            environment["RAYON_NUM_THREADS"] = str(threads)
        return subprocess.run([self.binary, *words], capture_output=True, env=environment)

    def report(self, plan: Path, threads: int | None = None) -> bytes:
        """The report's JSON. Status 1 is an answer too: a plan that something stops."""
        return self._answer((0, 1), "report", str(plan), "--json", threads=threads)

    def solid(self, plan: Path, setup: str, file: Path) -> dict:
        """Writes the surface of what is left after a set-up; its volume, bound and chord error."""
        words = ("solid", str(plan), "--after", setup, "--chord", CHORD, "-o", str(file), "--json")
        return json.loads(self._answer((0, 1), *words))

    def packet(self, plan: Path, file: Path, paper: str, threads: int | None = None) -> None:
        """Writes the packet for `a4` or `letter`."""
        words = () if paper == "a4" else ("--paper", paper)
        self._answer((0, 1), "packet", str(plan), "-o", str(file), *words, threads=threads)

    def handout(self, plan: Path, file: Path, paper: str, students: int) -> None:
        """Writes the handout of a class for `a4` or `letter`."""
        words = ("--students", str(students), "--paper", paper)
        self._answer((0, 1), "handout", str(plan), "-o", str(file), *words)

    def _answer(self, allowed: tuple[int, ...], *words: str, threads: int | None = None) -> bytes:
        done = self.run(*words, threads=threads)
        if done.returncode not in allowed:
            said = done.stderr.decode(errors="replace")
            raise RuntimeError(f"rondure {' '.join(words)} ended with {done.returncode}:\n{said}")
        return done.stdout


def from_command_line() -> tuple[Rondure, list[Path]]:
    """BINARY SCRATCH [PLAN...]; without plans, all the examples."""
    if len(sys.argv) < 3:
        sys.exit(f"usage: {sys.argv[0]} BINARY SCRATCH [PLAN...]")
    scratch = Path(sys.argv[2])
    scratch.mkdir(parents=True, exist_ok=True)
    plans = [Path(word) for word in sys.argv[3:]] or sorted(EXAMPLES.glob("*.toml"))
    return Rondure(sys.argv[1], scratch), plans
