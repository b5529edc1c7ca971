"""Reads a surface with trimesh and judges it as a body of wood."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import trimesh

from checks import Checks


@dataclass(frozen=True)
class Surface:
    """What a mesh says about itself."""

    watertight: bool
    """Every edge has exactly two faces."""
    consistent: bool
    """Neighbouring faces run the same way round."""
    volume: float
    """mm^3; negative when the surface is inside out."""
    area: float
    """mm^2."""
    pieces: int
    """Outer shells: connected surfaces that hold a positive volume. A shell round a
    hollow inside the wood holds a negative one, and is no piece."""


def read(file: Path) -> Surface:
    """Reads an STL. Corners at the same place are one corner, as STL has no other way."""
    mesh = trimesh.load_mesh(file)
    groups = trimesh.graph.connected_components(
        mesh.face_adjacency, nodes=np.arange(len(mesh.faces)), min_len=1
    )
    corners = mesh.triangles
    # Divergence theorem: six times the volume of each tetrahedron to the origin.
    sixfold = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2]))
    volumes = [sixfold[group].sum() / 6 for group in groups]
    return Surface(
        watertight=bool(mesh.is_watertight),
        consistent=bool(mesh.is_winding_consistent),
        volume=float(sum(volumes)),
        area=float(mesh.area),
        pieces=sum(volume > 0 for volume in volumes),
    )


def check(
    checks: Checks,
    surface: Surface,
    true_volume: tuple[float, float],
    error: float,
    pieces: int | None,
    name: str,
) -> None:
    """Closed, turned outwards, of the right volume, in the right number of pieces.

    `error` is what the surface may differ from the true body by its own account.
    """
    checks.holds(surface.watertight, f"{name}: the surface is closed")
    checks.holds(surface.consistent, f"{name}: its faces all run the same way round")
    mesh = (surface.volume - error, surface.volume + error)
    checks.overlap(mesh, true_volume, f"{name}: volume of the surface, mm3")
    if pieces is not None:
        checks.holds(surface.pieces == pieces, f"{name}: pieces", f"{surface.pieces} of {pieces}")
