"""Every distance and angle that the measuring of laps goes by, in one table, each with its reason."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians
from typing import Final


@dataclass(frozen=True, slots=True)
class Choice:
    """One number that decides what counts as a lap."""

    value: float
    unit: str
    reason: str


GAP: Final = 0.006
RESTING: Final = 0.040
CORNER: Final = 0.015
CORNER_SHARE: Final = 0.4
STEP: Final = 0.010
INSIDE_EDGE: Final = 0.0005
OUTSIDE_EDGE: Final = 0.003
SQUARE: Final = 0.766
RUN_TURN: Final = radians(30)
FOLD: Final = radians(45)
HAIRPIN: Final = radians(135)
ARRIS: Final = radians(60)
FARTHEST: Final = 1.0
ROUNDING: Final = 0.001
HALF_DEGREE: Final = radians(0.5)
SKY: Final = radians(30)
LYING: Final = radians(15)
NARROWEST: Final = 0.020
TROUGH: Final = 0.050
STEP_UP: Final = 0.030
END_OF_A_FOLD: Final = 0.5

TABLE: Final[dict[str, Choice]] = {
    "GAP": Choice(
        GAP, "m", "two sheets closer than this lie in one lap: above it capillarity is broken "
        "(5 mm, common practice) and water falls clear",
    ),
    "RESTING": Choice(
        RESTING, "m", "a cover that rests on the noses stands this far off the courses at most: a "
        "nose of the thickest common covering",
    ),
    "CORNER": Choice(
        CORNER, "m", "end of a straight run of border that is left out: at a slit corner two cuts "
        "meet in a point, and the joint there is judged by the corner's own return",
    ),
    "CORNER_SHARE": Choice(
        CORNER_SHARE, "share of a run", "most that is left out at each end, so that a short run such "
        "as a 30 mm return is still measured in its middle",
    ),
    "STEP": Choice(STEP, "m", "longest piece of border that is looked at by one ray"),
    "INSIDE_EDGE": Choice(
        INSIDE_EDGE, "m", "how far inside its border a sheet is asked what lies on its other side",
    ),
    "OUTSIDE_EDGE": Choice(
        OUTSIDE_EDGE, "m", "how far outside its border the lower sheet must still be there and in sight of "
        "the sky: two or three bedding gaps, by which flush edges of layers can miss each other",
    ),
    "SQUARE": Choice(
        SQUARE, "cosine", "a way crosses both edges of a lap within 40 degrees of square, so that two "
        "edges square to each other never belong together",
    ),
    "RUN_TURN": Choice(RUN_TURN, "rad", "a border that turns by more than this begins a new run"),
    "FOLD": Choice(FOLD, "rad", "a bend by more than this turns a cover away, up the stack"),
    "HAIRPIN": Choice(
        HAIRPIN, "rad", "a bend by more than this (a welt, a hem) is an edge of its sheet",
    ),
    "ARRIS": Choice(
        ARRIS, "rad", "a covering's body ends where its faces turn outward by more than this",
    ),
    "FARTHEST": Choice(FARTHEST, "m", "no lap is longer: two edges farther apart don't belong together"),
    "ROUNDING": Choice(
        ROUNDING, "m", "a lap is short when more than this is missing: one bedding gap, which a folded "
        "sheet's place is not known better than",
    ),
    "HALF_DEGREE": Choice(
        HALF_DEGREE, "rad", "the roof's pitch is read off the covering to this: rules that change at "
        "a round pitch must not hang on the last digit of a fit",
    ),
    "SKY": Choice(
        SKY, "rad", "an edge is open when it sees the sky straight up or this far off it, on any of "
        "eight sides: rain that is blown along falls at about this slant",
    ),
    "LYING": Choice(
        LYING, "rad", "a way this near to the roof's plane lies on it: courses are up to 10 degrees "
        "flatter than the roof",
    ),
    "TROUGH": Choice(
        TROUGH, "m", "a face no longer than this may lie in one trough of a wavy covering; a longer one is "
        "asked in several places what it lies on",
    ),
    "STEP_UP": Choice(
        STEP_UP, "m", "a strip no higher than this between two lying panels is where a cover steps over a "
        "nose; no upstand is lower",
    ),
    "END_OF_A_FOLD": Choice(
        END_OF_A_FOLD, "share", "of the edges of a sheet folded over another's, those less wide than this "
        "share of the widest are the fold's own ends",
    ),
    "NARROWEST": Choice(
        NARROWEST, "m", "a lap of less width is where two corners meet; a corner's return is 25 mm wide or "
        "more",
    ),
}  # fmt: skip
