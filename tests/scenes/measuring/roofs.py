"""Answers to the interview, by the questions' keys."""

from __future__ import annotations

from collections.abc import Mapping

from scenes.measuring.interview import Interview
from scenes.units import METRIC, Units

PLAIN = {"pitch": "40", "width": "590", "depth": "440", "covering": "plain tiles", "present": "no"}
"""What has no usual value."""
OLD = PLAIN | {
    "pitch": "7 in 12", "width": "23 1/4 in", "depth": "44 cm", "height": "1.2 m", "back_height": "945",
    "brick_gauge": "300 for 4", "gauge": "100", "tile_length": "265", "thickness": "12",
    "through_ridge": "no", "above": "3 m", "left": "900", "present": "yes", "material": "lead code 5",
    "turn_in": "0", "pointed": "fallen out", "cover_fit": "resting", "apron_upstand": "120",
    "apron_cover": "110", "apron_overhang": "40", "front_corner": "apron over side", "sides_way": "cover",
    "side_upstand": "60", "side_cover": "5 in", "corner_return": "0", "behind": "gutter",
    "gutter_upstand": "100", "sole": "140", "leg": "200", "end_lap": "120",
    "back_corner": "side over gutter", "leaves": "none",
}  # fmt: skip
"""An invented old roof, everything measured that a plain covering with a gutter has."""


def answered(given: Mapping[str, str], units: Units = METRIC) -> Interview:
    """The interview with these answers, the rest left to be usual. Fails on the first complaint."""
    interview = Interview(units=units)
    while (question := interview.question) is not None:
        interview = interview.told(given.get(question.key, ""))
        assert not interview.said, f"{question.key}: {interview.said}"
    return interview


def lines(given: Mapping[str, str]) -> str:
    """The same as somebody would type it."""
    interview, typed = Interview(), []
    while (question := interview.question) is not None:
        typed.append(given.get(question.key, ""))
        interview = interview.told(typed[-1])
    return "\n".join([*typed, ""])
