"""Comparisons of the library's scenes, made once for all tests that look at them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from scenes.compare import Comparison, compared
from scenes.faults.apply import with_faults
from scenes.progress import Remarks
from scenes.scene import LIBRARY, Scene, load, read

SIDES_LAST = 'order = ["apron", "gutter", "left", "right", "underlay"]\n'
"""Side flashings dressed over the back gutter: the wrong way round."""
DROPS = 3000
QUIET = Remarks(quiet=True)


def sides_over_gutter() -> Scene:
    """The cottage with its side flashings dressed last."""
    text = (LIBRARY / "cottage.toml").read_text(encoding="utf-8")
    return read(SIDES_LAST + text, "wrong.toml", Path())


@cache
def order_changed(*, swapped: bool = False) -> Comparison:
    """The cottage against itself with its side flashings dressed over the back gutter."""
    scenes = [load("cottage"), sides_over_gutter()]
    first, second = reversed(scenes) if swapped else scenes
    return compared(first, second, drops=DROPS, seed=0, remarks=QUIET)


@cache
def with_itself() -> Comparison:
    """The cottage against the cottage."""
    return compared(load("cottage"), load("cottage"), drops=DROPS, seed=0, remarks=QUIET)


@cache
def cover_too_narrow() -> Comparison:
    """The terrace against itself with 90 mm less of the left cover."""
    right = load("terrace")
    wrong = with_faults(right, ["cover too narrow@left=90"])
    return compared(right, wrong, drops=DROPS, seed=0, remarks=QUIET)
