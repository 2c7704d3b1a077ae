"""The wet side of every piece of the library: covers look up, upstands away from the stack."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from meshes.build import pieces
from meshes.sheet import facets, normal_of
from scenes.scene import load, names


def fits() -> list[tuple[str, str]]:
    """Every scene both ways; soakers lie between the courses, so they rest on nothing."""
    return [
        (name, fit)
        for name in names()
        for fit in ("dressed", "resting")
        if fit == "dressed" or (made := load(name).detail) is None or made.sides.way != "soakers"
    ]


@pytest.mark.parametrize(("name", "fit"), fits())
def test_covers_look_up(name: str, fit: str) -> None:
    """Derived: rain falls on a cover's wet side; the small noses that it is dressed down look down the
    slope, so all of it together counts."""
    detail = load(name).detail
    assert detail is not None
    for piece in pieces(replace(detail, cover_fit=fit)).values():
        looks = 0.0
        for row, facet in zip(piece.facets.polygons, piece.facets.names, strict=True):
            if facet.startswith("cover"):
                ring = piece.facets.points[list(row)]
                looks += np.cross(ring, np.roll(ring, -1, axis=0)).sum(axis=0)[2]
        assert looks >= 0, piece.name


def test_a_first_facet_square_to_the_wet_side_decides_nothing() -> None:
    """A sole, an upstand beside it, and an end that stands square to the way it looks: whichever comes
    first, the same sides show."""
    sole = ("sole", [(0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (1.0, 1.0, 0.0), (0.0, 1.0, 0.0)])
    back = ("back", [(0.0, 1.0, 0.0), (1.0, 1.0, 0.0), (1.0, 1.0, 0.5), (0.0, 1.0, 0.5)])
    end = ("end", [(0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 1.0, 0.5)])
    for order in ((sole, back, end), (end, sole, back), (back, end, sole)):
        made = facets(order, wet=(0.0, -1.0, 0.0))
        looks = {
            name: np.round(normal_of(made.points[list(row)]), 9).tolist()
            for name, row in zip(made.names, made.polygons, strict=True)
        }
        assert looks == {"sole": [0, 0, 1], "back": [0, -1, 0], "end": [1, 0, 0]}
