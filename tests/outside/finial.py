"""A finial built a second time, from its plan alone, between two polyhedra.

Frame: station 0 at the shoulder, the tip towards +z, the tenon at negative stations.
The shapes are those the guide defines: a cove's arc ends parallel with the axis at its
thin end; an ogee is two equal arcs that do so at both ends and meet without a corner; a
bead is one arc with its top in the middle, standing on the diameter before it, or half
a circle where that is too far down; a ball sits where it meets the neck before it.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from brackets import Bracket, cylinder, revolved

ARC_STEPS = 48
"""Straight pieces for one arc. An arc of 90 degrees then errs by 1.3e-4 of its radius."""


@dataclass(frozen=True)
class Piece:
    """A straight line or an arc of the outline, from the shoulder's side to the tip's."""

    begin: tuple[float, float]
    """Station and radius, mm."""
    end: tuple[float, float]
    centre: tuple[float, float] | None = None
    """None for a straight line."""
    full: bool = False
    """Whether the wood bulges out along the arc (a bead), or the air bulges in (a cove)."""

    def runs(self) -> tuple[list, list]:
        """Points of a run within the wood, and of one outside it."""
        if self.centre is None:
            return [self.begin, self.end], [self.begin, self.end]
        (x0, y0), (x1, y1), (cx, cy) = self.begin, self.end, self.centre
        radius = math.hypot(x0 - cx, y0 - cy)
        first = math.atan2(y0 - cy, x0 - cx)
        turn = math.remainder(math.atan2(y1 - cy, x1 - cx) - first, 2 * math.pi)
        angles = first + np.linspace(0, turn, ARC_STEPS + 1)

        def at(angle: float, reach: float) -> tuple[float, float]:
            return cx + reach * math.cos(angle), cy + reach * math.sin(angle)

        reach = radius / math.cos(turn / ARC_STEPS / 2)
        chords = [self.begin, *(at(a, radius) for a in angles[1:-1]), self.end]
        middles = (angles[:-1] + angles[1:]) / 2
        tangents = [self.begin, *(at(a, reach) for a in middles), self.end]
        return (chords, tangents) if self.full else (tangents, chords)


def outline(shapes: list[dict], mm: Callable[[object], float]) -> list[Piece]:
    """The outline of a list of shapes, as a plan writes them."""
    pieces: list[Piece] = []
    x, y = 0.0, 0.0
    for number, shape in enumerate(shapes, 1):
        name = next(key for key in ("fillet", "bead", "cove", "ogee", "taper", "ball") if key in shape)
        length = mm(shape[name])
        if name in ("cove", "ogee", "taper"):
            end = (x + length, mm(shape["to"]) / 2)
            change = abs(y - end[1])
        if name == "fillet":
            y = mm(shape["diameter"]) / 2
            pieces.append(Piece((x, y), (x + length, y)))
        elif name == "taper" or (name in ("cove", "ogee") and change < 1e-9):
            pieces.append(Piece((x, y), end))
        elif name == "cove":
            radius = (length**2 + change**2) / (2 * change)
            thin = min((x, y), end, key=lambda place: place[1])
            pieces.append(Piece((x, y), end, (thin[0], thin[1] + radius)))
        elif name == "ogee":
            radius = (length**2 + change**2) / (4 * change)
            middle = ((x + end[0]) / 2, (y + end[1]) / 2)
            falls = y > end[1]
            side = -radius if falls else radius
            pieces.append(Piece((x, y), middle, (x, y + side), full=falls))
            pieces.append(Piece(middle, end, (end[0], end[1] - side), full=not falls))
        elif name == "bead":
            top = mm(shape["diameter"]) / 2
            rise = min(top - y, length / 2) if 0 < y < top else min(length / 2, top)
            radius = (length**2 / 4 + rise**2) / (2 * rise)
            y = top - rise
            centre = (x + length / 2, top - radius)
            pieces.append(Piece((x, y), (x + length, y), centre, full=True))
        else:
            radius = length / 2
            sunk = math.sqrt(radius**2 - y**2)
            tip = number == len(shapes)
            end = (x + sunk + radius, 0.0) if tip else (x + 2 * sunk, y)
            pieces.append(Piece((x, y), end, (x + sunk, 0.0), full=True))
        x, y = pieces[-1].end
    return pieces


def body(pieces: list[Piece], tenon: float, tenon_length: float) -> Bracket:
    """The wood of an outline and its tenon, of diameter `tenon`."""

    def closed(which: int) -> list[tuple[float, float]]:
        run = [(-tenon_length, 0.0), (-tenon_length, tenon / 2), (0.0, tenon / 2)]
        for piece in pieces:
            run.extend(piece.runs()[which])
        run.append((run[-1][0], 0.0))
        # (radius, station), counter-clockwise: up the axis' far side, from tenon to tip.
        profile = [(max(0.0, radius), station) for station, radius in run]
        return [place for place, after in zip(profile, profile[1:] + profile[:1]) if place != after]

    return revolved(closed(0), closed(1))


def finished(plan: dict, end: str, mm: Callable[[object], float], tenon: float, hole: float) -> Bracket:
    """A finished finial: its outline and tenon, less the hanger's hole `hole` deep from the tip."""
    finial = plan["finials"][end]
    pieces = outline(finial["shape"], mm)
    wood = body(pieces, tenon, mm(finial["tenon_length"]))
    if "hanger" in finial:
        tip = pieces[-1].end[0]
        radius = mm(finial["hanger"]["diameter"]) / 2
        wood = wood.minus(cylinder(radius, tip - hole, tip + 10))
    return wood
