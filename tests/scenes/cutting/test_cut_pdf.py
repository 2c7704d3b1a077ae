"""The cut list as PDF, read back by pypdf and pdfplumber: pages, fonts, bars, outlines, words."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from io import BytesIO

import numpy as np
import pdfplumber
import pypdf
import pytest
import shapely
from numpy.typing import NDArray

from scenes.cautions import CAUTIONS, cautions_for
from scenes.cutting.cut_list import CutList, cut_list
from scenes.cutting.dressing import Dressing, dressing_order
from scenes.cutting.page_marks import bar_marks, drawing_marks, fitted
from scenes.cutting.pdf import cut_flow, cut_pdf
from scenes.paper.fonts import above, below
from scenes.paper.marks import Page, Words, words_that_leave
from scenes.paper.pdf import pdf_of
from scenes.paper.sizes import A3, A4, LETTER, POINT, Size
from scenes.scene import Scene, load
from scenes.units import IMPERIAL, METRIC, Units


@cache
def _all(name: str) -> tuple[Scene, CutList, Dressing]:
    scene = load(name)
    found = cut_list(scene)
    return scene, found, dressing_order(scene, found.detail)


@pytest.mark.parametrize(
    ("size", "points"), [(A4, (595.28, 841.89)), (A3, (841.89, 1190.55)), (LETTER, (612.0, 792.0))]
)
def test_pages_have_their_size_and_their_fonts(size: Size, points: tuple[float, float]) -> None:
    """ISO 216 and 8.5 by 11 inches, in points of 1/72 inch; the same bytes each time; what is invented says
    so; every blank, every step and every caution is there."""
    scene, found, dressing = _all("cottage")
    content = cut_pdf(found, scene, dressing, size)
    assert content == cut_pdf(found, scene, dressing, size)
    read = pypdf.PdfReader(BytesIO(content))
    for page in read.pages:
        assert [float(side) for side in page.mediabox[2:]] == pytest.approx(points, abs=0.01)
        for font in page["/Resources"]["/Font"].values():
            assert "/FontFile2" in font.get_object()["/FontDescriptor"].get_object()
    said = " ".join(" ".join(page.extract_text() for page in read.pages).split())
    assert scene.note in said
    assert all(one.name in said for one in found.patterns)
    assert all(step.name[1:] in said for step in dressing.steps)
    assert "certifies nothing" in said


@pytest.mark.parametrize(("more", "is_cut"), [("", False), (", seen from the garden gate", True)])
def test_a_title_too_long_for_the_head_stands_in_full(more: str, is_cut: bool) -> None:
    """Derived: where the head has no room for it, the first page says it in full, and only then; the cautions
    are those of the material."""
    scene, found, dressing = _all("cottage")
    scene = replace(scene, title=scene.title + more)
    flow = cut_flow(found, scene, dressing)
    assert flow.frame.title_is_cut == is_cut
    read = pypdf.PdfReader(BytesIO(pdf_of(flow.pages(), "")))
    first = " ".join(read.pages[0].extract_text().split())
    assert first.count(f"Cut list. {scene.title}") == 1
    assert "Lead dust" in first
    assert "flux" not in first


@pytest.mark.parametrize("name", ["zinc", "wide"])
def test_cautions_fit_the_material(name: str) -> None:
    """Derived: lead dust where there is lead, flux where there is solder; height and flues always."""
    scene = load(name)
    found = cut_list(scene)
    said = cautions_for(found.material.name)
    assert [one for one in CAUTIONS if "Lead" not in one] == [said[0], *said[2:]]
    assert (said == CAUTIONS) == (name == "wide")
    assert ("flux" in said[1]) == (name == "zinc")


@pytest.mark.parametrize(("scale", "units", "long"), [(1, METRIC, 100.0), (5, IMPERIAL, 101.6)])
def test_the_bar_measures_what_it_says(scale: int, units: Units, long: float) -> None:
    """In the PDF's own coordinates: 100 mm, or 4 inches of 25.4 mm."""
    page = Page(size=A4, marks=tuple(bar_marks(scale, (20.0, 30.0), units)))
    with pdfplumber.open(BytesIO(pdf_of([page], "bar"))) as read:
        (sheet,) = read.pages
        boxes = sheet.rects + sheet.curves
        assert len(boxes) in (4, 5)
        ends = min(one["x0"] for one in boxes), max(one["x1"] for one in boxes)
        assert (ends[1] - ends[0]) * POINT == pytest.approx(long, abs=0.01)
        said = sheet.extract_text()
    assert f"{100 * scale:g} mm of the blank" in said or f"{4 * scale} in of the blank" in said


