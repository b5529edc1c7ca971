"""The second finial, checked against closed forms shape by shape."""

import math

from brackets import Bracket
from checks import Checks
from finial import body, outline


def check_finials(checks: Checks) -> None:
    print("Shapes of a finial")

    def wood(*shapes: dict) -> Bracket:
        return body(outline(list(shapes), float), tenon=4.0, tenon_length=10.0)

    def holds(built: Bracket, beyond_tenon: float, says: str) -> None:
        true = beyond_tenon + math.pi * 4 * 10
        low, high = built.volume()
        checks.holds(
            low <= true <= high and high - low < 2e-3 * true,
            says,
            f"{true:.3f} in {low:.3f} to {high:.3f}",
        )

    foot = math.pi * 49 * 2
    fillet = {"fillet": 2, "diameter": 14}
    holds(wood(fillet), foot, "fillet, a cylinder")
    # Frustum: V = pi h (R^2 + R r + r^2) / 3.
    frustum = math.pi * 30 * (49 + 7 * 2 + 4) / 3
    holds(wood(fillet, {"taper": 30, "to": 4}), foot + frustum, "taper, a frustum")
    # A ball of radius 5 on a neck of radius 2: all but the cap that the neck takes
    # (trade-facts 9.3: V = pi h^2 (3 R - h) / 3).
    cap = 5 - math.sqrt(25 - 4)
    ball = 4 / 3 * math.pi * 125 - math.pi * cap**2 * (15 - cap) / 3
    built = wood(fillet, {"taper": 30, "to": 4}, {"ball": 10})
    holds(built, foot + frustum + ball, "ball on a neck")
    # Half a circle of radius 3 on a cylinder of radius 7, by Pappus (trade-facts 9.9): the
    # half-disc's centroid lies 4 r / (3 pi) from its diameter.
    bead = math.pi * 49 * 6 + 2 * math.pi * (7 + 4 * 3 / (3 * math.pi)) * math.pi * 9 / 2
    holds(wood(fillet, {"bead": 6, "diameter": 20}), foot + bead, "bead, half a circle")
    # A cove as long as it is deep is a quarter circle of radius 5 taken from the corner of
    # a cylinder of radius 7; its centroid lies 4 r / (3 pi) from both straight sides.
    cove = math.pi * 49 * 5 - 2 * math.pi * (7 - 4 * 5 / (3 * math.pi)) * math.pi * 25 / 4
    holds(wood(fillet, {"cove": 5, "to": 4}), foot + cove, "cove, a quarter circle")
    # An ogee is its own half-turn about its middle (station 5, radius 4.5), so against the
    # straight cone r = 4.5 + u its deviation e is odd: V = pi int ((4.5 + u + e)^2), and
    # the cross terms with 4.5 vanish. With quarter circles of radius 2.5, length and change
    # 5: u + e = sqrt(2.5^2 - (s + 2.5)^2) for s in -2.5..0, odd beyond.
    square = 2 * (2.5**3 - 2.5**3 / 3)
    ogee = math.pi * (4.5**2 * 5 + square)
    holds(wood(fillet, {"ogee": 5, "to": 4}), foot + ogee, "ogee, two quarter circles")
