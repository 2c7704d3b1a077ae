"""The report: HTML that holds what findings.json holds, and nothing that a scene's author slipped in."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import html5lib
import pytest

from meshes.around.worth_saying import worth_saying
from meshes.build import pieces
from scenes.cutting.cut_list import cut_list
from scenes.cutting.dressing import Dressing
from scenes.report.assumed import _model, measures_of
from scenes.report.cut_told import cut_told
from scenes.report.html import report_page
from scenes.report.plain_words import PLAIN, VALUES
from scenes.scene import Scene, load, names, read
from scenes.tables import SceneTable
from scenes.units import IMPERIAL
from scenes.units_text import spoken_in
from tests.scenes.page.shown_once import leaking

NASTY = "<script>alert(1)</script> </title> & \" ' {{ 7 * 7 }}"


@cache
def _found() -> dict[str, Any]:
    return leaking().to_dict()


def _parsed(text: str) -> Any:
    """By a strict parser: html5lib refuses what HTML does not allow."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)


def _text(document: Any) -> str:
    return " ".join(" ".join(document.itertext()).split())


def test_the_report_says_what_was_found() -> None:
    found = _found()
    document = _parsed(report_page(found, leaking().scene, b"\x89PNG", page=True))
    said = _text(document)
    for leak in found["leaks"]:
        assert " ".join(leak["why"].split()) in said
    for lap in found["laps"]:
        assert f"{lap['upper']} over {lap['lower']}, {lap['where']}" in said
    for line in (*found["cautions"], *found["making"]):
        assert line in said
    assert "page.html" in said
    assert found["scene"]["sha256"][:16] in said
    assert "Cures were not looked for" in said
    assert not list(document.iter("script"))


def test_cures_stand_under_their_leaks_and_why_there_are_none() -> None:
    found = _found()
    ids = [leak["id"] for leak in found["leaks"]]
    cure = {
        "leaks": [ids[0]], "laps": [], "what": "dress the gutter over the sides",
        "does": "keeps this weather's rain out", "takes": "no more metal; dress anew.",
    }  # fmt: skip
    more = {"cures": [cure], "uncured": [{"leak": ids[1], "lap": None, "why": "nothing tried helps."}],
            "cures_together": None}  # fmt: skip
    document = _parsed(report_page(found | more, leaking().scene, None, page=False))
    first, second = (_text(one) for one in document.iter("article"))
    assert "Dress the gutter over the sides: keeps this weather's rain out. No more metal" in first
    assert "Nothing tried helps." in second
    said = _text(document)
    assert "Cures were not looked for" not in said
    assert "page.html" not in said
    assert not list(document.iter("img"))


def test_words_of_a_scene_are_never_markup() -> None:
    scene = replace(load("terrace"), title=NASTY, note=NASTY)
    document = _parsed(report_page(_found(), scene, None, page=False))
    assert not list(document.iter("script"))
    assert next(document.iter("h1")).text == NASTY


@pytest.mark.parametrize("name", names())
def test_measured_and_usual_are_told_apart(name: str) -> None:
    """Every key of the library's file is said to be given, and no other."""
    scene = load(name)
    given = {one for one in measures_of(scene) if one.given}
    keys = set(scene.table.model_fields_set) - {"title", "note", "weather", "part"}
    held = [getattr(scene.table, key) for key in keys]
    wanted = sum(len(getattr(one, "model_fields_set", "1")) for one in held)
    assert len(given) == wanted
    assert all(one.value and "None" not in one.value for one in measures_of(scene))


def test_a_key_that_is_given_its_usual_value_is_still_given(smallest: str) -> None:
    scene = read(smallest + "\n[apron]\ncover_mm = 150\n", "own.toml", Path())
    apron = {
        one.words.split(":")[0]: one for one in measures_of(scene) if one.group == "Front apron"
    }
    assert (apron["cover"].value, apron["cover"].given) == ("150 mm", True)
    assert (apron["upstand"].value, apron["upstand"].given) == ("150 mm", False)


def test_parts_from_files_have_no_measures() -> None:
    text = '[[part]]\nname = "roof"\nfile = "roof.stl"\nrole = "covering"\nunit = "mm"\n'
    scene: Scene = read(text, "parts.toml", Path())
    assert measures_of(scene) == ()


@pytest.mark.parametrize("name", names())
def test_usual_values_are_in_plain_words(name: str) -> None:
    """Contract: no word of a scene's file that says nothing to its reader, no key, no singular in the plural;
    nothing of what the detail has no use for, but all that its file says."""
    scene = load(name)
    for one in measures_of(scene):
        said = f"{one.in_full}: {one.value}"
        assert "_" not in said
        assert not re.search(r"\bauto\b|\bNone\b|\b1 degrees", said), said
        assert (one.value == "none") <= (one.plain == "leaves")
        assert not re.search(r"\bof a$|: [^:]+: ", said), said
    plain = {one.plain for one in measures_of(scene) if not one.given}
    assert ("soaker width" in plain) == (name == "stepped")
    assert "waves, trough to crest" not in plain


def test_a_choice_counts_what_goes_with_it(smallest: str) -> None:
    """Derived: the size of a heap matters where there is one, and is told though no file has it."""
    leaves = smallest + '\n[debris]\nleaves = "both"\n'
    for text, told in ((smallest, False), (leaves, True)):
        plain = {one.plain: one.value for one in measures_of(read(text, "own.toml", Path()))}
        assert ("height of the leaves" in plain) == told
    assert plain["leaves"] == "in both ends"


def test_every_key_with_words_of_its_own_is_a_key() -> None:
    """Contract: a name in the tables of words is one that a scene file knows, and so is each choice."""
    for table, key in PLAIN:
        assert key in (_model(table) if table else SceneTable).model_fields, (table, key)
    for table, key, choice in VALUES:
        field = (_model(table) if table else SceneTable).model_fields[key]
        assert repr(choice) in repr(field.annotation), (table, key, choice)


def test_the_usual_values_in_inches() -> None:
    """Exact: 75 mm are 2 15/16 in, 25 mm 1 in; degrees that are no pitch stay."""
    with spoken_in(IMPERIAL):
        document = _parsed(report_page(_found(), leaking().scene, None, page=False))
    said = _text(document.find("body"))
    for words in (
        "leg up the slope: so long that it rises 2 15/16 in", "fall to the stack: 1 degree;",
        "What is there: a level gutter; turn-in: 1 in;", "pitch of the rafters: 10 1/8 in 12",
    ):  # fmt: skip
        assert words in said
    assert not re.findall(r"\d ?(?:mm|cm|m|m/s|kg|ml|litres|km/h)(?![\w/])", said)


def test_with_a_cut_list_the_pieces_are_told_of_as_they_are_cut() -> None:
    """Derived: what is cut in lengths that lap is not to be divided again; without a list nobody has said."""
    scene = load("wide")
    assert scene.detail is not None
    found = _found() | {"making": list(worth_saying(scene.detail, pieces(scene.detail).values()))}
    cut = cut_told(cut_list(scene), Dressing((), ()))
    alone, together = (
        _text(_parsed(report_page(found, scene, None, page=False, cut=one))) for one in (None, cut)
    )
    assert alone.count("divide it into at least 2 parts that lap") == 2
    assert "divide it" not in together
    assert "front apron, length 2 of 2" in together
    assert "saddle flashing is 1969 mm long once its parts are welded" in together
