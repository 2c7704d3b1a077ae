"""Blocks on pages: all of them, in order, inside the frame, no heading left alone at a page's end."""

from __future__ import annotations

from io import BytesIO

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from PIL import Image as Pillow

from scenes.paper.flow import Block, Drawn, Heading, Image, Table, Text, pages_of
from scenes.paper.frame import MARGIN, Frame
from scenes.paper.marks import Picture, Stroke, Words, words_that_clash, words_that_leave
from scenes.paper.pdf import pdf_of
from scenes.paper.sizes import A4, LETTER, Size
from scenes.paper.table import Column

FEW = settings(
    phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=25
)
COLUMNS = (Column("piece", 60), Column("length", 30, "right"))


def _png() -> bytes:
    stream = BytesIO()
    Pillow.new("RGB", (4, 4)).save(stream, "PNG")
    return stream.getvalue()


BLOCKS = st.lists(
    st.one_of(
        st.just(Heading("A heading")),
        st.integers(1, 900).map(lambda n: Text("word " * n)),
        st.integers(0, 60).map(lambda n: Table(COLUMNS, [["apron", str(k)] for k in range(n)])),
        st.integers(5, 200).map(lambda high: Image(_png(), 250, high)),
        st.integers(5, 200).map(
            lambda high: Drawn([Stroke(points=((0, 0), (10, float(high))))], float(high))
        ),
    ),
    max_size=8,
)


@FEW
@given(blocks=BLOCKS, size=st.sampled_from([A4, LETTER]))
def test_blocks_on_pages(blocks: list[Block], size: Size) -> None:
    """Property: inside the margins, nothing on anything else, every word and picture there, no page but the
    only one empty, no heading last on its page unless it is the last of all."""
    frame = Frame(size=size, title="Title", foot="foot")
    pages = pages_of(frame, blocks)
    own = len(frame.marks(1, 1))
    words = pictures = 0
    for number, page in enumerate(pages, start=1):
        assert words_that_clash(page.marks, least=0.35) == []
        assert words_that_leave(page, MARGIN) == []
        inside = page.marks[own:]
        assert inside or len(pages) == 1
        texts = [mark for mark in inside if isinstance(mark, Words)]
        assert all(text.box[3] <= frame.inside[3] + 0.01 for text in texts)
        words += sum(text.text.count("word") for text in texts)
        shown = [mark for mark in inside if isinstance(mark, Picture)]
        assert all(mark.box[3] <= frame.inside[3] + 0.01 for mark in shown)
        pictures += len(shown)
        if number < len(pages) and isinstance(inside[-1], Words):
            assert inside[-1].text != "A heading"
    assert words == sum(b.text.count("word") for b in blocks if isinstance(b, Text))
    assert pictures == sum(isinstance(block, Image) for block in blocks)


def test_a_picture_is_narrowed_to_the_page() -> None:
    """Derived: 380 mm by 100 become 190 by 50 on A4."""
    page = pages_of(Frame(size=A4, title=""), [Image(_png(), 380, 100)])[0]
    (shown,) = [mark for mark in page.marks if isinstance(mark, Picture)]
    x0, y0, x1, y1 = shown.box
    assert (x1 - x0, y1 - y0) == pytest.approx((190, 50))


def test_pages_are_numbered_and_print() -> None:
    """Derived: page n of all of them."""
    pages = pages_of(Frame(size=A4, title="Many"), [Text("word " * 4000)])
    assert len(pages) > 2
    said = [m.text for page in pages for m in page.marks if isinstance(m, Words)]
    assert f"page 2 of {len(pages)}" in said
    assert pdf_of(pages, "Many").startswith(b"%PDF")
