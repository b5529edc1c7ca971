"""The numbers of a coved ball, from its plan and from what the report says is set.

Twice, on purpose: `exact` works them out of the plan file alone by the formulas of the
form; `as_set` takes the rounded numbers that the turner sets from the report, since the
wood is cut to those. `agree` holds the second against the first.
"""

import math
import tomllib
from dataclasses import fields, replace
from pathlib import Path

from checks import Checks
from coved_ball import Numbers
from lengths import length

POINT = 0.5 / math.tan(math.radians(59))
"""Length of a 118 degree drill point over its diameter (trade-facts 9.15: 0.300)."""

ROUNDING = 0.2
"""Coarsest rounding of a set number either way, mm: half of 1/64 in (trade-facts 9.16:
0.198); callipers read in 0.1 mm err less."""

MEASURES = {
    "half_width": "mounting.1.edges.line",
    "flat": "mounting.1.flat.calliper",
    "bottom": "mounting.1.cove.calliper",
    "marker_depth": "mounting.1.markers.depth",
}
"""Which measure of the report sets which number."""


def read(plan: Path) -> dict:
    """The plan file, as TOML."""
    return tomllib.loads(plan.read_text(encoding="utf-8"))


def exact(plan: dict) -> Numbers:
    """The numbers before any rounding, from the plan alone.

    delta = 2 pi / n is the pitch of the marks; a land a leaves each cove the half-angle
    beta = (delta - a / R) / 2. Edge lines lie R sin beta from the cove's middle, on a
    flat of radius R cos beta. Source: the circle of the equator; nothing is assumed.
    """
    unit = plan.get("units", "mm")

    def mm(section: str, key: str) -> float:
        return length(plan[section][key], unit)

    diameter = mm("ball", "diameter")
    radius = diameter / 2
    marks = plan["ball"]["marks"]
    beta = (2 * math.pi / marks - mm("cove", "land") / radius) / 2
    flat = diameter * math.cos(beta)
    bottom = flat - 2 * mm("cove", "depth")
    marker = mm("markers", "diameter")
    return Numbers(
        diameter=diameter,
        marks=marks,
        half_width=radius * math.sin(beta),
        flat=flat,
        bottom=bottom,
        bore=mm("bore", "diameter"),
        marker=marker,
        marker_depth=radius - bottom / 2 + mm("markers", "margin"),
        marker_point=POINT * marker,
        pierce=mm("pierce", "diameter") if "pierce" in plan else 0.0,
    )


def as_set(numbers: Numbers, report: dict) -> Numbers:
    """The same, with the numbers the report tells the turner to set."""
    shown = {measure["id"]: measure["value"] for measure in report["measures"]}
    return replace(numbers, **{name: shown[id] for name, id in MEASURES.items()})


def agree(checks: Checks, plan: Numbers, turner: Numbers) -> None:
    """What is set is what the formulas say, but for rounding to a tool."""
    for field in fields(Numbers):
        found, expected = getattr(turner, field.name), getattr(plan, field.name)
        # The calliper's rounding carries on into what is worked out from it.
        room = {"bottom": 2 * ROUNDING, "marker_depth": 2 * ROUNDING}.get(field.name, ROUNDING)
        if field.name in MEASURES:
            checks.near(found, expected, room, f"{MEASURES[field.name]}, mm")
