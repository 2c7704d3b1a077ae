"""The back gutter's returns and their turn-ins leave no slit between gutter and stack open to the sky."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from meshes.build import build
from meshes.parts import Assembly
from tests.meshes.crossings import crossings
from tests.meshes.details import COVERINGS, detail

RAYS = 4000
CLOSING = ("back gutter", "stack")
FAR = 3.0  # length of a ray [m]
DEPTH = 0.44  # of the stack [m]
HALF = 0.295  # half the stack's width [m]


def to_the_sky(made: Assembly, side: float) -> int:
    """How many rays that go up and aside from between a return and the stack meet neither."""
    corners = made["back gutter"].vertices
    beside = (side * corners[:, 0] > HALF + 0.001) & (corners[:, 1] < DEPTH + 0.005)
    returned = corners[beside]
    at_return = returned[np.isclose(returned[:, 2], returned[:, 2].max())]
    wide, (front, back), top = side * at_return[0, 0], sorted(at_return[:2, 1]), at_return[0, 2]
    rng = np.random.default_rng(7)
    start = np.column_stack([
        side * rng.uniform(HALF + 2e-4, wide - 2e-4, RAYS),
        rng.uniform(front + 2e-4, back - 2e-4, RAYS),
        rng.uniform(top - 0.010, top - 0.001, RAYS),
    ])  # fmt: skip
    way = np.column_stack([rng.uniform(-0.6, 0.6, (RAYS, 2)), np.ones(RAYS)])
    closing = np.concatenate([made[name].vertices[made[name].faces] for name in CLOSING])
    return RAYS - len({ray for ray, _ in crossings(start, start + FAR * way, closing)})


@pytest.mark.parametrize("covering", COVERINGS)
@pytest.mark.parametrize("pitch", [25, 40, 50])
def test_no_rain_falls_between_return_and_stack(covering: str, pitch: float) -> None:
    """Exact geometry, by brute force: no way leads from the slot to the sky."""
    made = build(detail(pitch, covering))
    for side in (-1.0, 1.0):
        assert to_the_sky(made, side) == 0


def test_without_its_turn_in_the_slot_is_open() -> None:
    """The rays tell: nothing but the turn-in covers it."""
    right = detail(40)
    made = build(replace(right, gutter=replace(right.gutter, turn_in=0.0)))
    assert to_the_sky(made, 1.0) > RAYS / 10
