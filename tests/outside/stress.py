"""Our stress solver against CalculiX and scikit-fem on the same cubes with the same forces.

The example `pierced` of rondure-stress writes the cubes of a pierced ball, squeezed on two seats, and the
motions we found. CalculiX (C3D8I, from Debian) and scikit-fem (bubbles written here, condensed) share no
code with ours. First a spoilt answer, which the comparison must refuse.
"""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np

import lattice
from checks import Checks

TOLERANCE = 1e-5
"""Of the largest motion; CalculiX prints seven digits."""


def written(program: Path, folder: Path, edge: float, grain: str) -> lattice.Lattice:
    words = [str(program), str(edge), str(folder)] + ([grain] if grain else [])
    said = subprocess.run(words, capture_output=True, text=True, check=True).stdout
    print(f"  {json.loads(said)['unknowns']} unknowns")
    return lattice.read(folder)


def main() -> None:
    program, scratch = Path(sys.argv[1]), Path(sys.argv[2])
    checks = Checks()
    with checks.subject("A spoilt answer"):
        cubes = written(program, scratch / "spoilt", 4.0, "")
        rigid = np.array([0.3, -0.2, 0.1]) + np.cross([1e-3, 2e-3, -1e-3], cubes.nodes)
        gap = lattice.apart(cubes, cubes.motions + rigid)
        checks.holds(gap < 1e-6, "a small rigid motion makes no difference", f"{gap:.1e}")
        gap = lattice.apart(cubes, 1.0001 * cubes.motions)
        checks.holds(gap > 5e-5, "one part in ten thousand does", f"{gap:.1e}")
    with checks.subject("The pierced ball in cubes of 2 mm, grain askew, by CalculiX"):
        cubes = written(program, scratch / "tilted", 2.0, "tilted")
        theirs, seconds = lattice.calculix(cubes, scratch / "tilted")
        gap = lattice.apart(cubes, theirs)
        checks.holds(gap < TOLERANCE, "all motions agree to 1e-5", f"{gap:.1e}, {seconds:.1f} s")
    for edge, grain in ((3.0, ""), (3.0, "tilted")):
        with checks.subject(f"The pierced ball in cubes of {edge:.0f} mm {grain}, by scikit-fem"):
            cubes = written(program, scratch / f"finite{grain}", edge, grain)
            theirs, seconds = lattice.scikit_fem(cubes)
            gap = lattice.apart(cubes, theirs)
            checks.holds(gap < 1e-7, "all motions agree to 1e-7", f"{gap:.1e}, {seconds:.1f} s")
    checks.end()


main()
