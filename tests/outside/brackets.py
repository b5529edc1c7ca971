"""Round bodies between two polyhedra: one that lies inside, one that lies outside.

A curved body is no polyhedron, so its volume comes as a pair that holds the true
value. Every body here is a pair of manifold3d meshes, `inner` within the true body
and `outer` around it; taking away turns the pair over. The method:

- A circle of radius r holds the m-gon with corners at r, and is held by the one
  with corners at r / cos(pi / m).
- A body of revolution is held between the revolved inner profile, and the revolved
  outer profile with its radii grown by 1 / cos(pi / m).

Not covered: manifold3d's own rounding, about 1e-12 of the size. `SLACK` leaves room
for it a thousand times over.
"""

import math
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, Manifold

SLACK = 1e-9
"""Share of a volume allowed for the rounding of the boolean library."""

SEGMENTS = 384
"""Sides of the polygon that stands for a circle. The width of a ball's bracket falls
with its square: 3.0e-3 of the volume at 96, 1.9e-4 at 384."""


@dataclass(frozen=True)
class Bracket:
    """A body between two polyhedra."""

    inner: Manifold
    outer: Manifold

    def minus(self, other: "Bracket") -> "Bracket":
        """What is left when the other body is taken away."""
        return Bracket(self.inner - other.outer, self.outer - other.inner)

    def with_(self, other: "Bracket") -> "Bracket":
        """Both bodies as one."""
        return Bracket(self.inner + other.inner, self.outer + other.outer)

    def common(self, other: "Bracket") -> "Bracket":
        """What lies in both."""
        return Bracket(self.inner ^ other.inner, self.outer ^ other.outer)

    def volume(self) -> tuple[float, float]:
        """Lowest and highest possible volume of the true body."""
        return self.inner.volume() * (1 - SLACK), self.outer.volume() * (1 + SLACK)

    def pieces(self) -> tuple[int, int]:
        """Counts of separate parts of the inner and the outer polyhedron."""
        return len(self.inner.decompose()), len(self.outer.decompose())

    def along(self, axis, origin=(0.0, 0.0, 0.0)) -> "Bracket":
        """The body with its own axis z laid along `axis`, its origin moved to `origin`."""
        third = np.asarray(axis, dtype=float)
        third = third / np.linalg.norm(third)
        # Any direction not along the axis serves to begin: the body is round.
        start = np.eye(3)[int(np.argmin(np.abs(third)))]
        first = np.cross(start, third)
        first = first / np.linalg.norm(first)
        second = np.cross(third, first)
        frame = np.column_stack([first, second, third, np.asarray(origin, dtype=float)])
        return Bracket(self.inner.transform(frame), self.outer.transform(frame))


def revolved(inner, outer, segments: int = SEGMENTS) -> Bracket:
    """A body of revolution about z, from profiles [(radius, station), ...] that lie
    inside and outside the true one. Both run counter-clockwise and touch the axis."""
    grow = 1.0 / math.cos(math.pi / segments)
    grown = [(radius * grow, station) for radius, station in outer]
    return Bracket(
        Manifold.revolve(CrossSection([list(inner)]), segments),
        Manifold.revolve(CrossSection([grown]), segments),
    )


def ball(radius: float, segments: int = SEGMENTS) -> Bracket:
    """A ball about the origin."""
    steps = segments // 2
    angles = np.linspace(-math.pi / 2, math.pi / 2, steps + 1)
    inner = [(radius * math.cos(a), radius * math.sin(a)) for a in angles[1:-1]]
    inner = [(0.0, -radius), *inner, (0.0, radius)]
    # The half-circle's tangents at the same angles, cut off square at the poles.
    middle = (angles[:-1] + angles[1:]) / 2
    reach = radius / math.cos(math.pi / steps / 2)
    outer = [(reach * math.cos(a), reach * math.sin(a)) for a in middle]
    outer = [(0.0, -radius), *outer, (0.0, radius)]
    outer[1] = (outer[1][0], -radius)
    outer[-2] = (outer[-2][0], radius)
    return revolved(inner, outer, segments)


def cylinder(radius: float, low: float, high: float, segments: int = SEGMENTS) -> Bracket:
    """A cylinder about z between two stations."""
    profile = [(0.0, low), (radius, low), (radius, high), (0.0, high)]
    return revolved(profile, profile, segments)


def square(across: float, low: float, high: float) -> Bracket:
    """A square billet about z; flat sides need no bracket."""
    billet = Manifold.cube((across, across, high - low), True).translate((0, 0, (low + high) / 2))
    return Bracket(billet, billet)


def drilled(radius: float, low: float, high: float, point: float) -> Bracket:
    """A hole about z whose full diameter ends at station `low`, with a drill point
    `point` long below it; 0 for a flat bottom."""
    tip = [(0.0, low - point)] if point > 0 else [(0.0, low)]
    profile = [*tip, (radius, low), (radius, high), (0.0, high)]
    return revolved(profile, profile)


def waist(bottom: float, arc: float, half_width: float) -> Bracket:
    """What a cove leaves at its middle: the body about z below an arc of radius `arc`
    whose lowest point stands at radius `bottom`, between stations +-half_width.

    The arc bends away from the axis, so its chords lie outside this body and its
    tangents inside. Beyond the edges the body goes on a little as a cylinder.
    """
    centre = bottom + arc
    edge = math.asin(min(1.0, half_width / arc))
    steps = max(16, math.ceil(SEGMENTS * edge / math.pi))
    angles = np.linspace(-edge, edge, steps + 1)

    def at(angle: float, reach: float) -> tuple[float, float]:
        return centre - reach * math.cos(angle), reach * math.sin(angle)

    chords = [at(a, arc) for a in angles]
    reach = arc / math.cos(edge / steps)
    tangents = [chords[0], *(at(a, reach) for a in (angles[:-1] + angles[1:]) / 2), chords[-1]]

    def closed(run):
        beyond = half_width * 1.25
        radius = run[0][0]
        return [(0.0, -beyond), (radius, -beyond), *run, (radius, beyond), (0.0, beyond)]

    return revolved(closed(tangents), closed(chords))
