"""Pages as PDF and SVG: sizes, fonts, bars and places, read back by other libraries."""

from __future__ import annotations

from io import BytesIO
from xml.etree import ElementTree

import pdfplumber
import pytest
from PIL import Image
from pypdf import PdfReader

from scenes.paper.frame import MARGIN, Frame
from scenes.paper.marks import (
    Disc,
    Mark,
    Page,
    Picture,
    Stroke,
    Words,
    line,
    moved,
    rectangle,
    words_that_clash,
    words_that_leave,
)
from scenes.paper.pdf import pdf_of
from scenes.paper.scale_bar import scale_bar
from scenes.paper.sizes import A4, LETTER, Size
from scenes.paper.svg import svg_of

MM = 72 / 25.4


def _picture() -> bytes:
    stream = BytesIO()
    Image.new("RGB", (8, 4), (200, 10, 10)).save(stream, "PNG")
    return stream.getvalue()


def _page(size: Size = A4) -> Page:
    marks: list[Mark] = [
        line((20, 30), (120, 30), 0.5, dash=(2.0, 1.0)),
        rectangle((30, 40, 50, 60), fill="#eeeeee"),
        Disc(middle=(70, 50), radius=10),
        Words(at=(20, 100), text="Scheitelpunkt \u00b0 \u2033 \u00e9", points=10),
        Words(at=(100, 150), text="upwards", points=10, bold=True, angle=90),
        Picture(box=(120, 200, 160, 220), content=_picture()),
        *scale_bar((20, 250), 100, 10, "100 mm"),
    ]
    return Page(size=size, marks=tuple(marks))


def test_sizes_of_pages() -> None:
    """ISO 216: A4 is 210 by 297 mm; US letter is 8.5 by 11 in. Each page its own."""
    reader = PdfReader(BytesIO(pdf_of([_page(A4), _page(LETTER), _page(A4.turned)], "three")))
    sizes = [(float(p.mediabox.width) / MM, float(p.mediabox.height) / MM) for p in reader.pages]
    for got, want in zip(sizes, [(210, 297), (215.9, 279.4), (297, 210)], strict=True):
        assert got == pytest.approx(want, abs=0.01)
    assert reader.metadata is not None
    assert reader.metadata.title == "three"


def test_the_same_pages_give_the_same_bytes() -> None:
    """Contract."""
    assert pdf_of([_page()], "one") == pdf_of([_page()], "one")


def test_fonts_are_embedded() -> None:
    """Contract: each font that is used brings its own file."""
    page = PdfReader(BytesIO(pdf_of([_page()], "one"))).pages[0]
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]  # type: ignore[index]
    assert sorted(font["/BaseFont"].partition("+")[2] for font in fonts) == [
        "DejaVuSans",
        "DejaVuSans-Bold",
    ]
    assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)


def test_where_things_lie_on_the_page() -> None:
    """Derived: millimetres from the upper left corner, in the PDF's own points, by another reader."""
    with pdfplumber.open(BytesIO(pdf_of([_page()], "one"))) as document:
        page = document.pages[0]
        (drawn,) = page.lines
        ends = (drawn["x0"], drawn["top"], drawn["x1"], drawn["bottom"])
        assert [value / MM for value in ends] == pytest.approx([20, 30, 120, 30], abs=0.01)
        words = page.extract_words()
        assert "\u2033" in page.extract_text()
        first = next(word for word in words if word["text"] == "Scheitelpunkt")
        assert first["x0"] / MM == pytest.approx(20, abs=0.2)
        assert first["bottom"] / MM == pytest.approx(100, abs=1.2)
        (image,) = page.images
        box = (image["x0"], image["top"], image["x1"], image["bottom"])
        assert [value / MM for value in box] == pytest.approx([120, 200, 160, 220], abs=0.01)


def test_a_scale_bar_measures_what_it_says() -> None:
    """The issue: 100 mm are 100 mm in the PDF's coordinates; parts are tenths, black in turn."""
    with pdfplumber.open(BytesIO(pdf_of([_page()], "one"))) as document:
        bars = [r for r in document.pages[0].rects if abs(r["top"] / MM - 250) < 0.01]
    assert len(bars) == 10
    assert (bars[-1]["x1"] - bars[0]["x0"]) / MM == pytest.approx(100, abs=0.01)
    assert all((bar["x1"] - bar["x0"]) / MM == pytest.approx(10, abs=0.01) for bar in bars)


def test_svg_holds_the_same() -> None:
    """Derived: the same places in millimetres, by an independent parser; a title's marks are letters."""
    root = ElementTree.fromstring(svg_of(_page(), "a <b> & c"))
    space = {"s": "http://www.w3.org/2000/svg"}
    assert (root.get("viewBox"), root.get("width")) == ("0 0 210 297", "210mm")
    assert root.findtext("s:title", namespaces=space) == "a <b> & c"
    first = root.find("s:polyline", space)
    assert first is not None
    assert first.get("points") == "20,30 120,30"
    assert len(root.findall("s:polygon", space)) == 11
    assert len(root.findall("s:circle", space)) == 1
    assert len(root.findall("s:image", space)) == 1


def test_marks_moved() -> None:
    """Derived: every kind of mark, and nothing else of it."""
    marks = _page().marks[:6]
    assert {type(mark) for mark in marks} == {Stroke, Disc, Words, Picture}
    assert tuple(moved(moved(mark, 3, 4), -3, -4) for mark in marks) == marks
    first = moved(marks[0], 3, 4)
    assert isinstance(first, Stroke)
    assert first.points == ((23, 34), (123, 34))


def test_texts_that_clash_or_leave_are_found() -> None:
    """Derived: the checks that the sheets rest on do find what is wrong."""
    words = [Words(at=(205, 50), text="leaves"), Words(at=(206, 51), text="clashes")]
    page = Page(size=A4, marks=tuple(words))
    assert words_that_clash(page.marks) == [("leaves", "clashes")]
    assert words_that_leave(page) == ["leaves", "clashes"]


@pytest.mark.parametrize("size", [A4, LETTER])
def test_a_frame_holds_long_titles(size: Size) -> None:
    """Derived: what is too long is cut, so that nothing overlaps or reaches into the margin."""
    frame = Frame(size=size, title="A long title " * 20, beside="scene roof", foot="foot " * 80)
    page = Page(size=size, marks=tuple(frame.marks(3, 12)))
    assert words_that_clash(page.marks) == []
    assert words_that_leave(page, MARGIN) == []
    assert any(isinstance(m, Words) and m.text == "page 3 of 12" for m in page.marks)
    left, top, right, bottom = frame.inside
    assert (left, right) == (MARGIN, size.width - MARGIN)
    assert top < bottom < size.height - MARGIN
