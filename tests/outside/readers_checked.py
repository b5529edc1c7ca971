"""The readers of surfaces and pages, checked on files with planted answers."""

import io
import tempfile
from pathlib import Path

import trimesh
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DecodedStreamObject, NameObject

import pages
import surfaces
from checks import Checks


def check_surfaces(checks: Checks) -> None:
    print("Surfaces with planted answers")

    def box(size: float, at: float = 0.0) -> trimesh.Trimesh:
        mesh = trimesh.creation.box(extents=(size, size, size))
        mesh.apply_translation((at, 0, 0))
        return mesh

    def read(mesh: trimesh.Trimesh) -> surfaces.Surface:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "planted.stl"
            mesh.export(file)
            return surfaces.read(file)

    two = read(trimesh.util.concatenate([box(10), box(20, 50)]))
    checks.near(two.volume, 9000, 1e-3, "two boxes: volume")
    checks.holds(two.pieces == 2, "two boxes: two pieces", f"{two.pieces}")
    checks.holds(two.watertight and two.consistent, "two boxes: closed and turned alike")

    hollow = box(10)
    hollow.invert()
    hollow = read(trimesh.util.concatenate([box(20), hollow]))
    checks.near(hollow.volume, 7000, 1e-3, "hollow box: volume")
    checks.holds(hollow.pieces == 1, "hollow box: one piece", f"{hollow.pieces}")

    torn = box(10)
    torn.update_faces([face != 3 for face in range(len(torn.faces))])
    checks.holds(not read(torn).watertight, "a box without one face is not closed")
    turned = box(10)
    turned.faces[3] = turned.faces[3][::-1]
    checks.holds(not read(turned).consistent, "a box with one face turned is not consistent")


def planted_page(drawing: str) -> PdfReader:
    """An A4 page with the given drawing orders."""
    writer = PdfWriter()
    page = writer.add_blank_page(width=595.2756, height=841.8898)
    stream = DecodedStreamObject()
    stream.set_data(drawing.encode())
    page[NameObject("/Contents")] = writer._add_object(stream)
    file = io.BytesIO()
    writer.write(file)
    return PdfReader(io.BytesIO(file.getvalue()))


def check_pages(checks: Checks) -> None:
    print("Pages with planted answers")
    # In millimetres from the upper left corner, as drawing programs like it: a line of
    # 100 mm, and eleven marks 9 mm apart but the last, which is 0.1 mm late.
    marks = "".join(
        f"q 1 0 0 1 {20 + 9 * k + (0.1 if k == 10 else 0):.4f} 60 cm 0 0 m 0 5 l S Q " for k in range(11)
    )
    reader = planted_page(
        "q 2.834645669 0 0 -2.834645669 0 841.8898 cm "
        f"20 40 m 120 40 l S {marks} 0 0 m 50 50 l n 30 100 40 20 re f Q 0 0 m 72 0 l S"
    )
    page = reader.pages[0]
    width, height = pages.size(page)
    checks.near(width, 210, 1e-3, "width of A4, mm")
    checks.near(height, 297, 1e-3, "height of A4, mm")
    lines = pages.segments(reader, page)
    ruler = lines[0]
    checks.near(ruler.length, 100, 1e-4, "a line of 100 mm")
    checks.near(ruler.y0, 297 - 40, 1e-3, "its height on the page, mm")
    checks.near(lines[-1].length, 25.4, 1e-4, "72 points after the frame is given back")
    # One line, eleven marks, four sides of a rectangle, one inch; not the path thrown away.
    checks.holds(len(lines) == 17, "lines on the page", f"{len(lines)}")
    bands = pages.bands(lines, 20.0)
    checks.holds(len(bands) == 1 and abs(bands[0] - 40) < 0.01, "one band", f"{bands}")
    runs = pages.combs(lines, 9.0, 0.02)
    checks.holds(runs == [9], "marks in step, without the late one", f"{runs}")
    scaled = [
        pages.Segment(0.97 * line.x0, 0.97 * line.y0, 0.97 * line.x1, 0.97 * line.y1) for line in lines
    ]
    checks.holds(pages.combs(scaled, 9.0, 0.02) == [], "none in step at 97 %")
