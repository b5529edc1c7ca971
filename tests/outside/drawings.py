"""Templates at true size: PDF, SVG and DXF against one another and against closed forms.

Each template is written three times and read back by libraries that did not write it:
PDF by pypdf (ISO 32000-1 drawing orders), SVG by its own path grammar (W3C SVG 2, 9.3),
DXF by ezdxf, whose audit must find nothing. Rings are R cos b, strips pi D, whatever the
program thinks of them. A printer that prints 100 mm as 98.5 must get 100 / 98.5 of it all.
"""

import json
import math
import re
import subprocess
import time
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
from pypdf import PdfReader

import curves
import pages
import plans
from checks import Checks
from paper import PAPERS
from rondure import Rondure, from_command_line

TRUE = 0.02
"""How far a line may stand from its place, mm; a pencil line is 0.3 mm wide (common
practice, no source)."""

STRAY = 0.005
"""How far points sampled on a curve may stand from the same curve in another file, mm:
SVG's 0.001 and single precision in PDF, several times over."""

SHORT = 98.5
"""What the printer of the correction makes of 100 mm."""

TAB = 14.0
"""Length of a strip's tab, mm."""

SLACK = 0.005
"""Most that a gauge's printed diameter may differ from the closed form, mm."""


def names(rondure: Rondure, plan: Path) -> list[str]:
    done = rondure.run("template", str(plan))
    return [line.split()[0] for line in done.stdout.decode().splitlines() if line.strip()]


def write(rondure: Rondure, plan: Path, name: str, ending: str, *words: str) -> Path:
    suffix = "".join(word.lstrip("-") + "-" for word in words)
    file = rondure.scratch / f"{plan.stem}-{name}-{suffix}whole.{ending}"
    done = rondure.run("template", str(plan), name, "-o", str(file), *words)
    if done.returncode != 0:
        raise RuntimeError(f"template {name}.{ending}: {done.stderr.decode(errors='replace')}")
    return file


def of_dxf(checks: Checks, file: Path) -> dict[str, list[np.ndarray]]:
    """Every entity's points, mm, by layer, y up."""
    document = ezdxf.readfile(file)
    audit = document.audit()
    found = [error.message for error in audit.errors + audit.fixes]
    checks.holds(not found, "ezdxf's audit finds nothing", "; ".join(found[:3]))
    checks.holds(document.header["$INSUNITS"] == 4, "its unit is the millimetre")
    layers: dict[str, list[np.ndarray]] = {}
    for entity in document.modelspace():
        if entity.dxftype() != "TEXT":
            layers.setdefault(entity.dxf.layer, []).append(along(entity))
    return layers


def along(entity) -> np.ndarray:
    """Points of an entity, on the curve itself: arcs are not replaced by cubics first."""
    match entity.dxftype():
        case "LINE":
            points = [entity.dxf.start, entity.dxf.end]
        case "CIRCLE" | "ARC":
            points = list(entity.flattening(0.001))
        case "LWPOLYLINE":
            parts = [along(part) for part in entity.virtual_entities()]
            # An arc is given counter-clockwise whichever way the outline runs.
            for index, (part, corner) in enumerate(zip(parts, entity.get_points("xy"), strict=False)):
                if np.hypot(*(part[0] - corner)) > np.hypot(*(part[-1] - corner)):
                    parts[index] = part[::-1]
            return np.concatenate(parts)
        case other:
            raise RuntimeError(f"an entity of a kind that is not expected: {other}")
    return np.array([[point.x, point.y] for point in points])


def of_svg(file: Path) -> dict[str, list[np.ndarray]]:
    """Every outline's points, mm, by layer, y up."""
    root = ElementTree.parse(file).getroot()
    width, height = (float(number) for number in root.get("viewBox").split()[2:])
    if root.get("width") != f"{width:g}mm" or root.get("height") != f"{height:g}mm":
        raise RuntimeError(f"{file.name}: one unit is not one millimetre")
    layers: dict[str, list[np.ndarray]] = {}
    for path in root.iter("{http://www.w3.org/2000/svg}path"):
        if layer := path.get("data-layer"):
            for points in curves.svg_path(path.get("d")):
                layers.setdefault(layer, []).append(points * [1, -1])
    return layers


