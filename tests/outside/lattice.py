"""The lattice of cubes that our solver worked with, handed to other solvers.

`read` takes what the example `pierced` of rondure-stress wrote. `calculix` and `scikit_fem` solve
the same cubes with the same forces: the eight-node brick with incompatible modes, each cube
as stiff as its share of wood. Nothing holds the piece, so six motions of three nodes are pinned,
which meets no force, and what is left of rigid motion is taken out before comparing.
"""

import os
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np


@dataclass
class Lattice:
    """Cubes, forces and our motions."""

    nodes: np.ndarray
    corners: np.ndarray
    share: np.ndarray
    forces: np.ndarray
    motions: np.ndarray
    law: np.ndarray
    """Stress from strain in the axes of space: xx, yy, zz, xy, yz, zx."""
    own: np.ndarray
    """The same along L, R and T."""
    along: np.ndarray
    radial: np.ndarray

    def pinned(self) -> tuple[int, int, int]:
        """Three nodes far apart, not on one line."""
        a = int(np.argmin(self.nodes[:, 0]))
        b = int(np.argmax(np.linalg.norm(self.nodes - self.nodes[a], axis=1)))
        line = self.nodes[b] - self.nodes[a]
        c = int(np.argmax(np.linalg.norm(np.cross(self.nodes - self.nodes[a], line), axis=1)))
        return a, b, c


def read(folder: Path) -> Lattice:
    def numbers(name: str, columns: int) -> np.ndarray:
        return np.fromfile(folder / f"{name}.f64", dtype="<f8").reshape(-1, columns)

    cubes = numbers("cubes", 9)
    grain = numbers("grain", 3)
    return Lattice(
        numbers("nodes", 3),
        cubes[:, :8].astype(np.int64),
        cubes[:, 8],
        numbers("forces", 3),
        numbers("motions", 3),
        numbers("law", 6),
        numbers("own", 6),
        grain[0],
        grain[1],
    )


def without_rigid(nodes: np.ndarray, motions: np.ndarray) -> np.ndarray:
    """Motions less the rigid one that comes nearest to them."""
    at = nodes - nodes.mean(axis=0)
    shift = motions.mean(axis=0)
    rest = motions - shift
    # Least squares for the turn: sum (|p|^2 1 - p p^T) w = sum p x u.
    second = (at**2).sum() * np.eye(3) - at.T @ at
    turn = np.linalg.solve(second, np.cross(at, rest).sum(axis=0))
    return rest - np.cross(np.broadcast_to(turn, at.shape), at)


def apart(lattice: Lattice, theirs: np.ndarray) -> float:
    """The largest difference of a motion, as a share of the largest motion."""
    ours = without_rigid(lattice.nodes, lattice.motions)
    other = without_rigid(lattice.nodes, theirs)
    return float(np.abs(ours - other).max() / np.abs(other).max())


def calculix(lattice: Lattice, folder: Path, program: str = "ccx") -> tuple[np.ndarray, float]:
    """Motions by CalculiX (C3D8I), and the seconds its whole run took."""
    folder.mkdir(parents=True, exist_ok=True)
    order = [0, 1, 3, 2, 4, 5, 7, 6]
    text = ["*NODE, NSET=ALL"]
    text += [f"{i + 1},{x:.9g},{y:.9g},{z:.9g}" for i, (x, y, z) in enumerate(lattice.nodes)]
    s = np.linalg.inv(lattice.own)
    young = [1 / s[i, i] for i in range(3)]
    # nu_ij = -s_ji E_i; its own order of shears is 12, 13, 23, ours LR, RT, TL.
    poisson = [-s[1, 0] * young[0], -s[2, 0] * young[0], -s[2, 1] * young[1]]
    shear = [lattice.own[3, 3], lattice.own[5, 5], lattice.own[4, 4]]
    shares = np.unique(lattice.share)
    for index, share in enumerate(shares):
        text.append(f"*ELEMENT, TYPE=C3D8I, ELSET=E{index}")
        for cube in np.flatnonzero(lattice.share == share):
            nodes = ",".join(str(n + 1) for n in lattice.corners[cube][order])
            text.append(f"{cube + 1},{nodes}")
    along = lattice.along / np.linalg.norm(lattice.along)
    radial = lattice.radial
    text.append("*ORIENTATION, NAME=GRAIN, SYSTEM=RECTANGULAR")
    text.append(",".join(f"{x:.12g}" for x in [*along, *radial]))
    for index, share in enumerate(shares):
        numbers = [*(share * e for e in young), *poisson, *(share * g for g in shear)]
        text.append(f"*MATERIAL, NAME=M{index}\n*ELASTIC, TYPE=ENGINEERING CONSTANTS")
        text.append(",".join(f"{x:.9g}" for x in numbers[:8]))
        text.append(f"{numbers[8]:.9g}")
        text.append(f"*SOLID SECTION, ELSET=E{index}, MATERIAL=M{index}, ORIENTATION=GRAIN")
    text.append("*BOUNDARY")
    a, b, c = lattice.pinned()
    text += [f"{a + 1},1,3", *(f"{node + 1},{way},{way}" for node, way in held(lattice, a, b, c))]
    text.append("*STEP\n*STATIC\n*CLOAD")
    for node, force in enumerate(lattice.forces):
        text += [f"{node + 1},{way + 1},{f:.12g}" for way, f in enumerate(force) if f != 0]
    text.append("*NODE PRINT, NSET=ALL\nU\n*END STEP\n")
    (folder / "cubes.inp").write_text("\n".join(text))
    cores = str(os.cpu_count() or 1)
    environment = {**os.environ, "OMP_NUM_THREADS": cores, "CCX_NPROC_EQUATION_SOLVER": cores}
    start = time.perf_counter()
    done = subprocess.run(
        [program, "cubes"], cwd=folder, env=environment, capture_output=True, text=True, check=False
    )
    seconds = time.perf_counter() - start
    if done.returncode != 0:
        raise RuntimeError(f"CalculiX stopped: {done.stdout[-400:]}")
    rows = [line.split() for line in (folder / "cubes.dat").read_text().splitlines()]
    motions = np.zeros_like(lattice.nodes)
    for row in rows:
        if len(row) == 4 and row[0].isdigit():
            motions[int(row[0]) - 1] = [float(x) for x in row[1:]]
    return motions, seconds


