"""Figures and places as a householder reads them: rounded to what they are known to, with their unit."""

from __future__ import annotations

from sim.wind import gust_of_pressure

ML_MIN = 6e7  # [ml/min] in one m3/s
WORTH = 0.005
"""A length under this [m] is not worth a word."""


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


def amount_words(share: float, flow: float) -> str:
    """A share [1] of the rain, and a flow [m3/s]."""
    return (
        f"{figures(share * 100, 2)} % of the rain that lands ({figures(flow * ML_MIN, 3)} ml/min)"
    )
