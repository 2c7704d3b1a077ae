"""Gusts of the library's scenes, searched once for all tests that look at them."""

from __future__ import annotations

from functools import cache

from scenes.gust import Gusts, gusts_of
from scenes.progress import Remarks
from scenes.scene import load


@cache
def gusts_of_scene(name: str) -> Gusts:
    """The first-leak gusts of a scene of the library, with seed 0 and all cores."""
    return gusts_of(load(name), seed=0, remarks=Remarks(quiet=True))
