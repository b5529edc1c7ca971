"""The packet, read back and drawn by libraries that did not write it.

For every plan, on both papers: the page sizes; check rulers of 100 mm and
4 in on every page that carries a strip; the strip pi D long, its marks pi D / n apart;
every number, step, caution and finding of the report on the paper; a drawing at every
set-up; nothing in the margin that printers cannot reach; and the same bytes each time, on one
core too. The handout has every set-up, and wood for the class. Every page is drawn to a PNG, to be looked at.
"""

import json
import math
import re
from pathlib import Path

import numpy as np
import pypdfium2
from pypdf import PdfReader

import pages
import plans
from checks import Checks
from rondure import Rondure, from_command_line

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height, mm. ISO 216 for A4; ANSI/ASME Y14.1, 8 1/2 x 11 in, for letter."""

TRUE = 0.02
"""How far a true-scale mark may stand from its place, mm; a pencil line is 0.3 mm wide
(common practice, no source). 97 % of 100 mm would be 150 times as far off."""

BAND = 20.0
"""Height of a strip's band, mm."""

MARGIN = 4.0
"""Printers leave about this much blank all round, mm (common practice, no source)."""

DOTS_PER_INCH = 144

LARGEST = 1_000_000
"""Bytes of a packet that is quickly sent and opened: issue 6."""


def check_packet(checks: Checks, rondure: Rondure, plan: Path, paper: str) -> None:
    file = rondure.scratch / f"{plan.stem}-{paper}.pdf"
    rondure.packet(plan, file, paper)
    once = file.read_bytes()
    rondure.packet(plan, file, paper, threads=1)
    checks.holds(file.read_bytes() == once, "the same bytes twice, the second time on one core")
    checks.holds(len(once) < LARGEST, f"smaller than {LARGEST / 1e6:g} MB", f"{len(once)} bytes")

    reader = PdfReader(file)
    width, height = PAPERS[paper]
    sizes = [pages.size(page) for page in reader.pages]
    wrong = [
        f"page {number}: {w:.2f} x {h:.2f} mm"
        for number, (w, h) in enumerate(sizes, 1)
        if not np.allclose(sorted((w, h)), (width, height), atol=0.05)
    ]
    checks.holds(bool(sizes) and not wrong, f"{len(sizes)} pages of this paper", ", ".join(wrong))

    numbers = plans.exact(plans.read(plan))
    report = json.loads(rondure.report(plan))
    check_true_scale(checks, reader, math.pi * numbers.diameter / numbers.marks, numbers.marks)
    check_words(checks, reader, report)
    check_set_ups(checks, reader, report)
    check_drawn(checks, file)
    check_handout(checks, rondure, plan, paper, report)


def check_true_scale(checks: Checks, reader: PdfReader, pitch: float, marks: int) -> None:
    """The rulers and the strip round the ball, in the page's own coordinates.

    A strip longer than the paper is cut into rows; each row is a rectangle as long as its
    part of the strip, and a join takes one gap between marks apart.
    """
    rows, gaps, with_strip, ruled = [], 0, 0, 0
    for page in reader.pages:
        lines = pages.segments(reader, page)
        steps = [run for run in pages.combs(lines, pitch, TRUE) if run >= 2]
        if not steps:
            continue
        with_strip += 1
        gaps += sum(steps)
        rows += pages.bands(lines, BAND)
        metric = any(abs(line.length - 100) <= TRUE for line in lines)
        inches = any(abs(line.length - 4 * 25.4) <= TRUE for line in lines)
        ruled += (
            metric
            and inches
            and 10 in pages.combs(lines, 10.0, TRUE)
            and 4 in pages.combs(lines, 25.4, TRUE)
        )
    found = f"{' + '.join(f'{row:.3f}' for row in rows)} mm, {marks * pitch:.3f} once round"
    checks.holds(abs(sum(rows) - marks * pitch) <= TRUE, "the strip goes once round the ball", found)
    joins = len(rows) - 1
    checks.holds(
        gaps == marks - joins,
        f"its marks stand {pitch:.3f} mm apart",
        f"{gaps} gaps and {joins} joins for {marks} marks",
    )
    checks.holds(
        with_strip > 0 and ruled == with_strip,
        "every page with a strip has its check rulers, 100 mm by 10 and 4 in by 1",
        f"{ruled} of {with_strip}",
    )


def squeezed(text: str) -> str:
    """Text without its spaces: where a line breaks is no matter here."""
    return re.sub(r"\s", "", text)


