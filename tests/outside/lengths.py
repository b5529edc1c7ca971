"""Reads a length as a plan writes it, in millimetres.

Written against the words of the guide, not against our Rust reader, so that the
two can disagree. `60`, `60 mm`, `6 cm`, `2 3/8 in`, `2-3/8"`, `3/8 in`, `2.375 in`;
a bare number takes the plan's unit.
"""

import re
from fractions import Fraction

MILLIMETRES = {"mm": 1.0, "cm": 10.0, "in": 25.4, '"': 25.4, "inch": 25.4, "inches": 25.4}

_WRITTEN = re.compile(
    r"""^\s*(?:
        (?P<whole>\d+)[\s-]+(?P<part>\d+/\d+)   # 2 3/8 or 2-3/8
      | (?P<fraction>\d+/\d+)                   # 3/8
      | (?P<decimal>\d+(?:\.\d*)?|\.\d+)        # 60 or 2.375
    )\s*(?P<unit>mm|cm|inches|inch|in|")?\s*$""",
    re.VERBOSE,
)


def length(written: str | float, unit: str = "mm") -> float:
    """Millimetres of a written length. Raises ValueError when it is none."""
    if isinstance(written, (int, float)):
        return float(written) * MILLIMETRES[unit]
    match = _WRITTEN.match(written)
    if match is None:
        raise ValueError(f"not a length: {written!r}")
    if match["whole"]:
        number = float(int(match["whole"]) + Fraction(match["part"]))
    elif match["fraction"]:
        number = float(Fraction(match["fraction"]))
    else:
        number = float(match["decimal"])
    return number * MILLIMETRES[match["unit"] or unit]
