"""Densities of damp places against a library's, and Bayes' rule against worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.stats import multivariate_normal

from scenes.diagnose.likelihood import (
    ELSEWHERE,
    SPREAD,
    THROUGH_UNDERLAY,
    UNEXPLAINED,
    density,
    likelihood,
    posterior,
)
from sim.comes_out import ComesOut

AREA = 2.0  # [m2]
PLAIN = settings(derandomize=True, deadline=None, phases=(Phase.explicit, Phase.generate))


def water(*places: tuple[float, float], inside: bool = True) -> ComesOut:
    count = len(places)
    out = np.array([(x, y, 0.0) for x, y in places]).reshape(count, 3)
    return ComesOut(out, np.full(count, inside), np.full(count, 1 / max(count, 1)))


def test_density_is_that_of_a_library() -> None:
    """Two computations: the mixture of normal densities of scipy, and the background spelled out."""
    found = water((0.1, 0.2), (0.5, -0.1), (0.0, 0.0))
    spots = np.array([(0.12, 0.25), (0.4, 0.0), (-0.6, 0.6)])
    normal = [multivariate_normal(place[:2], SPREAD**2 * np.eye(2)) for place in found.out]
    for spot in spots:
        near = np.mean([one.pdf(spot) for one in normal])
        assert density(found, spot, AREA) == pytest.approx(
            (1 - ELSEWHERE) * near + ELSEWHERE / AREA, rel=1e-12
        )


def test_density_adds_up_to_what_shows() -> None:
    """Exact: over the whole ceiling the density of water inside adds up to 1, that of water which the
    underlay caught to the share that shows."""
    step = 0.01
    x, y = np.meshgrid(np.arange(-0.5, 0.5, step), np.arange(-1.0, 1.0, step))
    for inside, shown in ((True, 1.0), (False, THROUGH_UNDERLAY)):
        found = water((0.0, 0.1), inside=inside)
        total = (
            sum(density(found, spot, AREA) for spot in zip(x.flat, y.flat, strict=True)) * step**2
        )
        assert total == pytest.approx(shown, rel=1e-3)


def test_no_water_explains_nothing_but_by_chance() -> None:
    """Exact: only what the model misses is left, spread evenly over the ceiling."""
    dry = ComesOut.none()
    assert density(dry, (0.0, 0.0), AREA) == 0.0
    assert likelihood([dry, dry], [(0.0, 0.0)], AREA) == UNEXPLAINED / AREA
    assert likelihood([], [(0.0, 0.0), (0.1, 0.1)], AREA) == UNEXPLAINED / AREA**2


def test_two_damp_places_need_two_ways_out() -> None:
    """Derived: water that comes out at both places at once explains both far better than water that
    comes out at one of them, and the weathers of a state are not mixed."""
    spots = [(-0.3, 0.0), (0.3, 0.0)]
    both, left, right = water(*spots), water(spots[0]), water(spots[1])
    assert likelihood([both], spots, AREA) > 5 * likelihood([left], spots, AREA)
    assert likelihood([both], spots, AREA) > 5 * likelihood([left, right], spots, AREA)


def test_bayes_rule_on_a_worked_example() -> None:
    """The textbook's test for a rare state (1 % have it; found in 99 % of those and in 5 % of others):
    0.0099 / (0.0099 + 0.0495) = 1/6. Exact."""
    assert_allclose(posterior([0.01, 0.99], [0.99, 0.05]), [1 / 6, 5 / 6], rtol=1e-12)


@PLAIN
@given(st.lists(st.tuples(st.floats(0.01, 10), st.floats(1e-6, 10)), min_size=2, max_size=8))
def test_probabilities_add_up_and_keep_no_order(rows: list[tuple[float, float]]) -> None:
    """Invariance: together 1, and the same in any order."""
    priors, seen = np.array(rows).T
    after = posterior(priors, seen)
    assert after.sum() == pytest.approx(1.0)
    assert_allclose(posterior(priors[::-1], seen[::-1]), after[::-1], rtol=1e-12)
