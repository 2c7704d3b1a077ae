"""The lesson: one page that validates, escapes what scenes say, and asks what it can answer."""

from __future__ import annotations

from base64 import b64decode
from copy import deepcopy
from typing import Any
from xml.etree.ElementTree import Element

import html5lib
import pytest

from scenes.compare_words import effect, labels
from scenes.lesson import lesson_page
from scenes.lesson_words import question
from tests.scenes.compared_once import cover_too_narrow, order_changed, with_itself

PNG = b"\x89PNG\r\n\x1a\n one", b"\x89PNG\r\n\x1a\n two"
NASTY = '<script>alert(1)</script> & "it\'s" {{ 7 * 7 }} </title>'


def parsed(page: str) -> Element:
    """The page as a tree; raises on the first thing that HTML does not allow."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)


def text_of(tree: Element) -> str:
    return " ".join(" ".join(tree.itertext()).split())


def found(kind: str) -> dict[str, Any]:
    made = {"order": order_changed, "cover": cover_too_narrow, "itself": with_itself}[kind]
    return deepcopy(made().found)


@pytest.mark.parametrize("kind", ["order", "cover", "itself"])
@pytest.mark.parametrize("views", [PNG, None])
def test_the_page_is_html_and_stands_alone(kind: str, views: tuple[bytes, bytes] | None) -> None:
    """Outside library: html5lib's strict parser takes it. Derived: no script, nothing from elsewhere,
    both pictures inside, and the answer folded away."""
    page = lesson_page(found(kind), views)
    tree = parsed(page)
    assert page.startswith("<!DOCTYPE html>")
    assert tree.get("lang") == "en"
    assert not list(tree.iter("script"))
    assert not list(tree.iter("link"))
    assert "http" not in page
    assert "url(" not in page
    images = list(tree.iter("img"))
    assert len(images) == (2 if views else 0)
    for image, png in zip(images, views or (), strict=True):
        kind_of, _, data = image.get("src", "").partition(",")
        assert kind_of == "data:image/png;base64"
        assert b64decode(data, validate=True) == png
        assert image.get("alt")
    (details,) = tree.iter("details")
    assert "open" not in details.attrib
    assert details.find("summary") is not None
    assert len(list(details.iter("p"))) >= 1
    ids = [one.tag for one in tree.iter() if one.tag in ("h1", "main", "table", "title")]
    assert sorted(ids) == ["h1", "main", "table", "title"]


def test_the_page_has_right_wrong_why_and_what_was_done() -> None:
    """Derived: the fault's own line, both names and verdicts, each leak's way in and why, cautions."""
    told = found("order")
    text = text_of(parsed(lesson_page(told, None)))
    for name in labels(told):
        assert f"{name}: " in text
    for row in told["leaks"]:
        assert " ".join(row["second"]["why"].split()) in text
        assert row["second"]["way_in"][1:] in text
    for line in told["cautions"]:
        assert line in text
    assert "order: apron, gutter, left, right, underlay instead of" in text
    (fault,) = found("cover")["faults"]
    assert fault["done_wrong"].rstrip(".") in text_of(parsed(lesson_page(found("cover"), None)))


def test_what_a_scene_says_stays_text() -> None:
    """Derived: a title with tags, quotes and braces is shown as it was written, in text and in alt."""
    told = found("order")
    for side in ("first", "second"):
        told[side]["scene"]["title"] = NASTY
    told["keys"] = [{"key": NASTY, "first": NASTY, "second": "<b>"}]
    told["notes"] = [NASTY]
    for row in told["leaks"]:
        row["second"]["way_in"] = row["second"]["why"] = NASTY
    page = lesson_page(told, PNG)
    tree = parsed(page)
    assert not list(tree.iter("script"))
    assert not list(tree.iter("b"))
    assert "<script" not in page
    assert NASTY in (tree.findtext("head/title") or "")
    assert NASTY in (tree.findtext("body/header/h1") or "")
    assert all(NASTY in image.get("alt", "") for image in tree.iter("img"))


def test_the_question_is_about_the_largest_leak() -> None:
    """Derived: from the comparison itself; the answer holds its way in, why, and the difference."""
    told = found("order")
    asked, answer = question(told)
    assert asked.startswith("On one of the two water gets behind the flashings. Where")
    first = told["leaks"][0]["second"]
    assert first["way_in"][1:] in answer[0]
    assert first["why"] in answer[0]
    assert "marked wrong" in answer[0]
    assert "covering" in answer[1]
    assert "order: " in answer[-1]


def test_water_that_runs_behind_and_out_again_is_not_called_dry() -> None:
    """Derived: invented shares, 25 % behind a flashing on one side only, ten standard errors apart."""
    told = found("itself")
    told["second"]["ran_behind_a_flashing"] = {"share": 0.25, "share_se": 0.025}
    assert "about 25 % of the rain runs behind a flashing" in effect(told)
    asked, answer = question(told)
    assert "the same way on both" in asked
    assert "25 % on the side marked second" in answer[0]
    text = text_of(parsed(lesson_page(told, None)))
    assert "No water gets through, but some runs behind a flashing and out again" in text
    assert "behind a flashing on its way 0 % 25 %" in text
    told["second"]["ran_behind_a_flashing"] = {"share": 0.05, "share_se": 0.025}
    assert "tell them apart" in question(told).asked
    assert "runs behind" not in effect(told)


def test_standing_water_is_told_of_where_its_depth_differs() -> None:
    """Derived: invented depths; a millimetre more is not told of."""
    told = found("itself")
    assert "Water stands" not in effect(told)
    told["second"]["standing_water"] = [{"spills": True, "depth_mm": 28.2}]
    assert "Water stands up to 28 mm deep; in the first" in effect(told)
    told["first"]["standing_water"] = [{"spills": True, "depth_mm": 27.2}]
    assert "Water stands" not in effect(told)


def test_without_a_leak_it_asks_about_the_lap() -> None:
    """Derived: the lap that is too short on one side only, with both figures and the rule."""
    asked, answer = question(found("cover"))
    assert "lap is too short" in asked
    assert "60 of 150 mm, too short" in answer[0]
    assert "150 of 150 mm, ok" in answer[0]
    assert answer[1].startswith("The rule: ")


def test_without_either_it_asks_about_the_gust_then_about_drops() -> None:
    """Derived: invented gusts on a pair that differs in nothing else; then drops; then why nothing."""
    told = found("itself")
    gusts = deepcopy(told)
    for side, gust in (("first", 30.0), ("second", 16.4)):
        gusts[side] |= {
            "first_leak_gust_m_s": gust, "first_leak_from_deg": 0.0, "first_leak_way_in": "up the side",
        }  # fmt: skip
    asked, answer = question(gusts)
    assert "gust" in asked
    assert "16.4 m/s (59 km/h); then water gets in up the side" in answer[1]
    drops = deepcopy(told)
    drops["fates"] = [
        {"from": "shed", "to": "held", "drops": 5, "share_first": 0.1, "share_second": 0.1}
    ]
    drops["changed"] |= {"drops": 5}
    asked, answer = question(drops)
    assert asked.startswith("5 drops of")
    assert "end as shed" in answer[0]
    assert "end as held" in answer[0]
    asked, answer = question(told)
    assert "tell them apart" in asked
    assert "none ends otherwise" in answer[0]


def test_the_figures_stand_beside_each_other() -> None:
    """Derived: the share that gets behind, in a row of the table with one cell a side."""
    told = found("order")
    rows = list(parsed(lesson_page(told, None)).iter("tr"))
    cells = [[" ".join(cell.itertext()) for cell in row] for row in rows]
    assert cells[0] == ["What", "Right", "Wrong"]
    (row,) = [row for row in cells if "on the underlay" in row[0]]
    assert row[1].startswith("0 %")
    share = next(line for line in told["second"]["water"] if line["fate"] == "underlay")["share"]
    assert row[2].startswith(f"{100 * share:.3g} %")
