"""The report as PDF, read back by pypdf: pages, fonts, words."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO

import pypdf
import pytest
from PIL import Image

from scenes.cutting.cut_list import cut_list
from scenes.cutting.dressing import dressing_of
from scenes.paper.frame import Frame
from scenes.paper.marks import words_that_clash, words_that_leave
from scenes.paper.sizes import A4, LETTER, Size
from scenes.report.cut_told import cut_told
from scenes.report.flow import Flow
from scenes.report.pdf import report_flow, report_pdf
from scenes.units import IMPERIAL, METRIC
from scenes.units_text import spoken_in
from tests.scenes.page.shown_once import leaking

METRIC_FIGURE = r"\d ?(?:mm|cm|m|m/s|kg|m2|ml|litres|km/h|mm/h)(?![\w/])"


def _png() -> bytes:
    held = BytesIO()
    Image.new("RGB", (300, 200), (200, 220, 240)).save(held, "PNG")
    return held.getvalue()


@pytest.mark.parametrize(("size", "points"), [(A4, (595.28, 841.89)), (LETTER, (612.0, 792.0))])
def test_its_pages_have_their_size_and_hold_what_was_found(
    size: Size, points: tuple[float, float]
) -> None:
    """A4 by ISO 216, letter 8.5 by 11 inches, in points of 1/72 inch."""
    found = leaking().to_dict()
    content = report_pdf(found, leaking().scene, _png(), page=True, size=size)
    assert content == report_pdf(found, leaking().scene, _png(), page=True, size=size)
    read = pypdf.PdfReader(BytesIO(content))
    said = " ".join(" ".join(page.extract_text() for page in read.pages).split())
    for page in read.pages:
        assert [float(side) for side in page.mediabox[2:]] == pytest.approx(points, abs=0.01)
        for font in page["/Resources"]["/Font"].values():
            assert "/FontFile2" in font.get_object()["/FontDescriptor"].get_object()
    for leak in found["leaks"]:
        assert " ".join(leak["why"].split()) in said
    for caution in found["cautions"]:
        assert caution in said
    assert sum(len(page.images) for page in read.pages) == 1


def test_a_report_in_inches() -> None:
    """Contract: no metric figure on any page, with cures, a short lap and the cut list on them; read back by
    pypdf. Derived: 150 mm are 5 7/8 in, 75 mm/h 2.95 in/h, 1.8 mm of lead 0.07 in."""
    found = leaking().to_dict()
    lap = found["laps"][0] | {"ok": False, "length_mm": 60.0, "needed_mm": 150.0}
    cure = {
        "leaks": [found["leaks"][0]["id"]], "laps": [lap["id"]], "what": "side cover 60 -> 150 mm",
        "does": "stands 24.4 m/s instead of 17.6", "takes": "3.0 kg more lead code 4.",
    }  # fmt: skip
    more = {
        "laps": [lap, *found["laps"][1:]],
        "cures": [cure],
        "uncured": [],
        "cures_together": None,
    }
    result, scene = leaking(), leaking().scene
    assert scene.detail is not None
    said = {}
    for units in (METRIC, IMPERIAL):
        with spoken_in(units):
            cut = cut_told(
                cut_list(scene), dressing_of(result.assembly, result.findings.laps, scene.detail)
            )
            content = report_pdf(found | more, scene, _png(), page=True, cut=cut)
        read = pypdf.PdfReader(BytesIO(content))
        said[units] = " ".join(" ".join(page.extract_text() for page in read.pages).split())
    assert len(re.findall(METRIC_FIGURE, said[METRIC])) > 60
    assert not re.findall(METRIC_FIGURE, said[IMPERIAL])
    for words in (
        "2.95 in/h of rain", "lead code 4, 0.07 in thick", "2 3/8 in long, 5 7/8 in needed",
        "ide cover 2 3/8 -> 5 7/8 in: stands 54.6 mph instead of 39.4. 6.61 lb more lead code 4",
        "Width x height, in", "cover: 5 7/8 in", "source: trade guidance",
    ):  # fmt: skip
        assert words in said[IMPERIAL], words


def test_no_words_lie_on_others_or_leave_the_page() -> None:
    """Also with many leaks, long words and a short page."""
    found = leaking().to_dict()
    leaks = [leak | {"id": k, "way_in": "x" * 150} for k, leak in enumerate(found["leaks"] * 4, 1)]
    scene = replace(leaking().scene, title="W" * 200, note="m" * 300)
    for size in (A4, LETTER.turned):
        flow = report_flow(found | {"leaks": leaks}, scene, _png(), page=False, size=size)
        pages = flow.pages()
        assert len(pages) > 2
        for page in pages:
            assert words_that_clash(page.marks) == []
            assert words_that_leave(page, 5.0) == []


def test_a_paragraph_longer_than_a_page_runs_on() -> None:
    flow = Flow(Frame(size=A4, title="Long"))
    flow.words("word " * 4000)
    pages = flow.pages()
    assert len(pages) > 2
    assert all(words_that_clash(page.marks) == [] for page in pages)
