"""Reads curves, not only straight lines: SVG path data, PDF paths, and sheets seen through windows.

SVG: the path grammar of SVG 2, 9.3, with the arc's centre by its appendix B.2.4. PDF:
drawing orders of ISO 32000-1, 8.5, cubic pieces by their own polynomial; a clipping
rectangle (8.5.4) makes a page a window. Everything becomes points in mm, dense enough
that a chord stays within 0.001 mm of its curve.
"""

import math
import re
from dataclasses import dataclass, field

import numpy as np
from pypdf import PdfReader
from pypdf.generic import ContentStream

from pages import MM_PER_POINT, _matrix, _point

STEP = 0.5
"""Distance of points sampled for cutting a curve at a window's edge, mm."""


def svg_path(data: str) -> list[np.ndarray]:
    """Subpaths of absolute M, L, A, Z commands as points; other commands are refused."""
    runs: list[list[tuple[float, float]]] = []
    for letter, rest in re.findall(r"([A-Za-z])([^A-Za-z]*)", data):
        numbers = [float(each) for each in rest.replace(",", " ").split()]
        match letter:
            case "M":
                runs.append([tuple(numbers)])
            case "L":
                runs[-1].append(tuple(numbers))
            case "A":
                runs[-1].extend(_svg_arc(runs[-1][-1], numbers))
            case "Z":
                runs[-1].append(runs[-1][0])
            case other:
                raise ValueError(f"path command {other}")
    return [np.array(run) for run in runs]


def _svg_arc(begin: tuple[float, float], numbers: list[float]) -> list[tuple[float, float]]:
    radius, other, turn, large, sweep, x, y = numbers
    if radius != other or turn != 0 or large != 0:
        raise ValueError("only arcs of a circle, of half a turn or less")
    half = 0.5 * math.dist(begin, (x, y))
    middle = (0.5 * (begin[0] + x), 0.5 * (begin[1] + y))
    # A rounded chord of half a turn may be a hair longer than the diameter.
    off = math.sqrt(max(radius * radius - half * half, 0.0)) / max(half, 1e-12)
    way = 1 if sweep else -1
    centre = (middle[0] - way * off * (y - begin[1]) / 2, middle[1] + way * off * (x - begin[0]) / 2)
    start = math.atan2(begin[1] - centre[1], begin[0] - centre[0])
    angle = math.atan2(y - centre[1], x - centre[0]) - start
    angle = way * ((way * angle) % (2 * math.pi))
    steps = max(8, math.ceil(abs(angle) / (2 * math.acos(1 - min(0.0005 / radius, 0.5)))))
    real = math.dist(begin, centre)
    points = [
        (centre[0] + real * math.cos(start + angle * k / steps), centre[1] + real * math.sin(start + angle * k / steps))
        for k in range(1, steps)
    ]
    return [*points, (x, y)]


@dataclass
class Drawn:
    """What a page draws: curves with the window each is seen through, none where it is seen whole."""

    curves: list[tuple[np.ndarray, tuple | None]] = field(default_factory=list)


def pdf_page(reader: PdfReader, page) -> list[np.ndarray]:
    """Every stroked or filled subpath of a page, mm, y up."""
    return [points for points, _ in _page(reader, page).curves]


def _page(reader: PdfReader, page) -> Drawn:
    unit = float(page.get("/UserUnit", 1.0)) * MM_PER_POINT
    left, bottom = float(page.mediabox.left), float(page.mediabox.bottom)
    base = np.array([[unit, 0, -left * unit], [0, unit, -bottom * unit], [0, 0, 1]])
    drawn = Drawn()
    _draw(reader, page.get_contents(), page.get("/Resources", {}), base, None, drawn)
    return drawn


def _draw(reader, contents, resources, matrix, window, drawn: Drawn) -> None:
    kept = []
    runs: list[list[np.ndarray]] = []
    clips = False

    def placed(x: float, y: float) -> np.ndarray:
        return (matrix @ np.array([x, y, 1.0]))[:2]

    for operands, operator in ContentStream(contents, reader).operations:
        match operator.decode():
            case "q":
                kept.append((matrix, window))
            case "Q":
                matrix, window = kept.pop()
            case "cm":
                matrix = matrix @ _matrix(operands)
            case "m":
                runs.append([placed(*_point(operands))])
            case "l":
                runs[-1].append(placed(*_point(operands)))
            case "c":
                a, b, c = (placed(*_point(operands[k : k + 2])) for k in (0, 2, 4))
                start = runs[-1][-1]
                steps = 32
                for t in (k / steps for k in range(1, steps + 1)):
                    u = 1 - t
                    runs[-1].append(u**3 * start + 3 * u * u * t * a + 3 * u * t * t * b + t**3 * c)
            case "h":
                runs[-1].append(runs[-1][0])
            case "re":
                x, y, w, h = (float(number) for number in operands)
                corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]
                runs.append([placed(*corner) for corner in corners])
            case "W" | "W*":
                clips = True
            case "S" | "s" | "f" | "F" | "f*" | "B" | "B*" | "b" | "b*" | "n" as paint:
                if paint in ("s", "b", "b*"):
                    runs[-1].append(runs[-1][0])
                if clips:
                    corners = np.array(runs[-1])
                    window = (*corners.min(axis=0), *corners.max(axis=0))
                if paint != "n":
                    drawn.curves.extend((np.array(run), window) for run in runs if len(run) > 1)
                runs, clips = [], False
            case "Do":
                form = resources.get("/XObject", {}).get(operands[0])
                form = form.get_object() if form is not None else None
                if form is not None and form.get("/Subtype") == "/Form":
                    inner = matrix @ _matrix(form.get("/Matrix", (1, 0, 0, 1, 0, 0)))
                    _draw(reader, form, form.get("/Resources", resources), inner, window, drawn)


