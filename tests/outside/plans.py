"""The numbers of a coved ball, from its plan and from what the report says is set.

Twice, on purpose: `exact` works them out of the plan file alone by the formulas of the
form; `as_set` takes the rounded numbers that the turner sets from the report, since the
wood is cut to those. `agree` holds the second against the first.
"""

import math
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from checks import Checks
from coved_ball import Numbers
from lengths import length

POINT = 0.5 / math.tan(math.radians(59))
"""Length of a 118 degree drill point over its diameter (trade-facts 9.15: 0.300)."""

MEASURES = {
    "half_width": ("mounting.1.edges.width", 0.5),
    "flat": ("mounting.1.flat.calliper", 1.0),
    "bottom": ("mounting.1.cove.calliper", 1.0),
    "marker_depth": ("mounting.1.markers.depth", 1.0),
}
"""Which measure of the report sets which number, and as what share of it."""

STEP = 25.4 / 64
"""Coarsest step of a set diameter, mm: 1/64 in (trade-facts 9.16); callipers in
millimetres are set finer."""

USUAL_MARGIN = 2.0
"""How much deeper a marker hole goes than the cove where the plan does not say, mm: the
guide's usual value."""

def read(plan: Path) -> dict:
    """The plan file, as TOML."""
    return tomllib.loads(plan.read_text(encoding="utf-8"))


def reader(plan: dict) -> Callable[[object], float]:
    """Reads this plan's lengths."""
    unit = plan["units"]
    return lambda written: length(written, unit)


def exact(plan: dict) -> Numbers:
    """The numbers before any rounding, from the plan alone.

    delta = 2 pi / n is the pitch of the marks; a land a leaves each cove the half-angle
    beta = (delta - a / R) / 2. Edge lines lie R sin beta from the cove's middle, on a
    flat of radius R cos beta. Source: the circle of the equator; nothing is assumed.
    """
    any_length = reader(plan)

    def mm(section: str, key: str) -> float:
        return any_length(plan[section][key])

    diameter = mm("ball", "diameter")
    radius = diameter / 2
    marks = plan["ball"]["marks"]
    beta = (2 * math.pi / marks - mm("cove", "land") / radius) / 2
    flat = diameter * math.cos(beta)
    bottom = flat - 2 * mm("cove", "depth")
    marker = mm("markers", "diameter")
    margin = mm("markers", "margin") if "margin" in plan["markers"] else USUAL_MARGIN
    return Numbers(
        diameter=diameter,
        marks=marks,
        half_width=radius * math.sin(beta),
        flat=flat,
        bottom=bottom,
        bore=mm("bore", "diameter"),
        marker=marker,
        marker_depth=radius - bottom / 2 + margin,
        marker_point=POINT * marker,
        pierce=mm("pierce", "diameter") if "pierce" in plan else 0.0,
    )


def measures(report: dict) -> dict[str, float]:
    """What the turner sets, by identifier; mm, degrees or counts."""
    return {measure["id"]: measure["value"] for measure in report["measures"]}


def as_set(numbers: Numbers, report: dict) -> Numbers:
    """The same, with the numbers the report tells the turner to set."""
    shown = measures(report)
    return replace(numbers, **{name: share * shown[id] for name, (id, share) in MEASURES.items()})


def agree(checks: Checks, plan: Numbers, turner: Numbers) -> None:
    """What is set is what the formulas say, but for rounding to a tool."""
    # A width may have to be rounded down a whole step, and what follows from it in turn.
    for name, steps in (("half_width", 0.5), ("flat", 1.0), ("bottom", 1.5)):
        found, expected = getattr(turner, name), getattr(plan, name)
        checks.near(found, expected, steps * STEP, f"{name.replace('_', ' ')} as set, mm")
    touching = turner.radius * math.sin(math.pi / turner.marks)
    checks.holds(
        turner.half_width <= touching + 1e-6,
        "edges as set do not cross at the equator",
        f"{turner.half_width:.4f} of at most {touching:.4f} mm",
    )
    # Rounding must never cost the mark: at least the margin below the cove as set, and at
    # most a division of the rule more (1 mm, the coarsest).
    left = turner.marker_depth - (turner.radius - turner.bottom / 2)
    asked = plan.marker_depth - (plan.radius - plan.bottom / 2)
    checks.holds(
        asked - 1e-6 <= left <= asked + 1.0,
        "a marker hole is still there at the cove's bottom",
        f"{left:.3f} mm deep, {asked:.3f} asked",
    )