def box(curves_: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    points = np.concatenate(curves_)
    return points.min(axis=0), points.max(axis=0)


def farthest(from_: list[np.ndarray], to: list[np.ndarray]) -> float:
    """How far the farthest point of one set of curves is from the nearest curve of another, mm."""
    starts = np.concatenate([points[:-1] for points in to if len(points) > 1])
    ends = np.concatenate([points[1:] for points in to if len(points) > 1])
    along = ends - starts
    squared = np.maximum((along**2).sum(axis=1), 1e-18)
    worst = 0.0
    for points in from_:
        # Corners and middles: a chord's middle lies inside its arc by less than the sampling.
        for point in np.concatenate([points, 0.5 * (points[1:] + points[:-1])]):
            t = np.clip(((point - starts) * along).sum(axis=1) / squared, 0, 1)
            near = starts + t[:, None] * along
            worst = max(worst, float(np.sqrt(((point - near) ** 2).sum(axis=1).min())))
    return worst


def shifted(layers: dict[str, list[np.ndarray]]) -> dict[str, list[np.ndarray]]:
    """The same, the lower left corner of what is cut or marked at 0, 0."""
    own = [each for name in ("CUT", "MARK", "HELP") for each in layers.get(name, [])]
    low, _ = box(own)
    return {name: [points - low for points in each] for name, each in layers.items()}


def check_alike(checks: Checks, rondure: Rondure, plan: Path, name: str) -> dict:
    """One template: the same lines in SVG and DXF, and in PDF where it fits one sheet."""
    dxf = of_dxf(checks, write(rondure, plan, name, "dxf"))
    svg = of_svg(write(rondure, plan, name, "svg"))
    ruler = [points for points in dxf.get("RULER", [])]
    lengths = [float(np.ptp(points[:, 0])) for points in ruler]
    checks.holds(
        any(abs(length - 100) < 1e-3 for length in lengths)
        and any(abs(length - 101.6) < 1e-3 for length in lengths),
        "the drawing for the cutter carries its check ruler",
    )
    dxf, svg = shifted(dxf), shifted(svg)
    for layer in ("CUT", "MARK", "HELP"):
        here, there = dxf.get(layer, []), svg.get(layer, [])
        if here or there:
            worst = math.inf
            if here and there:
                worst = max(farthest(here, there), farthest(there, here))
            checks.holds(worst <= STRAY, f"{layer} is the same in SVG and DXF", f"{worst:.4f} mm")
    return dxf


def check_paper(checks: Checks, rondure: Rondure, plan: Path, name: str, dxf: dict) -> None:
    """The PDF of a template: its size, its rulers, and its lines beside the DXF's."""
    for paper, (width, height) in PAPERS.items():
        words = () if paper == "a4" else ("--paper", paper)
        reader = PdfReader(write(rondure, plan, name, "pdf", *words))
        sizes = [pages.size(page) for page in reader.pages]
        checks.holds(
            all(np.allclose(size, (width, height), atol=0.05) for size in sizes),
            f"{len(sizes)} pages of {paper}",
        )
        ruled = sum(has_rulers(pages.segments(reader, page), 1.0) for page in reader.pages)
        checks.holds(ruled == len(sizes), "every page has its check rulers", f"{ruled}")
        if ".strip." in name:
            # Cut into rows that fit the paper: without their tabs they add up to the whole.
            lines = [pages.segments(reader, page) for page in reader.pages]
            rows = sum(sum(pages.bands(each, 20.0)) for each in lines)
            whole = max(float(np.ptp(points[:, 0])) for points in dxf["CUT"]) - TAB
            checks.holds(abs(rows - whole) <= TRUE, f"its rows on {paper} add up", f"{rows:.3f} {whole:.3f}")
        elif len(sizes) == 1:
            wanted = [each for layer in ("CUT", "MARK") for each in dxf.get(layer, [])]
            drawn = curves.pdf_page(reader, reader.pages[0])
            worst = laid_over(wanted, drawn)
            checks.holds(worst <= STRAY, f"the lines on {paper} are the cutter's", f"{worst:.4f} mm")


def has_rulers(lines: list[pages.Segment], factor: float) -> bool:
    wanted = (100 * factor, 101.6 * factor)
    whole = all(any(abs(line.length - each) <= TRUE for line in lines) for each in wanted)
    return (
        whole
        and 10 in pages.combs(lines, 10.0 * factor, TRUE)
        and 4 in pages.combs(lines, 25.4 * factor, TRUE)
    )


def laid_over(wanted: list[np.ndarray], drawn: list[np.ndarray]) -> float:
    """How far the wanted curves are from drawn ones, laid over them as well as one shift can.

    The shift comes from the longest wanted curve and the drawn one of its size.
    """
    longest = max(wanted, key=lambda points: np.ptp(points, axis=0).sum())
    extent = np.ptp(longest, axis=0)
    best = math.inf
    for points in drawn:
        if np.allclose(np.ptp(points, axis=0), extent, atol=TRUE):
            by = points.min(axis=0) - longest.min(axis=0)
            best = min(best, farthest([each + by for each in wanted], drawn))
    return best


def check_sizes(checks: Checks, plan: Path, report: dict, dxf: dict[str, dict]) -> None:
    """Closed forms: the ring R cos b about the edges' half angle b, the strip pi D, the ball D."""
    numbers = plans.exact(plans.read(plan))
    measures = {measure["id"]: measure for measure in report["measures"]}
    diameter = measures["ball.round.calliper"]["value"]
    width = measures["mounting.1.edges.width"]["value"]
    half_angle = math.asin(width / diameter)
    rings = sorted(float(np.ptp(each[:, 0])) for each in dxf["gauge.ring.edge"]["CUT"])
    ring = diameter * math.cos(half_angle)
    checks.holds(abs(rings[0] - ring) <= SLACK, f"the edge ring is D cos b = {ring:.3f} mm", f"{rings[0]:.3f}")

    strip = dxf["ball.strip.equator"]
    join = max(float(points[:, 0].max()) for points in strip["MARK"])
    around = math.pi * diameter
    checks.holds(abs(join - around) <= TRUE, f"the strip is pi D = {around:.3f} mm", f"{join:.3f}")
    marks = sorted({round(float(points[0, 0]), 6) for points in strip["MARK"] if np.ptp(points[:, 1]) > 15})
    steps = np.diff(marks)
    checks.holds(
        len(marks) == numbers.marks + 1 and np.allclose(steps, around / numbers.marks, atol=1e-3),
        f"its {numbers.marks} marks stand pi D / n apart",
        f"{len(marks) - 1}",
    )

    # Every point of the half ball's curve is R from one centre: the mark at the middle line
    # starts on the curve, R right of it.
    (half,) = dxf["gauge.ball"]["CUT"]
    (middle,) = dxf["gauge.ball"]["MARK"]
    centre = middle[np.argmin(middle[:, 0])] - [diameter / 2, 0]
    radii = np.hypot(*(half - centre).T)
    on = radii[np.abs(radii - diameter / 2) < 0.01]
    checks.holds(len(on) > 30, "the half ball's curve has the ball's radius", f"{len(on)} points")

    # The cove's circle through both edges and the bottom: r = (w^2 + s^2) / (2 s).
    flat, bottom = (measures[f"mounting.1.{key}.calliper"]["value"] for key in ("flat", "cove"))
    w, s = width / 2, (flat - bottom) / 2
    r = (w * w + s * s) / (2 * s)
    (card,) = dxf["gauge.cove"]["CUT"]
    low = card[np.argmin(card[:, 1])]
    curve = card[card[:, 1] <= low[1] + s + 1e-6]
    radii = np.hypot(*(curve - [low[0], low[1] + r]).T)
    worst = float(np.abs(radii - r).max())
    checks.holds(worst <= SLACK, f"the cove gauge's curve is r = {r:.3f} mm", f"off {worst:.4f} mm")
    wide = float(np.ptp(card[:, 0]))
    checks.holds(abs(wide - width) <= SLACK, f"it is as wide as the cove, {width:.3f} mm", f"{wide:.3f}")


def check_settings(checks: Checks, report: dict, dxf: dict[str, dict]) -> None:
    """Dividers' settings are lines of their length, depths are cards of their height."""
    def wanted(tool: str) -> list[float]:
        return sorted(
            {round(m["value"], 4) for m in report["measures"] if m["tool"] == tool and m["value"] >= 1}
        )

    found = sorted({round(float(np.ptp(each[:, 0])), 4) for each in dxf["card.dividers"]["MARK"]})
    missing = [each for each in wanted("dividers") if not any(abs(each - f) < 1e-3 for f in found)]
    checks.holds(not missing, "every setting of the dividers has its line", f"missing {missing}")
    found = sorted({round(float(np.ptp(each[:, 1])), 4) for each in dxf["card.depths"]["CUT"]})
    missing = [each for each in wanted("depth stop") if not any(abs(each - f) < 1e-3 for f in found)]
    checks.holds(not missing, "every depth has its card", f"missing {missing}")


def check_correction(checks: Checks, rondure: Rondure, plan: Path) -> None:
    """`--check-print 98.5`: everything 100 / 98.5 times as large, and the sheet says so."""
    factor = 100 / SHORT
    plain = of_dxf(checks, write(rondure, plan, "gauge.ring.edge", "dxf"))
    large = of_dxf(checks, write(rondure, plan, "gauge.ring.edge", "dxf", "--check-print", f"{SHORT}"))
    ratios = [
        float(np.ptp(b[:, 0]) / np.ptp(a[:, 0])) for a, b in zip(plain["CUT"], large["CUT"], strict=True)
    ]
    checks.holds(np.allclose(ratios, factor, atol=5e-5), f"cut {factor:.5f} times as large", f"{ratios}")

    packet = rondure.scratch / f"{plan.stem}-corrected.pdf"
    done = rondure.run("packet", str(plan), "-o", str(packet), "--check-print", f"{SHORT}")
    checks.holds(done.returncode == 0, "the packet is written for a short printer")
    reader = PdfReader(packet)
    ruled = [page for page in reader.pages if has_rulers(pages.segments(reader, page), factor)]
    plain = [page for page in reader.pages if has_rulers(pages.segments(reader, page), 1.0)]
    said = [page for page in ruled if f"{SHORT} mm" in " ".join(page.extract_text().split())]
    checks.holds(
        bool(ruled) and not plain and len(said) == len(ruled),
        f"all its rulers are {100 * factor:.2f} mm and say why",
        f"{len(ruled)} corrected, {len(plain)} plain, {len(said)} say so",
    )
    numbers = plans.exact(plans.read(plan))
    around = math.pi * numbers.diameter * factor
    strips = []
    for page in reader.pages:
        lines = pages.segments(reader, page)
        # A page with a strip has marks that stand one pitch apart; cards have bands of their own.
        if any(run >= 2 for run in pages.combs(lines, around / numbers.marks, TRUE)):
            strips += pages.bands(lines, 20.0 * factor)
    checks.holds(abs(sum(strips) - around) <= TRUE, f"its strip is {around:.2f} mm", f"{sum(strips):.3f}")

    for wrong in ("9.85", "0", "1200", "x", "-3"):
        done = rondure.run("packet", str(plan), "-o", str(packet), f"--check-print={wrong}")
        says = done.stderr.decode(errors="replace")
        checks.holds(
            done.returncode == 2 and "--check-print" in says and "allowed is" in says,
            f"--check-print {wrong} is refused with what is allowed",
            says.strip().splitlines()[0] if says.strip() else "",
        )


def check_tiles(checks: Checks, rondure: Rondure) -> None:
    """A ball no sheet holds: every point of its ring is on a sheet, and sheets agree where they overlap."""
    plan = rondure.scratch / "large.toml"
    done = rondure.run("new", "coved ball", "--diameter", "200mm", "--marks", "12")
    if done.returncode != 0:
        raise RuntimeError(done.stderr.decode(errors="replace"))
    plan.write_bytes(done.stdout)
    for paper in PAPERS:
        for name in ("gauge.ring.edge",):
            dxf = of_dxf(checks, write(rondure, plan, name, "dxf"))
            words = () if paper == "a4" else ("--paper", paper)
            reader = PdfReader(write(rondure, plan, name, "pdf", *words))
            tiles = [curves.tile(reader, page) for page in reader.pages]
            tiles = [tile for tile in tiles if tile is not None]
            subject = f"{name} on {paper}"
            if not checks.holds(len(tiles) >= 2, f"{subject} takes several sheets", f"{len(tiles)}"):
                continue
            shared = curves.joined(tiles)
            checks.holds(shared.left_over == [], f"{subject}: all sheets hang together by their crosses")
            checks.holds(
                shared.crosses >= 2 and shared.worst <= TRUE,
                f"{subject}: every cross of one sheet lies on the same cross of its neighbour",
                f"{shared.crosses} crosses, worst {shared.worst:.4f} mm",
            )
            drawn = [points for tile in shared.placed for points in tile]
            wanted = dxf["CUT"]
            worst = laid_over_tiles(wanted, drawn, shared)
            checks.holds(
                worst <= STRAY,
                f"{subject}: every point is on some sheet",
                f"{worst:.4f} mm",
            )


def laid_over_tiles(wanted, drawn, shared) -> float:
    """How far the whole drawing's curves are from those seen through the sheets' windows."""
    low, high = box(wanted)
    frame_low, frame_high = shared.frame
    by = 0.5 * (frame_low + frame_high) - 0.5 * (low + high)
    return farthest([points + by for points in wanted], drawn)


def check_quality(checks: Checks, rondure: Rondure, plan: Path) -> None:
    """Names, bookmarks, tags, size, the same bytes; qpdf and pdfinfo where they are installed."""
    
    file = rondure.scratch / f"{plan.stem}-quality.pdf"
    began = time.monotonic()
    rondure.packet(plan, file, "a4")
    took = time.monotonic() - began
    print(f"    {plan.stem}: the packet took {took:.2f} s on this machine, now")
    data = file.read_bytes()
    checks.holds(len(data) < 1_000_000, "under 1 MB", f"{len(data)} bytes")
    rondure.packet(plan, file, "a4")
    checks.holds(file.read_bytes() == data, "the same bytes twice")
    reader = PdfReader(file)
    catalog = reader.trailer["/Root"]
    info = reader.metadata or {}
    checks.holds(bool(info.get("/Title")), "it has a title", str(info.get("/Title")))
    checks.holds("/CreationDate" not in info and "/ModDate" not in info, "it has no date")
    checks.holds(str(catalog.get("/Lang", "")).startswith("en"), "it says its language")
    marked = catalog.get("/MarkInfo", {}).get("/Marked")
    checks.holds(bool(marked) and "/StructTreeRoot" in catalog, "it is tagged")
    checks.holds(len(reader.outline) >= 4, "it has bookmarks", f"{len(reader.outline)}")
    checks.holds(all(page.extract_text().strip() for page in reader.pages), "every page can be searched")
    for tool, words in (("qpdf", ["--check"]), ("pdfinfo", [])):
        done = subprocess.run([tool, *words, str(file)], capture_output=True, text=True)
        trouble = [line for line in (done.stdout + done.stderr).splitlines() if re.search("warn|error", line, re.I)]
        trouble = [line for line in trouble if "No syntax or stream encoding errors" not in line and "qpdf cannot detect" not in line]
        checks.holds(done.returncode == 0 and not trouble, f"{tool} is content", "; ".join(trouble))


if __name__ == "__main__":
    ledger = Checks()
    command, chosen = from_command_line()
    ledger.holds(len(chosen) > 0, "there are plans to check", f"{len(chosen)}")
    for path in chosen:
        known = names(command, path)
        with ledger.subject(f"{path.stem}, templates"):
            ledger.holds(len(known) >= 9, "the plan has its templates", ", ".join(known))
        drawn: dict[str, dict] = {}
        for each in known:
            with ledger.subject(f"{path.stem}, {each}"):
                drawn[each] = check_alike(ledger, command, path, each)
                check_paper(ledger, command, path, each, drawn[each])
        said = json.loads(command.report(path))
        with ledger.subject(f"{path.stem}, sizes"):
            check_sizes(ledger, path, said, drawn)
            check_settings(ledger, said, drawn)
        with ledger.subject(f"{path.stem}, correction"):
            check_correction(ledger, command, path)
        with ledger.subject(f"{path.stem}, quality"):
            check_quality(ledger, command, path)
    with ledger.subject("a ball of 200 mm, tiles"):
        check_tiles(ledger, command)
    ledger.end()
