"""The cases of a sweep: every combination of the values, or a sample that fills the space between them."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from itertools import product
from math import prod
from typing import Final

from meshes.errors import SceneError
from scenes.sweep.key import Value
from scenes.sweep.varied import Varied

MOST_CASES: Final = 20_000
Values = tuple[Value, ...]


def cases_of(varied: Sequence[Varied], sample: int | None, seed: int) -> list[Values]:
    """The values of each case, in their order: of a grid the first parameter changes most slowly.

    sample: how many cases of a sample, None for the grid. The sample is Sobol's sequence, scrambled by the
    seed (Owen's way, scipy.stats.qmc): a larger one begins with the same cases. Values of a list, or of a
    range with steps, have equal parts of it. Raises SceneError for more than MOST_CASES.
    """
    count = prod(len(one.values) for one in varied) if sample is None else sample
    if count > MOST_CASES:
        words = "the values make" if sample is None else "--sample asks for"
        raise SceneError(f"a sweep is of at most {MOST_CASES:,} cases; {words} {count:,}")
    if sample is None:
        return list(product(*(one.values for one in varied)))
    from scipy.stats import qmc

    with warnings.catch_warnings():
        # It says that numbers other than powers of two are less even; they are even enough for a map.
        warnings.simplefilter("ignore", UserWarning)
        places = qmc.Sobol(len(varied), scramble=True, seed=seed).random(sample)
    return [tuple(one.at(float(at)) for one, at in zip(varied, row, strict=True)) for row in places]
