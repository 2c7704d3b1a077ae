"""Gusts of the library's scenes, searched once for all tests that look at them."""

from __future__ import annotations

from functools import cache

from scenes.gust import Gusts, gusts_of
from scenes.progress import Remarks
from scenes.scene import load

PLAIN = """\
[roof]
pitch_deg = 40
covering = "plain"

[stack]
width_mm = 590
depth_mm = 440
"""
"""A scene file with a roof in one plane: gusts are searched on it in half the time."""


@cache
def gusts_of_scene(name: str) -> Gusts:
    """The first-leak gusts of a scene of the library, with seed 0 and all cores."""
    return gusts_of(load(name), seed=0, remarks=Remarks(quiet=True))