@dataclass
class Tile:
    """One sheet of a drawing: its window, what is seen through it, and its lettered crosses."""

    window: tuple
    curves: list[np.ndarray]
    crosses: dict[str, np.ndarray]


def tile(reader: PdfReader, page) -> Tile | None:
    """A page's window, where it has one."""
    curves = _page(reader, page).curves
    windows = {window for _, window in curves if window is not None}
    if len(windows) != 1:
        return None
    (window,) = windows
    inside = [points for points, seen in curves if seen is not None]
    return Tile(window, [run for points in inside for run in _within(points, window)], _crosses(page, inside))


def _within(points: np.ndarray, window: tuple) -> list[np.ndarray]:
    """The stretches of a curve inside a window, to within STEP of its edge."""
    dense = [points[:1]]
    for begin, end in zip(points, points[1:]):
        count = max(1, math.ceil(np.hypot(*(end - begin)) / STEP))
        dense.append(begin + (end - begin) * (np.arange(1, count + 1) / count)[:, None])
    dense = np.concatenate(dense)
    x0, y0, x1, y1 = window
    seen = (dense[:, 0] >= x0) & (dense[:, 0] <= x1) & (dense[:, 1] >= y0) & (dense[:, 1] <= y1)
    cuts = np.flatnonzero(np.diff(seen)) + 1
    parts = zip(np.split(dense, cuts), np.split(seen, cuts), strict=True)
    return [part for part, here in parts if here[0] and len(part) > 1]


def _crosses(page, curves: list[np.ndarray]) -> dict[str, np.ndarray]:
    """Middles of a level and an upright line of one length, by the letter beside them."""
    level, upright = [], []
    for points in curves:
        if len(points) == 2:
            (dx, dy), middle = np.abs(points[1] - points[0]), points.mean(axis=0)
            if dy < 1e-3 and dx > 5:
                level.append((dx, middle))
            if dx < 1e-3 and dy > 5:
                upright.append((dy, middle))
    middles = [
        at
        for length, at in level
        for other, there in upright
        if abs(length - other) < 0.01 and np.hypot(*(at - there)) < 0.01
    ]
    letters = []

    def seen(text, cm, tm, _font, _size):
        words = text.strip()
        if re.fullmatch(r"[A-Z]{1,2}", words):
            place = np.array([*_matrix(cm) @ _matrix(tm) @ np.array([0, 0, 1.0])])[:2]
            letters.append((words, place * MM_PER_POINT))

    page.extract_text(visitor_text=seen)
    found = {}
    for at in middles:
        near = [(np.hypot(*(place - at)), words) for words, place in letters]
        if near and min(near)[0] < 4:
            found[min(near)[1]] = at
    return found


@dataclass
class Joined:
    """Sheets laid cross on cross."""

    placed: list[list[np.ndarray]]
    frame: tuple[np.ndarray, np.ndarray]
    crosses: int
    worst: float
    left_over: list[int]


def joined(tiles: list[Tile]) -> Joined:
    """Lays every sheet to one that lies already, by two crosses at least that both carry."""
    shifts = {0: np.zeros(2)}
    grown = True
    while grown:
        grown = False
        for number, each in enumerate(tiles):
            if number in shifts:
                continue
            for other, by in list(shifts.items()):
                both = sorted(set(each.crosses) & set(tiles[other].crosses))
                if len(both) >= 2:
                    gaps = [tiles[other].crosses[k] + by - each.crosses[k] for k in both]
                    shifts[number] = np.mean(gaps, axis=0)
                    grown = True
                    break
    places: dict[str, list[np.ndarray]] = {}
    for number, by in shifts.items():
        for letter, at in tiles[number].crosses.items():
            places.setdefault(letter, []).append(at + by)
    shared = {letter: ats for letter, ats in places.items() if len(ats) >= 2}
    worst = max((float(np.hypot(*(a - ats[0]))) for ats in shared.values() for a in ats), default=math.inf)
    if any(len(ats) != 2 for ats in places.values()):
        worst = math.inf
    lows = [np.array(tiles[number].window[:2]) + by for number, by in shifts.items()]
    highs = [np.array(tiles[number].window[2:]) + by for number, by in shifts.items()]
    return Joined(
        placed=[[points + by for points in tiles[number].curves] for number, by in shifts.items()],
        frame=(np.min(lows, axis=0), np.max(highs, axis=0)),
        crosses=len(shared),
        worst=worst,
        left_over=[number for number in range(len(tiles)) if number not in shifts],
    )
