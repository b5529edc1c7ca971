"""Our 3MF, glTF and STL files, opened by the reference tools of each format.

lib3mf, the 3MF consortium's own library, in its strict mode; the Khronos validator for
glTF; trimesh for all three. Each tool is first shown spoilt files, which it must refuse:
a judge who lets everything pass proves nothing.

The solids come from the example `files` of rondure-mesh, with what is true of them in
`facts.json`: a pierced ball, a parted ball with a hollow, and a finial.
"""

import json
import math
import os
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import lib3mf
import numpy as np
import trimesh

import glb
from checks import Checks

SINGLE = 2.0**-24
"""Rounding to single precision moves a coordinate by at most this share of it."""

ENDINGS = ("3mf", "glb", "stl")


def moved(facts: dict) -> float:
    """The most that rounding to single precision changes the mesh's volume, mm3.

    Every vertex moves by at most sqrt(3) times the rounding of the largest coordinate, and
    no volume changes by more than its area times what its surface moves; twice that, since
    the area moves too.
    """
    largest = max(abs(value) for corner in facts["bounds_mm"] for value in corner)
    return 2 * facts["mesh_area_mm2"] * math.sqrt(3) * SINGLE * largest


def volume_of(vertices: np.ndarray, triangles: np.ndarray) -> float:
    """By the divergence theorem, from a point amid the vertices."""
    a, b, c = (vertices - vertices.mean(axis=0))[triangles.T]
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


class Opened3mf:
    """A 3MF file as lib3mf sees it in strict mode."""

    def __init__(self, file: Path) -> None:
        model = lib3mf.get_wrapper().CreateModel()
        reader = model.QueryReader("3mf")
        reader.SetStrictModeActive(True)
        reader.ReadFromFile(str(file))
        self.warnings = [reader.GetWarning(index) for index in range(reader.GetWarningCount())]
        self.millimetres = model.GetUnit() == lib3mf.ModelUnit.MilliMeter
        group = model.GetMetaDataGroup()
        entries = [group.GetMetaData(index) for index in range(group.GetMetaDataCount())]
        self.metadata = {entry.GetName(): entry.GetValue() for entry in entries}
        objects = model.GetMeshObjects()
        self.objects = objects.Count()
        objects.MoveNext()
        mesh = objects.GetCurrentMeshObject()
        self.manifold = mesh.IsManifoldAndOriented()
        self.vertices = np.array([list(v.Coordinates) for v in mesh.GetVertices()], dtype=float)
        self.triangles = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])
        groups = model.GetBaseMaterialGroups()
        groups.MoveNext()
        materials = groups.GetCurrentBaseMaterialGroup()
        self.colours = {}
        names = {}
        for number in materials.GetAllPropertyIDs():
            colour = materials.GetDisplayColor(number)
            names[number] = materials.GetName(number)
            self.colours[names[number]] = (colour.Red, colour.Green, colour.Blue)
        self.name_of = [names[p.PropertyIDs[0]] for p in mesh.GetAllTriangleProperties()]


def check_3mf(checks: Checks, file: Path, facts: dict) -> Opened3mf:
    opened = Opened3mf(file)
    checks.holds(not opened.warnings, "3MF: lib3mf has no warning", f"{opened.warnings or 'none'}")
    checks.holds(opened.millimetres, "3MF: in millimetres")
    checks.holds(opened.objects == 1, "3MF: one object", f"{opened.objects}")
    checks.holds(opened.manifold, "3MF: lib3mf finds it manifold and oriented")
    checks.holds(
        (len(opened.vertices), len(opened.triangles)) == (facts["vertices"], facts["triangles"]),
        "3MF: every vertex and triangle",
        f"{len(opened.vertices)} and {len(opened.triangles)}",
    )
    volume = volume_of(opened.vertices, opened.triangles)
    checks.near(volume, facts["mesh_volume_mm3"], moved(facts), "3MF: volume, mm3")
    title = opened.metadata.get("Title")
    checks.holds(title == facts["title"], "3MF: title", f"{title}")
    maker = opened.metadata.get("Application", "")
    checks.holds(maker.startswith("Rondure "), "3MF: application", maker)
    checks.holds(len(opened.metadata) == 2, "3MF: no other metadata, and so no date")
    checks.holds(
        set(opened.name_of) == set(opened.colours) <= set(facts["faces"]),
        "3MF: every name is a cut's and is on the mesh",
        ", ".join(opened.colours),
    )
    checks.holds(
        len(set(opened.colours.values())) == len(opened.colours),
        "3MF: every name has a colour of its own",
    )
    return opened


