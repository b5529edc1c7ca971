"""Another size, solved a second time with scipy.

The smooth parts of `rondure rescale` are a convex quadratic for each finial and, where only one wall
stands in the way, a small nonlinear programme for depth and land. Both are put to scipy's
optimisers from the plan's own numbers; the command's answer may differ by what rule and callipers
hold, and may never be better than the continuous optimum.
"""

import json
import math
import tomllib

import numpy as np
from scipy.optimize import LinearConstraint, minimize

from checks import Checks
from rondure import EXAMPLES, from_command_line

CALLIPERS = 0.1
RULE = 0.5
NECK = 2.5
COVER = 1.0
SHAPES = ("fillet", "cove", "bead", "ogee", "taper", "ball")


def mm(text: str) -> float:
    """A length as the demo writes it."""
    number, unit = text.split()
    assert unit == "mm", text
    return float(number)


def rescaled(rondure, plan, diameter: str, *words: str) -> dict:
    done = rondure.run("rescale", str(plan), "--diameter", diameter, "--json", *words)
    answer = json.loads(done.stdout)["rescaled"]
    if answer is None:
        raise RuntimeError(f"no answer at {diameter}: {done.stdout.decode()}")
    return answer


def finial(checks: Checks, old: dict, new: dict, scale: float, bore: float) -> None:
    """The bottom finial: only necks and the shoulder bound it, so the optimum is one programme."""
    names = [next(key for key in SHAPES if key in part) for part in old["shape"]]
    keys = [("ball" if name == "ball" else "diameter" if "diameter" in part else "to")
            for name, part in zip(names, old["shape"], strict=True)]
    wished = np.array([scale * mm(part[key]) for part, key in zip(old["shape"], keys, strict=True)])
    least = np.full(len(wished), -np.inf)
    least[0] = math.log((bore + 2 * COVER) / wished[0])
    for index, name in enumerate(names[:-1]):
        if name in ("cove", "ogee", "taper"):
            least[index] = math.log(NECK / wished[index])

    def cost(u: np.ndarray) -> float:
        return float(u @ u + np.diff(u) @ np.diff(u))

    def slope(u: np.ndarray) -> np.ndarray:
        d = np.diff(u)
        g = 2 * u
        g[1:] += 2 * d
        g[:-1] -= 2 * d
        return g

    start = np.maximum(least, 0.0)
    for method, extra in (
        ("L-BFGS-B", {"bounds": [(low, None) for low in least]}),
        ("SLSQP", {"bounds": [(low, None) for low in least]}),
        ("trust-constr", {"constraints": [LinearConstraint(np.eye(len(least)), least, np.inf)]}),
    ):
        found = minimize(cost, start, jac=slope, method=method, tol=1e-12, **extra)
        best = wished * np.exp(found.x)
        worst = max(
            abs(mm(part[key]) - exact)
            for part, key, exact in zip(new["shape"], keys, best, strict=True)
        )
        checks.holds(
            worst <= CALLIPERS + 1e-3,
            f"every diameter is {method}'s within a step of the callipers",
            f"{worst:.3f} mm",
        )
    lengths = [(scale * mm(a[name]), mm(b[name]))
               for name, a, b in zip(names, old["shape"], new["shape"], strict=True) if name != "ball"]
    worst = max(abs(wish - got) for wish, got in lengths)
    checks.holds(worst <= RULE / 2 + 1e-9, "every length is its wish within half a step of the rule", f"{worst:.3f} mm")


def wall(checks: Checks, rondure, limit: float) -> None:
    """Depth and hole on coves that touch, where only the wood between the rims stands in the way."""
    flat, hole, depth, pitch = 27.7, 12.0, 5.0, 2 * math.pi / 8

    def gap(x: np.ndarray) -> float:
        return 2 * (flat - x[0]) * math.sin(pitch / 2) - x[1] - limit

    def cost(x: np.ndarray) -> float:
        return math.log(x[0] / depth) ** 2 + math.log(x[1] / hole) ** 2

    found = minimize(
        cost, [4.5, 11.0], method="SLSQP", tol=1e-14,
        bounds=[(3.4, 7.4), (8.0, 18.0)], constraints=[{"type": "ineq", "fun": gap}],
    )
    # Depth, land, hole, half a bore and two finials share the mean.
    exact = math.sqrt(found.fun / 5.5)
    text = (EXAMPLES / "lavender-ball-60.toml").read_text(encoding="utf-8")
    text = text.replace('land  = "2 mm"', 'land  = "0 mm"')
    plan = rondure.scratch / f"wall-{limit}.toml"
    plan.write_text(text + f'\n[limits]\nweb = "{limit} mm"\n', encoding="utf-8")
    ours = rescaled(rondure, plan, "60 mm", "--keep", "bore,cove.land,finials")["unlikeness"]
    # The callipers' step of the depth, and half a millimetre from bit to bit.
    step = math.hypot(CALLIPERS / depth, 0.5 / hole) / math.sqrt(5.5)
    checks.holds(
        exact - 1e-9 <= ours <= exact + step,
        f"with a wall of {limit} mm no less is lost than SLSQP loses, and no more than steps cost",
        f"{ours:.5f}, SLSQP {exact:.5f}, a step {step:.5f}",
    )


def main() -> None:
    rondure, _ = from_command_line()
    checks = Checks()
    plan = EXAMPLES / "lavender-ball-60.toml"
    old = tomllib.loads(plan.read_text(encoding="utf-8"))
    for diameter in (40, 45, 52, 77, 90):
        with checks.subject(f"the bottom finial at {diameter} mm"):
            new = tomllib.loads(rescaled(rondure, plan, f"{diameter} mm")["text"])
            finial(
                checks, old["finials"]["bottom"], new["finials"]["bottom"],
                diameter / 60, mm(new["bore"]["diameter"]),
            )
    for limit in (5.5, 5.6, 6.0):
        with checks.subject(f"a wall of {limit} mm"):
            wall(checks, rondure, limit)
    checks.end()


if __name__ == "__main__":
    main()
