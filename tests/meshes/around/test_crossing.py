"""Measures so far from usual that an outline crosses itself: one line, no traceback."""

from __future__ import annotations

from math import radians

import pytest

from meshes.build import build
from meshes.errors import PieceError
from meshes.spec import Apron, Detail, Roof, Sides, Stack


def test_an_outline_that_crosses_itself_is_one_line() -> None:
    """A deep chase in a shallow, wide stack with a stepped cover."""
    detail = Detail(
        roof=Roof(pitch=radians(36)), stack=Stack(width=0.93, depth=0.222), apron=Apron(),
        sides=Sides(way="stepped cover", turn_in=0.075),
    )  # fmt: skip
    with pytest.raises(PieceError, match="an outline that does not cross itself"):
        build(detail)
