"""Our solids and surfaces against the same pieces built with manifold3d.

For every plan: the numbers set against the plan's own formulas; the volume after each
set-up from `rough` to `pierce`, and of each finished finial, against a bracket that
shares no code with ours; the surface written for each, read by trimesh; and the same
bytes on any count of cores.

Not checked here: a finial before it is finished.
"""

import json
from collections.abc import Iterator
from pathlib import Path

import finial
import plans
import surfaces
from brackets import Bracket, cylinder, square
from checks import Checks
from coved_ball import Held, Numbers, after_each_setup, on_the_spigot
from rondure import Rondure, from_command_line

NARROW = 5e-3
"""Both bounds together, as a share of the piece: wider, and agreement would mean little.
One marker hole is some 3e-4 of a ball, one pierced hole 2e-2, one cove 1e-1."""

TIP_WASTE = 4.0
"""Waste left at a finial's tip for the tail centre, mm; the report's depth stop for the
hanger's hole is measured from its end."""


def held(numbers: Numbers, shown: dict[str, float]) -> Held:
    """How the ball is held, from the report's measures."""
    return Held(
        neck=shown["ball.length.neck"],
        sawn=shown["second-end.bore.stop"],
        stub=shown["ball.length.stub"],
        tail=numbers.radius + shown["ball.length.tail"],
        first_bore=shown["ball.bore.stop"],
    )


COLLAR = 4.0
"""Full wood between spigot and neck, mm; only a blank that is too short shows it."""


def roughed(plan: dict, numbers: Numbers, shown: dict[str, float]) -> Bracket:
    """The blank as a cylinder with its spigot, the sides of a thin billet still on it."""
    mm = plans.reader(plan)
    blank = plan["blank"]
    spigot = shown["rough.spigot.length"]
    neck = 2 * (shown["second-end.bore.stop"] - numbers.radius)
    # A blank too short for the job is a finding; the job is then laid out on one that is not.
    least = numbers.diameter + shown["ball.length.tail"] + neck + COLLAR + spigot
    length, across = max(mm(blank["length"]), least), mm(blank["across"])
    if blank["shape"] == "square":
        wood = square(across, 0, length)
    else:
        wood = cylinder(across / 2, 0, length)
    shoulder = cylinder(across, -1, spigot).minus(
        cylinder(shown["rough.spigot.calliper"] / 2, -2, spigot + 1)
    )
    return wood.common(cylinder(shown["rough.cylinder.calliper"] / 2, -1, length + 1)).minus(shoulder)


def rebuilt(plan: dict, numbers: Numbers, shown: dict[str, float]) -> Iterator[tuple[str, Bracket]]:
    """Every set-up that is checked, with the wood after it."""
    yield "rough", roughed(plan, numbers, shown)
    yield "ball", on_the_spigot(numbers, held(numbers, shown))
    yield from after_each_setup(numbers)
    for end in ("top", "bottom"):
        if end in plan.get("finials", {}):
            name = f"finial.{end}"
            hole = shown.get(f"{name}.hanger.stop", TIP_WASTE) - TIP_WASTE
            tenon = shown[f"{name}.tenon.calliper"]
            yield name, finial.finished(plan, end, plans.reader(plan), tenon, hole)


def check_plan(checks: Checks, rondure: Rondure, path: Path) -> None:
    printed = rondure.report(path)
    checks.holds(
        all(rondure.report(path, threads) == printed for threads in (1, 2, 7)),
        "the report is the same on 1, 2 and 7 threads",
    )
    report = json.loads(printed)
    plan = plans.read(path)
    exact = plans.exact(plan)
    numbers = plans.as_set(exact, report)
    plans.agree(checks, exact, numbers)

    setups = {setup["id"]: setup for setup in report["setups"]}
    # The set-up that finishes a piece is the last that is rebuilt for it.
    last: dict[str, tuple[int, int | None]] = {}
    folder = rondure.scratch / path.stem
    folder.mkdir(parents=True, exist_ok=True)
    for name, body in rebuilt(plan, numbers, plans.measures(report)):
        setup = setups[name]
        volume, error = setup["after"]["volume_mm3"], setup["after"]["volume_error_mm3"]
        low, high = body.volume()
        checks.overlap((volume - error, volume + error), (low, high), f"{name}: volume, mm3")
        width = (2 * error + high - low) / low
        checks.holds(width < NARROW, f"{name}: both bounds are narrow", f"{width:.1e} of the piece")

        inner, outer = body.pieces()
        # Where a wall is so thin that the two polyhedra disagree, neither is a witness.
        pieces = inner if inner == outer else None
        file = folder / f"{name}.stl"
        stated = rondure.solid(path, name, file)
        surface = surfaces.read(file)
        # A surface nowhere farther from the true one than its chord error holds a volume that
        # differs by no more than that error times its area.
        error = stated["chord_mm"] * surface.area
        surfaces.check(checks, surface, (low, high), error, pieces, name)
        last[setup["piece"]] = surface.pieces, pieces

    for piece in report["pieces"]:
        told = piece["solid"]["pieces"]
        surface, built = last[piece["id"]]
        checks.holds(
            told == surface and built in (None, told),
            f"{piece['id']}: pieces by report, surface and manifold3d",
            f"{told}, {surface}, {built}",
        )


if __name__ == "__main__":
    ledger = Checks()
    command, chosen = from_command_line()
    ledger.holds(len(chosen) > 0, "there are plans to check", f"{len(chosen)}")
    for path in chosen:
        with ledger.subject(path.stem):
            check_plan(ledger, command, path)
    ledger.end()
