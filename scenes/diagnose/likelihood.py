"""How well a suspect explains damp places: densities, and Bayes' rule."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.comes_out import ComesOut

Floats = NDArray[np.float64]

SPREAD: Final = 0.080
"""How far off [m], as a standard deviation each way, a damp place is from where the water came down: a
ceiling spreads it, and nobody measures a patch better. An assumption."""
ELSEWHERE: Final = 0.05
"""How often water runs along a rafter and drips anywhere at all. An assumption."""
UNEXPLAINED: Final = 0.01
"""How often a suspect whose water gets nowhere behind in the model leaks all the same. An assumption."""
THROUGH_UNDERLAY: Final = 0.3
"""How often water that the underlay caught shows inside, for underlays age and tear. An assumption."""


def density(found: ComesOut, place: ArrayLike, area: float) -> float:
    """How likely [1/m2] a damp place (2,) [m] in plan is, where water comes out as `found`.

    area: of the ceiling [m2], over 0. Nil where no water comes out.
    """
    if not len(found):
        return 0.0
    shows = found.weight * np.where(found.inside, 1.0, THROUGH_UNDERLAY)
    away = np.square(found.out[:, :2] - np.asarray(place)).sum(axis=1)
    near = np.exp(-away / (2 * SPREAD**2)) / (2 * np.pi * SPREAD**2)
    return float(((1 - ELSEWHERE) * near + ELSEWHERE / area) @ shows)


def likelihood(states: Sequence[ComesOut], places: ArrayLike, area: float) -> float:
    """How likely [1/m2 each] damp places (k, 2) [m] are, where each of the states (equally likely)
    brings them all; never nil."""
    spots = np.asarray(places, dtype=np.float64).reshape(-1, 2)
    each = [np.prod([density(state, spot, area) for spot in spots]) for state in states]
    modelled = float(np.mean(each)) if each else 0.0
    return (1 - UNEXPLAINED) * modelled + UNEXPLAINED * area ** -len(spots)


def posterior(priors: ArrayLike, likelihoods: ArrayLike) -> Floats:
    """Bayes' rule: the probabilities (n,) after the evidence, together 1.

    priors (n,), likelihoods (n,): not below 0, their products not all 0; against each other only.
    """
    both = np.asarray(priors, dtype=np.float64) * np.asarray(likelihoods, dtype=np.float64)
    return np.asarray(both / both.sum(), dtype=np.float64)
