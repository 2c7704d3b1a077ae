"""The relation by which the bench of the fluid solver tells why a gutter divides otherwise than a film."""

from __future__ import annotations

import numpy as np
import pytest

from bench.fluid_divide import film_share, share_with_inertia
from sim.water import GRAVITY, VISCOSITY


def test_a_small_flow_divides_as_a_film_and_a_large_one_in_halves() -> None:
    """Limits: b / (a + b) without inertia, one half without friction; in between it falls steadily."""
    assert film_share(0.11, 0.29) == pytest.approx(0.725)
    assert film_share(0.29, 0.11) == pytest.approx(0.275)
    flows = np.geomspace(1e-8, 1.0, 33)
    shares = [share_with_inertia(flow, 0.11, 0.29, VISCOSITY) for flow in flows]
    assert shares[0] == pytest.approx(0.725, abs=1e-6)
    assert shares[-1] == pytest.approx(0.5, abs=1e-5)
    assert (np.diff(shares) < 0).all()


@pytest.mark.parametrize("flow", [1e-6, 3e-4, 1e-2])
def test_both_sides_stand_as_high_at_the_feed(flow: float) -> None:
    """Exact: h_c^4 + 12 nu q x / g is the same to either side; the ends exchanged exchange the shares."""
    share = share_with_inertia(flow, 0.2, 0.5, VISCOSITY)
    heads = [
        (q**2 / GRAVITY) ** (4 / 3) + 12 * VISCOSITY * q * x / GRAVITY
        for q, x in ((share * flow, 0.2), ((1 - share) * flow, 0.5))
    ]
    assert heads[0] == pytest.approx(heads[1], rel=1e-9)
    assert share_with_inertia(flow, 0.5, 0.2, VISCOSITY) == pytest.approx(1 - share, abs=1e-9)
