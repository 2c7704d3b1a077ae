"""The page in a browser, from disk and with the network off."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.ndimage import binary_opening

from scenes.page.page import LARGEST
from scenes.page.wording import english
from scenes.run import stage_of
from scenes.stage_camera import View
from tests.scenes.page.browsers import Opened, differ, from_disk
from tests.scenes.page.contrast import SHOWN_TEXT, contrast, needed
from tests.scenes.page.pages import CURE, FIELD, LAP, NOTE, one, two, written
from tests.scenes.page.shown_once import dry, leaking
from tests.scenes.page.web_tools import tool

PHONE, TABLET, NARROWEST = (390, 844), (820, 1180), (320, 640)
SMALLEST = 24
"""Pixels each way that anything to press must have: WCAG 2.2, 2.5.8."""
LEADERS_FROM = """() => Array.from(document.querySelectorAll("svg.leaders line.leak"))
    .map((line) => [+line.getAttribute("x1"), +line.getAttribute("y1")])"""
SMALLEST_TARGETS = """() => {
  const pressed = [...document.querySelectorAll("button, select, input, summary")];
  const boxes = pressed.map((one) => one.getBoundingClientRect());
  return Math.min(...boxes.filter((box) => box.width > 0).map((box) => Math.min(box.width, box.height)));
}"""


@pytest.fixture(scope="module")
def single(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened]:
    """A page of one detail that no test leaves changed."""
    with from_disk(browser, written(tmp_path_factory.mktemp("one"), one())) as shown:
        shown.settled()
        yield shown


@pytest.fixture(scope="module")
def pair(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened]:
    """A page of two details that no test leaves changed."""
    with from_disk(browser, written(tmp_path_factory.mktemp("two"), two())) as shown:
        shown.settled()
        yield shown


EITHER = pytest.mark.parametrize("kind", ["single", "pair"])


def test_drops_run_until_they_are_stopped(browser: Any, tmp_path: Path) -> None:
    with from_disk(browser, written(tmp_path, one()), still=False, size=(400, 420)) as shown:
        before = shown.canvas()
        assert any(differ(before, shown.canvas()) > 0.0005 for _ in range(20))
        assert film_seconds(shown) == pytest.approx(1, abs=0.2)
        shown.page.get_by_label("Drops move at").select_option("1/5 of true speed")
        assert film_seconds(shown) == pytest.approx(0.2, abs=0.05)
        shown.page.get_by_role("button", name="Stop the drops").click()
        shown.settled()
        frames, stopped = shown.noted("frames"), shown.canvas()
        shown.page.wait_for_timeout(900)
        assert shown.noted("frames") == frames
        assert differ(stopped, shown.canvas()) == 0


def film_seconds(shown: Opened) -> float:
    """How many seconds of the drops' time pass in one of ours."""
    watch = """() => new Promise((done) => {
      const read = () => [Number(document.querySelector("#picture").dataset.clock), performance.now() / 1000];
      const rows = [];
      const note = () => {
        rows.push(read());
        const [first, last] = [rows[0], rows[rows.length - 1]];
        if (last[1] - first[1] > 2 && rows.length > 4) done((last[0] - first[0]) / (last[1] - first[1]));
        else requestAnimationFrame(note);
      };
      requestAnimationFrame(note);
    })"""
    return float(shown.page.evaluate(watch))


def test_leaks_stand_where_they_are(single: Opened) -> None:
    """Two computations: the middle of a leak's number, or the end of its leader where there was no room for
    the number, and its point seen through a pinhole from where the picture says that the viewer stands, 26
    degrees of sight from top to bottom."""
    box = single.page.locator("canvas").bounding_box()
    azimuth, elevation = single.noted("azimuth"), single.noted("elevation")
    target = np.array(single.page.locator("#picture").get_attribute("data-target").split(), float)
    right, up, towards = View("here", azimuth, elevation).axes
    eye = target + single.noted("distance") * towards
    scale = box["height"] / 2 / np.tan(np.radians(13))
    for mark in stage_of(leaking()).leaks:
        off = mark.point - eye
        deep = -off @ towards
        x = box["width"] / 2 + scale * (off @ right) / deep
        y = box["height"] / 2 - scale * (off @ up) / deep
        number = single.page.get_by_role("button", name=f"Place {mark.number}:").bounding_box()
        middle = (number["x"] + number["width"] / 2, number["y"] + number["height"] / 2)
        marked = [middle, *single.page.evaluate(LEADERS_FROM)]
        assert any(abs(px - x) <= 2 and abs(py - y) <= 2 for px, py in marked)


