"""Text in lines, and tables: widths hold, no word is lost, no row is torn."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scenes.paper.fonts import font_file, width_of
from scenes.paper.marks import Align, Words, words_that_clash
from scenes.paper.table import Column, table, width
from scenes.paper.text import line_height, lines_of, paragraph

FEW = settings(
    phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=40
)
WORDS = st.lists(st.text(st.characters(codec="ascii", exclude_categories=["C", "Z"]), min_size=1))


def test_the_fonts_are_there_with_their_licence() -> None:
    """Contract: the files lie in a dependency, the licence beside them."""
    for bold in (False, True):
        assert font_file(bold).is_file()
    assert "public domain" in (font_file(False).parent / "LICENSE_DEJAVU").read_text("utf-8")


def test_a_letter_is_as_wide_as_its_font_says() -> None:
    """Derived from the font's own table, read by another library: a wide one takes its advance."""
    from PIL import ImageFont

    font = ImageFont.truetype(str(font_file(False)), 2048)
    assert width_of("W", 72) / 25.4 == pytest.approx(font.getlength("W") / 2048, abs=0.001)


@FEW
@given(words=WORDS, room=st.floats(8, 80))
def test_lines_keep_their_width_and_every_letter(words: list[str], room: float) -> None:
    """Property: no line is wider than asked, and the letters are those of the text, in order."""
    lines = lines_of(" ".join(words), room, 9)
    assert all(width_of(line, 9) <= room for line in lines)
    assert "".join("".join(lines).split()) == "".join(words)


def test_line_ends_are_kept() -> None:
    """Derived."""
    assert lines_of("one\n\ntwo three", 100, 9) == ["one", "", "two three"]


def test_a_paragraph_lies_under_its_corner() -> None:
    """Derived: each line a line height lower, all of it under the corner and within the width."""
    placed, high = paragraph("word " * 40, (20, 30), 50, 9)
    assert high == pytest.approx(len(placed) * line_height(9))
    assert min(text.box[1] for text in placed) == pytest.approx(30)
    assert max(text.box[2] for text in placed) <= 70
    assert words_that_clash(placed, least=0.3) == []


@pytest.mark.parametrize(
    ("align", "box"), [("left", (0, 10)), ("right", (-10, 0)), ("middle", (-5, 5))]
)
def test_the_box_of_words(align: Align, box: tuple[float, float]) -> None:
    """Derived: it begins, ends or has its middle at the point; turned upwards, the same along the page."""
    words = Words(at=(0, 0), text="some words", align=align)
    x0, _, x1, _ = (value / words.width * 10 for value in words.box)
    assert (x0, x1) == pytest.approx(box)
    turned = Words(at=(0, 0), text="some words", align=align, angle=90)
    assert (-turned.box[3], -turned.box[1]) == pytest.approx((words.box[0], words.box[2]))
    assert (turned.box[0], turned.box[2]) == pytest.approx((words.box[1], words.box[3]))


def test_the_box_of_slanted_words() -> None:
    """Derived: at 45 degrees a text as long as it is wide reaches (length + height) / sqrt 2 both ways."""
    flat = Words(at=(0, 0), text="some words", align="middle")
    box = Words(at=(0, 0), text="some words", align="middle", angle=45).box
    high = flat.box[3] - flat.box[1]
    for got in (box[2] - box[0], box[3] - box[1]):
        assert got == pytest.approx((flat.width + high) / sqrt(2))


COLUMNS = (Column("piece", 40), Column("size", 25, "right"), Column("what to know", 60))


@FEW
@given(
    cells=st.lists(st.lists(st.text("ab ", max_size=60), min_size=3, max_size=3), max_size=25),
    room=st.floats(15, 120),
)
def test_tables(cells: list[list[str]], room: float) -> None:
    """Property: every row once, in order, whole on one page, no part higher than its room if it has more than
    one row, nothing beside its column, nothing on anything else."""
    parts = table(COLUMNS, cells, [room])
    words = [
        [mark for mark in part.marks if isinstance(mark, Words) and not mark.bold] for part in parts
    ]
    said = "".join(text.text for part in words for text in part)
    want = sorted("".join(cell for row in cells for cell in row).replace(" ", ""))
    assert sorted(said.replace(" ", "")) == want
    for part in parts:
        assert next(m.text for m in part.marks if isinstance(m, Words) and m.bold) == "piece"
        assert words_that_clash(part.marks) == []
        for mark in part.marks:
            if isinstance(mark, Words):
                assert mark.box[0] >= 0
                assert mark.box[2] <= width(COLUMNS)
                assert mark.box[3] <= part.height


def test_a_table_goes_on_where_the_page_ends() -> None:
    """Derived: rows of one line, so many to a page, heads over each part, first page shorter."""
    one = table(COLUMNS, [["a", "b", "c"]], [1000])[0]
    head = table(COLUMNS, [], [1000])[0]
    row = one.height - head.height
    parts = table(COLUMNS, [["a", "b", "c"]] * 12, [head.height + 2 * row, head.height + 5 * row])
    assert [round((part.height - head.height) / row) for part in parts] == [2, 5, 5]
