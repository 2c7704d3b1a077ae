"""One measure against the others: what can't be on one roof.

A scene's own bounds are not here: the interview asks the builder for those.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import cos, radians, tan
from types import MappingProxyType
from typing import Final

from scenes.measuring.question import Known
from scenes.units import Units

SLACK_MM: Final = 40.0
SLACK_SHARE: Final = 0.12
"""How far two ways to the same height may lie apart on an old stack: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Made:
    """What a covering is made in [mm]: gauge and length of one, from the least to the most."""

    gauge: tuple[float, float]
    length: tuple[float, float]


MADE: Final[Mapping[str, Made]] = MappingProxyType(
    {
        "plain tiles": Made((60, 130), (200, 340)),
        "interlocking": Made((220, 420), (300, 500)),
        "slates": Made((75, 330), (200, 760)),
        "profiled": Made((220, 450), (300, 520)),
    }
)
"""Wider than what is in use, so that only what no tile has is refused: memory, common practice, no source."""
DOUBLE_LAP: Final = ("plain tiles", "slates")
LEAST_HEAD_LAP: Final = 20.0
"""Of a covering, as `meshes.spec_roof.Roof` has it [mm]."""


def depth(known: Known, units: Units) -> str:
    """A stack is seldom deeper than four times its width; that is mostly a slip of the tape."""
    wide, deep = _of(known, "width"), _of(known, "depth")
    if deep > 5 * wide or wide > 12 * deep:
        return (
            f"a stack {_said(wide, units)} wide and {_said(deep, units)} deep can't be: depth is up the"
            " slope, held level"
        )
    return ""


def front_height(known: Known, units: Units) -> str:
    """The stack must still stand out of the roof at its back."""
    rise = _rise(known)
    if _of(known, "height") <= rise:
        return (
            f"a stack {_said(_of(known, 'depth'), units)} deep on this pitch is under the roof at its back:"
            f" the roof rises {_said(rise, units)} beside it"
        )
    return ""


def back_height(known: Known, units: Units) -> str:
    """Front less back is what the roof rises beside the stack: depth times the tangent of the pitch."""
    front, back, deep = (_of(known, key) for key in ("height", "back_height", "depth"))
    rise = _rise(known)
    slack = max(SLACK_MM, SLACK_SHARE * rise)
    if abs(front - back - rise) <= slack:
        return ""
    told = (
        f"pitch and depth make the back {_said(rise, units)} lower than the front, these heights make it"
        f" {_said(front - back, units)}"
    )
    pitch = radians(_of(known, "pitch"))
    if abs((front - back) - rise * cos(pitch)) <= slack:
        return f"{told}: was the depth of {_said(deep, units)} taken along the slope? `back C` mends it"
    return f"{told}: `back`, or `back C`, to what is wrong"


def ridge(known: Known, units: Units) -> str:
    """A ridge that runs into the stack lies between its front and its back."""
    away, deep = _of(known, "ridge"), _of(known, "depth")
    if away < deep:
        return ""
    return (
        f"a ridge {_said(away, units)} from the front of a stack {_said(deep, units)} deep doesn't run into"
        " it: `back` where it stands on one slope"
    )


def gauge(known: Known, units: Units) -> str:
    """A gauge that no tile of this covering has."""
    made = MADE.get(str(known.get("covering", "")))
    if made is None or made.gauge[0] <= _of(known, "gauge") <= made.gauge[1]:
        return ""
    low, high = (_said(end, units) for end in made.gauge)
    return f"no {known['covering']} have a gauge of {_said(_of(known, 'gauge'), units)}: {low} to {high}"


def tile_length(known: Known, units: Units) -> str:
    """What the gauge leaves of a tile is its head lap: it must be there, and no longer than the gauge."""
    kind, long = str(known.get("covering", "")), _of(known, "tile_length")
    made = MADE.get(kind)
    if made is not None and not made.length[0] <= long <= made.length[1]:
        low, high = (_said(end, units) for end in made.length)
        return f"no {kind} are {_said(long, units)} long: {low} to {high}"
    lap = head_lap(long, known)
    gauges = "twice the gauge" if _double(known) else "the gauge"
    if lap < LEAST_HEAD_LAP:
        return (
            f"{_said(long, units)} less {gauges} of {_said(_of(known, 'gauge'), units)} leaves a head lap of"
            f" {_said(lap, units)}: under {_said(LEAST_HEAD_LAP, units)} none is laid"
        )
    return ""


def head_lap(long: float, known: Known) -> float:
    """Head lap [mm] of a tile so long [mm] at the gauge that is known."""
    return long - (2 if _double(known) else 1) * _of(known, "gauge")


def _double(known: Known) -> bool:
    return str(known.get("covering", DOUBLE_LAP[0])) in DOUBLE_LAP


def _rise(known: Known) -> float:
    """How far the roof rises beside the stack [mm]."""
    return _of(known, "depth") * tan(radians(_of(known, "pitch")))


def _of(known: Known, key: str) -> float:
    return float(known[key])


def _said(millimetres: float, units: Units) -> str:
    return units.length(round(millimetres, 1) / 1000)
