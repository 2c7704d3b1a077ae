"""The shipped details, right and wrong: mirror, turn, finer triangles and distance change no drop's fate."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from meshes.build import build
from meshes.spec import Detail
from sim.charts import Charts
from sim.fates import Fate
from sim.rain import place
from sim.trace import trace
from tests.scenes.standard import (
    APRON_OVER_SIDES,
    GRAVITY,
    SIDES_OVER_GUTTER,
    shipped,
    without_turn_ins,
)
from tests.sim.test_invariance import CHANGES, FAR, SLANT

DROPS = 20_000
DETAILS = {
    "cottage": shipped("cottage"),
    "terrace": shipped("terrace"),
    "cottage, sides over gutter": replace(shipped("cottage"), order=SIDES_OVER_GUTTER),
    "terrace, sides over gutter": replace(shipped("terrace"), order=SIDES_OVER_GUTTER),
    "cottage, apron over sides": replace(shipped("cottage"), order=APRON_OVER_SIDES),
    "terrace, no turn-ins": without_turn_ins(shipped("terrace")),
}


@pytest.mark.parametrize("push", [(0.0, 0.0), (2.0, 1.0)])
@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("name", DETAILS)
def test_no_drop_changes_its_fate(name: str, change: str, push: tuple[float, float]) -> None:
    """Derived, drop by drop: 20,000 slanting drops; ends of the journeys within 1 um."""
    detail: Detail = DETAILS[name]
    vector, whole = CHANGES[change]
    shift = FAR if change == "1 km away" else np.zeros(3)
    start = np.random.default_rng(4).uniform([-0.9, -1.0, 3], [0.9, 1.5, 3], (DROPS, 3))
    pull = np.array([*push, -GRAVITY])
    made = build(detail)
    before_charts = Charts.of(made, tuple(pull))
    drops = place(before_charts, start, SLANT)
    before = trace(before_charts, drops)
    after_charts = Charts.of(whole(made), tuple(vector(pull)))
    moved = place(after_charts, vector(start) + shift, vector(SLANT))
    after = trace(after_charts, moved)
    assert (moved.drop == drops.drop).all()
    assert (after.fate == before.fate).all()
    assert_allclose(after.end - shift, vector(before.end), atol=1e-6)
    assert not (before.fate == Fate.UNRESOLVED).any()
