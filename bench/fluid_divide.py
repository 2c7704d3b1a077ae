"""How a feed divides between the two free ends of a level bed where inertia counts beside friction."""

from __future__ import annotations

from scipy.optimize import brentq

from sim.divide import nearer_share
from sim.water import GRAVITY


def film_share(first: float, other: float) -> float:
    """Share of a film's feed [1] that runs to the first of two free ends so far off [m]."""
    nearer = float(nearer_share(min(first, other), max(first, other)))
    return nearer if first <= other else 1.0 - nearer


def share_with_inertia(flow: float, first: float, other: float, viscosity: float) -> float:
    """Share [1] of a flow per width [m2/s], above 0, fed so far from two free ends [m], above 0, that
    runs to the first.

    Equal head at the feed: h^4 = h_c^4 + 12 nu q x / g to either side, a laminar film (Huppert, J. Fluid
    Mech. 121 (1982) 43) that begins at the critical depth h_c = (q^2 / g)^(1/3) of a free overfall
    (standard hydraulics texts). viscosity nu [m2/s]. A small flow divides as `film_share` says, a large
    one in halves. The head that a flow spends on setting out is left out, so is a moving feed's own
    momentum.
    """

    def head(through: float, far: float) -> float:
        critical = (through**2 / GRAVITY) ** (1 / 3)
        return float(critical**4 + 12 * viscosity * through * far / GRAVITY)

    def unequal(share: float) -> float:
        return (head(share * flow, first) - head((1 - share) * flow, other)) / head(flow, first)

    return float(brentq(unequal, 0.0, 1.0, xtol=1e-12))