def held(lattice: Lattice, a: int, b: int, c: int) -> list[tuple[int, int]]:
    """Three more motions to pin, so that with node `a` whole no rigid motion is left: of `b` the
    two directions least along the line to it, of `c` the one most out of the plane."""
    line = lattice.nodes[b] - lattice.nodes[a]
    along = int(np.argmax(np.abs(line)))
    first = [(b, way + 1) for way in range(3) if way != along]
    normal = np.cross(line, lattice.nodes[c] - lattice.nodes[a])
    normal[along] = 0
    return [*first, (c, int(np.argmax(np.abs(normal))) + 1)]


def scikit_fem(lattice: Lattice, pardiso: bool = False) -> tuple[np.ndarray, float]:
    """Motions by scikit-fem, with the three bubbles of each cube as unknowns of their own, solved
    directly by scipy or, where it is installed, by pardiso; and the seconds it took."""
    import scipy.sparse as sparse
    import scipy.sparse.linalg as direct
    from skfem import Basis, BilinearForm, ElementHex1, ElementVector, MeshHex, condense
    from skfem.element import ElementH1
    from skfem.refdom import RefHex

    class Bubbles(ElementH1):
        """1 - xi^2 and its like over a cube from 0 to 1: 4 x (1 - x)."""

        nodal_dofs = 0
        interior_dofs = 3
        maxdeg = 2
        dofnames = ["a", "b", "c"]
        doflocs = np.full((3, 3), 0.5)
        refdom = RefHex

        def lbasis(self, points, index):
            slope = np.zeros_like(points)
            slope[index] = 4 - 8 * points[index]
            return 4 * points[index] * (1 - points[index]), slope

    start = time.perf_counter()
    # Corners in the order of its own unit cube.
    own = (MeshHex.init_refdom().p.T > 0.5) @ np.array([1, 2, 4])
    mesh = MeshHex(lattice.nodes.T, np.ascontiguousarray(lattice.corners[:, own].T))
    law = lattice.law

    def strain(u):
        g = u.grad
        return [
            g[0][0],
            g[1][1],
            g[2][2],
            g[0][1] + g[1][0],
            g[1][2] + g[2][1],
            g[2][0] + g[0][2],
        ]

    @BilinearForm
    def work(u, v, w):
        a, b = strain(u), strain(v)
        return w["share"] * sum(
            law[i, j] * a[j] * b[i] for i in range(6) for j in range(6) if law[i, j] != 0
        )

    corners = Basis(mesh, ElementVector(ElementHex1()), intorder=3)
    bubbles = Basis(mesh, ElementVector(Bubbles()), intorder=3)
    share = np.broadcast_to(lattice.share[:, None], corners.dx.shape)
    k = work.assemble(corners, share=share)
    mixed = work.assemble(corners, bubbles, share=share)
    inner = work.assemble(bubbles, share=share)
    # The bubbles of a cube meet no other's: nine by nine blocks, condensed out.
    inner = inner.tocsr()
    dofs = bubbles.element_dofs
    rows = np.repeat(dofs.T[:, :, None], dofs.shape[0], axis=2)
    columns = np.swapaxes(rows, 1, 2)
    dense = np.asarray(inner[rows.ravel(), columns.ravel()]).reshape(rows.shape)
    inverse = sparse.csr_matrix(
        (np.linalg.inv(dense).ravel(), (rows.ravel(), columns.ravel())), shape=inner.shape
    )
    k = (k - mixed.T @ inverse @ mixed).tocsr()
    f = np.zeros(corners.N)
    for way in range(3):
        f[corners.nodal_dofs[way]] = lattice.forces[:, way]
    a, b, c = lattice.pinned()
    fixed = [corners.nodal_dofs[way, a] for way in range(3)]
    fixed += [corners.nodal_dofs[way - 1, node] for node, way in held(lattice, a, b, c)]
    matrix, right, x, free = condense(k, f, D=np.array(fixed))
    if pardiso:
        import pypardiso

        x[free] = pypardiso.spsolve(matrix.tocsr(), right)
    else:
        x[free] = direct.spsolve(matrix.tocsc(), right)
    seconds = time.perf_counter() - start
    return x[corners.nodal_dofs].T, seconds
