"""Our solids and surfaces against the same ball built with manifold3d.

For every plan: the numbers set against the plan's own formulas; the volume after each
set-up from `second-end` to `pierce` against a bracket that shares no code with ours;
the surface written for each, read by trimesh; and the same bytes on any count of cores.

Not checked here: the set-ups before `second-end`, and the finials.
"""

import json
from pathlib import Path

import plans
import surfaces
from checks import Checks
from coved_ball import after_each_setup
from rondure import Rondure, from_command_line

NARROW = 5e-3
"""Both bounds together, as a share of the ball: wider, and agreement would mean little.
The least cut that must show, one marker hole in a ball, is some 3e-4; one pierced hole 2e-2."""


def check_plan(checks: Checks, rondure: Rondure, plan: Path) -> None:
    print(f"{plan.stem}")
    printed = rondure.report(plan)
    checks.holds(
        all(rondure.report(plan, threads) == printed for threads in (1, 2, 7)),
        "the report is the same on 1, 2 and 7 threads",
    )
    report = json.loads(printed)
    exact = plans.exact(plans.read(plan))
    numbers = plans.as_set(exact, report)
    plans.agree(checks, exact, numbers)

    setups = {setup["id"]: setup for setup in report["setups"]}
    finished = {piece["id"]: piece["solid"] for piece in report["pieces"]}["ball"]
    ball = exact.radius**3 * 4.18879
    folder = rondure.scratch / plan.stem
    folder.mkdir(parents=True, exist_ok=True)
    for name, body in after_each_setup(numbers):
        after = setups[name]["after"]
        volume, error = after["volume_mm3"], after["volume_error_mm3"]
        low, high = body.volume()
        checks.overlap((volume - error, volume + error), (low, high), f"{name}: volume, mm3")
        width = (2 * error + high - low) / ball
        checks.holds(width < NARROW, f"{name}: both bounds are narrow", f"{width:.1e} of the ball")

        inner, outer = body.pieces()
        # Where a wall is so thin that the two polyhedra disagree, neither is a witness.
        pieces = inner if inner == outer else None
        file = folder / f"{name}.stl"
        stated = rondure.solid(plan, name, file)
        surface = surfaces.read(file)
        surfaces.check(checks, surface, (low, high), stated["volume_error_mm3"], pieces, name)
        last = name, surface, pieces

    name, surface, pieces = last
    checks.holds(
        finished["pieces"] == surface.pieces and pieces in (None, finished["pieces"]),
        f"{name}: pieces by report, surface and manifold3d",
        f"{finished['pieces']}, {surface.pieces}, {pieces}",
    )


if __name__ == "__main__":
    ledger = Checks()
    command, chosen = from_command_line()
    ledger.holds(len(chosen) > 0, "there are plans to check", f"{len(chosen)}")
    for path in chosen:
        check_plan(ledger, command, path)
    ledger.end()
