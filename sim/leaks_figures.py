"""Figures and places as a householder reads them: rounded to what they are known to, with their unit."""

from __future__ import annotations

from sim.water import GRAVITY, WATER_DENSITY
from sim.wind import gust_of_pressure

ML_MIN = 6e7  # [ml/min] in one m3/s
DROPS = 20.0  # in a millilitre: as measured out by the drop, practice, no source
WORTH = 0.005
"""A length under this [m] is not worth a word."""
LEAST_SHARE = 0.001
"""Nor is a share of the rain under this [1]: nobody can picture it."""


def at_the_stack(place: str) -> str:
    """A place of `places.WORDS` as the end of a sentence."""
    told = {
        "front": "in front of",
        "back": "behind",
        "left": "to the left of",
        "right": "to the right of",
        "stack itself": "within the line of",
    }
    return f"{told.get(place, f'at the {place} of')} the stack"


def mm(length: float) -> str:
    """A length [m] in millimetres: to one above 3 mm, to five above 20, to ten above 100."""
    value = length * 1000
    step = 10.0 if value >= 97.5 else 5.0 if value >= 20 else 1.0 if value >= 3 else 0.1
    return f"{float(f'{round(value / step) * step:.6g}') + 0.0:,.6g} mm"


def figures(value: float, count: int) -> str:
    """A number rounded to so many significant figures, without an exponent."""
    return f"{float(f'{value:.{count}g}'):,.10g}"


def gust_words(pressure: float) -> str:
    """The gust that brings a pressure of so many Pa, more than 0."""
    return f"{figures(gust_of_pressure(pressure), 2)} m/s"


def water_column(pressure: float) -> str:
    """The height of still water that a pressure [Pa] holds up."""
    return mm(pressure / (WATER_DENSITY * GRAVITY))


def amount_words(share: float, flow: float) -> str:
    """A share [1] of the rain, and a flow, above 0 [m3/s], as in "about 580 ml a minute, 8.9 % of the rain
    that lands"."""
    much = f"about {_flow_words(flow * ML_MIN)}"
    return (
        much
        if share < LEAST_SHARE
        else f"{much}, {figures(share * 100, 2)} % of the rain that lands"
    )


def _flow_words(ml_min: float) -> str:
    """A flow [ml/min] in the unit that it is pictured in: litres, millilitres or drops."""
    if ml_min >= 995:
        litres = figures(ml_min / 1000, 2)
        return f"{litres} litre{'' if litres == '1' else 's'} a minute"
    if ml_min >= 2:
        return f"{figures(ml_min, 2)} ml a minute"
    if ml_min * DROPS >= 1.5:
        drops = max(2, round(ml_min * DROPS)) if ml_min * DROPS < 10 else ml_min * DROPS
        return f"{figures(drops, 2)} drops a minute"
    if ml_min * DROPS >= 0.75:
        return "a drop a minute"
    return f"a drop every {figures(1 / (ml_min * DROPS), 2)} minutes"
