"""The scenes of the library beside its first two, in calm rain."""

from __future__ import annotations

import pytest

from sim.fates import Fate
from tests.scenes.standard import rained_on, shipped


@pytest.mark.parametrize(
    "name", ["flue", "low", "profiled", "ridge", "stepped", "turned", "wide", "zinc"]
)
def test_it_is_dry_in_calm_rain(name: str) -> None:
    """The issue: each dry in calm rain over 200,000 drops: every drop is shed."""
    rained = rained_on(shipped(name), 200_000)
    assert rained.count(Fate.SHED) == 200_000
