"""Benches that several tests of the stand use."""

from __future__ import annotations

from functools import cache

from scenes.scene import LIBRARY, load
from scenes.stand.asked import Bench


@cache
def bench(name: str = "terrace") -> Bench:
    """A scene of the library to change."""
    return Bench.of(load(name), LIBRARY)
