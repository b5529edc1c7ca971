"""The checker checked, against closed forms and planted answers.

A check that leans on a wrong reference proves nothing, so the reference comes first.
"""

import math

import numpy as np

from brackets import Bracket, ball, cylinder, drilled, square, waist
from checks import Checks
from coved_ball import Numbers, after_each_setup
from finial_checked import check_finials
from lengths import length
from readers_checked import check_pages, check_surfaces


def volume_is(checks: Checks, body: Bracket, true: float, says: str, width: float = 4e-4) -> None:
    """The bracket holds the closed form, and is narrow enough to mean something."""
    low, high = body.volume()
    checks.holds(
        low <= true <= high and high - low <= width * true,
        says,
        f"{true:.4f} in {low:.4f} to {high:.4f}",
    )


def round_bodies(checks: Checks) -> None:
    print("Round bodies")
    volume_is(checks, ball(30), 4 / 3 * math.pi * 30**3, "ball, V = 4/3 pi R^3")
    volume_is(checks, cylinder(7, -2, 5), math.pi * 49 * 7, "cylinder, V = pi r^2 h")
    # A circle reaching past the sides of a square but not its corners leaves in it the
    # circle less four segments.
    r, a = 11.0, 20.0
    half = math.acos(a / 2 / r)
    segment = r**2 * (half - math.sin(half) * math.cos(half))
    volume_is(
        checks,
        square(a, 0, 3).common(cylinder(r, -1, 4)),
        3 * (math.pi * r**2 - 4 * segment),
        "square billet, corners turned off",
    )
    volume_is(
        checks,
        drilled(3, 0, 10, 1.8),
        math.pi * 9 * 10 + math.pi * 9 * 1.8 / 3,
        "hole with a drill point, cylinder and cone",
    )
    # A point 118 degrees wide is 0.300 d long (trade-facts 9.15: 0.5 / tan 59 deg).
    checks.near(0.5 / math.tan(math.radians(59)), 0.300, 5e-4, "length of a 118 degree point over d")
    # Pappus (trade-facts 9.9): the groove is a circle segment turned about the axis.
    # Its centroid lies 4 r sin^3(a) / (3 (2 a - sin 2a)) from the arc's centre (mathworld CircularSegment).
    bottom, arc, width = 20.0, 8.0, 6.0
    half_angle = math.asin(width / arc)
    area = arc**2 / 2 * (2 * half_angle - math.sin(2 * half_angle))
    offset = 4 * arc * math.sin(half_angle) ** 3 / (3 * (2 * half_angle - math.sin(2 * half_angle)))
    edge = bottom + arc - arc * math.cos(half_angle)
    groove = 2 * math.pi * (bottom + arc - offset) * area
    volume_is(
        checks,
        cylinder(edge, -width, width).minus(waist(bottom, arc, width)),
        groove,
        "groove of circular section, by Pappus",
        width=4e-3,
    )


def bored_ball(checks: Checks) -> None:
    print("Napkin rings: V = pi h^3 / 6 for any ball (trade-facts 9.4)")
    for radius, bore in ((30.0, 8.0), (24.0, 20.0), (42.0, 3.0)):
        height = 2 * math.sqrt(radius**2 - bore**2)
        volume_is(
            checks,
            ball(radius).minus(cylinder(bore, -2 * radius, 2 * radius)),
            math.pi * height**3 / 6,
            f"ball {2 * radius:g} mm, bore {2 * bore:g} mm",
            width=3e-3,
        )


def crossing_cylinders(checks: Checks) -> None:
    print("Cylinders through one centre")
    rod = cylinder(10, -40, 40)
    for count in (2, 3, 4, 6):
        body = rod.along((1, 0, 0))
        for k in range(1, count):
            turn = math.pi * k / count
            body = body.common(rod.along((math.cos(turn), math.sin(turn), 0)))
        volume_is(
            checks,
            body,
            8 / 3 * count * math.tan(math.pi / 2 / count) * 1000,
            f"{count} in one plane, V = 8/3 n tan(90/n) r^3 (trade-facts 9.8)",
        )
    body = rod.common(rod.along((1, 0, 0))).common(rod.along((0, 1, 0)))
    volume_is(
        checks,
        body,
        8 * (2 - math.sqrt(2)) * 1000,
        "three square to each other, V = 8 (2 - sqrt 2) r^3 (trade-facts 9.6)",
    )


