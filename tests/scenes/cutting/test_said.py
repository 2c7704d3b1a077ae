"""What the cut list says of a blank: its cuts corner by corner, its area, its notes in either unit."""

from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest
import shapely

from meshes.around.worth_saying import worth_saying
from meshes.build import pieces
from scenes.cutting.cut_list import CutList, cut_list
from scenes.cutting.lay_flat import signed_area
from scenes.cutting.say import cut_text
from scenes.cutting.say_pattern import cut_words, note_words
from scenes.scene import load, names
from scenes.units import IMPERIAL, METRIC
from scenes.units_text import spoken_in
from tests.scenes.cutting.laid import folded_area


@cache
def found(name: str) -> CutList:
    return cut_list(load(name))


@pytest.mark.parametrize("name", names())
def test_corners_in_words_are_the_blank(name: str) -> None:
    """Read back from the words: the corners go round the blank's own area, off by no more than 2 mm along
    its outline: 1.5 mm of steps that no shears make, and half a millimetre of rounding."""
    for one in found(name).patterns:
        words = cut_words(one)
        around = sum(
            float(np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum())
            for ring in one.outlines
        )
        if words.startswith("a plain rectangle of"):
            sides = [float(side) / 1000 for side in re.findall(r"\d+", words)]
            area = sides[0] * sides[1]
        else:
            outer, *holes = re.split(r"; (?=a hole)", re.sub(r"; a slit [^;]*", "", words))
            area = _area(outer) - sum(_area(hole) for hole in holes)
        assert area == pytest.approx(one.area, abs=0.002 * around)


def _area(words: str) -> float:
    pairs = re.findall(r"\((-?\d+), (-?\d+)\)", words)
    ring = np.array(pairs, dtype=float) / 1000
    assert len(ring) >= 3
    return shapely.make_valid(shapely.Polygon(ring)).area


@pytest.mark.parametrize("name", names())
def test_blanks_have_the_area_of_what_is_folded_from_them(name: str) -> None:
    """Derived: outlines hold the area that is told (1e-9 m2), and that is the area in space of the facets it
    is folded into, but for what two panels would both need, 50 mm2 at most."""
    for one in found(name).patterns:
        assert sum(signed_area(ring) for ring in one.outlines) == pytest.approx(one.area, abs=1e-9)
        if ", length " in one.name:
            continue
        own = type(one.folded)(
            one.folded.points,
            tuple(one.folded.polygons[k] for k in one.facets),
            tuple(one.folded.names[k] for k in one.facets),
        )
        both = [note for note in one.notes if "would both need" in note]
        over = folded_area(own) - one.area
        assert over == pytest.approx(0.0, abs=5e-5 if both else 1e-5)
        assert over > -1e-9


def test_slivers_are_told_in_either_unit() -> None:
    """Exact: 60 mm2 are 60 / 25.4 ** 2 square inches; lengths in a note turn too."""
    note = "60 mm2 of left side flashing are edges too narrow to cut by themselves"
    with spoken_in(METRIC):
        assert note_words(note) == note
    with spoken_in(IMPERIAL):
        said = note_words(note)
        assert "mm" not in said
        assert float(said.split(" sq in")[0]) == pytest.approx(60 / 25.4**2, rel=0.01)
        assert note_words("apron would be 1604 x 348 mm: cut in 2 lengths") == (
            "apron would be 63 1/8 x 13 11/16 in: cut in 2 lengths"
        )


@pytest.mark.parametrize("name", ["cottage", "wide", "stepped"])
def test_no_millimetre_is_left_in_inches(name: str) -> None:
    """Derived: in inches no figure of the whole list has a metric unit."""
    with spoken_in(IMPERIAL):
        text = cut_text(found(name))
    assert not re.findall(r"\d (?:mm2?|m2|kg)\b", text)


def test_notes_stand_where_they_belong() -> None:
    """Derived: of two parts only the cover is dressed down; slivers are told once a piece."""
    parts = [one for one in found("wide").patterns if one.piece == "left side flashing"]
    assert len(parts) == 2
    dressed = [any("before it is dressed" in note for note in one.notes) for one in parts]
    assert dressed == [True, False]
    assert [one.stretch > 0 for one in parts] == [True, False]
    slivers = [any("too narrow to cut" in note for note in one.notes) for one in parts]
    assert slivers == [True, False]


def test_edges_of_a_zinc_piece_are_soldered() -> None:
    """Common practice, no source: zinc is soldered; patches over slit corners are pieces by themselves."""
    how = {worked.how for one in found("zinc").patterns for worked in one.worked}
    assert how == {"soldered"}
    assert any(one.piece.startswith("corner patch") for one in found("zinc").patterns)


def test_what_is_divided_is_not_to_be_divided_again() -> None:
    """Derived: an apron is cut in two lengths that lap; its saddle of two welded sheets is still as
    long as it was, so lead's 1.5 m asks for a lap (`materials`). A sheet that fits says neither."""
    remarks = found("wide").remarks
    assert not [one for one in remarks if "divide it" in one or one.startswith("front apron is")]
    (welded,) = [one for one in remarks if " long " in one]
    assert welded.startswith(
        "saddle flashing is 1969 mm long once its parts are welded, a piece of"
    )
    assert welded.endswith("let at least 2 parts lap instead")
    scene = load("wide")
    assert scene.detail is not None
    made = worth_saying(scene.detail, pieces(scene.detail).values())
    assert sum("divide it into at least 2 parts" in one for one in made) == 2
    assert not [one for one in found("cottage").remarks if "parts" in one]
