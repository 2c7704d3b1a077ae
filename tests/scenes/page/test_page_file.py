"""The page as a file: whole, small, HTML, and nothing in it but what was put there."""

from __future__ import annotations

import hashlib
import json
import re
from base64 import b64decode, b64encode
from dataclasses import replace
from pathlib import Path
from typing import Any

import html5lib
import numpy as np
import pytest

from meshes.parts import Role
from scenes.page import page as page_module
from scenes.page.packing import array_of, unpacked
from scenes.page.page import LARGEST, Shown, page_data, page_text, script_lacks
from scenes.page.wording import english
from scenes.page.write import pair_text, result_text
from scenes.run import stage_of
from tests.scenes.compared_once import order_changed
from tests.scenes.page.shown_once import leaking

pytestmark = pytest.mark.skipif(bool(script_lacks()), reason=script_lacks() or "built")

NASTY = "<script>alert(1)</script> </title> & \" ' \u2028 {{ 7 * 7 }}"


def _element(document: Any, name: str) -> Any:
    """The element with this id."""
    (found,) = (one for one in document.iter() if one.get("id") == name)
    return found


def _read(text: str) -> tuple[Any, dict[str, Any], bytes]:
    """The page by a strict parser (html5lib refuses what HTML does not allow), and its data."""
    document = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    values, blob = unpacked(b64decode(_element(document, "data").text))
    return document, values, blob


def test_a_page_is_small_html_with_everything_in_it() -> None:
    text = result_text(leaking(), english())
    assert len(text.encode()) < LARGEST
    document, values, _ = _read(text)
    assert values["kind"] == "one"
    for element in document.iter():
        for attribute in ("src", "href", "action"):
            assert element.get(attribute, "data:,").startswith(("data:", "#")), element.attrib
    assert json.loads(_element(document, "words").text) == english()


def test_the_same_result_gives_the_same_page() -> None:
    assert result_text(leaking(), english()) == result_text(leaking(), english())


def test_only_our_own_script_may_run() -> None:
    """Content Security Policy (W3C): a script runs if the hash of its text is allowed."""
    document, _, _ = _read(result_text(leaking(), english()))
    (policy,) = (
        e for e in document.iter("meta") if e.get("http-equiv") == "Content-Security-Policy"
    )
    (allowed,) = re.findall(r"script-src '(sha256-[^']+)'", policy.get("content"))
    scripts = [e.text for e in document.iter("script") if not e.get("type")]
    digest = b64encode(hashlib.sha256(scripts[0].encode()).digest()).decode()
    assert len(scripts) == 1
    assert allowed == f"sha256-{digest}"
    assert "default-src 'none'" in policy.get("content")


def test_words_of_a_scene_or_a_translator_are_never_markup() -> None:
    result = leaking()
    stage = replace(stage_of(result, water=False), title=NASTY, note=NASTY)
    data = page_data("one", [Shown(stage, result, result.to_dict())])
    words = dict.fromkeys(english(), NASTY)
    document, values, _ = _read(page_text(data, title=NASTY, words=words))
    scripts = [e for e in document.iter("script") if not e.get("type")]
    assert len(scripts) == 1
    assert "alert(1)" not in scripts[0].text
    assert next(document.iter("title")).text == NASTY
    assert values["details"][0]["title"] == NASTY


def test_the_page_shows_what_findings_and_parts_hold() -> None:
    """Pieces by their triangles, turns by dressing order, leaks with the words of findings.json."""
    result = leaking()
    _, values, blob = _read(result_text(result, english()))
    (detail,) = values["details"]
    parts = {part.name: part for part in result.assembly}
    for piece in detail["pieces"]:
        part, triangles = parts[piece["name"]], array_of(piece["triangles"], blob)
        if part.role is not Role.STACK:
            assert np.allclose(triangles, part.vertices[part.faces], atol=1e-5)
    sheets = [part.name for part in result.assembly if part.role is Role.FLASHING]
    turns = {piece["turn"]: piece["name"] for piece in detail["pieces"] if piece["turn"]}
    assert [turns[k] for k in sorted(turns)] == sheets
    found = result.to_dict()
    assert [leak["why"] for leak in detail["leaks"]] == [leak["why"] for leak in found["leaks"]]
    for shown, leak in zip(detail["leaks"], found["leaks"], strict=True):
        assert np.allclose(np.array(shown["point"]) * 1000, leak["point_mm"], atol=0.06)
    assert len(array_of(detail["paths"]["start"], blob)) > 100


def test_side_by_side_has_the_same_letters_numbers_and_drops() -> None:
    both = order_changed()
    _, values, _blob = _read(pair_text(both, english()))
    right, wrong = values["details"]
    assert (right["heading"], wrong["heading"]) == ("Right", "Wrong")
    letters = [
        {piece["name"]: piece["letter"] for piece in one["pieces"]} for one in (right, wrong)
    ]
    assert letters[0] == letters[1]
    assert (len(right["leaks"]), len(wrong["leaks"])) == (0, len(both.second.findings.leaks))
    whys = {leak["why"] for leak in both.second.to_dict()["leaks"]}
    assert {leak["why"] for leak in wrong["leaks"]} == whys


def test_an_installation_without_the_script_says_so(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(page_module, "SCRIPT", tmp_path / "page.js")
    assert "python -m pip install" in page_module.script_lacks()
