"""One leaking cottage for all tests of the window, and the words of findings that it holds."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

from scenes.faults.apply import with_faults
from scenes.progress import Remarks
from scenes.run import Result, run
from scenes.scene import load
from scenes.window.window import Window

SIZE = (860, 560)
FAULTS = ("side over the gutter@left", "cover too narrow@right=40")


@cache
def leaking() -> Result:
    """The cottage with a leak at its back left corner, and a lap too short at its right."""
    scene = with_faults(load("cottage"), FAULTS)
    return run(scene, drops=3000, seed=1, remarks=Remarks(quiet=True))


@contextmanager
def opened(size: tuple[int, int] = SIZE) -> Iterator[Window]:
    """A window on it that no screen shows, drawn once."""
    window = Window(leaking(), size, off_screen=True)
    try:
        window.redraw()
        yield window
    finally:
        window.plotter.close()
