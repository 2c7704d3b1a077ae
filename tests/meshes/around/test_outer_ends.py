"""The outer edges of a gutter's sole are turned down: no way in from beside beneath it."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from meshes.around.back import back_piece, back_sheet
from meshes.around.back_line import sole_drop
from meshes.around.build import build_around
from meshes.around.scheme import scheme_of
from meshes.spec import BackGutter, Detail, Sides, Stack
from tests.meshes.around.details_around import COVERINGS, around
from tests.meshes.crossings import crossings

RAYS = 2000
FAR = 3.0  # length of a ray [m]
CLEAR = 0.004  # [m] how far over the covering's noses and crests, and under the sole, rays start
UNEQUAL = ((-0.3, 0.0), (0.3, 0.05), (0.3, 0.4), (-0.3, 0.4))
GUTTERS: dict[str, Detail] = {
    **{covering: around(40, covering) for covering in COVERINGS},
    "soakers": around(covering="slates", sides=Sides(way="soakers")),
    "resting": around(30, "interlocking", cover_fit="resting"),
    "narrow": around(gutter=BackGutter(beyond_stack=0.04)),
    "front that slants": around(stack=Stack(plan="points", points=UNEQUAL, height=1.4)),
}


def from_under_the_sole(detail: Detail, side: int) -> int:
    """How many rays outward and up from beneath the sole, beside the stack, pass the back gutter."""
    scheme, gutter = scheme_of(detail), build_around(detail)["back gutter"]
    assert scheme.back is not None
    assert scheme.back.level_face is not None
    lie = scheme.behind()
    edge = side * np.abs(gutter.vertices[:, 0]).max()
    rng = np.random.default_rng(7)
    y = rng.uniform(sole_drop(detail, scheme.back.level_face) + CLEAR, scheme.back.end_y, RAYS)
    # A layer of its own more than the noses and the crests.
    layers = (scheme.top_layer + 1) * detail.gap
    low = np.array([scheme.nose_plane(at) for at in y]) + scheme.crest + layers + CLEAR
    high = np.array([lie.height(0.0, at) for at in y]) - CLEAR
    room = high > low
    assert room.mean() > 0.3
    y, low, high = y[room], low[room], high[room]
    start = np.column_stack([
        np.full(len(y), edge - side * 0.010), y, low + (high - low) * rng.uniform(size=len(y))
    ])  # fmt: skip
    aside, up = rng.uniform(-0.2, 0.2, len(y)), rng.uniform(0.0, 0.4, len(y))
    way = np.column_stack([np.full(len(y), side), aside, up])
    met = crossings(start, start + FAR * way, gutter.vertices[gutter.faces])
    return len(y) - len({ray for ray, _ in met})


@pytest.mark.parametrize("name", GUTTERS)
def test_no_rain_blows_in_beneath_the_sole(name: str) -> None:
    """Exact geometry, by brute force: rain that slants down from beside meets the sheet first."""
    for side in (-1, 1):
        assert from_under_the_sole(GUTTERS[name], side) == 0


@pytest.mark.parametrize("name", GUTTERS)
def test_one_edge_is_turned_down_on_each_side(name: str) -> None:
    """Exact: as many, joined to the sole along their upper edges."""
    scheme = scheme_of(GUTTERS[name])
    blank = back_piece(scheme, back_sheet(scheme)).blank()
    ends = {at for at, what in enumerate(blank.names) if what == "outer end"}
    bends = [
        {blank.names[at] for at in bend.panels} for bend in blank.bends if ends & {*bend.panels}
    ]
    assert len(ends) == 2
    assert bends == [{"outer end", "sheet"}] * 2


@pytest.mark.parametrize("name", ["plain tiles", "interlocking", "slates", "soakers", "resting"])
def test_the_turned_down_edges_can_be_cut_from_one_blank(name: str) -> None:
    """Exact: flat, they lie beside the sheet's other panels. (What is turned round the stack's corners
    is welded on, and with it what hangs on that close by; over a wave the blank is worked.)"""
    scheme = scheme_of(GUTTERS[name])
    blank = back_piece(scheme, back_sheet(scheme)).blank()
    panels = list(zip(blank.names, map(shapely.Polygon, blank.panels), strict=True))
    sheet = shapely.unary_union([panel for what, panel in panels if what == "sheet"])
    ends = [panel for what, panel in panels if what == "outer end"]
    assert ends
    for end in ends:
        assert end.intersection(sheet).area < 1e-9
