"""The report: HTML that holds what findings.json holds, and nothing that a scene's author slipped in."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import html5lib
import pytest

from scenes.report.assumed import measures_of
from scenes.report.html import report_page
from scenes.scene import Scene, load, names, read
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