def test_a_tap_on_a_leak_goes_there_and_tells_why(browser: Any, tmp_path: Path) -> None:
    """Where moving pictures are not wanted the drops stand, and the viewer is there in one step."""
    leak = stage_leaks()[0]
    with from_disk(browser, written(tmp_path, one()), has_touch=True) as shown:
        page, far = shown.page, shown.noted("distance")
        page.get_by_role("button", name="Let the drops run").wait_for()
        page.locator(".leaks summary").first.tap()
        assert not page.get_by_text(leak["why"]).is_visible()
        page.get_by_role("button", name=re.compile("^Place 1:")).tap()
        assert page.get_by_text(leak["why"]).is_visible()
        assert page.get_by_text(CURE).is_visible()
        shown.settled()
        assert shown.noted("distance") < 0.8 * far
        assert page.evaluate("document.activeElement.tagName") == "SUMMARY"
        assert "Place 1 is opened" in page.locator("#status").text_content()


def stage_leaks() -> list[dict[str, Any]]:
    leaks: list[dict[str, Any]] = leaking().to_dict()["leaks"]
    return leaks


def test_pieces_come_off_and_apart(browser: Any, tmp_path: Path) -> None:
    """Each control changes the picture, and what it was comes back."""
    with from_disk(browser, written(tmp_path, one())) as shown:
        page, whole = shown.page, shown.canvas()

        def seen(least: float) -> None:
            shown.settled()
            assert differ(whole, shown.canvas()) > least

        page.get_by_role("checkbox", name=re.compile("Stack")).uncheck()
        seen(0.02)
        page.get_by_role("button", name="All on").click()
        page.get_by_label("Put the flashings on one by one").fill("1")
        assert page.get_by_text("1 of 4: front apron").is_visible()
        seen(0.01)
        page.get_by_label("Put the flashings on one by one").fill("4")
        page.get_by_label("Move the pieces apart").fill("100")
        seen(0.02)
        page.get_by_label("Move the pieces apart").fill("0")
        page.get_by_label("See through the covering").check()
        seen(0.05)
        page.get_by_label("See through the covering").uncheck()
        page.get_by_label("Colours show").select_option(FIELD)
        assert page.get_by_text(f"{FIELD} (m)").is_visible()
        assert page.get_by_text(NOTE).is_visible()
        shown.settled()
        assert shown.canvas().mean() < whole.mean() - 15  # a ramp's colours are darker than ours
        page.get_by_label("Colours show").select_option("the pieces")
        shown.settled()
        assert differ(whole, shown.canvas()) == 0


def test_keys_turn_near_and_stop(browser: Any, tmp_path: Path) -> None:
    with from_disk(browser, written(tmp_path, one())) as shown:
        page = shown.page
        page.locator("canvas").focus()
        turned, near = shown.noted("azimuth"), shown.noted("distance")
        page.keyboard.press("ArrowRight")
        page.keyboard.press("+")
        shown.settled()
        assert shown.noted("azimuth") == pytest.approx(turned + np.radians(5), abs=1e-3)
        assert shown.noted("distance") == pytest.approx(0.87 * near, abs=1e-3)
        assert "is opened" not in page.locator("#status").text_content()
        page.keyboard.press("n")
        assert "Place 2 is opened" in page.locator("#status").text_content()
        page.keyboard.press("Space")
        page.get_by_role("button", name="Stop the drops").wait_for()
        page.keyboard.press("Space")
        page.get_by_role("button", name="Let the drops run").wait_for()