def check_glb(checks: Checks, file: Path, facts: dict, opened: Opened3mf) -> None:
    read = glb.read(file)
    checks.holds(read.left_over == 0, "glTF: no unused data", f"{read.left_over} bytes")
    wanted = {"POSITION", "NORMAL", "COLOR_0", "_CUT"}
    if facts["numbered"]:
        wanted |= {"_THICKNESS", "_VALUE"}
    checks.holds(
        set(read.attributes) == wanted, "glTF: attributes", ", ".join(sorted(read.attributes))
    )
    positions = read.attributes["POSITION"].astype(float)
    normals = read.attributes["NORMAL"].astype(float)
    cuts = read.attributes["_CUT"][:, 0].astype(int)
    checks.holds(
        bool((cuts[read.triangles] == cuts[read.triangles[:, :1]]).all()),
        "glTF: every triangle is of one cut",
    )
    names = read.extras["cuts"]
    shown = [names[cut] for cut in cuts[read.triangles[:, 0]]]
    checks.holds(shown == opened.name_of, "glTF: each triangle has the name it has in the 3MF")
    # sRGB (IEC 61966-2-1, from memory): linear light and back; half a step of 16 bits.
    coded = np.array([opened.colours[names[cut]] for cut in cuts]) / 255
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    off = np.abs(read.attributes["COLOR_0"][:, :3] - linear).max()
    checks.holds(off < 1e-5, "glTF: colours are those of the 3MF, as linear light", f"off by {off:.1e}")

    # A normal stands on its triangles: on a bend the chord error bounds the angle between,
    # but a right angle would be another surface.
    a, b, c = positions[read.triangles.transpose(1, 0)]
    outward = np.cross(b - a, c - a)
    outward /= np.maximum(np.linalg.norm(outward, axis=1, keepdims=True), 1e-300)
    agree = np.einsum("ij,ikj->ik", outward, normals[read.triangles])
    share = float((agree > 0).mean())
    checks.holds(share > 0.999, "glTF: normals face the air", f"{share:.5f} of the corners")
    if facts["numbered"]:
        off = np.abs(read.attributes["_VALUE"][:, 0] - positions[:, 2]).max()
        checks.holds(off == 0, "glTF: the value is the height, as it should be here")
        checks.holds(
            read.extras["value"] == {"name": "height", "unit": "mm"}, "glTF: its name and unit"
        )
    if facts["name"] == "parted-ball":
        check_balls(checks, positions, normals, cuts, read.attributes["_THICKNESS"][:, 0])


def check_balls(
    checks: Checks, positions: np.ndarray, normals: np.ndarray, cuts: np.ndarray, thickness: np.ndarray
) -> None:
    """The parted ball's blank is a ball about the origin, its hollow one about (0, 0, 11):
    their normals are known without any program."""
    for cut, centre, radius, says in ((0, 0.0, 20.0, "ball"), (2, 11.0, -5.0, "hollow")):
        exact = (positions[cuts == cut] - (0, 0, centre)) / radius
        off = np.linalg.norm(normals[cuts == cut] - exact, axis=1).max()
        checks.holds(off < 1e-6, f"glTF: normals of the {says} are exact", f"off by {off:.1e}")
    # At the ball's pole the wall over the hollow is 20 - 16 mm; a ball between two balls
    # along their common axis is stopped only there. Vertices stand some way off the pole.
    pole = np.linalg.norm(positions - (0, 0, 20), axis=1) + np.where(cuts == 0, 0, 1e9)
    near = pole.argmin()
    # Off the pole by s the wall grows by about s^2 / 2 (1/5 - 1/20), its two curvatures.
    grown = pole[near] ** 2 * 0.075
    checks.near(thickness[near], 4.0 + grown / 2, grown / 2 + 1e-2, "glTF: wall over the hollow, mm")