@pytest.mark.parametrize("name", ["cottage", "terrace"])
def test_a_cut_outline_times_its_scale_is_the_blank(name: str) -> None:
    """0.1 mm, in the PDF's own coordinates, at the scale that the page says."""
    for pattern in _all(name)[1].patterns:
        drawing, scale = fitted(pattern, 190.0, 140.0, METRIC)
        page = Page(size=A4, marks=tuple(drawing_marks(drawing, scale, (10.0, 20.0))))
        with pdfplumber.open(BytesIO(pdf_of([page], "one"))) as read:
            heavy = [
                one for one in (read.pages[0].curves + read.pages[0].rects)
                if one["linewidth"] == pytest.approx(0.4 / POINT, abs=1e-3)
            ]  # fmt: skip
        assert heavy
        wide = max(one["x1"] for one in heavy) - min(one["x0"] for one in heavy)
        high = max(one["bottom"] for one in heavy) - min(one["top"] for one in heavy)
        got = np.array([wide, high]) * POINT * scale
        assert got == pytest.approx(np.array(pattern.size) * 1000, abs=0.1)


@pytest.mark.parametrize(
    ("name", "units", "size"),
    [("cottage", METRIC, A4), ("terrace", IMPERIAL, LETTER), ("stepped", METRIC, A4),
     ("turned", METRIC, A4), ("zinc", IMPERIAL, A4)],
)  # fmt: skip
def test_no_words_lie_on_others_or_leave_the_page(name: str, units: Units, size: Size) -> None:
    """With the boxes turned as the words are."""
    scene, found, dressing = _all(name)
    scene = replace(scene, title="W" * 150)
    for page in cut_flow(found, scene, dressing, size, units).pages():
        assert words_that_leave(page, 5.0) == []
        texts = [mark for mark in page.marks if isinstance(mark, Words) and mark.text.strip()]
        boxes = [shapely.Polygon(_turned_box(text)).buffer(-0.05) for text in texts]
        tree = shapely.STRtree(boxes)
        first, second = tree.query(boxes, predicate="intersects")
        clashes = [
            (texts[a].text, texts[b].text) for a, b in zip(first, second, strict=True) if a < b
        ]
        assert clashes == []


def _turned_box(text: Words) -> NDArray[np.float64]:
    """Corners of a text from its foot to its capitals' height, turned as it is [mm]."""
    back = {"left": 0.0, "middle": text.width / 2, "right": text.width}[text.align]
    over, under = 0.8 * above(text.points), 0.6 * below(text.points)
    corners = [
        (-back, under),
        (text.width - back, under),
        (text.width - back, -over),
        (-back, -over),
    ]
    turn = np.radians(text.angle)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return np.array(corners) @ matrix + np.array(text.at)


def test_every_step_of_a_piece_has_a_picture_that_differs() -> None:
    """Derived: each new piece is shaded once more; the frame holds the whole picture."""
    from scenes.cutting.dressing_view import LOOK, dressing_view
    from scenes.paper.marks import Stroke

    _, found, _ = _all("cottage")
    order = [found.pieces[name].facets for name in found.order]
    shown = []
    for at in range(len(order)):
        marks, seen = dressing_view(
            found.detail, order[:at], order[at], order[at + 1 :], 70.0, 45.0
        )
        strokes = [mark for mark in marks if isinstance(mark, Stroke)]
        points = np.array([point for mark in strokes for point in mark.points])
        assert points.min() > -1e-6
        assert (points.max(axis=0) < [70.0 + 1e-6, 45.0 + 1e-6]).all()
        assert any(mark.fill == LOOK["new"][0] for mark in strokes)
        shown.append((tuple(mark.points for mark in strokes), seen))
    assert len(set(shown)) == len(order)


@pytest.mark.parametrize("name", ["cottage", "stepped"])
def test_underlay_and_covering_have_pictures_too(name: str) -> None:
    """Derived: what is shown of them lies at most 100 mm round the pieces, or over one of them; no higher and
    no lower than the part itself; each shaded once more than what was fitted before."""
    _, found, dressing = _all(name)
    shown = {step.name: step.sheet for step in dressing.steps if step.name not in found.pieces}
    assert list(shown) == ["upper underlay", "covering"]
    points = np.vstack([made.facets.points for made in found.pieces.values()])
    for part, sheet in shown.items():
        assert sheet is not None
        reach = sheet.points[:, :2]
        if part == "upper underlay":
            assert (reach > points[:, :2].min(axis=0) - 0.1001).all()
            assert (reach < points[:, :2].max(axis=0) + 0.1001).all()
        assert sheet.points[:, 2].max() > points[:, 2].min()
        assert len(sheet.polygons) > 0


def test_soakers_go_on_by_turns_with_the_covering() -> None:
    """The trade: each soaker is laid with its course, which comes over it before the next one does; the last
    lies under the gutter. The covering says so too; a detail without soakers has no word of it."""
    dressing = _all("stepped")[2]
    said = {step.name: step.words for step in dressing.steps}
    by_turns = [name for name, words in said.items() if "before the next soaker" in words]
    assert by_turns == ["left soaker 1", "left soaker 2", "right soaker 1", "right soaker 2"]
    assert "went on with them" in said["covering"]
    assert not [step for step in _all("cottage")[2].steps if step.course]