def test_everything_is_reached_by_tab(single: Opened) -> None:
    every = "canvas, button, select, input, summary"
    page = single.page
    wanted = page.locator(every).count()
    page.evaluate("document.body.tabIndex = -1; document.body.focus()")
    reached = set()
    for _ in range(wanted + 3):
        page.keyboard.press("Tab")
        place = f"[...document.querySelectorAll('{every}')].indexOf(document.activeElement)"
        reached.add(page.evaluate(place))
    page.evaluate("document.body.removeAttribute('tabindex'); document.activeElement.blur()")
    folded = page.locator(".leaks details:not([open]) button").count()
    assert len(reached - {-1}) == wanted - folded


@EITHER
def test_no_width_needs_scrolling_aside(kind: str, request: pytest.FixtureRequest) -> None:
    """On a phone, a tablet, and the narrowest that WCAG 2.2 asks for (1.4.10): the picture takes the upper
    half, nothing sticks out, and nothing to press is too small."""
    page = request.getfixturevalue(kind).page
    before = page.viewport_size
    for width, height in (PHONE, TABLET, NARROWEST):
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.evaluate("document.querySelector('#panel').scrollWidth") <= width
        picture = page.locator("#picture").bounding_box()
        assert picture["y"] == 0
        assert 0.5 * height < picture["height"] < 0.6 * height
        assert page.evaluate(SMALLEST_TARGETS) >= SMALLEST
    page.set_viewport_size(before)


def test_labels_do_not_overlap(single: Opened) -> None:
    """Derived: boxes of what is in sight over the picture share no area, and lie in the picture."""
    single.settled()
    assert single.page.locator(".mark.lap", has_text=LAP).count() == 1
    canvas = single.page.locator("canvas").bounding_box()
    marks = single.page.locator(".over .mark:not(.gone), .compass, .whole").all()
    boxes = [mark.bounding_box() for mark in marks]
    assert len(boxes) >= 8
    for k, box in enumerate(boxes):
        assert 0 <= box["x"] <= canvas["width"] - box["width"]
        assert 0 <= box["y"] <= canvas["height"] - box["height"]
        for other in boxes[:k]:
            apart = [
                box[low] >= other[low] + other[span] or other[low] >= box[low] + box[span]
                for low, span in (("x", "width"), ("y", "height"))
            ]
            assert any(apart)


def test_two_details_turn_as_one(browser: Any, tmp_path: Path) -> None:
    """Both halves change when one is turned, and the same piece stands at the same place of each half."""
    with from_disk(browser, written(tmp_path, two())) as shown:
        page, before = shown.page, shown.canvas()
        half = before.shape[1] // 2
        page.mouse.move(60, 200)
        page.mouse.down()
        page.mouse.move(140, 200, steps=3)
        page.mouse.up()
        shown.settled()
        after = shown.canvas()
        assert differ(before[:, :half], after[:, :half]) > 0.05
        assert differ(before[:, half:], after[:, half:]) > 0.05
        # The stack is the same on both sides: what goes where it is taken off must be too.
        page.get_by_role("checkbox", name=re.compile("Stack")).uncheck()
        shown.settled()
        gone = np.abs(after - shown.canvas()).max(axis=2) > 24
        gone = binary_opening(
            gone, iterations=2
        )  # thin lines are drawn a little otherwise each time
        left, right = gone[:, :half], gone[:, half : 2 * half]
        assert left.mean() > 0.02
        assert (left & right).sum() > 0.8 * (left | right).sum()
        assert page.locator(".head.good").text_content().startswith("✓ Right")
        assert page.locator(".head.bad").text_content().startswith("✗ Wrong")


@EITHER
def test_axe_finds_nothing(kind: str, request: pytest.FixtureRequest) -> None:
    """Outside library: axe-core, all its rules of WCAG 2.0 to 2.2, A and AA, and of best practice."""
    axe = (tool("axe-core") / "axe.min.js").read_text(encoding="utf-8")
    page = request.getfixturevalue(kind).page
    page.evaluate(axe + "; 0")
    found = page.evaluate("axe.run().then((found) => found.violations)")
    told = [(row["id"], [node["html"][:120] for node in row["nodes"]]) for row in found]
    assert told == []