def check_words(checks: Checks, reader: PdfReader, report: dict) -> None:
    """Every number to set, every step and every caution stands on the paper."""
    text = squeezed("".join(page.extract_text() for page in reader.pages))
    steps = [step for setup in report["setups"] for step in setup["steps"]]
    wanted = {
        "numbers to set": [measure["shown"] for measure in report["measures"]],
        "steps": [step["says"] for step in steps],
        "cautions": report["cautions"] + [each for step in steps for each in step["cautions"]],
        "findings": [finding["says"] for finding in report["findings"]],
    }
    for name, words in wanted.items():
        missing = [each for each in words if squeezed(each) not in text]
        found = f"{len(words) - len(missing)} of {len(words)}"
        if missing:
            found += f"; not there: {missing[0]!r}"
        # A sound plan has no findings; a job without numbers, steps or cautions is none.
        some = bool(words) or name == "findings"
        checks.holds(some and not missing, f"all {name} stand on the paper", found)


def check_set_ups(checks: Checks, reader: PdfReader, report: dict) -> None:
    """Each set-up begins on a page of its own, with a drawing: hatched wood is slanted lines."""
    count = len(report["setups"])
    words = [squeezed(page.extract_text()) for page in reader.pages]
    bare = []
    for setup in report["setups"]:
        head = squeezed(f"Set-up {setup['number']} of {count}:")
        begins = [page for page, text in zip(reader.pages, words) if head in text]
        cuts = setup["id"] != "assembly"
        slanted = [
            line
            for page in begins
            for line in pages.segments(reader, page)
            if abs(line.x0 - line.x1) > 0.01 and abs(line.y0 - line.y1) > 0.01
        ]
        if len(begins) != 1 or (cuts and len(slanted) < 20):
            bare.append(f"{setup['id']}: {len(begins)} pages, {len(slanted)} slanted lines")
    checks.holds(count > 0 and not bare, f"{count} set-ups begin with their drawings", "; ".join(bare))


def check_handout(checks: Checks, rondure: Rondure, plan: Path, paper: str, report: dict) -> None:
    """The class reads every set-up and step; the teacher reads blanks for all and some to spare."""
    file = rondure.scratch / f"{plan.stem}-{paper}-class.pdf"
    rondure.handout(plan, file, paper, students=8)
    reader = PdfReader(file)
    text = squeezed("".join(page.extract_text() for page in reader.pages))
    titles = [setup["title"] for setup in report["setups"]]
    # Of set-ups that repeat one before, the handout says only what differs.
    once = [setup for setup in report["setups"] if not re.fullmatch(r"mounting\.([2-9]|\d\d)", setup["id"])]
    says = [step["says"] for setup in once for step in setup["steps"]]
    cautions = [each for setup in once for step in setup["steps"] for each in step["cautions"]]
    missing = [each for each in titles + says + cautions if squeezed(each) not in text]
    checks.holds(bool(titles) and not missing, "the handout has all set-ups and steps", "; ".join(missing[:1]))
    # One spare in four: eight students need ten blanks of each piece.
    blanks = [squeezed(f"10 of {piece['blank']}") in text for piece in report["pieces"]]
    checks.holds(bool(blanks) and all(blanks), "ten blanks of each piece for eight students")
    check_drawn(checks, file)


def check_drawn(checks: Checks, file: Path) -> None:
    """Draws each page with PDFium and looks at the ink."""
    document = pypdfium2.PdfDocument(file)
    blank, spilt = [], []
    margin = int(MARGIN / 25.4 * DOTS_PER_INCH)
    for number, page in enumerate(document, 1):
        picture = page.render(scale=DOTS_PER_INCH / 72).to_pil().convert("L")
        picture.save(file.with_name(f"{file.stem}-{number:02}.png"))
        ink = np.asarray(picture) < 200
        if not ink.any():
            blank.append(number)
        if ink.sum() != ink[margin:-margin, margin:-margin].sum():
            spilt.append(number)
    checks.holds(not blank, "every page has something on it", f"blank: {blank}" if blank else "")
    checks.holds(not spilt, f"nothing within {MARGIN:g} mm of an edge", f"{spilt}" if spilt else "")


if __name__ == "__main__":
    ledger = Checks()
    command, chosen = from_command_line()
    ledger.holds(len(chosen) > 0, "there are plans to check", f"{len(chosen)}")
    for path in chosen:
        for name in PAPERS:
            with ledger.subject(f"{path.stem}, {name}"):
                check_packet(ledger, command, path, name)
    ledger.end()
