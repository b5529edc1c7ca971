"""A coved ball built a second time, from the numbers of its plan alone.

Frame: centre at the origin, blank axis z, mark k of n at azimuth 2 pi k / n. Mounting
j (from 1) turns the ball about the line through marks j - 1 and j - 1 + n / 2, and
cuts the cove whose middle is the great circle square to that line. The geometry is
written out afresh from the definitions; nothing is shared with our Rust.
"""

import math
from dataclasses import dataclass
from collections.abc import Iterator

from brackets import Bracket, ball, cylinder, drilled, waist


@dataclass(frozen=True)
class Numbers:
    """What is set at the lathe; millimetres."""

    diameter: float
    marks: int
    half_width: float
    """From the cove's middle to its edge line, along the mounting's axis."""
    flat: float
    """Calliper setting over the flat between the edge lines."""
    bottom: float
    """Calliper setting over the cove's bottom."""
    bore: float
    """Diameter; 0 for none."""
    marker: float
    """Diameter of the marker holes; 0 for none."""
    marker_depth: float
    """Full-diameter depth of the marker holes below the ball's surface."""
    marker_point: float
    """Length of the drill's point below that."""
    pierce: float
    """Diameter of the pierced holes; 0 for none."""

    @property
    def radius(self) -> float:
        return self.diameter / 2

    @property
    def arc(self) -> float:
        """Radius of the cove's arc, through both edges of the flat and the bottom.

        Chord 2 w and height s of an arc: r = (w^2 + s^2) / (2 s). Source: Pythagoras;
        the sagitta formula of any table of circle segments.
        """
        depth = (self.flat - self.bottom) / 2
        if not 0 < depth <= self.half_width:
            raise ValueError(f"a cove {depth} mm deep is not below and within its edges")
        return (self.half_width**2 + depth**2) / (2 * depth)


def azimuth_of_cove(numbers: Numbers, place: int) -> float:
    """Azimuth where a cove meets the equator; places 0 to n - 1, place and place + n / 2
    being the two ends of one cove. Place 0 belongs to mounting 1."""
    return 2 * math.pi * place / numbers.marks + math.pi / 2


def direction(azimuth: float) -> tuple[float, float, float]:
    """The unit vector in the equator's plane."""
    return math.cos(azimuth), math.sin(azimuth), 0.0


def marker_hole(numbers: Numbers, place: int) -> Bracket:
    """One marker hole, from well outside the ball to its bottom."""
    low = numbers.radius - numbers.marker_depth
    hole = drilled(numbers.marker / 2, low, 1.5 * numbers.radius, numbers.marker_point)
    return hole.along(direction(azimuth_of_cove(numbers, place)))


def cove(numbers: Numbers, mounting: int) -> Bracket:
    """What one cove takes away, its flat included."""
    width, reach = numbers.half_width, 1.5 * numbers.radius
    slab = cylinder(reach, -width, width)
    left = waist(numbers.bottom / 2, numbers.arc, width)
    azimuth = 2 * math.pi * (mounting - 1) / numbers.marks
    return slab.minus(left).along(direction(azimuth))


@dataclass(frozen=True)
class Held:
    """How the ball is held while it is rounded; millimetres, from the report's measures."""

    neck: float
    """Diameter of the wood between the ball and the headstock."""
    sawn: float
    """Station below the centre where the neck is sawn through."""
    stub: float
    """Diameter of the wood between the ball and the tailstock."""
    tail: float
    """Station of the tail end."""
    first_bore: float
    """Depth of the first half of the bore from the tail end."""


def on_the_spigot(numbers: Numbers, held: Held) -> Bracket:
    """The ball after `ball`: round, bored past the middle, sawn off its spigot."""
    wood = ball(numbers.radius)
    wood = wood.with_(cylinder(held.neck / 2, -held.sawn, 0))
    wood = wood.with_(cylinder(held.stub / 2, 0, held.tail))
    bottom = held.tail - held.first_bore
    return wood.minus(cylinder(numbers.bore / 2, bottom, held.tail + 1))


def after_each_setup(numbers: Numbers) -> Iterator[tuple[str, Bracket]]:
    """The ball after `second-end`, each `mounting.j` and `pierce`, in that order."""
    wood = ball(numbers.radius)
    if numbers.bore > 0:
        reach = 1.5 * numbers.radius
        wood = wood.minus(cylinder(numbers.bore / 2, -reach, reach))
    yield "second-end", wood
    half = numbers.marks // 2
    for mounting in range(1, half + 1):
        if numbers.marker > 0:
            for place in (mounting - 1, mounting - 1 + half):
                wood = wood.minus(marker_hole(numbers, place))
        wood = wood.minus(cove(numbers, mounting))
        yield f"mounting.{mounting}", wood
    if numbers.pierce > 0:
        for place in range(numbers.marks):
            # A little past the centre, into the hole opposite: two that only touched would
            # leave it to rounding whether a skin stands between them.
            hole = cylinder(numbers.pierce / 2, -0.1 * numbers.pierce, 1.5 * numbers.radius)
            wood = wood.minus(hole.along(direction(azimuth_of_cove(numbers, place))))
        yield "pierce", wood