@EITHER
def test_text_stands_out(kind: str, request: pytest.FixtureRequest) -> None:
    """Published formula: contrast ratios of WCAG 2.2 from the colours that the browser computed."""
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21)
    assert contrast("rgb(119, 119, 119)", "rgb(255, 255, 255)") == pytest.approx(4.48, abs=0.005)
    rows = request.getfixturevalue(kind).page.evaluate(SHOWN_TEXT)
    assert len(rows) > 40
    poor = [row for row in rows if contrast(row["colour"], row["paper"]) < needed(row)]
    assert poor == []


def test_other_words_take_the_place_of_ours(browser: Any, tmp_path: Path) -> None:
    """Every word of the page's own that is in sight comes from the words; what data say stays."""
    words = {name: f"ø{text}" for name, text in english().items()} | {"lang": "da"}
    own = {text for text in english().values() if "{" not in text and len(text) > 3}
    with from_disk(browser, written(tmp_path, one(), words=words)) as shown:
        page = shown.page
        assert page.evaluate("document.documentElement.lang") == "da"
        texts = {(text or "").strip() for text in page.locator("body *").all_inner_texts()}
        assert "øStop the drops" in texts or "øLet the drops run" in texts
        assert not texts & own


def test_it_prints_a_clean_sheet(browser: Any, tmp_path: Path) -> None:
    with from_disk(browser, written(tmp_path, one())) as shown:
        page = shown.page
        page.emulate_media(media="print")
        sheet = page.locator("#sheet")
        sheet.locator("img").wait_for()
        assert sheet.locator("img").evaluate("image => image.naturalWidth") > 500
        told = sheet.inner_text()
        leak = stage_leaks()[0]
        for words in ("Water gets behind at 2 places", leak["why"], CURE, "Left side flashing",
                      "a licensed practitioner decide"):  # fmt: skip
            assert words in told
        assert page.locator("button:visible, input:visible, select:visible").count() == 0
        page.emulate_media(media="screen")
        paper = page.pdf(prefer_css_page_size=True)
        assert len(re.findall(rb"/Type\s*/Page\b", paper)) == 1


def test_a_title_is_never_markup(browser: Any, tmp_path: Path) -> None:
    title = "<script>window.struck = 1</script></script><img src=x onerror='window.struck = 2'>"
    words = english() | {"leaks": title, "cautions": "</script><b id='struck'>"}
    with from_disk(browser, written(tmp_path, one(), title=title, words=words)) as shown:
        assert shown.page.evaluate("window.struck") is None
        assert shown.page.locator("#struck").count() == 0
        assert shown.page.locator("h1").text_content() == title
        assert shown.page.title() == title


def test_without_a_picture_everything_is_told(browser: Any, tmp_path: Path) -> None:
    none = "HTMLCanvasElement.prototype.getContext = () => null;"
    with from_disk(browser, written(tmp_path, one()), before=none) as shown:
        page = shown.page
        assert page.get_by_text("there is no picture").is_visible()
        for leak in stage_leaks():
            assert page.get_by_text(leak["why"]).is_visible()
        shown.wrong = [line for line in shown.wrong if "WebGL context" not in line]


def test_a_picture_that_is_taken_away_is_missed(browser: Any, tmp_path: Path) -> None:
    lose = """() => {
      const canvas = document.querySelector("canvas");
      canvas.getContext("webgl2").getExtension("WEBGL_lose_context").loseContext();
    }"""
    with from_disk(browser, written(tmp_path, one())) as shown:
        shown.page.evaluate(lose)
        shown.page.get_by_text("The browser has taken the picture away").wait_for()


def test_an_old_browser_unpacks_by_itself(browser: Any, tmp_path: Path) -> None:
    """Two computations: the page's own unpacking shows what the browser's does."""
    file = written(tmp_path, one())
    with from_disk(browser, file) as shown:
        told, drawn = shown.page.locator("#panel").inner_text(), shown.canvas()
    with from_disk(browser, file, before="delete window.DecompressionStream;") as shown:
        assert shown.page.locator("#panel").inner_text() == told
        assert differ(drawn, shown.canvas()) == 0


def test_pages_are_small(tmp_path: Path) -> None:
    assert written(tmp_path, one()).stat().st_size < LARGEST
    assert written(tmp_path, two()).stat().st_size < LARGEST
    assert dry().findings.leaks == ()