def check_trimesh(checks: Checks, file: Path, facts: dict) -> None:
    ending = file.suffix[1:]
    scene = trimesh.load_scene(file)
    (mesh,) = scene.geometry.values()
    # STL knows no unit; in the other two it is what the format's readers take it to be.
    unit = {"3mf": "millimeter", "glb": "meters", "stl": None}[ending]
    checks.holds(scene.units == unit, f"{ending}: unit read by trimesh", f"{scene.units}")
    placed = scene.to_mesh()
    in_mm = 1e3 if ending == "glb" else 1.0
    # glTF has y upwards, so our z is its y.
    upright = [0, 2, 1] if ending == "glb" else [0, 1, 2]
    size = (placed.extents * in_mm)[upright]
    low, high = np.array(facts["bounds_mm"])
    largest = np.abs([low, high]).max()
    off = np.abs(size - (high - low)).max()
    checks.holds(off < 4 * SINGLE * largest + 2e-7, f"{ending}: size, mm", f"off by {off:.1e}")
    if ending == "3mf":
        checks.holds(
            np.abs(placed.bounds[0]).max() < 1e-6, "3mf: stands in the corner of the build plate"
        )
    # glTF has a vertex on either side of a sharp edge; as a closed surface they are one.
    mesh.merge_vertices(merge_norm=True, merge_tex=True)
    checks.holds(mesh.is_watertight, f"{ending}: trimesh finds it watertight")
    checks.holds(mesh.is_winding_consistent, f"{ending}: turned alike")
    shells = len(trimesh.graph.connected_components(mesh.face_adjacency, min_len=1))
    checks.holds(
        mesh.euler_number == facts["euler"] and shells == facts["shells"],
        f"{ending}: Euler number and shells",
        f"{mesh.euler_number} and {shells}",
    )
    checks.near(mesh.volume, facts["mesh_volume_mm3"], moved(facts), f"{ending}: volume of the mesh, mm3")
    bound = (
        facts["volume_error_mm3"] + facts["chord_error_mm"] * facts["mesh_area_mm2"] + moved(facts)
    )
    checks.near(mesh.volume, facts["volume_mm3"], bound, f"{ending}: volume of the solid, mm3")


def validated(script: Path, files: list[Path]) -> list[dict]:
    """What the Khronos validator says of each file."""
    done = subprocess.run(["node", script, *files], capture_output=True, check=True)
    return [report["issues"] for report in json.loads(done.stdout)]


def check_validator(checks: Checks, script: Path, files: list[Path]) -> None:
    print("The Khronos validator")
    for file, issues in zip(files, validated(script, files), strict=True):
        counts = {key: issues[key] for key in ("numErrors", "numWarnings", "numInfos", "numHints")}
        checks.holds(
            not any(counts.values()) and not issues["truncated"],
            f"{file.name}: no error, warning, remark or hint",
            f"{counts}" if any(counts.values()) else "",
        )