def example() -> Numbers:
    """A 60 mm ball of eight marks, coves from edge to edge of a 20 degree half-angle."""
    return Numbers(
        diameter=60.0,
        marks=8,
        half_width=30 * math.sin(math.radians(20)),
        flat=60 * math.cos(math.radians(20)),
        bottom=60 * math.cos(math.radians(20)) - 12,
        bore=10.0,
        marker=2.0,
        marker_depth=10.0,
        marker_point=0.6,
        pierce=8.0,
    )


def inside(numbers: Numbers, points: np.ndarray, mountings: int, pierced: bool) -> np.ndarray:
    """Which points are wood, straight from the definition, with no mesh at all."""
    radius, half = numbers.radius, numbers.half_width
    x, y, z = points.T
    wood = (x**2 + y**2 + z**2 < radius**2) & (x**2 + y**2 > (numbers.bore / 2) ** 2)
    arc = numbers.arc
    centre = numbers.bottom / 2 + arc
    for j in range(mountings):
        turn = 2 * math.pi * j / numbers.marks
        t = x * math.cos(turn) + y * math.sin(turn)
        rho = np.sqrt(np.maximum(0, x**2 + y**2 + z**2 - t**2))
        wood &= ~((np.abs(t) < half) & ((rho > centre) | ((rho - centre) ** 2 + t**2 < arc**2)))
        for side in (1, -1):
            out = side * (-x * math.sin(turn) + y * math.cos(turn))
            off = np.sqrt(t**2 + z**2)
            # The point narrows from the full diameter to nothing over its length.
            floor = radius - numbers.marker_depth
            tip = floor - numbers.marker_point * (1 - off / (numbers.marker / 2))
            wood &= ~((off < numbers.marker / 2) & (out > tip))
            if pierced:
                wood &= ~((off < numbers.pierce / 2) & (out > 0))
    return wood


def coved_ball(checks: Checks) -> None:
    print("Coved ball against counting points of the definition")
    numbers = example()
    side = numbers.diameter
    points = evenly_spread(2_000_000) * side - numbers.radius
    half = numbers.marks // 2
    for name, body in after_each_setup(numbers):
        mountings = {"second-end": 0, "pierce": half}.get(name)
        mountings = int(name.split(".")[1]) if mountings is None else mountings
        share = inside(numbers, points, mountings, name == "pierce").mean()
        counted = share * side**3
        low, high = body.volume()
        # Against the brackets the count errs by under 1e-4 here; one cove is 0.1 of the
        # ball, one pierced hole 0.02, one marker hole 3e-4.
        room = 2e-4 * counted
        checks.holds(
            low - room <= counted <= high + room and high - low < 4e-4 * counted,
            f"after {name}",
            f"{counted:.1f} counted, {low:.1f} to {high:.1f}",
        )


def evenly_spread(count: int) -> np.ndarray:
    """Points of the unit cube that fill it evenly, the same on every run.

    The additive recurrence on powers of the real root of g^4 = g + 1. Source: Roberts,
    The unreasonable effectiveness of quasirandom sequences, 2018 (from memory).
    """
    root = 1.2207440846057596
    index = np.arange(1, count + 1)[:, None]
    return (index * root ** -np.arange(1.0, 4.0)) % 1.0


def written_lengths(checks: Checks) -> None:
    print("Lengths as written")
    # 1 in = 25.4 mm exactly (trade-facts 9.16).
    for written, unit, true in (
        (60, "mm", 60.0),
        ("6 cm", "in", 60.0),
        ("2 3/8 in", "mm", 60.325),
        ('2-3/8"', "mm", 60.325),
        ("2.375", "in", 60.325),
        ("1/64 in", "mm", 0.396875),
    ):
        checks.near(length(written, unit), true, 1e-9, f"{written!r} where bare numbers are {unit}")
    try:
        length("2 3/8 ells")
        checks.holds(False, "ells are refused")
    except ValueError:
        checks.holds(True, "ells are refused")


if __name__ == "__main__":
    ledger = Checks()
    written_lengths(ledger)
    round_bodies(ledger)
    bored_ball(ledger)
    crossing_cylinders(ledger)
    coved_ball(ledger)
    check_finials(ledger)
    check_surfaces(ledger)
    check_pages(ledger)
    ledger.end()
