"""Reads the straight lines of a PDF page, in millimetres from its lower left corner.

Only pypdf's list of drawing orders is used; what they mean is followed here by the
standard's own words (ISO 32000-1, 8.3 coordinate systems, 8.5 paths, 8.10 forms).
Curves end a run of lines and are not measured. Colours and widths do not matter here.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from pypdf import PdfReader
from pypdf.generic import ContentStream

MM_PER_POINT = 25.4 / 72
"""A point is 1/72 in (ISO 32000-1, 8.3.2.3), and 1 in = 25.4 mm exactly."""


@dataclass(frozen=True)
class Segment:
    """A straight line on a page, mm."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def length(self) -> float:
        return float(np.hypot(self.x1 - self.x0, self.y1 - self.y0))


def size(page) -> tuple[float, float]:
    """Width and height, mm, as the page is shown."""
    unit = float(page.get("/UserUnit", 1.0)) * MM_PER_POINT
    width, height = float(page.mediabox.width) * unit, float(page.mediabox.height) * unit
    return (height, width) if page.rotation % 180 else (width, height)


def segments(reader: PdfReader, page) -> list[Segment]:
    """Every straight line that is stroked or filled."""
    unit = float(page.get("/UserUnit", 1.0)) * MM_PER_POINT
    left, bottom = float(page.mediabox.left), float(page.mediabox.bottom)
    base = np.array([[unit, 0, -left * unit], [0, unit, -bottom * unit], [0, 0, 1]])
    return list(_drawn(reader, page.get_contents(), page.get("/Resources", {}), base))


def _matrix(numbers) -> np.ndarray:
    a, b, c, d, e, f = (float(number) for number in numbers)
    return np.array([[a, c, e], [b, d, f], [0, 0, 1]])


def _drawn(reader: PdfReader, contents, resources, matrix: np.ndarray) -> Iterator[Segment]:
    if contents is None:
        return
    kept: list[np.ndarray] = []
    path: list[tuple] = []
    start = here = (0.0, 0.0)
    for operands, operator in ContentStream(contents, reader).operations:
        match operator.decode():
            case "q":
                kept.append(matrix)
            case "Q":
                matrix = kept.pop()
            case "cm":
                matrix = matrix @ _matrix(operands)
            case "m":
                start = here = _point(operands)
            case "l":
                path.append((matrix, here, _point(operands)))
                here = _point(operands)
            case "c" | "v" | "y":
                here = _point(operands[-2:])
            case "h":
                path.append((matrix, here, start))
                here = start
            case "re":
                x, y, w, h = (float(number) for number in operands)
                corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]
                path.extend((matrix, a, b) for a, b in zip(corners, corners[1:]))
                start = here = (x, y)
            case "S" | "s" | "f" | "F" | "f*" | "B" | "B*" | "b" | "b*" as paint:
                if paint in ("s", "b", "b*"):
                    path.append((matrix, here, start))
                yield from (_placed(*line) for line in path if line[1] != line[2])
                path = []
            case "n":
                path = []
            case "Do":
                form = resources.get("/XObject", {}).get(operands[0])
                form = form.get_object() if form is not None else None
                if form is not None and form.get("/Subtype") == "/Form":
                    inner = matrix @ _matrix(form.get("/Matrix", (1, 0, 0, 1, 0, 0)))
                    yield from _drawn(reader, form, form.get("/Resources", resources), inner)


def _point(operands) -> tuple[float, float]:
    return float(operands[0]), float(operands[1])


def _placed(matrix: np.ndarray, begin: tuple, end: tuple) -> Segment:
    x0, y0, _ = matrix @ np.array([*begin, 1.0])
    x1, y1, _ = matrix @ np.array([*end, 1.0])
    return Segment(float(x0), float(y0), float(x1), float(y1))


def bands(lines: list[Segment], height: float) -> list[float]:
    """Lengths of level rectangles of this height: two lines, one straight above the other."""
    level = sorted(
        {
            (round(min(line.x0, line.x1), 3), round(max(line.x0, line.x1), 3), round(line.y0, 3))
            for line in lines
            if abs(line.y0 - line.y1) < 1e-3
        }
    )
    return [
        right - left
        for left, right, y in level
        for other_left, other_right, other_y in level
        if abs(other_left - left) < 5e-3
        and abs(other_right - right) < 5e-3
        and abs(other_y - y - height) < 5e-3
    ]


def combs(lines: list[Segment], pitch: float, tolerance: float) -> list[int]:
    """Runs of parallel, equally long marks that stand `pitch` apart, as counts of gaps.

    Every mark of a run is held against the first, so that small errors cannot add up.
    Marks lie along x or y; a mark drawn twice counts once.
    """
    runs = []
    for upright in (True, False):
        groups: dict[tuple, set[float]] = {}
        for line in lines:
            low, high = sorted((line.y0, line.y1) if upright else (line.x0, line.x1))
            place, other = (line.x0, line.x1) if upright else (line.y0, line.y1)
            if abs(place - other) < 1e-3 and high - low > 0.5:
                groups.setdefault((round(low, 2), round(high, 2)), set()).add(round(place, 4))
        for places in groups.values():
            left = sorted(places)
            while left:
                first, gaps = left[0], 0
                used = [first]
                while (mark := _near(left, first + (gaps + 1) * pitch, tolerance)) is not None:
                    gaps += 1
                    used.append(mark)
                if gaps > 0:
                    runs.append(gaps)
                left = [place for place in left if place not in used]
    return runs


def _near(places: list[float], wanted: float, tolerance: float) -> float | None:
    return next((place for place in places if abs(place - wanted) <= tolerance), None)