def planted(checks: Checks, folder: Path, script: Path) -> None:
    """Spoilt files, which the tools must refuse."""
    print("Planted faults")
    folder.mkdir(exist_ok=True)
    sound = folder.parent / "one" / "finial"

    def spoilt_3mf(name: str, spoil) -> Path:
        file = folder / f"{name}.3mf"
        with zipfile.ZipFile(sound.with_suffix(".3mf")) as old, zipfile.ZipFile(file, "w") as new:
            for part in old.namelist():
                data = old.read(part)
                new.writestr(part, spoil(data) if part.endswith(".model") else data)
        return file

    def without_one(data: bytes) -> bytes:
        begin = data.index(b"<triangle ")
        return data[:begin] + data[data.index(b"\n", begin) :]

    torn = Opened3mf(spoilt_3mf("torn", without_one))
    checks.holds(not torn.manifold, "3MF with a triangle missing is not manifold")
    for name, old, new in (
        # Strictness itself: the lenient mode takes these two with a warning.
        ("strange", b"<vertex x=", b'<vertex w="1" x='),
        ("furlongs", b'unit="millimeter"', b'unit="furlong"'),
        ("missing", b'objectid="2"', b'objectid="3"'),
        ("unlisted", b' p1="0"', b' p1="77"'),
    ):
        try:
            opened = Opened3mf(spoilt_3mf(name, lambda data: data.replace(old, new)))
            found = f"{len(opened.warnings)} warnings"
            refused = bool(opened.warnings)
        except lib3mf.ELib3MFException as trouble:
            found, refused = str(trouble), True
        checks.holds(refused, f"3MF with {new.decode()} is refused", found)

    data = bytearray(sound.with_suffix(".glb").read_bytes())
    text = struct.unpack_from("<I", data, 12)[0]
    views = json.loads(data[20 : 20 + text])["bufferViews"]
    begin = 28 + text
    files = []
    for name, view, bits in (
        ("short-normal", 1, struct.pack("<f", 7.0)),
        ("no-number", 0, struct.pack("<f", math.nan)),
        ("far-index", -1, struct.pack("<I", 10**6)),
        ("beyond-bounds", 0, struct.pack("<f", 1e6)),
    ):
        spoilt = bytearray(data)
        at = begin + views[view]["byteOffset"]
        spoilt[at : at + 4] = bits
        files.append(folder / f"{name}.glb")
        files[-1].write_bytes(spoilt)
    for file, issues in zip(files, validated(script, files), strict=True):
        checks.holds(issues["numErrors"] > 0, f"glTF with {file.stem} is refused")


def written(checks: Checks, example: Path, scratch: Path) -> list[dict]:
    """Runs the example on one thread and on two; the facts of the first run."""
    print("The same bytes on one thread and on two")
    for name, threads in (("one", "1"), ("two", "2")):
        environment = {**os.environ, "RAYON_NUM_THREADS": threads}
        subprocess.run([example, scratch / name], check=True, env=environment)
    facts = json.loads((scratch / "one" / "facts.json").read_bytes())
    for fact in facts:
        for ending in ENDINGS:
            one, two = (scratch / run / f"{fact['name']}.{ending}" for run in ("one", "two"))
            checks.holds(one.read_bytes() == two.read_bytes(), one.name)
    return facts


def main() -> None:
    if len(sys.argv) != 4:
        sys.exit(f"usage: {sys.argv[0]} EXAMPLE SCRATCH VALIDATE.JS")
    example, scratch, script = map(Path, sys.argv[1:])
    scratch.mkdir(parents=True, exist_ok=True)
    ledger = Checks()
    facts = written(ledger, example, scratch)
    ledger.holds(len(facts) > 0, "there are solids to check", f"{len(facts)}")
    files = {fact["name"]: scratch / "one" / fact["name"] for fact in facts}
    with ledger.subject("Spoilt files"):
        planted(ledger, scratch / "planted", script)
    with ledger.subject("Validated files"):
        check_validator(ledger, script, [scratch / "one" / f"{name}.glb" for name in files])
    for fact in facts:
        with ledger.subject(fact["title"]):
            file = scratch / "one" / f"{fact['name']}.3mf"
            opened = check_3mf(ledger, file, fact)
            check_glb(ledger, file.with_suffix(".glb"), fact, opened)
            for ending in ENDINGS:
                check_trimesh(ledger, file.with_suffix(f".{ending}"), fact)
    ledger.end()


if __name__ == "__main__":
    main()
