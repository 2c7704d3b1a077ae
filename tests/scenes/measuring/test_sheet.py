"""The measure sheet: its letters are the questions', nothing overlaps, and what is printed is right."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree

import pdfplumber
import pytest
from click.testing import Result
from pypdf import PdfReader

from scenes.cautions import CAUTIONS
from scenes.measuring.drawing import disc_boxes
from scenes.measuring.interview import letters
from scenes.measuring.rows_now import QUESTIONS
from scenes.measuring.sheet import how_page, sheet_bytes, sheet_page, views
from scenes.paper.marks import Box, Disc, Stroke, Words, words_that_clash, words_that_leave
from scenes.paper.sizes import SIZES, PaperName
from scenes.units import IMPERIAL, METRIC, Units
from scenes.units_text import in_units

Run = Callable[..., Result]
FONTS = ["DejaVuSans", "DejaVuSans-Bold"]
BOTH = pytest.mark.parametrize("units", [METRIC, IMPERIAL], ids=["mm", "inches"])
PAPERS = pytest.mark.parametrize("paper", ["a4", "letter"])


def _overlap(a: Box, b: Box) -> bool:
    return min(a[2], b[2]) > max(a[0], b[0]) and min(a[3], b[3]) > max(a[1], b[1])


def _is_letter(mark: Words) -> bool:
    return mark.bold and mark.text in letters(QUESTIONS).values()


def test_every_measure_is_drawn_once() -> None:
    """The issue: the drawing shows where each measure is taken; its letters are the questions'."""
    section, plan = views((10, 30, 200, 110))
    assert sorted(section.shown + plan.shown) == sorted(letters(QUESTIONS))


@PAPERS
@BOTH
def test_letters_on_the_page(paper: PaperName, units: Units) -> None:
    """Derived: each letter twice, on the drawing and beside its blank, rows in the order of asking."""
    words = [mark for mark in sheet_page(paper, units).marks if isinstance(mark, Words)]
    said = [mark.text for mark in words if _is_letter(mark)]
    assert sorted(said) == sorted(2 * list(letters(QUESTIONS).values()))
    assert said[: len(said) // 2] == list(letters(QUESTIONS).values())
    texts = {mark.text for mark in words}
    for question in QUESTIONS:
        assert question.words in texts
        assert set(question.choices or ()) <= texts


@PAPERS
@BOTH
def test_nothing_overlaps_or_leaves_the_page(paper: PaperName, units: Units) -> None:
    """The issue: computed from the boxes of the placed texts and discs."""
    page = sheet_page(paper, units)
    assert words_that_clash(page.marks) == []
    assert words_that_leave(page, margin=9.9) == []
    discs = disc_boxes(page.marks)
    assert not [pair for pair in combinations(discs, 2) if _overlap(*pair)]
    texts = [m for m in page.marks if isinstance(m, Words) and not _is_letter(m)]
    assert not [text.text for text in texts for disc in discs if _overlap(text.box, disc)]
    for mark in page.marks:
        points = mark.points if isinstance(mark, Stroke) else ()
        assert all(9.9 <= x <= page.size.width - 9.9 for x, _ in points)
        assert all(9.9 <= y <= page.size.height - 9.9 for _, y in points)


@PAPERS
@BOTH
def test_no_words_are_too_small_to_read_on_paper(paper: PaperName, units: Units) -> None:
    """Contract: 7 points at least on both sides (common practice, no source: small print of forms is 6 to 8),
    as an independent reader of the PDF measures them."""
    content = sheet_bytes(Path("sheet.pdf"), paper, units, how=True)
    with pdfplumber.open(BytesIO(content)) as document:
        sizes = [
            (round(one["size"], 2), one["text"]) for page in document.pages for one in page.chars
        ]
    assert len(sizes) > 3000
    assert min(sizes) >= (7.0, "")


def test_each_letter_lies_in_its_disc() -> None:
    """Derived: the text's width, and the height of capitals, lie within the circle."""
    marks = sheet_page("a4", METRIC).marks
    for disc, text in pairwise(marks):
        if isinstance(disc, Disc) and isinstance(text, Words):
            assert text.width / 2 < disc.radius
            assert abs(text.at[0] - disc.middle[0]) < 1e-9


@PAPERS
@BOTH
def test_the_pdf(paper: PaperName, units: Units) -> None:
    """The issue: it opens, has its size, its fonts embedded, and a bar as long as it says, in the PDF's own
    coordinates (points of 1/72 in), by two readers that share nothing with the writer."""
    content = sheet_bytes(Path("sheet.pdf"), paper, units)
    assert content == sheet_bytes(Path("sheet.pdf"), paper, units)
    reader = PdfReader(BytesIO(content))
    assert len(reader.pages) == 1
    size = SIZES[paper]
    box = reader.pages[0].mediabox
    assert float(box.width) / 72 * 25.4 == pytest.approx(size.width, abs=0.01)
    assert float(box.height) / 72 * 25.4 == pytest.approx(size.height, abs=0.01)
    fonts = reader.pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    used = [font.get_object() for font in fonts.values()]
    assert sorted(font["/BaseFont"].partition("+")[2] for font in used) == FONTS
    assert all("/FontFile2" in font["/FontDescriptor"] for font in used)
    with pdfplumber.open(BytesIO(content)) as document:
        page = document.pages[0]
        black = [
            r for r in page.rects if r["fill"] and r["height"] < 6 and r["top"] > page.height * 0.8
        ]
        long = (max(r["x1"] for r in black) - min(r["x0"] for r in black)) / 72
        said = page.extract_text()
    assert long == pytest.approx(2.0 if units.is_imperial else 50 / 25.4, abs=0.002)
    assert ("2 in, if printed" if units.is_imperial else "50 mm, if printed") in said
    for caution in CAUTIONS:
        assert caution.split()[0] in said


@PAPERS
@BOTH
def test_the_other_side_tells_how(paper: PaperName, units: Units) -> None:
    """Derived: one page more, every question's how on it, letter by letter, nothing on anything else."""
    page = how_page(paper, units)
    assert words_that_clash(page.marks) == []
    assert words_that_leave(page, margin=9.9) == []
    said = "".join(mark.text for mark in page.marks if isinstance(mark, Words)).replace(" ", "")
    for question in QUESTIONS:
        assert in_units(question.how, units).replace(" ", "") in said
    content = sheet_bytes(Path("sheet.pdf"), paper, units, how=True)
    assert len(PdfReader(BytesIO(content)).pages) == 2


def test_the_svg() -> None:
    """Derived: an independent parser finds the page's size and every text of the page."""
    root = ElementTree.fromstring(sheet_bytes(Path("sheet.svg"), "a4", METRIC))
    assert (root.get("width"), root.get("height")) == ("210mm", "297mm")
    found = [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]
    assert found == [m.text for m in sheet_page("a4", METRIC).marks if isinstance(m, Words)]


def test_the_command(stackrain: Run, tmp_path: Path) -> None:
    """Contract: a PDF or an SVG by its ending, nothing replaced without --force, one line otherwise."""
    assert stackrain("measure-sheet", "-o", "s.pdf").exit_code == 0
    assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF")
    assert stackrain("measure-sheet", "-o", "s.svg", "--paper", "letter").exit_code == 0
    for args in (("s.pdf",), ("s.txt",), ("none/s.pdf",), ("t.svg", "--how")):
        got = stackrain("measure-sheet", "-o", *args)
        assert (got.exit_code, len(got.stderr.splitlines())) == (2, 1)
    assert stackrain("measure-sheet", "-o", "s.pdf", "--force").exit_code == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["s.pdf", "s.svg"]
