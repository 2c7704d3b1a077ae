"""A browser for the tests of the page: the system's Chromium, drawing in software, with no network."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

NAMES = ("chromium", "chromium-browser", "google-chrome")
IN_SOFTWARE = (
    "--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
)  # fmt: skip
PATIENCE = 30_000
"""Milliseconds that anything may take on a busy machine."""

DRAWN = (
    "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done())))"
)
"""What was asked for before is drawn in the first of two frames at the latest, however busy the machine."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """A started browser; the test is skipped, with the reason, where there is none."""
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("no browser: Debian's package chromium has one")
    with playwright.sync_playwright() as tools:
        started = tools.chromium.launch(executable_path=found, args=list(IN_SOFTWARE))
        yield started
        started.close()


@dataclass
class Opened:
    """A page and what went wrong in it; asked: every address that it asked for but its own file."""

    page: Any
    wrong: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def canvas(self) -> np.ndarray:
        """(h, w, 3) what is drawn, without the labels over it."""
        over = ".over, .compass, .whole { visibility: hidden !important; }"
        shot = self.page.locator(".surface").screenshot(style=over)
        return np.asarray(Image.open(BytesIO(shot)).convert("RGB"), dtype=float)

    def noted(self, name: str) -> float:
        """What the picture says of itself: frames, azimuth, elevation or distance."""
        return float(self.page.locator("#picture").get_attribute(f"data-{name}"))

    def settled(self) -> None:
        """Wait until nothing moves any more. The drops must be stopped."""
        before = -1.0
        for _ in range(100):
            self.page.evaluate(DRAWN)
            now = self.noted("frames")
            if now == before:
                return
            before = now
            self.page.wait_for_timeout(300)
        raise AssertionError("the picture never comes to rest")


@contextmanager
def opened(
    browser: Any, address: str, *, size: tuple[int, int] = (640, 440), before: str = "",
    still: bool = True, ready: str = "html[data-ready]", **context: Any,
) -> Iterator[Opened]:  # fmt: skip
    """A page at an address, once it is ready. still: ask for no moving pictures, so that the drops stand;
    before: a script that runs before the page's own."""
    width, height = size
    motion = "reduce" if still else "no-preference"
    place = browser.new_context(
        viewport={"width": width, "height": height}, reduced_motion=motion, **context
    )
    place.set_default_timeout(PATIENCE)
    page = place.new_page()
    made = Opened(page)
    page.on("console", lambda said: said.type == "error" and made.wrong.append(said.text))
    page.on("pageerror", lambda error: made.wrong.append(str(error)))
    page.on("request", lambda request: made.asked.append(request.url))
    if before:
        page.add_init_script(before)
    page.goto(address)
    page.wait_for_selector(ready)
    yield made
    place.close()


@contextmanager
def from_disk(browser: Any, file: Path, **more: Any) -> Iterator[Opened]:
    """A page opened from disk with the network off; after it, nothing may have gone wrong or been asked
    for."""
    with opened(browser, file.as_uri(), offline=True, **more) as page:
        yield page
        assert page.wrong == []
        elsewhere = [url for url in page.asked if not url.startswith(("file:", "data:", "blob:"))]
        assert elsewhere == []


def differ(one: np.ndarray, two: np.ndarray) -> float:
    """The share of pixels that differ plainly."""
    return float((np.abs(one - two).max(axis=2) > 24).mean())
