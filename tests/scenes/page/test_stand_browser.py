"""The live stand in a browser, served over a socket of this computer."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from typing import Any

import pytest

from scenes.page.page import script_lacks
from scenes.page.wording import english
from scenes.stand.serve import stand_of
from tests.scenes.page.browsers import Opened, differ, opened
from tests.scenes.page.contrast import SHOWN_TEXT, contrast, needed
from tests.scenes.page.web_tools import tool
from tests.scenes.stand.benches import bench

FAULT = "side over the gutter"
DRY, WET = "✓", "✗"


@pytest.fixture(scope="module")
def address(browser: Any) -> Iterator[str]:
    """Where a stand serves the terrace until the tests of this file end."""
    if script_lacks():
        pytest.skip(script_lacks())
    stand = stand_of(bench("terrace"), english(), host="127.0.0.1", port=0, threads=1)
    threading.Thread(target=stand.serve, daemon=True).start()
    yield stand.address
    stand.stop()


def verdict(shown: Opened) -> str:
    """What is told once nothing is awaited any more."""
    shown.page.wait_for_selector("#picture:not(.working)")
    return str(shown.page.locator(".verdict").first.text_content())


def put(shown: Opened, name: str, value: str) -> None:
    """Find a choice by its name, and choose."""
    shown.page.get_by_label("Find by name").fill(name)
    shown.page.get_by_label(name, exact=True).select_option(label=value)


def drag(shown: Opened, name: str, values: list[float]) -> None:
    """Move a slider as a finger does: many moves, then let go."""
    shown.page.get_by_label("Find by name").fill(name)
    move = """(slider, values) => {
      for (const value of values) {
        slider.value = value;
        slider.dispatchEvent(new Event("input", { bubbles: true }));
      }
      slider.dispatchEvent(new Event("change", { bubbles: true }));
    }"""
    shown.page.get_by_label(name, exact=True).evaluate(move, values)


def test_a_change_is_rained_on_and_kept(browser: Any, address: str) -> None:
    """The verdict follows what is set, the viewer stays where they were, and loading again loses nothing."""
    with opened(browser, address) as shown:
        assert verdict(shown).startswith(DRY)
        shown.page.get_by_role("button", name="the ridge").click()
        shown.page.get_by_role("button", name="nearer").click()
        shown.settled()
        place = [shown.noted(name) for name in ("azimuth", "elevation", "distance")]
        before = shown.canvas()
        put(shown, FAULT, "left")
        assert verdict(shown).startswith(WET)
        shown.settled()
        assert [shown.noted(name) for name in ("azimuth", "elevation", "distance")] == place
        assert differ(before, shown.canvas()) > 0.002
        assert shown.page.get_by_text("1 changed").is_visible()
        shown.page.reload()
        shown.page.wait_for_selector("html[data-ready]")
        assert verdict(shown).startswith(WET)
        assert shown.page.get_by_text("1 changed").count() == 1
        shown.page.get_by_role("button", name="Back to the start").click()
        assert verdict(shown).startswith(DRY)
        assert "#" not in shown.page.url
        assert shown.wrong == []


def test_two_states_are_kept_and_flipped(browser: Any, address: str) -> None:
    with opened(browser, address, permissions=["clipboard-read", "clipboard-write"]) as shown:
        page = shown.page
        page.get_by_text("Keep two states and compare").click()
        flip = page.get_by_role("button", name="Show the other one")
        assert flip.is_disabled()
        page.get_by_role("button", name="Keep this as A").click()
        put(shown, FAULT, "left")
        assert verdict(shown).startswith(WET)
        page.get_by_role("button", name="Keep this as B").click()
        for told, name in ((DRY, "A is shown"), (WET, "B is shown")):
            flip.click()
            assert verdict(shown).startswith(told)
            assert page.get_by_text(name).is_visible()
        page.get_by_role("button", name="Copy link").click()
        page.get_by_text("The link is copied").wait_for()
        link = page.evaluate("navigator.clipboard.readText()")
        page.goto("about:blank")
        page.goto(link)
        page.wait_for_selector("html[data-ready]")
        assert page.get_by_text("A: No water gets behind the flashings").is_visible()
        assert page.get_by_text("B is shown").is_visible()
        flip.click()
        assert verdict(shown).startswith(DRY)
        assert shown.wrong == []


def test_one_is_asked_at_a_time_and_the_last_wins(browser: Any, address: str) -> None:
    """Of many moves of a slider the first and the last are asked; a busy stand is asked again."""
    asked: list[dict[str, Any]] = []
    open_now: list[int] = [0, 0]

    def answer(route: Any) -> None:
        asked.append(json.loads(route.request.post_data))
        if len(asked) == 2:
            route.fulfill(status=429, json={"error": "busy"})
        else:
            route.continue_()

    with opened(browser, address + "?token=abc") as shown:
        page = shown.page

        def begun(_: Any) -> None:
            open_now[0] += 1
            open_now[1] = max(open_now)

        def ended(_: Any) -> None:
            open_now[0] -= 1

        page.route("**/change?token=abc", answer)
        page.on("request", begun)
        page.on("requestfinished", ended)
        drag(shown, "side cover", [155, 160, 165, 170, 175])
        assert verdict(shown).startswith(DRY)
        values = [(body["values"]["side cover"], body["drops"]) for body in asked]
        assert values == [(155, "few"), (175, "all"), (175, "all")]
        assert open_now == [0, 1]
        assert all("429" in line for line in shown.wrong)


def test_what_is_refused_leaves_the_picture(browser: Any, address: str) -> None:
    why = "the side cover doesn't fit"
    with opened(browser, address) as shown:
        page, before = shown.page, shown.canvas()
        refuse = {"status": 422, "json": {"error": why}}
        page.route("**/change", lambda route: route.fulfill(**refuse))
        drag(shown, "side cover", [60])
        page.get_by_text(f"Not shown: {why}").wait_for()
        assert verdict(shown).startswith(DRY)
        shown.settled()
        assert differ(before, shown.canvas()) == 0
        slider = page.get_by_label("side cover", exact=True)
        assert slider.get_attribute("aria-invalid") == "true"
        page.unroute("**/change")
        page.route("**/change", lambda route: route.abort())
        drag(shown, "side cover", [70])
        page.get_by_text("does not answer").wait_for()
        page.unroute("**/change")
        drag(shown, "side cover", [155])
        page.locator(".error").wait_for(state="hidden")
        assert verdict(shown).startswith(DRY)
        assert slider.get_attribute("aria-invalid") is None


def test_the_scene_is_saved_as_a_file(browser: Any, address: str) -> None:
    with opened(browser, address, accept_downloads=True) as shown:
        drag(shown, "side cover", [155])
        verdict(shown)
        with shown.page.expect_download() as saving:
            shown.page.get_by_role("button", name="Save the scene file").click()
        assert saving.value.suggested_filename == "scene.toml"
        assert "155" in saving.value.path().read_text(encoding="utf-8")
        assert shown.wrong == []


def test_everyone_can_use_the_controls(browser: Any, address: str) -> None:
    """Outside library (axe-core), and the published formula of contrast, with every group of controls open,
    and a phone's width."""
    with opened(browser, address, size=(390, 700)) as shown:
        page = shown.page
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        assert page.evaluate("document.querySelector('#panel').scrollWidth") <= 390
        rows = page.evaluate(SHOWN_TEXT)
        assert len(rows) > 150
        assert [row for row in rows if contrast(row["colour"], row["paper"]) < needed(row)] == []
        page.evaluate((tool("axe-core") / "axe.min.js").read_text(encoding="utf-8") + "; 0")
        found = page.evaluate("axe.run().then((found) => found.violations)")
        assert [(row["id"], row["nodes"][0]["html"][:120]) for row in found] == []


def test_a_hash_of_nonsense_does_nothing(browser: Any, address: str) -> None:
    """Values of no control, of another kind, and letters that hold nothing are all left out."""
    with opened(browser, address + "#!!") as shown:
        for nonsense in ("eyJzZXQiOnsiX19wcm90b19fIjp7IngiOjF9LCJuaWwiOjF9fQ", "W10", "bnVsbA"):
            shown.page.evaluate("(hash) => { location.hash = hash; }", nonsense)
            shown.page.wait_for_timeout(100)
            assert verdict(shown).startswith(DRY)
        assert shown.page.locator(".count:not(:empty)").count() == 0
        assert shown.wrong == []
